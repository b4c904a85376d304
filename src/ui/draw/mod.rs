//! Drawings as data: lines, arcs and texts laid out in plain Rust.
//!
//! Each drawing is a pure function from what is known to a [`Drawing`], tested
//! off the browser; one small component (`Picture`) puts any of them on the
//! page as SVG.
//!
//! ```
//! use firstglow::ui::draw::base::{self, PinLabel};
//! use firstglow::trade::tubes::Base;
//! let pins = [PinLabel { pin: 3, electrode: "plate".into(), ..PinLabel::default() }];
//! let drawing = base::draw(Base::Octal, "V1, 6SK7", &pins);
//! assert!(drawing.words.contains("seen from below"));
//! ```
//!
//! Limits: the width of a text is estimated, a little generously, since fonts
//! differ from machine to machine.

pub mod base;
pub mod fall;
pub mod lamp;
pub mod near;
#[cfg(target_arch = "wasm32")]
mod picture;
pub mod shape;
pub mod supply;
#[cfg(test)]
pub(crate) mod support;
pub mod symbol;

#[cfg(target_arch = "wasm32")]
pub use picture::Picture;
pub use shape::{Anchor, Drawing, Face, Label, Pen, Point, Rect, Stroke};
