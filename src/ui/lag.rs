//! Which text reading and planning follow: the sheet's own; or, where they take
//! longer than a keystroke may, the one that stood when typing last paused.

use super::view::prelude::*;
use crate::bench::set::SetId;
use crate::ui::leptos::prelude::{TimeoutHandle, set_timeout_with_handle};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// Milliseconds that reading and planning may take within a keystroke: about a
/// frame of a sixtieth of a second.
const MOST_MS: f64 = 16.0;
/// Milliseconds from which on screens made from the plan say that they are worked
/// out: half of what a person takes for at once (100 ms, common practice, no
/// source), for they add work of their own.
const SLOW_MS: f64 = 50.0;
/// How long typing must pause before longer work begins.
const PAUSE: Duration = Duration::from_millis(150);

/// What is timed.
#[derive(Debug, Clone, Copy)]
pub enum Work {
    /// Reading.
    Read,
    /// Planning.
    Plan,
}

/// The milliseconds that each took last.
#[derive(Debug, Clone, Default)]
pub struct Cost(Arc<Mutex<[f64; 2]>>);

impl Cost {
    /// Notes what it took.
    pub fn put(&self, work: Work, ms: f64) {
        hold(&self.0)[work as usize] = ms;
    }

    /// Whether both together outlast a frame.
    fn is_long(&self) -> bool {
        self.sum() > MOST_MS
    }

    fn sum(&self) -> f64 {
        hold(&self.0).iter().sum()
    }
}

/// There is one thread: nobody else holds it, and nobody left it half done.
fn hold<T>(shared: &Mutex<T>) -> MutexGuard<'_, T> {
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A text and the set that it is of.
type Of = (Option<SetId>, Arc<str>);

/// The text that is followed.
#[derive(Debug, Clone, Copy)]
pub struct Lag {
    /// It.
    pub text: Memo<Arc<str>>,
    /// Whether it is behind the sheet's own.
    pub behind: Memo<bool>,
    own: Memo<Of>,
    taken: StoredValue<Arc<Mutex<Of>>>,
    cost: StoredValue<Cost>,
    /// Counts what was taken.
    turn: RwSignal<usize>,
}

impl Lag {
    /// Follows the text of the open set, by what the work on it cost last.
    pub fn new(id: Memo<Option<SetId>>, text: Memo<Arc<str>>, cost: Cost) -> &'static Self {
        let own = Memo::new(move |_| (id.get(), text.get()));
        let taken = StoredValue::new(Arc::new(Mutex::new((None, Arc::from("")))));
        let turn = RwSignal::new(0);
        let of_text = cost.clone();
        let followed = Memo::new(move |_| {
            turn.get();
            let (id, now) = own.get();
            let (of, before) = hold(&taken.get_value()).clone();
            // Another set is worked out at once, however long it takes.
            if of_text.is_long() && of == id { before } else { now }
        });
        let lag = Self {
            text: followed,
            behind: Memo::new(move |_| *followed.read() != own.read().1),
            own,
            taken,
            cost: StoredValue::new(cost.clone()),
            turn,
        };
        let timer = StoredValue::new(None::<TimeoutHandle>);
        Effect::new(move |_| {
            own.read();
            let next = if cost.is_long() {
                set_timeout_with_handle(move || lag.take(), PAUSE).ok()
            } else {
                lag.take();
                None
            };
            if let Some(old) = timer.try_update_value(|timer| std::mem::replace(timer, next)) {
                old.inspect(TimeoutHandle::clear);
            }
        });
        // Made once, and there for as long as the page is.
        Box::leak(Box::new(lag))
    }

    fn take(self) {
        *hold(&self.taken.get_value()) = self.own.get_untracked();
        self.turn.update(|turn| *turn = turn.wrapping_add(1));
    }

    /// Whether the sheet is so long that what is made from its plan is not there
    /// at once.
    pub fn is_slow(self) -> bool {
        self.cost.with_value(Cost::sum) > SLOW_MS
    }

    /// Works on the sheet's own text now; whether it had been behind.
    pub fn catch_up(self) -> bool {
        let behind = self.behind.get_untracked();
        if behind {
            self.take();
        }
        behind
    }
}
