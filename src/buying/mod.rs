//! Buying: what is needed, what is offered, what lies in the drawers, and which
//! of it to buy.
//!
//! ```
//! use firstglow::{buying, plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::read("C7 .05 400 V paper coupling"));
//! let needs = buying::need::of_plan(&plan, 0);
//! let list = buying::list::read("seller Hall\n.047 630V film .85");
//! let ware = &list.offers[0].ware;
//! assert!(buying::serve::check(ware, &needs.wanted[0].wanted).is_ok());
//! ```
//!
//! Everything is exact: money is decimal, and the optimiser proves what it
//! finds or tells how far from proven it is.

pub mod basket;
pub mod drawer;
pub mod list;
pub mod money;
pub mod need;
pub mod optimise;
pub mod price;
mod problem;
pub mod serve;
pub mod table;
pub mod ware;
