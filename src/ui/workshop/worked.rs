//! What the screens of the workshop ask for and nobody else.

use super::Workshop;
use crate::circuit::wiring::Wiring;
use crate::ui::state::{Open, app};
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// Worked out from the open set, only while something shows it. These outlive
/// every screen.
#[derive(Debug, Clone, Copy)]
pub struct Worked {
    /// The nodes of its circuit.
    pub wiring: Memo<Arc<Wiring>>,
}

impl Worked {
    pub(super) fn of(open: Open) -> Self {
        Self { wiring: Memo::always_new(move |_| Arc::new(Wiring::of(&open.sheet.read()))) }
    }
}

/// The same, from any screen of the workshop.
pub fn worked() -> Worked {
    match app().workshop.get_untracked() {
        Workshop::Open(tools) => tools.worked,
        _ => unreachable!("its screens are in it"),
    }
}
