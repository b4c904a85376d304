//! Cans and blocks: how their new parts are fitted.

use crate::bench::room::{self, ROOM, SIZE, WAY};
use crate::bench::set::SetRecord;
use crate::plan::can::{CAN_SOURCE, Can, WAYS, cans, way_words};
use crate::plan::types::{Basis, Working};
use crate::trade::size::SIZE_SOURCE;
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::kit::{Field, SelectField, TextField, Workings};
use crate::ui::long::{Gap, LongRows};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// About the height of a can, in CSS pixels, until some were drawn.
const ROW: f64 = 400.0;

/// Every can and block of the set.
#[component]
pub fn CansView() -> impl IntoView {
    let app = app();
    let all = Memo::new(move |_| Arc::new(cans(&app.open.sheet.read(), &app.open.plan.read())));
    let names = Memo::new(move |_| all.read().iter().map(|c| c.name.clone()).collect::<Vec<_>>());
    let rows = LongRows::new(names, ROW);
    let source = format!("{} ({})", CAN_SOURCE.text, CAN_SOURCE.standing.words());
    let sizes = format!("{} ({})", SIZE_SOURCE.text, SIZE_SOURCE.standing.words());
    view! {
        <p class="sheet__empty" hidden=flag(move || !all.read().is_empty())>
            "No can or block on this sheet. Sections share a number (C1A, C1B); one alone is called a can or a block on its line."
        </p>
        <div node_ref=rows.frame on:focusin=move |_| rows.look()>
            {rows.view(Gap::Block, move |name: String| one(all, name))}
        </div>
        <div hidden=flag(move || all.read().is_empty())>
            <p class="field__hint">"Sizes taken where none is typed: "{sizes}</p>
            <p class="field__hint">"Ways of fitting: "{source}</p>
        </div>
    }
}

fn one(all: Memo<Arc<Vec<Can>>>, name: String) -> AnyView {
    let heading = name.clone();
    let data = name.clone();
    let can = Memo::new(move |_| all.read().iter().find(|c| c.name == name).cloned());
    view! {
        <section class="fit__batch" data-can=data>
            <h3 class="fit__title">{heading}</h3>
            {piece(move || can.get().map(|can| body(&can)))}
        </section>
    }
    .into_any()
}

fn body(can: &Can) -> AnyView {
    let app = app();
    let rows = can
        .sections
        .iter()
        .map(|section| {
            let new = section.new.clone().unwrap_or_else(|| "see the plan".to_owned());
            view! {
                <tr data-part=section.key.clone()>
                    <th scope="row" data-label="Section">{section.key.clone()}</th>
                    <td data-label="Old">{section.old.clone()}</td>
                    <td data-label="New">{new}</td>
                    <td data-label="Own lead">
                        {section.lead.clone().unwrap_or_else(|| "not given".to_owned())}
                    </td>
                </tr>
            }
        })
        .collect_view();
    let sizes = can
        .sections
        .iter()
        .map(|section| {
            let usual = section.size.map_or_else(
                || "Its size, to check it against the room".to_owned(),
                |size| format!("{} taken", room::shown(size)),
            );
            let label = format!("Size of the new {} ({usual})", section.key);
            typed_size(&section.key, SIZE, label)
        })
        .collect_view();
    let first = can.sections.first().map(|s| s.key.clone()).unwrap_or_default();
    let space = typed_size(&first, ROOM, "Room inside the shell".to_owned());
    let way = {
        let first = first.clone();
        Memo::new(move |_| kept(&app.open.record.read(), &first, WAY))
    };
    let field = Field {
        id: format!("way-{}", can.name),
        label: "The new parts go".to_owned(),
        data: "way".into(),
        ..Field::default()
    };
    let choose = {
        let first = first.clone();
        Callback::new(move |word: String| put(&first, WAY, word))
    };
    let advice = move || {
        way_words(&way.read()).iter().map(|words| view! { <li>{*words}</li> }).collect_view()
    };
    let judged = {
        let can = can.clone();
        Memo::new(move |_| judged(&can, &app.open.record.read()))
    };
    view! {
        <table class="table table--record">
            <thead>
                <tr>
                    <th scope="col">"Section"</th>
                    <th scope="col">"Old"</th>
                    <th scope="col">"New"</th>
                    <th scope="col">"Own lead"</th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
        <p class="sheet__lead">
            <b>"Common lead: "{can.common.clone().unwrap_or_else(|| "none".to_owned())}". "</b>
            {can.shell.clone()}
        </p>
        <div class="old__fields">
            <SelectField field value=way choices=WAYS.to_vec() on_choose=choose/>
            {space}
            {sizes}
        </div>
        <ul class="fit__reasons">{piece(advice)}</ul>
        {piece(move || judged.get().map(|(is_in, working)| verdict(is_in, working)))}
    }
    .into_any()
}

fn verdict(is_in: bool, working: Working) -> AnyView {
    let (class, word) = if is_in {
        ("verdict verdict--within", "✓ Goes in")
    } else {
        ("verdict verdict--out", "✕ Does not go in")
    };
    view! {
        <p class="old__said" role="status" data-room=word>
            <span class=class>{word}</span>" "{working.result.to_string()}
        </p>
        <details class="fold old__finding">
            <summary>"How that was reached"</summary>
            <Workings workings=vec![working]/>
        </details>
    }
    .into_any()
}

/// Whether the new parts go in, once the room and every size are known.
fn judged(can: &Can, record: &SetRecord) -> Option<(bool, Working)> {
    let first = can.sections.first()?;
    let space = room::room(&kept(record, &first.key, ROOM)).ok().flatten()?;
    let parts = can
        .sections
        .iter()
        .map(|section| {
            let typed = room::size(&kept(record, &section.key, SIZE)).ok().flatten();
            let basis = if typed.is_some() { Basis::Stated } else { Basis::Assumed };
            Some((section.key.clone(), typed.or(section.size)?, basis))
        })
        .collect::<Option<Vec<_>>>()?;
    Some(room::judge(&parts, space))
}

fn kept(record: &SetRecord, part: &str, key: &str) -> String {
    let found = record.parts.get(part).and_then(|p| p.readings.get(key));
    found.cloned().unwrap_or_default()
}

fn put(part: &str, key: &str, text: String) {
    app().change_open(|set| {
        let readings = &mut set.part_mut(part).readings;
        if text.is_empty() {
            readings.remove(key);
        } else {
            readings.insert(key.to_owned(), text);
        }
    });
}

fn typed_size(part: &str, key: &'static str, label: String) -> AnyView {
    let app = app();
    let typed = {
        let part = part.to_owned();
        Memo::new(move |_| kept(&app.open.record.read(), &part, key))
    };
    let error =
        Signal::derive(move || room::room(&typed.read()).err().map(|error| error.to_string()));
    let field = Field {
        id: format!("{}-{}", key.replace([' ', '\''], "-"), part.replace('/', "-")),
        label,
        hint: "Diameter x length, mm or in",
        data: key.to_owned(),
        ..Field::default()
    };
    let part = part.to_owned();
    let on_input = Callback::new(move |text: String| put(&part, key, text));
    view! { <TextField field value=typed on_input error/> }.into_any()
}
