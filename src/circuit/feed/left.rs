//! What is left when the supplies are found: rectifiers that nothing feeds, and
//! windings that nothing takes.

use super::source::Coil;
use super::unsolved::{Missing, Reach, Unsolved};
use super::{Ends, Finder, LEAST_FARADS, Supplies};
use crate::circuit::wiring::NodeIndex;
use crate::sheet::SupplyKind;
use crate::sheet::part::{Make, PartKind};
use crate::trade::quantity::Capacitance;
use crate::trade::tubes::Class;
use std::f64::consts::SQRT_2;

impl Finder<'_> {
    /// Adds what no supply takes, and tells each thing once.
    pub(super) fn left_over(&self, found: &mut Supplies) {
        if !self.is_wired() {
            return;
        }
        let taken: Vec<usize> =
            found.feeds.iter().flat_map(|feed| feed.devices.iter().copied()).collect();
        let mut more: Vec<Unsolved> = Vec::new();
        for ends in self.ends {
            let solved = ends.devices.iter().any(|device| taken.contains(device));
            if !solved && ends.driven().is_none() && self.rectifies(ends) {
                more.push(self.without_source(ends));
            }
        }
        more.extend(self.tubes_without_places());
        let incomplete = more.iter().any(|one| one.reach == Reach::Everything);
        let used: Vec<usize> = found.feeds.iter().map(|feed| feed.source).collect();
        more.extend(self.unused_windings(&used, incomplete));
        for next in more {
            let known = found.unsolved.iter().any(|one| {
                !next.rectifiers.is_empty()
                    && next.rectifiers.iter().all(|part| one.rectifiers.contains(part))
                    && next.reach != Reach::Everything
            });
            if !known {
                found.unsolved.push(next);
            }
        }
        merge(&mut found.unsolved);
    }

    /// Whether the sheet shows any connection.
    fn is_wired(&self) -> bool {
        self.sheet.parts.iter().any(|part| part.leads.is_some() || !part.pins.is_empty())
    }

    /// Whether a rectifier that no source drives is one of a supply: a tube, a
    /// stack, or a diode with a filter; others detect or clamp.
    fn rectifies(&self, ends: &Ends) -> bool {
        let part = self.part(ends);
        match part.kind {
            PartKind::Diode => {
                let sides = [self.at(ends.anode), self.at(ends.cathode)];
                self.sheet.parts.iter().any(|p| {
                    p.kind == PartKind::Capacitor
                        && p.capacitance.map_or(0.0, Capacitance::farads) >= LEAST_FARADS
                        && self.wiring.leads(p).is_some_and(|(a, b)| {
                            sides.contains(&self.at(a)) || sides.contains(&self.at(b))
                        })
                })
            }
            _ => !part.is_made(Make::CopperOxide),
        }
    }

    fn without_source(&self, ends: &Ends) -> Unsolved {
        let leads_on = |node: &NodeIndex| self.paths.leads_on(self.at(*node));
        let mut points = vec![ends.anode, ends.cathode];
        points.extend(&ends.between);
        Unsolved {
            rectifiers: vec![self.device(ends).part],
            transformer: None,
            output: [ends.cathode, ends.anode].into_iter().find(leads_on),
            missing: Missing::Source,
            place: None,
            peak_volts: None,
            reach: Reach::Points(points),
        }
    }

    /// Rectifier tubes of which a plate or the cathode is nowhere, and tubes of
    /// unknown type on a source.
    fn tubes_without_places(&self) -> Vec<Unsolved> {
        let mut all = Vec::new();
        for socket in &self.wiring.sockets {
            let unsolved = |missing, place, output: Option<NodeIndex>| Unsolved {
                rectifiers: vec![socket.part],
                transformer: None,
                output,
                missing,
                place,
                peak_volts: None,
                reach: output.map_or(Reach::Everything, |node| Reach::Points(vec![node])),
            };
            match &socket.tube {
                Some(tube) if tube.class == Class::Rectifier => {
                    if self.running.devices.iter().any(|device| device.part == socket.part) {
                        continue;
                    }
                    let cathode = crate::circuit::model::cathode_of(socket, tube);
                    all.push(match cathode {
                        None => unsolved(Missing::Cathode, None, None),
                        Some(node) => {
                            let place = self.plates_without_place(socket.part).first().cloned();
                            unsolved(Missing::Plate, place, Some(node))
                        }
                    });
                }
                Some(_) => {}
                None => {
                    let pins = (1..=socket.pin_count()).filter_map(|pin| socket.node(pin));
                    let mut nodes = pins.chain(socket.cap());
                    if nodes.any(|node| {
                        let source = self.sources.drives(self.at(node)).map(|r| r.source);
                        source.is_some_and(|s| self.feeds_sets(s))
                    }) {
                        all.push(unsolved(Missing::TubeType, None, None));
                    }
                }
            }
        }
        all
    }

    /// Whether a source is a winding that sets are fed from.
    fn feeds_sets(&self, source: usize) -> bool {
        let source = &self.sources.all[source];
        source.feeds && source.transformer().is_some()
    }

    /// Windings that no rectifier takes. One of which an end leads nowhere was to
    /// feed something; another feeds what it meets.
    fn unused_windings(&self, used: &[usize], incomplete: bool) -> Vec<Unsolved> {
        let vibrator = self.sheet.header.supply == Some(SupplyKind::Vibrator);
        let mut all = Vec::new();
        for (index, source) in self.sources.all.iter().enumerate() {
            for coil in source.coils.iter().filter(|_| source.feeds) {
                let Some(points) = self.unused(index, coil, used) else { continue };
                let drawn = points.iter().all(|at| self.is_drawn(coil.part, *at));
                let reach = if incomplete || vibrator || !drawn {
                    Reach::Everything
                } else {
                    Reach::Points(points.iter().copied().chain(self.nodes_of(index)).collect())
                };
                all.push(Unsolved {
                    rectifiers: Vec::new(),
                    transformer: Some(coil.part),
                    output: None,
                    missing: if vibrator { Missing::Vibrator } else { Missing::Rectifier },
                    place: self.winding_words(coil),
                    peak_volts: source.coil_volts(*coil).map(|volts| volts * SQRT_2),
                    reach,
                });
            }
        }
        all
    }

    /// The ends of a winding, where no rectifier and no other winding is on one
    /// of them that alternates; `used` are the sources of the half-wave doublers.
    fn unused(&self, index: usize, coil: &Coil, used: &[usize]) -> Option<Vec<NodeIndex>> {
        let source = &self.sources.all[index];
        if !source.coil_feeds(*coil) || source.coils.len() == 1 && used.contains(&index) {
            return None;
        }
        let ends = source.ends_of(*coil);
        let taken = |at: usize| {
            let point = &source.terminals[at];
            let reached = |ends: &Ends| {
                let mut sides = [ends.plate_side, ends.cathode_side].into_iter().flatten();
                sides.any(|r| r.source == index && source.terminals[r.terminal].at == point.at)
            };
            let shared = source
                .coils
                .iter()
                .any(|other| other != coil && source.ends_of(*other).contains(&at));
            !self.sources.is_return(point.at)
                && (shared || self.ends.iter().any(reached) || self.carries_series(point.node))
        };
        let nodes = ends.iter().map(|at| source.terminals[*at].node);
        (!ends.iter().any(|at| taken(*at))).then(|| nodes.collect())
    }

    /// Whether a large capacitor is at a point, as in a half-wave doubler.
    fn carries_series(&self, node: NodeIndex) -> bool {
        self.sheet.parts.iter().any(|part| {
            part.kind == PartKind::Capacitor
                && part.capacitance.map_or(0.0, Capacitance::farads) >= LEAST_FARADS
                && self.wiring.leads(part).is_some_and(|(a, b)| {
                    self.at(a) == self.at(node) || self.at(b) == self.at(node)
                })
        })
    }
}

/// Joins what lacks the same at the same place.
fn merge(all: &mut Vec<Unsolved>) {
    let mut merged: Vec<Unsolved> = Vec::new();
    for next in std::mem::take(all) {
        let same = merged.iter_mut().find(|one| {
            next.transformer.is_some()
                && (one.transformer, one.missing, &one.place)
                    == (next.transformer, next.missing, &next.place)
        });
        let Some(one) = same else {
            merged.push(next);
            continue;
        };
        one.rectifiers.extend(next.rectifiers);
        one.rectifiers.sort_unstable();
        one.rectifiers.dedup();
        one.output = one.output.or(next.output);
        one.peak_volts = match (one.peak_volts, next.peak_volts) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        };
        match (&mut one.reach, next.reach) {
            (Reach::Points(points), Reach::Points(more)) => points.extend(more),
            (reach, _) => *reach = Reach::Everything,
        }
    }
    *all = merged;
}
