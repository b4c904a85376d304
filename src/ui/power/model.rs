//! What a step says when a reading is out of its band.

use crate::bench::reading::{Verdict, judge, value_of};
use crate::bench::set::StepRecord;
use crate::plan::on_lamp::{Entered, Study, fault_look, fault_title, rank};
use crate::plan::types::{Phase, PowerStep, Reading};

/// Readings out of their bands, and what follows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alarm {
    /// Which, and to which side.
    pub what: Vec<String>,
    /// What to do at once.
    pub act: &'static str,
    /// Where to look first.
    pub look: Vec<String>,
}

/// The most faults that are told.
const MOST: usize = 3;

/// How a reading stands to its band; `None` where nothing readable is typed.
pub fn verdict(reading: &Reading, kept: &StepRecord) -> Option<Verdict> {
    let typed = kept.readings.get(&reading.id)?;
    judge(typed, &reading.unit, reading.least.as_deref(), reading.most.as_deref()).ok()?
}

/// What is out of its band in a step.
pub fn alarm(step: &PowerStep, kept: &StepRecord, study: Option<&Study>) -> Option<Alarm> {
    let out: Vec<(&Reading, Verdict)> = step
        .readings
        .iter()
        .filter_map(|r| Some((r, verdict(r, kept)?)))
        .filter(|(_, v)| matches!(v, Verdict::Below | Verdict::Above))
        .collect();
    if out.is_empty() {
        return None;
    }
    let side = |v: Verdict| if v == Verdict::Below { "below" } else { "above" };
    let what = out.iter().map(|(r, v)| format!("{}: {} its band", r.what, side(*v))).collect();
    let mut look = study.map_or_else(Vec::new, |study| likely(step, kept, study));
    for (reading, verdict) in &out {
        let hint = hint(step, reading, *verdict).to_owned();
        if !hint.is_empty() && !look.contains(&hint) {
            look.push(hint);
        }
    }
    Some(Alarm { what, act: act(step.phase), look })
}

/// What to do at once.
const fn act(phase: Phase) -> &'static str {
    match phase {
        Phase::BeforePower => "Do not power it. Find the cause with the plug out.",
        Phase::SetUp => "Do not go on before this is right.",
        Phase::Stages | Phase::FullLine => {
            "Stop: plug out, discharge as under Stop now, measure, and only then look."
        }
        Phase::SwitchOff => "Hands out. Discharge again and measure before you go on.",
    }
}

/// The faults that explain the readings of a stage better than a healthy set.
fn likely(step: &PowerStep, kept: &StepRecord, study: &Study) -> Vec<String> {
    let Some(stage) = study.stage(&step.id) else { return Vec::new() };
    let read = |id: &str| -> Option<f64> { value_of(kept.readings.get(id)?, "V").ok()? };
    // At the full line the lamp is out for the last readings.
    if step.id == "full-line" {
        return Vec::new();
    }
    let entered = Entered { line_v: read("line"), set_v: read("set"), b_plus: read("b-plus") };
    rank(stage, entered)
        .into_iter()
        .take_while(|like| like.fault.is_some())
        .filter_map(|like| study.faults.get(like.fault?))
        .take(MOST)
        .map(|fault| format!("{}. {}", fault_title(fault), fault_look(fault)))
        .collect()
}

/// Where to look for a reading of its kind.
fn hint(step: &PowerStep, reading: &Reading, verdict: Verdict) -> &'static str {
    let low = verdict == Verdict::Below;
    match (step.id.as_str(), reading.id.as_str()) {
        (_, "line") => "Set the line again with the set off, and compare both meters.",
        (_, "set") if low => {
            "The set takes more than it should: heater side first (all tubes out \
                              but one at a time, where it has a transformer), then B+."
        }
        (_, "set") => {
            "The set takes less than it should: a heater open or a tube not seated, the \
                       rectifier cold or weak."
        }
        ("b-plus-ohms", _) if low => {
            "Filter capacitors one by one with a lead lifted, then what \
                                      hangs on each point of B+."
        }
        ("plug-ohms", _) if low => "A short across the line: capacitor across it, cord, primary.",
        ("plug-ohms", _) => "Fuse, switch, cord, line plug; in a string each heater.",
        (_, "b-plus") if low => {
            "Rectifier weak or not warm, first filter low or leaky, an output \
                                 tube that draws too much: its cathode volts tell."
        }
        (_, "b-plus") => {
            "Nothing loads it: output tube cold or out, its cathode resistor open, \
                          field coil or output transformer open."
        }
        (_, "ripple") => {
            "First filter capacitor: value, both leads soldered; half of a full-wave \
                          rectifier not working halves the frequency."
        }
        (_, "current") if low => "A heater or a tube is out, or B+ is low.",
        (_, "current") => "Warm transformer: shorted turns, a leak on B+, a bias that is lost.",
        ("coupling", _) => "The coupling capacitor to that grid; with it lifted, the output tube.",
        ("hot-check" | "plug-to-metal", _) => {
            "Capacitors from line to metal, the resistor across them, rubbed cord and grommets."
        }
        ("voltages", _) if low => "Its resistor and what bypasses it to ground; then the tube.",
        ("voltages", _) => "The tube draws too little: its cathode resistor, its screen, its seat.",
        (_, "transformer" | "can") => {
            "What is hotter than its neighbors draws more than it should."
        }
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::plan;
    use crate::sheet::Sheet;
    use crate::sheet::examples::EXAMPLES;

    fn stage(at: usize) -> (PowerStep, Study) {
        let sheet = Sheet::read(EXAMPLES[0].text);
        let plan = plan(&sheet);
        let study = Study::of(&sheet, &plan.power_up, 0).unwrap();
        let steps = study.join(&plan.power_up);
        let id = format!("stage-{at}");
        (steps.into_iter().find(|s| s.id == id).unwrap(), study)
    }

    fn typed(pairs: &[(&str, &str)]) -> StepRecord {
        let mut kept = StepRecord::default();
        for (id, text) in pairs {
            kept.readings.insert((*id).to_owned(), (*text).to_owned());
        }
        kept
    }

    #[test]
    fn readings_in_their_bands_raise_nothing() {
        let (step, study) = stage(5);
        let healthy = study.stage("stage-5").unwrap().healthy;
        let set = format!("{:.1}", healthy.set_v);
        let b_plus = format!("{:.1} V", healthy.b_plus);
        let kept = typed(&[("set", &set), ("b-plus", &b_plus)]);
        assert_eq!(alarm(&step, &kept, Some(&study)), None);
        assert_eq!(alarm(&step, &StepRecord::default(), Some(&study)), None);
        // What cannot be read has its own message at its field.
        assert_eq!(alarm(&step, &typed(&[("set", "warm")]), Some(&study)), None);
    }

    #[test]
    fn a_shorted_filter_is_named_first_where_its_readings_are_typed() {
        let (step, study) = stage(5);
        let short = study.stage("stage-5").unwrap().faulty[0];
        let kept = typed(&[("set", &format!("{:.0}", short.set_v)), ("b-plus", "0.5")]);
        let alarm = alarm(&step, &kept, Some(&study)).unwrap();
        assert!(alarm.act.starts_with("Stop: plug out, discharge"), "{}", alarm.act);
        assert!(alarm.look[0].starts_with("First filter C20A shorted"), "{:?}", alarm.look);
        assert_eq!(alarm.what.len(), 1, "{:?}", alarm.what);
    }

    #[test]
    fn before_power_nothing_is_to_be_powered() {
        let plan = plan(&Sheet::read(EXAMPLES[1].text));
        let step = plan.power_up.iter().find(|s| s.id == "b-plus-ohms").unwrap();
        let alarm = alarm(step, &typed(&[("b-plus", "0.2")]), None).unwrap();
        assert!(alarm.act.starts_with("Do not power it"));
        assert_eq!(alarm.look.len(), 1);
    }
}
