//! What the capacitors of a doubler bear.

use super::{DutyReport, States};
use crate::circuit::state::Set;
use crate::circuit::supply::{Supply, Topology};
use crate::sheet::Sheet;
use crate::trade::quantity::Capacitance;

impl DutyReport {
    /// Whether it is the second one of the supply's two.
    pub fn is_second(&self) -> bool {
        matches!(self.place.as_str(), "output" | "lower")
    }
}

/// Every capacitor of the doubler that is the supply at place `at` of the
/// running state; nothing of other supplies. `high` is the supply at the high
/// line.
pub fn duties(
    sheet: &Sheet,
    set: &Set,
    states: &States,
    (at, high): (usize, &Supply),
) -> Vec<DutyReport> {
    let fed = &states.running.fed[at];
    let (Some(duties), feed) = (fed.duties, &set.feeds[fed.feed]) else { return Vec::new() };
    let places = match feed.supply.topology {
        Topology::DoublerHalfWave => ["series", "output"],
        _ => ["upper", "lower"],
    };
    let crests = match feed.supply.topology {
        Topology::DoublerHalfWave => [1.0, 2.0],
        _ => [1.0, 1.0],
    };
    feed.reservoir
        .iter()
        .map(|part| {
            let slot = usize::from(feed.second.contains(part));
            let duty = duties[slot];
            // Parallel ones share the current by their farads.
            let own = sheet.parts[*part].capacitance.map_or(0.0, Capacitance::farads);
            let share = (own / feed.supply.farads[slot]).clamp(0.0, 1.0);
            DutyReport {
                key: sheet.parts[*part].key.clone(),
                place: places[slot].to_owned(),
                volts: duty.volts,
                least_v: duty.extremes.0,
                most_v: duty.extremes.1,
                no_load_v: crests[slot] * high.peak_volts,
                ripple_ma: duty.rms_amps * share * 1e3,
            }
        })
        .collect()
}
