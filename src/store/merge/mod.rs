//! One state out of two that were changed apart.
//!
//! Both sides are taken as trees of JSON, so that a field that a later version
//! adds is merged like the others: an object by its keys, a list by the `id`
//! of its items or else by what they are, a sheet by its lines. With the state
//! that both came from, what only one side changed is taken from that side;
//! without it, both are kept together. What both changed is a clash: one side
//! is taken, and the caller is told of the other.
//!
//! ```
//! use firstglow::store::merge::{Side, merge};
//! use serde_json::json;
//! let base = json!({"parts": {"C7": {"measured": ""}}});
//! let here = json!({"parts": {"C7": {"measured": "0.047"}}});
//! let there = json!({"parts": {"C7": {"measured": ""}, "C8": {"measured": "0.1"}}});
//! let merged = merge(Some(&base), &here, &there, &mut |found| found.side);
//! assert_eq!(merged["parts"]["C7"]["measured"], "0.047");
//! assert_eq!(merged["parts"]["C8"]["measured"], "0.1");
//! ```

mod keyed;

pub use keyed::written;
use keyed::{Keyed, keyed};
use serde_json::Value;

/// One of the two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The state in hand.
    Here,
    /// The state that came.
    There,
}

/// Which side moved away from where both came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moved {
    /// Only this one says something new.
    Only(Side),
    /// Both do, and not the same.
    Both,
}

/// A place at which the two differ.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// The way to it, key by key.
    pub path: Vec<String>,
    /// What stands there here, if anything.
    pub here: Option<Value>,
    /// What stands there on the other side, if anything.
    pub there: Option<Value>,
    /// Who moved.
    pub moved: Moved,
    /// The side that is taken unless the caller says otherwise.
    pub side: Side,
}

/// Merges two states. `base` is the state that both came from, where it is
/// known. `choose` is asked at every difference, in a fixed order.
pub fn merge(
    base: Option<&Value>,
    here: &Value,
    there: &Value,
    choose: &mut dyn FnMut(&Difference) -> Side,
) -> Value {
    let base = base.map_or(Base::Unknown, |base| Base::Known(Some(base)));
    let mut merging = Merging { path: Vec::new(), choose };
    merging.settle(base, Some(here), Some(there)).unwrap_or(Value::Null)
}

/// What both came from, as far as it is known.
#[derive(Clone, Copy)]
enum Base<'a> {
    Unknown,
    /// Known; `None` where nothing stood there.
    Known(Option<&'a Value>),
}

struct Merging<'c> {
    path: Vec<String>,
    choose: &'c mut dyn FnMut(&Difference) -> Side,
}

impl Merging<'_> {
    fn settle(&mut self, base: Base, here: Option<&Value>, there: Option<&Value>) -> Option<Value> {
        if here == there {
            return here.cloned();
        }
        if let (Some(one), Some(other)) = (here, there) {
            let base_value = match base {
                Base::Known(value) => value,
                Base::Unknown => None,
            };
            let place = self.path.last().map_or("", String::as_str);
            if let Some(parts) = keyed(place, [base_value, Some(one), Some(other)]) {
                return Some(self.settle_parts(base, parts));
            }
        }
        self.settle_leaf(base, here, there)
    }

    /// Merges key by key. The side that alone moved gives the order, else this one.
    fn settle_parts(&mut self, base: Base, parts: [Keyed; 3]) -> Value {
        let [old, here, there] = parts;
        let known = matches!(base, Base::Known(_));
        let theirs_leads = known && here == old;
        let (first, second) = if theirs_leads { (&there, &here) } else { (&here, &there) };
        let mut kept = Keyed { shape: first.shape, ..Keyed::default() };
        for key in first.order_with(second) {
            let base = if known { Base::Known(old.values.get(&key)) } else { Base::Unknown };
            self.path.push(key.clone());
            let value = self.settle(base, here.values.get(&key), there.values.get(&key));
            self.path.pop();
            if let Some(value) = value {
                kept.order.push(key.clone());
                kept.values.insert(key, value);
            }
        }
        kept.into_value()
    }

    fn settle_leaf(
        &mut self,
        base: Base,
        here: Option<&Value>,
        there: Option<&Value>,
    ) -> Option<Value> {
        if let Some(moment) = self.by_rule(base, here, there) {
            return Some(moment);
        }
        let (moved, side) = standing(base, here, there);
        // An empty line or field more or less is no difference to a person.
        let told = !(says_nothing(here) && says_nothing(there));
        let side = if told {
            let difference = Difference {
                path: self.path.clone(),
                here: here.cloned(),
                there: there.cloned(),
                moved,
                side,
            };
            (self.choose)(&difference)
        } else {
            side
        };
        match side {
            Side::Here => here.cloned(),
            Side::There => there.cloned(),
        }
    }

    /// Moments need no choice: the last change is the later one, and what both
    /// checked off was done when it was done first.
    fn by_rule(&self, base: Base, here: Option<&Value>, there: Option<&Value>) -> Option<Value> {
        let name = self.path.last()?;
        let (one, other) = (here?.as_u64()?, there?.as_u64()?);
        if name == "changed" {
            return Some(one.max(other).into());
        }
        let both_moved = standing(base, here, there).0 == Moved::Both;
        (name.ends_with("-at") && both_moved).then(|| one.min(other).into())
    }
}

/// Who moved, and the side that is taken: the one that moved; of two that did,
/// the one that says something; else this one.
fn standing(base: Base, here: Option<&Value>, there: Option<&Value>) -> (Moved, Side) {
    match base {
        Base::Known(base) if here == base => (Moved::Only(Side::There), Side::There),
        Base::Known(base) if there == base => (Moved::Only(Side::Here), Side::Here),
        // An empty field is as good as none.
        Base::Known(base) if says_nothing(here) && says_nothing(base) => {
            (Moved::Only(Side::There), Side::There)
        }
        Base::Known(base) if says_nothing(there) && says_nothing(base) => {
            (Moved::Only(Side::Here), Side::Here)
        }
        Base::Unknown if says_nothing(there) => (Moved::Only(Side::Here), Side::Here),
        Base::Unknown if says_nothing(here) => (Moved::Only(Side::There), Side::There),
        _ if says_nothing(here) => (Moved::Both, Side::There),
        _ => (Moved::Both, Side::Here),
    }
}

fn says_nothing(value: Option<&Value>) -> bool {
    match value {
        None | Some(Value::Null) => true,
        Some(Value::String(text)) => text.trim().is_empty(),
        Some(Value::Array(list)) => list.is_empty(),
        Some(Value::Object(map)) => map.is_empty(),
        Some(_) => false,
    }
}

#[cfg(test)]
mod tests;
