//! Readings on old parts, one part at a time.

use super::model::{Listed, facts, judgement, keys};
use crate::bench::old::{self, Finding, Good, IN_PLACE, Judgement, Limit, NULLS, Slot};
use crate::bench::reading;
use crate::letters::Letters;
use crate::plan::types::PlannedPart;
use crate::sheet::part::PartKind;
use crate::ui::kit::dynamic::{flag, piece, text};
use crate::ui::kit::{DecisionMark, Field, SelectField, TextField, Workings};
use crate::ui::long::{Gap, GoTo, LongRows, Opened};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;
use std::collections::BTreeMap;

/// About the height of a row, in CSS pixels, until some were drawn.
const ROW: f64 = 66.0;

type Readings = Memo<BTreeMap<String, String>>;

/// Every part that readings are taken on.
#[component]
pub fn OldPartsView() -> impl IntoView {
    let app = app();
    let listed = RwSignal::new(Listed::ToTest);
    let all = move |which| keys(&app.open.plan.read(), &app.open.record.read(), which);
    let shown = Memo::new(move |_| all(listed.get()));
    let is_empty = Memo::new(move |_| shown.read().is_empty());
    let rows = LongRows::new(shown, ROW);
    let opened = Opened::none();
    let choices = Listed::ALL
        .map(|choice| {
            view! {
                <label class="segments__item">
                    <input
                        class="segments__input"
                        type="radio"
                        name="old-listed"
                        value=choice.label().lower()
                        prop:checked=flag(move || listed.get() == choice)
                        on:change=move |_| listed.set(choice)
                    />
                    <span class="segments__label">
                        {choice.label()}" "
                        <b class="segments__count">{piece(move || all(choice).len())}</b>
                    </span>
                </label>
            }
        })
        .collect_view();
    view! {
        <p class="sheet__lead">
            "Discharge first. Lift one lead where you can: a test voltage in circuit also reaches what the part is joined to. Test capacitors at the volts they work at; a meter's few volts pass leaky ones."
        </p>
        <Instruments/>
        <fieldset class="segments no-print" data-control="old-listed">
            <legend class="unseen">"Parts listed"</legend>
            {choices}
        </fieldset>
        <p class="sheet__empty" hidden=flag(move || !is_empty.get())>"No parts of this kind."</p>
        <GoTo keys=shown on_go=Callback::new(move |key: String| rows.go_to(&key))/>
        <ul class="old" node_ref=rows.frame on:focusin=move |_| rows.look()>
            {rows.view(Gap::Item, move |key| view! { <OldPart key rows opened/> })}
        </ul>
    }
}

/// What the instruments at hand cannot show.
#[component]
fn Instruments() -> impl IntoView {
    let app = app();
    let fields = Limit::ALL
        .map(|limit| {
            let typed = Memo::new(move |_| {
                let record = app.open.record.read();
                record.instruments.get(limit.key()).cloned().unwrap_or_default()
            });
            let error = Signal::derive(move || {
                reading::figure(&typed.read(), limit.unit()).err().map(|e| e.to_string())
            });
            let field = Field {
                id: format!("limit-{}", limit as usize),
                label: limit.label().to_owned(),
                unit: limit.unit(),
                decimal: true,
                data: "instrument".into(),
                ..Field::default()
            };
            let on_input = move |text: String| {
                app.change_open(|set| keep(&mut set.instruments, limit.key(), text));
            };
            view! { <TextField field value=typed on_input=Callback::new(on_input) error/> }
        })
        .collect_view();
    view! {
        <details class="fold no-print">
            <summary>"What the instruments can show"</summary>
            <p class="field__hint">
                "Left empty, a capacitance reading may err by 10 %, and OL says only that a reading is above what the meter shows."
            </p>
            <div class="old__fields">{fields}</div>
        </details>
    }
}

fn keep(all: &mut BTreeMap<String, String>, key: &str, text: String) {
    if text.is_empty() {
        all.remove(key);
    } else {
        all.insert(key.to_owned(), text);
    }
}

/// One part: a line, and when opened its fields and what they say.
#[component]
fn OldPart(
    /// The key of the part.
    key: String,
    /// The rows it is of.
    rows: LongRows<String>,
    /// The keys of those that are open: they stay so while they are out of view.
    opened: Opened,
) -> impl IntoView {
    let app = app();
    let id = format!("old-{}", key.replace('/', "-"));
    let name = key.clone();
    let (place, size) = (rows.number(&key, 1), rows.total(0));
    let open = {
        let key = key.clone();
        Memo::new(move |_| opened.has(&key))
    };
    let turn = {
        let key = key.clone();
        move |_| opened.turn(&key)
    };
    let key = StoredValue::new(key);
    let part = Memo::new(move |_| {
        key.with_value(|key| app.open.plan.read().parts.iter().find(|p| p.key == *key).cloned())
    });
    let readings =
        Memo::new(move |_| key.with_value(|key| app.open.record.read().part(key).readings));
    let instruments = Memo::new(move |_| app.open.record.read().instruments.clone());
    let found = Memo::new(move |_| {
        let (part, readings) = (part.get()?, readings.read());
        if readings.is_empty() {
            return None;
        }
        let (sheet, wiring) = (app.open.sheet.get(), worked().wiring.get());
        judgement(&sheet, &wiring, &part, &readings, &instruments.read())
    });
    let summary = move || {
        part.get().map(|part| {
            view! {
                <span class="old__mark">{part.old.text.clone()}</span>
                <DecisionMark decision=part.decision/>
            }
        })
    };
    let word = move || found.read().as_ref().map_or("", |f| f.good.word());
    let sentence = move || found.read().as_ref().map(|f| f.sentence.clone());
    view! {
        <li
            class="old__part"
            data-part=name.clone()
            aria-posinset=place
            aria-setsize=size
        >
            <button
                class="old__open"
                type="button"
                aria-expanded=text(move || open.get().to_string())
                aria-controls=id.clone()
                on:click=turn
            >
                <b class="old__name">{name.clone()}</b>
                {piece(summary)}
            </button>
            <p class="old__said" role="status" data-judged=text(move || word().lower())>
                {piece(move || found.read().as_ref().map(|f| mark(f.good)))}
                " "
                {piece(sentence)}
            </p>
            <div class="old__body" id=id hidden=flag(move || !open.get())>
                {piece(move || {
                    open.get().then(|| part.get().map(|part| body(&part, key, readings, found)))
                })}
            </div>
        </li>
    }
}

fn mark(good: Good) -> AnyView {
    let (class, shape) = match good {
        Good::Passes => ("verdict verdict--within", "✓ "),
        Good::Doubtful => ("verdict verdict--doubt", "? "),
        Good::Fails => ("verdict verdict--out", "✕ "),
    };
    view! { <span class=class>{shape}{good.word()}</span> }.into_any()
}

fn body(
    part: &PlannedPart,
    key: StoredValue<String>,
    readings: Readings,
    found: Memo<Option<Judgement>>,
) -> AnyView {
    let told = facts(part)
        .into_iter()
        .map(|(name, value)| {
            view! {
                <div class="facts__row">
                    <dt>{name}</dt>
                    <dd>{value}</dd>
                </div>
            }
        })
        .collect_view();
    let slots: &[Slot] =
        if part.kind == PartKind::Capacitor { &Slot::CAPACITOR } else { &[Slot::Resistance] };
    let fields = slots
        .iter()
        .map(|slot| match slot {
            Slot::Null => null(key, readings),
            slot => number(part, key, *slot, readings),
        })
        .collect_view();
    let in_place = move |is_in_place: bool| {
        let word = if is_in_place { IN_PLACE } else { "" };
        put(key, Slot::InPlace, word.to_owned());
    };
    let findings =
        move || found.read().as_ref().map(|f| f.findings.iter().map(finding).collect_view());
    view! {
        <dl class="facts">{told}</dl>
        <label class="tick-label">
            <input
                class="tick-label__box"
                type="checkbox"
                prop:checked=flag(move || old::in_place(&readings.read()))
                on:change:target=move |e| in_place(e.target().checked())
            />
            <span>"Taken in circuit, no lead lifted"</span>
        </label>
        <div class="old__fields">{fields}</div>
        <div class="old__findings">{piece(findings)}</div>
    }
    .into_any()
}

fn put(key: StoredValue<String>, slot: Slot, text: String) {
    key.with_value(|key| {
        app().change_open(|set| keep(&mut set.part_mut(key).readings, slot.key(), text));
    });
}

fn number(part: &PlannedPart, key: StoredValue<String>, slot: Slot, readings: Readings) -> AnyView {
    let typed = Memo::new(move |_| readings.read().get(slot.key()).cloned().unwrap_or_default());
    let unit = slot.unit(part);
    let error = Signal::derive(move || {
        reading::figure(&typed.read(), unit).err().map(|error| error.to_string())
    });
    let field = Field {
        id: format!("old-{}-{}", key.get_value().replace('/', "-"), slot as usize),
        label: slot.label().to_owned(),
        unit,
        decimal: true,
        data: "old-reading".into(),
        ..Field::default()
    };
    let on_input = Callback::new(move |text: String| put(key, slot, text));
    view! { <TextField field value=typed on_input error/> }.into_any()
}

fn null(key: StoredValue<String>, readings: Readings) -> AnyView {
    let slot = Slot::Null;
    let typed = Memo::new(move |_| readings.read().get(slot.key()).cloned().unwrap_or_default());
    let field = Field {
        id: format!("old-{}-null", key.get_value().replace('/', "-")),
        label: slot.label().to_owned(),
        data: "old-reading".into(),
        ..Field::default()
    };
    let on_choose = Callback::new(move |word: String| put(key, slot, word));
    view! { <SelectField field value=typed choices=NULLS.to_vec() on_choose/> }.into_any()
}

fn finding(finding: &Finding) -> AnyView {
    view! {
        <details class="fold old__finding">
            <summary>{mark(finding.good)}" "{finding.sentence.clone()}</summary>
            <Workings workings=vec![finding.working.clone()]/>
        </details>
    }
    .into_any()
}
