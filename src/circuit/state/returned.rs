//! A supply whose reservoir comes back to the winding through a resistor, which
//! the load's current passes, too.

use crate::circuit::netlist::{ElementId, Netlist};
use crate::circuit::solver::{Options, Solver};
use crate::circuit::supply::{Agreed, CoupledError, Load, NOTHING_AMPS, Near, Supply, agree_near};

/// Brings it into agreement with what it feeds. The volts are those between
/// output and winding: the reservoir's and the resistor's drop.
pub(super) fn agree(
    solver: &mut Solver,
    net: &mut Netlist,
    element: ElementId,
    (supply, ohms): (&Supply, f64),
    near: Option<Near>,
) -> Result<Agreed, CoupledError> {
    let give = |volts: f64, amps: f64, state: Option<[f64; 2]>| {
        let own = volts - amps * ohms;
        let load =
            if amps > NOTHING_AMPS { Load::ohms((own / amps).max(1.0)) } else { Load::amps(0.0) };
        let mut steady = supply.steady_near(load, state)?;
        steady.volts += amps.max(0.0) * ohms;
        Ok(steady)
    };
    let top = supply.no_load_volts();
    agree_near(solver, net, element, top, &Options::default(), near, give)
}
