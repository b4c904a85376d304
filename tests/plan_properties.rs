//! What holds for every plan, over random sheets.
//!
//! The checks are written against the sheet and the plan alone, with their own
//! small tables, so that a slip in the planner's tables shows.

#![allow(clippy::unwrap_used, reason = "a test that cannot build its input should fail")]

#[path = "support/chance.rs"]
mod chance;

use firstglow::circuit::line_tie::is_on_line;
use firstglow::plan::plan;
use firstglow::plan::types::{Arrangement, Decision, Plan, PlannedPart};
use firstglow::sheet::part::{Designator, Leads, Make, Part, PartKind, PinTie, Place};
use firstglow::sheet::{Cord, Header, Rectification, Sheet, SupplyKind, Wire};
use firstglow::trade::dielectric::Dielectric;
use firstglow::trade::quantity::{Capacitance, Current, Frequency, Power, Resistance, Voltage};
use firstglow::trade::role::Role;
use firstglow::trade::safety::SafetyClass;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use rust_decimal::Decimal;
use std::collections::{BTreeMap, HashMap};

const PLACES: [&str; 22] = [
    "line", "neutral", "chassis", "B-", "B+", "B1", "B2", "gnd", "ant", "AVC", "scr", "V1.p",
    "V1.g1", "V1.k", "V2.g2", "V2.6", "V5.8", "V5.p", "T1.1", "T1.3", "S1.2", "X",
];
const RECTIFIERS: [&str; 6] = ["80", "5Y3GT", "35Z5GT", "6X5GT", "5AR4", "25Z6GT"];
const TUBES: [&str; 4] = ["6V6GT", "12SK7", "50L6GT", "6SN7GT"];

/// A decimal of one to six digits times a power of ten.
fn decimal(exponents: std::ops::RangeInclusive<i32>) -> impl Strategy<Value = Decimal> {
    (1_u32..1_000_000, exponents).prop_map(|(digits, exponent)| {
        let ten = Decimal::TEN.checked_powi(i64::from(exponent.abs())).unwrap();
        let digits = Decimal::from(digits);
        if exponent < 0 {
            digits.checked_div(ten).unwrap()
        } else {
            digits.checked_mul(ten).unwrap()
        }
    })
}

trait PowerOfTen {
    fn checked_powi(self, exponent: i64) -> Option<Decimal>;
}

impl PowerOfTen for Decimal {
    fn checked_powi(self, exponent: i64) -> Option<Decimal> {
        (0..exponent).try_fold(Decimal::ONE, |product, _| product.checked_mul(self))
    }
}

/// Values of the trade mostly, the extremes of the range now and then.
fn capacitance() -> impl Strategy<Value = Capacitance> {
    let usual = select(vec![
        "5", "50", "100", "250", "500", "1000", "2000", "5000", "6000", "10000", "20000", "25000",
        "50000", "100000", "200000", "250000", "500000", "1000000", "2000000", "4000000",
        "8000000", "10000000", "12000000", "16000000", "20000000", "25000000", "40000000",
        "80000000",
    ])
    .prop_map(|text| Capacitance::new(text.parse().unwrap()).unwrap());
    let any = decimal(-8..=7).prop_filter_map("in range", |d| Capacitance::new(d).ok());
    let ends = select(vec!["0.01", "0.011", "1000000000000", "999999999999.99"])
        .prop_map(|text| Capacitance::new(text.parse().unwrap()).unwrap());
    prop_oneof![8 => usual, 3 => any, 1 => ends]
}

fn voltage() -> impl Strategy<Value = Voltage> {
    let usual = select(vec!["25", "50", "150", "200", "400", "450", "600", "1600", "2000"])
        .prop_map(|text| Voltage::new(text.parse().unwrap()).unwrap());
    let any = decimal(-5..=0).prop_filter_map("in range", |d| Voltage::new(d).ok());
    let ends = select(vec!["0", "0.000001", "100000"])
        .prop_map(|text| Voltage::new(text.parse().unwrap()).unwrap());
    prop_oneof![8 => usual, 2 => any, 1 => ends]
}

fn place(text: &str) -> Place {
    match text.split_once('.') {
        Some((part, terminal)) => {
            Place::Terminal { part: part.to_owned(), terminal: terminal.to_owned() }
        }
        None => Place::Named(text.to_owned()),
    }
}

fn leads() -> impl Strategy<Value = Leads> {
    (select(&PLACES[..]), select(&PLACES[..]))
        .prop_map(|(from, to)| Leads { from: place(from), to: place(to) })
}

fn named(letters: &str, number: u32, kind: PartKind) -> Part {
    let designator = Designator { letters: letters.to_owned(), number, section: None };
    Part::new(format!("{letters}{number}"), designator, kind)
}

fn capacitor() -> impl Strategy<Value = Part> {
    let words = (
        option::weighted(0.5, select(&Dielectric::ALL[..])),
        option::weighted(0.3, select(&Role::ALL[..])),
        option::weighted(0.1, select(&SafetyClass::ALL[..])),
        option::weighted(0.1, select(vec![Make::New, Make::NonPolarised])),
        prop::bool::weighted(0.1),
    );
    let figures = (option::weighted(0.95, capacitance()), option::weighted(0.85, voltage()));
    (figures, words, option::weighted(0.6, leads())).prop_map(
        |((value, rating), (dielectric, role, class, make, alternating), leads)| {
            let mut part = named("C", 0, PartKind::Capacitor);
            part.capacitance = value;
            part.rating = rating;
            part.rating_ac = alternating;
            part.dielectric = dielectric;
            part.role = role;
            part.class = class;
            part.makes = make.into_iter().collect();
            part.leads = leads;
            part
        },
    )
}

fn resistor() -> impl Strategy<Value = Part> {
    (option::of(decimal(-5..=7)), option::of(leads())).prop_map(|(ohms, leads)| {
        let mut part = named("R", 0, PartKind::Resistor);
        part.resistance = ohms.and_then(|o| Resistance::new(o).ok());
        part.leads = leads;
        part
    })
}

/// A tube that is no rectifier, its pins tied anywhere.
fn tube() -> impl Strategy<Value = Part> {
    let ties = prop::collection::vec((1_u8..9, select(&PLACES[..])), 0..4);
    (select(&TUBES[..]), ties).prop_map(|(kind, ties)| {
        let mut part = named("V", 0, PartKind::Tube);
        part.tube = Some(kind.to_owned());
        part.pins = ties
            .into_iter()
            .map(|(pin, to)| PinTie { pin: pin.to_string(), place: place(to) })
            .collect();
        part
    })
}

fn rectifier() -> impl Strategy<Value = Part> {
    (select(&RECTIFIERS[..]), any::<bool>(), option::of(decimal(-7..=-3))).prop_map(
        |(kind, dry, amperes)| {
            if dry {
                let mut part = named("SR", 0, PartKind::DryRectifier);
                part.makes.push(Make::Selenium);
                part.current = amperes.and_then(|i| Current::new(i).ok());
                part
            } else {
                let mut part = named("V", 0, PartKind::Tube);
                part.tube = Some(kind.to_owned());
                part
            }
        },
    )
}

/// Any other kind, some of which carry the line on.
fn other() -> impl Strategy<Value = Part> {
    let kinds = vec![
        PartKind::VariableCapacitor,
        PartKind::Potentiometer,
        PartKind::ResistanceCord,
        PartKind::Coil,
        PartKind::Lamp,
        PartKind::Fuse,
        PartKind::Switch,
        PartKind::Cord,
        PartKind::Battery,
        PartKind::Vibrator,
        PartKind::Speaker,
        PartKind::Meter,
        PartKind::Connector,
        PartKind::Crystal,
        PartKind::Other,
    ];
    (select(kinds), option::of(leads()), option::of(decimal(-5..=7))).prop_map(
        |(kind, leads, ohms)| {
            let mut part = named("Q", 0, kind);
            part.leads = leads;
            part.resistance = ohms.and_then(|o| Resistance::new(o).ok());
            part
        },
    )
}

fn part() -> impl Strategy<Value = Part> {
    prop_oneof![
        8 => capacitor(),
        2 => resistor(),
        1 => tube(),
        1 => rectifier(),
        1 => other(),
    ]
}

/// A part that stands on nodes of its own: nothing on the sheet meets them.
fn outsider() -> impl Strategy<Value = Part> {
    // A resistance cord or a tube for heater strings tells what the supply is.
    let tells_nothing =
        |part: &Part| !is_on_line(&Sheet { parts: vec![part.clone()], ..Sheet::default() });
    prop_oneof![
        4 => capacitor().boxed(),
        2 => resistor().boxed(),
        2 => tube().prop_filter("it tells the supply", tells_nothing).boxed(),
        2 => other().prop_filter("it tells the supply", tells_nothing).boxed(),
    ]
    .prop_map(|mut part| {
        let own = |place: &Place| Place::Named(format!("own {place}").replace('.', " "));
        part.leads = part.leads.map(|l| Leads { from: own(&l.from), to: own(&l.to) });
        for tie in &mut part.pins {
            tie.place = own(&tie.place);
        }
        part
    })
}

fn header() -> impl Strategy<Value = Header> {
    let line = (
        option::of(select(vec!["105", "110", "117", "120", "200", "230", "6"])),
        option::weighted(0.2, voltage()),
        option::of(select(vec!["0", "25", "50", "60"])),
        option::weighted(0.2, decimal(-10..=-6)),
        option::of(decimal(-5..=-1)),
        option::of(select(vec![Cord::TwoWire, Cord::ThreeWire])),
    );
    let supply = (
        option::weighted(
            0.8,
            select(vec![
                SupplyKind::Transformer,
                SupplyKind::SeriesString,
                SupplyKind::Vibrator,
                SupplyKind::Battery,
            ]),
        ),
        option::weighted(
            0.4,
            select(vec![
                Rectification::HalfWave,
                Rectification::FullWave,
                Rectification::Bridge,
                Rectification::Doubler,
            ]),
        ),
        option::weighted(0.5, voltage()),
        any::<bool>(),
    );
    (line, supply).prop_map(
        |((mains, high, hertz, touch, watts, cord), (kind, rectification, whole, tapped))| Header {
            mains: mains.map(|v| Voltage::new(v.parse().unwrap()).unwrap()),
            high_line: high,
            frequency: hertz.map(|f| Frequency::new(f.parse().unwrap()).unwrap()),
            touch_limit: touch.and_then(|i| Current::new(i).ok()),
            power: watts.and_then(|w| Power::new(w).ok()),
            cord,
            supply: kind,
            rectification,
            secondary: whole,
            centre_tapped: tapped,
            ..Header::default()
        },
    )
}

fn sheet() -> impl Strategy<Value = Sheet> {
    let wires = prop::collection::vec((select(&PLACES[..]), select(&PLACES[..])), 0..2);
    (header(), prop::collection::vec(part(), 0..7), wires).prop_map(|(header, mut parts, wires)| {
        number(&mut parts);
        let wires = wires
            .into_iter()
            .map(|(a, b)| Wire { line: 1, places: vec![place(a), place(b)] })
            .collect();
        Sheet { header, parts, wires, ..Sheet::default() }
    })
}

/// Gives every part its own name, and a line.
fn number(parts: &mut [Part]) {
    for (index, part) in parts.iter_mut().enumerate() {
        part.designator.number = u32::try_from(index).unwrap() + 1;
        part.key = part.designator.to_string();
        part.line = index + 4;
    }
}

fn cases() -> ProptestConfig {
    chance::cases(10_000)
}

/// How many times the whole no-load peak a DC part in this role must stand:
/// written down anew, from what each role is joined to.
fn times_of_peak(part: &PlannedPart, doubler: bool) -> f64 {
    match part.role.map(|r| r.value) {
        Some(Role::Doubler) if doubler => 0.5,
        Some(Role::PlateBypass) => 3.0,
        Some(Role::RectifierRf) => 2.0,
        Some(
            Role::BiasBypass
            | Role::CathodeBypassAudio
            | Role::CathodeBypassRf
            | Role::Avc
            | Role::DiodeFilter
            | Role::VolumeCompensation
            | Role::Buffer
            | Role::SparkPlate
            | Role::Tuning,
        ) => 0.0,
        _ => 1.0,
    }
}

fn check_ratings(sheet: &Sheet, plan: &Plan) {
    let doubler = sheet.header.rectification == Some(Rectification::Doubler);
    for (old, part) in sheet.parts.iter().zip(&plan.parts) {
        let Some(new) = &part.replacement else { continue };
        let mark = old.rating.map_or(0.0, Voltage::to_f64);
        if new.class.is_some() {
            assert!(new.rating_ac, "{part:?}");
            assert!(new.rating_v >= plan.supply.high_line_v, "{part:?}");
            assert!(!old.rating_ac || new.rating_v >= mark, "{part:?}");
            continue;
        }
        let mark = if old.rating_ac { mark * std::f64::consts::SQRT_2 } else { mark };
        assert!(new.rating_v >= mark * (1.0 - 1e-12), "below the old mark: {part:?}");
        // The circuit's own figure stands in for the whole peak, but where the
        // signal's peaks come on top.
        let times = times_of_peak(part, doubler);
        let peak = plan.supply.no_load_peak_v.unwrap_or(0.0) * times;
        let stress = match &part.stress {
            Some(stress) if times <= 1.0 => stress.volts,
            _ => peak,
        };
        assert!(new.rating_v >= stress * (1.0 - 1e-12), "below {stress}: {part:?}");
        if let Arrangement::TwoInSeries { each_rating, .. } = new.arrangement {
            assert!(each_rating.to_f64() >= 0.6 * mark.max(stress) * (1.0 - 1e-12), "{part:?}");
        }
    }
}

fn check_line_places(sheet: &Sheet, plan: &Plan) {
    for (old, part) in sheet.parts.iter().zip(&plan.parts) {
        if old.kind != PartKind::Capacitor {
            continue;
        }
        let on_line = touches(old, &["LINE", "NEUTRAL"]);
        let metal = touches(old, &["CHASSIS", "GND", "ANT"]);
        let same = old.leads.as_ref().is_some_and(|l| l.from == l.to);
        // Where wires tie names together the names alone do not tell the place.
        let by_name = on_line && !same && sheet.wires.is_empty() && !ties_names(sheet);
        let place = by_name || part.role.is_some_and(|r| r.value.is_line_place());
        if !place {
            continue;
        }
        if let Some(new) = &part.replacement {
            let class = new.class.unwrap_or_else(|| panic!("no class: {part:?}"));
            let y = matches!(class, SafetyClass::Y1 | SafetyClass::Y2);
            assert!(!(by_name && metal) || y, "class X to metal: {part:?}");
        } else if part.decision != Decision::Replace && part.decision != Decision::Clean {
            assert!(old.class.is_some(), "a plain part stays on the line: {part:?}");
        }
    }
}

fn touches(part: &Part, names: &[&str]) -> bool {
    part.leads.as_ref().is_some_and(|leads| {
        [&leads.from, &leads.to]
            .into_iter()
            .any(|place| names.contains(&place.to_string().to_uppercase().as_str()))
    })
}

/// Whether a tube's pins or a line-carrying part tie names together.
fn ties_names(sheet: &Sheet) -> bool {
    sheet.parts.iter().any(|p| {
        !p.pins.is_empty()
            || matches!(
                p.kind,
                PartKind::Fuse | PartKind::Switch | PartKind::Cord | PartKind::ResistanceCord
            )
    })
}

fn check_touch(sheet: &Sheet, plan: &Plan) {
    let limit = sheet.header.touch_limit.map_or(0.5e-3, Current::to_f64);
    let volts = if plan.supply.high_line_v > 0.0 { plan.supply.high_line_v } else { 125.0 };
    for part in &plan.parts {
        let metal = matches!(
            part.role.map(|r| r.value),
            Some(
                Role::LineToChassis
                    | Role::BMinusToChassis
                    | Role::AntennaIsolation
                    | Role::GroundIsolation
            )
        );
        let Some(new) = part.replacement.as_ref().filter(|_| metal) else { continue };
        let farads = new.picofarads * 1.2e-12;
        let amperes = std::f64::consts::TAU * plan.supply.frequency_hz * farads * volts;
        assert!(amperes <= limit * 1.0001, "{amperes} over {limit}: {part:?}");
    }
}

fn check_values(plan: &Plan) {
    let rectifier = plan.supply.rectifier.as_deref().unwrap_or_default();
    let typical: HashMap<&str, f64> = [
        ("80", 10.0),
        ("5Y3GT", 10.0),
        ("35Z5GT", 40.0),
        ("6X5GT", 10.0),
        ("5AR4", 60.0),
        ("25Z6GT", 40.0),
    ]
    .into();
    for part in &plan.parts {
        let Some(new) = &part.replacement else { continue };
        let (least, most) = new.window;
        assert!(least <= new.value && new.value <= most, "outside its window: {part:?}");
        let reservoir = part.role.is_some_and(|r| r.value == Role::Reservoir);
        let limit = rectifier.split(' ').nth(1).and_then(|name| typical.get(name));
        if let (true, Some(limit)) = (reservoir, limit) {
            let old = part.old.picofarads.unwrap();
            assert!(new.picofarads <= old.max(limit * 1e6), "above the first filter: {part:?}");
        }
    }
}

fn check_groups(plan: &Plan) {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for group in &plan.groups {
        let pieces: usize = group.lines.iter().map(|l| l.count).sum();
        assert_eq!(pieces, group.count, "{group:?}");
        for key in group.lines.iter().flat_map(|l| &l.parts) {
            *seen.entry(key).or_default() += 1;
        }
    }
    let wanted: BTreeMap<&str, usize> = plan.parts.iter().map(|p| (p.key.as_str(), 1)).collect();
    assert_eq!(seen, wanted);
    let ids: std::collections::HashSet<&str> = plan.groups.iter().map(|g| g.id.as_str()).collect();
    assert_eq!(ids.len(), plan.groups.len(), "two groups of one name");
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn no_replacement_lies_below_the_old_mark_or_the_computed_stress(sheet in sheet()) {
        check_ratings(&sheet, &plan(&sheet));
    }

    #[test]
    fn only_safety_classes_stand_across_or_from_the_line(sheet in sheet()) {
        check_line_places(&sheet, &plan(&sheet));
    }

    #[test]
    fn no_new_capacitor_passes_more_than_the_touch_limit(sheet in sheet()) {
        check_touch(&sheet, &plan(&sheet));
    }

    #[test]
    fn values_lie_in_their_window_and_below_the_rectifiers_figure(sheet in sheet()) {
        check_values(&plan(&sheet));
    }

    #[test]
    fn every_part_is_grouped_once(sheet in sheet()) {
        check_groups(&plan(&sheet));
    }

    #[test]
    fn the_same_sheet_gives_the_same_plan(sheet in sheet()) {
        prop_assert_eq!(plan(&sheet), plan(&sheet.clone()));
    }

    #[test]
    fn adding_a_part_on_nodes_of_its_own_changes_no_other_part(
        sheet in sheet(),
        mut added in outsider(),
        at in any::<prop::sample::Index>(),
    ) {
        added.designator.number = 99;
        added.key = added.designator.to_string();
        let before = plan(&sheet);
        let mut larger = sheet.clone();
        larger.parts.insert(at.index(sheet.parts.len() + 1), added);
        let after = plan(&larger);
        let after: HashMap<&str, &PlannedPart> =
            after.parts.iter().map(|p| (p.key.as_str(), p)).collect();
        for part in &before.parts {
            let same = after[part.key.as_str()];
            prop_assert_eq!(&part.replacement, &same.replacement);
            prop_assert_eq!((part.decision, part.role), (same.decision, same.role));
            prop_assert_eq!(&part.stress, &same.stress);
        }
    }

    #[test]
    fn hazards_are_worst_first_and_name_parts_that_exist(sheet in sheet()) {
        let plan = plan(&sheet);
        prop_assert!(plan.hazards.windows(2).all(|w| w[0].severity >= w[1].severity));
        for hazard in &plan.hazards {
            for key in &hazard.parts {
                let part = plan.parts.iter().find(|p| &p.key == key);
                prop_assert!(part.is_some_and(|p| p.hazards.contains(&hazard.id)));
            }
        }
    }

    #[test]
    fn every_plan_prints_as_json_and_its_steps_are_in_order(sheet in sheet()) {
        let plan = plan(&sheet);
        prop_assert!(serde_json::to_string(&plan).is_ok());
        prop_assert!(plan.power_up.windows(2).all(|w| w[0].phase <= w[1].phase));
        prop_assert!(plan.notes.windows(2).all(|w| (w[0].line, w[0].column) <= (w[1].line, w[1].column)));
    }
}
