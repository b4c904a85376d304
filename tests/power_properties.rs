//! What must hold of every power-up, whatever the set.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

#[path = "support/chance.rs"]
mod chance;

use firstglow::bench::overrides::give;
use firstglow::bench::power::{PowerStatus, Stop};
use firstglow::bench::set::{SetId, SetRecord};
use firstglow::bench::stamp::Stamp;
use firstglow::bench::steps::{Standing, set_done, skip};
use firstglow::circuit::report::FallOf;
use firstglow::plan::on_lamp::Study;
use firstglow::plan::plan;
use firstglow::plan::types::{Phase, Plan, PowerStep, StopKind};
use firstglow::sheet::Sheet;
use firstglow::sheet::examples::EXAMPLES;
use proptest::prelude::*;
use proptest::sample::select;

/// Heads of sheets: every kind of supply, and none.
const HEADS: [&str; 8] = [
    "mains 117 V 60 Hz, 60 W two-wire\nsupply transformer full-wave 350-0-350 V\n\
     V9 5Y3GT 2=fil 4=T1.3 6=T1.5 8=B0\nT1 power primary 1 to 2 117 V 4 ohm\n\
     secondary 3 to 5 tap 4 700 V CT 200 ohm\nwire T1.4 to chassis\nwire T1.1 to line\n\
     wire T1.2 to neutral\n",
    "mains 117 V 60 Hz, 35 W two-wire\nsupply series-string half-wave\n\
     V9 35Z5GT 2=line 7=h1 8=B0 5=line\nV8 50L6GT 2=h1 7=B- p=B0 g2=B1 g1=gr k=kk\n\
     wire neutral to B-\n",
    "mains 230 V 50 Hz\nsupply transformer half-wave 250 V\nSR1 selenium 75 mA T1.3 to B0\n\
     T1 power primary 1 to 2 230 V 20 ohm\nsecondary 3 to 4 250 V 150 ohm\nwire T1.4 to chassis\n",
    "mains 117 V 60 Hz, 35 W two-wire\nsupply series-string\nwire neutral to B-\n\
     R99 22 ohm 5 W line to ac\nC99 40 mfd 150 V electrolytic mid to ac\n\
     V9 25Z6GT 2=line 5=B- 8=mid 3=mid 4=B0 7=h1\nV8 50L6GT 2=h1 7=B- p=B0 g2=B1 g1=gr k=kk\n",
    "mains 117 V 60 Hz, 60 W two-wire\nsupply transformer full-wave 350-0-350 V\n\
     V9 5Y3GT 2=fil 4=T1.3 6=T1.5 8=far\nT1 power primary 1 to 2 117 V 4 ohm\n \
     secondary 3 to 5 tap 4 700 V CT 200 ohm\nwire T1.4 to chassis\nwire T1.1 to line\n\
     wire T1.2 to neutral\nL9 filter choke 8 H 200 ohm far to B0\nR98 8K 5 W B0 to B1\n\
     V7 0D3 2=chassis 5=B1\n",
    "supply battery\nmains 90 V DC\n",
    "supply vibrator\nmains 6 V DC, 40 W\n",
    "",
];
const NODES: [&str; 8] = ["B0", "B1", "B2", "B-", "chassis", "gr", "kk", "mid"];

/// One line of a part between two places.
fn line() -> impl Strategy<Value = String> {
    let place = || select(&NODES[..]);
    let capacitor = (
        1_u32..90,
        select(&["8", "20", "40", "10"][..]),
        select(&["150", "300", "450", "475"][..]),
        place(),
        place(),
    )
        .prop_map(|(n, uf, v, a, b)| format!("C{n} {uf} mfd {v} V electrolytic {a} to {b}\n"));
    let paper = (1_u32..90, select(&[".01", ".05", ".1"][..]), place(), place())
        .prop_map(|(n, uf, a, b)| format!("C{n} {uf} mfd 600 V paper {a} to {b}\n"));
    let resistor =
        (1_u32..90, select(&["220", "1K", "22K", "470K", "2.2 meg"][..]), place(), place())
            .prop_map(|(n, ohms, a, b)| format!("R{n} {ohms} 1/2 W {a} to {b}\n"));
    prop_oneof![capacitor, paper, resistor]
}

fn sheet() -> impl Strategy<Value = Sheet> {
    (select(&HEADS[..]), prop::collection::vec(line(), 0..14))
        .prop_map(|(head, lines)| Sheet::read(&(head.to_owned() + &lines.concat())))
}

/// Whether a step puts voltage on the set.
fn energises(step: &PowerStep) -> bool {
    step.line_v.is_some() || matches!(step.phase, Phase::Stages | Phase::FullLine)
}

/// What a person may try at a step: `how` is one of a few ways.
#[derive(Debug, Clone)]
struct Act {
    step: usize,
    how: u8,
}

fn act() -> impl Strategy<Value = Act> {
    (0_usize..40, 0_u8..6).prop_map(|(step, how)| Act { step, how })
}

/// Does what the screen lets be done: a tick where a step may be ticked, and
/// everywhere readings, skips, reasons, and taking back.
fn act_on(
    record: &mut SetRecord,
    status: &PowerStatus,
    (place, step): (usize, &PowerStep),
    act: &Act,
    now: Stamp,
) {
    match act.how {
        0 | 1 if status.may_tick(place) => set_done(record, &step.id, Some(now)),
        2 => {
            for reading in &step.readings {
                let typed = reading.least.clone().or_else(|| reading.most.clone());
                let typed = typed.unwrap_or_else(|| "1".to_owned());
                record.step_mut(&step.id).readings.insert(reading.id.clone(), typed);
            }
        }
        3 => {
            skip(
                record,
                &step.id,
                if now.0.is_multiple_of(2) { "Not on this set." } else { " " },
                now,
            );
        }
        4 => {
            for stop in status.at(place) {
                if let Some(against) = stop.against() {
                    give(record.step_mut(&step.id), &against, "I know why.", now);
                }
            }
        }
        5 => set_done(record, &step.id, None),
        _ => {}
    }
}

/// Every capacitor that the circuit shows above 50 V after switching off
/// stands in the discharge step by its key.
fn all_charged_are_told(plan: &Plan) -> Result<(), TestCaseError> {
    let step = plan.power_up.iter().find(|step| step.id == "discharge").unwrap();
    let readings: Vec<&str> = step.readings.iter().map(|r| r.what.as_str()).collect();
    let told = format!("{} {}", step.expect.clone().unwrap_or_default(), readings.join(" "));
    let told: Vec<&str> = told
        .split(|c: char| !(c.is_alphanumeric() || c == '/'))
        .filter(|w| !w.is_empty())
        .collect();
    for part in &plan.parts {
        if matches!(part.discharge, Some(FallOf::After { .. } | FallOf::Stays { .. })) {
            prop_assert!(told.contains(&part.key.as_str()), "{} in {told:?}", part.key);
        }
    }
    Ok(())
}

/// Every check before power stands before the first step that energises.
fn checks_come_first(plan: &Plan) -> Result<(), TestCaseError> {
    let first = plan.power_up.iter().position(energises).unwrap();
    let last = plan.power_up.iter().rposition(|s| s.phase == Phase::BeforePower).unwrap();
    prop_assert!(last < first, "{:?}", plan.power_up);
    // And none of them is left out: look, resistance of B+, meters.
    for id in ["look", "b-plus-ohms", "meters"] {
        prop_assert!(plan.power_up[..first].iter().any(|s| s.id == id), "{id}");
    }
    let off = plan.power_up.iter().position(|s| s.phase == Phase::SwitchOff).unwrap();
    prop_assert!(plan.power_up[off..].iter().all(|s| !energises(s)));
    Ok(())
}

proptest! {
    #![proptest_config(chance::cases(10_000))]

    /// Both on one plan: it is the plan that takes the time.
    #[test]
    fn every_charged_capacitor_is_told_and_no_step_that_energises_stands_before_a_check(
        sheet in sheet(),
    ) {
        let plan = plan(&sheet);
        all_charged_are_told(&plan)?;
        checks_come_first(&plan)?;
    }

    #[test]
    fn no_step_that_energises_opens_before_every_check_is_done_or_skipped_with_a_reason(
        sheet in sheet(),
        acts in prop::collection::vec(act(), 0..60),
    ) {
        let plan = plan(&sheet);
        let steps = &plan.power_up;
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        for (at, now) in acts.iter().zip(1..) {
            let status = PowerStatus::of(steps, &plan, &record);
            let place = at.step % steps.len();
            act_on(&mut record, &status, (place, &steps[place]), at, Stamp(now));
            let status = PowerStatus::of(steps, &plan, &record);
            let open = status.current.unwrap_or(steps.len());
            prop_assert!(status.stops.iter().all(|stop| !stop.is_open() || stop.step >= open));
            prop_assert!((0..steps.len()).all(|at| at == open || !status.may_tick(at)));
            for (step, stands) in steps[..open].iter().zip(&status.standings) {
                let kept = record.step(&step.id);
                let reasoned = kept.overrides.values().any(|given| !given.reason.trim().is_empty());
                match stands {
                    Standing::Done => prop_assert!(kept.done_at.is_some(), "{}", step.id),
                    Standing::Skipped => {
                        prop_assert!(kept.skipped_at.is_some() && reasoned, "{}", step.id);
                        prop_assert_ne!(step.stop, StopKind::CureOnly, "{}", step.id);
                    }
                    _ => prop_assert!(false, "{} stands {stands:?}", step.id),
                }
            }
        }
    }

    #[test]
    fn below_the_short_at_the_plug_nothing_that_energises_can_be_ticked(
        sheet in sheet(),
        share in 0.0_f64..0.99,
        reason in any::<bool>(),
    ) {
        let plan = plan(&sheet);
        let steps = &plan.power_up;
        let Some(plug) = steps.iter().find(|step| step.id == "plug-ohms") else { return Ok(()) };
        let limit: f64 = plug.readings[0].cure_below.as_ref().unwrap().parse().unwrap();
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        for step in steps {
            record.step_mut(&step.id).done_at = Some(Stamp(1));
        }
        let typed = format!("{:.3}", limit * share);
        record.step_mut("plug-ohms").readings.insert("plug".into(), typed);
        if reason {
            for stop in PowerStatus::of(steps, &plan, &record).stops {
                if let Some(against) = stop.against() {
                    give(record.step_mut(&steps[stop.step].id), &against, "Anyway.", Stamp(2));
                }
            }
        }
        let status = PowerStatus::of(steps, &plan, &record);
        for (at, _) in steps.iter().enumerate().filter(|(_, step)| energises(step)) {
            prop_assert!(!status.may_tick(at));
            prop_assert!(matches!(status.standings[at], Standing::Held | Standing::Later));
            prop_assert!(status.before(at).any(Stop::is_open));
        }
    }
}

proptest! {
    #![proptest_config(chance::cases(200))]

    #[test]
    fn a_study_on_the_lamp_keeps_the_order_and_never_makes_a_figure_that_is_none(sheet in sheet()) {
        let plan = plan(&sheet);
        let Ok(study) = Study::of(&sheet, &plan.power_up, 0) else { return Ok(()) };
        let joined = study.join(&plan.power_up);
        let ids = |steps: &[PowerStep]| steps.iter().map(|s| s.id.clone()).collect::<Vec<_>>();
        prop_assert_eq!(ids(&joined), ids(&plan.power_up));
        for stage in &study.stages {
            for point in std::iter::once(&stage.healthy).chain(&stage.faulty).chain([&stage.bare]) {
                let figures = [point.lamp_v, point.set_v, point.amps, point.set_w, point.b_plus];
                prop_assert!(figures.iter().all(|f| f.is_finite() && *f >= 0.0), "{point:?}");
                prop_assert!(point.lamp_v <= point.line_v * 1.0001, "{point:?}");
                prop_assert!(point.set_v <= point.line_v * 1.02, "{point:?}");
            }
        }
    }
}

#[test]
fn the_examples_tell_every_charged_capacitor() {
    for example in &EXAMPLES {
        all_charged_are_told(&plan(&Sheet::read(example.text))).unwrap();
    }
}
