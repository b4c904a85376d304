//! The form on a set edits the `mains` and `supply` lines of its sheet, one
//! item at a time; every other word on them stays as it was typed.
//!
//! ```
//! use firstglow::ui::set::model::{Item, with_item};
//! let sheet = "set A\nmains 117 V 60 Hz, 35 W # nameplate";
//! assert_eq!(
//!     with_item(sheet, Item::Fuse, Some("1 A")),
//!     "set A\nmains 117 V 60 Hz, 35 W fuse 1 A # nameplate"
//! );
//! ```

use crate::float;
use crate::letters::Letters;
use crate::sheet::{Cord, Header, Rectification, SupplyKind};
use std::ops::Range;

/// An item of the `mains` or the `supply` line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Item {
    /// `117 V`
    Mains,
    /// `high 127 V`
    HighLine,
    /// `60 Hz` or `DC`
    Frequency,
    /// `35 W`
    Power,
    /// `fuse 1 A`
    Fuse,
    /// `touch 0.25 mA`
    TouchLimit,
    /// `two-wire` or `three-wire`
    Cord,
    /// `transformer`, `series-string`, `vibrator`, `battery`
    Supply,
    /// `half-wave`, `full-wave`, `bridge`, `doubler`
    Rectification,
    /// `350-0-350 V`
    Secondary,
}

impl Item {
    const fn directive(self) -> &'static str {
        match self {
            Self::Supply | Self::Rectification | Self::Secondary => "supply",
            _ => "mains",
        }
    }

    /// The word that stands before the figure.
    const fn lead(self) -> &'static str {
        match self {
            Self::HighLine => "high ",
            Self::Fuse => "fuse ",
            Self::TouchLimit => "touch ",
            _ => "",
        }
    }

    /// The unit that is added to a bare number.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Mains | Self::HighLine | Self::Secondary => "V",
            Self::Frequency => "Hz",
            Self::Power => "W",
            Self::Fuse => "A",
            Self::TouchLimit => "mA",
            Self::Cord | Self::Supply | Self::Rectification => "",
        }
    }

    /// What the sheet says of it, as the form shows it.
    pub fn shown(self, header: &Header) -> String {
        let quantity = match self {
            Self::Mains => header.mains.map(|v| v.volts().to_string()),
            Self::HighLine => header.high_line.map(|v| v.volts().to_string()),
            Self::Frequency => header
                .frequency
                .map(|f| if f.hertz().is_zero() { "DC".to_owned() } else { f.hertz().to_string() }),
            Self::Power => header.power.map(|p| p.watts().to_string()),
            Self::Fuse => header.fuse.map(|a| a.to_string()),
            Self::TouchLimit => header.touch_limit.map(|a| a.to_string()),
            Self::Cord => header.cord.map(|c| cord_word(c).to_owned()),
            Self::Supply => header.supply.map(|s| supply_word(s).to_owned()),
            Self::Rectification => header.rectification.map(|r| rectification_word(r).to_owned()),
            Self::Secondary => header.secondary.map(|v| {
                let volts = v.volts();
                let half = volts.checked_div(2.into()).unwrap_or(volts).normalize();
                if header.centre_tapped { format!("{half}-0-{half}") } else { volts.to_string() }
            }),
        };
        quantity.unwrap_or_default()
    }
}

/// The word for a supply.
pub const fn supply_word(kind: SupplyKind) -> &'static str {
    match kind {
        SupplyKind::Transformer => "transformer",
        SupplyKind::SeriesString => "series-string",
        SupplyKind::Vibrator => "vibrator",
        SupplyKind::Battery => "battery",
    }
}

/// The word for a rectifier circuit.
pub const fn rectification_word(kind: Rectification) -> &'static str {
    match kind {
        Rectification::HalfWave => "half-wave",
        Rectification::FullWave => "full-wave",
        Rectification::Bridge => "bridge",
        Rectification::Doubler => "doubler",
    }
}

/// The word for a cord.
pub const fn cord_word(cord: Cord) -> &'static str {
    match cord {
        Cord::TwoWire => "two-wire",
        Cord::ThreeWire => "three-wire",
    }
}

/// The cells of the title block: what is said of the set, and how many parts.
pub fn title_cells(header: &Header, parts: usize) -> Vec<(&'static str, String)> {
    let mut mains = Item::Mains.shown(header);
    if !mains.is_empty() {
        mains.push_str(" V");
    }
    let frequency = header
        .frequency
        .map(|f| if f.hertz().is_zero() { " DC".to_owned() } else { format!(" {f}") });
    mains.push_str(&frequency.unwrap_or_default());
    let supply = Item::Supply.shown(header);
    let cells = [
        ("Mains", mains),
        ("Power", header.power.map(|p| p.to_string()).unwrap_or_default()),
        ("Supply", supply),
        ("Cord", Item::Cord.shown(header)),
        ("Fuse", Item::Fuse.shown(header)),
        ("Parts", parts.to_string()),
    ];
    cells
        .into_iter()
        .map(|(name, value)| (name, if value.trim().is_empty() { "–".to_owned() } else { value }))
        .collect()
}

/// What a typed entry puts on the line: `None` where it clears the item.
///
/// # Errors
/// What was expected, where the entry is not a figure.
pub fn entry(item: Item, typed: &str) -> Result<Option<String>, &'static str> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Ok(None);
    }
    if item.unit().is_empty() || (item == Item::Frequency && typed.eq_ignore_ascii_case("dc")) {
        return Ok(Some(typed.to_owned()));
    }
    let end = typed.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    let (number, unit) = typed.split_at(end.unwrap_or(typed.len()));
    let parts: Vec<&str> = match item {
        Item::Secondary => number.split('-').collect(),
        _ => vec![number],
    };
    let well = parts.iter().all(|p| float::read(p).is_some_and(|n| n >= 0.0));
    let unit = unit.trim();
    let unit_well = unit.is_empty()
        || unit.eq_ignore_ascii_case(item.unit())
        || (matches!(item, Item::Fuse | Item::TouchLimit) && ["A", "mA", "µA"].contains(&unit));
    if !well || !unit_well || ![1, 3].contains(&parts.len()) {
        return Err(match item {
            Item::Mains | Item::HighLine => "A voltage, like 117",
            Item::Frequency => "A frequency, like 60, or DC",
            Item::Power => "A power in watts, like 35",
            Item::Fuse => "A current in amperes, like 1 or 0.5",
            Item::TouchLimit => "A current in milliamperes, like 0.25",
            _ => "A voltage, like 350-0-350 or 250",
        });
    }
    let unit = if unit.is_empty() { item.unit() } else { unit };
    Ok(Some(format!("{number} {unit}")))
}

/// The sheet with an item set, or with it gone.
pub fn with_item(text: &str, item: Item, value: Option<&str>) -> String {
    let mut lines: Vec<String> = text.split('\n').map(str::to_owned).collect();
    let Some(index) = lines.iter().position(|l| is_directive(l, item.directive())) else {
        let Some(value) = value else { return text.to_owned() };
        let line = format!("{:<7} {}{value}", item.directive(), item.lead());
        lines.insert(place_for(&lines, item.directive()), line);
        return lines.join("\n");
    };
    lines[index] = line_with(&lines[index], item, value);
    lines.join("\n")
}

/// The sheet with a `read` line of those words, or without one.
pub fn with_bare_m(text: &str, words: &str) -> String {
    let mut lines: Vec<String> = text.split('\n').map(str::to_owned).collect();
    let found = lines.iter().position(|l| is_directive(l, "read"));
    match (found, words.is_empty()) {
        (Some(index), true) => {
            lines.remove(index);
        }
        (Some(index), false) => lines[index] = format!("read    {words}"),
        (None, true) => {}
        (None, false) => lines.insert(place_for(&lines, "read"), format!("read    {words}")),
    }
    lines.join("\n")
}

fn line_with(line: &str, item: Item, value: Option<&str>) -> String {
    let (body, remark) = line.split_at(line.find('#').unwrap_or(line.len()));
    let words = words(body);
    let found = (1..words.len()).find_map(|at| {
        let taken = matches(body, &words[at..], item, &body[words[at - 1].clone()]);
        (taken > 0).then(|| words[at].start..words[at + taken - 1].end)
    });
    match (found, value) {
        (Some(span), Some(value)) => {
            format!("{}{}{value}{}{remark}", &body[..span.start], item.lead(), &body[span.end..])
        }
        (Some(span), None) => {
            let after = body[span.end..].trim_start_matches([' ', ',']);
            let before = &body[..span.start];
            let before =
                if after.is_empty() { before.trim_end_matches([' ', ',']) } else { before };
            let gap = if after.is_empty() && !remark.is_empty() { "  " } else { "" };
            format!("{before}{after}{gap}{remark}")
        }
        (None, Some(value)) => {
            let gap = if remark.is_empty() { "" } else { " " };
            format!("{} {}{value}{gap}{remark}", body.trim_end(), item.lead())
        }
        (None, None) => line.to_owned(),
    }
}

fn is_directive(line: &str, directive: &str) -> bool {
    let word = line.split(|c: char| c.is_whitespace() || c == ':').next().unwrap_or("");
    word.eq_ignore_ascii_case(directive)
}

/// After the lines that come before it by custom; else at the top.
fn place_for(lines: &[String], directive: &str) -> usize {
    let after: &[&str] = match directive {
        "read" => &["supply", "mains", "set"],
        "supply" => &["mains", "set"],
        _ => &["set"],
    };
    after
        .iter()
        .find_map(|d| lines.iter().position(|l| is_directive(l, d)))
        .map_or(0, |index| index + 1)
}

/// The words of a line, as spans, without the commas between them.
fn words(body: &str) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut start = None;
    for (at, c) in body.char_indices().chain([(body.len(), ' ')]) {
        let between = c.is_whitespace() || c == ',';
        match (between, start) {
            (false, None) => start = Some(at),
            (true, Some(from)) => {
                found.push(from..at);
                start = None;
            }
            _ => {}
        }
    }
    found
}

/// How many words from the first make up the item; none if it is not there.
fn matches(body: &str, spans: &[Range<usize>], item: Item, before: &str) -> usize {
    let word = |n: usize| spans.get(n).map_or("", |s| &body[s.clone()]);
    let first = word(0).lower();
    let amount = |at: usize, units: &[&str]| amount(word(at), word(at + 1), units);
    let led = |lead: &str, units: &[&str]| {
        let taken = if first == lead { amount(1, units) } else { 0 };
        if taken > 0 { taken + 1 } else { 0 }
    };
    match item {
        Item::Mains if before.eq_ignore_ascii_case("high") => 0,
        Item::Mains => amount(0, &["v", "volt", "volts", "vac"]),
        Item::HighLine => led("high", &["v", "volt", "volts", "vac"]),
        Item::Frequency if first == "dc" => 1,
        Item::Frequency => amount(0, &["hz", "cycles", "cycle", "cps", "c/s"]),
        Item::Power => amount(0, &["w", "watt", "watts"]),
        Item::Fuse => led("fuse", &["a", "amp", "amps", "ma"]),
        Item::TouchLimit => led("touch", &["ma", "µa", "a"]),
        Item::Cord => one_of(&first, &["two-wire", "three-wire"]),
        Item::Supply => one_of(&first, &["transformer", "series-string", "vibrator", "battery"]),
        Item::Rectification => one_of(&first, &["half-wave", "full-wave", "bridge", "doubler"]),
        Item::Secondary => {
            let taken = amount(0, &["v", "volt", "volts", "vac"]);
            let tapped = taken > 0 && word(taken).eq_ignore_ascii_case("ct");
            taken + usize::from(tapped)
        }
    }
}

fn one_of(word: &str, list: &[&str]) -> usize {
    usize::from(list.contains(&word))
}

/// One word for `117V`, two for `117 V`.
fn amount(word: &str, next: &str, units: &[&str]) -> usize {
    let end =
        word.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).unwrap_or(word.len());
    let (number, unit) = word.split_at(end);
    if number.is_empty() {
        return 0;
    }
    let known = |unit: &str| units.contains(&unit.lower().as_str());
    if unit.is_empty() { 2 * usize::from(known(next)) } else { usize::from(known(unit)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: &str = "set A\nmains 117 V 60 Hz, 35 W high 127V # plate\nC1 .05";

    #[test]
    fn an_item_is_replaced_where_it_stands() {
        for (item, value, line) in [
            (Item::Mains, Some("230 V"), "mains 230 V 60 Hz, 35 W high 127V # plate"),
            (Item::HighLine, Some("130 V"), "mains 117 V 60 Hz, 35 W high 130 V # plate"),
            (Item::Frequency, Some("DC"), "mains 117 V DC, 35 W high 127V # plate"),
            (Item::Power, None, "mains 117 V 60 Hz, high 127V # plate"),
            (Item::HighLine, None, "mains 117 V 60 Hz, 35 W  # plate"),
            (Item::Cord, Some("two-wire"), "mains 117 V 60 Hz, 35 W high 127V two-wire # plate"),
            (Item::Fuse, None, "mains 117 V 60 Hz, 35 W high 127V # plate"),
        ] {
            let expected = format!("set A\n{line}\nC1 .05");
            assert_eq!(with_item(SHEET, item, value), expected, "{item:?} {value:?}");
        }
    }

    #[test]
    fn a_missing_line_is_put_after_those_before_it() {
        let sheet = with_item(SHEET, Item::Supply, Some("transformer"));
        assert_eq!(sheet.lines().nth(2), Some("supply  transformer"));
        assert_eq!(with_item("C1 .05", Item::Fuse, Some("1 A")), "mains   fuse 1 A\nC1 .05");
        assert_eq!(with_item("C1 .05", Item::Fuse, None), "C1 .05");
    }

    #[test]
    fn a_tapped_secondary_is_one_item() {
        let sheet = "supply transformer full-wave 700 V CT";
        assert_eq!(
            with_item(sheet, Item::Secondary, Some("350-0-350 V")),
            "supply transformer full-wave 350-0-350 V"
        );
        assert_eq!(
            with_item("supply transformer 350-0-350 V", Item::Secondary, None),
            "supply transformer"
        );
    }

    #[test]
    fn the_reading_of_a_bare_m_is_a_line_of_its_own() {
        let with = with_bare_m("set A\nR1 470M", "M as thousand");
        assert_eq!(with, "set A\nread    M as thousand\nR1 470M");
        assert_eq!(with_bare_m(&with, "M as million"), "set A\nread    M as million\nR1 470M");
        assert_eq!(with_bare_m(&with, ""), "set A\nR1 470M");
    }

    #[test]
    fn entries_get_their_unit_and_others_say_what_was_expected() {
        assert_eq!(entry(Item::Mains, " 117 "), Ok(Some("117 V".into())));
        assert_eq!(entry(Item::Mains, "117V"), Ok(Some("117 V".into())));
        assert_eq!(entry(Item::Secondary, "350-0-350"), Ok(Some("350-0-350 V".into())));
        assert_eq!(entry(Item::Fuse, "500 mA"), Ok(Some("500 mA".into())));
        assert_eq!(entry(Item::Frequency, "dc"), Ok(Some("dc".into())));
        assert_eq!(entry(Item::Mains, ""), Ok(None));
        assert_eq!(entry(Item::Mains, "about 110"), Err("A voltage, like 117"));
        assert_eq!(entry(Item::Power, "35 V"), Err("A power in watts, like 35"));
        assert_eq!(entry(Item::Secondary, "350-0"), Err("A voltage, like 350-0-350 or 250"));
    }
}
