//! One set on the bench.

use super::move_set;
use crate::bench::progress::{Progress, Reach, Stage};
use crate::bench::set::{Life, SetId};
use crate::letters::Letters;
use crate::sheet::Reading;
use crate::ui::browser::now;
use crate::ui::kit::dynamic::{piece, text};
use crate::ui::out;
use crate::ui::route::Route;
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// A card: name, how far the job has come, what can be done with the set.
#[component]
pub fn SetCard(
    /// The set.
    id: SetId,
) -> impl IntoView {
    let app = app();
    let record = Memo::new(move |_| app.bench.with(|b| b.set(id).cloned().map(Arc::new)));
    let name = Signal::derive(move || record.read().as_ref().map(|r| r.name()).unwrap_or_default());
    let changed = move || {
        record.read().as_ref().map(|r| r.changed.day_and_time(app.ahead)).unwrap_or_default()
    };
    let stages = Memo::new(move |_| record.get().map(|r| stages_of(app, &r)).unwrap_or_default());
    let next = move || stages.read().iter().find(|(_, p)| p.reach != Reach::Done).map(|(s, _)| *s);
    view! {
        <article class="card" data-set=id.to_string()>
            <h2 class="card__name">
                <a
                    class="card__link"
                    href=text(move || Route::Set(id, next().unwrap_or(Stage::Record)).hash())
                >
                    {name}
                </a>
            </h2>
            <ol class="card__path">
                {piece(move || stages.get().into_iter().map(|(stage, p)| dot(stage, p)).collect_view())}
            </ol>
            <p class="card__changed">"Changed "{piece(changed)}</p>
            {piece(move || {
                let life = record.read().as_ref().map_or(Life::Active, |r| r.life);
                actions(app, id, life, name)
            })}
        </article>
    }
}

fn stages_of(app: App, record: &crate::bench::set::SetRecord) -> Vec<(Stage, Progress)> {
    let workshop = app.workshop.get();
    let sheet = workshop.read(&mut Reading::default(), &record.text);
    let plan = workshop.plan(&sheet);
    Stage::ALL
        .map(|s| (s, workshop.progress(s, record, (&sheet, &plan), true)))
        .into_iter()
        .collect()
}

fn dot(stage: Stage, progress: Progress) -> impl IntoView {
    let (class, words) = match progress.reach {
        Reach::Untouched => ("card__stage", "not begun"),
        Reach::Begun => ("card__stage card__stage--begun", "begun"),
        Reach::Done => ("card__stage card__stage--done", "done"),
        Reach::Stopped => ("card__stage card__stage--begun", "stopped"),
    };
    let words = if progress.words.is_empty() { words.to_owned() } else { progress.words };
    view! {
        <li class=class>
            <span class="card__stage-name">{stage.label()}</span>
            <span class="card__stage-words">{words}</span>
        </li>
    }
}

/// What can be done with a set of that state.
fn actions(app: App, id: SetId, life: Life, name: Signal<String>) -> AnyView {
    let button = move |verb: &'static str, act: Box<dyn Fn()>| -> AnyView {
        view! {
            <button
                class="button button--quiet"
                type="button"
                data-action=verb.lower()
                aria-label=text(move || format!("{verb}: {}", name.get()))
                on:click=move |_| act()
            >
                {verb}
            </button>
        }
        .into_any()
    };
    let move_to = move |to: Life, words: &'static str| -> Box<dyn Fn()> {
        Box::new(move || move_set(id, to, words))
    };
    let list = match life {
        Life::Active => vec![
            button("Duplicate", Box::new(move || duplicate(app, id))),
            button("Export", Box::new(move || export(app, id))),
            button("Archive", move_to(Life::Archived, "archived")),
            button(
                "Delete",
                Box::new(move || move_set(id, Life::Deleted { at: now() }, "deleted")),
            ),
        ],
        Life::Archived => vec![
            button("Back to the bench", move_to(Life::Active, "back on the bench")),
            button("Export", Box::new(move || export(app, id))),
            button(
                "Delete",
                Box::new(move || move_set(id, Life::Deleted { at: now() }, "deleted")),
            ),
        ],
        Life::Deleted { .. } => vec![
            button("Restore", move_to(Life::Active, "restored")),
            button("Delete for good", Box::new(move || out::purge(app, id))),
        ],
    };
    view! { <div class="card__actions">{list}</div> }.into_any()
}

fn duplicate(app: App, id: SetId) {
    if app.change(|bench| bench.duplicate(id, now())).is_some() {
        app.say("Duplicated, with nothing checked off.", None);
    }
}

fn export(app: App, id: SetId) {
    let (name, bench) = app.bench.with_untracked(|bench| {
        let name = bench.set(id).map(crate::bench::set::SetRecord::name).unwrap_or_default();
        (name, bench.only(id))
    });
    out::export(app, bench, &name);
}
