//! Nodes and the elements between them.
//!
//! Purpose: the electrical form of a set, by numbers; names are kept for
//! messages alone.
//!
//! ```
//! use firstglow::circuit::netlist::{Netlist, NodeId};
//!
//! let mut net = Netlist::new();
//! let grid = net.node("V1.g1");
//! let leak = net.resistor("R4", grid, NodeId::GROUND, 470e3)?;
//! assert_eq!(net.element_name(leak), "R4");
//! assert!(net.resistor("R5", grid, NodeId::GROUND, -1.0).is_err());
//! # Ok::<(), firstglow::circuit::netlist::NetlistError>(())
//! ```
//!
//! Limits: a resistor or coil of zero ohms is a wire: its ends become one node
//! for the solver, and its current is not told. Capacitors are open.

mod element;

pub use element::{Element, NetlistError, Terminals};

use super::law::Law;
use element::{check_ohms, check_source, usable};
use std::sync::Arc;

/// A node's number; ground (chassis or B-, as the caller chooses) is 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NodeId(u32);

impl NodeId {
    /// The node all voltages are told against.
    pub const GROUND: Self = Self(0);

    /// The node's place in lists of node values.
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// An element's number, in the order of adding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ElementId(u32);

impl ElementId {
    /// The element's place in lists of element values.
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// Nodes and elements.
#[derive(Debug, Clone, PartialEq)]
pub struct Netlist {
    /// Names are shared by copies of a netlist, which differ in values.
    nodes: Arc<Vec<String>>,
    names: Arc<Vec<String>>,
    elements: Vec<Element>,
}

impl Default for Netlist {
    fn default() -> Self {
        Self::new()
    }
}

impl Netlist {
    /// A netlist of ground alone.
    pub fn new() -> Self {
        Self {
            nodes: Arc::new(vec!["ground".to_owned()]),
            names: Arc::default(),
            elements: Vec::new(),
        }
    }

    /// A new node. Names serve messages; they are not looked up.
    ///
    /// # Panics
    /// Past four thousand million nodes.
    pub fn node(&mut self, name: &str) -> NodeId {
        let id = u32::try_from(self.nodes.len()).expect("fewer than 2^32 nodes");
        Arc::make_mut(&mut self.nodes).push(name.to_owned());
        NodeId(id)
    }

    /// Adds a resistor.
    ///
    /// # Errors
    /// When the resistance is negative or not a finite number.
    pub fn resistor(
        &mut self,
        name: &str,
        a: NodeId,
        b: NodeId,
        ohms: f64,
    ) -> Result<ElementId, NetlistError> {
        check_ohms(name, ohms)?;
        Ok(self.add(name, Element::Resistor { a, b, ohms }))
    }

    /// Adds a coil or winding.
    ///
    /// # Errors
    /// When the resistance is negative or not a finite number.
    pub fn coil(
        &mut self,
        name: &str,
        a: NodeId,
        b: NodeId,
        ohms: f64,
    ) -> Result<ElementId, NetlistError> {
        check_ohms(name, ohms)?;
        Ok(self.add(name, Element::Coil { a, b, ohms }))
    }

    /// Adds a capacitor.
    ///
    /// # Errors
    /// When the capacitance is not a finite number above zero.
    pub fn capacitor(
        &mut self,
        name: &str,
        a: NodeId,
        b: NodeId,
        farads: f64,
    ) -> Result<ElementId, NetlistError> {
        if farads > 0.0 && farads.is_finite() {
            Ok(self.add(name, Element::Capacitor { a, b, farads }))
        } else {
            Err(NetlistError::Capacitance { element: name.to_owned(), farads })
        }
    }

    /// Adds a voltage source.
    ///
    /// # Errors
    /// When the voltage is not finite.
    pub fn source(
        &mut self,
        name: &str,
        plus: NodeId,
        minus: NodeId,
        volts: f64,
    ) -> Result<ElementId, NetlistError> {
        check_source(name, volts)?;
        Ok(self.add(name, Element::VoltageSource { plus, minus, volts }))
    }

    /// Adds a current source.
    ///
    /// # Errors
    /// When the current is not finite.
    pub fn current(
        &mut self,
        name: &str,
        from: NodeId,
        to: NodeId,
        amps: f64,
    ) -> Result<ElementId, NetlistError> {
        check_source(name, amps)?;
        Ok(self.add(name, Element::CurrentSource { from, to, amps }))
    }

    /// Adds a tube unit or diode.
    ///
    /// # Errors
    /// When a constant of the law is unusable.
    pub fn device(
        &mut self,
        name: &str,
        at: Terminals,
        law: Law,
    ) -> Result<ElementId, NetlistError> {
        if !usable(&law) {
            return Err(NetlistError::Law { element: name.to_owned() });
        }
        let Terminals { plate, grid, screen, cathode } = at;
        Ok(self.add(name, Element::Device { plate, grid, screen, cathode, law }))
    }

    /// Sets a voltage source's value and puts a resistance in series with it;
    /// other elements stay as they are.
    ///
    /// # Errors
    /// When the resistance is negative, or a value is not finite.
    pub fn soften(&mut self, id: ElementId, volts: f64, ohms: f64) -> Result<(), NetlistError> {
        let name = self.element_name(id).to_owned();
        check_ohms(&name, ohms)?;
        let inner = self.node(&name);
        let Element::VoltageSource { plus, .. } = *self.element(id) else {
            return Ok(());
        };
        self.set_source(id, volts)?;
        if let Element::VoltageSource { plus: at, .. } = &mut self.elements[id.index()] {
            *at = inner;
        }
        self.resistor(&name, inner, plus, ohms)?;
        Ok(())
    }

    /// The number of nodes, ground among them.
    pub fn node_count(&self) -> usize {
        self.nodes.len()
    }

    /// All nodes but ground.
    pub fn nodes(&self) -> impl Iterator<Item = NodeId> + use<> {
        (1..u32::try_from(self.nodes.len()).unwrap_or(u32::MAX)).map(NodeId)
    }

    /// The elements with their numbers, in the order of adding.
    pub fn elements(&self) -> impl Iterator<Item = (ElementId, &Element)> {
        (0..).map(ElementId).zip(&self.elements)
    }

    /// One element.
    pub fn element(&self, id: ElementId) -> &Element {
        &self.elements[id.index()]
    }

    /// An element's name.
    pub fn element_name(&self, id: ElementId) -> &str {
        &self.names[id.index()]
    }

    /// A node's name.
    pub fn node_name(&self, id: NodeId) -> &str {
        &self.nodes[id.index()]
    }

    /// Sets a source's value; other elements stay as they are.
    ///
    /// # Errors
    /// When the value is not finite.
    pub fn set_source(&mut self, id: ElementId, value: f64) -> Result<(), NetlistError> {
        check_source(&self.names[id.index()], value)?;
        match &mut self.elements[id.index()] {
            Element::VoltageSource { volts, .. } => *volts = value,
            Element::CurrentSource { amps, .. } => *amps = value,
            _ => {}
        }
        Ok(())
    }

    /// Sets a device's law: a tube pulled, cold, or a regulator lit.
    ///
    /// # Errors
    /// When a constant of the law is unusable.
    pub fn set_law(&mut self, id: ElementId, new: Law) -> Result<(), NetlistError> {
        if !usable(&new) {
            return Err(NetlistError::Law { element: self.names[id.index()].clone() });
        }
        if let Element::Device { law, .. } = &mut self.elements[id.index()] {
            *law = new;
        }
        Ok(())
    }

    /// Sets a resistor's or a coil's resistance.
    ///
    /// # Errors
    /// When the resistance is negative or not a finite number.
    pub fn set_ohms(&mut self, id: ElementId, value: f64) -> Result<(), NetlistError> {
        check_ohms(&self.names[id.index()], value)?;
        if let Element::Resistor { ohms, .. } | Element::Coil { ohms, .. } =
            &mut self.elements[id.index()]
        {
            *ohms = value;
        }
        Ok(())
    }

    /// Makes every voltage source an open place, keeping all numbers.
    pub(super) fn drop_voltage_sources(&mut self) {
        for at in 0..self.elements.len() {
            self.open(ElementId(u32::try_from(at).unwrap_or(u32::MAX)));
        }
    }

    /// Makes a voltage source an open place, keeping all numbers.
    pub(super) fn open(&mut self, id: ElementId) {
        let element = &mut self.elements[id.index()];
        if let Element::VoltageSource { plus, minus, .. } = *element {
            *element = Element::CurrentSource { from: plus, to: minus, amps: 0.0 };
        }
    }

    /// Makes an element pass nothing, keeping all numbers.
    pub(super) fn remove(&mut self, id: ElementId) {
        let element = &mut self.elements[id.index()];
        if let Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } = *element {
            *element = Element::CurrentSource { from: a, to: b, amps: 0.0 };
        }
        self.open(id);
    }

    fn add(&mut self, name: &str, element: Element) -> ElementId {
        let id = u32::try_from(self.elements.len()).expect("fewer than 2^32 elements");
        Arc::make_mut(&mut self.names).push(name.to_owned());
        self.elements.push(element);
        ElementId(id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_that_no_part_can_have_are_refused_by_name() {
        let mut net = Netlist::new();
        let a = net.node("a");
        let error = net.resistor("R9", a, NodeId::GROUND, f64::NAN).unwrap_err();
        assert!(error.to_string().starts_with("R9: the resistance must be zero or more"));
        assert!(net.capacitor("C1", a, NodeId::GROUND, 0.0).is_err());
        assert!(net.source("E", a, NodeId::GROUND, f64::INFINITY).is_err());
        let law = Law::Vacuum { perveance: 0.0 };
        assert!(net.device("V1", Terminals::diode(a, NodeId::GROUND), law).is_err());
        assert_eq!(net.elements().count(), 0);
    }
}
