//! The values of attributes.

use super::Signal;
use super::Text;
use std::borrow::Cow;

/// A value, or `None` where the attribute is to be absent.
pub type Value = Option<Text>;

/// A value that stays or one that follows what it reads.
pub enum Attr {
    /// It stays.
    Fixed(Value),
    /// It follows.
    Following(Box<dyn Give>),
}

/// Gives a value, as often as what it follows changes.
pub trait Give {
    /// Gives it.
    fn give(&self) -> Value;
}

struct Given<F>(F);

impl<V: IntoValue, F: Fn() -> V> Give for Given<F> {
    fn give(&self) -> Value {
        (self.0)().into_value()
    }
}

/// What can be the value of an attribute.
pub trait IntoAttr: Sized {
    /// As a value.
    fn into_attr(self) -> Attr;
}

/// What can be such a value at one moment.
pub trait IntoValue {
    /// As a value.
    fn into_value(self) -> Value;
}

impl IntoValue for &'static str {
    fn into_value(self) -> Value {
        Some(Cow::Borrowed(self))
    }
}

impl IntoValue for String {
    fn into_value(self) -> Value {
        Some(Cow::Owned(self))
    }
}

impl IntoValue for bool {
    fn into_value(self) -> Value {
        self.then_some(Cow::Borrowed(""))
    }
}

impl<V: IntoValue> IntoValue for Option<V> {
    fn into_value(self) -> Value {
        self.and_then(V::into_value)
    }
}

impl IntoAttr for Attr {
    fn into_attr(self) -> Attr {
        self
    }
}

impl IntoAttr for &'static str {
    fn into_attr(self) -> Attr {
        Attr::Fixed(self.into_value())
    }
}

impl IntoAttr for String {
    fn into_attr(self) -> Attr {
        Attr::Fixed(self.into_value())
    }
}

impl IntoAttr for bool {
    fn into_attr(self) -> Attr {
        Attr::Fixed(self.into_value())
    }
}

impl<V: IntoValue> IntoAttr for Option<V> {
    fn into_attr(self) -> Attr {
        Attr::Fixed(self.into_value())
    }
}

impl IntoAttr for Signal<String> {
    fn into_attr(self) -> Attr {
        (move || self.get()).into_attr()
    }
}

impl<V: IntoValue, F: Fn() -> V + 'static> IntoAttr for F {
    fn into_attr(self) -> Attr {
        Attr::Following(Box::new(Given(self)))
    }
}
