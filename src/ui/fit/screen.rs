//! Checking off parts, at arm's length and with dirty hands.

use super::cans::CansView;
use super::clean::CleaningView;
use super::model::{Order, lead_words, order, short, task};
use super::old::OldPartsView;
use super::photos::PhotosView;
use super::steps::Steps;
use crate::bench::fitting::{PartState, state};
use crate::bench::old::Slot;
use crate::bench::progress::{Stage, fitted};
use crate::bench::reading::{judge, unit_of};
use crate::bench::set::PartRecord;
use crate::letters::Letters;
use crate::plan::types::{Check, Decision, PlannedPart};
use crate::ui::browser::now;
use crate::ui::kit::dynamic::{each, flag, piece, text};
use crate::ui::kit::{
    Cautions, DecisionMark, Field, HazardList, Tabs, TextField, VerdictMark, hazard_marks,
    patiently,
};
use crate::ui::leads::LeadsView;
use crate::ui::long::{Gap, GoTo, LongRows};
use crate::ui::route::View;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::wiring::WiringView;
use crate::ui::words;
use std::sync::Arc;

/// About the height of a row, in CSS pixels, until some were drawn.
const ROW: f64 = 170.0;

/// Fitting in one of its views.
#[component]
pub fn FitScreen() -> impl IntoView {
    let app = app();
    let current = Memo::new(move |_| app.route.get().view());
    let slow = move || app.open.lag.is_slow();
    let shown = move || match current.get() {
        Some(View::OldParts) => patiently(slow(), || view! { <OldPartsView/> }),
        Some(View::Cans) => patiently(slow(), || view! { <CansView/> }),
        Some(View::Photos) => patiently(slow(), || view! { <PhotosView/> }),
        Some(View::Cleaning) => patiently(slow(), || view! { <CleaningView/> }),
        Some(View::Leads) => patiently(slow(), || view! { <LeadsView/> }),
        Some(View::Wiring) => patiently(slow(), || view! { <WiringView/> }),
        _ => patiently(slow(), || view! { <Fitting/> }),
    };
    let progress = move || {
        let (done, of) = fitted(&app.open.record.read(), &app.open.plan.read());
        format!("{done} of {of} done")
    };
    view! {
        <div class="fit">
            <div class="sheet__head">
                <h2 class="sheet__title">
                    {piece(move || match current.get() {
                        Some(view) => format!("Fit: {}", view.label().lower()),
                        None => "Fit".to_owned(),
                    })}
                </h2>
                <p class="sheet__count" data-count="fit">{piece(progress)}</p>
            </div>
            <Tabs stage=Stage::Fit/>
            <div data-view=text(move || current.get().map_or("fitting", View::slug))>
                {piece(shown)}
            </div>
            <Cautions/>
        </div>
    }
}

/// Every part that asks for work, in the order of work.
#[component]
fn Fitting() -> impl IntoView {
    let app = app();
    let order = Memo::new(move |_| Arc::new(order(&app.open.sheet.read(), &app.open.plan.read())));
    let titles = move || order.read().batches.iter().map(|b| b.title.clone()).collect();
    let is_empty = Memo::new(move |_| order.read().batches.is_empty());
    let reasons = Memo::new(move |_| order.read().reasons.clone());
    let readjust = Memo::new(move |_| order.read().readjust.clone());
    let keys = Memo::new(move |_| {
        order.read().batches.iter().flat_map(|b| b.keys.clone()).collect::<Vec<_>>()
    });
    let wanted = RwSignal::new(None::<String>);
    view! {
            <HazardList plan=app.open.plan brief=true/>
            <p class="sheet__empty" hidden=flag(move || !is_empty.get())>
                "Nothing to fit yet. It is worked out from the plan."
            </p>
            <p class="sheet__lead" hidden=flag(move || is_empty.get())>
                "One part at a time: out, measure, in, check the leads, then the next."
            </p>
            <details class="fold" data-why="order" hidden=flag(move || reasons.read().is_empty())>
                <summary>"Why in this order"</summary>
                <ul class="fit__reasons">
                    {piece(move || {
                        reasons.get().into_iter().map(|r| view! { <li>{r}</li> }).collect_view()
                    })}
                </ul>
            </details>
            <GoTo keys on_go=Callback::new(move |key| wanted.set(Some(key)))/>
            {each(titles, move |title| batch_view(order, title, wanted))}
            <section class="fit__batch" data-batch="readjust" hidden=flag(move || readjust.read().is_empty())>
                <h3 class="fit__title">"To set again, once it plays"</h3>
                <Steps steps=readjust/>
            </section>
    }
}

/// Parts that are worked on together, between opening their area and closing
/// it.
fn batch_view(order: Memo<Arc<Order>>, title: String, wanted: RwSignal<Option<String>>) -> AnyView {
    let heading = title.clone();
    let batch = Memo::new(move |_| {
        let all = order.read();
        all.batches.iter().find(|b| b.title == title).cloned()
    });
    let keys = Memo::new(move |_| batch.get().map(|b| b.keys).unwrap_or_default());
    let rows = LongRows::new(keys, ROW);
    Effect::new(move |_| {
        if let Some(key) = wanted.get().filter(|key| keys.read_untracked().contains(key)) {
            rows.go_to(&key);
        }
    });
    let opens = Memo::new(move |_| batch.get().map(|b| b.opens).unwrap_or_default());
    let closes = move || {
        let words = batch.get().and_then(|b| b.closes);
        words.map(|words| view! { <p class="fit__closes">{words}</p> })
    };
    view! {
        <section class="fit__batch">
            <h3 class="fit__title">{heading}</h3>
            <Steps steps=opens/>
            <ul class="fit__list" node_ref=rows.frame on:focusin=move |_| rows.look()>
                {rows.view(Gap::Item, move |key| view! { <FitRow key rows/> })}
            </ul>
            {piece(closes)}
        </section>
    }
    .into_any()
}

/// One part: done or not, what it measured, readings on the old one.
#[component]
fn FitRow(
    /// The key of the part.
    key: String,
    /// The rows it is of.
    rows: LongRows<String>,
) -> impl IntoView {
    let app = app();
    let (place, size) = (rows.number(&key, 1), rows.total(0));
    let key = StoredValue::new(key);
    let part = Memo::new(move |_| {
        key.with_value(|key| app.open.plan.read().parts.iter().find(|p| p.key == *key).cloned())
    });
    let record = Memo::new(move |_| key.with_value(|key| app.open.record.read().part(key)));
    let toggle = move |done: bool| {
        let at = done.then(now);
        key.with_value(|key| {
            app.change_open(|set| set.part_mut(key).done_at = at);
            // What is reserved for the part is taken out of its drawer, or put back.
            if let Some(id) = app.open.id.get_untracked() {
                app.change(|bench| bench.fitted(id, key, done));
            }
        });
    };
    let is_ticked = move || record.read().done_at.is_some();
    let stands = Memo::new(move |_| {
        let (part, record) = (part.read(), record.read());
        part.as_ref().map_or(PartState::Open, |part| state(part, &record))
    });
    let name = key.get_value();
    let label = {
        let name = name.clone();
        move || {
            let decision = part.read().as_ref().map_or(Decision::Keep, |p| p.decision);
            match record.read().done_at {
                Some(at) => words::ticked(decision, &name, stands.get(), &at.day(app.ahead)),
                None => words::ask(decision, &name),
            }
        }
    };
    let is_out = move || matches!(stands.get(), PartState::Failing | PartState::Unclear);
    view! {
        <li
            class="fit__row"
            class:fit__row--done=move || stands.get() == PartState::Done
            class:fit__row--out=is_out
            data-part=name
            aria-posinset=place
            aria-setsize=size
        >
            <label class="tick-label">
                <input
                    class="tick-label__box"
                    type="checkbox"
                    prop:checked=flag(is_ticked)
                    on:change:target=move |e| toggle(e.target().checked())
                />
                <span class="tick-label__name">{piece(label)}</span>
            </label>
            {piece(move || part.get().map(|part| body(&part, key, record)))}
        </li>
    }
}

type Record = Memo<PartRecord>;

fn body(part: &PlannedPart, key: StoredValue<String>, record: Record) -> AnyView {
    let app = app();
    let plan: Arc<_> = app.open.plan.get_untracked();
    let leads = lead_words(part).into_iter().map(|w| view! { <li>{w}</li> }).collect_view();
    let old = part.old.text.clone();
    let measured = part.replacement.as_ref().map(|new| {
        let (least, most) = (new.window.0.to_string(), new.window.1.to_string());
        let check =
            Check { what: "New part measures".to_owned(), least: Some(least), most: Some(most) };
        reading(part, key, record, &check, true)
    });
    let checks =
        part.checks.iter().map(|check| reading(part, key, record, check, false)).collect_view();
    view! {
        <div class="fit__body">
            <div class="fit__words">
                <p class="fit__task">
                    <DecisionMark decision=part.decision/>" "<b>{task(part)}</b>
                </p>
                <p class="fit__old">"Old: "{old}</p>
                <ul class="fit__leads">{leads}</ul>
                <p class="part__hazards">{hazard_marks(&plan, part)}</p>
            </div>
            <div class="fit__readings">{checks}{measured}</div>
        </div>
    }
    .into_any()
}

/// A reading on the new part, or on the old one under the words of its check.
fn reading(
    part: &PlannedPart,
    key: StoredValue<String>,
    record: Record,
    check: &Check,
    on_new: bool,
) -> AnyView {
    let app = app();
    let what = check.what.clone();
    // The same reading as under `Old parts`; a check without a slot there is
    // kept under its own words.
    let slot = Slot::of_check(&what).filter(|_| !on_new);
    let kept = slot.map_or_else(|| what.clone(), |slot| slot.key().to_owned());
    let limits = (check.least.clone(), check.most.clone());
    let of_limits = limits.0.as_deref().or(limits.1.as_deref()).map(unit_of).unwrap_or_default();
    let unit = slot.map_or(of_limits, |slot| slot.unit(part)).to_owned();
    let shown_unit = slot.map_or("", |slot| slot.unit(part));
    let typed = {
        let (what, kept) = (what.clone(), kept.clone());
        Memo::new(move |_| {
            let record = record.read();
            if on_new {
                record.measured.clone()
            } else {
                // Readings of before stand under the words of their check.
                let found = record.readings.get(&kept).or_else(|| record.readings.get(&what));
                found.cloned().unwrap_or_default()
            }
        })
    };
    let short = short(&what);
    let label = match (&limits.0, &limits.1) {
        (Some(least), Some(most)) => format!("{short} ({least} to {most})"),
        (Some(least), None) => format!("{short} (at least {least})"),
        (None, Some(most)) => format!("{short} (at most {most})"),
        (None, None) => short.to_owned(),
    };
    let verdict =
        Memo::new(move |_| judge(&typed.read(), &unit, limits.0.as_deref(), limits.1.as_deref()));
    let error = Signal::derive(move || verdict.read().as_ref().err().map(ToString::to_string));
    let slug: String = what.chars().filter(char::is_ascii_alphanumeric).take(24).collect();
    let field = Field {
        id: format!("reading-{}-{slug}", key.get_value().replace('/', "-")),
        label,
        unit: shown_unit,
        decimal: true,
        data: if on_new { "measured".into() } else { "reading".into() },
        ..Field::default()
    };
    let on_input = move |text: String| {
        key.with_value(|key| {
            app.change_open(|set| {
                let part = set.part_mut(key);
                if on_new {
                    part.measured = text;
                } else {
                    part.readings.remove(&what);
                    if text.is_empty() {
                        part.readings.remove(&kept);
                    } else {
                        part.readings.insert(kept.clone(), text);
                    }
                }
            });
        });
    };
    view! {
        <TextField field value=typed on_input=Callback::new(on_input) error>
            <VerdictMark verdict/>
        </TextField>
    }
    .into_any()
}
