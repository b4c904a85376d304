//! Facts of the trade, each with its source: quantities, dielectrics, roles,
//! safety classes, preferred values, ratings that are sold, tube types, limits.
//!
//! Nothing here knows a sheet, a circuit or a plan.

pub mod dielectric;
pub mod fresh;
pub mod heater;
pub mod kind;
pub mod lamp;
pub mod limits;
pub mod quantity;
pub mod ratings;
pub mod rectifier;
pub mod role;
pub mod role_rule;
pub mod safety;
pub mod series;
pub mod size;
pub mod source;
pub mod tubes;
