//! One part of the plan, and all that stands behind it.

use crate::plan::types::{Arrangement, PlannedPart};
use crate::sheet::cells;
use crate::sheet::rows::{self, Column};
use crate::trade::dielectric::Dielectric;
use crate::trade::role::Role;
use crate::ui::charts::PartPlace;
use crate::ui::kit::dynamic::{piece, text};
use crate::ui::kit::{BasisMark, Choice, DecisionMark, Field, SelectField, Workings, hazard_marks};
use crate::ui::long::{LongRows, Opened};
use crate::ui::state::app;
use crate::ui::view::Attr;
use crate::ui::view::prelude::*;

/// A row, and below it, when opened, the reasons.
#[component]
pub fn PartRow(
    /// The key of the part.
    key: String,
    /// The rows it is of.
    rows: LongRows<String>,
    /// Those that are open.
    opened: Opened,
) -> impl IntoView {
    let app = app();
    let id = format!("why-{}", key.replace('/', "-"));
    let part = {
        let key = key.clone();
        Memo::new(move |_| app.open.plan.read().parts.iter().find(|p| p.key == key).cloned())
    };
    let open = {
        let key = key.clone();
        Memo::new(move |_| opened.has(&key))
    };
    let row = {
        let (key, id) = (key.clone(), id.clone());
        move || {
            let part = part.get()?;
            Some(summary(&part, &id, open, rows.number(&key, 2), opened))
        }
    };
    view! {
        <tbody class="part" data-part=key>
            {row}
            {piece(move || {
                let part = open.get().then(|| part.get()).flatten()?;
                Some(view! {
                    <tr class="part__why" id=id.clone()>
                        <td colspan="5">{reasons(&part)}</td>
                    </tr>
                })
            })}
        </tbody>
    }
}

fn summary(
    part: &PlannedPart,
    id: &str,
    open: Memo<bool>,
    number: Attr,
    opened: Opened,
) -> AnyView {
    let key = part.key.clone();
    let turn = {
        let key = key.clone();
        move |_| opened.turn(&key)
    };
    let dielectric = part.old.dielectric.map(|found| {
        view! { <span class="part__made">{found.value.label()}" "<BasisMark basis=found.basis/></span> }
    });
    let role = part.role.map(|found| {
        view! { <span>{found.value.label()}" "<BasisMark basis=found.basis/></span> }
    });
    let old = part.old.value.clone().unwrap_or_else(|| part.old.text.clone());
    let rating = part.old.rating.map(|v| format!(" {v}"));
    let new = match &part.replacement {
        Some(new) => view! { <b class="part__new">{new.text.clone()}</b> }.into_any(),
        None => limits(part).into_any(),
    };
    let plan = app().open.plan.get_untracked();
    view! {
        <tr class="part__row" aria-rowindex=number>
            <th scope="row" class="part__name" data-label="Part">
                <button
                    class="part__open"
                    type="button"
                    aria-expanded=text(move || open.get().to_string())
                    aria-controls=id.to_owned()
                    aria-label=format!("{key}: reasons")
                    on:click=turn
                >
                    {key}
                </button>
            </th>
            <td data-label="Do"><DecisionMark decision=part.decision/></td>
            <td data-label="Old"><span class="part__old">{old}{rating}</span>" "{dielectric}</td>
            <td data-label="New">
                {new}
                <span class="part__hazards">{hazard_marks(&plan, part)}</span>
            </td>
            <td data-label="Role">{role}</td>
        </tr>
    }
    .into_any()
}

fn limits(part: &PlannedPart) -> impl IntoView + use<> {
    let checks = part.checks.iter().filter(|c| c.least.is_some() || c.most.is_some());
    let found = checks
        .map(|c| match (&c.least, &c.most) {
            (Some(least), Some(most)) => format!("{least} to {most}"),
            (Some(least), None) => format!("at least {least}"),
            (None, Some(most)) => format!("at most {most}"),
            (None, None) => String::new(),
        })
        .collect::<Vec<_>>();
    let words = match (found.is_empty(), part.checks.first()) {
        (true, Some(check)) => check.what.clone(),
        _ => found.join("; "),
    };
    view! { <span class="part__limits">{words}</span> }
}

fn reasons(part: &PlannedPart) -> AnyView {
    let checks = part.checks.iter().map(|c| view! { <li>{c.what.clone()}</li> }).collect_view();
    let details = part.replacement.as_ref().map(|new| {
        let (least, most) = new.window;
        let pair = match &new.arrangement {
            Arrangement::Single => None,
            Arrangement::TwoInSeries { each, each_rating, balance, balance_power } => Some(format!(
                "Two in series, each {each} {each_rating}, each bridged by {balance}, {balance_power}."
            )),
            Arrangement::TwoInParallel { first, second } => {
                Some(format!("Two in parallel: {first} and {second}."))
            }
        };
        let class = new.class.map(|c| format!("Safety class {} only.", c.label()));
        let lines = [
            pair,
            class,
            new.polarity.as_ref().map(|p| format!("Polarity: {p}")),
            new.outer_foil.as_ref().map(|o| format!("Outer foil: {o}")),
            new.temperature_c.map(|c| format!("Rated for {c} °C.")),
            Some(format!("{least} to {most} would also serve here.")),
        ];
        lines.map(|line| line.map(|line| view! { <li>{line}</li> })).collect_view()
    });
    view! {
        <div class="why">
            <p class="why__reason">{part.reason.clone()}</p>
            <ul class="why__list">{checks}{details}</ul>
            <PartPlace key=part.key.clone()/>
            <Override part=part.clone()/>
            <div class="why__workings"><Workings workings=part.working.clone()/></div>
        </div>
    }
    .into_any()
}

/// States what was inferred, on the line of the part.
#[component]
fn Override(
    /// The part.
    part: PlannedPart,
) -> impl IntoView {
    if part.old.dielectric.is_none() && part.role.is_none() {
        return ().into_any();
    }
    let app = app();
    let line = part.line;
    let state = move |column: Column| {
        Callback::new(move |word: String| {
            app.rewrite(|text| cells::set_cell(text, line, column, &word));
        })
    };
    let field = |what: &str, label: &str| Field {
        id: format!("{what}-{}", part.key.replace('/', "-")),
        label: label.to_owned(),
        data: what.to_owned(),
        ..Field::default()
    };
    let not_said: Choice = ("", "as inferred");
    let dielectrics =
        std::iter::once(not_said).chain(Dielectric::ALL.map(|d| (d.label(), d.label())));
    let roles = std::iter::once(not_said).chain(Role::ALL.map(|r| (r.label(), r.label())));
    let stated = |column: Column| {
        let rows = rows::rows(&app.open.text.get_untracked());
        let row = rows.into_iter().find(|r| r.line == line);
        row.map(|r| r.cell(column).to_owned()).unwrap_or_default()
    };
    let (made, role) = (stated(Column::Dielectric), stated(Column::Role));
    view! {
        <div class="why__override no-print">
            <SelectField
                field=field("dielectric", "Made of")
                value=Signal::stored(made)
                choices=dielectrics.collect()
                on_choose=state(Column::Dielectric)
            />
            <SelectField
                field=field("role", "Role")
                value=Signal::stored(role)
                choices=roles.collect()
                on_choose=state(Column::Role)
            />
        </div>
    }
    .into_any()
}
