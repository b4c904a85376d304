//! Sheets half typed, and supplies beside others that are not known: nothing
//! unknown is told as known, small, or at hand.

use firstglow::circuit::report::AtMeter;
use firstglow::plan::plan;
use firstglow::plan::types::{Plan, Reading, Severity};
use firstglow::sheet::Sheet;

fn planned(text: &str) -> Plan {
    plan(&Sheet::read(text))
}

/// Every reading of B+ of a plan.
fn b_plus(plan: &Plan) -> Vec<&Reading> {
    plan.power_up
        .iter()
        .flat_map(|s| &s.readings)
        .filter(|r| r.id == "b-plus" && r.unit == "V")
        .collect()
}

fn volts(plan: &Plan, name: &str) -> Option<f64> {
    plan.circuit.nodes.iter().find(|n| n.name == name).unwrap().running_v
}

#[test]
fn a_filament_winding_typed_as_a_secondary_is_one() {
    let sets = [
        "T1 power primary line to neutral 117 V KIND k1 to k2 5 V secondary a to b tap chassis 640 V\n\
         V1 5Y3GT 2=k1 8=k2 4=a 6=b\nC1 16 mfd 450 V electrolytic k2 to chassis\n\
         R1 6.8K 20 W k2 to chassis\n",
        "T1 power primary line to neutral 117 V secondary a to b tap neg 600 V KIND k1 to k2 5 V\n\
         V1 80 1=k1 4=k2 2=a 3=b\nR2 220 5 W neg to chassis\n\
         C1 8 mfd 450 V electrolytic k1 to neg\nR1 5K 20 W k1 to chassis\n",
        "T1 power primary line to neutral 117 V secondary a to chassis 900 V KIND k1 to a 2.5 V\n\
         V1 2X2 1=k1 4=a cap=k2\nC1 1 mfd 2000 V oil k2 to chassis\nR1 1M 2 W k2 to chassis\n",
    ];
    for set in sets {
        let text = format!("mains 117 V 60 Hz\nsupply transformer\n{set}");
        let [named, typed] =
            ["heater", "secondary"].map(|kind| planned(&text.replace("KIND", kind)));
        assert!(!typed.supply.has_unknown_supply, "{text}{:?}", typed.notes);
        let (own, told) = (volts(&typed, "k2").unwrap(), volts(&named, "k2").unwrap());
        assert!(
            own.abs() > 200.0 && (own - told).abs() < 1e-6 * told.abs(),
            "{own} {told}\n{text}"
        );
    }
}

#[test]
fn no_figure_for_b_plus_stands_beside_a_supply_that_is_not_known() {
    // The main supply lacks its tap, its second end, its volts; a small one is whole.
    let low = "T2 power primary line to neutral 117 V secondary s to chassis 40 V\n\
               SR1 selenium 200 mA s to low\nC3 500 mfd 75 V electrolytic low to chassis\n\
               R3 470 5 W low to chassis\n";
    for winding in ["a to b 700 V", "a to b tap ct 700 V", "a to b tap chassis"] {
        let plan = planned(&format!(
            "mains 117 V 60 Hz\nsupply transformer\n\
             T1 power primary line to neutral 117 V secondary {winding} heater k1 to k2 5 V\n\
             V1 5U4G 2=k1 8=k2 4=a 6=b\nC1 20 mfd 450 V electrolytic k2 to chassis\n\
             R1 10K 25 W k2 to chassis\n{low}"
        ));
        assert!(plan.supply.has_unknown_supply, "{winding}");
        assert!(volts(&plan, "low").unwrap() > 30.0, "{winding}");
        let readings = b_plus(&plan);
        assert!(!readings.is_empty());
        for reading in readings {
            assert_eq!((&reading.least, &reading.most), (&None, &None), "{winding}: {reading:?}");
            assert!(reading.what.contains("clip on"), "{}", reading.what);
        }
    }
}

#[test]
fn b_plus_of_a_sheet_that_does_not_tell_it_is_not_measured_by_hand() {
    for text in [
        "supply transformer\nV1 5Y3GT\nC1 20 mfd 450 V electrolytic\n",
        "C1 20 mfd 450 V\nV1 80\nC2 8 mfd 500 V\n",
        "supply vibrator\nT1 power secondary a to b tap chassis 400 V\nV1 6X5GT 3=a 5=b 8=k\n\
         C1 8 mfd 350 V electrolytic k to chassis\n",
    ] {
        for reading in b_plus(&planned(text)) {
            assert_eq!(reading.most, None, "{text}");
            assert!(reading.what.contains("clip on"), "{}\n{text}", reading.what);
        }
    }
}

#[test]
fn a_mark_is_not_told_as_the_volts_of_a_charge() {
    for text in [
        "supply transformer\nV1 5Y3GT\nC1 20 mfd 450 V electrolytic\n",
        "C1 .5 mfd 2000 V oil\nC2 16 mfd 450 V electrolytic\nV1 2X2\n",
        "supply vibrator\nC1 20 mfd 350 V electrolytic\nV1 6X5GT\n",
    ] {
        let plan = planned(text);
        let hazard = plan.hazards.iter().find(|h| h.id == "stored-energy").unwrap();
        assert_eq!(hazard.severity, Severity::Danger);
        assert!(hazard.what_can_happen.contains("not known"), "{}", hazard.what_can_happen);
        let highest = hazard.working[0].inputs.iter().find(|i| i.name == "highest voltage");
        let told = serde_json::to_string(highest.unwrap()).unwrap();
        assert!(told.contains("not known"), "{told}");
        for charged in &plan.charged {
            assert!(charged.volts_words().starts_with("volts not known"), "{}", charged.words());
        }
    }
}

#[test]
fn a_small_capacitor_at_a_high_voltage_is_a_danger() {
    let plan = planned(
        "mains 117 V 60 Hz\nsupply transformer\n\
         T1 power primary line to neutral 117 V secondary h to chassis 1100 V\n\
         SR1 silicon hv to h\nC1 .1 mfd 2000 V oil hv to chassis\nR1 4.7M 2 W hv to chassis\n",
    );
    let hazard = plan.hazards.iter().find(|h| h.id == "stored-energy").unwrap();
    assert_eq!(hazard.severity, Severity::Danger);
}

#[test]
fn a_cathode_without_a_way_back_is_not_known() {
    let supply = "mains 117 V 60 Hz\nsupply transformer\n\
                  T1 power primary line to neutral 117 V secondary a to chassis 220 V\n\
                  SR1 silicon a to B+\nC1 40 mfd 450 V electrolytic B+ to chassis\n";
    for stage in [
        "V1 6V6GT 3=B+ 4=B+ 5=g 8=k\nR1 470K g to chassis\n",
        "V1 6V6GT 3=B+ 4=B+ 5=g 8=k\nR1 470K g to chassis\nC2 25 mfd 25 V electrolytic k to chassis\n",
        "V1 6J5 3=p 5=g 8=k\nR1 47K B+ to p\nR2 1M g to chassis\nR3 2.2K k to kk\n",
    ] {
        let plan = planned(&format!("{supply}{stage}"));
        let told =
            plan.circuit.nodes.iter().find(|n| n.name == "k").unwrap_or_else(|| panic!("{stage}"));
        assert_eq!((told.running_v, told.meter), (None, AtMeter::Unknown), "{stage}");
        assert!(plan.notes.iter().any(|n| n.message.contains("has no way to")), "{stage}");
        let readings = plan.power_up.iter().flat_map(|s| &s.readings);
        assert!(!readings.into_iter().any(|r| r.what.contains("cathode")), "{stage}");
    }
    // In series with another tube it has one.
    let cascode = format!(
        "{supply}V1 12AT7 1=p 2=g1 3=mid 6=mid 7=g2 8=k\nR1 10K B+ to p\nR2 1M g2 to chassis\n\
         R3 220 ohm k to chassis\nR4 470K B+ to g1\nR5 220K g1 to chassis\n"
    );
    let plan = planned(&cascode);
    assert!(!plan.notes.iter().any(|n| n.message.contains("has no way to")), "{:?}", plan.notes);
    assert!(volts(&plan, "mid").unwrap() > 20.0);
}
