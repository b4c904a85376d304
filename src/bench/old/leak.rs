//! Leakage and insulation: by the place, by the volts, by the instrument.

use super::{Around, Finding, Good, Limit, Slot, Typed, farads, is_electrolytic, typed_input};
use crate::bench::reading::{Bound, Figure};
use crate::plan::check::usual_insulation;
use crate::plan::resistor::ohms_text;
use crate::plan::text::{figure, input, volts, working};
use crate::plan::types::{Basis, Input, PlannedPart};
use crate::trade::fresh::{OLD_AMPS_PER_FARAD, OLD_SOURCE, SCRAP_AMPS_PER_FARAD};
use crate::trade::source::Source;

const PLACE: Source = Source::arithmetic(
    "the insulation that this place asks for, by the circuit; insulation is volts by amperes",
);
const USUAL: Source = Source::practice(
    "500 MΩ where a leak would move a grid or reach metal, 50 MΩ elsewhere, at the volts it works \
     at, after one minute, one lead lifted",
);
/// The share of the volts it must stand at which a pass counts.
/// Source: own choice.
const ENOUGH: f64 = 0.9;
/// Times its rating past which a failure may be the test's own doing.
/// Source: own choice.
const TOO_MUCH: f64 = 1.1;
/// How far insulation may fall from a low test to a high one before that is a
/// breakdown. Source: own choice.
const BREAKDOWN: f64 = 3.0;

/// One test of the part on direct voltage.
#[derive(Debug, Clone)]
struct Test {
    /// Volts of the test; `None` where they were not noted.
    volts: Option<f64>,
    /// Ohms of the part, of what beside it taken out.
    ohms: f64,
    /// How far that goes.
    bound: Bound,
    /// What else hides it: the ohms beside it.
    hidden_by: Option<f64>,
    inputs: Vec<Input>,
}

/// What the place asks for.
struct Needed {
    ohms: f64,
    words: String,
    source: Source,
    basis: Basis,
}

/// All tests together.
pub fn judge(planned: &PlannedPart, typed: &Typed, around: &Around) -> Option<Finding> {
    let mut tests: Vec<Test> =
        [(Slot::Leakage, Slot::LeakageAt), (Slot::SecondLeakage, Slot::SecondLeakageAt)]
            .into_iter()
            .filter_map(|(slot, at)| by_current(typed, slot, at))
            .chain(by_ohms(typed))
            .map(|test| without_beside(test, around))
            .collect();
    crate::order::sort(&mut tests, |t| crate::order::rising(t.volts.unwrap_or(0.0)));
    let at = must_stand(planned);
    let verdicts: Vec<(Good, &Test, Needed)> = tests
        .iter()
        .filter_map(|test| {
            let needed = needed(planned, test.volts)?;
            Some((one(planned, test, &needed, at), test, needed))
        })
        .collect();
    let (good, test, needed) = verdicts.iter().max_by_key(|(good, ..)| *good)?;
    // A pass at the volts that count settles what a low test left open.
    let settled = verdicts.iter().rev().find(|(good, ..)| *good == Good::Passes);
    let (good, test, needed) = match (good, settled) {
        (Good::Doubtful, Some((good, test, needed))) => (good, test, needed),
        _ => (good, test, needed),
    };
    let sentence = sentence(planned, *good, test, needed, at, &tests);
    let mut inputs = test.inputs.clone();
    inputs.push(input("needed here", ohms_text(needed.ohms), needed.basis));
    inputs.extend(at.map(|(v, why)| input(why, volts(v), Basis::Computed)));
    if let Some(beside) = around.beside.and_then(|b| b.ohms) {
        inputs.push(input("beside it in circuit", ohms_text(beside), Basis::Computed));
    }
    let rule = format!("volts by amperes of leakage, against what is needed: {}", needed.words);
    let working = working("leakage", inputs, rule, shown(test), needed.source);
    Some(Finding { good: *good, sentence, working })
}

/// The volts at which a pass counts: what the circuit puts on it, or its mark.
fn must_stand(planned: &PlannedPart) -> Option<(f64, &'static str)> {
    let stress = planned.stress.as_ref().map(|s| (s.volts, "it sees here"));
    let mark = planned.old.rating.map(|v| (v.to_f64(), "its mark"));
    stress.filter(|(volts, _)| *volts >= 1.0).or(mark)
}

fn by_current(typed: &Typed, slot: Slot, at: Slot) -> Option<Test> {
    let found = typed.get(slot)?;
    let at = typed.plain(at);
    let mut inputs = vec![typed_input(slot.key(), found, &amperes(found.value))];
    inputs.extend(at.map(|v| input("tested at", volts(v), Basis::Stated)));
    // Nothing shown is no more than the least that would be.
    let least = typed.limit(Limit::Current).filter(|least| found.value < *least);
    let (amps, bound) = match (least, found) {
        (Some(least), _) => {
            inputs.push(input("least current shown", amperes(least), Basis::Stated));
            (least, Bound::AtLeast)
        }
        (None, Figure { value, bound: Bound::AtMost }) => (value, Bound::AtLeast),
        (None, Figure { value, bound: Bound::AtLeast }) => (value, Bound::AtMost),
        (None, Figure { value, .. }) => (value, Bound::Exact),
    };
    let ohms = at? / amps;
    let bound = if amps == 0.0 { Bound::AtLeast } else { bound };
    (amps >= 0.0).then_some(Test { volts: at, ohms, bound, hidden_by: None, inputs })
}

fn by_ohms(typed: &Typed) -> Option<Test> {
    let found = typed.get(Slot::Insulation)?;
    let at = typed.plain(Slot::InsulationAt);
    let limit = typed.limit(Limit::Ohms);
    let shown = if found.value.is_infinite() { "OL".to_owned() } else { ohms_text(found.value) };
    let mut inputs =
        vec![typed_input("insulation", Figure { bound: Bound::Exact, ..found }, &shown)];
    inputs.extend(at.map(|v| input("tested at", volts(v), Basis::Stated)));
    let ohms = match limit {
        Some(limit) if found.value.is_infinite() => {
            inputs.push(input("highest resistance shown", ohms_text(limit), Basis::Stated));
            limit
        }
        _ => found.value,
    };
    Some(Test { volts: at, ohms, bound: found.bound, hidden_by: None, inputs })
}

/// Takes out what the circuit puts beside the part.
fn without_beside(mut test: Test, around: &Around) -> Test {
    let Some(beside) = around.beside.and_then(|b| b.ohms) else { return test };
    let left = 1.0 / test.ohms - 1.0 / beside;
    // Less than the tolerance of what is beside it is no leak that is told.
    if left * beside < 0.25 {
        test.hidden_by = Some(beside);
        test.ohms = beside * 4.0;
        test.bound = Bound::AtLeast;
    } else {
        test.ohms = 1.0 / left;
    }
    test
}

fn needed(planned: &PlannedPart, at: Option<f64>) -> Option<Needed> {
    let by_place = planned.required_insulation.as_ref();
    if is_electrolytic(planned) {
        let ohms = at? / (farads(planned)? * OLD_AMPS_PER_FARAD);
        return Some(match by_place.filter(|place| place.ohms > ohms) {
            Some(place) => of_place(&place.moves, place.ohms, place.allowed_v),
            None => Needed {
                ohms,
                words: "0.1 mA a µF at most".to_owned(),
                source: OLD_SOURCE,
                basis: Basis::Assumed,
            },
        });
    }
    if let Some(place) = by_place {
        return Some(of_place(&place.moves, place.ohms, place.allowed_v));
    }
    Some(Needed {
        ohms: usual_insulation(planned.role.map(|r| r.value)),
        words: "what is usual for its role".to_owned(),
        source: USUAL,
        basis: Basis::Assumed,
    })
}

fn of_place(moves: &str, ohms: f64, allowed: f64) -> Needed {
    let words = format!("a leak here moves the {moves}, which may move {}", volts(allowed));
    Needed { ohms, words, source: PLACE, basis: Basis::Computed }
}

/// One test alone.
fn one(
    planned: &PlannedPart,
    test: &Test,
    needed: &Needed,
    at: Option<(f64, &'static str)>,
) -> Good {
    let is_less = test.ohms < needed.ohms;
    if test.hidden_by.is_some() {
        return if is_less { Good::Doubtful } else { Good::Passes };
    }
    if is_less && test.bound == Bound::AtLeast {
        return Good::Doubtful;
    }
    if is_less {
        let mark = planned.old.rating.map(crate::trade::quantity::Voltage::to_f64);
        let beyond = test.volts.zip(mark).is_some_and(|(v, mark)| v > TOO_MUCH * mark);
        let between = is_electrolytic(planned)
            && planned.required_insulation.as_ref().is_none_or(|p| test.ohms >= p.ohms)
            && test.ohms > needed.ohms * OLD_AMPS_PER_FARAD / SCRAP_AMPS_PER_FARAD;
        return if beyond || between { Good::Doubtful } else { Good::Fails };
    }
    let enough = match (test.volts, at) {
        (Some(volts), Some((must, _))) => volts >= ENOUGH * must,
        (Some(_), None) => true,
        (None, _) => false,
    };
    // An ohmmeter that says OL says nothing of how much.
    let told = test.ohms.is_finite() || test.volts.is_some();
    if enough && told && test.bound != Bound::AtMost { Good::Passes } else { Good::Doubtful }
}

fn sentence(
    planned: &PlannedPart,
    good: Good,
    test: &Test,
    needed: &Needed,
    at: Option<(f64, &'static str)>,
    tests: &[Test],
) -> String {
    let (found, wanted) = (shown(test), ohms_text(needed.ohms));
    let words = &needed.words;
    match good {
        Good::Fails => {
            let low = tests.iter().find(|t| {
                t.ohms > BREAKDOWN * test.ohms && t.volts.unwrap_or(0.0) < test.volts.unwrap_or(0.0)
            });
            let low = low.map(|low| format!("; at the lower test it showed {}", shown(low)));
            format!("{found}, and {wanted} are needed ({words}){}.", low.unwrap_or_default())
        }
        Good::Passes => format!("{found}, and {wanted} are enough ({words})."),
        Good::Doubtful if test.hidden_by.is_some() => format!(
            "The circuit itself has {} beside it: lift one lead to tell whether it has {wanted} \
             ({words}).",
            test.hidden_by.map(ohms_text).unwrap_or_default()
        ),
        Good::Doubtful if test.ohms < needed.ohms && test.bound == Bound::AtLeast => format!(
            "The instrument shows no more than that it has {found}, and {wanted} are needed \
             ({words}): test at more volts or on a finer range."
        ),
        Good::Doubtful if test.ohms < needed.ohms && is_electrolytic(planned) => format!(
            "{found}, more leakage than {words}: reform it and see whether it falls, or replace it."
        ),
        Good::Doubtful if test.ohms < needed.ohms => {
            format!("{found}, but that is above its mark: test it again at its mark.")
        }
        Good::Doubtful if test.ohms.is_infinite() => format!(
            "OL says only that it is above what the meter shows: give the meter's highest \
             resistance, or test it at its volts; {wanted} are needed ({words})."
        ),
        Good::Doubtful => match at {
            Some((must, why)) => format!(
                "{found} passes as far as it goes, but {why} is {}: test it at that; a part may \
                 be good at a low voltage and leak at its own.",
                volts(must)
            ),
            None => format!("{found}, at volts that were not noted: note them."),
        },
    }
}

/// `4.2 MΩ at 400 V`.
fn shown(test: &Test) -> String {
    let sign = match test.bound {
        Bound::Exact => "",
        Bound::AtLeast => "at least ",
        Bound::AtMost => "at most ",
    };
    let ohms = if test.ohms.is_finite() { ohms_text(test.ohms) } else { "OL".to_owned() };
    let at = test.volts.map(|v| format!(" at {}", volts(v)));
    let sign = if test.ohms.is_finite() { sign } else { "" };
    format!("{sign}{ohms}{}", at.unwrap_or_default())
}

fn amperes(amps: f64) -> String {
    if amps >= 1e-3 {
        format!("{} mA", figure(amps * 1e3))
    } else {
        format!("{} µA", figure(amps * 1e6))
    }
}
