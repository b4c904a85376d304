//! What stops a power-up, and what is passed with a reason, in words: for the
//! screens, the record and paper.

use crate::bench::halt::HaltCause;
use crate::bench::hold::clock;
use crate::bench::power::{Cause, Fault, PowerStatus, Side, Stop};
use crate::bench::set::StepRecord;
use crate::bench::stamp::Stamp;
use crate::bench::steps::Standing;
use crate::letters::Letters;
use crate::plan::types::{PowerStep, Reading, StopKind};
use crate::ui::words::count;

/// The most designators that are named.
const MOST_NAMED: usize = 6;

/// The steps that stops are told of, and the minutes that local time runs
/// ahead of UTC.
#[derive(Debug, Clone, Copy)]
pub struct Told<'a> {
    /// The steps, in order.
    pub steps: &'a [PowerStep],
    /// Minutes ahead of UTC.
    pub ahead: i32,
}

impl Told<'_> {
    /// Where the power-up stands, in one line.
    pub fn head(&self, status: &PowerStatus) -> String {
        let of = self.steps.len();
        match (status.stopped(), status.current) {
            (Some(stop), _) => format!("Stopped at step {}: {}", stop.step + 1, self.cause(stop)),
            (None, Some(at)) => format!("Step {} of {of}: {}", at + 1, self.steps[at].title),
            (None, None) => format!("All {of} steps are through."),
        }
    }

    /// What it is: `Prong to prong reads 2 Ω, below its limits (20 to 300 Ω).`
    pub fn cause(&self, stop: &Stop) -> String {
        match &stop.cause {
            Cause::Reading { id, typed, fault } => self.reading(stop.step, id, typed, *fault),
            Cause::Unmeasured(ids) => self.unmeasured(stop.step, ids),
            Cause::Unfitted { open, of } => unfitted(open, *of),
            Cause::Skipped if stop.kind == StopKind::CureOnly => {
                "It was skipped, and it cannot be skipped.".to_owned()
            }
            Cause::Skipped if stop.passed.is_some() => "It was skipped.".to_owned(),
            Cause::Skipped => "It was skipped without a written reason.".to_owned(),
            Cause::HeldFor(seconds) => {
                let asked = self.steps[stop.step].hold_seconds.unwrap_or(0);
                format!("Held for {} of {}.", clock(*seconds), clock(asked))
            }
            Cause::Halted { cause, at, .. } => {
                let why = match cause {
                    HaltCause::StopNow => "Stop now was pressed",
                    HaltCause::Reading => "A reading was out of its limits",
                };
                format!("{why}, {}.", at.day_and_time(self.ahead))
            }
        }
    }

    /// On a later step: what stands on it from before.
    pub fn before(&self, stop: &Stop) -> String {
        let (number, cause) = (stop.step + 1, self.cause(stop));
        match &stop.passed {
            None => format!("Stopped at step {number}. {cause}"),
            Some(given) => format!(
                "Step {number} was passed with a reason, {}: “{}” {cause}",
                given.given_at.day_and_time(self.ahead),
                given.reason
            ),
        }
    }

    /// In short, what stands on a step from those before it: on paper and in
    /// the record, where each is told in full at its own step.
    pub fn in_short(&self, status: &PowerStatus, step: usize) -> Option<String> {
        let numbers = |open: bool| {
            let mut steps: Vec<usize> =
                status.before(step).filter(|s| s.is_open() == open).map(|s| s.step + 1).collect();
            steps.dedup();
            let numbers: Vec<String> = steps.iter().map(usize::to_string).collect();
            (!numbers.is_empty()).then(|| numbers.join(", "))
        };
        let open = numbers(true).map(|at| format!("Stopped at step {at}."));
        let passed = numbers(false).map(|at| format!("Passed with a reason: step {at}."));
        let said: Vec<String> = open.into_iter().chain(passed).collect();
        (!said.is_empty()).then(|| said.join(" "))
    }

    /// On its own step: the reason that stands against it.
    pub fn passed(&self, stop: &Stop) -> Option<String> {
        let given = stop.passed.as_ref()?;
        let when = given.given_at.day_and_time(self.ahead);
        Some(format!("{} Passed with a reason, {when}: “{}”", self.cause(stop), given.reason))
    }

    /// What cures a stop that no reason passes.
    pub fn cure(&self, stop: &Stop) -> &'static str {
        match stop.cause {
            Cause::Skipped if self.steps[stop.step].readings.is_empty() => {
                "No reason passes this step. Do it, or correct the sheet."
            }
            Cause::Skipped | Cause::Unmeasured(_) => {
                "No reason passes this step. Take its reading."
            }
            _ => {
                "No reason passes this. Find the cause with the plug out, then type a new reading \
                 within the limits, or correct the sheet."
            }
        }
    }

    /// What stands beside the box of a step. A tick that does not count, or not
    /// yet, does not read as done.
    pub fn tick(&self, at: usize, standing: Standing, kept: &StepRecord) -> String {
        let number = at + 1;
        let when = |at: Option<Stamp>| at.map(|at| at.day_and_time(self.ahead)).unwrap_or_default();
        match standing {
            Standing::Done => format!("Step {number} done, {}", when(kept.done_at)),
            Standing::Skipped => format!("Step {number} skipped, {}", when(kept.skipped_at)),
            Standing::Held => format!(
                "Ticked {}. It counts again when the steps before it are through.",
                when(kept.done_at.or(kept.skipped_at))
            ),
            Standing::Now if kept.done_at.is_some() => {
                format!("Ticked {}. It does not count while this stands.", when(kept.done_at))
            }
            Standing::Now | Standing::Later => format!("Mark step {number} as done"),
        }
    }

    fn reading(&self, step: usize, id: &str, typed: &str, fault: Fault) -> String {
        let Some(asked) = self.steps[step].readings.iter().find(|r| r.id == id) else {
            return format!("{id}: {typed}.");
        };
        let (what, limits) = (&asked.what, limits(asked));
        match fault {
            Fault::Out(side) => {
                let side = if side == Side::Below { "below" } else { "above" };
                let typed = with_unit(asked, typed);
                format!("{what} reads {typed}, {side} its limits ({limits}).")
            }
            Fault::Unproven => {
                format!("{what}: “{typed}” does not show that it is within its limits ({limits}).")
            }
            Fault::Unreadable => format!("{what}: “{typed}” cannot be read ({limits})."),
        }
    }

    fn unmeasured(&self, step: usize, ids: &[String]) -> String {
        let asked = self.steps[step].readings.iter().filter(|r| ids.contains(&r.id));
        let names: Vec<&str> = asked.map(|r| r.what.as_str()).collect();
        match names.as_slice() {
            [one] => format!("It was ticked without its reading: {one}."),
            all if all.len() <= 3 => {
                format!("It was ticked without its readings: {}.", all.join(", "))
            }
            all => format!("It was ticked without {} of its readings.", all.len()),
        }
    }
}

fn unfitted(open: &[String], of: usize) -> String {
    let fitted = of.saturating_sub(open.len());
    let named = open.iter().take(MOST_NAMED).map(String::as_str).collect::<Vec<_>>().join(", ");
    let more = match open.len().saturating_sub(MOST_NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!("{fitted} of {} fitted. Open: {named}{more}.", count(of, "new part", "new parts"))
}

/// The limits of a reading with their unit: `20 to 300 Ω`.
pub fn limits(reading: &Reading) -> String {
    let unit = &reading.unit;
    match (&reading.least, &reading.most) {
        (Some(least), Some(most)) => format!("{least} to {most} {unit}"),
        (Some(least), None) => format!("at least {least} {unit}"),
        (None, Some(most)) => format!("at most {most} {unit}"),
        (None, None) => unit.clone(),
    }
}

/// A reading as typed, with its unit where the person typed none.
pub fn with_unit(reading: &Reading, typed: &str) -> String {
    let typed = typed.trim();
    let is_bare = typed.lower().chars().all(|c| c.is_ascii_digit() || " .,-+<>≤≥".contains(c));
    let unit = if is_bare { reading.unit.as_str() } else { "" };
    format!("{typed} {unit}").trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::overrides::give;
    use crate::bench::set::{SetId, SetRecord};
    use crate::plan::plan;
    use crate::plan::types::Plan;
    use crate::sheet::Sheet;

    fn made(plug: &str) -> (Plan, SetRecord) {
        let sheet =
            Sheet::read("mains 117 V, 35 W\nsupply series-string half-wave\nwire neutral to B-");
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        for id in ["look", "fitted", "tubes", "cord-fuse", "plug-ohms"] {
            record.step_mut(id).done_at = Some(Stamp(1));
        }
        record.step_mut("plug-ohms").readings.insert("plug".into(), plug.into());
        (plan(&sheet), record)
    }

    #[test]
    fn the_head_names_the_step_the_reading_and_its_limits() {
        let (plan, record) = made("12");
        let status = PowerStatus::of(&plan.power_up, &plan, &record);
        let told = Told { steps: &plan.power_up, ahead: 0 };
        assert_eq!(
            told.head(&status),
            "Stopped at step 5: Prong to prong reads 12 Ω, below its limits (20 to 300 Ω)."
        );
        assert_eq!(
            told.before(status.before(9).next().unwrap()),
            "Stopped at step 5. Prong to prong reads 12 Ω, below its limits (20 to 300 Ω)."
        );
    }

    #[test]
    fn a_reason_is_told_with_its_moment_on_every_later_step() {
        let (plan, mut record) = made("12");
        let status = PowerStatus::of(&plan.power_up, &plan, &record);
        let against = status.stopped().unwrap().against().unwrap();
        give(record.step_mut("plug-ohms"), &against, "A ballast of 10 Ω.", Stamp(0));
        let status = PowerStatus::of(&plan.power_up, &plan, &record);
        let told = Told { steps: &plan.power_up, ahead: 0 };
        let of = plan.power_up.len();
        assert_eq!(told.head(&status), format!("Step 6 of {of}: Plug to metal"));
        assert_eq!(
            told.before(status.before(20).next().unwrap()),
            "Step 5 was passed with a reason, Jan 1, 1970, 00:00: “A ballast of 10 Ω.” Prong to \
             prong reads 12 Ω, below its limits (20 to 300 Ω)."
        );
    }

    #[test]
    fn what_no_reason_passes_says_what_cures_it() {
        let (plan, record) = made("0.8");
        let status = PowerStatus::of(&plan.power_up, &plan, &record);
        let told = Told { steps: &plan.power_up, ahead: 0 };
        assert!(told.cure(status.stopped().unwrap()).starts_with("No reason passes this."));
    }

    #[test]
    fn only_a_step_that_is_through_reads_as_done() {
        let (plan, _) = made("");
        let told = Told { steps: &plan.power_up, ahead: 0 };
        let ticked = StepRecord { done_at: Some(Stamp(0)), ..StepRecord::default() };
        let none = StepRecord::default();
        assert_eq!(told.tick(4, Standing::Done, &ticked), "Step 5 done, Jan 1, 1970, 00:00");
        assert_eq!(told.tick(4, Standing::Now, &none), "Mark step 5 as done");
        assert_eq!(told.tick(4, Standing::Later, &none), "Mark step 5 as done");
        for standing in [Standing::Now, Standing::Held] {
            let words = told.tick(4, standing, &ticked);
            assert!(words.starts_with("Ticked Jan 1, 1970, 00:00. It "), "{words}");
        }
    }

    #[test]
    fn many_open_parts_are_counted_and_some_named() {
        let keys: Vec<String> = (1..=8).map(|n| format!("C{n}")).collect();
        assert_eq!(
            unfitted(&keys, 14),
            "6 of 14 new parts fitted. Open: C1, C2, C3, C4, C5, C6 and 2 more."
        );
    }

    #[test]
    fn a_unit_is_added_to_a_bare_figure_only() {
        let (plan, _) = made("");
        let reading = &plan.power_up[4].readings[0];
        assert_eq!(with_unit(reading, "< 2"), "< 2 Ω");
        assert_eq!(with_unit(reading, "2 ohm"), "2 ohm");
        assert_eq!(with_unit(reading, "OL"), "OL");
    }
}
