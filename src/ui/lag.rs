//! Which text reading and planning follow: the sheet's own; or, where they take
//! longer than a keystroke may, the one that stood when typing last paused.

use super::view::prelude::*;
use crate::bench::set::SetId;
use crate::ui::leptos::prelude::{TimeoutHandle, set_timeout_with_handle};
use std::sync::Arc;
use std::time::Duration;

/// Milliseconds that reading and planning may take within a keystroke: about a
/// frame of a sixtieth of a second.
const MOST_MS: f64 = 16.0;
/// How long typing must pause before longer work begins.
const PAUSE: Duration = Duration::from_millis(150);

/// The text that is followed.
#[derive(Debug, Clone, Copy)]
pub struct Lag {
    /// It.
    pub text: Memo<Arc<str>>,
    /// Whether it is behind the sheet's own.
    pub behind: Memo<bool>,
    own: Memo<(Option<SetId>, Arc<str>)>,
    taken: RwSignal<(Option<SetId>, Arc<str>)>,
}

impl Lag {
    /// Follows the text of the open set; `cost` tells the milliseconds that the
    /// work on it took last.
    pub fn new(
        id: Memo<Option<SetId>>,
        text: Memo<Arc<str>>,
        cost: impl Fn() -> f64 + Copy + Send + Sync + 'static,
    ) -> Self {
        let own = Memo::new(move |_| (id.get(), text.get()));
        let taken = RwSignal::new((None, Arc::<str>::from("")));
        let followed = Memo::new(move |_| {
            let ((id, now), (of, before)) = (own.get(), taken.get());
            // Another set is worked out at once, however long it takes.
            if cost() > MOST_MS && of == id { before } else { now }
        });
        let behind = Memo::new(move |_| *followed.read() != own.read().1);
        let timer = StoredValue::new(None::<TimeoutHandle>);
        Effect::new(move |_| {
            let now = own.get();
            let wait = if cost() > MOST_MS { PAUSE } else { Duration::ZERO };
            let next = set_timeout_with_handle(move || taken.set(now.clone()), wait).ok();
            if let Some(old) = timer.try_update_value(|timer| std::mem::replace(timer, next)) {
                old.inspect(TimeoutHandle::clear);
            }
        });
        Self { text: followed, behind, own, taken }
    }

    /// Works on the sheet's own text now; whether it had been behind.
    pub fn catch_up(self) -> bool {
        let behind = self.behind.get_untracked();
        if behind {
            self.taken.set(self.own.get_untracked());
        }
        behind
    }
}
