//! The table contradicts neither itself nor plain physics.

use super::search::all;
use super::*;
use std::collections::BTreeMap;

#[test]
fn every_row_is_read_and_there_are_enough() {
    let rows = include_str!("tubes.csv").lines().enumerate().skip(1);
    for (at, row) in rows {
        if let Err(error) = parse_row(row, at + 1) {
            panic!("{error}");
        }
    }
    assert!(all().len() >= 95, "{}", all().len());
}

#[test]
fn no_name_or_alias_stands_for_two_types() {
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    for tube in all() {
        for name in tube.aliases.iter().chain([&tube.name]) {
            let upper = name.to_uppercase();
            if let Some(other) = seen.insert(upper, &tube.name) {
                panic!("{name} stands for {other} and {}", tube.name);
            }
        }
    }
}

#[test]
fn every_pin_is_there_and_each_electrode_in_one_place() {
    for tube in all() {
        assert_eq!(tube.pins.len(), usize::from(tube.base.pins()), "{}", tube.name);
        let mut seen: BTreeMap<String, usize> = BTreeMap::new();
        for electrode in tube.pins.iter().chain(&tube.cap).flatten() {
            *seen.entry(format!("{electrode:?}")).or_default() += 1;
        }
        // Electrodes brought out twice, by the published basing.
        let twice = [
            "Heater,",
            "Filament,",
            "Shield",
            "NotConnected",
            "Internal",
            "Jumper",
            "FilamentMinus",
        ];
        let doubled = match tube.name.as_ref() {
            "50C5" | "35C5" | "50B5" | "35B5" | "6AQ5" => "Grid(1)",
            "6C4" | "3S4" | "3Q4" | "0A2" | "0B2" => "Plate",
            "6SG7" | "12SG7" | "6SH7" | "12SH7" | "6AG5" | "6AK5" | "6BX6" => "Cathode",
            _ => "none",
        };
        for (electrode, count) in seen {
            let allowed = twice.iter().any(|word| electrode.contains(word)) || electrode.contains(doubled)
                // The suppressor follows what it is joined to.
                || electrode.contains("Grid(3)")
                || electrode.contains("Grid(5)")
                || (tube.class == Class::Regulator && electrode.contains("Cathode"));
            assert!(count == 1 || allowed, "{}: {electrode} {count} times", tube.name);
        }
    }
}

#[test]
fn every_heater_has_two_ends_and_a_credible_power() {
    for tube in all() {
        let ends = tube.pins.iter().flatten().filter(|electrode| {
            matches!(
                electrode.part,
                Part::Heater | Part::Filament | Part::FilamentMinus | Part::FilamentPlus
            )
        });
        let cold = tube.class == Class::Regulator || tube.name == "0Z4";
        if cold {
            assert_eq!(ends.count(), 0, "{}", tube.name);
            continue;
        }
        let count = ends.count();
        assert!(
            count == 2 || (count == 3 && tube.directly_heated()),
            "{}: {count} ends",
            tube.name
        );
        let watts = tube.heater_volts * tube.heater_amps;
        let least = if tube.directly_heated() { 0.05 } else { 0.9 };
        assert!((least..=16.0).contains(&watts), "{}: {watts} W", tube.name);
    }
}

#[test]
fn mu_is_gm_times_rp() {
    let mut checked = 0;
    for tube in all() {
        if let (Some(mu), Some(gm), Some(rp)) = (tube.mu, tube.gm_micromhos, tube.rp_ohms) {
            checked += 1;
            let product = gm * 1e-6 * rp;
            let off = (product / mu - 1.0).abs();
            assert!(off < 0.10, "{}: mu {mu}, gm rp {product:.2}", tube.name);
        }
    }
    assert!(checked > 40, "{checked}");
}

#[test]
fn working_points_lie_within_the_maxima() {
    for tube in all() {
        for point in &tube.points {
            if let Some(most) = tube.max_plate_watts {
                let watts = point.plate_volts * point.plate_ma * 1e-3;
                assert!(watts <= 1.2 * most, "{}: {watts} W of {most}", tube.name);
            }
            if let Some(most) = tube.max_plate_volts {
                assert!(
                    point.plate_volts <= most,
                    "{}: {} V of {most}",
                    tube.name,
                    point.plate_volts
                );
            }
        }
    }
}

#[test]
fn rectifiers_and_regulators_have_figures_that_agree() {
    for tube in all() {
        assert_eq!(tube.class == Class::Rectifier, tube.rectifier.is_some(), "{}", tube.name);
        assert_eq!(tube.class == Class::Regulator, tube.regulator.is_some(), "{}", tube.name);
        if let Some(figures) = tube.rectifier {
            // Each plate stands twice its crest, or nearly (2.8 times rms).
            assert!(figures.peak_inverse_volts >= 2.75 * figures.max_rms_volts, "{}", tube.name);
            assert!(figures.peak_ma >= 2.4 * figures.dc_ma, "{}", tube.name);
        }
        if let Some(figures) = tube.regulator {
            assert!(
                figures.start_volts > figures.volts && figures.min_ma < figures.max_ma,
                "{}",
                tube.name
            );
        }
    }
}

#[test]
fn every_type_has_units_with_all_their_electrodes() {
    for tube in all() {
        let units = tube.units();
        assert!(!units.is_empty(), "{}", tube.name);
        for unit in &units {
            let (grid, screen) = match unit.kind {
                UnitKind::Triode => (true, false),
                UnitKind::Pentode | UnitKind::Converter => (true, true),
                _ => (false, false),
            };
            assert_eq!(
                (unit.grid.is_some(), unit.screen.is_some()),
                (grid, screen),
                "{}: {unit:?}",
                tube.name
            );
        }
        let expected = match tube.class {
            Class::DualTriode | Class::DualDiode | Class::Eye => 2,
            _ => 1,
        };
        assert!(units.len() >= expected, "{}: {units:?}", tube.name);
    }
}

#[test]
fn converters_know_their_signal_grid() {
    for (name, grid, screen) in [
        ("6SA7", Place::Pin(8), Place::Pin(4)),
        ("6BE6", Place::Pin(7), Place::Pin(6)),
        ("6A8", Place::Cap, Place::Pin(4)),
        ("1R5", Place::Pin(6), Place::Pin(3)),
        ("6K8", Place::Cap, Place::Pin(4)),
    ] {
        let unit = find(name).unwrap().tube.units()[0];
        assert_eq!((unit.grid, unit.screen), (Some(grid), Some(screen)), "{name}");
    }
}

#[test]
fn a_name_is_found_however_it_is_written() {
    for (written, name, by) in [
        ("6v6 gt", "6V6GT", Match::Name),
        ("6V6", "6V6GT", Match::Alias),
        ("6L6GC", "6L6", Match::Suffix),
        ("5U4", "5U4G", Match::Suffix),
        ("12AX7A", "12AX7", Match::Suffix),
        ("VR-150/30", "0D3", Match::Alias),
        ("35z5", "35Z5GT", Match::Suffix),
        ("GZ34", "5AR4", Match::Alias),
    ] {
        let found = find(written).unwrap_or_else(|| panic!("{written}"));
        assert_eq!((found.tube.name.as_ref(), found.by), (name, by), "{written}");
    }
    for written in ["", "G", "resistor", "6"] {
        assert!(find(written).is_none(), "{written}");
    }
}

#[test]
fn misspelt_types_have_near_ones_offered() {
    for (written, near) in
        [("6SK8", "6SK7"), ("12SA8", "12SA7"), ("5OL6GT", "50L6GT"), ("6BA", "6BA6")]
    {
        let names: Vec<_> = nearest(written, 8).iter().map(|tube| tube.name.as_ref()).collect();
        assert!(names.contains(&near), "{written}: {names:?}");
    }
    assert!(nearest("transformer", 3).is_empty());
}

#[test]
fn a_type_can_be_built_at_run_time() {
    let mut own = find("6J5").unwrap().tube.clone();
    own.name = format!("{}X", own.name).into();
    own.confidence = Confidence::Entered;
    own.points = vec![parse_point("200//-6/8").unwrap()];
    assert_eq!(own.units()[0].kind, UnitKind::Triode);
}

#[test]
fn bases_have_their_pins_in_order_and_their_key_below() {
    for base in Base::ALL {
        let angles: Vec<f64> = (1..=base.pins()).map(|pin| base.angle(pin).unwrap()).collect();
        let from_key = |angle: f64| (angle - 180.0).rem_euclid(360.0);
        assert!(angles.is_sorted_by(|a, b| from_key(*a) < from_key(*b)), "{base:?}: {angles:?}");
        let (first, last) = (from_key(angles[0]), from_key(angles[angles.len() - 1]));
        assert!((first + last - 360.0).abs() < 1e-9, "{base:?} is not even about its key");
        assert_eq!(base.angle(0), None);
        assert_eq!(base.angle(base.pins() + 1), None);
    }
}
