//! How much a leak in each capacitor matters where it stands.
//!
//! A leak is a current from its higher to its lower lead. The solver tells how
//! far each grid, screen and supply point moves per ampere of it; the first of
//! them to leave what it may bear sets the insulation the part must have.

use super::{Report, States, stress};
use crate::circuit::solver::Analysis;
use crate::circuit::state::Set;
use crate::sheet::Sheet;
use crate::trade::tubes::UnitKind;

/// Volts that a control grid may move. Source: common practice, no source (a
/// coupling capacitor passes with less than 0.1 V on the next grid leak).
const GRID_VOLTS: f64 = 0.1;
/// Parts of its voltage that a screen, plate or supply point may move.
/// Source: own choice, a quarter of what charts allow.
const SUPPLY_PART: f64 = 0.05;
/// Volts across a part below which a leak does nothing worth a limit.
const LEAST_VOLTS: f64 = 0.5;

/// The part of the most that a leak moves anything, below which it is followed
/// no further.
const LEAST_PART: f64 = 1e-3;

/// Points after which a leak is followed only where it moves a tenth of the
/// most: a hub of hundreds of stages passes little on to each.
const MANY: usize = 64;
const FAR_PART: f64 = 0.1;

/// A point that a leak may move.
#[derive(Debug, Clone, Copy)]
struct Watched {
    what: What,
    allowed: f64,
}

/// What a point is; parts and nodes by their index.
#[derive(Debug, Clone, Copy)]
enum What {
    Electrode(&'static str, usize),
    Supply(usize),
}

/// Fills in what a leak in each capacitor moves.
pub fn fill(
    report: &mut Report,
    sheet: &Sheet,
    set: &Set,
    states: &States,
    analysis: &mut Analysis,
) {
    let state = &states.running;
    let watched = watched(set, states, analysis);
    let mut visits = 0_usize;
    let fixed = stress::placed(sheet, set);
    for (report, (_, (a, b))) in report.capacitors.iter_mut().zip(fixed) {
        let Some(volts) = stress::between((a, b), state) else { continue };
        if volts.abs() < LEAST_VOLTS {
            continue;
        }
        let (high, low) = if volts > 0.0 { (a, b) } else { (b, a) };
        let (from, to) = (state.model.node(high), state.model.node(low));
        // Hubs are told first: how far the part's own places move comes before.
        let mut most = 0.0_f64;
        analysis.spread(from, to, |_, moved| {
            most = most.max(moved.abs());
            false
        });
        let mut points: Vec<(Watched, f64)> = Vec::new();
        let mut seen = 0;
        analysis.spread(from, to, |unknown, moved| {
            let moved = moved.abs();
            most = most.max(moved);
            points.extend(watched[unknown].map(|point| (point, moved)));
            seen += 1;
            visits += 1;
            let near = seen < MANY || moved >= FAR_PART * most && visits < super::MOST_VISITS;
            moved >= LEAST_PART * most && near
        });
        // What hardly moves beside the part's own places is not its concern.
        let worst = points
            .into_iter()
            .filter(|(_, moved)| *moved > 0.0 && *moved >= LEAST_PART * most)
            .min_by(|(a, x), (b, y)| (a.allowed / x).total_cmp(&(b.allowed / y)));
        if let Some((point, per_amp)) = worst {
            let amps = point.allowed / per_amp;
            report.required_insulation = Some(volts.abs() / amps);
            report.leak_moves = Some(match point.what {
                What::Electrode(what, part) => {
                    format!("{what} of {}", sheet.parts[part].designator)
                }
                What::Supply(node) => set.wiring.nodes[node].name.clone(),
            });
            report.leak_v_per_ua = Some(per_amp * 1e-6);
            report.leak_allowed_v = Some(point.allowed);
        }
    }
}

/// Every grid, screen, plate and supply point by its unknown, with how far it
/// may move.
fn watched(set: &Set, states: &States, analysis: &Analysis) -> Vec<Option<Watched>> {
    let state = &states.running;
    let mut all: Vec<Option<Watched>> = vec![None; analysis.len()];
    let mut push = |node: usize, what: What, allowed: f64| {
        let Some(unknown) = analysis.unknown(state.model.node(node)) else { return };
        if all[unknown].is_none_or(|w| w.allowed > allowed) {
            all[unknown] = Some(Watched { what, allowed });
        }
    };
    for device in &state.model.devices {
        let amplifies =
            matches!(device.kind, UnitKind::Triode | UnitKind::Pentode | UnitKind::Converter);
        if !amplifies {
            continue;
        }
        if let Some(grid) = device.grid {
            push(grid, What::Electrode("grid", device.part), GRID_VOLTS);
        }
        for (what, node) in [("screen", device.screen), ("plate", Some(device.plate))] {
            if let Some(node) = node
                && let Some(volts) = state.volts(node)
            {
                let allowed = (volts.abs() * SUPPLY_PART).max(GRID_VOLTS);
                push(node, What::Electrode(what, device.part), allowed);
            }
        }
    }
    for feed in &set.feeds {
        if let Some(volts) = state.volts(feed.fed()) {
            let allowed = (volts.abs() * SUPPLY_PART).max(GRID_VOLTS);
            push(feed.fed(), What::Supply(feed.fed()), allowed);
        }
    }
    all
}
