//! The saved bench: its envelope and versions, the shelf it lies on, and what
//! goes out and comes in as files.
//!
//! Nothing is written before a load has gone well; what cannot be read is kept
//! as it is and offered for download.

pub mod arrival;
pub mod backups;
pub mod checksum;
pub mod dated;
pub mod disk;
pub mod dropped;
pub mod envelope;
pub mod exchange;
pub mod join;
pub mod keeper;
pub mod merge;
pub mod pack;
pub mod parcel;
pub mod shelf;
pub mod trail;
