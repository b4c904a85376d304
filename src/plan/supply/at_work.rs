//! Workings of the supplies as the circuit finds them.

use crate::circuit::report::{ChokeReport, SupplyReport};
use crate::plan::text::{figure, input, volts, working};
use crate::plan::told::Told;
use crate::plan::types::{Basis, Input, Working};
use crate::trade::source::Source;

const CYCLE: Source = Source::arithmetic(
    "the source behind its resistance and the rectifier's own law, over the cycle that repeats",
);
const CRITICAL: Source = Source::from_memory(
    "handbook rule for a full-wave rectifier, critical inductance R/(6πf) with f of the line",
);

/// How the figures of every doubler and choke input were reached.
pub fn workings(supplies: &[SupplyReport]) -> Vec<Working> {
    supplies
        .iter()
        .flat_map(|supply| {
            let choke = supply.choke.as_ref().map(|choke| choke_input(supply, choke));
            choke.into_iter().chain(doubler(supply))
        })
        .collect()
}

fn source(supply: &SupplyReport) -> Input {
    let behind = format!("{} behind {} Ω", volts(supply.source_rms_v), figure(supply.source_ohms));
    input("source, AC", behind, Basis::Computed)
}

fn taken(supply: &SupplyReport) -> Input {
    input("taken", Told::Figure(supply.ma, "mA"), Basis::Computed)
}

fn doubler(supply: &SupplyReport) -> Option<Working> {
    let keys = |second: bool| {
        let own = supply.doubled.iter().filter(|duty| duty.is_second() == second);
        own.map(|duty| format!("{} ({})", duty.key, duty.place)).collect::<Vec<_>>().join(", ")
    };
    let first = supply.doubled.first()?;
    let rule = if first.place == "series" {
        "one half of the cycle charges the series capacitor to the crest; on the other half it \
         stands in series with the source and both fill the output capacitor: two crests less what \
         pulses and discharge take"
    } else {
        "each capacitor is charged to the crest on its own half of the cycle, and both stand in \
         series: two crests less what pulses and discharge take"
    };
    let mut inputs = vec![
        source(supply),
        input("first capacitor", keys(false), Basis::Placed),
        input("second capacitor", keys(true), Basis::Placed),
        taken(supply),
    ];
    inputs.extend(
        supply.ripple_pp_v.map(|v| input("ripple, peak to peak", volts(v), Basis::Computed)),
    );
    inputs.extend(
        supply
            .peak_ma
            .map(|ma| input("peak of each rectifier", Told::Figure(ma, "mA"), Basis::Computed)),
    );
    inputs.push(input("no load, high line", volts(supply.no_load_v), Basis::Computed));
    Some(working("voltage doubler", inputs, rule, volts(supply.volts), CYCLE))
}

fn choke_input(supply: &SupplyReport, choke: &ChokeReport) -> Working {
    let mut inputs = vec![
        source(supply),
        input("choke", format!("{} {} H", choke.key, figure(choke.henries)), Basis::Stated),
        taken(supply),
    ];
    inputs.extend(choke.load_ohms.map(|ohms| input("that is", Told::Ohms(ohms), Basis::Computed)));
    let critical = choke.critical_h.map(|h| Told::Figure(h, "H"));
    inputs.extend(critical.map(|h| input("critical inductance, R/(6πf)", h, Basis::Computed)));
    let needed = choke.needed_ma.map(|ma| Told::Figure(ma, "mA"));
    inputs.extend(needed.map(|ma| input("least load for this choke, about", ma, Basis::Computed)));
    inputs.push(input(
        "least current of the choke",
        Told::Figure(choke.least_ma, "mA"),
        Basis::Computed,
    ));
    if let Some(ma) = choke.cold_ma {
        let state = if choke.cold_flows { "its current flows on" } else { "its current stops" };
        let told = format!("{} mA: {state}", figure(ma));
        inputs.push(input("tubes cold, high line", told, Basis::Computed));
    }
    let rule = "while the choke's current never stops the volts are 2/π of the crest less the \
                drops; below the critical inductance it stops between the pulses and the volts climb \
                towards the crest, which they reach without load. A bleeder that takes the least \
                load keeps them down";
    let state = if choke.flows { "its current never stops" } else { "its current stops" };
    let result = format!("{} ahead of the choke; {state}", volts(supply.volts));
    working("choke input", inputs, rule, result, CRITICAL)
}
