//! Rectifier tubes: what each stands, and how it starts.
//!
//! ```
//! use firstglow::trade::rectifier::find;
//! let tube = find("5y3gt").unwrap();
//! assert!(tube.directly_heated);
//! assert_eq!(tube.typical_first_uf, "10");
//! ```
//!
//! Limits: design-centre figures recalled from receiving-tube manuals, to be
//! checked against the sheet of the tube in hand. The first capacitor is that
//! of the published typical operation, not an absolute limit: the limits
//! themselves are the peak plate current and the least supply impedance.

use super::source::Source;

/// What a rectifier tube stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RectifierTube {
    /// The names it goes by.
    pub names: &'static [&'static str],
    /// A filament that is itself the cathode: it conducts within seconds at
    /// full voltage and hardly at all on a low line.
    pub directly_heated: bool,
    /// Two plates against one cathode, full wave.
    pub full_wave: bool,
    /// Runs straight from the line in a series string.
    pub line_operated: bool,
    /// Plates each, most volts effective, capacitor input.
    pub most_plate_v: f64,
    /// Most peak current a plate, milliamperes.
    pub peak_ma: f64,
    /// Most direct current, milliamperes.
    pub dc_ma: f64,
    /// The first capacitor of the published typical operation, microfarads.
    pub typical_first_uf: &'static str,
    /// Volts lost at the direct current beside it, milliamperes.
    pub drop: (f64, f64),
    /// Pins that give the positive output.
    pub output_pins: &'static [&'static str],
    /// Seconds from a cold start to conduction at full heater voltage.
    pub warm_up_s: u16,
}

/// Where the limits come from.
pub const LIMITS_SOURCE: Source = Source::from_memory(
    "receiving-tube manuals 1940 to 1965, typical operation and design-centre limits",
);

/// Where the warm-up times come from.
pub const WARM_UP_SOURCE: Source = Source::practice("usual warm-up of rectifier tubes");

/// Finds a type by its name, any case.
pub fn find(name: &str) -> Option<&'static RectifierTube> {
    let name = name.trim();
    TUBES.iter().find(|tube| tube.names.iter().any(|n| n.eq_ignore_ascii_case(name)))
}

/// A filament type with two plates.
const fn filament(
    names: &'static [&'static str],
    output_pins: &'static [&'static str],
    typical_first_uf: &'static str,
    (most_plate_v, peak_ma, dc_ma): (f64, f64, f64),
    drop: (f64, f64),
) -> RectifierTube {
    RectifierTube {
        names,
        directly_heated: true,
        full_wave: true,
        line_operated: false,
        most_plate_v,
        peak_ma,
        dc_ma,
        typical_first_uf,
        drop,
        output_pins,
        warm_up_s: 5,
    }
}

/// A cathode type with two plates for a transformer.
const fn cathode(
    names: &'static [&'static str],
    output_pins: &'static [&'static str],
    typical_first_uf: &'static str,
    limits: (f64, f64, f64),
    drop: (f64, f64),
) -> RectifierTube {
    let mut tube = filament(names, output_pins, typical_first_uf, limits, drop);
    tube.directly_heated = false;
    tube.warm_up_s = 20;
    tube
}

/// A cathode type for half wave or doubling straight from the line.
const fn from_line(
    names: &'static [&'static str],
    output_pins: &'static [&'static str],
    limits: (f64, f64, f64),
    drop: (f64, f64),
) -> RectifierTube {
    let mut tube = cathode(names, output_pins, "40", limits, drop);
    tube.full_wave = false;
    tube.line_operated = true;
    tube.warm_up_s = 30;
    tube
}

/// Every rectifier tube known here.
pub const TUBES: &[RectifierTube] = &[
    filament(&["80"], &["1", "4"], "10", (350.0, 400.0, 125.0), (50.0, 125.0)),
    filament(
        &["5Y3GT", "5Y3G", "5Y3", "5Y3WGT", "5Y3WGTA"],
        &["2", "8"],
        "10",
        (350.0, 400.0, 125.0),
        (50.0, 125.0),
    ),
    filament(&["5U4G", "5U4", "5U4GA"], &["2", "8"], "10", (450.0, 675.0, 225.0), (58.0, 225.0)),
    filament(&["5U4GB"], &["2", "8"], "40", (450.0, 1000.0, 275.0), (50.0, 275.0)),
    filament(&["5Z3"], &["1", "4"], "10", (450.0, 675.0, 225.0), (58.0, 225.0)),
    filament(
        &["5R4GY", "5R4", "5R4GYA", "5R4GYB"],
        &["2", "8"],
        "4",
        (900.0, 650.0, 150.0),
        (67.0, 250.0),
    ),
    cathode(&["5V4G", "5V4", "5V4GA"], &["2", "8"], "10", (375.0, 525.0, 175.0), (25.0, 175.0)),
    cathode(&["83V"], &["1", "4"], "10", (375.0, 525.0, 175.0), (25.0, 175.0)),
    cathode(&["5AR4", "GZ34"], &["2", "8"], "60", (450.0, 750.0, 250.0), (17.0, 225.0)),
    cathode(&["6X4", "12X4"], &["7"], "10", (325.0, 210.0, 70.0), (22.0, 70.0)),
    cathode(&["6X5GT", "6X5", "6X5G"], &["8"], "10", (325.0, 210.0, 70.0), (22.0, 70.0)),
    cathode(&["84", "6Z4"], &["4"], "10", (325.0, 180.0, 60.0), (20.0, 60.0)),
    RectifierTube {
        full_wave: false,
        ..cathode(&["1V"], &["3"], "10", (325.0, 270.0, 45.0), (20.0, 90.0))
    },
    from_line(&["35Z5GT", "35Z5", "35Z5G"], &["8"], (235.0, 600.0, 100.0), (21.0, 200.0)),
    from_line(&["35W4"], &["7"], (117.0, 600.0, 100.0), (18.0, 200.0)),
    from_line(&["25Z5"], &["3", "4"], (235.0, 450.0, 75.0), (22.0, 150.0)),
    from_line(&["25Z6GT", "25Z6", "25Z6G"], &["4", "8"], (235.0, 450.0, 75.0), (22.0, 150.0)),
    from_line(&["50Y6GT", "50Y6"], &["4", "8"], (235.0, 450.0, 75.0), (22.0, 150.0)),
    from_line(&["117Z3"], &["6"], (117.0, 540.0, 90.0), (18.0, 180.0)),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_found_in_any_case() {
        let mut seen = std::collections::HashSet::new();
        for tube in TUBES {
            assert!(tube.typical_first_uf.parse::<rust_decimal::Decimal>().is_ok());
            for name in tube.names {
                assert!(seen.insert(*name), "{name} twice");
                assert_eq!(find(&name.to_lowercase()), Some(tube));
            }
        }
        assert!(find("6SN7GT").is_none());
    }

    #[test]
    fn filament_types_do_not_run_from_the_line() {
        assert!(TUBES.iter().all(|t| !(t.directly_heated && t.line_operated)));
    }
}
