//! The stages of a job, and how far each has come.

use super::fitting::{PartState, state};
use super::power::PowerStatus;
use super::set::SetRecord;
use crate::notation::note::Level;
use crate::plan::types::{Decision, Plan, PlannedPart, PowerStep};
use crate::sheet::{Header, Sheet};

/// A stage of the job, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Stage {
    /// What the set is.
    Set,
    /// Its parts.
    Parts,
    /// What to do with them.
    Plan,
    /// What to buy.
    Buy,
    /// Fitting, one part at a time.
    Fit,
    /// The first power-up.
    Power,
    /// The paper that stays.
    Record,
}

impl Stage {
    /// Every stage, in order.
    pub const ALL: [Self; 7] =
        [Self::Set, Self::Parts, Self::Plan, Self::Buy, Self::Fit, Self::Power, Self::Record];

    /// Its name.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Set => "Set",
            Self::Parts => "Parts",
            Self::Plan => "Plan",
            Self::Buy => "Buy",
            Self::Fit => "Fit",
            Self::Power => "Power up",
            Self::Record => "Record",
        }
    }

    /// Its name in an address.
    pub const fn slug(self) -> &'static str {
        match self {
            Self::Set => "set",
            Self::Parts => "parts",
            Self::Plan => "plan",
            Self::Buy => "buy",
            Self::Fit => "fit",
            Self::Power => "power-up",
            Self::Record => "record",
        }
    }
}

/// How far a stage has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// Nothing yet.
    Untouched,
    /// Some of it.
    Begun,
    /// All there is to do now.
    Done,
    /// Something in it stops it.
    Stopped,
}

/// How far a stage has come, in a shape and in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Progress {
    /// The shape.
    pub reach: Reach,
    /// In a few words: `12 of 28`.
    pub words: String,
}

/// Whether the plan asks for work on the part.
pub fn needs_work(part: &PlannedPart) -> bool {
    part.decision != Decision::Keep
}

/// How many parts need work, and how many of them are done, with nothing
/// measured that speaks against it.
pub fn fitted(record: &SetRecord, plan: &Plan) -> (usize, usize) {
    let needed = plan.parts.iter().filter(|p| needs_work(p));
    needed.fold((0, 0), |(done, of), part| {
        let kept = record.parts.get(&part.key);
        let is_done = kept.is_some_and(|kept| state(part, kept) == PartState::Done);
        (done + usize::from(is_done), of + 1)
    })
}

/// Which of the five facts on the set are said: name, mains, supply, cord, fuse.
fn facts(header: &Header) -> usize {
    [
        header.name.is_some(),
        header.mains.is_some(),
        header.supply.is_some(),
        header.cord.is_some(),
        header.fuse.is_some(),
    ]
    .into_iter()
    .filter(|said| *said)
    .count()
}

/// How far a stage of the job has come. `steps` are those of the power-up, as
/// they are told.
pub fn of(
    stage: Stage,
    record: &SetRecord,
    sheet: &Sheet,
    plan: &Plan,
    steps: &[PowerStep],
) -> Progress {
    match stage {
        Stage::Set => counted(facts(&sheet.header), 5),
        Stage::Parts => parts(sheet),
        Stage::Plan => planned(plan),
        Stage::Buy => {
            let pieces: usize = to_buy(plan).map(|g| g.count).sum();
            let words = if pieces == 0 { String::new() } else { format!("{pieces} pcs") };
            Progress { reach: begun_if(pieces > 0), words }
        }
        Stage::Fit => {
            let (done, of) = fitted(record, plan);
            counted(done, of)
        }
        Stage::Power if plan.parts.is_empty() => counted(0, 0),
        Stage::Power => powered(&PowerStatus::of(steps, plan, record)),
        Stage::Record => {
            let status = PowerStatus::of(steps, plan, record);
            let work = [fitted(record, plan), (status.done(), steps.len())];
            let begun = work.iter().any(|(done, _)| *done > 0);
            let done = begun && work.iter().all(|(done, of)| done == of);
            let reach = if done { Reach::Done } else { begun_if(begun) };
            Progress { reach, words: String::new() }
        }
    }
}

/// The groups of what is to be bought.
pub fn to_buy(plan: &Plan) -> impl Iterator<Item = &crate::plan::types::Group> {
    plan.groups.iter().filter(|g| matches!(g.decision, Decision::Replace | Decision::Substitute))
}

fn parts(sheet: &Sheet) -> Progress {
    let unread = sheet.notes.iter().filter(|n| n.level == Level::Error).count();
    let count = sheet.parts.len();
    match (count, unread) {
        (0, 0) => Progress { reach: Reach::Untouched, words: String::new() },
        (_, 0) => Progress { reach: Reach::Done, words: count.to_string() },
        _ => Progress { reach: Reach::Begun, words: format!("{unread} to mend") },
    }
}

fn planned(plan: &Plan) -> Progress {
    let replace = plan.parts.iter().filter(|p| p.decision == Decision::Replace).count();
    let reach = if plan.parts.is_empty() { Reach::Untouched } else { Reach::Done };
    let words = if plan.parts.is_empty() { String::new() } else { format!("{replace} new") };
    Progress { reach, words }
}

fn powered(status: &PowerStatus) -> Progress {
    match status.stopped() {
        Some(stop) => {
            let words = format!("stop at {}", stop.step + 1);
            Progress { reach: Reach::Stopped, words }
        }
        None => counted(status.done(), status.standings.len()),
    }
}

fn counted(done: usize, of: usize) -> Progress {
    let reach = match done {
        _ if of == 0 => Reach::Untouched,
        0 => Reach::Untouched,
        _ if done >= of => Reach::Done,
        _ => Reach::Begun,
    };
    let words = if of == 0 { String::new() } else { format!("{done} of {of}") };
    Progress { reach, words }
}

const fn begun_if(begun: bool) -> Reach {
    if begun { Reach::Begun } else { Reach::Untouched }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::SetId;
    use crate::bench::stamp::Stamp;

    #[test]
    fn a_stop_in_the_power_up_is_told_with_its_step() {
        let sheet = Sheet::read("mains 117 V\nsupply transformer 700 V CT\nR1 470K 1/2 W a to b");
        let plan = crate::plan::plan(&sheet);
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        let told = |record: &SetRecord| of(Stage::Power, record, &sheet, &plan, &plan.power_up);
        record.step_mut("look").done_at = Some(Stamp(1));
        assert_eq!(told(&record).reach, Reach::Begun);
        for id in ["fitted", "tubes", "cord-fuse"] {
            record.step_mut(id).done_at = Some(Stamp(1));
        }
        record.step_mut("plug-ohms").readings.insert("plug".into(), "0.2".into());
        let stopped = Progress { reach: Reach::Stopped, words: "stop at 5".to_owned() };
        assert_eq!(told(&record), stopped);
    }

    #[test]
    fn a_stage_with_nothing_to_do_is_untouched() {
        assert_eq!(counted(0, 0).reach, Reach::Untouched);
        assert_eq!(counted(1, 2).reach, Reach::Begun);
        assert_eq!(counted(2, 2).reach, Reach::Done);
    }

    #[test]
    fn a_blank_sheet_has_come_nowhere() {
        let record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        for stage in Stage::ALL {
            let progress = of(stage, &record, &Sheet::default(), &Plan::default(), &[]);
            assert_eq!(progress.reach, Reach::Untouched, "{stage:?}");
        }
    }
}
