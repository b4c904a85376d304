//! Gas regulator tubes: whether each one is lit.
//!
//! Purpose: a regulator passes nothing until its starting voltage is there,
//! then holds its voltage while its current stays within limits. All begin
//! dark; those that see enough are lit, and the circuit is solved again until
//! nothing changes.
//!
//! Example: 250 V through 5 kΩ and a 150 V tube that starts at 185 V: lit, with
//! about 20 mA. Through 200 kΩ with 100 kΩ beside the tube it sees 83 V and
//! stays dark.
//!
//! Limits: glow regulators alone; the slope above the holding voltage is a
//! straight line, and a tube whose lit current is below its least is told as
//! such but stays lit.

use super::{Options, Solution, SolveError, Solver};
use crate::circuit::law::Law;
use crate::circuit::netlist::{Element, ElementId, Netlist};

/// A regulator in a netlist, with its published figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegulatorTube {
    /// Its device.
    pub element: ElementId,
    /// Volts it holds, at the middle of its current range.
    pub volts: f64,
    /// Volts it needs to start.
    pub start_volts: f64,
    /// Ohms of its slope.
    pub ohms: f64,
    /// Least and most amperes it regulates at.
    pub amps: (f64, f64),
}

/// What a regulator does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lit {
    /// It never started; it sees these volts.
    Dark {
        /// Volts across it.
        volts: f64,
    },
    /// It regulates, passing these amperes.
    Holding {
        /// Amperes through it.
        amps: f64,
    },
    /// It is lit outside its current range.
    OutOfRange {
        /// Amperes through it.
        amps: f64,
    },
}

/// Solves with each regulator dark or lit as the volts decide, and leaves the
/// netlist's laws so.
///
/// # Errors
/// See [`SolveError`].
///
/// # Panics
/// Never: the laws set here are usable.
pub fn settle(
    net: &mut Netlist,
    tubes: &[RegulatorTube],
    options: &Options,
) -> Result<(Solution, Vec<Lit>), SolveError> {
    for tube in tubes {
        net.set_law(tube.element, Law::Off).expect("a law without constants is usable");
    }
    let mut lit = vec![false; tubes.len()];
    let mut solver = Solver::new(net)?;
    let mut solution = solver.solve(net, options, None)?;
    // Each pass lights one at least, so it ends.
    loop {
        let mut changed = false;
        for (tube, lit) in tubes.iter().zip(&mut lit) {
            if !*lit && across(net, &solution, tube.element) >= tube.start_volts {
                *lit = true;
                changed = true;
                let middle = 0.5 * (tube.amps.0 + tube.amps.1);
                let ohms = tube.ohms.max(1.0);
                let law = Law::Threshold { volts: tube.volts - middle * ohms, ohms };
                net.set_law(tube.element, law).expect("at least one ohm");
            }
        }
        if !changed {
            break;
        }
        solution = solver.solve(net, options, Some(&solution))?;
    }
    let states =
        tubes.iter().zip(lit).map(|(tube, lit)| state(net, &solution, tube, lit)).collect();
    Ok((solution, states))
}

fn across(net: &Netlist, solution: &Solution, id: ElementId) -> f64 {
    match *net.element(id) {
        Element::Device { plate, cathode, .. } => solution.between(plate, cathode),
        _ => 0.0,
    }
}

fn state(net: &Netlist, solution: &Solution, tube: &RegulatorTube, lit: bool) -> Lit {
    if !lit {
        return Lit::Dark { volts: across(net, solution, tube.element) };
    }
    let amps = solution.amps(net, tube.element);
    if (tube.amps.0..=tube.amps.1).contains(&amps) {
        Lit::Holding { amps }
    } else {
        Lit::OutOfRange { amps }
    }
}
