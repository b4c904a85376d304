//! The lines that speak of the set.

use super::{hold, note};
use firstglow::sheet::Sheet;

/// The lines that speak of the set, as what they say.
#[test]
fn the_lines_of_the_set_are_read() {
    let header = |text: &str| {
        let sheet = Sheet::read(text);
        let header = sheet.header;
        let mut out: Vec<String> = Vec::new();
        out.extend(header.name);
        out.extend(header.mains.map(|v| v.to_string()));
        out.extend(header.frequency.map(|f| f.to_string()));
        out.extend(header.power.map(|p| p.to_string()));
        out.extend(header.high_line.map(|v| format!("high {v}")));
        out.extend(header.fuse.map(|a| format!("fuse {a}")));
        out.extend(header.touch_limit.map(|a| format!("touch {a}")));
        out.extend(header.cord.map(|c| format!("{c:?}")));
        out.extend(header.supply.map(|s| format!("{s:?}")));
        out.extend(header.rectification.map(|r| format!("{r:?}")));
        out.extend(header.secondary.map(|v| format!("secondary {v}")));
        out.extend(header.centre_tapped.then(|| "tapped".to_owned()));
        out.extend(sheet.wires.iter().map(|w| {
            let places: Vec<String> = w.places.iter().map(ToString::to_string).collect();
            format!("wire {}", places.join("="))
        }));
        out.extend(sheet.areas.iter().map(|a| format!("{}: {}", a.name, a.parts.join(" "))));
        out.extend(sheet.notes.iter().map(note));
        out.join(", ")
    };
    hold(
        &[
            ("set     Kitchen table set, 1947", "Kitchen table set, 1947"),
            ("SET Bench # mine", "Bench"),
            ("mains   117 V 60 Hz, 35 W", "117 V, 60 Hz, 35 W"),
            ("mains 117 volts 60 cycles 35 watts two-wire", "117 V, 60 Hz, 35 W, TwoWire"),
            (
                "mains 230 V 50 Hz three-wire fuse 1 A high 253 V touch .25 mA",
                "230 V, 50 Hz, high 253 V, fuse 1 A, touch 250 µA, ThreeWire",
            ),
            ("mains 110 V DC", "110 V, 0 Hz"),
            ("mains 117 V AC 60 cps", "117 V, 60 Hz"),
            ("supply transformer", "Transformer"),
            (
                "supply transformer full-wave 350-0-350 V",
                "Transformer, FullWave, secondary 700 V, tapped",
            ),
            ("supply 350-0-350", "secondary 700 V, tapped"),
            ("supply 700 V CT", "secondary 700 V, tapped"),
            ("supply series-string half-wave", "SeriesString, HalfWave"),
            ("supply AC/DC", "SeriesString"),
            ("supply vibrator", "Vibrator"),
            ("supply battery", "Battery"),
            ("supply doubler", "Doubler"),
            ("wire V2.8 to chassis", "wire V2.8=chassis"),
            ("wire V2.8 V3.8 and gnd", "wire V2.8=V3.8=ground"),
            ("area under band switch: off: four screws", "under band switch: "),
            (
                "area under band switch: C7 after top",
                "under band switch: C7, 1:25 C7 is no part of this sheet, 1:34 no area is called \
                 'top'; write a line 'area top:' for it",
            ),
            (
                "area \"IF can\": C1A/B",
                "IF can: C1A C1B, 1:16 C1A is no part of this sheet, 1:16 C1B is no part of this sheet",
            ),
        ],
        header,
    );
}
