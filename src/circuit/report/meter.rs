//! What a meter is for at each node.
//!
//! The direct volts of a node where an alternating voltage stands are what a
//! solution on direct current leaves there, and no reading: they are taken out.

use super::{AtMeter, NodeReport, Report};
use crate::circuit::alternating::{Alternating, at_nodes};
use crate::circuit::netlist::NodeId;
use crate::circuit::state::Set;
use crate::sheet::Sheet;

/// Tells the alternating volts of every node and what a meter is for there.
pub fn tell(report: &mut Report, sheet: &Sheet, set: &Set) {
    let alternating = at_nodes(sheet, set.wiring);
    let has_reference = set.running.reference.is_some();
    for (index, node) in report.nodes.iter_mut().enumerate() {
        node.alternating = alternating[index];
        let is_reference = has_reference && set.running.node(index) == NodeId::GROUND;
        node.meter = if is_reference { AtMeter::Reference } else { at(node) };
        if matches!(node.meter, AtMeter::Alternating { .. } | AtMeter::Unknown) {
            node.cold_v = None;
            node.low_v = None;
            node.running_v = None;
            node.high_v = None;
            node.band_v = None;
            node.meter_v = None;
        }
    }
}

fn at(node: &NodeReport) -> AtMeter {
    match (node.alternating, node.running_v) {
        (Alternating::Unknown, _) | (Alternating::None, None) => AtMeter::Unknown,
        (Alternating::Rms { volts: rms_v }, None) => AtMeter::Alternating { rms_v },
        (Alternating::Rms { volts: rms_v }, Some(dc)) if node.alternating.forbids_dc(dc) => {
            AtMeter::Alternating { rms_v }
        }
        (_, Some(_)) => AtMeter::Direct,
    }
}
