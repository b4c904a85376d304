//! Old electrolytics that are kept after all: brought back to their voltage through a resistor,
//! before the set does it with its whole supply behind them.

use super::{reading, step};
use crate::plan::resistor::ohms_text;
use crate::plan::text::{figure, input, milliamperes, volts, working};
use crate::plan::types::{Basis, Decision, Phase, PlannedPart, PowerStep, Reading, Working};
use crate::trade::limits::SHOCK_V;
use crate::trade::quantity::Voltage;
use crate::trade::source::Source;

/// The most current into a capacitor that is a short, amperes.
const MOST_A: f64 = 5e-3;
/// Resistors on a bench, ohms.
const OHMS: [f64; 5] = [10e3, 22e3, 33e3, 47e3, 100e3];
/// Ratings of resistors, watts.
const WATTS: [f64; 5] = [1.0, 2.0, 3.0, 5.0, 10.0];
/// How long the highest step is held before it is judged, seconds.
const HOLD: u32 = 1800;
/// Hours after which one that has not come back is given up.
const GIVE_UP_HOURS: f64 = 4.0;

const SERIES: Source = Source::practice(
    "10 to 100 kΩ in series, at most 5 mA, in steps of a quarter of the rating, each until the \
     current is below 1 mA and falls; a maker's note has 10 kΩ to 75 V or 100 kΩ above, 4 h and more",
);
const LEAKAGE: Source = Source::published(
    "JAN-C-62 and EIA leakage of electrolytics, I(mA) = K·C(µF) + 0.3 with K 0.01 to 100 V, 0.02 \
     to 250 V, 0.025 to 350 V, 0.04 above, as quoted by others",
);

/// An old electrolytic.
struct Kept<'a> {
    key: &'a str,
    volts: f64,
    microfarads: f64,
}

impl Kept<'_> {
    /// The most leakage that passes, milliamperes.
    fn leakage(&self) -> f64 {
        let k = match self.volts {
            v if v <= 100.0 => 0.01,
            v if v <= 250.0 => 0.02,
            v if v <= 350.0 => 0.025,
            _ => 0.04,
        };
        k * self.microfarads + 0.3
    }
}

/// The step, where the set has old electrolytics of more than 50 V. The plan
/// replaces them; a user may keep one.
pub fn steps(parts: &[PlannedPart]) -> Option<PowerStep> {
    let kept: Vec<Kept> = parts.iter().filter_map(kept).collect();
    let highest = kept.iter().map(|part| part.volts).fold(0.0, f64::max);
    if kept.is_empty() {
        return None;
    }
    let ohms = OHMS.into_iter().find(|r| highest / r <= MOST_A).unwrap_or(OHMS[4]);
    let watts = highest * highest / ohms;
    let rated = WATTS.into_iter().find(|w| *w >= 1.5 * watts).unwrap_or(WATTS[4]);
    let names: Vec<&str> = kept.iter().map(|part| part.key).collect();
    let resistor = format!("{} {} W", ohms_text(ohms), figure(rated));
    let mut made = step(
        "reform",
        Phase::BeforePower,
        "Old electrolytics that stay, if any",
        format!(
            "The plan replaces {}; with all of them new this step is done. One that is to stay is \
             reformed first: positive lead lifted, one at a time, from a supply with a current limit through \
             {resistor}. A quarter, a half, three quarters and all of its rated volts; at each \
             wait until the current falls below 1 mA. The volts across the resistor tell it: 1 V \
             is {}. Then discharge it through the same resistor.",
            names.join(", "),
            milliamperes(1.0 / ohms)
        ),
    )
    .expecting(
        "The current falls, quickly at first. A part of more than thirty years is better replaced: \
         this only shows whether it may stay for a trial.",
    )
    .stopping_if(format!(
        "the current rises or stands still above the figure, the can gets warm, hisses or bulges, \
         or {} h have not brought it down: replace it",
        figure(GIVE_UP_HOURS)
    ))
    .holding(HOLD);
    for part in &kept {
        let what = format!("{}: leakage at {} after 5 min", part.key, volts(part.volts));
        let asked = reading(part.key, &what, "mA", None, Some(part.leakage()));
        // Only where the part stays.
        made = made.reading(Reading { needed: false, ..asked });
    }
    made.working = vec![series_working(highest, ohms, watts), leakage_working(&kept)];
    Some(made)
}

fn kept(part: &PlannedPart) -> Option<Kept<'_>> {
    // What is marked as new stays and needs none of it.
    let old = part.decision != Decision::Keep;
    let dielectric = part.old.dielectric.is_some_and(|d| d.value.is_electrolytic());
    let volts = part.old.rating.map(Voltage::to_f64)?;
    let microfarads = part.old.picofarads? * 1e-6;
    (old && dielectric && volts > SHOCK_V && microfarads > 0.0).then_some(Kept {
        key: &part.key,
        volts,
        microfarads,
    })
}

fn series_working(highest: f64, ohms: f64, watts: f64) -> Working {
    let inputs = vec![
        input("highest rating", volts(highest), Basis::Stated),
        input("most current", milliamperes(MOST_A), Basis::Assumed),
    ];
    let result = format!(
        "{}, {} into a short, {} W",
        ohms_text(ohms),
        milliamperes(highest / ohms),
        figure(watts)
    );
    let rule = "the least resistor on a bench that keeps a shorted capacitor below that current; \
                its watts V²/R, with half as much to spare";
    working("series resistor", inputs, rule, result, SERIES)
}

fn leakage_working(kept: &[Kept]) -> Working {
    let inputs = kept
        .iter()
        .map(|part| {
            let mark = format!("{} µF {}", figure(part.microfarads), volts(part.volts));
            input(part.key.to_owned(), mark, Basis::Stated)
        })
        .collect();
    let each: Vec<String> =
        kept.iter().map(|p| format!("{} {} mA", p.key, figure(p.leakage()))).collect();
    working("leakage", inputs, "K·C + 0.3 mA by the rated volts", each.join(", "), LEAKAGE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::plan;
    use crate::sheet::Sheet;

    fn leakage(microfarads: f64, volts: f64) -> f64 {
        Kept { key: "C1", volts, microfarads }.leakage()
    }

    /// Printed beside the formula: 20 µF at 450 V 1.1 mA, at 250 V 0.7 mA
    /// (JAN-C-62 and EIA, as quoted by others).
    #[test]
    fn the_leakage_is_the_printed_one() {
        assert!((leakage(20.0, 450.0) - 1.1).abs() < 1e-9);
        assert!((leakage(20.0, 250.0) - 0.7).abs() < 1e-9);
    }

    #[test]
    fn the_resistor_keeps_a_short_below_five_milliamperes_and_stays_cool() {
        let text = "mains 117 V\nsupply transformer 700 V CT\nC1 20 mfd 450 V electrolytic\n\
                    C2 10 mfd 150 V electrolytic\nC3 25 mfd 25 V electrolytic";
        let steps = plan(&Sheet::read(text)).power_up;
        let step = steps.iter().find(|step| step.id == "reform").unwrap();
        assert!(step.action.contains("C1, C2"), "{}", step.action);
        // 450 V through 100 kΩ: 4.5 mA, 2 W.
        assert_eq!(step.working[0].result, "100 kΩ, 4.5 mA into a short, 2.02 W");
        assert!(step.action.contains("100 kΩ 5 W"), "{}", step.action);
        let limits: Vec<_> = step.readings.iter().map(|r| r.most.as_deref()).collect();
        assert_eq!(limits, [Some("1.1"), Some("0.5")]);
    }

    #[test]
    fn new_electrolytics_and_sets_without_any_need_no_reforming() {
        for text in ["C1 20 mfd 450 V electrolytic new", "C1 .05 mfd 400 V paper"] {
            let steps = plan(&Sheet::read(text)).power_up;
            assert!(steps.iter().all(|step| step.id != "reform"), "{text}");
        }
    }
}
