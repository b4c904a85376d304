//! Memos and signals of any type over one type of Leptos's.
//!
//! Leptos compiles all of a memo for each type that one holds, some kilobytes
//! of wasm a piece. These hold a pointer that does not tell the type.

use super::RwSignal;
use crate::ui::leptos::prelude as base;
use crate::ui::leptos::prelude::{Get, GetUntracked};
use std::any::Any;
use std::marker::PhantomData;
use std::ops::Deref;
use std::sync::Arc;

type Pointer = Arc<dyn Any + Send + Sync>;

/// A value of some type.
#[derive(Clone)]
struct Erased {
    value: Pointer,
    equal: fn(&Pointer, &Pointer) -> bool,
}

impl PartialEq for Erased {
    fn eq(&self, other: &Self) -> bool {
        (self.equal)(&self.value, &other.value)
    }
}

impl Erased {
    /// The value; there is none of another type under the same memo.
    fn value<T: Send + Sync + 'static>(self) -> Held<T> {
        match self.value.downcast() {
            Ok(value) => Held(value),
            Err(_) => unreachable!("a memo holds what it was made with"),
        }
    }
}

fn equal<T: PartialEq + 'static>(one: &Pointer, other: &Pointer) -> bool {
    one.downcast_ref::<T>() == other.downcast_ref::<T>()
}

fn never(_: &Pointer, _: &Pointer) -> bool {
    false
}

/// A value as it was read.
pub struct Held<T>(Arc<T>);

impl<T> Deref for Held<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0
    }
}

/// Works a value out.
trait Compute: Send + Sync {
    fn compute(&self) -> Erased;
}

struct Computed<F> {
    compute: F,
    equal: fn(&Pointer, &Pointer) -> bool,
}

impl<T: Send + Sync + 'static, F: Fn() -> T + Send + Sync> Compute for Computed<F> {
    fn compute(&self) -> Erased {
        Erased { value: Arc::new((self.compute)()), equal: self.equal }
    }
}

/// What the closure of a memo is given: nothing, where Leptos gives the value
/// before.
pub struct Anew;

/// A value that is worked out anew when what it reads has changed.
#[derive(Debug)]
pub struct Memo<T> {
    inner: base::Memo<Erased>,
    kind: PhantomData<fn() -> T>,
}

impl<T> Clone for Memo<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Memo<T> {}

impl<T: PartialEq + Send + Sync + 'static> Memo<T> {
    /// A memo of what a closure makes.
    pub fn new(compute: impl Fn(Anew) -> T + Send + Sync + 'static) -> Self {
        let compute = Computed { compute: move || compute(Anew), equal: equal::<T> };
        Self { inner: memo(Box::new(compute)), kind: PhantomData }
    }
}

impl<T: Send + Sync + 'static> Memo<T> {
    /// A memo that counts as another value each time that it is worked out.
    /// For what is dear to compare and seldom comes out the same.
    pub fn always_new(compute: impl Fn(Anew) -> T + Send + Sync + 'static) -> Self {
        let compute = Computed { compute: move || compute(Anew), equal: never };
        Self { inner: memo(Box::new(compute)), kind: PhantomData }
    }

    /// The value, followed.
    pub fn read(self) -> Held<T> {
        self.inner.get().value()
    }

    /// The value, not followed.
    pub fn read_untracked(self) -> Held<T> {
        self.inner.get_untracked().value()
    }

    /// Looks at the value, followed.
    pub fn with<R>(self, look: impl FnOnce(&T) -> R) -> R {
        look(&self.read())
    }
}

impl<T: Clone + Send + Sync + 'static> Memo<T> {
    /// A copy of the value, followed.
    pub fn get(self) -> T {
        T::clone(&self.read())
    }

    /// A copy of the value, not followed.
    pub fn get_untracked(self) -> T {
        T::clone(&self.read_untracked())
    }

    /// The same, or `None` where the memo is gone.
    pub fn try_get_untracked(self) -> Option<T> {
        let found = self.inner.try_get_untracked()?;
        Some(T::clone(&found.value()))
    }
}

fn memo(compute: Box<dyn Compute>) -> base::Memo<Erased> {
    base::Memo::new(move |_| compute.compute())
}

/// A value that can be read and followed.
#[derive(Debug)]
pub struct Signal<T> {
    inner: base::Signal<Erased>,
    kind: PhantomData<fn() -> T>,
}

impl<T> Clone for Signal<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Signal<T> {}

impl<T: Send + Sync + 'static> Signal<T> {
    /// What a closure makes, each time that it is read.
    pub fn derive(compute: impl Fn() -> T + Send + Sync + 'static) -> Self {
        Self { inner: signal(Box::new(Computed { compute, equal: never })), kind: PhantomData }
    }

    /// The value, followed.
    pub fn read(self) -> Held<T> {
        self.inner.get().value()
    }
}

impl<T: Clone + Send + Sync + 'static> Signal<T> {
    /// A value that stays.
    pub fn stored(value: T) -> Self {
        Self::derive(move || value.clone())
    }

    /// A copy of the value, followed.
    pub fn get(self) -> T {
        T::clone(&self.read())
    }
}

fn signal(compute: Box<dyn Compute>) -> base::Signal<Erased> {
    base::Signal::derive(move || compute.compute())
}

impl<T: Clone + Default + Send + Sync + 'static> Default for Signal<T> {
    fn default() -> Self {
        Self::stored(T::default())
    }
}

impl<T> From<Memo<T>> for Signal<T> {
    fn from(memo: Memo<T>) -> Self {
        Self { inner: memo.inner.into(), kind: PhantomData }
    }
}

impl<T: Clone + Send + Sync + 'static> From<RwSignal<T>> for Signal<T> {
    fn from(signal: RwSignal<T>) -> Self {
        Self::derive(move || signal.get())
    }
}
