//! Where an ohmmeter goes, in the order of going, and what it reads there in a
//! sound set.

use super::harness::{Harness, PointIndex};
use super::network::{Change, Changed, Network, OPEN_OHMS, Port};
use crate::circuit::points::{Points, Traits, is_large};
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};

/// Ohms that a new electrolytic, or a dry rectifier the wrong way round, may
/// show a meter while it forms. Source: common practice, no source (B+ of a
/// sound set is held to read at least some 30 kΩ, and to rise).
const FORMING_OHMS: f64 = 250e3;

/// A reading: one lead of the meter at a point, the other at another.
#[derive(Debug, Clone, PartialEq)]
pub struct Probe {
    /// Where the red lead goes.
    pub at: PointIndex,
    /// Where the black lead stays.
    pub against: PointIndex,
    /// What it is read at.
    pub place: Spot,
    /// The node it belongs to.
    pub node: Option<NodeIndex>,
    /// The node the black lead stays at; the reference where it has no other.
    pub against_node: Option<NodeIndex>,
}

/// What a reading is taken at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Spot {
    /// A pin of a tube, by its part; 0 is the cap.
    Pin(usize, u8),
    /// A supply point, by its name.
    Supply(String),
    /// Another point, by its name.
    Other(String),
}

impl Probe {
    /// Its two leads.
    pub const fn port(&self) -> Port {
        (self.at, self.against)
    }
}

/// What a sound set reads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Ohms; infinite for no path.
    pub ohms: f64,
    /// Ohms by which the tolerances of the parts move it, by squares.
    pub spread: f64,
    /// Siemens that electrolytics which are forming, and dry rectifiers, may
    /// add.
    pub leak: f64,
    /// The least and the most that the controls make of it, as parts of one.
    pub turn: (f64, f64),
}

impl Expected {
    /// The least and the most of a reading that would be `ohms` but for
    /// controls and leaks.
    pub fn range(&self, ohms: f64) -> (f64, f64) {
        let least = ohms * self.turn.0;
        let least = if self.leak > 0.0 { 1.0 / (1.0 / least + self.leak) } else { least };
        (least, ohms * self.turn.1)
    }
}

/// The readings of a set in the order of going: round each base, then the
/// supply, then what is left.
pub fn walk(sheet: &Sheet, wiring: &Wiring, harness: &Harness, network: &Network) -> Vec<Probe> {
    let points = Points::of(sheet, wiring, &[]);
    let mut walk = Walk { wiring, harness, network, probes: Vec::new() };
    let mut seen = vec![false; harness.len];
    for socket in &wiring.sockets {
        // Round the base, the cap last.
        for pin in (1..=socket.pin_count()).chain([0]) {
            if let Some(at) = harness.pin(socket.part, pin) {
                seen[harness.node[at]] = true;
                walk.add(at, Spot::Pin(socket.part, pin));
            }
        }
    }
    let supply = [Traits::ANY_B_PLUS, Traits::MAINS, Traits::CHASSIS, Traits::B_MINUS];
    let mut others = Vec::new();
    for at in 0..harness.len {
        let Some(node) = harness.node_of(at) else { continue };
        let found = &wiring.nodes[node];
        if harness.alike(at, harness.ground) {
            continue;
        }
        let is_named = harness.pins[at].is_empty() && !harness.is_lug[at];
        let of_supply = supply.iter().any(|t| points.traits(node).has(*t));
        let is_supply = of_supply && !found.names.is_empty();
        let name = found.name.clone();
        if is_supply && is_named {
            seen[harness.node[at]] = true;
            let told = |p: &Probe| matches!(&p.place, Spot::Supply(n) if *n == name);
            if !walk.probes.iter().any(told) {
                walk.add(at, Spot::Supply(name));
            }
        } else {
            others.push((at, name));
        }
    }
    for (at, name) in others {
        if !std::mem::replace(&mut seen[harness.node[at]], true) {
            walk.add(at, Spot::Other(name));
        }
    }
    walk.probes
}

struct Walk<'a> {
    wiring: &'a Wiring,
    harness: &'a Harness,
    network: &'a Network,
    probes: Vec<Probe>,
}

impl Walk<'_> {
    /// A reading to the reference, and one within the point's own island where
    /// nothing ties it to the reference.
    fn add(&mut self, at: PointIndex, place: Spot) {
        let (harness, network) = (self.harness, self.network);
        let node = harness.node_of(at).filter(|n| *n < self.wiring.nodes.len());
        let mut push = |against: PointIndex, place: Spot| {
            let against_node = harness.node_of(against);
            self.probes.push(Probe { at, against, place, node, against_node });
        };
        push(harness.ground, place.clone());
        let anchor = network.island[at];
        if anchor != harness.ground && !harness.alike(anchor, at) {
            push(anchor, place);
        }
    }
}

/// How well a point serves to tell a floating island's readings against:
/// the rectifier's output, then supply points, then the line.
pub fn ranks(sheet: &Sheet, wiring: &Wiring, harness: &Harness) -> Vec<usize> {
    let points = Points::of(sheet, wiring, &[]);
    let mut meets = vec![0_usize; harness.len];
    for link in &harness.links {
        meets[link.a] += 1;
        meets[link.b] += 1;
    }
    let rank = |at: PointIndex| {
        let traits = harness.node_of(at).map_or(Traits::default(), |n| points.traits(n));
        let kind = if traits.has(Traits::RECTIFIER_OUT) && traits.has(Traits::ANY_B_PLUS) {
            4
        } else if traits.has(Traits::ANY_B_PLUS) {
            3
        } else if traits.has(Traits::CHASSIS) || traits.has(Traits::B_MINUS) {
            2
        } else {
            usize::from(traits.has(Traits::MAINS))
        };
        let is_named = usize::from(harness.pins[at].is_empty() && !harness.is_lug[at]);
        kind * 1000 + is_named * 500 + meets[at].min(400)
    };
    (0..harness.len).map(rank).collect()
}

/// What a sound set reads at every probe: as the network has it, and as a meter
/// does.
pub fn expected(
    sheet: &Sheet,
    harness: &Harness,
    network: &mut Network,
    leaky: Option<Network>,
    probes: &[Probe],
) -> (Vec<f64>, Vec<Expected>) {
    let ohms: Vec<f64> = probes.iter().map(|p| network.ohms(p.port())).collect();
    let square = squares(harness, network, probes);
    let leaky: Vec<f64> = match leaky {
        Some(mut leaky) => probes.iter().map(|p| leaky.ohms(p.port())).collect(),
        None => ohms.clone(),
    };
    let mut all: Vec<Expected> = (0..probes.len())
        .map(|at| {
            let open = ohms[at] >= OPEN_OHMS;
            let probe = &probes[at];
            // Along its own wires a node reads nothing.
            let here = if harness.alike(probe.at, probe.against) { 0.0 } else { ohms[at] };
            let before = if open { f64::INFINITY } else { here };
            let leak = 1.0 / leaky[at].max(1e-3) - 1.0 / before.max(1e-3);
            Expected {
                ohms: before,
                spread: if open { 0.0 } else { square[at].sqrt() },
                leak: if leak > 0.01 / before.max(1e-3) { leak } else { 0.0 },
                turn: (1.0, 1.0),
            }
        })
        .collect();
    for (part, _) in sheet.parts.iter().enumerate().filter(|(_, p)| is_control(p)) {
        let [one, other] = harness.links_of(part) else { continue };
        for (open, short) in [(one, other), (other, one)] {
            let turned = [
                Change { a: open.a, b: open.b, siemens: -0.5 * open.siemens },
                Change { a: short.a, b: short.b, siemens: super::harness::TIE },
            ];
            let turned = moved(network, &turned, probes, &ohms);
            for ((own, ohms), found) in all.iter_mut().zip(&ohms).zip(turned) {
                let turns = (found / ohms - 1.0).abs() > 1e-3;
                if own.ohms.is_finite() && *ohms > 0.0 && found.is_finite() && turns {
                    own.turn.0 = own.turn.0.min(found / ohms);
                    own.turn.1 = own.turn.1.max(found / ohms);
                }
            }
        }
    }
    (ohms, all)
}

/// The part of the volts across a resistance below which what it moves is
/// followed no further: readings move by the square of it.
const LEAST_SHARE: f64 = 0.03;

/// By probe, the sum of the squares by which tolerances move it.
fn squares(harness: &Harness, network: &mut Network, probes: &[Probe]) -> Vec<f64> {
    let mut square = vec![0.0_f64; probes.len()];
    let mut at_point: Vec<Vec<usize>> = vec![Vec::new(); harness.len];
    for (index, probe) in probes.iter().enumerate() {
        at_point[probe.at].push(index);
    }
    let mut column = vec![0.0_f64; harness.len];
    let mut touched = Vec::new();
    for link in &harness.links {
        let mut most = 0.0_f64;
        network.spread((link.a, link.b), |point, volts| {
            column[point] = volts;
            touched.push(point);
            most = most.max(volts.abs());
            volts.abs() >= LEAST_SHARE * most
        });
        for point in &touched {
            for probe in &at_point[*point] {
                let volts = column[*point] - column[probes[*probe].against];
                let moved = volts * volts * link.siemens * link.tolerance;
                square[*probe] += moved * moved;
            }
        }
        for point in touched.drain(..) {
            column[point] = 0.0;
        }
    }
    square
}

/// Every probe's reading with some changes.
fn moved(network: &mut Network, changes: &[Change], probes: &[Probe], ohms: &[f64]) -> Vec<f64> {
    let columns: Vec<Vec<f64>> = changes.iter().map(|c| network.column((c.a, c.b))).collect();
    let Some(changed) = Changed::new(changes, &columns) else { return ohms.to_vec() };
    probes.iter().zip(ohms).map(|(p, before)| changed.ohms(p.port(), *before)).collect()
}

/// What forms, and what a meter may find conducting.
pub fn leaks(sheet: &Sheet, harness: &Harness) -> Vec<Change> {
    let gaps = harness.gaps.iter();
    gaps.filter(|gap| {
        let part = &sheet.parts[gap.part];
        part.kind != PartKind::Capacitor || is_electrolytic(part)
    })
    .map(|gap| Change { a: gap.a, b: gap.b, siemens: 1.0 / FORMING_OHMS })
    .collect()
}

/// Whether a capacitor is electrolytic by its mark or its size.
pub fn is_electrolytic(part: &Part) -> bool {
    match part.dielectric {
        Some(dielectric) => dielectric.is_electrolytic(),
        None => is_large(part),
    }
}

/// Whether a part is a control.
pub fn is_control(part: &Part) -> bool {
    part.kind == PartKind::Potentiometer
}
