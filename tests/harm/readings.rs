//! No reading is asked for where a hand or a meter does not belong.

use crate::chance;
use crate::support::run;
use firstglow::circuit::alternating::Alternating;
use firstglow::circuit::report::{AtMeter, NodeReport};
use firstglow::plan::hands::Probe;
use firstglow::plan::plan;
use firstglow::plan::types::{Plan, PowerStep, Reading};
use firstglow::sheet::Sheet;
use firstglow::ui::charts::figures::PointFigure;
use proptest::prelude::*;
use proptest::sample::select;

/// A console whose B- is below the chassis by its field: 5U4G, 360-0-360 V.
const FIELD_IN_RETURN: &str = "set Field console\nmains 117 V 60 Hz, 90 W\nsupply transformer\n\
    T1 power primary 1 to 2 117 V 4 ohm, secondary 3 to 5 tap 4 720 V 160 ohm, rectifier 6 to 7 5 V\n\
    wire T1.1 to line\nwire T1.2 to neutral\nwire T1.4 to ctp\n\
    V9 5U4G 2=T1.6 8=T1.7 4=T1.3 6=T1.5\nL1 field 800 ohm ctp to chassis\n\
    C1 16 mfd 450 V electrolytic T1.7 to ctp\nL2 filter choke 10 H 300 ohm T1.7 to B1\n\
    C2 16 mfd 450 V electrolytic B1 to chassis\n\
    V8 6V6GT 3=B1 4=B1 5=gr 8=kk\nR8 470K gr to chassis\nR9 300 ohm 2 W kk to chassis\n";

/// A bridge of silicon on an untapped winding, its negative on the chassis.
const BRIDGE: &str = "set Bridge supply\nmains 117 V 60 Hz\nsupply transformer\n\
    T2 power primary 1 to 2 117 V, secondary 3 to 4 220 V 40 ohm\nwire T2.1 to line\n\
    wire T2.2 to neutral\nD1 silicon T2.3 to B1\nD2 silicon T2.4 to B1\nD3 silicon chassis to T2.3\n\
    D4 silicon chassis to T2.4\nC5 47 mfd 350 V electrolytic B1 to chassis\nR5 10K 10 W B1 to chassis\n";

/// A set straight on the line with its heaters in series.
const STRING: &str = "set String set\nmains 117 V 60 Hz, 35 W two-wire\nsupply series-string half-wave\n\
    S1 switch neutral to B-\nV1 35Z5GT 2=line 3=tap 5=tap 7=h1 8=B0\n\
    V2 50L6GT 2=h1 7=h2 3=pl 4=B1 5=gr 8=kk\nV3 12SK7 2=h2 7=h3\nV4 12SQ7 7=h3 8=B-\n\
    C20 40 mfd 150 V electrolytic B0 to B-\nR20 1K 1 W B0 to B1\nC21 20 mfd 150 V electrolytic B1 to B-\n\
    R21 470K gr to B-\nR22 150 ohm kk to B-\nT4 output primary 1 to 2 180 ohm\nwire T4.1 to B0\n\
    wire T4.2 to pl\nC30 .1 400 V paper chassis to B-\nR30 220K chassis to B-\n";

fn planned(text: &str) -> Plan {
    plan(&Sheet::read(text))
}

/// A node by its name, or by a tube's pin: `V9.4`.
fn node<'a>(plan: &'a Plan, name: &str) -> &'a NodeReport {
    let of_pin = || {
        let (key, pin) = name.split_once('.')?;
        let tube = plan.circuit.tubes.iter().find(|t| t.key == key)?;
        tube.pins.iter().find(|p| p.pin.to_string() == pin)?.node
    };
    let named = plan.circuit.nodes.iter().position(|n| n.name == name);
    let at = named.or_else(of_pin).unwrap_or_else(|| panic!("{name}"));
    &plan.circuit.nodes[at]
}

/// The first point of the first supply.
fn output(plan: &Plan) -> &str {
    &plan.circuit.nodes[plan.supply.supplies[0].output].name
}

fn step<'a>(plan: &'a Plan, id: &str) -> &'a PowerStep {
    plan.power_up.iter().find(|s| s.id == id).unwrap_or_else(|| panic!("{id}"))
}

fn asked(plan: &Plan) -> Vec<&Reading> {
    plan.power_up.iter().filter(|s| s.id == "voltages").flat_map(|s| &s.readings).collect()
}

fn assert_alternating(plan: &Plan, name: &str, rms: f64) {
    let node = node(plan, name);
    let AtMeter::Alternating { rms_v } = node.meter else { panic!("{name}: {:?}", node.meter) };
    assert!((rms_v - rms).abs() < 0.02 * rms + 0.1, "{name}: {rms_v} for {rms}");
    assert!(node.running_v.is_none() && node.band_v.is_none() && node.meter_v.is_none(), "{name}");
    let said = PointFigure::of(node, plan).words();
    assert!(said.contains("V AC"), "{said}");
}

#[test]
fn plates_of_a_rectifier_are_alternating_where_the_return_is_not_the_chassis() {
    let plan = planned(FIELD_IN_RETURN);
    for plate in ["V9.4", "V9.6"] {
        assert_alternating(&plan, plate, 360.0);
        assert!(PointFigure::of(node(&plan, plate), &plan).words().contains("do not probe"));
    }
    assert!(asked(&plan).iter().all(|r| !r.what.contains("5U4G, plate")), "{:?}", asked(&plan));
    // The filament bears B+, and the tap of the winding the back bias.
    assert!(node(&plan, "V9.8").running_v.unwrap() > 250.0);
    assert!(node(&plan, "ctp").running_v.unwrap() < -10.0);
    assert!(asked(&plan).iter().any(|r| r.id == output(&plan)));
}

#[test]
fn both_ends_of_a_bridges_winding_are_alternating() {
    let plan = planned(BRIDGE);
    for end in ["T2.3", "T2.4"] {
        assert_alternating(&plan, end, 110.0);
    }
    assert_eq!(node(&plan, "B1").meter, AtMeter::Direct);
}

#[test]
fn a_heater_string_is_alternating_and_its_reference_is_live() {
    let plan = planned(STRING);
    // 150 mA heaters of 12.6, 12.6 and 50 V above B-; own arithmetic.
    for (name, volts) in [("h3", 12.6), ("h2", 25.2), ("h1", 75.2)] {
        let node = node(&plan, name);
        let AtMeter::Alternating { rms_v } = node.meter else { panic!("{name}") };
        // The string does not add up to 117 V: shares of the line.
        assert!((rms_v - volts * 117.0 / 110.2).abs() < 1.0, "{name}: {rms_v}");
    }
    let reference = node(&plan, "B-");
    assert_eq!(reference.meter, AtMeter::Reference);
    assert_eq!(PointFigure::of(reference, &plan).words(), "reference, LIVE");
    // The switch is closed: the other side of it is the reference as well.
    assert_eq!(node(&plan, "neutral").meter, AtMeter::Reference);
    assert_alternating(&plan, "line", 117.0);
    assert_eq!(node(&plan, "B0").meter, AtMeter::Direct);
}

#[test]
fn a_winding_without_volts_is_not_probed() {
    let plan = planned(&FIELD_IN_RETURN.replace("720 V ", ""));
    let plate = node(&plan, "V9.4");
    assert_eq!((plate.meter, plate.alternating), (AtMeter::Unknown, Alternating::Unknown));
    assert_eq!(PointFigure::of(plate, &plan).words(), "not known: treat as live");
}

/// Source: Debian's ngspice, an AC analysis of the same resistances and
/// capacitors at 60 Hz; within a part in a thousand.
#[test]
fn ngspice_agrees_on_the_alternating_volts() {
    let text = "mains 117 V 60 Hz\nsupply series-string half-wave\nwire neutral to B-\n\
        R1 47 ohm 5 W line to a\nC1 2 mfd 400 V a to b\nR2 1.5K b to c\nC3 .5 mfd 400 V c to B-\n\
        R4 2.2K c to d\nC4 1 mfd 400 V d to B-\nR5 10K d to B-\nC5 .1 mfd line to e\nR6 33K e to B-\n";
    let deck = "* phasors\nV1 line 0 AC 117\nR1 line a 47\nC1 a b 2u\nR2 b c 1.5k\nC3 c 0 0.5u\n\
        R4 c d 2.2k\nC4 d 0 1u\nR5 d 0 10k\nC5 line e 0.1u\nR6 e 0 33k\nR9 b 0 1e12\n\
        .ac lin 1 60 60\n.control\nrun\nprint vm(a) vm(b) vm(c) vm(d) vm(e)\n.endc\n.end\n";
    let (ours, theirs) = (planned(text), run(deck));
    for name in ["a", "b", "c", "d", "e"] {
        let told = node(&ours, name).alternating.rms().unwrap();
        let wanted = theirs[&format!("vm({name})")];
        assert!((told - wanted).abs() < 1e-3 * wanted, "{name}: {told} for {wanted}");
    }
}

#[test]
fn no_point_above_500_v_is_read_by_hand_and_none_above_1_kv_without_its_probe() {
    for (winding, words) in
        [("900 V", "clip on with the set unplugged"), ("1500 V", "high-voltage probe only")]
    {
        let text = FIELD_IN_RETURN.replace("720 V", winding);
        let text = text.replace("secondary 3 to 5 tap 4 1500 V", "secondary 3 to 5 tap 4 1800 V");
        let plan = planned(&text);
        let first = asked(&plan).into_iter().find(|r| r.id == output(&plan)).unwrap();
        assert!(first.what.contains(words), "{}", first.what);
        let stage = step(&plan, "stage-4").readings.iter().find(|r| r.id == "b-plus").unwrap();
        assert!(stage.what.contains(words), "{}", stage.what);
    }
    assert_eq!(Probe::of(Some(500.0)), Probe::ByHand);
}

#[test]
fn meter_and_discharge_are_chosen_by_the_highest_supply_of_the_set() {
    let low = planned(FIELD_IN_RETURN);
    assert!(step(&low, "meters").action.contains("marked CAT II 600 V or more"));
    let high = FIELD_IN_RETURN.replace("720 V", "1100 V");
    let high = planned(&high);
    // 550 · 125/117 · √2 = 831 V.
    assert!(step(&high, "meters").action.contains("marked CAT II 1000 V or more"));
    assert!(
        step(&high, "discharge").action.contains("2 of "),
        "{}",
        step(&high, "discharge").action
    );
    let unknown = planned("set Nothing told\nC1 8 mfd 450 V electrolytic\n");
    assert!(step(&unknown, "meters").action.contains("highest voltage of this set is not known"));
    assert!(step(&unknown, "discharge").working.is_empty());
}

fn head() -> impl Strategy<Value = &'static str> {
    select(&[FIELD_IN_RETURN, BRIDGE, STRING][..])
}

fn line() -> impl Strategy<Value = String> {
    let places =
        ["B1", "chassis", "line", "h1", "T1.3", "T1.5", "T2.3", "ctp", "gr", "B-", "x", "y"];
    let pair = (select(places.to_vec()), select(places.to_vec()));
    let value =
        select(&["R 1K 1 W", "R 220K", "C .05 400 V paper", "C 8 mfd 450 V electrolytic"][..]);
    (40_u32..90, value, pair)
        .prop_map(|(n, value, (a, b))| format!("{}{n} {} {a} to {b}\n", &value[..1], &value[2..]))
}

proptest! {
    #![proptest_config(chance::cases(300))]

    #[test]
    fn direct_volts_are_told_only_where_little_alternating_voltage_stands(
        head in head(),
        lines in prop::collection::vec(line(), 0..6),
    ) {
        let plan = planned(&(head.to_owned() + &lines.concat()));
        for node in &plan.circuit.nodes {
            let told = node.running_v.or(node.cold_v).or(node.band_v.map(|b| b.most));
            if let (Some(_), AtMeter::Direct) = (told, node.meter) {
                let (ac, dc) = (node.alternating.rms().unwrap(), node.running_v.unwrap());
                prop_assert!(ac <= 10.0 && ac <= 0.1 * dc.abs(), "{node:?}");
            } else if told.is_some() {
                prop_assert_eq!(node.meter, AtMeter::Reference, "{:?}", node);
            }
            let said = PointFigure::of(node, &plan).words();
            let is_reference = node.meter == AtMeter::Reference;
            prop_assert_eq!(said.starts_with("reference"), is_reference, "{}", said);
        }
    }
}
