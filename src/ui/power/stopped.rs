//! On a step: what stops it, what is passed with a reason, and what stands on
//! it from the steps before.

use super::model::{self, Alarm};
use super::reason::{ReasonForm, Restart};
use super::told::Told;
use crate::bench::power::{Cause, Stop};
use crate::bench::set::SetRecord;
use crate::bench::{halt, overrides, steps};
use crate::plan::types::{PowerStep, StopKind};
use crate::ui::browser::{now, show};
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;

/// What is said of stops on one step.
#[component]
pub fn StepStops(
    /// The step, by its id.
    id: StoredValue<String>,
    /// Its place.
    at: Memo<Option<usize>>,
) -> impl IntoView {
    let (app, worked) = (app(), worked());
    let own = move |open: bool| {
        Memo::new(move |_| {
            let (Some(at), status) = (at.get(), worked.status.read()) else { return Vec::new() };
            status.at(at).filter(|stop| stop.is_open() == open).cloned().collect::<Vec<Stop>>()
        })
    };
    let (open, passed) = (own(true), own(false));
    let before = Memo::new(move |_| {
        let (Some(at), status) = (at.get(), worked.status.read()) else { return Vec::new() };
        let (steps, mut said) = (worked.steps.read(), Vec::new());
        let told = Told { steps: &steps, ahead: app.ahead };
        for stop in status.before(at) {
            said.push((stop.is_open(), told.before(stop)));
        }
        said
    });
    let look = Memo::new(move |_| {
        let (steps, study) = (worked.steps.read(), worked.study.read());
        let step = steps.get(at.get()?)?;
        let kept = app.open.record.read().step(&step.id);
        model::alarm(step, &kept, study.as_ref().as_ref().ok())
    });
    let notes = move || {
        let note = |(is_open, words): (bool, String)| {
            let class = if is_open { "standing standing--open" } else { "standing" };
            view! { <li class=class>{words}</li> }
        };
        before.get().into_iter().map(note).collect_view()
    };
    view! {
        <ul class="step__standing" data-standing-on="" hidden=flag(move || before.read().is_empty())>
            {piece(notes)}
        </ul>
        {piece(move || passed.get().into_iter().map(|stop| passed_view(id, stop)).collect_view())}
        {piece(move || {
            let stops = open.get();
            (!stops.is_empty()).then(|| open_view(id, &stops, look.get()))
        })}
    }
}

/// A stop that is passed, with its reason, or a note that stops nothing.
fn passed_view(id: StoredValue<String>, stop: Stop) -> AnyView {
    let (app, worked) = (app(), worked());
    let steps = worked.steps.get_untracked();
    let told = Told { steps: &steps, ahead: app.ahead };
    let words = told.passed(&stop).unwrap_or_else(|| told.cause(&stop));
    let is_advice = stop.kind == StopKind::Advice;
    let withdraw = move |_| {
        id.with_value(|id| app.change_open(|set| take_back(set, id, &stop)));
    };
    view! {
        <div class="passed" data-passed="">
            <p class="passed__words">{words}</p>
            <button
                class="button button--quiet no-print"
                type="button"
                hidden=is_advice
                on:click=withdraw
            >
                "Withdraw the reason"
            </button>
        </div>
    }
    .into_any()
}

fn take_back(set: &mut SetRecord, id: &str, stop: &Stop) {
    match (&stop.cause, stop.against()) {
        (Cause::Halted { key, .. }, _) => halt::withdraw(set, key),
        (Cause::Skipped, _) => steps::unskip(set, id, now()),
        (_, Some(against)) => overrides::withdraw(set.step_mut(id), &against, now()),
        (_, None) => {}
    }
}

/// What stops the step: what is wrong, what to do, where to look, and the ways
/// on, where there are any.
fn open_view(id: StoredValue<String>, stops: &[Stop], look: Option<Alarm>) -> AnyView {
    let (app, worked) = (app(), worked());
    let all = worked.steps.get_untracked();
    let told = Told { steps: &all, ahead: app.ahead };
    let causes = stops.iter().map(|stop| {
        view! { <p class="alarm__what"><b>"Stopped here. "</b>{told.cause(stop)}</p> }
    });
    let causes = causes.collect_view();
    let look = look.map(|Alarm { act, look, .. }| {
        let some = !look.is_empty();
        let look = look.into_iter().map(|look| view! { <li>{look}</li> }).collect_view();
        view! {
            <p class="alarm__do">{act}</p>
            {some.then(|| view! { <p><b>"Look first: "</b></p> })}
            <ul class="alarm__look">{look}</ul>
        }
    });
    let restarts = stops.iter().find_map(|stop| restart_of(stop, &all));
    let restart = restarts.map(|NewStart { halt }| {
        view! { <Restart step=id.get_value() halt/> }
    });
    let cures = stops.iter().filter(|stop| !stop.is_overridable());
    let cures = cures.map(|stop| view! { <p class="alarm__cure">{told.cure(stop)}</p> });
    let cures = cures.collect_view();
    let skipped = stops.iter().any(|stop| stop.cause == Cause::Skipped);
    let unskip = move |_| id.with_value(|id| app.change_open(|set| steps::unskip(set, id, now())));
    let unskip = skipped.then(|| {
        view! {
            <button class="button no-print" type="button" on:click=unskip>
                "Take the skip back"
            </button>
        }
    });
    let ways = stops.iter().enumerate().filter(|(_, stop)| stop.is_overridable());
    let ways = ways.map(|(at, stop)| way_on(id, at, stop.clone())).collect_view();
    view! {
        <section class="alarm" data-alarm="">
            <div role="alert">{causes}{look}{cures}</div>
            {restart}
            {unskip}
            {ways}
        </section>
    }
    .into_any()
}

/// After a stop under power: the halt, where one is noted.
struct NewStart {
    halt: Option<String>,
}

/// Whether the run starts again after this stop.
fn restart_of(stop: &Stop, steps: &[PowerStep]) -> Option<NewStart> {
    match &stop.cause {
        Cause::Halted { key, .. } => Some(NewStart { halt: Some(key.clone()) }),
        Cause::Reading { .. } if halt::in_run(steps[stop.step].phase) => {
            Some(NewStart { halt: None })
        }
        _ => None,
    }
}

/// The way on with a written reason.
fn way_on(id: StoredValue<String>, at: usize, stop: Stop) -> AnyView {
    let app = app();
    let (label, button) = match &stop.cause {
        Cause::Halted { .. } => ("Or go on without a new start, because", "Go on with this reason"),
        Cause::Skipped => ("Why it is skipped", "Skip it with this reason"),
        _ => ("Or go on all the same, because", "Go on with this reason"),
    };
    let give = move |reason: String| {
        id.with_value(|id| {
            app.change_open(|set| {
                match (&stop.cause, stop.against()) {
                    (Cause::Halted { key, .. }, _) => halt::resume(set, key, &reason, now()),
                    (_, Some(against)) => {
                        overrides::give(set.step_mut(id), &against, &reason, now())
                    }
                    (_, None) => false,
                };
            });
        });
    };
    let id = format!("reason-{}-{at}", id.get_value());
    view! { <ReasonForm id label button on_give=Callback::new(give)/> }
}

/// At the head of the steps: where the power-up stands, and every reason that
/// was given.
#[component]
pub fn Standing() -> impl IntoView {
    let (app, worked) = (app(), worked());
    let is_stopped = Memo::new(move |_| worked.status.read().stopped().is_some());
    let head = Memo::new(move |_| {
        let (status, steps) = (worked.status.read(), worked.steps.read());
        Told { steps: &steps, ahead: app.ahead }.head(&status)
    });
    let reasons = Memo::new(move |_| {
        let (status, steps) = (worked.status.read(), worked.steps.read());
        let told = Told { steps: &steps, ahead: app.ahead };
        let passed = status.stops.iter().filter(|stop| stop.passed.is_some());
        passed.map(|stop| told.before(stop)).collect::<Vec<_>>()
    });
    let go = move |_| show("[data-step][aria-current=step] h4");
    view! {
        <section
            class="power-standing"
            class:power-standing--stopped=move || is_stopped.get()
            data-power=move || if is_stopped.get() { "stopped" } else { "going" }
            aria-label="Where the power-up stands"
        >
            <p class="power-standing__head" role="status">{piece(move || head.get())}</p>
            <button
                class="button no-print"
                type="button"
                hidden=flag(move || worked.status.read().current.is_none())
                on:click=go
            >
                "Go to this step"
            </button>
            <ul class="power-standing__reasons" data-list="reasons" hidden=flag(move || reasons.read().is_empty())>
                {piece(move || {
                    reasons.get().into_iter().map(|words| view! { <li class="standing">{words}</li> }).collect_view()
                })}
            </ul>
        </section>
    }
}
