//! Tubes' laws beside the published operation of their types.
//!
//! Sources: receiving-tube manuals of about 1935 to 1960, from memory (a few
//! points found quoted from data sheets: their rows say so). A law is fitted to
//! the first point of its type and its published slope; every other point is
//! then foretold, not fitted, unless the fit had to take it in, which is told.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

use firstglow::circuit::fit::{Fit, FitError, Method, fit};
use firstglow::circuit::law::Law;
use firstglow::circuit::netlist::{Netlist, NodeId, Terminals};
use firstglow::circuit::solver::{Options, solve};
use firstglow::trade::tubes::{Class, TubeType, UnitKind, all, find, parse_point};
use std::collections::BTreeSet;

/// Types that do not meet all their points within 10 %, with why.
const MISSES: [(&str, &str); 7] = [
    ("6A8", "a converter at half its screen: the oscillator's own bias shifts with it"),
    ("12A8GT", "as 6A8"),
    ("6A7", "as 6A8"),
    ("2A7", "as 6A8"),
    ("6BE6", "a converter: the plate's share falls with its voltage (10.7 %)"),
    ("12BE6", "as 6BE6"),
    ("1R5", "as 6BE6, and a battery tube at half its voltage"),
];

fn amplifier(tube: &TubeType) -> Option<Fit> {
    let unit = tube.units().into_iter().find(|unit| {
        matches!(unit.kind, UnitKind::Triode | UnitKind::Pentode | UnitKind::Converter)
    })?;
    Some(fit(tube, &unit).unwrap_or_else(|error| panic!("{error}")))
}

#[test]
fn every_amplifier_meets_its_published_points_but_those_that_are_listed() {
    let mut met = 0;
    for tube in all() {
        let Some(fit) = amplifier(tube) else { continue };
        let worst = fit.points.iter().map(|point| point.plate.abs()).fold(0.0, f64::max);
        let listed = MISSES.iter().any(|(name, _)| *name == tube.name);
        assert_eq!(worst > 0.10, listed, "{}: {:.1} % {fit:?}", tube.name, 100.0 * worst);
        met += usize::from(!listed);
    }
    assert!(met >= 100, "{met}");
}

/// Beam tubes whose plate stands well above the screen, and converters at half
/// their screen voltage, are told up to 2.2 times and 0.7 times the published
/// screen current; all other points are within 20 %.
#[test]
fn screen_currents_follow_but_for_beam_tubes_with_a_high_plate() {
    for tube in all() {
        let Some(fit) = amplifier(tube) else { continue };
        for error in &fit.points {
            let (Some(screen_volts), Some(off)) = (error.point.screen_volts, error.screen) else {
                continue;
            };
            let beam = tube.class == Class::PowerPentode;
            let (low, high) = match tube.class {
                Class::Converter => (-0.3, 0.2),
                // 1Q5GT's second point is remembered with a doubtful screen.
                _ if beam && error.point.plate_volts > 1.3 * screen_volts => (-0.2, 1.2),
                _ if tube.name == "1Q5GT" => (-0.2, 0.6),
                _ => (-0.2, 0.2),
            };
            assert!((low..=high).contains(&off), "{}: {off} {error:?}", tube.name);
        }
    }
}

/// The same points under other numbers count once.
#[test]
fn forty_different_types_are_foretold_at_points_that_were_not_used() {
    let mut different = BTreeSet::new();
    for tube in all() {
        let Some(fit) = amplifier(tube) else { continue };
        if fit.held_out_error().is_some_and(|error| error <= 0.10) {
            different.insert(format!("{:?}", tube.points));
        }
    }
    assert!(different.len() >= 40, "{}", different.len());
}

/// A published cathode bias: supply volts, cathode ohms, plate and screen mA.
/// From memory of manuals' class A columns. The table holds these points by the
/// bias that follows; here the circuit has to find the bias by itself.
const CATHODE_BIAS: [(&str, f64, f64, f64, f64, f64); 6] = [
    ("6BA6", 250.0, 100.0, 68.0, 11.0, 4.2),
    ("6AU6", 250.0, 125.0, 100.0, 7.6, 3.0),
    ("6AU6", 100.0, 100.0, 150.0, 5.0, 2.1),
    ("6AC7", 300.0, 150.0, 160.0, 10.0, 2.5),
    ("6AK5", 120.0, 120.0, 180.0, 7.5, 2.5),
    ("6CB6", 125.0, 125.0, 56.0, 13.0, 3.7),
];

#[test]
fn cathode_resistors_bias_pentodes_as_published() {
    for (name, plate_volts, screen_volts, ohms, plate_ma, screen_ma) in CATHODE_BIAS {
        let law = amplifier(find(name).unwrap().tube).unwrap().law;
        let mut net = Netlist::new();
        let [plate, screen, cathode] = ["plate", "screen", "cathode"].map(|node| net.node(node));
        net.source("B", plate, NodeId::GROUND, plate_volts).unwrap();
        net.source("S", screen, NodeId::GROUND, screen_volts).unwrap();
        net.resistor("Rk", cathode, NodeId::GROUND, ohms).unwrap();
        let at = Terminals { plate, grid: NodeId::GROUND, screen, cathode };
        let tube = net.device(name, at, law).unwrap();
        let amps = solve(&net, &Options::default()).unwrap().electrode_amps(&net, tube);
        assert!(
            (amps[0] * 1e3 / plate_ma - 1.0).abs() < 0.10,
            "{name}: {} mA for {plate_ma}",
            amps[0] * 1e3
        );
        assert!(
            (amps[2] * 1e3 / screen_ma - 1.0).abs() < 0.15,
            "{name}: {} mA for {screen_ma}",
            amps[2] * 1e3
        );
    }
}

/// Published resistance-coupled stages: supply, plate and cathode ohms, and
/// plate volts between bounds that hold for a stage in working order (common
/// practice: a plate sits between a quarter and three quarters of its supply).
#[test]
fn resistance_coupled_stages_sit_where_such_stages_do() {
    for (name, supply, plate_ohms, cathode_ohms) in [
        ("6SN7GT", 300.0, 100e3, 3500.0),
        ("6SL7GT", 300.0, 220e3, 2700.0),
        ("12AX7", 300.0, 220e3, 2200.0),
    ] {
        let law = amplifier(find(name).unwrap().tube).unwrap().law;
        let mut net = Netlist::new();
        let [top, plate, cathode] = ["B+", "plate", "cathode"].map(|node| net.node(node));
        net.source("B", top, NodeId::GROUND, supply).unwrap();
        net.resistor("Rp", top, plate, plate_ohms).unwrap();
        net.resistor("Rk", cathode, NodeId::GROUND, cathode_ohms).unwrap();
        net.device(name, Terminals::triode(plate, NodeId::GROUND, cathode), law).unwrap();
        let solution = solve(&net, &Options::default()).unwrap();
        let share = solution.volts(plate) / supply;
        assert!((0.25..0.75).contains(&share), "{name}: {share}");
    }
}

/// Automatic volume control drives a remote-cutoff tube past its law.
#[test]
fn remote_cutoff_tubes_end_sooner_in_the_law_than_in_the_book() {
    let mut checked = 0;
    for tube in all().iter().filter(|tube| tube.class == Class::RemotePentode) {
        let (Some(fit), Some(book)) = (amplifier(tube), tube.cutoff_volts) else {
            continue;
        };
        let law = fit.cutoff_volts().unwrap();
        assert!(law > book, "{}: {law} and {book}", tube.name);
        assert!(law < tube.points[0].grid_volts, "{}: {law}", tube.name);
        checked += 1;
    }
    assert!(checked >= 10, "{checked}");
}

#[test]
fn rectifiers_pass_their_published_current_at_their_published_drop() {
    for tube in all().iter().filter(|tube| tube.class == Class::Rectifier) {
        let law = fit(tube, &tube.units()[0]).unwrap().law;
        let Some(firstglow::trade::tubes::Drop::Vacuum { volts, ma }) =
            tube.rectifier.map(|r| r.drop)
        else {
            continue;
        };
        let amps = law.flow([volts, 0.0, 0.0]).amps[0];
        assert!((amps * 1e3 / ma - 1.0).abs() < 1e-6, "{}: {amps}", tube.name);
    }
}

#[test]
fn a_type_that_lacks_a_figure_says_which() {
    let mut own = find("6J5").unwrap().tube.clone();
    own.name = "own".into();
    let unit = own.units()[0];
    own.points.clear();
    assert_eq!(fit(&own, &unit), Err(FitError::NoPoint { tube: "own".into() }));
    own.points = vec![parse_point("200//-6/8").unwrap()];
    (own.mu, own.gm_micromhos) = (None, None);
    assert_eq!(fit(&own, &unit), Err(FitError::NoMu { tube: "own".into() }));
    own.mu = Some(20.0);
    assert_eq!(fit(&own, &unit).unwrap().method, Method::UsualOffset);
    // A bias beyond cutoff at this mu cannot pass the current told.
    own.points = vec![parse_point("100//-40/8").unwrap()];
    assert!(matches!(fit(&own, &unit), Err(FitError::Contradiction { .. })));
    let mut pentode = find("6SJ7").unwrap().tube.clone();
    pentode.gm_micromhos = None;
    pentode.cutoff_volts = None;
    let unit = pentode.units()[0];
    assert!(matches!(fit(&pentode, &unit), Err(FitError::NoScreenMu { .. })));
}

#[test]
fn a_battery_tube_draws_grid_current_only_from_its_filament_volts_on() {
    let battery = amplifier(find("1T4").unwrap().tube).unwrap().law;
    let heated = amplifier(find("6SK7").unwrap().tube).unwrap().law;
    let grid = |law: &Law| law.flow([90.0, -0.5, 67.5]).amps[1];
    assert!(grid(&battery) < 1e-9 && grid(&heated) > 1e-7);
}
