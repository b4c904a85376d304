//! Capacitance: a reading that is high with a poor null is a leak.

use super::{
    Around, Finding, Good, Limit, Slot, Typed, dielectric, farads, frequency, is_electrolytic,
    typed_input,
};
use crate::bench::reading::Bound;
use crate::plan::check::capacitance_text;
use crate::plan::resistor::ohms_text;
use crate::plan::text::{figure, input, working};
use crate::plan::types::{Basis, Input, PlannedPart};
use crate::trade::fresh::{
    LEAKY, LEAST_SHARE, OLD_SOURCE, SERIES_FORM, TOLERANCE_SOURCE, old_tolerance,
};
use crate::trade::source::Source;
use rust_decimal::prelude::ToPrimitive;
use std::f64::consts::TAU;

/// A leaky capacitor as it is: capacitance and resistance side by side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parallel {
    /// Farads.
    pub farads: f64,
    /// Ohms across it.
    pub ohms: f64,
}

/// What a series bridge shows as a capacitance and a dissipation is this
/// capacitance with this leak across it: `Cp = Cs/(1+D²)`, `Rp = 1/(ωCpD)`.
pub fn parallel(farads: f64, dissipation: f64, hertz: f64) -> Parallel {
    let own = farads / (1.0 + dissipation * dissipation);
    Parallel { farads: own, ohms: 1.0 / (TAU * hertz * own * dissipation) }
}

/// The reading as it was taken, and as it would be with a lead lifted.
struct Reading {
    farads: f64,
    dissipation: Option<f64>,
    corrected: bool,
}

pub fn judge(planned: &PlannedPart, typed: &Typed, around: &Around) -> Option<Finding> {
    let found = typed.get(Slot::Capacitance)?;
    let mark = farads(planned)?;
    let (hertz, basis) = frequency(planned, typed.readings);
    let mut inputs = vec![typed_input("reading", found, &shown(found.value))];
    inputs.push(input("mark", shown(mark), Basis::Stated));
    if found.value.is_infinite() || found.bound == Bound::AtLeast {
        return Some(out_of_range(typed, inputs));
    }
    let taken = Reading {
        farads: found.value,
        dissipation: loss(typed, found.value, hertz),
        corrected: false,
    };
    inputs.extend(taken.dissipation.map(|d| input("dissipation", percent(d), Basis::Stated)));
    let null = typed.word(Slot::Null);
    if !null.is_empty() {
        inputs.push(input("null", null.to_owned(), Basis::Stated));
    }
    let reading = without_beside(taken, around, hertz, &mut inputs);
    let (below, above, tolerance) = window(planned);
    let error = typed.error();
    let least = mark * (1.0 - below) * (1.0 - error);
    let most = mark * (1.0 + above) * (1.0 + error);
    inputs.push(input("frequency", format!("{} Hz", figure(hertz)), basis));
    let bound = format!("{} to {}", shown(least), shown(most));
    inputs.push(input("window with the bridge's own error", bound, Basis::Computed));
    let seen = Seen { mark, hertz, null, least, most, electrolytic: is_electrolytic(planned) };
    let (good, sentence, rule, source) = verdict(&reading, &seen, tolerance);
    let result = sentence.clone();
    Some(Finding { good, sentence, working: working("capacitance", inputs, rule, result, source) })
}

/// What the reading is held against.
struct Seen<'a> {
    mark: f64,
    hertz: f64,
    null: &'a str,
    least: f64,
    most: f64,
    electrolytic: bool,
}

fn verdict(
    reading: &Reading,
    seen: &Seen,
    tolerance: Source,
) -> (Good, String, &'static str, Source) {
    const SERIES: &str = "Cp = Cs/(1 + D²), Rp = 1/(2π·f·Cp·D): what a series bridge shows of a \
                          capacitor with a leak across it";
    const WINDOW: &str = "the mark, less and plus its tolerance";
    let (found, mark) = (shown(reading.farads), shown(seen.mark));
    let place = if reading.corrected { " with what the circuit adds taken out" } else { "" };
    let poor = matches!(seen.null, "broad" | "none");
    let lossy = reading.dissipation.filter(|d| *d > LEAKY);
    if reading.farads > seen.most {
        if let (Some(d), false) = (lossy, seen.electrolytic) {
            let own = parallel(reading.farads, d, seen.hertz);
            let sentence = format!(
                "It reads {found}{place} for {mark}: not more capacitance but a leak, {} with \
                 about {} across it.",
                shown(own.farads),
                ohms_text(own.ohms)
            );
            return (Good::Fails, sentence, SERIES, SERIES_FORM);
        }
        if poor && !seen.electrolytic {
            // By the mark: the dissipation that would make it read so high.
            let d = (reading.farads / seen.mark - 1.0).sqrt();
            let own = parallel(reading.farads, d, seen.hertz);
            let sentence = format!(
                "It reads {found}{place} for {mark} with a poor null: not more capacitance but a \
                 leak, about {} across it if the mark is right.",
                ohms_text(own.ohms)
            );
            return (Good::Fails, sentence, SERIES, SERIES_FORM);
        }
        let sentence = match seen.null {
            "sharp" => format!(
                "It reads {found}{place} for {mark} with a sharp null: look at its mark again."
            ),
            _ => format!(
                "It reads {found}{place} for {mark}: a leak reads so. Note the null or the \
                 dissipation, and test it at its volts."
            ),
        };
        return (Good::Doubtful, sentence, WINDOW, tolerance);
    }
    if reading.farads < seen.least || seen.electrolytic && reading.farads < LEAST_SHARE * seen.mark
    {
        let (why, source) = if seen.electrolytic {
            ("it has dried out", OLD_SOURCE)
        } else {
            ("a lead or foil has come off, or it is another part", tolerance)
        };
        let sentence = format!("It reads {found}{place} for {mark}: {why}.");
        return (Good::Fails, sentence, WINDOW, source);
    }
    if poor && !seen.electrolytic {
        let sentence = format!(
            "It reads {found}{place} for {mark}, but its null is poor: test its leakage at its \
             volts."
        );
        return (Good::Doubtful, sentence, WINDOW, tolerance);
    }
    (Good::Passes, format!("It reads {found}{place} for {mark}."), WINDOW, tolerance)
}

fn out_of_range(typed: &Typed, mut inputs: Vec<Input>) -> Finding {
    let limit = typed.limit(Limit::Capacitance);
    inputs.extend(limit.map(|l| input("highest capacitance shown", shown(l), Basis::Stated)));
    let sentence = "The reading is past the instrument's range: a short or a heavy leak reads so. \
                    Measure its resistance first."
        .to_owned();
    let rule = "past the range nothing is told of the capacitance";
    let working = working("capacitance", inputs, rule, sentence.clone(), SERIES_FORM);
    Finding { good: Good::Doubtful, sentence, working }
}

/// Dissipation as typed, or from the series resistance.
fn loss(typed: &Typed, farads: f64, hertz: f64) -> Option<f64> {
    let said = typed.get(Slot::Dissipation).map(|f| f.value / 100.0);
    said.filter(|d| d.is_finite() && *d >= 0.0)
        .or_else(|| typed.plain(Slot::Esr).map(|ohms| ohms * TAU * hertz * farads))
}

/// Takes out what the circuit puts beside the part: as admittances where the
/// dissipation is known, else the capacitance alone.
fn without_beside(
    reading: Reading,
    around: &Around,
    hertz: f64,
    inputs: &mut Vec<Input>,
) -> Reading {
    let Some(beside) = around.beside else { return reading };
    let omega = TAU * hertz;
    let shown_beside = match (beside.farads(hertz), beside.siemens) {
        (farads, siemens) if siemens > 1e-9 => {
            format!("{} and {}", shown(farads), ohms_text(1.0 / siemens))
        }
        (farads, _) => shown(farads),
    };
    inputs.push(input("beside it in circuit", shown_beside, Basis::Computed));
    let Some(d) = reading.dissipation else {
        let farads = (reading.farads - beside.farads(hertz)).max(0.0);
        return Reading { farads, corrected: true, ..reading };
    };
    let whole = parallel(reading.farads, d.max(1e-9), hertz);
    let siemens = (1.0 / whole.ohms - beside.siemens).max(0.0);
    let farads = (whole.farads - beside.susceptance / omega).max(0.0);
    let own = if farads > 0.0 { siemens / (omega * farads) } else { 0.0 };
    // Back to what the bridge would show of the part alone.
    Reading { farads: farads * (1.0 + own * own), dissipation: Some(own), corrected: true }
}

/// Parts of one below and above the mark, and where they come from.
fn window(planned: &PlannedPart) -> (f64, f64, Source) {
    if let Some(found) = planned.old.tolerance {
        let share = |d: rust_decimal::Decimal| d.to_f64().unwrap_or(20.0) / 100.0;
        return (share(found.value.below), share(found.value.above), Source::sheet());
    }
    let rating = planned.old.rating.map(crate::trade::quantity::Voltage::to_f64);
    let (below, above) = old_tolerance(dielectric(planned), rating);
    (below / 100.0, above / 100.0, TOLERANCE_SOURCE)
}

fn shown(farads: f64) -> String {
    capacitance_text(farads * 1e12)
}

fn percent(share: f64) -> String {
    format!("{} %", figure(share * 100.0))
}
