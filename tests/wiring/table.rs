//! What a fault makes of the readings, held against fresh solves: the table of
//! faults comes from one factoring and low-rank updates.

use super::build::Built;
use firstglow::circuit::fault::{Effects, Table};
use firstglow::circuit::wiring::Wiring;
use firstglow::sheet::Sheet;
use firstglow::sheet::examples::EXAMPLES;

#[test]
fn every_reading_with_every_fault_is_what_a_fresh_solve_of_the_faulted_set_reads() {
    for example in &EXAMPLES {
        let sheet = Sheet::read(example.text);
        let table = Table::of(&sheet, &Wiring::of(&sheet)).expect("a set");
        let effects = Effects::all(&table);
        let mut compared = 0;
        for (at, fault) in table.faults.iter().enumerate() {
            for (variant, changes) in fault.variants.iter().enumerate() {
                let readings = Built::new(&table, changes, |_| 1.0).readings(&table);
                for (index, (probe, fresh)) in table.probes.iter().zip(readings).enumerate() {
                    let quick = effects.ohms(&table, at, variant, index);
                    let words = format!(
                        "{} {:?} of {} at {:?}: {quick} for {fresh}",
                        example.id, fault.how, sheet.parts[fault.part].key, probe.place
                    );
                    assert_eq!(quick.is_finite(), fresh.is_finite(), "{words}");
                    // Ties have their few hundredths of an ohm, and what is
                    // insulated is so by 1 GΩ.
                    let near = 0.5 + 1e-3 * fresh + 2e-9 * fresh * fresh;
                    let near = (quick - fresh).abs() <= near;
                    assert!(near || !fresh.is_finite(), "{words}");
                    compared += 1;
                }
            }
        }
        assert!(compared > 10_000, "{}: {compared} readings compared", example.id);
    }
}
