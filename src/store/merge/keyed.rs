//! Objects, lists and sheets as one thing: values in an order, each under a key.

use crate::letters::Letters;
use serde_json::{Map, Value};

/// What it was, and becomes again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shape {
    /// An object.
    #[default]
    Object,
    /// A list.
    List,
    /// Lines of text.
    Lines,
}

/// Values in an order, each under a key of its own.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Keyed {
    /// What it was.
    pub shape: Shape,
    /// The keys in order.
    pub order: Vec<String>,
    /// The values.
    pub values: Map<String, Value>,
}

/// The three as values under keys, where they are of one such shape. What is
/// not there is empty.
pub fn keyed(place: &str, three: [Option<&Value>; 3]) -> Option<[Keyed; 3]> {
    let [_, here, there] = three;
    let shape = shape(here?)?;
    let lines = shape == Shape::Lines;
    if self::shape(there?) != Some(shape) {
        return None;
    }
    // A sheet is made of lines at any length, other text from two lines on.
    if lines && place != "text" && !three.iter().flatten().any(|v| has_lines(v)) {
        return None;
    }
    let by_id = three.iter().flatten().all(|v| has_ids(v));
    Some(three.map(|value| read(value, shape, place, by_id)))
}

fn shape(value: &Value) -> Option<Shape> {
    match value {
        Value::Object(_) => Some(Shape::Object),
        Value::Array(_) => Some(Shape::List),
        Value::String(_) => Some(Shape::Lines),
        _ => None,
    }
}

fn has_lines(value: &Value) -> bool {
    value.as_str().is_some_and(|text| text.contains('\n'))
}

/// Whether all items of a list carry an id, no two the same.
fn has_ids(value: &Value) -> bool {
    let Some(list) = value.as_array() else { return true };
    let mut ids = Map::new();
    list.iter().all(|item| {
        let id = item.get("id").filter(|id| id.is_number() || id.is_string());
        id.is_some_and(|id| ids.insert(written(id), Value::Null).is_none())
    })
}

/// As it is saved. Not by its `Display`, which is another writer compiled.
pub fn written(value: &Value) -> String {
    serde_json::to_string(value).unwrap_or_default()
}

fn read(value: Option<&Value>, shape: Shape, place: &str, by_id: bool) -> Keyed {
    let mut found = Keyed { shape, ..Keyed::default() };
    let mut counts = Map::new();
    match (shape, value) {
        (Shape::Object, Some(Value::Object(map))) => {
            found.order = map.keys().cloned().collect();
            found.values.clone_from(map);
        }
        (Shape::List, Some(Value::Array(list))) => {
            for item in list {
                let key = if by_id { item.get("id").map(written) } else { None };
                let key = key.unwrap_or_else(|| written(item));
                found.add(key, item.clone(), &mut counts);
            }
        }
        // An empty text is no line, not an empty one.
        (Shape::Lines, Some(Value::String(text))) if !text.is_empty() => {
            for piece in pieces(text, place == "text") {
                let key = if place == "text" { subject(piece) } else { piece.to_owned() };
                found.add(key, Value::from(piece), &mut counts);
            }
        }
        _ => {}
    }
    found
}

/// The lines of a text; on a sheet, each with the indented ones that go on from it.
fn pieces(text: &str, on_sheet: bool) -> Vec<&str> {
    let goes_on = |line: &str| on_sheet && line.starts_with([' ', '\t']) && !line.trim().is_empty();
    let mut pieces = Vec::new();
    let (mut start, mut at) = (0, 0);
    for line in text.split('\n') {
        if at > 0 && !goes_on(line) {
            pieces.push(&text[start..at - 1]);
            start = at;
        }
        at += line.len() + 1;
    }
    pieces.push(&text[start..]);
    pieces
}

/// Lines of which a sheet has one each.
const SINGLE: [&str; 5] = ["SET", "MAINS", "SUPPLY", "READ", "METER"];

/// What a line of a sheet is about: the designator of a part, a directive that
/// stands once, the name of an area; any other line is about itself.
fn subject(line: &str) -> String {
    let line = line.trim().lines().next().unwrap_or("");
    let word = line.split_whitespace().next().unwrap_or("").trim_end_matches(':').upper();
    let names_part = word.starts_with(char::is_alphabetic) && word.ends_with(char::is_alphanumeric);
    if SINGLE.contains(&word.as_str()) || (names_part && word.contains(|c: char| c.is_numeric())) {
        return word;
    }
    let head = line.split('#').next().unwrap_or("").split_once(':');
    head.map_or(line, |(name, _)| name).to_owned()
}

impl Keyed {
    /// Adds a value; a key that is taken is numbered: a second `C7` is `C7/2`.
    fn add(&mut self, key: String, value: Value, counts: &mut Map<String, Value>) {
        let count = counts.get(&key).and_then(Value::as_u64).unwrap_or(0) + 1;
        counts.insert(key.clone(), Value::from(count));
        let mut free = if count == 1 { key } else { format!("{key}/{count}") };
        while self.values.contains_key(&free) {
            free.push('\'');
        }
        self.order.push(free.clone());
        self.values.insert(free, value);
    }

    /// Its keys, and among them those that only the other has, each after the
    /// one that it follows there.
    pub fn order_with(&self, other: &Self) -> Vec<String> {
        let mut after: Map<String, Value> = Map::new();
        let mut at_start = Vec::new();
        let mut last = None::<&String>;
        for key in &other.order {
            if self.values.contains_key(key) {
                last = Some(key);
            } else if let Some(last) = last {
                let list = after.entry(last.clone()).or_insert_with(|| Value::Array(Vec::new()));
                if let Value::Array(list) = list {
                    list.push(Value::from(key.as_str()));
                }
            } else {
                at_start.push(key.clone());
            }
        }
        let mut all = at_start;
        for key in &self.order {
            all.push(key.clone());
            let followers = after.get(key).and_then(Value::as_array).into_iter().flatten();
            all.extend(followers.filter_map(Value::as_str).map(str::to_owned));
        }
        all
    }

    /// What it was.
    pub fn into_value(self) -> Value {
        let Self { shape, order, mut values } = self;
        if shape == Shape::Object {
            return Value::Object(values);
        }
        let mut list = order.iter().filter_map(|key| values.remove(key));
        if shape == Shape::List {
            return Value::Array(list.collect());
        }
        let mut text = String::new();
        if let Some(Value::String(first)) = list.next() {
            text = first;
        }
        for line in list {
            text.push('\n');
            text.push_str(line.as_str().unwrap_or_default());
        }
        Value::String(text)
    }
}
