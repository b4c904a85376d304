//! The set built anew, resistor by resistor, and read by the solver's own
//! ohmmeter, which merges wires instead of giving them ohms.

use firstglow::circuit::fault::{Change, OPEN_OHMS, Table};
use firstglow::circuit::netlist::{Netlist, NodeId};
use firstglow::circuit::solver::{Ohmmeter, SourcesAs};
use std::collections::BTreeMap;

/// Siemens from which on something is a wire.
const WIRE: f64 = 40.0;

/// A set and the points of its probes.
pub struct Built {
    net: Netlist,
    nodes: Vec<NodeId>,
}

impl Built {
    /// The set with some conductances changed; `part` scales the siemens of
    /// each resistance, by its number.
    pub fn new(table: &Table, changes: &[Change], part: impl Fn(usize) -> f64) -> Self {
        let harness = &table.harness;
        let mut siemens: BTreeMap<(usize, usize), f64> = BTreeMap::new();
        let mut add = |a: usize, b: usize, by: f64| {
            *siemens.entry((a.min(b), a.max(b))).or_default() += by;
        };
        for t in &harness.ties {
            add(t.a, t.b, 50.0);
        }
        for c in changes {
            add(c.a, c.b, c.siemens);
        }
        for (at, link) in harness.links.iter().enumerate() {
            let key = (link.a.min(link.b), link.a.max(link.b));
            let own = siemens.entry(key).or_default();
            // What a fault took away is gone, whatever it was.
            let gone = *own <= 1e-8 - link.siemens;
            *own += if gone { link.siemens } else { link.siemens * part(at) };
        }
        let mut net = Netlist::new();
        let nodes: Vec<NodeId> = (0..harness.len)
            .map(|p| if p == harness.ground { NodeId::GROUND } else { net.node("point") })
            .collect();
        for ((a, b), siemens) in siemens {
            // What is left of a conductance taken away is insulation.
            if siemens > 5e-9 {
                let ohms = if siemens > WIRE { 0.0 } else { 1.0 / siemens };
                net.resistor("link", nodes[a], nodes[b], ohms).expect("positive ohms");
            }
        }
        Self { net, nodes }
    }

    /// What every probe reads; infinite where it is open.
    pub fn readings(&self, table: &Table) -> Vec<f64> {
        let mut meter = Ohmmeter::new(&self.net, SourcesAs::Open).expect("a network");
        let read = |probe: &firstglow::circuit::fault::Probe| {
            let ohms = meter.read(self.nodes[probe.at], self.nodes[probe.against]);
            ohms.filter(|ohms| *ohms < OPEN_OHMS).unwrap_or(f64::INFINITY)
        };
        table.probes.iter().map(read).collect()
    }
}
