//! Facts of the trade, each with its source: quantities, dielectrics, roles,
//! safety classes, preferred values, ratings that are sold, tube types, limits.
//!
//! Nothing here knows a sheet, a circuit or a plan.

pub mod dielectric;
pub mod kind;
pub mod quantity;
pub mod role;
pub mod safety;
pub mod source;
