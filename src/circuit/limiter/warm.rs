//! The first minutes: heaters warm, the lamp dims.

use super::load::SetLoad;
use super::point::{Heat, Point};
use crate::circuit::lamp::Lamp;
use crate::trade::heater::WARM_SECONDS;

/// A set switched on cold behind a lamp.
#[derive(Debug, Clone, PartialEq)]
pub struct WarmUp {
    /// At once, when the lamp's filament has warmed and no heater has.
    pub first: Point,
    /// In the end.
    pub settled: Point,
    /// Seconds until the current is within a tenth of what it settles at.
    pub seconds: f64,
    /// The highest volts of B+ on the way.
    pub most_b_plus: f64,
    /// Seconds and points on the way.
    pub course: Vec<(f64, Point)>,
}

/// The longest that is followed, seconds.
const HORIZON: f64 = 180.0;
/// A step, seconds: a tenth of the time in which heaters warm.
const STEP: f64 = 1.5;

/// Follows a healthy set from cold at a line voltage.
pub fn warm_up(load: &SetLoad, lamp: Option<&Lamp>, line_v: f64) -> WarmUp {
    let settled = load.point(lamp, line_v, Heat::Settled, None);
    let first = load.point(lamp, line_v, Heat::At(0.0), None);
    let mut course = vec![(0.0, first)];
    let (mut power, mut time) = (0.0, 0.0);
    let mut now = first;
    while time < HORIZON {
        // Half a step ahead and then the whole: the midpoint rule.
        let ahead = power + 0.5 * STEP / WARM_SECONDS * (now.heater_power - power);
        let middle = load.point(lamp, line_v, Heat::At(ahead), None);
        power += STEP / WARM_SECONDS * (middle.heater_power - ahead);
        time += STEP;
        now = load.point(lamp, line_v, Heat::At(power), None);
        course.push((time, now));
        if (now.heater_power - power).abs() < 0.01 * power.max(0.01) {
            break;
        }
    }
    let near = |point: &Point| (point.amps - settled.amps).abs() <= 0.1 * settled.amps;
    let seconds =
        course.iter().rev().take_while(|(_, point)| near(point)).last().map_or(time, |(t, _)| *t);
    let most_b_plus = course.iter().map(|(_, point)| point.b_plus).fold(settled.b_plus, f64::max);
    WarmUp { first, settled, seconds, most_b_plus, course }
}
