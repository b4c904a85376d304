//! The states of a set: running at a line voltage, cold, and with a tube out.
//!
//! Limits: the supplies are solved one after the other, so a set with several
//! is exact only where they do not load each other.

use super::feed::{self, Feed};
use super::law::Law;
use super::model::{Assumption, Model, View};
use super::netlist::{ElementId, Terminals};
use super::solver::{Options, RegulatorTube, Solution, SolveError, Solver, settle};
use super::supply::{ChokeInput, CoupledError, Section, Steady, couple};
use super::wiring::{NodeIndex, Wiring};
use crate::sheet::Sheet;
use crate::trade::tubes::UnitKind;
use thiserror::Error;

/// Why a state could not be computed.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StateError {
    /// Nothing says where the set's current comes from.
    #[error(
        "no supply was found: name line and neutral, or a transformer's secondary with its volts, and a rectifier"
    )]
    NoSupply,
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
    /// The steady state, of a capacitor input.
    pub steady: Option<Steady>,
}

/// A state of the set.
#[derive(Debug, Clone)]
pub struct State {
    /// The model with its laws as they are in this state.
    pub model: Model,
    /// The volts of all nodes.
    pub solution: Solution,
    /// Its supplies.
    pub fed: Vec<FedState>,
}

impl State {
    /// Volts of a node of the wiring against the reference; `None` where
    /// nothing ties it to the reference.
    pub fn volts(&self, node: NodeIndex) -> Option<f64> {
        let id = self.model.node(node);
        (!self.solution.floating.contains(&id)).then(|| self.solution.volts(id))
    }
}

/// A set ready to be computed in any state.
#[derive(Debug, Clone)]
pub struct Set<'a> {
    sheet: &'a Sheet,
    /// Its nodes.
    pub wiring: &'a Wiring,
    /// Its netlist with every tube warm.
    pub running: Model,
    /// Its supplies.
    pub feeds: Vec<Feed>,
}

impl<'a> Set<'a> {
    /// Prepares a sheet.
    pub fn of(sheet: &'a Sheet, wiring: &'a Wiring) -> Self {
        let running = Model::of(sheet, wiring, View::Running);
        let feeds = feed::find(sheet, wiring, &running);
        Self { sheet, wiring, running, feeds }
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
        all
    }

    /// The state at a line voltage, `line` times the nominal one.
    ///
    /// # Errors
    /// [`StateError`], naming the node or element concerned.
    pub fn state(&self, tubes: Tubes, line: f64) -> Result<State, StateError> {
        let mut model = self.running.clone();
        let has_battery = self
            .sheet
            .parts
            .iter()
            .any(|p| p.kind == crate::sheet::part::PartKind::Battery && p.rating.is_some());
        if self.feeds.is_empty() && !has_battery {
            return Err(StateError::NoSupply);
        }
        for device in &model.devices {
            let off = match tubes {
                Tubes::Warm => false,
                Tubes::Cold => device.kind != UnitKind::Rectifier,
                Tubes::Without(part) => device.part == part,
            };
            if let (true, Some(element)) = (off, device.element) {
                let _ = model.net.set_law(element, Law::Off);
            }
        }
        let regulators = add_regulators(&mut model, self.sheet, tubes);
        let live: Vec<usize> = (0..self.feeds.len())
            .filter(|f| match tubes {
                Tubes::Without(part) => {
                    !self.feeds[*f].devices.iter().all(|d| model.devices[*d].part == part)
                }
                _ => true,
            })
            .collect();
        let sources: Vec<(usize, ElementId)> =
            live.iter().filter_map(|f| Some((*f, self.source(&mut model, *f, line)?))).collect();
        self.solve(model, &sources, &regulators, tubes, line)
    }

    /// The source that stands for a supply's output.
    fn source(&self, model: &mut Model, feed: usize, line: f64) -> Option<ElementId> {
        let feed = &self.feeds[feed];
        let (plus, minus) = (model.node(feed.output), model.node(feed.back));
        if plus == minus {
            return None;
        }
        let volts = feed.supply.no_load_volts() * line * 0.85;
        model.net.source("supply", plus, minus, volts).ok()
    }

    fn solve(
        &self,
        mut model: Model,
        sources: &[(usize, ElementId)],
        regulators: &[RegulatorTube],
        tubes: Tubes,
        line: f64,
    ) -> Result<State, StateError> {
        let options = Options::default();
        let mut fed: Vec<FedState> = Vec::new();
        // Regulators are lit or dark by a first look at the voltages, then the
        // supplies are brought into agreement with them as they are.
        let (mut solution, _) = settle(&mut model.net, regulators, &options)?;
        let rounds = if sources.len() > 1 { 3 } else { 1 };
        for _ in 0..rounds {
            fed.clear();
            for (index, element) in sources {
                let (next, state) = self.agree(&mut model, (*index, *element), tubes, line)?;
                solution = next;
                fed.push(state);
            }
        }
        if sources.is_empty() {
            solution = Solver::new(&model.net)?.solve(&model.net, &options, None)?;
        }
        Ok(State { model, solution, fed })
    }

    /// Brings one supply into agreement with what it feeds. A cold string puts
    /// the whole line on its rectifier.
    fn agree(
        &self,
        model: &mut Model,
        (index, element): (usize, ElementId),
        tubes: Tubes,
        line: f64,
    ) -> Result<(Solution, FedState), StateError> {
        let options = Options::default();
        let feed = &self.feeds[index];
        let mut supply = feed.supply;
        let rms = if tubes == Tubes::Cold { feed.open_rms } else { feed.source_rms };
        supply.peak_volts = rms * std::f64::consts::SQRT_2 * line;
        if let Some(choke) = feed.choke {
            return self.choke_input(model, index, element, choke, &supply, &options);
        }
        let (solution, steady) = couple(&mut model.net, element, &supply, None, &options)?;
        let amps = solution.amps(&model.net, element);
        let fed = FedState { feed: index, volts: steady.volts, amps, steady: Some(steady) };
        Ok((solution, fed))
    }

    /// A choke input: its mean voltage ahead of the choke, corrected a few
    /// times for the current taken.
    fn choke_input(
        &self,
        model: &mut Model,
        index: usize,
        element: ElementId,
        choke: usize,
        supply: &super::supply::Supply,
        options: &Options,
    ) -> Result<(Solution, FedState), StateError> {
        let henries = self.sheet.parts[choke].inductance.map_or(10.0, |l| l.to_f64());
        let input = ChokeInput {
            peak_volts: supply.peak_volts,
            hertz: supply.hertz,
            source_ohms: supply.source_ohms,
            law: supply.law,
            in_series: supply.topology.in_series(),
            // The choke's own ohms stand in the netlist.
            section: Section { ohms: 0.0, henries, farads: 10e-6 },
        };
        let mut solver = Solver::new(&model.net)?;
        let mut solution = solver.solve(&model.net, options, None)?;
        let mut volts = supply.no_load_volts();
        for _ in 0..8 {
            let amps = solution.amps(&model.net, element).max(0.0);
            let steady = input.steady(amps.max(1e-6));
            volts = if steady.continuous { steady.volts } else { steady.most_volts };
            let _ = model.net.set_source(element, volts);
            solution = solver.solve(&model.net, options, Some(&solution))?;
        }
        let amps = solution.amps(&model.net, element);
        Ok((solution, FedState { feed: index, volts, amps, steady: None }))
    }
}

/// Adds the regulator tubes, dark.
fn add_regulators(model: &mut Model, sheet: &Sheet, tubes: Tubes) -> Vec<RegulatorTube> {
    let mut all = Vec::new();
    for index in 0..model.devices.len() {
        let device = model.devices[index].clone();
        let out = tubes == Tubes::Without(device.part);
        if device.kind != UnitKind::Regulator || device.plate == device.cathode || out {
            continue;
        }
        let part = &sheet.parts[device.part];
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
        model.parts[device.part].push(element);
        all.push(RegulatorTube {
            element,
            volts: figures.volts,
            start_volts: figures.start_volts,
            ohms: figures.ohms,
            amps: (figures.min_ma * 1e-3, figures.max_ma * 1e-3),
        });
    }
    all
}
