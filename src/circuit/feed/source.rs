//! The sources of alternating voltage: the line and the windings of power
//! transformers, each with its terminals and the volts between them.
//!
//! Windings of one transformer that share a point are one source: their volts
//! add in the order in which their ends are written.
//!
//! Limits: volts add in phase or against each other; a tap is in the middle.

use crate::circuit::model::{Model, is_power_transformer, winding_usual};
use crate::circuit::netlist::NodeId;
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::sheet::part::{Part, PartKind, Winding, WindingKind};
use crate::sheet::{Sheet, SupplyKind};
use crate::trade::quantity::{Resistance, Voltage};

/// Volts taken for the mains where the sheet names none.
const USUAL_MAINS: f64 = 117.0;
/// Volts from which a winding is one of those that a set is fed from; below,
/// it lights lamps. Source: own choice.
const FEEDS_VOLTS: f64 = 30.0;

/// A point of a source.
#[derive(Debug, Clone, PartialEq)]
pub struct Terminal {
    /// Its node.
    pub node: NodeIndex,
    /// The netlist's node.
    pub at: NodeId,
    /// Effective volts against the source's first terminal, of either sign.
    pub volts: f64,
    /// Whether it is a tap of its winding.
    pub is_tap: bool,
}

/// A winding of a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coil {
    /// The transformer, by its index on the sheet.
    pub part: usize,
    /// The winding, by its index on the part.
    pub winding: usize,
}

/// The line, or windings of a power transformer that hang together.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// Its points.
    pub terminals: Vec<Terminal>,
    /// Ohms between pairs of them.
    legs: Vec<(usize, usize, f64)>,
    /// Ohms that the primary adds per square of a volt.
    reflected: f64,
    /// Whether its volts are known.
    pub is_known: bool,
    /// Its windings; none of the line.
    pub coils: Vec<Coil>,
    /// Of each winding its terminals, from start to end.
    places: Vec<Vec<usize>>,
    /// Of each winding whether it feeds sets, by its volts or its kind.
    feeding: Vec<bool>,
    /// Whether any does.
    pub feeds: bool,
    /// What was taken for want of a figure.
    pub assumed: Vec<String>,
}

impl Source {
    /// Effective volts between two terminals.
    pub fn volts(&self, a: usize, b: usize) -> f64 {
        (self.terminals[a].volts - self.terminals[b].volts).abs()
    }

    /// Effective volts between its farthest terminals; `None` where they are
    /// not known.
    pub fn span(&self) -> Option<f64> {
        let volts = || self.terminals.iter().map(|t| t.volts);
        let (least, most) = (volts().reduce(f64::min)?, volts().reduce(f64::max)?);
        self.is_known.then_some(most - least)
    }

    /// The terminals of a winding's two ends.
    pub fn ends_of(&self, coil: Coil) -> Vec<usize> {
        let own = self.coils.iter().position(|one| *one == coil).map(|at| &self.places[at]);
        own.map_or_else(Vec::new, |all| {
            all.first().into_iter().chain(all.last()).copied().collect()
        })
    }

    /// Effective volts of a winding, where they are known.
    pub fn coil_volts(&self, coil: Coil) -> Option<f64> {
        let ends = self.ends_of(coil);
        let [a, b] = ends[..] else { return None };
        self.is_known.then(|| self.volts(a, b))
    }

    /// Whether a winding is one of those that sets are fed from.
    pub fn coil_feeds(&self, coil: Coil) -> bool {
        let at = self.coils.iter().position(|one| *one == coil);
        at.is_some_and(|at| self.feeding[at])
    }

    /// The transformer, by its index on the sheet.
    pub fn transformer(&self) -> Option<usize> {
        self.coils.first().map(|coil| coil.part)
    }

    /// Ohms between two terminals, with the primary's.
    pub fn ohms(&self, a: usize, b: usize) -> f64 {
        let volts = self.volts(a, b);
        self.path(a, b, None).unwrap_or(0.0) + self.reflected * volts * volts
    }

    /// Ohms of the windings between two terminals; windings make a tree.
    fn path(&self, from: usize, to: usize, before: Option<usize>) -> Option<f64> {
        if from == to {
            return Some(0.0);
        }
        self.legs.iter().find_map(|(a, b, ohms)| {
            let next = match from {
                _ if *a == from => *b,
                _ if *b == from => *a,
                _ => return None,
            };
            (Some(next) != before)
                .then(|| self.path(next, to, Some(from)))
                .flatten()
                .map(|more| ohms + more)
        })
    }

    /// Joins another source of the same transformer where both meet at one
    /// node; gives it back where they do not.
    fn join(&mut self, other: Box<Self>) -> Result<(), Box<Self>> {
        let meet = || {
            other.terminals.iter().enumerate().find_map(|(theirs, t)| {
                Some((self.terminals.iter().position(|own| own.at == t.at)?, theirs))
            })
        };
        let same = self.is_known && other.is_known && self.transformer() == other.transformer();
        let Some((own, theirs)) = same.then(meet).flatten() else { return Err(other) };
        let shift = self.terminals[own].volts - other.terminals[theirs].volts;
        let mut place = Vec::with_capacity(other.terminals.len());
        for terminal in other.terminals {
            let at = self.terminals.iter().position(|t| t.at == terminal.at).unwrap_or_else(|| {
                let volts = terminal.volts + shift;
                self.terminals.push(Terminal { volts, ..terminal });
                self.terminals.len() - 1
            });
            place.push(at);
        }
        for (a, b, ohms) in other.legs {
            // A winding beside another one makes no tree.
            if self.path(place[a], place[b], None).is_none() {
                self.legs.push((place[a], place[b], ohms));
            }
        }
        self.coils.extend(other.coils);
        let places = other.places.iter().map(|all| all.iter().map(|at| place[*at]).collect());
        self.places.extend(places.collect::<Vec<Vec<usize>>>());
        self.feeding.extend(other.feeding);
        self.feeds |= other.feeds;
        self.assumed.extend(other.assumed);
        Ok(())
    }
}

/// Every source of a sheet; `side` is its alternating model.
pub fn sources(sheet: &Sheet, wiring: &Wiring, side: &Model) -> Vec<Source> {
    let mains = sheet.header.mains.map(Voltage::to_f64).filter(|v| *v > 0.0);
    let mut all: Vec<Source> = Vec::new();
    let stated = stated_winding(sheet);
    for (part, transformer) in sheet.parts.iter().enumerate() {
        if !is_power_transformer(transformer) {
            continue;
        }
        for (winding, one) in transformer.windings.iter().enumerate() {
            let coil = Coil { part, winding };
            let rectified = || feeds_dry(sheet, wiring, side, transformer, one);
            let taken = match one.kind {
                WindingKind::Secondary => !one.lights() || rectified(),
                WindingKind::Heater => rectified(),
                _ => false,
            };
            let volts = one.volts.map(Voltage::to_f64);
            let volts = volts.or(stated.filter(|(at, _)| *at == coil).map(|(_, volts)| volts));
            let Some(next) = taken
                .then(|| secondary((wiring, side), transformer, coil, volts, mains))
                .flatten()
                .map(Box::new)
            else {
                continue;
            };
            let left = all.iter_mut().try_fold(next, |next, one| match one.join(next) {
                Ok(()) => Err(()),
                Err(next) => Ok(next),
            });
            all.extend(left.ok().map(|next| *next));
        }
    }
    let fed = sheet.header.supply != Some(SupplyKind::Vibrator);
    if let (Some(line), Some(neutral), true) = (wiring.named("line"), wiring.named("neutral"), fed)
    {
        let assumed = if mains.is_none() {
            vec![format!("{USUAL_MAINS} V taken for the mains")]
        } else {
            Vec::new()
        };
        let terminal = |node: NodeIndex, volts: f64| Terminal {
            node,
            at: side.node(node),
            volts,
            is_tap: false,
        };
        all.push(Source {
            terminals: vec![terminal(line, mains.unwrap_or(USUAL_MAINS)), terminal(neutral, 0.0)],
            legs: vec![(0, 1, 0.0)],
            reflected: 0.0,
            is_known: true,
            coils: Vec::new(),
            places: Vec::new(),
            feeding: Vec::new(),
            feeds: true,
            assumed,
        });
    }
    all
}

/// The one winding that the supply line's volts, or those of the transformer's
/// own line, are meant for: the first tapped one without volts, else the first.
fn stated_winding(sheet: &Sheet) -> Option<(Coil, f64)> {
    let own = |part: &Part| part.rating.filter(|_| part.rating_ac).map(Voltage::to_f64);
    let transformers = || sheet.parts.iter().enumerate().filter(|(_, p)| is_power_transformer(p));
    let volts = sheet
        .header
        .secondary
        .map(Voltage::to_f64)
        .or_else(|| transformers().find_map(|(_, part)| own(part)))?;
    let bare = || {
        transformers().flat_map(|(part, transformer)| {
            let windings = transformer.windings.iter().enumerate();
            windings
                .filter(|(_, w)| w.kind == WindingKind::Secondary && w.volts.is_none())
                .map(move |(winding, w)| (Coil { part, winding }, w.tap.is_some()))
        })
    };
    let tapped = bare().find(|(_, tapped)| *tapped).or_else(|| bare().next());
    tapped.map(|(coil, _)| (coil, volts))
}

/// Whether a dry rectifier or a large capacitor meets a heater winding.
fn feeds_dry(
    sheet: &Sheet,
    wiring: &Wiring,
    side: &Model,
    transformer: &Part,
    winding: &Winding,
) -> bool {
    let ends: Vec<NodeId> = [&winding.start, &winding.end]
        .into_iter()
        .filter_map(|t| wiring.terminal(transformer, t).map(|n| side.node(n)))
        .filter(|at| *at != NodeId::GROUND)
        .collect();
    sheet.parts.iter().any(|part| {
        matches!(part.kind, PartKind::DryRectifier | PartKind::Diode)
            && wiring
                .leads(part)
                .is_some_and(|(a, b)| ends.contains(&side.node(a)) || ends.contains(&side.node(b)))
    })
}

/// A winding as a source; `None` where its ends are nowhere on the sheet.
fn secondary(
    (wiring, side): (&Wiring, &Model),
    transformer: &Part,
    coil: Coil,
    volts: Option<f64>,
    mains: Option<f64>,
) -> Option<Source> {
    let winding = &transformer.windings[coil.winding];
    let mut assumed = Vec::new();
    let own = winding.resistance.map_or_else(
        || {
            let usual = winding_usual(transformer, winding);
            assumed.push(format!(
                "{usual:.0} Ω taken for the high-voltage winding of {}",
                transformer.designator
            ));
            usual
        },
        Resistance::to_f64,
    );
    let primary = transformer.windings.iter().find(|w| w.kind == WindingKind::Primary);
    let primary_volts = primary
        .and_then(|w| w.volts)
        .map(Voltage::to_f64)
        .or(mains)
        .filter(|v| *v > 0.0)
        .unwrap_or(USUAL_MAINS);
    let primary_ohms = primary.map_or(0.0, |w| {
        w.resistance.map_or_else(|| winding_usual(transformer, w), Resistance::to_f64)
    });
    let by_line = mains.map_or(1.0, |m| m / primary_volts);
    let whole = volts.unwrap_or(0.0) * by_line;
    let terminal = |name: &str, share: f64| {
        let node = wiring.terminal(transformer, name)?;
        let is_tap = share > 0.0 && share < 1.0;
        Some(Terminal { node, at: side.node(node), volts: whole * share, is_tap })
    };
    let (start, end) = (terminal(&winding.start, 0.0)?, terminal(&winding.end, 1.0)?);
    let tap = winding.tap.as_deref().and_then(|tap| terminal(tap, 0.5));
    let (terminals, legs) = match tap {
        Some(tap) => (vec![start, tap, end], vec![(0, 1, own / 2.0), (1, 2, own / 2.0)]),
        None => (vec![start, end], vec![(0, 1, own)]),
    };
    let feeds = winding.kind == WindingKind::Secondary && volts.is_none_or(|v| v >= FEEDS_VOLTS);
    let count = terminals.len();
    Some(Source {
        terminals,
        legs,
        // By the turns, which the volts at the nominal primary tell.
        reflected: primary_ohms / (primary_volts * by_line).powi(2),
        is_known: whole > 0.0,
        coils: vec![coil],
        places: vec![(0..count).collect()],
        feeding: vec![feeds],
        feeds,
        assumed,
    })
}
