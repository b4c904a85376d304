//! Tests of it.

use super::*;
use crate::bench::halt::HaltCause;
use crate::bench::overrides::{give, withdraw};
use crate::bench::set::SetId;
use crate::bench::steps::{set_done, skip};
use crate::plan::plan;
use crate::sheet::Sheet;

const STRING: &str = "mains 117 V 60 Hz, 35 W two-wire\nsupply series-string half-wave\n\
                      V9 35Z5GT 2=line 7=h1 8=B0 5=line\n\
                      V8 50L6GT 2=h1 7=B- p=B0 g2=B1 g1=gr k=kk\nwire neutral to B-\n\
                      C1 40 mfd 150 V electrolytic B0 to B-\n\
                      C2 .05 mfd 400 V paper line to neutral\nR1 47 ohm 1 W B0 to B1";

struct Bench {
    plan: Plan,
    record: SetRecord,
}

impl Bench {
    fn of(text: &str) -> Self {
        let record = SetRecord::new(SetId(1), text.to_owned(), Stamp(0));
        let mut bench = Self { plan: plan(&Sheet::read(text)), record };
        let keys: Vec<String> = bench.plan.parts.iter().map(|p| p.key.clone()).collect();
        for key in keys {
            bench.record.part_mut(&key).done_at = Some(Stamp(1));
        }
        bench
    }

    fn status(&self) -> PowerStatus {
        PowerStatus::of(&self.plan.power_up, &self.plan, &self.record)
    }

    fn place(&self, id: &str) -> usize {
        self.plan.power_up.iter().position(|s| s.id == id).unwrap()
    }

    fn read(&mut self, step: &str, reading: &str, typed: &str) {
        self.record.step_mut(step).readings.insert(reading.into(), typed.into());
    }

    fn current(&self) -> Option<String> {
        self.status().current.map(|at| self.plan.power_up[at].id.clone())
    }

    /// Reads and ticks each step in turn, up to one.
    fn through_to(&mut self, id: &str, now: u64) {
        for step in self.plan.power_up.clone() {
            if step.id == id {
                return;
            }
            for reading in step.readings.iter().filter(|r| r.needed) {
                let typed = reading.least.clone().or_else(|| reading.most.clone()).unwrap();
                self.read(&step.id, &reading.id, &typed);
            }
            set_done(&mut self.record, &step.id, Some(Stamp(now)));
        }
    }
}

#[test]
fn steps_open_one_after_the_other_and_are_counted_up_to_the_first_open_one() {
    let mut bench = Bench::of(STRING);
    assert_eq!(bench.current().as_deref(), Some("look"));
    bench.through_to("isolation", 5);
    let status = bench.status();
    assert_eq!(bench.current().as_deref(), Some("isolation"));
    assert_eq!(status.done(), bench.place("isolation"));
    set_done(&mut bench.record, "look", None);
    let status = bench.status();
    assert_eq!(status.standings[..2], [Standing::Now, Standing::Held]);
    assert_eq!(status.done(), 0);
    assert!(status.may_tick(0) && !status.may_tick(1));
    set_done(&mut bench.record, "look", Some(Stamp(9)));
    assert_eq!(bench.current().as_deref(), Some("isolation"));
}

#[test]
fn a_failing_reading_takes_a_ticked_step_back_and_stands_on_all_that_follow() {
    let mut bench = Bench::of(STRING);
    bench.through_to("series-lamp", 5);
    bench.read("plug-ohms", "plug", "12");
    let (status, at) = (bench.status(), bench.place("plug-ohms"));
    assert_eq!(status.current, Some(at));
    assert_eq!(status.standings[at], Standing::Now);
    assert!(
        status.standings[at + 1..].iter().all(|s| matches!(s, Standing::Held | Standing::Later))
    );
    let stop = status.stopped().unwrap();
    assert!(matches!(&stop.cause, Cause::Reading { fault: Fault::Out(Side::Below), .. }));
    assert!(stop.is_overridable());
    for later in at + 1..bench.plan.power_up.len() {
        assert!(!status.may_tick(later));
        assert_eq!(status.before(later).count(), 1);
    }
    // A reading within its limits cures it, and the tick counts again.
    bench.read("plug-ohms", "plug", "120");
    assert_eq!(bench.current().as_deref(), Some("series-lamp"));
}

#[test]
fn what_is_not_read_as_within_is_no_pass() {
    for typed in ["warm", "< 100", "> 30", "2 ohm", "OL", "-", "400 Ω", "12 V"] {
        let mut bench = Bench::of(STRING);
        bench.through_to("series-lamp", 5);
        bench.read("plug-ohms", "plug", typed);
        assert_eq!(bench.current().as_deref(), Some("plug-ohms"), "{typed}");
    }
}

#[test]
fn near_zero_at_the_plug_is_passed_by_no_reason() {
    for typed in ["0", "0.8", "2 ohm", "< 3", "<100", "-1", "0.001k", "4 Ω", "warm"] {
        let mut bench = Bench::of(STRING);
        bench.through_to("isolation", 5);
        bench.read("plug-ohms", "plug", typed);
        let stop = bench.status().stopped().cloned().unwrap();
        assert_eq!(stop.kind, StopKind::CureOnly, "{typed}");
        give(bench.record.step_mut("plug-ohms"), &stop.against().unwrap(), "Anyway.", Stamp(6));
        assert_eq!(bench.current().as_deref(), Some("plug-ohms"), "{typed}");
        // Nor by taking the reading away, nor by skipping.
        bench.record.step_mut("plug-ohms").readings.clear();
        assert_eq!(bench.current().as_deref(), Some("plug-ohms"), "{typed}");
        skip(&mut bench.record, "plug-ohms", "No time.", Stamp(7));
        assert_eq!(bench.current().as_deref(), Some("plug-ohms"), "{typed}");
    }
    for typed in ["12", "OL", "500"] {
        let mut bench = Bench::of(STRING);
        bench.through_to("isolation", 5);
        bench.read("plug-ohms", "plug", typed);
        assert!(bench.status().stopped().unwrap().is_overridable(), "{typed}");
    }
}

#[test]
fn a_sheet_that_says_a_low_primary_lowers_what_counts_as_a_short() {
    let at = |ohms: &str| {
        let text = format!(
            "mains 117 V\nsupply transformer 700 V CT\nT1 power primary 1 to 2 117 V {ohms} ohm"
        );
        let plan = plan(&Sheet::read(&text));
        let step = plan.power_up.into_iter().find(|s| s.id == "plug-ohms").unwrap();
        step.readings[0].cure_below.clone().unwrap()
    };
    assert_eq!(at("4"), "1");
    assert_eq!(at("0.8"), "0.4");
}

#[test]
fn a_leak_to_metal_and_a_missing_isolation_are_passed_by_no_reason() {
    let mut bench = Bench::of(STRING);
    bench.through_to("series-lamp", 5);
    bench.read("plug-to-metal", "metal", "0.1");
    let stop = bench.status().stopped().cloned().unwrap();
    assert_eq!((stop.step, stop.kind), (bench.place("plug-to-metal"), StopKind::CureOnly));
    bench.read("plug-to-metal", "metal", "> 20");
    assert_eq!(bench.current().as_deref(), Some("series-lamp"));
    assert!(skip(&mut bench.record, "isolation", "I am careful.", Stamp(9)));
    let stop = bench.status().stopped().cloned().unwrap();
    assert_eq!((stop.step, stop.kind), (bench.place("isolation"), StopKind::CureOnly));
    assert!(!bench.status().may_tick(bench.place("stage-1")));
}

#[test]
fn a_reason_belongs_to_the_reading_it_was_given_for() {
    let mut bench = Bench::of(STRING);
    bench.through_to("isolation", 5);
    bench.read("plug-ohms", "plug", "12");
    let against = bench.status().stopped().unwrap().against().unwrap();
    assert!(!give(bench.record.step_mut("plug-ohms"), &against, "  ", Stamp(6)));
    assert_eq!(bench.current().as_deref(), Some("plug-ohms"));
    give(bench.record.step_mut("plug-ohms"), &against, "Measured with a 6 Ω lead.", Stamp(6));
    assert_eq!(bench.current().as_deref(), Some("isolation"));
    // It is seen on every later step.
    let seen: Vec<_> = bench.status().before(bench.place("stage-2")).cloned().collect();
    assert_eq!(seen.len(), 1);
    assert_eq!(seen[0].passed.as_ref().unwrap().reason, "Measured with a 6 Ω lead.");
    bench.read("plug-ohms", "plug", "11");
    assert_eq!(bench.current().as_deref(), Some("plug-ohms"));
    bench.read("plug-ohms", "plug", "12");
    assert_eq!(bench.current().as_deref(), Some("isolation"));
    withdraw(bench.record.step_mut("plug-ohms"), &against, Stamp(8));
    assert_eq!(bench.current().as_deref(), Some("plug-ohms"));
}

#[test]
fn parts_that_are_not_fitted_stop_at_the_step_that_compares() {
    let mut bench = Bench::of(STRING);
    bench.through_to("isolation", 5);
    bench.record.part_mut("C1").done_at = None;
    let stop = bench.status().stopped().cloned().unwrap();
    assert_eq!(stop.step, bench.place("fitted"));
    assert_eq!(stop.cause, Cause::Unfitted { open: vec!["C1".to_owned()], of: 2 });
    let against = stop.against().unwrap();
    give(bench.record.step_mut("fitted"), &against, "The old one reforms well.", Stamp(6));
    assert_eq!(bench.current().as_deref(), Some("isolation"));
    bench.record.part_mut("C2").done_at = None;
    assert_eq!(bench.current().as_deref(), Some("fitted"));
}

#[test]
fn a_tick_without_its_reading_and_a_skip_without_a_reason_do_not_count() {
    let mut bench = Bench::of(STRING);
    bench.through_to("isolation", 5);
    bench.record.step_mut("b-plus-ohms").readings.clear();
    let stop = bench.status().stopped().cloned().unwrap();
    assert_eq!(stop.cause, Cause::Unmeasured(vec!["b-plus".to_owned()]));
    assert!(stop.is_overridable());
    // As saved by earlier versions.
    bench.through_to("isolation", 5);
    bench.record.step_mut("tubes").done_at = None;
    bench.record.step_mut("tubes").skipped_at = Some(Stamp(5));
    assert_eq!(bench.status().stopped().unwrap().cause, Cause::Skipped);
    assert!(skip(&mut bench.record, "tubes", "None are in.", Stamp(6)));
    assert_eq!(bench.current().as_deref(), Some("isolation"));
}

#[test]
fn a_hold_that_was_cut_short_is_noted_and_stops_nothing() {
    let mut bench = Bench::of(STRING);
    bench.through_to("stage-2", 90_000);
    bench.record.step_mut("stage-1").hold_started_at = Some(Stamp(80_000));
    let status = bench.status();
    assert_eq!(bench.current().as_deref(), Some("stage-2"));
    let noted: Vec<_> = status.at(bench.place("stage-1")).map(|stop| &stop.cause).collect();
    assert_eq!(noted, [&Cause::HeldFor(10)]);
}

#[test]
fn stop_now_holds_every_step_under_power_and_a_new_start_begins_at_the_first_stage() {
    let mut bench = Bench::of(STRING);
    bench.through_to("stage-3", 5);
    let steps = bench.plan.power_up.clone();
    let key =
        halt::halt(&mut bench.record, &steps, "stage-3", HaltCause::StopNow, Stamp(6)).unwrap();
    let status = bench.status();
    assert_eq!(bench.current().as_deref(), Some("stage-3"));
    assert!((0..steps.len()).all(|at| !status.may_tick(at)));
    assert_eq!(status.standings[bench.place("stage-1")], Standing::Later);
    assert!(halt::restart(&mut bench.record, &steps, &key, ("V9 gassy: replaced.", "2"), Stamp(7)));
    assert_eq!(bench.current().as_deref(), Some("stage-1"));
    // A tick that came back from another device is of the run before.
    bench.record.step_mut("stage-1").done_at = Some(Stamp(5));
    assert_eq!(bench.current().as_deref(), Some("stage-1"));
    bench.record.step_mut("stage-1").done_at = None;
    bench.through_to("stage-4", 9);
    assert_eq!(bench.current().as_deref(), Some("stage-4"));
}

#[test]
fn a_run_that_goes_on_with_a_reason_shows_it_on_every_later_step() {
    let mut bench = Bench::of(STRING);
    bench.through_to("stage-3", 5);
    let steps = bench.plan.power_up.clone();
    let key =
        halt::halt(&mut bench.record, &steps, "stage-3", HaltCause::StopNow, Stamp(6)).unwrap();
    assert!(halt::resume(&mut bench.record, &key, "Pressed by a sleeve.", Stamp(7)));
    let status = bench.status();
    assert_eq!(bench.current().as_deref(), Some("stage-3"));
    let seen: Vec<_> = status.before(bench.place("hour")).collect();
    assert_eq!(seen.len(), 1);
    assert_eq!(seen[0].passed.as_ref().unwrap().reason, "Pressed by a sleeve.");
}
