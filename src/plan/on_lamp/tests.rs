//! The power-up on its lamp.

use super::*;
use crate::plan::plan;
use crate::sheet::examples::EXAMPLES;

fn study(at: usize, watts: u16) -> (Study, Vec<PowerStep>) {
    let sheet = Sheet::read(EXAMPLES[at].text);
    let steps = plan(&sheet).power_up;
    let study = Study::of(&sheet, &steps, watts).unwrap();
    let joined = study.join(&steps);
    (study, joined)
}

#[test]
fn every_stage_says_lamp_set_and_b_plus_with_bands_that_hold_them() {
    for at in 0..EXAMPLES.len() {
        let (study, steps) = study(at, 0);
        for stage in &study.stages {
            let step = steps.iter().find(|s| s.id == stage.step).unwrap();
            let expect = step.expect.as_deref().unwrap();
            assert!(
                expect.contains(stage.healthy.glow.words()) || step.id == "full-line",
                "{expect}"
            );
            for reading in &step.readings {
                let at = match reading.id.as_str() {
                    "set" => stage.healthy.set_v,
                    "b-plus" if step.id != "full-line" => stage.healthy.b_plus,
                    "current" => stage.bare.amps,
                    _ => continue,
                };
                let limit =
                    |text: &Option<String>| text.as_ref().map(|t| t.parse::<f64>().unwrap());
                assert!(limit(&reading.least).is_none_or(|least| least <= at), "{reading:?} {at}");
                assert!(limit(&reading.most).is_none_or(|most| most >= at), "{reading:?} {at}");
            }
        }
    }
}

#[test]
fn the_lamp_at_hand_takes_the_place_of_the_one_that_tells_best() {
    let (best, steps) = study(0, 0);
    assert_eq!(best.choice.first, best.best);
    let action =
        |steps: &[PowerStep]| steps.iter().find(|s| s.id == "series-lamp").unwrap().action.clone();
    assert!(action(&steps).contains(&lamp_name(best.first().lamps)), "{}", action(&steps));
    let (own, steps) = study(0, 100);
    assert!(action(&steps).contains("100 W 120 V"), "{}", action(&steps));
    assert_eq!(own.best, best.best, "what tells best stays told");
    assert!(own.stages[0].healthy.set_v > best.stages[0].healthy.set_v);
}

#[test]
fn what_is_read_leads_to_the_fault_that_made_it() {
    for at in 0..EXAMPLES.len() {
        let (study, _) = study(at, 0);
        let stage = study.stages.last().unwrap();
        for (index, point) in stage.faulty.iter().enumerate() {
            // Read a little beside, on a line that is a little low.
            let entered = Entered {
                line_v: Some(stage.line_v * 0.98),
                set_v: Some(point.set_v * 0.98 * 1.01),
                b_plus: Some(point.b_plus * 0.98 * 0.99),
            };
            let ranked = rank(stage, entered);
            assert_eq!(ranked[0].fault, Some(index), "{ranked:?} {:?}", study.faults[index]);
        }
        let healthy = Entered {
            line_v: None,
            set_v: Some(stage.healthy.set_v),
            b_plus: Some(stage.healthy.b_plus),
        };
        assert_eq!(rank(stage, healthy)[0].fault, None);
        assert!(rank(stage, Entered::default()).is_empty());
    }
}

#[test]
fn faults_are_told_with_their_parts_and_where_to_look() {
    let (study, _) = study(1, 0);
    let titles: Vec<String> = study.faults.iter().map(fault_title).collect();
    assert_eq!(titles[0], "First filter C28 shorted");
    assert!(titles.iter().any(|t| t.starts_with("C22 before V6 leaks")), "{titles:?}");
    assert!(study.faults.iter().all(|f| fault_look(f).len() > 40));
}
