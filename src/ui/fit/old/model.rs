//! What the readings on an old part are held against, in words.

use crate::bench::old::{self, Around, Good, Judgement, Slot};
use crate::bench::set::SetRecord;
use crate::circuit::beside::Beside;
use crate::circuit::drift::drift;
use crate::circuit::wiring::Wiring;
use crate::plan::resistor::ohms_text;
use crate::plan::text::{figure, volts};
use crate::plan::types::{Decision, Plan, PlannedPart};
use crate::sheet::Sheet;
use crate::sheet::part::PartKind;
use std::collections::BTreeMap;

/// Which parts are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Listed {
    /// Those that stay if they pass.
    ToTest,
    /// Those with a reading.
    Read,
    /// All that can be read.
    All,
}

impl Listed {
    /// All of them, in the order shown.
    pub const ALL: [Self; 3] = [Self::ToTest, Self::Read, Self::All];

    /// Its name on the page.
    pub const fn label(self) -> &'static str {
        match self {
            Self::ToTest => "To test",
            Self::Read => "Read",
            Self::All => "All",
        }
    }
}

/// The keys of the parts listed, in the order of the sheet.
pub fn keys(plan: &Plan, record: &SetRecord, listed: Listed) -> Vec<String> {
    let is_listed = |part: &&PlannedPart| match listed {
        Listed::ToTest => part.decision == Decision::Test,
        Listed::Read => record.parts.get(&part.key).is_some_and(|r| !r.readings.is_empty()),
        Listed::All => true,
    };
    let parts = plan.parts.iter().filter(|p| old::is_judged(p.kind));
    parts.filter(is_listed).map(|p| p.key.clone()).collect()
}

/// What the readings on a part say. The circuit is asked for what runs beside
/// the part only where a reading was taken in place, and for what a drift moves
/// only where the part has drifted.
pub fn judgement(
    sheet: &Sheet,
    wiring: &Wiring,
    planned: &PlannedPart,
    readings: &BTreeMap<String, String>,
    instruments: &BTreeMap<String, String>,
) -> Option<Judgement> {
    let index = sheet.parts.iter().position(|p| p.key == planned.key);
    let hertz = old::frequency(planned, readings).0;
    let beside = index
        .filter(|_| old::in_place(readings))
        .map(|index| Beside::of(sheet, wiring, index, hertz));
    let mut around = Around { beside, moved: Vec::new() };
    let found = old::judge(planned, readings, instruments, &around)?;
    let ohms = old::read(planned, readings, Slot::Resistance).ok().flatten();
    if let (Good::Fails, Some(index), Some(ohms)) = (found.good, index, ohms) {
        around.moved = drift(sheet, wiring, index, ohms.value);
        return old::judge(planned, readings, instruments, &around);
    }
    Some(found)
}

/// What the part must do here, and what a good new one would read.
pub fn facts(planned: &PlannedPart) -> Vec<(&'static str, String)> {
    let mut facts = Vec::new();
    if let Some(needed) = &planned.required_insulation {
        let words = format!(
            "at least {}: a leak moves the {}, which may move {}",
            ohms_text(needed.ohms),
            needed.moves,
            volts(needed.allowed_v)
        );
        facts.push(("Insulation needed here", words));
    }
    facts.extend(
        planned
            .stress
            .as_ref()
            .filter(|s| s.volts >= 1.0)
            .map(|s| ("Most volts it sees here", format!("{} ({})", volts(s.volts), s.state))),
    );
    if planned.kind != PartKind::Capacitor {
        let window = planned.checks.first().and_then(|c| match (&c.least, &c.most) {
            (Some(least), Some(most)) => Some(format!("{least} to {most}")),
            (Some(least), None) => Some(format!("at least {least}")),
            (None, most) => most.as_ref().map(|most| format!("at most {most}")),
        });
        facts.extend(window.map(|window| ("Window", window)));
        return facts;
    }
    if let Some((kind, fresh)) = old::fresh(planned) {
        let mut words = Vec::new();
        words.extend(fresh.ohms.map(|ohms| format!("insulation of at least {}", ohms_text(ohms))));
        words.extend(fresh.leakage.map(|amps| {
            format!(
                "leakage of at most {} µA at its rating, after five minutes",
                figure(amps * 1e6)
            )
        }));
        words.push(format!(
            "dissipation of at most {} % at {} Hz",
            figure(fresh.dissipation * 100.0),
            figure(fresh.hertz)
        ));
        words.extend(
            fresh
                .esr(120.0)
                .map(|ohms| format!("series resistance of at most {} at 120 Hz", ohms_text(ohms))),
        );
        facts.push(("A good new one", format!("{}: {}", kind.label(), words.join(", "))));
    }
    facts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::SetId;
    use crate::bench::stamp::Stamp;
    use crate::plan::plan;

    #[test]
    fn every_judged_part_of_an_example_has_something_to_be_held_against() {
        for example in &crate::sheet::examples::EXAMPLES {
            let plan = plan(&Sheet::read(example.text));
            let record = SetRecord::new(SetId(1), String::new(), Stamp(0));
            let all = keys(&plan, &record, Listed::All);
            assert!(all.len() > 20, "{}: {}", example.id, all.len());
            for part in plan.parts.iter().filter(|p| all.contains(&p.key)) {
                if part.old.value.is_some() && part.old.picofarads.or(part.old.ohms).is_some() {
                    assert!(!facts(part).is_empty(), "{}: {}", example.id, part.key);
                }
            }
        }
    }

    #[test]
    fn a_reading_in_place_is_judged_with_what_runs_beside_the_part() {
        let sheet = Sheet::read("R1 100K a to chassis\nR2 300K a to chassis");
        let plan = plan(&sheet);
        let wiring = Wiring::of(&sheet);
        let mut readings = BTreeMap::from([(Slot::Resistance.key().to_owned(), "75".to_owned())]);
        let judged = |readings: &BTreeMap<String, String>| {
            judgement(&sheet, &wiring, &plan.parts[0], readings, &BTreeMap::new()).unwrap().good
        };
        assert_eq!(judged(&readings), Good::Fails);
        readings.insert(Slot::InPlace.key().to_owned(), old::IN_PLACE.to_owned());
        assert_eq!(judged(&readings), Good::Passes);
    }
}
