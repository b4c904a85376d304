//! One step of the power-up.

use super::reason::ReasonForm;
use super::stopped::StepStops;
use super::told::{Told, limits};
use crate::bench::hold::{self, Hold};
use crate::bench::power::Stop;
use crate::bench::reading::judge;
use crate::bench::set::StepRecord;
use crate::bench::steps::{self, Standing};
use crate::letters::Letters;
use crate::plan::types::{PowerStep, Reading, StopKind};
use crate::ui::browser::now;
use crate::ui::kit::dynamic::{flag, piece, piece_if, text, word};
use crate::ui::kit::{Field, TextField, VerdictMark, Workings};
use crate::ui::long::heights::WHOLE;
use crate::ui::long::{Gap, LongRows};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;

type Kept = Memo<StepRecord>;

/// About the height of a reading, in CSS pixels, until some were drawn.
const READING: f64 = 90.0;

/// A step: what to do, what to expect, when to stop; its hold and its readings.
#[component]
pub fn StepCard(
    /// The id of the step.
    id: String,
    /// The steps of its phase.
    rows: LongRows<String>,
) -> impl IntoView {
    let (app, worked) = (app(), worked());
    let (place, size) = (rows.number(&id, 1), rows.total(0));
    let id = StoredValue::new(id);
    let at = Memo::new(move |_| {
        id.with_value(|id| app.open.plan.read().power_up.iter().position(|s| s.id == *id))
    });
    let step = Memo::new(move |_| Some(worked.steps.read().get(at.get()?)?.clone()));
    let standing = Memo::new(move |_| {
        let status = worked.status.read();
        at.get().and_then(|at| status.standings.get(at).copied()).unwrap_or(Standing::Later)
    });
    let kept = Memo::new(move |_| id.with_value(|id| app.open.record.read().step(id)));
    let is_stopped = Memo::new(move |_| {
        let status = worked.status.read();
        at.get().is_some_and(|at| status.at(at).any(Stop::is_open))
    });
    let class = move || {
        let state = match standing.get() {
            Standing::Done => "done",
            Standing::Skipped => "skipped",
            Standing::Now => "now",
            Standing::Later => "later",
            Standing::Held => "later step--held",
        };
        let stopped = if is_stopped.get() { " step--stopped" } else { "" };
        format!("step step--{state}{stopped}")
    };
    view! {
        <li
            class=text(class)
            data-step=id.get_value()
            aria-posinset=place
            aria-setsize=size
            data-standing=text(move || format!("{:?}", standing.get()).lower())
            aria-current=word(move || (standing.get() == Standing::Now).then_some("step"))
        >
            {piece(move || step.get().map(|step| told(&step, at.get().unwrap_or(0) + 1)))}
            {piece(move || step.get().and_then(|s| s.hold_seconds).map(|s| view! { <HoldTimer id kept seconds=s/> }))}
            {readings_view(id, kept, step)}
            <StepStops id at/>
            <Check id at standing kept/>
        </li>
    }
}

/// The fields for its readings.
fn readings_view(id: StoredValue<String>, kept: Kept, step: Memo<Option<PowerStep>>) -> AnyView {
    let all = Memo::new(move |_| step.get().map(|step| step.readings).unwrap_or_default());
    let many = Memo::new(move |_| all.read().len() > WHOLE);
    piece(move || {
        if many.get() {
            return many_readings(id, kept, all);
        }
        let shown = move || all.get().into_iter().map(|r| reading(id, kept, r)).collect_view();
        view! { <div class="step__readings">{piece(shown)}</div> }
    })
}

/// The same for a step that asks for one at every tube of a large set.
fn many_readings(id: StoredValue<String>, kept: Kept, all: Memo<Vec<Reading>>) -> AnyView {
    let places = Memo::new(move |_| (0..all.read().len()).collect::<Vec<usize>>());
    let rows = LongRows::new(places, READING);
    let row = move |at: usize| {
        let asked = Memo::new(move |_| all.read().get(at).cloned());
        view! {
            <div class="step__reading">
                {piece(move || asked.get().map(|asked| reading(id, kept, asked)))}
            </div>
        }
    };
    view! {
        <div node_ref=rows.frame on:focusin=move |_| rows.look()>{rows.view(Gap::Block, row)}</div>
    }
}

fn told(step: &PowerStep, number: usize) -> AnyView {
    let line =
        step.line_v.map(|v| view! { <span class="step__line">{format!("{v} V line")}</span> });
    let expect =
        step.expect.clone().map(|e| view! { <p class="step__expect"><b>"Expect: "</b>{e}</p> });
    let stop_if =
        step.stop_if.clone().map(|s| view! { <p class="step__stop"><b>"Stop if: "</b>{s}</p> });
    let working = (!step.working.is_empty()).then(|| {
        view! {
            <details class="fold no-print">
                <summary>"Working and source"</summary>
                <Workings workings=step.working.clone()/>
            </details>
        }
    });
    view! {
        <h4 class="step__title" tabindex="-1">
            <span class="box print-only" aria-hidden="true"></span>
            <span class="step__number">{number}"."</span>
            {step.title.clone()}
            {line}
        </h4>
        <p class="step__action">{step.action.clone()}</p>
        {expect}
        {stop_if}
        {working}
    }
    .into_any()
}

/// Done, skipped with a reason, or not yet.
#[component]
fn Check(
    /// The step.
    id: StoredValue<String>,
    /// Its place.
    at: Memo<Option<usize>>,
    /// How it stands.
    standing: Memo<Standing>,
    /// What is kept of it.
    kept: Kept,
) -> impl IntoView {
    let (app, worked) = (app(), worked());
    let tick = move |at| id.with_value(|id| app.change_open(|set| steps::set_done(set, id, at)));
    let may_tick = Memo::new(move |_| at.get().is_some_and(|at| worked.status.read().may_tick(at)));
    let is_done = Memo::new(move |_| standing.get() == Standing::Done);
    let may_skip = Memo::new(move |_| {
        let steps = worked.steps.read();
        let step = at.get().and_then(|at| steps.get(at));
        may_tick.get() && step.is_some_and(|step| step.stop != StopKind::CureOnly)
    });
    let words = move || {
        Told { steps: &worked.steps.read(), ahead: app.ahead }.tick(
            at.get().unwrap_or(0),
            standing.get(),
            &kept.read(),
        )
    };
    let is_held = move || standing.get() == Standing::Held;
    view! {
        <div class="step__check no-print">
            <label class="tick-label" hidden=flag(is_held)>
                <input
                    class="tick-label__box"
                    type="checkbox"
                    disabled=flag(move || !may_tick.get() && !is_done.get())
                    prop:checked=flag(move || is_done.get())
                    on:change:target=move |e| tick(e.target().checked().then(now))
                />
                <span class="tick-label__name">{piece(words)}</span>
            </label>
            <p class="step__when" hidden=flag(move || !is_held())>{piece(words)}</p>
            {piece_if(move || may_skip.get(), move || view! { <Skip id/> })}
        </div>
    }
}

/// The way past a step: a written reason.
#[component]
fn Skip(
    /// The step.
    id: StoredValue<String>,
) -> impl IntoView {
    let app = app();
    let is_asked = RwSignal::new(false);
    let skip = move |reason: String| {
        id.with_value(|id| {
            app.change_open(|set| {
                steps::skip(set, id, &reason, now());
            });
        });
    };
    let form = move || {
        let id = format!("skip-{}", id.get_value());
        view! {
            <ReasonForm
                id
                label="Why it is skipped"
                button="Skip it with this reason"
                on_give=Callback::new(skip)
            />
        }
    };
    view! {
        <button
            class="button button--quiet"
            type="button"
            hidden=flag(move || is_asked.get())
            on:click=move |_| is_asked.set(true)
        >
            "Skip it, with a reason"
        </button>
        {piece_if(move || is_asked.get(), form)}
    }
}

/// A hold that runs on through a reload.
#[component]
fn HoldTimer(
    /// The step.
    id: StoredValue<String>,
    /// What is kept of it.
    kept: Kept,
    /// How long.
    seconds: u32,
) -> impl IntoView {
    let app = app();
    let hold =
        Memo::new(move |_| hold::standing(kept.read().hold_started_at, seconds, app.clock.get()));
    let start = move |_| {
        let at = now();
        app.clock.set(at);
        id.with_value(|id| app.change_open(|set| set.step_mut(id).hold_started_at = Some(at)));
    };
    let is_running = Memo::new(move |_| matches!(hold.get(), Hold::Running(_)));
    let left = move || match hold.get() {
        Hold::Waiting => hold::clock(seconds),
        Hold::Running(left) => hold::clock(left),
        Hold::Over => "0:00".to_owned(),
    };
    let said = Memo::new(move |_| if hold.get() == Hold::Over { "Hold over" } else { "" });
    view! {
        <div class="hold no-print" class:hold--running=move || is_running.get() data-hold="">
            <span class="hold__clock" role="timer">{piece(left)}</span>
            <button class="button" type="button" on:click=start>
                {piece(move || if hold.get() == Hold::Waiting { "Start the hold" } else { "Start it again" })}
            </button>
            <span class="hold__said" role="status">{piece(move || said.get())}</span>
        </div>
        <p class="print-only">"Hold "{hold::clock(seconds)}</p>
    }
}

/// A reading beside the step, held against its limits.
fn reading(id: StoredValue<String>, kept: Kept, reading: Reading) -> AnyView {
    let app = app();
    let label = format!("{} ({})", reading.what, limits(&reading));
    let Reading { id: name, unit, least, most, .. } = reading;
    let typed = {
        let name = name.clone();
        Memo::new(move |_| kept.read().readings.get(&name).cloned().unwrap_or_default())
    };
    let field = Field {
        id: format!("step-{}-{name}", id.get_value()),
        label,
        decimal: true,
        data: name.clone(),
        ..Field::default()
    };
    let verdict =
        Memo::new(move |_| judge(&typed.read(), &unit, least.as_deref(), most.as_deref()));
    let error = Signal::derive(move || verdict.read().as_ref().err().map(ToString::to_string));
    let on_input = move |text: String| {
        id.with_value(|id| {
            app.change_open(|set| {
                let step = set.step_mut(id);
                if text.is_empty() {
                    step.readings.remove(&name);
                } else {
                    step.readings.insert(name.clone(), text);
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
