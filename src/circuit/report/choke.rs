//! A filter that begins with a choke: whether its current flows all the time.

use super::{ChokeReport, SupplyReport};
use crate::circuit::feed::{Choke, Feed};
use crate::circuit::state::FedState;
use crate::circuit::supply::{Topology, critical_henries};
use crate::notation::note::{Level, Note};
use crate::sheet::Sheet;
use std::f64::consts::PI;

/// The choke of a supply, running at the nominal line and cold at the high one.
pub fn choke(
    sheet: &Sheet,
    feed: &Feed,
    running: &FedState,
    cold: Option<&FedState>,
) -> Option<ChokeReport> {
    let choke = feed.choke.as_ref()?;
    let flows = |fed: &FedState| fed.choke.is_some_and(|c| c.least_amps > 0.0);
    let load_ohms = load_ohms(running, choke);
    let alone = feed.supply.topology == Topology::HalfWave;
    let critical = |ohms| critical_henries(ohms, feed.supply.hertz);
    // The load whose critical inductance is this one, at 2/pi of the crest.
    let needed = 2.0 / PI * feed.supply.peak_volts * critical(1.0) / choke.henries;
    Some(ChokeReport {
        key: sheet.parts[choke.part].key.clone(),
        henries: choke.henries,
        capacitors: choke.capacitors.iter().map(|p| sheet.parts[*p].key.clone()).collect(),
        load_ohms: load_ohms.is_finite().then_some(load_ohms),
        critical_h: (load_ohms.is_finite() && !alone).then(|| critical(load_ohms)),
        needed_ma: (!alone).then_some(needed * 1e3),
        least_ma: running.choke.map_or(0.0, |c| c.least_amps * 1e3),
        flows: flows(running),
        cold_ma: cold.map(|fed| fed.amps * 1e3),
        cold_flows: cold.is_some_and(flows),
    })
}

/// Ohms that the choke feeds.
fn load_ohms(fed: &FedState, choke: &Choke) -> f64 {
    if fed.amps > 0.0 { (fed.volts / fed.amps - choke.ohms).max(0.0) } else { f64::INFINITY }
}

/// Chokes that are too small for what the set takes.
pub fn notes(sheet: &Sheet, supplies: &[SupplyReport]) -> Vec<Note> {
    let small = supplies.iter().filter_map(|supply| {
        let choke = supply.choke.as_ref().filter(|choke| !choke.flows)?;
        let part = sheet.parts.iter().find(|part| part.key == choke.key)?;
        let length = part.designator.to_string().len();
        let message = format!(
            "{}: its current stops between the pulses at {:.0} mA; from about {:.0} mA on it would \
             flow all the time. B+ is {:.0} V instead of two thirds of the crest, and climbs when \
             less is taken",
            part.designator, supply.ma, choke.needed_ma?, supply.volts
        );
        let (line, column, level) = (part.line, 1, Level::Reading);
        Some(Note { line, column, length, level, message, read: None, choices: Vec::new() })
    });
    small.collect()
}
