//! The cards on the page: one part at a time, to be read at arm's length and
//! turned with dirty hands.

use super::model::{self, Card, LeadCard, Mark, Strip};
use crate::bench::set::LeadRecord;
use crate::ui::browser::now;
use crate::ui::draw::Picture;
use crate::ui::kit::dynamic::{each, flag, piece, text};
use crate::ui::kit::{DecisionMark, arrows};
use crate::ui::long::GoTo;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;
use std::sync::Arc;

/// Longer lists are no help to choose from, and slow: the card is typed instead.
const MOST_CHOICES: usize = 500;

type Open = Memo<Option<String>>;

/// The card of one part, and the way to the next.
#[component]
pub fn LeadsView() -> impl IntoView {
    let app = app();
    let chosen = RwSignal::new(None::<String>);
    let keys = Memo::new(move |_| model::keys(&app.open.sheet.read(), &app.open.plan.read()));
    let open: Open = Memo::new(move |_| {
        let keys = keys.read();
        let kept = chosen.get().filter(|key| keys.contains(key));
        kept.or_else(|| keys.first().cloned())
    });
    let go = move |by: isize| {
        let from = open.get_untracked().unwrap_or_default();
        chosen.set(model::step(&keys.get_untracked(), &from, by));
    };
    arrows(go);
    let card = Memo::new(move |_| {
        let (sheet, wiring) = (app.open.sheet.get(), worked().wiring.get());
        let card = model::card(&sheet, &wiring, &app.open.plan.read(), &open.get()?)?;
        Some(Arc::new(card))
    });
    let place = move || {
        let keys = keys.read();
        let at = open.get().and_then(|key| keys.iter().position(|k| *k == key)).unwrap_or(0);
        format!("Card {} of {}", at + 1, keys.len())
    };
    let is_empty = Memo::new(move |_| keys.read().is_empty());
    view! {
        <p class="sheet__empty" hidden=flag(move || !is_empty.get())>
            "No cards yet. They are worked out from the parts."
        </p>
        <div class="card-turn no-print" hidden=flag(move || is_empty.get())>
            <button class="button card-turn__button" type="button" on:click=move |_| go(-1)>
                "← Back"
            </button>
            <label class="card-turn__pick">
                <span class="card-turn__count" data-count="cards">{piece(place)}</span>
                <select
                    class="field__input field__input--select"
                    aria-label="Part"
                    hidden=flag(move || keys.read().len() > MOST_CHOICES)
                    prop:value=text(move || open.get().unwrap_or_default())
                    on:change:target=move |e| chosen.set(Some(e.target().value()))
                >
                    {options(keys, open)}
                </select>
            </label>
            <button class="button card-turn__button" type="button" on:click=move |_| go(1)>
                "Next →"
            </button>
        </div>
        <GoTo keys on_go=Callback::new(move |key| chosen.set(Some(key)))/>
        {piece(move || card.get().map(|card| card_view(&card)))}
    }
}

/// One for each key, kept while it is there: the browser keeps which is chosen.
fn options(keys: Memo<Vec<String>>, open: Open) -> AnyView {
    each(
        move || if keys.read().len() > MOST_CHOICES { Vec::new() } else { keys.get() },
        move |key: String| {
            let is_open = open.read_untracked().as_ref() == Some(&key);
            view! { <option value=key.clone() selected=is_open>{key}</option> }
        },
    )
}

fn card_view(card: &Card) -> AnyView {
    let leads = card.leads.iter().map(|lead| lead_view(&card.key, lead)).collect_view();
    let area = card.area.clone().map(|area| view! { <p class="lead-card__area">"In "{area}</p> });
    let missing = card.missing.clone().map(|words| view! { <p class="chart-note">{words}</p> });
    view! {
        <article class="lead-card" data-card=card.key.clone() aria-label=format!("Leads of {}", card.key)>
            <header class="lead-card__head">
                <h3 class="lead-card__key">{card.key.clone()}</h3>
                <div>
                    <p class="lead-card__task">
                        <DecisionMark decision=card.decision/>" "{card.task.clone()}
                    </p>
                    <p class="lead-card__old">"Old: "{card.old.clone()}</p>
                    {area}
                </div>
            </header>
            {missing}
            <div class="lead-card__leads">{leads}</div>
        </article>
    }
    .into_any()
}

fn lead_view(key: &str, lead: &LeadCard) -> AnyView {
    let places = lead
        .places
        .iter()
        .enumerate()
        .map(|(at, place)| {
            let class = if at == 0 { "lead__place" } else { "lead__place lead__place--more" };
            view! { <li class=class>{place.clone()}</li> }
        })
        .collect_view();
    let bases = lead
        .bases
        .iter()
        .map(|drawing| {
            let drawing = Some(Arc::new(drawing.clone()));
            view! { <div class="lead__base"><Picture drawing=Signal::stored(drawing)/></div> }
        })
        .collect_view();
    let strips = lead.strips.iter().map(strip_view).collect_view();
    let marks = Mark::ALL.map(|mark| mark_button(key, lead, mark)).collect_view();
    let name = lead.name.clone();
    view! {
        <section class="lead" data-lead=lead.id.clone() aria-label=format!("{key}, {name}")>
            <h4 class="lead__name">{name}</h4>
            <ul class="lead__places">{places}</ul>
            <div class="lead__marks no-print">{marks}</div>
            {bases}
            {strips}
        </section>
    }
    .into_any()
}

fn strip_view(strip: &Strip) -> AnyView {
    let rows = strip
        .lugs
        .iter()
        .map(|lug| {
            let class = if lug.is_here { "lug lug--here" } else { "lug" };
            let here = lug.is_here.then(|| view! { <b class="lug__word">"goes here"</b> });
            view! {
                <li class=class>
                    <span class="lug__number">{lug.number.clone()}</span>
                    <span class="lug__point">
                        {lug.what.clone()}" "<b>{lug.point.clone()}</b>
                    </span>
                    {here}
                </li>
            }
        })
        .collect_view();
    view! {
        <figure class="strip">
            <figcaption class="strip__title">{strip.title.clone()}</figcaption>
            <ol class="strip__lugs">{rows}</ol>
        </figure>
    }
    .into_any()
}

/// A large button that notes what was done with a lead.
fn mark_button(key: &str, lead: &LeadCard, mark: Mark) -> AnyView {
    let app = app();
    let (key, id) = (StoredValue::new(key.to_owned()), StoredValue::new(lead.id.clone()));
    let at = Memo::new(move |_| {
        let record = app.open.record.read();
        let part = key.with_value(|key| record.parts.get(key))?;
        let mut own: LeadRecord = id.with_value(|id| part.leads.get(id).copied())?;
        *mark.of(&mut own)
    });
    let toggle = move |_| {
        let next = if at.get_untracked().is_some() { None } else { Some(now()) };
        key.with_value(|key| {
            id.with_value(|id| {
                app.change_open(|set| {
                    let leads = &mut set.part_mut(key).leads;
                    *mark.of(leads.entry(id.clone()).or_default()) = next;
                });
            });
        });
    };
    let pressed = move || if at.get().is_some() { "true" } else { "false" };
    let when = move || at.get().map(|at| at.day(app.ahead)).unwrap_or_default();
    // What is not done never reads as done.
    let word = move || if at.get().is_some() { mark.word() } else { mark.ask() };
    let of = format!("{}, {}", key.get_value(), lead.name);
    let label = move || format!("{of}: {}", word());
    view! {
        <button
            class="lead-mark"
            type="button"
            aria-label=text(label)
            aria-pressed=text(pressed)
            data-mark=mark.word()
            on:click=toggle
        >
            <span class="lead-mark__word">{piece(word)}</span>
            <span class="lead-mark__when">{piece(when)}</span>
        </button>
    }
    .into_any()
}
