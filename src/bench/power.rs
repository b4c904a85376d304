//! How the power-up stands: the step to do now, and what stops it.
//!
//! A step is through when it is ticked, or skipped with a written reason, and
//! nothing in it stops the power-up. The first step that is not through is the
//! current one; no later one can be done.
//!
//! ```
//! use firstglow::bench::{power::PowerStatus, set::{SetId, SetRecord}, stamp::Stamp};
//! use firstglow::{plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::read("mains 117 V\nsupply transformer 700 V CT"));
//! let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
//! record.step_mut("plug-ohms").readings.insert("plug".into(), "0.4".into());
//! let status = PowerStatus::of(&plan.power_up, &plan, &record);
//! let stop = status.stops.iter().find(|stop| stop.is_open()).unwrap();
//! assert_eq!(plan.power_up[stop.step].id, "plug-ohms");
//! assert!(!stop.is_overridable());
//! ```

use super::fitting::unfitted;
use super::halt::{self, in_run};
use super::overrides::{Against, Override, in_force};
use super::reading::{Bound, Verdict, figure, judge};
use super::set::{SetRecord, StepRecord};
use super::stamp::Stamp;
use super::steps::Standing;
use crate::plan::types::{Plan, PowerStep, Reading, StopKind};

/// The step in which the work is compared with the plan.
const FITTED: &str = "fitted";

/// To which side a reading is out of its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Below the least.
    Below,
    /// Above the most.
    Above,
}

/// What is wrong with a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// It is out of its limits.
    Out(Side),
    /// A `<` or `>` leaves it open.
    Unproven,
    /// It cannot be read.
    Unreadable,
}

/// What stops a power-up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cause {
    /// A reading.
    Reading {
        /// Which, by its id.
        id: String,
        /// As typed.
        typed: String,
        /// What is wrong with it.
        fault: Fault,
    },
    /// The step was ticked without these readings, by their ids.
    Unmeasured(Vec<String>),
    /// Parts are not fitted, or measure out of their limits.
    Unfitted {
        /// Which, by their keys.
        open: Vec<String>,
        /// How many are to be replaced.
        of: usize,
    },
    /// The step was skipped.
    Skipped,
    /// The hold ran for so many seconds only, before the step was ticked.
    HeldFor(u32),
    /// The run was stopped under power.
    Halted {
        /// The key of the halt.
        key: String,
        /// Why.
        cause: halt::HaltCause,
        /// When.
        at: Stamp,
    },
}

/// Something that stops the power-up, or did until a reason was written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stop {
    /// The step, by its place in the plan.
    pub step: usize,
    /// What it is.
    pub cause: Cause,
    /// What it takes to go on.
    pub kind: StopKind,
    /// The reason that stands against it.
    pub passed: Option<Override>,
}

impl Stop {
    /// Whether it stands.
    pub const fn is_open(&self) -> bool {
        self.passed.is_none() && !matches!(self.kind, StopKind::Advice)
    }

    /// Whether a written reason passes it.
    pub const fn is_overridable(&self) -> bool {
        matches!(self.kind, StopKind::Overridable)
    }

    /// What a reason for it is kept under; `None` where it is not kept in the
    /// record of a step.
    pub fn against(&self) -> Option<Against> {
        Some(match &self.cause {
            Cause::Reading { id, typed, .. } => {
                Against::Reading { id: id.clone(), typed: typed.clone() }
            }
            Cause::Unmeasured(ids) => Against::Unmeasured(ids.clone()),
            Cause::Unfitted { open, .. } => Against::Unfitted(open.clone()),
            Cause::Skipped => Against::Skip,
            Cause::HeldFor(_) | Cause::Halted { .. } => return None,
        })
    }
}

/// How the power-up stands.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PowerStatus {
    /// The step to do now; `None` when all are through.
    pub current: Option<usize>,
    /// How each step stands, in order.
    pub standings: Vec<Standing>,
    /// What stops it, or is passed with a reason, in the order of steps.
    pub stops: Vec<Stop>,
}

impl PowerStatus {
    /// How these steps stand. They are those of the plan, as they are told.
    pub fn of(steps: &[PowerStep], plan: &Plan, record: &SetRecord) -> Self {
        let mut stops = Vec::new();
        let mut through = Vec::new();
        for (at, step) in steps.iter().enumerate() {
            let kept = record.steps.get(&step.id);
            let mut found = of_step(at, step, kept, record);
            if step.id == FITTED {
                found.extend(fitting(at, plan, kept, record));
            }
            found.extend(halts(at, steps, record));
            let stands = if found.iter().any(Stop::is_open) { None } else { counted(step, record) };
            through.push(stands);
            stops.extend(found);
        }
        let halted = stops.iter().find(|stop| stop.is_open() && is_halt(stop)).map(|s| s.step);
        // A run that was stopped stands where it was stopped.
        let first = through.iter().enumerate().position(|(at, stands)| {
            stands.is_none()
                && (halted.is_none_or(|halted| at >= halted) || !in_run(steps[at].phase))
        });
        let standings = through.iter().enumerate().map(|(at, stands)| match (stands, first) {
            (_, Some(first)) if at == first => Standing::Now,
            (Some(stands), Some(first)) if at < first => *stands,
            (Some(stands), None) => *stands,
            (Some(_), _) => Standing::Held,
            (None, _) => Standing::Later,
        });
        Self { current: first, standings: standings.collect(), stops }
    }

    /// How many steps are through, of those before the first that is not.
    pub fn done(&self) -> usize {
        let through = |s: &&Standing| matches!(s, Standing::Done | Standing::Skipped);
        self.standings.iter().filter(through).count()
    }

    /// The stop of the step to do now, if it has one.
    pub fn stopped(&self) -> Option<&Stop> {
        self.stops.iter().find(|stop| stop.is_open() && Some(stop.step) == self.current)
    }

    /// What was found in a step.
    pub fn at(&self, step: usize) -> impl Iterator<Item = &Stop> {
        self.stops.iter().filter(move |stop| stop.step == step)
    }

    /// What stands on a step from those before it: open stops, and reasons to
    /// go on past them.
    pub fn before(&self, step: usize) -> impl Iterator<Item = &Stop> {
        let on = move |stop: &&Stop| stop.step < step && stop.kind != StopKind::Advice;
        self.stops.iter().filter(on)
    }

    /// Whether a step can be ticked: it is the one to do now, and nothing in
    /// it stops the power-up.
    pub fn may_tick(&self, step: usize) -> bool {
        self.current == Some(step) && !self.at(step).any(Stop::is_open)
    }
}

const fn is_halt(stop: &Stop) -> bool {
    matches!(stop.cause, Cause::Halted { .. })
}

/// How a step was left, where that still counts.
fn counted(step: &PowerStep, record: &SetRecord) -> Option<Standing> {
    let kept = record.steps.get(&step.id)?;
    let void = halt::voided(record).filter(|_| in_run(step.phase));
    let counts = |at: Option<Stamp>| at.is_some_and(|at| void.is_none_or(|void| at > void));
    if counts(kept.done_at) {
        Some(Standing::Done)
    } else if counts(kept.skipped_at) {
        Some(Standing::Skipped)
    } else {
        None
    }
}

/// What a step finds, but for parts that are not fitted.
fn of_step(
    at: usize,
    step: &PowerStep,
    kept: Option<&StepRecord>,
    record: &SetRecord,
) -> Vec<Stop> {
    let Some(kept) = kept else { return Vec::new() };
    let make = |cause: Cause, kind: StopKind| stop(at, cause, kind, kept);
    let mut found: Vec<Stop> = step
        .readings
        .iter()
        .filter_map(|reading| {
            let typed = kept.readings.get(&reading.id)?;
            let fault = fault(reading, typed)?;
            let cause =
                Cause::Reading { id: reading.id.clone(), typed: typed.trim().to_owned(), fault };
            Some(make(cause, kind_of(reading, typed, fault)))
        })
        .collect();
    match counted(step, record) {
        Some(Standing::Done) => {
            found.extend(unmeasured(step, kept).map(|(cause, kind)| make(cause, kind)));
            found.extend(held(step, kept).map(|cause| make(cause, StopKind::Advice)));
        }
        Some(_) => found.push(make(Cause::Skipped, step.stop)),
        None => {}
    }
    found
}

/// A stop, with the reason that stands against it.
fn stop(step: usize, cause: Cause, kind: StopKind, kept: &StepRecord) -> Stop {
    let mut made = Stop { step, cause, kind, passed: None };
    if made.is_overridable() {
        made.passed = made.against().and_then(|against| in_force(kept, &against).cloned());
    }
    made
}

/// What is wrong with a reading, as typed; nothing with an empty one.
fn fault(reading: &Reading, typed: &str) -> Option<Fault> {
    let (least, most) = (reading.least.as_deref(), reading.most.as_deref());
    match judge(typed, &reading.unit, least, most) {
        Ok(None | Some(Verdict::Within | Verdict::Unjudged)) => None,
        Ok(Some(Verdict::Below)) => Some(Fault::Out(Side::Below)),
        Ok(Some(Verdict::Above)) => Some(Fault::Out(Side::Above)),
        Ok(Some(Verdict::Unproven)) => Some(Fault::Unproven),
        // Where nothing is asked of it, nothing hangs on it.
        Err(_) if least.is_none() && most.is_none() => None,
        Err(_) => Some(Fault::Unreadable),
    }
}

/// What it takes to go on past such a reading.
fn kind_of(reading: &Reading, typed: &str, fault: Fault) -> StopKind {
    let Some(limit) = reading.cure_below.as_deref() else { return reading.stop };
    let base = |text| figure(text, &reading.unit).ok().flatten();
    let may_be_below = match (base(typed), base(limit)) {
        (Some(found), Some(limit)) => found.bound == Bound::AtMost || found.value < limit.value,
        _ => true,
    };
    let upward = fault == Fault::Out(Side::Above);
    if may_be_below && !upward { StopKind::CureOnly } else { reading.stop }
}

/// The needed readings that a ticked step is without.
fn unmeasured(step: &PowerStep, kept: &StepRecord) -> Option<(Cause, StopKind)> {
    let is_typed = |r: &Reading| kept.readings.get(&r.id).is_some_and(|t| !t.trim().is_empty());
    let missing: Vec<&Reading> =
        step.readings.iter().filter(|r| r.needed && !is_typed(r)).collect();
    let cures = |r: &&Reading| r.cure_below.is_some() || r.stop == StopKind::CureOnly;
    let kind = if missing.iter().any(cures) { StopKind::CureOnly } else { StopKind::Overridable };
    let ids: Vec<String> = missing.iter().map(|r| r.id.clone()).collect();
    (!ids.is_empty()).then_some((Cause::Unmeasured(ids), kind))
}

/// A hold that was over before its time.
fn held(step: &PowerStep, kept: &StepRecord) -> Option<Cause> {
    let (asked, done) = (step.hold_seconds?, kept.done_at?);
    let ran = kept.hold_started_at.map_or(0, |from| done.0.saturating_sub(from.0) / 1000);
    (ran < u64::from(asked)).then(|| Cause::HeldFor(u32::try_from(ran).unwrap_or(0)))
}

/// Parts of the plan that are to be replaced and are not fitted.
fn fitting(at: usize, plan: &Plan, kept: Option<&StepRecord>, record: &SetRecord) -> Option<Stop> {
    let (of, open) = unfitted(record, plan);
    let none = StepRecord::default();
    let cause = Cause::Unfitted { open: open.clone(), of };
    (!open.is_empty()).then(|| stop(at, cause, StopKind::Overridable, kept.unwrap_or(&none)))
}

/// Halts at a step that stand, or that the run went on from.
fn halts(at: usize, steps: &[PowerStep], record: &SetRecord) -> Vec<Stop> {
    let place = |id: &str| {
        let named = steps.iter().position(|s| s.id == id && in_run(s.phase));
        named.or_else(|| steps.iter().position(|s| in_run(s.phase)))
    };
    let here = record.halts.iter().filter(|(_, halt)| halt.is_open() || halt.is_resumed());
    here.filter(|(_, halt)| place(&halt.step) == Some(at))
        .map(|(key, halt)| Stop {
            step: at,
            cause: Cause::Halted { key: key.clone(), cause: halt.cause, at: halt.halted_at },
            kind: StopKind::Overridable,
            passed: halt.is_resumed().then(|| Override {
                reason: halt.words.clone(),
                given_at: halt.resumed_at.unwrap_or_default(),
                ..Override::default()
            }),
        })
        .collect()
}

#[cfg(test)]
mod tests;
