//! Which fault explains what was read.

use super::Stage;
use crate::circuit::limiter::Point;

/// What was read at a stage, volts.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Entered {
    /// The line ahead of the lamp.
    pub line_v: Option<f64>,
    /// The line at the set.
    pub set_v: Option<f64>,
    /// B+ at the first filter.
    pub b_plus: Option<f64>,
}

/// How like the readings a case is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Likeness {
    /// The fault by its index; `None` for the healthy set.
    pub fault: Option<usize>,
    /// How far its figures lie from those read, in parts of the line and of
    /// B+; 0 is alike.
    pub away: f64,
}

/// The healthy set and every fault, the most alike first; empty where neither
/// volts of the set nor B+ were read.
pub fn rank(stage: &Stage, entered: Entered) -> Vec<Likeness> {
    if entered.set_v.is_none() && entered.b_plus.is_none() {
        return Vec::new();
    }
    // Where the line is not as told, what hangs on it follows in proportion.
    let scale = entered.line_v.filter(|v| *v > 1.0).map_or(1.0, |v| v / stage.line_v);
    let highest = stage.healthy.b_plus.max(stage.bare.b_plus).max(10.0) * scale;
    let away = |point: &Point| {
        let set = entered.set_v.map_or(0.0, |v| (v - point.set_v * scale) / (stage.line_v * scale));
        let b_plus = entered.b_plus.map_or(0.0, |v| (v - point.b_plus * scale) / highest);
        set.hypot(b_plus)
    };
    let healthy = Likeness { fault: None, away: away(&stage.healthy) };
    let faulty = stage
        .faulty
        .iter()
        .enumerate()
        .map(|(at, point)| Likeness { fault: Some(at), away: away(point) });
    let mut all: Vec<Likeness> = std::iter::once(healthy).chain(faulty).collect();
    crate::order::sort(&mut all, |like| crate::order::rising(like.away));
    all
}
