//! The steps of the plan with what the lamp lets expect.

use super::{Stage, Study, fault_title, lamp_name};
use crate::circuit::limiter::Rectifies;
use crate::plan::text::{figure, input, working};
use crate::plan::types::{Basis, PowerStep, Reading, StopKind, Working};
use crate::trade::heater::{EMISSION, EMISSION_SOURCE};
use crate::trade::lamp::Glow;
use std::fmt::Write;

/// Parts of one by which volts at the set may differ while all is well.
/// Common practice, no source: lamps and lines differ by as much.
const SET_BAND: f64 = 0.1;
/// The same of B+, downwards. Common practice, no source.
const B_PLUS_SHORT: f64 = 0.2;
/// The same of the current from the line. Common practice, no source.
const CURRENT_BAND: f64 = 0.25;

impl Study {
    /// The steps, those of the lamp and of the stages told by this study; the
    /// others as they are. Ids and order stay.
    pub fn join(&self, steps: &[PowerStep]) -> Vec<PowerStep> {
        steps.iter().map(|step| self.joined(step.clone())).collect()
    }

    fn joined(&self, mut step: PowerStep) -> PowerStep {
        match step.id.as_str() {
            "series-lamp" => self.lamp_step(&mut step),
            "transformer-alone" => self.alone(&mut step),
            "full-line" => self.full_line(&mut step),
            _ => {
                if let Some(stage) = self.stage(&step.id) {
                    self.staged(&mut step, stage);
                }
            }
        }
        step
    }

    fn lamp_step(&self, step: &mut PowerStep) {
        let (first, second) = (self.first(), self.second());
        step.action = format!(
            "Put a lamp of {} in series with the line{}. Tungsten or halogen only. A lamp limits \
             the current; it does not isolate.",
            lamp_name(first.lamps),
            if self.choice.first == self.choice.second {
                String::new()
            } else {
                format!("; for the full line have {} at hand", lamp_name(second.lamps))
            }
        );
        let flash = &self.warm.first;
        step.expect = Some(format!(
            "At each switching on it is brighter while heaters are cold: at the full line {} \
             ({} across it), then within {} s {} ({}). Without lamp the cold heaters would take \
             {} A for a moment.",
            flash.glow.words(),
            volts(flash.lamp_v),
            figure(self.warm.seconds.ceil()),
            self.warm.settled.glow.words(),
            volts(self.warm.settled.lamp_v),
            figure(self.inrush.amps)
        ));
        step.stop_if = Some(
            "the lamp stays as bright as at first after a minute, or brightens again by itself"
                .to_owned(),
        );
        step.working = self.working();
    }

    fn alone(&self, step: &mut PowerStep) {
        let core = self.load.core;
        let most = core.amps.hypot(core.watts / self.load.mains_v) * 2.0;
        step.expect = Some(format!(
            "Lamp dark, or a dull red at most; heater windings a little high; no warmth. Below \
             {} A from the line.",
            figure(most)
        ));
    }

    /// A stage behind the first lamp.
    fn staged(&self, step: &mut PowerStep, stage: &Stage) {
        let healthy = &stage.healthy;
        let percent = figure((100.0 * stage.line_v / self.load.mains_v).round());
        step.title = format!("{percent} % of the line, lamp in series");
        step.action = format!(
            "Lamp of {} in series. Raise the line ahead of it to {}, {percent} % of the \
             nameplate, and hold.",
            lamp_name(stage.lamps),
            volts(stage.line_v)
        );
        let mut expect = format!(
            "Lamp {} ({}), {} at the set, heaters at {} of {}.",
            healthy.glow.words(),
            volts(healthy.lamp_v),
            volts(healthy.set_v),
            figure(healthy.heaters * self.load.heaters.volts),
            volts(self.load.heaters.volts)
        );
        if healthy.b_plus < 1.0 {
            expect.push_str(" No B+: the rectifier is too cold to conduct.");
        } else if self.emits(stage) {
            let _ = write!(expect, " B+ comes to about {}.", volts(healthy.b_plus));
        } else {
            let _ = write!(
                expect,
                " B+ may be anywhere up to {}: cathodes are half warm.",
                volts(self.no_load(healthy.set_v))
            );
        }
        step.expect = Some(expect);
        step.stop_if = Some(format!(
            "{}B+ falls or passes its figure, a plate turns red, anything smokes, smells, hisses, \
             or a can gets warm",
            Self::glow_to_stop(stage)
        ));
        let set = (healthy.set_v * (1.0 - SET_BAND), healthy.set_v * (1.0 + SET_BAND));
        let set_most = set.1.min(stage.line_v);
        let least = self.emits(stage).then_some(healthy.b_plus * (1.0 - B_PLUS_SHORT));
        let most = self.no_load(healthy.set_v * (1.0 + SET_BAND));
        step.readings = vec![
            band(
                "line",
                "Line ahead of the lamp",
                "V",
                Some(stage.line_v * 0.95),
                Some(stage.line_v * 1.05),
            ),
            band("set", "Line at the set", "V", Some(set.0), Some(set_most)),
            band("b-plus", "B+ at the first filter", "V", least, (most > 0.0).then_some(most)),
        ];
        step.working.retain(|working| working.of == "hold");
        step.working.push(self.stage_working(stage));
    }

    /// The full line: behind the second lamp, then without.
    fn full_line(&self, step: &mut PowerStep) {
        let Some(stage) = self.stage(&step.id) else { return };
        let (second, bare) = (self.second(), &stage.bare);
        let told = format!(
            "Behind {}: lamp {} ({}), {} at the set, B+ about {}. Without lamp: {} A from the \
             line, {} A for a moment if it is switched on cold.",
            lamp_name(second.lamps),
            second.healthy.glow.words(),
            volts(second.healthy.lamp_v),
            volts(second.healthy.set_v),
            volts(second.healthy.b_plus),
            figure(bare.amps),
            figure(self.inrush.amps)
        );
        step.expect = Some(match step.expect.take() {
            Some(expect) => format!("{told} {expect}"),
            None => told,
        });
        step.readings.push(band(
            "current",
            "Current from the line, no lamp",
            "A",
            Some(bare.amps * (1.0 - CURRENT_BAND)),
            Some(bare.amps * (1.0 + CURRENT_BAND)),
        ));
        step.working.push(self.stage_working(stage));
    }

    /// Whether rectifier and tubes are warm enough for B+ to be as computed.
    fn emits(&self, stage: &Stage) -> bool {
        let dry = self.load.fed.is_some_and(|fed| fed.rectifies == Rectifies::Dry);
        stage.healthy.b_plus > 1.0 && (dry || stage.healthy.heaters >= EMISSION.1)
    }

    /// B+ without load at volts of the set.
    fn no_load(&self, set_v: f64) -> f64 {
        self.load.fed.map_or(0.0, |fed| fed.supply.no_load_volts() * set_v / self.load.mains_v)
    }

    /// From which glow on to stop, where a hard fault shows another one than
    /// the healthy set.
    fn glow_to_stop(stage: &Stage) -> String {
        let worst = stage.faulty.iter().map(|point| point.glow).max().unwrap_or(Glow::Dark);
        let next = match stage.healthy.glow {
            Glow::Dark => Glow::DullRed,
            Glow::DullRed => Glow::Orange,
            _ => Glow::Bright,
        };
        if worst < next {
            return "the lamp brightens again by itself, ".to_owned();
        }
        format!("the lamp stays {} after a minute, ", next.words())
    }

    fn stage_working(&self, stage: &Stage) -> Working {
        let healthy = &stage.healthy;
        let mut inputs = vec![
            input("line ahead of the lamp", volts(stage.line_v), Basis::Computed),
            input("lamp", lamp_name(stage.lamps), Basis::Computed),
            input(
                "without lamp",
                format!("{} A, B+ {}", figure(stage.bare.amps), volts(stage.bare.b_plus)),
                Basis::Computed,
            ),
        ];
        for (fault, point) in self.faults.iter().zip(&stage.faulty) {
            inputs.push(input(
                fault_title(fault),
                format!(
                    "lamp {} ({}), B+ {}",
                    point.glow.words(),
                    volts(point.lamp_v),
                    volts(point.b_plus)
                ),
                Basis::Computed,
            ));
        }
        let rule = "lamp, heaters, transformer and B+ agree on their mean squares; within 10 % at \
                    the set and 20 % of B+ all is well; cathodes give nothing at half their \
                    heater's volts and all at three quarters";
        let result = format!(
            "lamp {}, set {}, B+ {}, {} A",
            volts(healthy.lamp_v),
            volts(healthy.set_v),
            volts(healthy.b_plus),
            figure(healthy.amps)
        );
        working("stage", inputs, rule, result, EMISSION_SOURCE)
    }
}

/// Volts as a meter shows them here: tenths below ten, whole above.
fn volts(value: f64) -> String {
    let rounded = if value < 10.0 { (value * 10.0).round() / 10.0 } else { value.round() };
    format!("{} V", figure(rounded))
}

fn band(id: &str, what: &str, unit: &str, least: Option<f64>, most: Option<f64>) -> Reading {
    Reading {
        id: id.to_owned(),
        what: what.to_owned(),
        unit: unit.to_owned(),
        least: least.map(figure),
        most: most.map(figure),
        stop: StopKind::default(),
        needed: least.is_some() || most.is_some(),
        cure_below: None,
    }
}
