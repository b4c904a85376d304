//! The set on a lamp: what line, lamp, heaters and B+ do at each stage of line
//! voltage, healthy and with its likely faults.
//!
//! ```
//! use firstglow::circuit::limiter::{Heat, SetLoad};
//! use firstglow::circuit::lamp::Lamp;
//! use firstglow::circuit::state::Set;
//! use firstglow::circuit::wiring::Wiring;
//! use firstglow::sheet::{Sheet, examples::EXAMPLES};
//! let sheet = Sheet::read(EXAMPLES[0].text);
//! let wiring = Wiring::of(&sheet);
//! let load = SetLoad::of(&sheet, &Set::of(&sheet, &wiring))?;
//! let lamp = Lamp::new(120.0, 40.0).unwrap();
//! let point = load.point(Some(&lamp), 117.0, Heat::Settled, None);
//! assert!(point.lamp_v > 20.0 && point.set_v < 97.0);
//! # Ok::<(), firstglow::circuit::limiter::NoLoad>(())
//! ```
//!
//! The lamp is a resistance that its own mean square current sets, for a
//! filament does not follow the half cycle. Seen from the rectifier, line and
//! lamp and all that hangs on the line beside it are then a smaller line behind
//! a resistance (Thévenin), and the supply's own cycle average does the rest.
//!
//! Limits: the transformer is ideal but for its resistances, a core loss and a
//! magnetising current that are assumed; iron near saturation takes more. One
//! heater law for all tubes. Of several supplies the one of the highest volts
//! counts. A lamp does not isolate, and no figure here says that a set is safe.

mod choose;
mod drawn;
mod fault;
mod load;
mod point;
#[cfg(test)]
mod tests;
mod warm;

pub use choose::{Choice, LampRow, candidates, choose, rows};
pub use fault::{Effect, Fault, FaultKind, faults};
pub use load::{Core, Curve, Fed, Heaters, NoLoad, Rectifies, SetLoad};
pub use point::{Heat, Point};
pub use warm::{WarmUp, warm_up};
