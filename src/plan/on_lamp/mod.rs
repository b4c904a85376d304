//! The power-up of a set on its series lamp: which lamp, what to see at each
//! stage, and how a fault looks.
//!
//! It stands beside the plan, for it takes longer than a keystroke may: the
//! screens of the power-up and the record ask for it, the others do not.
//!
//! ```
//! use firstglow::plan::{on_lamp::Study, plan};
//! use firstglow::sheet::{Sheet, examples::EXAMPLES};
//! let sheet = Sheet::read(EXAMPLES[0].text);
//! let plan = plan(&sheet);
//! let study = Study::of(&sheet, &plan.power_up, 0)?;
//! assert_eq!(study.stages.len(), 6);
//! let steps = study.join(&plan.power_up);
//! assert_eq!(steps.len(), plan.power_up.len());
//! # Ok::<(), firstglow::circuit::limiter::NoLoad>(())
//! ```
//!
//! Limits: those of [`crate::circuit::limiter`]; bands around its figures are
//! practice.

mod join;
mod rank;
#[cfg(test)]
mod tests;
mod words;

pub use rank::{Entered, Likeness, rank};
pub use words::{fault_look, fault_title, lamp_name};

use super::text::{figure, input, volts, working};
use super::types::{Basis, Phase, PowerStep, Working};
use crate::circuit::lamp::Lamp;
use crate::circuit::limiter::{
    Choice, Fault, Heat, LampRow, NoLoad, Point, SetLoad, WarmUp, choose, faults, rows, warm_up,
};
use crate::circuit::state::{Set, StateError};
use crate::circuit::wiring::Wiring;
use crate::sheet::Sheet;
use crate::trade::heater;
use crate::trade::lamp::{GLOW_SOURCE, LAW_SOURCE, Lamps};
use crate::trade::source::Source;

/// A stage of line voltage.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// The id of its step.
    pub step: String,
    /// Volts of the line ahead of the lamp.
    pub line_v: f64,
    /// The lamp in use.
    pub lamps: Lamps,
    /// The healthy set behind it.
    pub healthy: Point,
    /// The healthy set without a lamp.
    pub bare: Point,
    /// The set with each fault, behind the lamp.
    pub faulty: Vec<Point>,
}

/// The set on its lamps.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// The set as a load.
    pub load: SetLoad,
    /// Its likely faults.
    pub faults: Vec<Fault>,
    /// Every lamp that is sold, at the nominal line.
    pub rows: Vec<LampRow>,
    /// The lamps chosen among them.
    pub choice: Choice,
    /// The lamp that tells best, whatever the user has at hand.
    pub best: usize,
    /// The stages, the last at the nominal line.
    pub stages: Vec<Stage>,
    /// From cold behind the first lamp at the nominal line.
    pub warm: WarmUp,
    /// The same without a lamp.
    pub inrush: Point,
}

const CIRCUIT: Source = Source::arithmetic(
    "lamp, heaters, transformer and B+ of this sheet brought into agreement on their mean squares",
);

/// Rated volts of lamps for a line.
fn rated_volts(mains_v: f64) -> f64 {
    if mains_v < 150.0 { 120.0 } else { 230.0 }
}

impl Study {
    /// The study of a sheet whose steps are `steps`; `watts` is the lamp that
    /// the user has at hand, 0 for the one that tells best.
    ///
    /// # Errors
    /// [`NoLoad`]: why there is none.
    pub fn of(sheet: &Sheet, steps: &[PowerStep], watts: u16) -> Result<Self, NoLoad> {
        let wiring = Wiring::of(sheet);
        let set = Set::of(sheet, &wiring);
        let load = SetLoad::of(sheet, &set)?;
        let faults = faults(sheet, &set, &load);
        let rows = rows(&load, &faults, rated_volts(load.mains_v));
        let mut choice = choose(&rows).ok_or(NoLoad::State(StateError::NoSupply))?;
        let best = choice.first;
        let own = |row: &LampRow| row.lamps.count == 1 && row.lamps.watts == watts;
        if let Some(at) = rows.iter().position(own) {
            choice = Choice { first: at, second: choice.second.max(at) };
        }
        let first = rows[choice.first].lamps;
        let stages = stages(&load, &faults, first, steps);
        let warm = warm_up(&load, lamp(first).as_ref(), load.mains_v);
        let inrush = load.point(None, load.mains_v, Heat::At(0.0), None);
        Ok(Self { load, faults, rows, choice, best, stages, warm, inrush })
    }

    /// The first lamp.
    pub fn first(&self) -> &LampRow {
        &self.rows[self.choice.first]
    }

    /// The lamp for the last stages.
    pub fn second(&self) -> &LampRow {
        &self.rows[self.choice.second]
    }

    /// The fault that lights a lamp most, by its index.
    pub fn worst(&self, row: &LampRow) -> Option<usize> {
        (0..row.faulty.len()).reduce(|best, next| {
            if row.faulty[next].lamp_v > row.faulty[best].lamp_v { next } else { best }
        })
    }

    /// The stage of a step.
    pub fn stage(&self, step: &str) -> Option<&Stage> {
        self.stages.iter().find(|stage| stage.step == step)
    }

    /// How the lamp was chosen, and what its figures rest on.
    pub fn working(&self) -> Vec<Working> {
        vec![self.choice_working(), self.law_working(), self.heater_working()]
    }

    fn choice_working(&self) -> Working {
        let row = &self.rows[self.best];
        let mut inputs = vec![input(
            format!("healthy set behind {}", lamp_name(row.lamps)),
            format!("{} across the lamp", volts(row.healthy.lamp_v)),
            Basis::Computed,
        )];
        if let Some(worst) = self.worst(row) {
            inputs.push(input(
                fault_title(&self.faults[worst]),
                format!("{} across the lamp", volts(row.faulty[worst].lamp_v)),
                Basis::Computed,
            ));
        }
        let rule = "of the lamps that are sold, the one on which the volts across the lamp differ \
                    most, by its rated volts, between the healthy set and the fault that lights it \
                    most, at the full line; of equals the smaller. For the last stages the next \
                    that leaves a healthy set 85 % of the line";
        let result = format!(
            "{}, {} % apart; then {}",
            lamp_name(row.lamps),
            figure(row.apart * 100.0),
            lamp_name(self.second().lamps)
        );
        working("lamp", inputs, rule, result, CIRCUIT)
    }

    fn law_working(&self) -> Working {
        let row = self.first();
        let inputs = vec![
            input("lamp", lamp_name(row.lamps), Basis::Computed),
            input("cold to hot", "1 to 13", Basis::Computed),
            input("rated filament", "2700 K", Basis::Computed),
        ];
        let rule = "lamp current follows V^0.55 down to the cold filament; its heat from its \
                    resistance, R ~ T^1.2: dark below 798 K, orange from 1373 K, bright from \
                    2080 K";
        let result = format!("{}: {}", volts(row.healthy.lamp_v), row.healthy.glow.words());
        let mut made = working("glow", inputs, rule, result, LAW_SOURCE);
        made.inputs.push(input("names of the glow", GLOW_SOURCE.text, Basis::Assumed));
        made
    }

    fn heater_working(&self) -> Working {
        let load = &self.load;
        let mut inputs = vec![
            input("heaters", format!("{} W", figure(load.heaters.watts)), Basis::Computed),
            input("cold heater", "a sixth of the warm resistance", Basis::Assumed),
            input("warming", format!("{} s", figure(heater::WARM_SECONDS)), Basis::Assumed),
            input(
                "emission",
                "none at half the heater's volts, all at three quarters",
                Basis::Assumed,
            ),
        ];
        for assumed in &load.assumed {
            inputs.push(input("taken", assumed.clone(), Basis::Assumed));
        }
        let rule = "heater current follows V^0.55; warming by a first-order lag of its power";
        let result = format!(
            "{} A from the line at once without lamp, {} A settled",
            figure(self.inrush.amps),
            figure(load.point(None, load.mains_v, Heat::Settled, None).amps)
        );
        working("heaters", inputs, rule, result, heater::WARM_SOURCE)
    }
}

/// The lamp's law.
pub fn lamp(lamps: Lamps) -> Option<Lamp> {
    Lamp::new(lamps.rated_v, lamps.total_w())
}

/// The stages of the steps, and the nominal line.
fn stages(load: &SetLoad, faults: &[Fault], lamps: Lamps, steps: &[PowerStep]) -> Vec<Stage> {
    let law = lamp(lamps);
    let at = |step: &PowerStep| {
        let staged = step.phase == Phase::Stages && step.id.starts_with("stage-");
        let line_v = step.line_v.filter(|_| staged || step.id == "full-line")?;
        let point = |lamp: Option<&Lamp>, fault| load.point(lamp, line_v, Heat::Settled, fault);
        Some(Stage {
            step: step.id.clone(),
            line_v,
            lamps,
            healthy: point(law.as_ref(), None),
            bare: point(None, None),
            faulty: faults.iter().map(|fault| point(law.as_ref(), Some(fault))).collect(),
        })
    };
    steps.iter().filter_map(at).collect()
}
