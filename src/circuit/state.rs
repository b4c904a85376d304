//! The states of a set: running at a line voltage, cold, and with a tube out.
//!
//! Limits: the supplies are solved one after the other, so a set with several
//! is exact only where they do not load each other.

pub(super) mod choke;
mod held;
mod known;
mod lit;
mod returned;
mod taken;
mod unknown;

pub use choke::ChokeState;
pub use taken::Taken;
pub use unknown::Unfed;

use super::feed::{self, Feed, Supplies, Unsolved};
use super::law::Law;
use super::model::{Assumption, Model, View};
use super::netlist::{ElementId, Netlist, Terminals};
use super::solver::{Options, RegulatorTube, Solution, SolveError, Solver, settle};
use super::supply::{Agreed, CoupledError, Duty, Near, Steady, couple_near};
use super::wiring::{NodeIndex, Wiring};
use crate::sheet::Sheet;
use crate::trade::tubes::UnitKind;
use held::Held;
use known::Tied;
use rustc_hash::FxHashSet;
use thiserror::Error;

/// Why a state could not be computed.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StateError {
    /// Nothing says where the set's current comes from.
    #[error(
        "no supply was found: name line and neutral, or a transformer's secondary with its volts, and a rectifier"
    )]
    NoSupply,
    /// The set's supplies are on the sheet, and none of them can be solved.
    #[error("no voltages are given: the supply of this sheet is not complete")]
    Unsolved,
    /// Several supplies do not come to agree with one another.
    #[error("the supplies of this set do not come to agree with one another")]
    Unsettled,
    /// The equations have no answer.
    #[error(transparent)]
    Solve(#[from] SolveError),
    /// Supply and circuit do not agree.
    #[error(transparent)]
    Coupled(#[from] CoupledError),
}

/// Which tubes are in their sockets and warm.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tubes {
    /// All.
    Warm,
    /// None conducts but the rectifiers.
    Cold,
    /// All but one, by its part's index.
    Without(usize),
}

/// A supply in a state.
#[derive(Debug, Clone, PartialEq)]
pub struct FedState {
    /// The feed, by its index.
    pub feed: usize,
    /// Mean volts of its output against its return.
    pub volts: f64,
    /// Amperes taken.
    pub amps: f64,
    /// The steady state.
    pub steady: Option<Steady>,
    /// What both capacitors of a doubler bear, in the order of
    /// [`super::supply::Supply::farads`].
    pub duties: Option<[Duty; 2]>,
    /// Of a choke input, how its choke fares.
    pub choke: Option<ChokeState>,
    /// How supply and circuit came to agree: [`Agreed::slope`].
    slope: f64,
}

/// A state of the set.
#[derive(Debug, Clone)]
pub struct State<'a> {
    /// The set's model, whose netlist is that of the warm set.
    pub model: &'a Model,
    /// The netlist with its laws and sources as they are in this state.
    pub net: Netlist,
    /// The volts of all nodes.
    pub solution: Solution,
    /// Its supplies.
    pub fed: Vec<FedState>,
    /// Which nodes of the netlist float.
    floats: Vec<bool>,
}

impl<'a> State<'a> {
    fn new(model: &'a Model, net: Netlist, solution: Solution, fed: Vec<FedState>) -> Self {
        let mut state = Self { model, net, solution, fed, floats: Vec::new() };
        state.mark();
        state
    }

    /// The same supplies with another solution of a netlist of the same nodes.
    #[must_use]
    pub fn with(&self, net: Netlist, solution: Solution) -> Self {
        Self::new(self.model, net, solution, self.fed.clone())
    }

    fn mark(&mut self) {
        self.floats = vec![false; self.net.node_count()];
        for (floats, unknown) in self.floats.iter_mut().zip(&self.model.unknown) {
            *floats |= unknown;
        }
        for node in &self.solution.floating {
            self.floats[node.index()] = true;
        }
        if self.model.lacks_supply {
            let volts = self.solution.all_volts().iter().skip(1);
            for (floats, volts) in self.floats.iter_mut().skip(1).zip(volts) {
                *floats |= volts.abs() < NOTHING_VOLTS;
            }
        }
    }

    /// Volts of a node of the wiring against the reference; `None` where
    /// nothing ties it to the reference, or where it is not known.
    pub fn volts(&self, node: NodeIndex) -> Option<f64> {
        let id = self.model.node(node);
        (!self.floats[id.index()]).then(|| self.solution.volts(id))
    }
}

/// A set ready to be computed in any state.
#[derive(Debug, Clone)]
pub struct Set<'a> {
    sheet: &'a Sheet,
    /// Its nodes.
    pub wiring: &'a Wiring,
    /// Its netlist with every tube warm and every regulator dark.
    pub running: Model,
    /// Its supplies that can be solved.
    pub feeds: Vec<Feed>,
    /// Those that cannot.
    pub unsolved: Vec<Unsolved>,
    /// Plates and screens that nothing feeds.
    pub unfed: Vec<Unfed>,
    /// Tubes of which no current leaves the cathode, by their index in
    /// [`Model::devices`].
    pub open_cathodes: Vec<usize>,
    /// The source that stands for the output of each supply.
    pub sources: Vec<Option<ElementId>>,
    held: Vec<Option<Held>>,
    regulators: Vec<(usize, RegulatorTube)>,
    has_battery: bool,
}

impl<'a> Set<'a> {
    /// Prepares a sheet.
    pub fn of(sheet: &'a Sheet, wiring: &'a Wiring) -> Self {
        let mut running = Model::of(sheet, wiring, View::Running);
        let Supplies { feeds, mut unsolved } = feed::find(sheet, wiring, &mut running);
        let mut tied = Tied::of(&running);
        let mut sources: Vec<Option<ElementId>> = Vec::with_capacity(feeds.len());
        for feed in &feeds {
            let source = match tied.join(&running, feed) {
                Ok(()) => source(&mut running, feed),
                Err(missing) => {
                    unsolved.push(feed::unsolved_feed(&running, feed, missing));
                    None
                }
            };
            sources.push(source);
        }
        let held = feeds.iter().map(|feed| Held::add(&mut running, feed)).collect();
        let regulators = add_regulators(&mut running, sheet);
        let has_battery = sheet
            .parts
            .iter()
            .any(|p| p.kind == crate::sheet::part::PartKind::Battery && p.rating.is_some());
        let mut set = Self {
            sheet,
            wiring,
            running,
            feeds,
            unsolved,
            unfed: Vec::new(),
            open_cathodes: Vec::new(),
            sources,
            held,
            regulators,
            has_battery,
        };
        set.mark_unknown();
        set
    }

    /// Everything taken for want of a figure.
    pub fn assumed(&self) -> Vec<Assumption> {
        let mut all = self.running.assumed.clone();
        let line = self.sheet.header.supply_line.unwrap_or(1);
        all.extend(
            self.feeds
                .iter()
                .flat_map(|f| &f.assumed)
                .map(|text| Assumption { line, text: text.clone() }),
        );
        let mut told = FxHashSet::default();
        all.retain(|a| told.insert((a.line, a.text.clone())));
        all
    }

    /// The state at a line voltage, `line` times the nominal one.
    ///
    /// # Errors
    /// [`StateError`], naming the node or element concerned.
    pub fn state(&self, tubes: Tubes, line: f64) -> Result<State<'_>, StateError> {
        let mut solver = Solver::new(&self.running.net)?;
        self.state_near(&mut solver, tubes, line, None)
    }

    /// The same with a solver that is kept, from a like state and its line.
    ///
    /// # Errors
    /// As [`Set::state`].
    pub fn state_near(
        &self,
        solver: &mut Solver,
        tubes: Tubes,
        line: f64,
        near: Option<(&State, f64)>,
    ) -> Result<State<'_>, StateError> {
        if !self.tells_anything() {
            let none = self.unsolved.is_empty();
            return Err(if none { StateError::NoSupply } else { StateError::Unsolved });
        }
        let mut net = self.running.net.clone();
        for device in &self.running.devices {
            let off = match tubes {
                Tubes::Warm => false,
                Tubes::Cold => device.kind != UnitKind::Rectifier,
                Tubes::Without(part) => device.part == part,
            };
            if let (true, Some(element)) = (off, device.element) {
                let _ = net.set_law(element, Law::Off);
            }
        }
        let mut live: Vec<(usize, ElementId)> = Vec::new();
        for (index, source) in self.sources.iter().enumerate() {
            let Some(source) = *source else { continue };
            let feed = &self.feeds[index];
            let pulled =
                |part: usize| feed.devices.iter().all(|d| self.running.devices[*d].part == part);
            if matches!(tubes, Tubes::Without(part) if pulled(part)) {
                net.open(source);
                if let Some(held) = self.held[index] {
                    held.open(&mut net);
                }
                continue;
            }
            let _ = net.set_source(source, feed.supply.no_load_volts() * line * 0.85);
            live.push((index, source));
        }
        // What is weak sways the others more than they sway it: a bias comes
        // before the supply that the tubes load by it.
        live.sort_by(|(a, _), (b, _)| {
            let ohms = |feed: usize| self.feeds[feed].supply.source_ohms;
            ohms(*b).total_cmp(&ohms(*a))
        });
        self.solve(solver, net, &live, tubes, line, near)
    }

    fn solve(
        &self,
        solver: &mut Solver,
        mut net: Netlist,
        sources: &[(usize, ElementId)],
        tubes: Tubes,
        line: f64,
        near: Option<(&State, f64)>,
    ) -> Result<State<'_>, StateError> {
        let options = Options::default();
        // Regulators are lit or dark by a first look at the voltages, then the
        // supplies are brought into agreement with them as they are.
        let regulators: Vec<RegulatorTube> = self
            .regulators
            .iter()
            .filter(|(part, _)| tubes != Tubes::Without(*part))
            .map(|(_, tube)| *tube)
            .collect();
        let mut solution = None;
        if !regulators.is_empty() {
            solution = Some(settle(&mut net, &regulators, &options)?.0);
        }
        let mut fed: Vec<FedState> = Vec::new();
        let rounds = if sources.len() > 1 { ROUNDS } else { 1 };
        let mut settled = rounds == 1;
        for round in 0..rounds {
            let before = std::mem::take(&mut fed);
            for (index, element) in sources {
                let from = if round > 0 { before.iter() } else { [].iter() };
                let of_near = near.iter().flat_map(|(state, _)| &state.fed);
                let last = from.chain(of_near).find(|fed| fed.feed == *index);
                let scale = if round > 0 { 1.0 } else { near.map_or(1.0, |(_, l)| line / l) };
                let start = solution.as_ref().or(near.map(|(state, _)| &state.solution));
                let near = last.and_then(|fed| {
                    let state = fed.steady?.state.map(|volts| volts * scale);
                    let volts = fed.volts * scale;
                    Some(Near { volts, state, solution: start?, slope: fed.slope })
                });
                let (next, state) =
                    self.agree(solver, &mut net, (*index, *element), tubes, line, near)?;
                solution = Some(next);
                fed.push(state);
            }
            settled |= round >= 1 && agree_with(&fed, &before);
            if settled {
                break;
            }
        }
        if !settled && !sources.is_empty() {
            return Err(StateError::Unsettled);
        }
        fed.sort_by_key(|fed| fed.feed);
        let solution = match solution {
            Some(solution) if !sources.is_empty() => solution,
            _ => solver.solve(&net, &options, None)?,
        };
        Ok(State::new(&self.running, net, solution, fed))
    }

    /// Brings one supply into agreement with what it feeds. A cold string puts
    /// the whole line on its rectifier.
    fn agree(
        &self,
        solver: &mut Solver,
        net: &mut Netlist,
        (index, element): (usize, ElementId),
        tubes: Tubes,
        line: f64,
        near: Option<Near>,
    ) -> Result<(Solution, FedState), StateError> {
        let options = Options::default();
        let feed = &self.feeds[index];
        let mut supply = feed.supply;
        let rms = if tubes == Tubes::Cold { feed.open_rms } else { feed.source_rms };
        supply.peak_volts = rms * std::f64::consts::SQRT_2 * line;
        if let Some(choke) = &feed.choke {
            return Ok(choke::agree(solver, net, (index, element), (&supply, choke), near)?);
        }
        let Agreed { solution, steady, slope } = if feed.return_ohms > 0.0 {
            returned::agree(solver, net, element, (&supply, feed.return_ohms), near)?
        } else {
            couple_near(solver, net, element, &supply, None, &options, near)?
        };
        let amps = solution.amps(net, element);
        let (volts, steady) = (steady.volts, Some(steady));
        let fed = FedState { feed: index, volts, amps, steady, duties: None, choke: None, slope };
        if supply.topology.is_doubler() {
            return self.hold(solver, net, &supply, (solution, fed));
        }
        Ok((solution, fed))
    }
}

/// Volts below which a node counts as one without any, where a supply of the
/// set is not solved. Source: own choice.
const NOTHING_VOLTS: f64 = 0.1;
/// The most rounds in which several supplies come to agree.
const ROUNDS: usize = 12;
/// Parts of one by which a supply may still move in the last round.
const SETTLED: f64 = 5e-4;

/// Whether every supply has the volts that it had before.
fn agree_with(now: &[FedState], before: &[FedState]) -> bool {
    let moved =
        |(a, b): (&FedState, &FedState)| (a.volts - b.volts).abs() > SETTLED * a.volts.abs();
    !now.iter().zip(before).any(moved)
}

/// Adds the source that stands for a supply's output.
fn source(model: &mut Model, feed: &Feed) -> Option<ElementId> {
    let (plus, minus) = (model.node(feed.output), model.node(feed.back));
    if plus == minus {
        return None;
    }
    model.net.source("supply", plus, minus, feed.supply.no_load_volts()).ok()
}

/// Adds the regulator tubes, dark; each with its part's index.
fn add_regulators(model: &mut Model, sheet: &Sheet) -> Vec<(usize, RegulatorTube)> {
    let mut all = Vec::new();
    for index in 0..model.devices.len() {
        let device = &model.devices[index];
        if device.kind != UnitKind::Regulator || device.plate == device.cathode {
            continue;
        }
        let number = device.part;
        let part = &sheet.parts[number];
        let Some(figures) = part
            .tube
            .as_deref()
            .and_then(crate::trade::tubes::find)
            .and_then(|found| found.tube.regulator)
        else {
            continue;
        };
        let at = Terminals::diode(model.node(device.plate), model.node(device.cathode));
        if at.plate == at.cathode {
            continue;
        }
        let Ok(element) = model.net.device(&part.key, at, Law::Off) else { continue };
        model.devices[index].element = Some(element);
        model.parts[number].push(element);
        let tube = RegulatorTube {
            element,
            volts: figures.volts,
            start_volts: figures.start_volts,
            ohms: figures.ohms,
            amps: (figures.min_ma * 1e-3, figures.max_ma * 1e-3),
        };
        all.push((number, tube));
    }
    all
}
