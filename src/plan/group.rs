//! Groups: parts that are bought, tested or cleaned together, each part in
//! exactly one.
//!
//! ```
//! use firstglow::{plan::{group::groups, plan}, sheet::Sheet};
//! assert!(groups(&plan(&Sheet::default()).parts).is_empty());
//! ```
//!
//! Limits: balancing resistors of a series pair stand in the text of their
//! part, not in a group of their own.

use super::types::{Arrangement, Decision, Group, GroupLine, PlannedPart};
use crate::letters::Letters;
use crate::letters::upper;
use crate::sheet::part::PartKind;
use crate::trade::dielectric::Dielectric;
use crate::trade::quantity::{Capacitance, Voltage};
use crate::trade::safety::SafetyClass;
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use std::iter;

/// What the parts of a group share, in the order groups are shown.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    decision: Decision,
    kind: PartKind,
    class: Option<SafetyClassOrder>,
    dielectric: Option<Dielectric>,
    rating: Option<Voltage>,
    alternating: bool,
    /// A part to replace for which none is named.
    unnamed: bool,
}

type SafetyClassOrder = &'static str;

/// What the parts of a line share: their value, then how it is made up.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct LineKey {
    size: Option<Decimal>,
    text: String,
}

/// A group while it grows.
#[derive(Debug, Default)]
struct Growing {
    lines: BTreeMap<LineKey, GroupLine>,
    count: usize,
    total: Decimal,
    whole: bool,
    class: Option<SafetyClass>,
}

/// Sorts the parts into groups.
pub fn groups(parts: &[PlannedPart]) -> Vec<Group> {
    let mut growing: BTreeMap<Key, Growing> = BTreeMap::new();
    for part in parts {
        let group = growing
            .entry(key(part))
            .or_insert_with(|| Growing { whole: true, ..Growing::default() });
        group.add(part);
    }
    growing.into_iter().map(|(key, group)| group.finish(&key)).collect()
}

impl Growing {
    fn add(&mut self, part: &PlannedPart) {
        let (line_key, pieces) = line(part);
        self.class = part.replacement.as_ref().and_then(|r| r.class);
        match size(part).map(|s| s.checked_mul(pieces_in_total(part))) {
            Some(Some(size)) => {
                self.total = self.total.checked_add(size).unwrap_or(Decimal::MAX);
            }
            _ => self.whole = false,
        }
        self.count += pieces;
        let line = self.lines.entry(line_key).or_insert_with_key(|key| GroupLine {
            value: key.text.clone(),
            count: 0,
            parts: Vec::new(),
        });
        line.count += pieces;
        line.parts.push(part.key.clone());
    }

    fn finish(self, key: &Key) -> Group {
        let capacitors = key.kind == PartKind::Capacitor && self.whole;
        let total = capacitors.then(|| Capacitance::new(self.total).ok()).flatten();
        Group {
            id: id(key),
            title: title(key),
            decision: key.decision,
            dielectric: key.dielectric,
            rating: key.rating,
            class: self.class,
            lines: self.lines.into_values().collect(),
            count: self.count,
            total,
        }
    }
}

fn key(part: &PlannedPart) -> Key {
    let base = Key {
        decision: part.decision,
        kind: part.kind,
        class: None,
        dielectric: None,
        rating: None,
        alternating: false,
        unnamed: false,
    };
    match &part.replacement {
        Some(new) => Key {
            class: new.class.map(SafetyClass::label),
            dielectric: Some(new.dielectric),
            rating: Some(match new.arrangement {
                Arrangement::TwoInSeries { each_rating, .. } => each_rating,
                _ => new.rating,
            }),
            alternating: new.rating_ac,
            ..base
        },
        None => Key {
            dielectric: part.old.dielectric.map(|d| d.value),
            rating: part.old.rating.filter(|_| part.kind == PartKind::Capacitor),
            unnamed: part.kind == PartKind::Capacitor && part.decision == Decision::Replace,
            ..base
        },
    }
}

/// The line a part stands on, and how many pieces it takes.
fn line(part: &PlannedPart) -> (LineKey, usize) {
    let size = size(part);
    let arrangement = part.replacement.as_ref().map(|r| &r.arrangement);
    let (text, pieces) = match (arrangement, &part.replacement) {
        (Some(Arrangement::TwoInSeries { each, .. }), _) => (each.to_string(), 2),
        (Some(Arrangement::TwoInParallel { first, second }), _) => {
            (format!("{first} + {second}"), 2)
        }
        (_, Some(new)) => (new.value.to_string(), 1),
        _ => (part.old.value.clone().unwrap_or_else(|| "value not told".to_owned()), 1),
    };
    (LineKey { size, text }, pieces)
}

/// The size a line is sorted by: one piece of the new part, else the old value.
fn size(part: &PlannedPart) -> Option<Decimal> {
    match &part.replacement {
        Some(new) => Some(match new.arrangement {
            Arrangement::TwoInSeries { each, .. } => each.picofarads(),
            _ => new.value.picofarads(),
        }),
        None => part
            .old
            .picofarads
            .or(part.old.ohms)
            .and_then(|value| Decimal::try_from(value).ok())
            .map(|d| d.normalize()),
    }
}

/// How often a size counts towards the total capacitance bought.
fn pieces_in_total(part: &PlannedPart) -> Decimal {
    match part.replacement.as_ref().map(|r| &r.arrangement) {
        Some(Arrangement::TwoInSeries { .. }) => Decimal::TWO,
        _ => Decimal::ONE,
    }
}

fn id(key: &Key) -> String {
    let mut id = decision_word(key.decision).to_owned();
    let mut push = |text: String| {
        id.push('/');
        id.push_str(&text.replace(' ', "-"));
    };
    match (key.class, key.dielectric) {
        (Some(class), _) => push(class.lower()),
        (None, Some(dielectric)) => push(dielectric.label().to_owned()),
        (None, None) => push(kind_word(key.kind).to_owned()),
    }
    // A dial and a fixed capacitor may share their dielectric.
    if key.dielectric.is_some() && key.kind != PartKind::Capacitor {
        push(kind_word(key.kind).to_owned());
    }
    if let Some(rating) = key.rating {
        push(rating.volts().to_string());
    }
    if key.alternating {
        push("ac".to_owned());
    }
    if key.unnamed {
        push("unnamed".to_owned());
    }
    id
}

fn title(key: &Key) -> String {
    let name = match (key.class, key.dielectric) {
        (Some(class), _) => format!("class {class}"),
        (None, Some(Dielectric::Polypropylene)) => "polypropylene film".to_owned(),
        (None, Some(Dielectric::Electrolytic))
            if !key.unnamed && key.decision == Decision::Replace =>
        {
            "electrolytic 105 °C".to_owned()
        }
        (None, Some(dielectric)) => dielectric.label().to_owned(),
        (None, None) => kind_word(key.kind).to_owned(),
    };
    let mut title = first_upper(&name);
    if let Some(rating) = key.rating {
        title.push_str(", ");
        title.push_str(&rating.to_string());
    }
    if key.alternating {
        title.push_str(" AC");
    }
    if key.unnamed {
        title.push_str(": no part named");
    }
    title
}

fn first_upper(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| iter::once(upper(c)).chain(letters).collect())
}

const fn decision_word(decision: Decision) -> &'static str {
    match decision {
        Decision::Replace => "replace",
        Decision::Substitute => "substitute",
        Decision::Test => "test",
        Decision::Clean => "clean",
        Decision::Keep => "keep",
    }
}

const fn kind_word(kind: PartKind) -> &'static str {
    match kind {
        PartKind::Capacitor => "capacitor",
        PartKind::VariableCapacitor => "variable capacitor",
        PartKind::Resistor => "resistor",
        PartKind::Potentiometer => "control",
        PartKind::ResistanceCord => "resistance cord",
        PartKind::Coil => "coil",
        PartKind::Transformer => "transformer",
        PartKind::Tube => "tube",
        PartKind::DryRectifier => "dry rectifier",
        PartKind::Diode => "diode",
        PartKind::Lamp => "lamp",
        PartKind::Fuse => "fuse",
        PartKind::Switch => "switch",
        PartKind::Cord => "cord",
        PartKind::Battery => "battery",
        PartKind::Vibrator => "vibrator",
        PartKind::Speaker => "speaker",
        PartKind::Meter => "meter",
        PartKind::Connector => "connector",
        PartKind::Crystal => "crystal",
        PartKind::Other => "other",
    }
}

#[cfg(test)]
mod tests {
    use crate::plan::plan;
    use crate::plan::support::{capacitor, resistor, series_string, transformer};
    use crate::sheet::part::PartKind;

    #[test]
    fn groups_by_decision_material_and_rating_with_totals() {
        let mut mica = capacitor("C3", "0.00025", "500");
        mica.dielectric = Some(crate::trade::dielectric::Dielectric::Mica);
        let sheet = series_string(vec![
            capacitor("C1", "0.05", "400"),
            capacitor("C2", "0.02", "400"),
            mica,
            capacitor("C4", "0.05", "200"),
            resistor("R1", "470000"),
            crate::plan::support::part("V1", PartKind::Tube),
        ]);
        let plan = plan(&sheet);
        let told: Vec<_> = plan
            .groups
            .iter()
            .map(|g| {
                let lines: Vec<_> =
                    g.lines.iter().map(|l| format!("{} x{}", l.value, l.count)).collect();
                format!("{} | {} | {}", g.id, g.title, lines.join(", "))
            })
            .collect();
        assert_eq!(
            told,
            [
                "replace/polypropylene/400 | Polypropylene film, 400 V | 0.047 µF x2",
                "replace/polypropylene/630 | Polypropylene film, 630 V | 0.022 µF x1",
                "test/mica/500 | Mica, 500 V | 250 pF x1",
                "test/resistor | Resistor | 470 kΩ x1",
                "test/tube | Tube | value not told x1",
            ]
        );
        assert_eq!(plan.groups[0].total.unwrap().to_string(), "0.094 µF");
    }

    #[test]
    fn a_series_pair_counts_two_pieces() {
        let plan = plan(&transformer("900", vec![capacitor("C1", "16", "600")]));
        let group = &plan.groups[0];
        assert_eq!((group.id.as_str(), group.count), ("replace/electrolytic/450", 2));
        assert_eq!(group.lines[0].value, "33 µF");
        assert_eq!(group.total.unwrap().to_string(), "66 µF");
    }
}
