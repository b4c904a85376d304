//! Signals of any type over one type of Leptos's, as the memos are.

use crate::ui::leptos::prelude as base;
use crate::ui::leptos::prelude::{Plain, ReadGuard};
use crate::ui::leptos::prelude::{ReadUntracked, Track, Update};
use std::any::Any;
use std::marker::PhantomData;
use std::ops::Deref;

type Boxed = Box<dyn Any + Send + Sync>;
type Inner = base::RwSignal<Boxed>;

/// A value that is set, read and followed.
#[derive(Debug)]
pub struct RwSignal<T> {
    inner: Inner,
    kind: PhantomData<fn() -> T>,
}

impl<T> Clone for RwSignal<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for RwSignal<T> {}

impl<T: Send + Sync + 'static> RwSignal<T> {
    /// A signal that holds a value.
    pub fn new(value: T) -> Self {
        Self { inner: holding(Box::new(value)), kind: PhantomData }
    }

    /// Puts another value in; gives it back where the signal is gone.
    pub fn try_set(self, value: T) -> Option<T> {
        let mut value = Some(value);
        self.change(|held| {
            if let Some(value) = value.take() {
                *held = value;
            }
            true
        });
        value
    }

    /// Puts another value in.
    pub fn set(self, value: T) {
        drop(self.try_set(value));
    }

    /// Changes the value.
    pub fn update(self, change: impl FnOnce(&mut T)) {
        self.try_update(change);
    }

    /// Changes the value and gives what comes of it; nothing where the signal is gone.
    pub fn try_update<R>(self, change: impl FnOnce(&mut T) -> R) -> Option<R> {
        let (mut change, mut result) = (Some(change), None);
        self.change(|held| {
            result = change.take().map(|change| change(held));
            true
        });
        result
    }

    /// Changes the value, and tells only where the change says so.
    pub fn maybe_update(self, change: impl FnOnce(&mut T) -> bool) {
        let mut change = Some(change);
        self.change(|held| change.take().is_some_and(|change| change(held)));
    }

    /// The value, followed. It must not be kept while the signal is set.
    pub fn read(self) -> Look<T> {
        self.track();
        self.read_untracked()
    }

    /// The value, not followed. It must not be kept while the signal is set.
    pub fn read_untracked(self) -> Look<T> {
        Look { guard: guard(self.inner).expect("a signal that is still there"), kind: PhantomData }
    }

    /// Looks at the value, followed.
    pub fn with<R>(self, look: impl FnOnce(&T) -> R) -> R {
        look(&self.read())
    }

    /// Looks at the value, not followed.
    pub fn with_untracked<R>(self, look: impl FnOnce(&T) -> R) -> R {
        look(&self.read_untracked())
    }

    /// Follows the value without looking at it.
    pub fn track(self) {
        follow(self.inner);
    }

    fn change(self, mut change: impl FnMut(&mut T) -> bool) {
        changed(self.inner, &mut |held| held.downcast_mut().is_some_and(&mut change));
    }
}

impl<T: Clone + Send + Sync + 'static> RwSignal<T> {
    /// A copy of the value, followed.
    pub fn get(self) -> T {
        T::clone(&self.read())
    }

    /// A copy of the value, not followed.
    pub fn get_untracked(self) -> T {
        T::clone(&self.read_untracked())
    }

    /// The same, or nothing where the signal is gone.
    pub fn try_get_untracked(self) -> Option<T> {
        let look = Look { guard: guard(self.inner)?, kind: PhantomData };
        Some(T::clone(&look))
    }
}

/// A value as long as it is looked at.
pub struct Look<T> {
    guard: ReadGuard<Boxed, Plain<Boxed>>,
    kind: PhantomData<fn() -> T>,
}

impl<T: 'static> Deref for Look<T> {
    type Target = T;

    fn deref(&self) -> &T {
        match self.guard.downcast_ref() {
            Some(value) => value,
            None => unreachable!("a signal holds what it was made with"),
        }
    }
}

#[inline(never)]
fn holding(value: Boxed) -> Inner {
    Inner::new(value)
}

#[inline(never)]
fn follow(signal: Inner) {
    signal.track();
}

#[inline(never)]
fn guard(signal: Inner) -> Option<ReadGuard<Boxed, Plain<Boxed>>> {
    signal.try_read_untracked()
}

#[inline(never)]
fn changed(signal: Inner, change: &mut dyn FnMut(&mut Boxed) -> bool) {
    signal.try_maybe_update(|held| (change(held), ()));
}
