//! What still conducts when the set is switched off.

use super::{Set, State};
use crate::circuit::discharge::Valve;
use crate::circuit::law::Law;
use crate::circuit::model::Model;
use crate::circuit::netlist::Element;
use crate::circuit::supply::Topology;

/// Amperes at which a tube's drop is taken as a resistance while one capacitor
/// fills another: about what a set takes.
const JOINS_AMPS: f64 = 0.01;

impl Set<'_> {
    /// The regulators that are lit in a state, each with its part's index, between
    /// the nodes of `model`.
    pub fn lit(&self, state: &State, model: &Model) -> Vec<(usize, Valve)> {
        let of_tube = self.regulators.iter().filter_map(|(part, tube)| {
            let Element::Device { law: Law::Threshold { volts, ohms }, .. } =
                *state.net.element(tube.element)
            else {
                return None;
            };
            let mut devices = self.running.devices.iter();
            let device = devices.find(|device| device.element == Some(tube.element))?;
            let (plate, cathode) = (model.node(device.plate), model.node(device.cathode));
            (plate != cathode)
                .then(|| (*part, Valve::glow(plate, cathode, volts, ohms, tube.start_volts)))
        });
        of_tube.collect()
    }

    /// The rectifiers by which the series capacitor of a half-wave doubler fills
    /// the output capacitor once that has fallen to it.
    pub fn joining(&self, model: &Model) -> Vec<Valve> {
        let doublers =
            self.feeds.iter().filter(|feed| feed.supply.topology == Topology::DoublerHalfWave);
        let joining = doublers.filter_map(|feed| {
            let output = model.node(feed.output);
            let mut devices = feed.devices.iter().map(|at| &self.running.devices[*at]);
            let device = devices.find(|device| model.node(device.cathode) == output)?;
            let plate = model.node(device.plate);
            let (volts, ohms) = match feed.supply.law {
                Law::Threshold { volts, ohms } => (volts, ohms.max(1.0)),
                ref law => (0.0, (law.drop_volts(JOINS_AMPS) / JOINS_AMPS).max(1.0)),
            };
            (plate != output).then(|| Valve::rectifier(plate, output, volts, ohms))
        });
        joining.collect()
    }
}
