//! Printing a part and reading it again gives the same part.

#[path = "support/chance.rs"]
mod chance;

use firstglow::notation::name::{Designator, Place};
use firstglow::sheet::part::{Leads, Make, Part, PartKind, PinTie, Winding, WindingKind};
use firstglow::sheet::{Sheet, print};
use firstglow::trade::dielectric::Dielectric;
use firstglow::trade::quantity::{
    Capacitance, Current, Inductance, Power, Resistance, Tolerance, Voltage,
};
use firstglow::trade::role::Role;
use firstglow::trade::safety::SafetyClass;
use firstglow::trade::tubes::{Pinned, find, pin_of};
use proptest::option::of;
use proptest::prelude::*;
use rust_decimal::Decimal;

const CASES: u32 = 10_000;

/// A decimal of up to seven digits with up to five of them after the point.
fn amount() -> impl Strategy<Value = Decimal> {
    (1_i64..9_999_999, 0_u32..6).prop_map(|(digits, scale)| Decimal::new(digits, scale))
}

fn designator(letters: &'static str) -> impl Strategy<Value = Designator> {
    (1_u32..9999, of(prop::char::range('A', 'Z'))).prop_map(move |(number, section)| Designator {
        letters: letters.to_owned(),
        number,
        section,
    })
}

fn place() -> impl Strategy<Value = Place> {
    prop_oneof![
        (1_u32..20, 1_u32..9).prop_map(|(tube, pin)| Place::Terminal {
            part: format!("V{tube}"),
            terminal: pin.to_string()
        }),
        "[A-Za-z][A-Za-z0-9]{0,6}".prop_filter_map("a place", |text| Place::read(&text)),
        Just(Place::Named("chassis".to_owned())),
        Just(Place::Named("B-".to_owned())),
    ]
}

fn tolerance() -> impl Strategy<Value = Tolerance> {
    (0_i64..300, 0_i64..300)
        .prop_map(|(below, above)| Tolerance { below: below.into(), above: above.into() })
}

fn words() -> impl Strategy<Value = String> {
    "[a-z][a-z0-9,.' ]{0,20}[a-z]"
}

/// What every part may have.
fn common(kind: PartKind, letters: &'static str) -> impl Strategy<Value = Part> {
    (designator(letters), of(tolerance()), of((place(), place())), of(words()), of(words()))
        .prop_map(move |(designator, tolerance, leads, area, remark)| {
            let mut part = Part::new(designator.to_string(), designator, kind);
            part.tolerance = tolerance;
            part.leads = leads.map(|(from, to)| Leads { from, to });
            part.area = area;
            part.remark = remark;
            part
        })
}

fn capacitor() -> impl Strategy<Value = Part> {
    (
        (common(PartKind::Capacitor, "C"), amount(), of((amount(), any::<bool>()))),
        (
            of(prop::sample::select(&Dielectric::ALL[..])),
            of(prop::sample::select(&Role::ALL[..])),
            of(prop::sample::select(&SafetyClass::ALL[..])),
            any::<bool>(),
        ),
    )
        .prop_map(|((mut part, value, rating), (dielectric, role, class, new))| {
            part.capacitance = Capacitance::from_microfarads(value).ok();
            if let Some((volts, ac)) = rating
                && let Ok(volts) = Voltage::new(volts)
            {
                part.rating = Some(volts);
                part.rating_ac = ac;
            }
            part.dielectric = dielectric;
            part.role = role.filter(|r| *r != Role::Tuning);
            part.class = class;
            if new {
                part.makes.push(Make::New);
            }
            part
        })
}

fn resistor() -> impl Strategy<Value = Part> {
    (common(PartKind::Resistor, "R"), amount(), of(amount()), any::<bool>(), any::<bool>())
        .prop_map(|(mut part, ohms, power, pot, wound)| {
            part.resistance = Resistance::new(ohms).ok();
            part.power = power.and_then(|p| Power::new(p).ok());
            if wound {
                part.makes.push(Make::Wirewound);
            }
            if pot {
                part.kind = PartKind::Potentiometer;
            }
            part
        })
}

fn coil() -> impl Strategy<Value = Part> {
    (common(PartKind::Coil, "L"), of(amount()), of(amount()), of(amount())).prop_map(
        |(mut part, henries, ohms, amperes)| {
            part.tolerance = None;
            part.inductance = henries.and_then(|v| Inductance::new(v).ok());
            part.resistance = ohms.and_then(|v| Resistance::new(v).ok());
            part.current = amperes.and_then(|v| Current::new(v).ok());
            part
        },
    )
}

fn tube() -> impl Strategy<Value = Part> {
    (
        designator("V"),
        "[1-9][0-9]?[A-Z]{1,2}[1-9]",
        prop::collection::vec(("[1-9]|g[1-5]|[pkh]", place()), 0..8),
        of(words()),
    )
        .prop_map(|(designator, tube, pins, remark)| {
            let mut part = Part::new(designator.to_string(), designator, PartKind::Tube);
            part.pins = pins
                .into_iter()
                .map(|(pin, place)| PinTie { pin, place })
                .filter(|tie| stands(tie, &tube, &part.designator.to_string()))
                .collect();
            part.tube = Some(tube);
            part.remark = remark;
            part
        })
}

/// Whether a tube of this type has the pins that a tie on its line names: one
/// that it has not is left out with a fault.
fn stands(tie: &PinTie, tube: &str, name: &str) -> bool {
    let of = find(tube).map(|found| found.tube);
    let fits = |terminal: &str| match pin_of(of, terminal) {
        Pinned::Pin(_) | Pinned::Cap => true,
        Pinned::NoElectrode(_) => of.is_none(),
        _ => false,
    };
    let own = match &tie.place {
        Place::Terminal { part, terminal } if part == name => fits(terminal),
        _ => true,
    };
    fits(&tie.pin) && own
}

/// A terminal of the transformer, or a place.
fn winding_end() -> impl Strategy<Value = String> {
    prop_oneof![3 => (1_u32..9).prop_map(|n| n.to_string()), 1 => place().prop_map(|p| p.to_string())]
}

fn transformer() -> impl Strategy<Value = Part> {
    let kinds = [
        WindingKind::Primary,
        WindingKind::Secondary,
        WindingKind::Heater,
        WindingKind::RectifierHeater,
    ];
    let winding = (
        prop::sample::select(kinds.to_vec()),
        (winding_end(), winding_end(), of(winding_end())),
        of(amount()),
        of(amount()),
    );
    let winding = winding.prop_map(|(kind, (start, end, tap), volts, ohms)| Winding {
        kind,
        start,
        end,
        tap,
        volts: volts.and_then(|v| Voltage::new(v).ok()),
        resistance: ohms.and_then(|v| Resistance::new(v).ok()),
    });
    (designator("T"), prop::collection::vec(winding, 1..4)).prop_map(|(designator, windings)| {
        let mut part = Part::new(designator.to_string(), designator, PartKind::Transformer);
        part.windings = windings;
        // Beside a secondary of high voltage one of 15 V or less is read as the
        // heater winding that it is.
        let volts = |w: &Winding| w.volts.map_or(0.0, Voltage::to_f64);
        let is_secondary = |w: &Winding| w.kind == WindingKind::Secondary && w.volts.is_some();
        if part.windings.iter().any(|w| is_secondary(w) && volts(w) >= 100.0) {
            for winding in &mut part.windings {
                if is_secondary(winding) && volts(winding) <= 15.0 {
                    winding.kind = WindingKind::Heater;
                }
            }
        }
        part
    })
}

fn part() -> impl Strategy<Value = Part> {
    prop_oneof![capacitor(), resistor(), coil(), tube(), transformer()]
}

proptest! {
    #![proptest_config(chance::cases(CASES))]

    #[test]
    fn print_then_read_gives_the_same_part(part in part()) {
        let line = print::line(&part);
        let sheet = Sheet::read(&line);
        prop_assert_eq!(sheet.parts.len(), 1, "{}", line);
        let mut read = sheet.parts[0].clone();
        read.mark = String::new();
        read.tube_span = None;
        prop_assert_eq!(&read, &part, "{}", &line);
        prop_assert!(sheet.notes.is_empty(), "{}: {:?}", line, sheet.notes);
        prop_assert_eq!(print::line(&read), line);
    }

    #[test]
    fn every_quantity_reads_back_from_its_printed_form(value in amount()) {
        if let Ok(c) = Capacitance::new(value) {
            let sheet = Sheet::read(&format!("C1 {c}"));
            prop_assert_eq!(sheet.parts[0].capacitance, Some(c));
        }
        if let Ok(r) = Resistance::new(value) {
            let sheet = Sheet::read(&format!("R1 {r}"));
            prop_assert_eq!(sheet.parts[0].resistance, Some(r));
        }
    }
}
