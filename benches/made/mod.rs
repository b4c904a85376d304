//! Sheets of any length for measuring, here and in the browser.

use std::fmt::Write as _;

/// A wired set of about `parts` parts: pentode and triode stages one after the
/// other, on one B+ line behind a transformer and a rectifier.
///
/// Its last line is a resistor, so that measuring may change a value there.
pub fn stages(parts: usize) -> String {
    let mut text = String::from(
        "mains 117 V 60 Hz, 60 W\nsupply transformer 350-0-350 V\n\
         T1 power primary 1 to 2 117 V 4 ohm\n secondary 3 to 5 tap 4 700 V CT 200 ohm\n\
         V99999 5U4G 4=T1.3 6=T1.5 8=B0\nwire T1.4 to chassis\n\
         C99998 10 mfd 600 V electrolytic B0 to chassis\nL1 10 H 20 ohm B0 to B1\n\
         C99999 20 mfd 600 V electrolytic B1 to chassis\n",
    );
    for n in 1..=parts.saturating_sub(6) / 7 {
        let next = n + 1;
        let (tube, pins) = if n % 2 == 0 {
            ("6J5", format!("7=chassis p=pl{n} g=g{n} k=k{n}"))
        } else {
            ("6SJ7", format!("1=chassis 3=k{n} 4=g{n} 5=k{n} 6=s{n} 8=pl{n}"))
        };
        let _ = writeln!(text, "V{n} {tube} {pins}");
        let _ = writeln!(text, "R{n}A 1M 1/2 W pl{n} to B1\nR{n}B 470K g{n} to chassis");
        let _ =
            writeln!(text, "R{n}C 2.2K k{n} to chassis\nC{n}A .05 400 V paper pl{n} to g{next}");
        let _ = writeln!(text, "C{n}B 25 mfd 25 V electrolytic k{n} to chassis");
        let _ = match n % 2 {
            0 => writeln!(text, "C{n}C 250 mmf mica pl{n} to chassis"),
            _ => writeln!(text, "R{n}D 2.2M 1/2 W s{n} to B1"),
        };
    }
    text + "R99999 47K 2 W B1 to chassis"
}
