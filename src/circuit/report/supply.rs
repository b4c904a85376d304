//! The supplies against the limits of their rectifiers.

use super::{AtLine, Line, States, SupplyReport, choke, doubler};
use crate::circuit::feed::rectification;
use crate::circuit::state::Set;
use crate::circuit::supply::Topology;
use crate::order;
use crate::sheet::{Rectification, Sheet};

/// Every supply.
pub fn supplies(sheet: &Sheet, set: &Set, states: &States, line: Line) -> Vec<SupplyReport> {
    states
        .running
        .fed
        .iter()
        .enumerate()
        .filter(|(_, fed)| set.is_known(&set.feeds[fed.feed]))
        .map(|(at, fed)| {
            let feed = &set.feeds[fed.feed];
            let mut keys: Vec<String> = feed
                .devices
                .iter()
                .map(|d| sheet.parts[set.running.devices[*d].part].key.clone())
                .collect();
            keys.dedup();
            let limits = feed.devices.first().and_then(|d| {
                let part = &sheet.parts[set.running.devices[*d].part];
                sheet.tube_type(part.tube.as_deref()?)?.0.rectifier
            });
            let mut high = feed.supply;
            high.peak_volts = feed.open_rms * std::f64::consts::SQRT_2 * line.high;
            let steady = fed.steady;
            SupplyReport {
                rectifiers: keys,
                topology: topology_word(feed.supply.topology).to_owned(),
                output: feed.output,
                negative: feed.negative,
                back: feed.back,
                reservoir: feed.reservoir.iter().map(|p| sheet.parts[*p].key.clone()).collect(),
                volts: fed.volts,
                ma: fed.amps * 1e3,
                no_load_v: high.no_load_volts(),
                source_rms_v: feed.source_rms,
                source_ohms: feed.supply.source_ohms,
                ripple_rms_v: steady.map(|s| s.ripple_rms),
                ripple_pp_v: steady.map(|s| s.ripple_peak_to_peak),
                ripple_hz: steady.map(|s| s.ripple_hertz),
                peak_ma: steady.map(|s| s.peak_amps * 1e3),
                max_peak_ma: limits.map(|l| l.peak_ma).filter(|v| v.is_finite()),
                max_ma: limits.map(|l| l.dc_ma).filter(|v| v.is_finite()),
                inverse_v: feed.inverse_crests * high.peak_volts,
                max_inverse_v: limits.map(|l| l.peak_inverse_volts).filter(|v| v.is_finite()),
                surge_a: feed.supply.surge_amps().ok(),
                doubled: doubler::duties(sheet, set, states, (at, &high)),
                choke: choke::choke(sheet, feed, fed, states.cold.fed.get(at)),
                by_line: by_line(states, at),
            }
        })
        .collect()
}

/// The volts of one supply by the line.
fn by_line(states: &States, at: usize) -> Vec<AtLine> {
    let mut all: Vec<AtLine> = states
        .lines
        .iter()
        .filter_map(|(line, volts)| Some(AtLine { line: *line, volts: *volts.get(at)? }))
        .collect();
    order::sort(&mut all, |at| order::rising(at.line));
    all.dedup_by(|a, b| a.line <= b.line);
    all
}

/// The topology as the sheet would say it.
const fn topology_word(topology: Topology) -> &'static str {
    match rectification(topology) {
        Rectification::HalfWave => "half-wave",
        Rectification::FullWave => "full-wave",
        Rectification::Bridge => "bridge",
        Rectification::Doubler => "doubler",
    }
}
