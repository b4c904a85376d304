//! Pieces that several screens share.

mod arrows;
mod banner;
mod cautions;
pub mod dynamic;
mod field;
mod file_button;
mod hazard;
mod mark;
mod path;
mod patient;
mod printing;
mod table;
mod tabs;
mod toast;
mod working;

pub use arrows::arrows;
pub use banner::{Altered, Banner};
pub use cautions::Cautions;
pub use field::{Choice, Field, SelectField, TextField, stop_typing};
pub use file_button::FileButton;
pub use hazard::{HazardList, HazardStrip, hazard_marks};
pub use mark::{BasisMark, DecisionMark, VerdictMark};
pub use path::StagePath;
pub use patient::patiently;
pub use printing::printing;
pub use table::WordTable;
pub use tabs::Tabs;
pub use toast::Toasts;
pub use working::Workings;
