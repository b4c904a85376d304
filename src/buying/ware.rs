//! What is offered or lies in a drawer, as far as it bears on serving a need.
//!
//! ```
//! use firstglow::buying::ware;
//! let read = ware::read_line("12 x .1 600 film, by the window", 1);
//! assert_eq!(read.ware.text(), "0.1 µF 600 V film");
//! assert_eq!(read.count, Some(12));
//! ```

use super::problem::ListProblem;
use crate::notation::amount::{BareM, is_mark};
use crate::notation::capacitor::is_old_rating;
use crate::notation::item::{Found, Item};
use crate::notation::line;
use crate::notation::note::{Edit, Level, Note};
use crate::notation::number;
use crate::notation::problem::Problem;
use crate::notation::unit::{self, Measure, VoltMark};
use crate::notation::vocabulary::{self, Meaning};
use crate::notation::word::{Span, Word, cut};
use crate::trade::dielectric::Dielectric;
use crate::trade::kind::{Make, PartKind};
use crate::trade::quantity::{Capacitance, Power, Resistance, Voltage};
use crate::trade::ratings;
use crate::trade::safety::SafetyClass;
use rust_decimal::Decimal;

/// How old a part is said to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Age {
    /// Nothing is said.
    #[default]
    Unsaid,
    /// New.
    New,
    /// Old stock that was never fitted.
    OldStock,
    /// Taken out of another set.
    Used,
}

/// A part on offer or in stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ware {
    /// Capacitor or resistor.
    pub kind: PartKind,
    /// Its capacitance.
    pub capacitance: Option<Capacitance>,
    /// Its resistance.
    pub resistance: Option<Resistance>,
    /// Its rated voltage.
    pub rating: Option<Voltage>,
    /// Whether that is alternating.
    pub alternating: bool,
    /// Its rated power.
    pub power: Option<Power>,
    /// What it is made of.
    pub dielectric: Option<Dielectric>,
    /// Whether a ceramic is of the temperature-stable sort.
    pub stable: bool,
    /// Its safety class.
    pub class: Option<SafetyClass>,
    /// Whether an electrolytic has no polarity.
    pub non_polarised: bool,
    /// How old it is said to be.
    pub age: Age,
}

/// A line that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Read {
    /// The part.
    pub ware: Ware,
    /// How many, where the line begins with a count.
    pub count: Option<u32>,
    /// What is doubtful or wrong.
    pub notes: Vec<Note>,
}

impl Ware {
    fn new(kind: PartKind) -> Self {
        Self {
            kind,
            capacitance: None,
            resistance: None,
            rating: None,
            alternating: false,
            power: None,
            dielectric: None,
            stable: false,
            class: None,
            non_polarised: false,
            age: Age::Unsaid,
        }
    }

    /// Its value in picofarads or ohms.
    pub fn value(&self) -> Option<Decimal> {
        match self.kind {
            PartKind::Resistor => self.resistance.map(Resistance::ohms),
            _ => self.capacitance.map(Capacitance::picofarads),
        }
    }

    /// In one line: `0.1 µF 600 V film`.
    pub fn text(&self) -> String {
        let mut words: Vec<String> = Vec::new();
        words.extend(self.capacitance.map(|c| c.to_string()));
        words.extend(self.resistance.map(|r| r.to_string()));
        words.extend(self.power.map(|p| p.to_string()));
        let ac = if self.alternating { " AC" } else { "" };
        words.extend(self.rating.map(|v| format!("{v}{ac}")));
        words.extend(self.class.map(|c| format!("class {}", c.label())));
        words.extend(self.stable.then(|| "C0G".to_owned()));
        words.extend(self.dielectric.map(|d| d.label().to_owned()));
        words.extend(self.non_polarised.then(|| "non-polarised".to_owned()));
        words.extend(match self.age {
            Age::Unsaid => None,
            Age::New => Some("new".to_owned()),
            Age::OldStock => Some("old stock".to_owned()),
            Age::Used => Some("used".to_owned()),
        });
        words.join(" ")
    }

    /// Whether it is old by its words or by what it is made of: paper and wet
    /// electrolytics are not made any more.
    pub fn is_old(&self) -> bool {
        let gone = |d: Dielectric| d.is_paper() || d == Dielectric::WetElectrolytic;
        matches!(self.age, Age::OldStock | Age::Used) || self.dielectric.is_some_and(gone)
    }

    /// What to do with it before it is trusted, where something is to be done.
    /// Source: common practice, no source.
    pub fn test_first(&self) -> Option<&'static str> {
        let dielectric = self.dielectric?;
        if dielectric.is_paper() {
            return Some(
                "Paper leaks with age, fitted or not: insulation at its rated voltage, and even \
                 then not for keeps.",
            );
        }
        if dielectric == Dielectric::WetElectrolytic {
            return Some("A wet electrolytic dries out and eats itself: not used again.");
        }
        let old = matches!(self.age, Age::OldStock | Age::Used);
        if dielectric.is_electrolytic() && self.age != Age::New {
            return Some(
                "Electrolytics age in the drawer: reform through a resistor, then leakage, \
                 capacitance and ESR at its rated voltage.",
            );
        }
        old.then_some(
            "Old stock: capacitance, and leakage at its rated voltage, before it goes in.",
        )
    }
}

/// Reads one line of a part, perhaps with a count before it.
pub fn read_line(text: &str, number: usize) -> Read {
    let cut = cut(text, number);
    let (count, used) = leading_count(&cut.words);
    let mut read = read_words(&cut.words[used..], number);
    read.count = count;
    read
}

/// `12 x`, `12x`, `12 pcs`; how many, and how many words that takes.
pub(super) fn leading_count(words: &[Word]) -> (Option<u32>, usize) {
    let Some(first) = words.first().filter(|w| !w.quoted) else { return (None, 0) };
    let joined = first.lower();
    if let Some(count) = joined.strip_suffix(['x', '×']).and_then(whole) {
        return (Some(count), 1);
    }
    let then = words.get(1).map(Word::lower).unwrap_or_default();
    match (whole(&first.text), then.as_str()) {
        (Some(count), "x" | "×" | "pcs" | "pieces" | "off" | "times") => (Some(count), 2),
        _ => (None, 0),
    }
}

/// A whole number of pieces.
pub fn whole(text: &str) -> Option<u32> {
    let fits = !text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b.is_ascii_digit());
    fits.then(|| text.parse().ok()).flatten()
}

/// Reads the words of a part.
pub(super) fn read_words(words: &[Word], number: usize) -> Read {
    let (age, words) = age(words);
    let words = without_temperature(words);
    let kind = kind(&words);
    let mut ware = Ware::new(kind);
    ware.age = age;
    ware.stable = words.iter().any(|w| matches!(w.lower().as_str(), "c0g" | "np0" | "npo"));
    let letter = if kind == PartKind::Resistor { "R1" } else { "C1" };
    let at = words.first().map_or(Span { line: number, column: 1, length: 0 }, |w| w.span);
    let mut line = vec![Word::new(letter.to_owned(), Span { length: 0, ..at })];
    line.extend(words.clone());
    rate(&mut line);
    let read = line::read(&line, BareM::default());
    for placed in &read.items {
        put(&mut ware, &placed.item);
    }
    if ware.dielectric.is_none() && ware.class.is_none() && !ware.non_polarised && is_large(&ware) {
        ware.dielectric = Some(Dielectric::Electrolytic);
    }
    // A class is only ever rated on alternating volts.
    ware.alternating |= ware.class.is_some();
    let mut notes: Vec<Note> =
        read.found.into_iter().filter(|found| is_doubt(found, &ware)).map(Found::note).collect();
    for note in &mut notes {
        // A line that settles a whole sheet settles no list.
        note.choices.retain(|c| matches!(c.edit, Edit::Replace { .. }));
    }
    if ware.value().is_none() && !notes.iter().any(|n| n.level == Level::Error) {
        notes.push(ListProblem::NoValue.note(words.first().map_or(at, |w| w.span)));
    }
    Read { ware, count: None, notes }
}

/// Whether a capacitor is so large that it is an electrolytic unless another
/// kind is told: above 4 µF. Source: common practice, no source.
fn is_large(ware: &Ware) -> bool {
    ware.capacitance.is_some_and(|c| c.microfarads() > Decimal::from(4))
}

/// What was read is shown beside each line, so only real doubts are noted.
fn is_doubt(found: &Found, ware: &Ware) -> bool {
    match found.problem {
        Problem::BareCapacitance(..) => ware.dielectric.is_none() && found.choices.len() > 1,
        Problem::BareRating(..) => false,
        _ => true,
    }
}

fn put(ware: &mut Ware, item: &Item) {
    match item {
        Item::Capacitance(all) => ware.capacitance = all.first().copied(),
        Item::Resistance(value) => ware.resistance = Some(*value),
        Item::Power(power) => ware.power = Some(*power),
        Item::Volts(all, mark) if *mark != VoltMark::Surge => {
            ware.rating = all.first().copied();
            ware.alternating = *mark == VoltMark::Alternating;
        }
        Item::Dielectric(dielectric) => ware.dielectric = Some(*dielectric),
        Item::Class(class) => ware.class = Some(*class),
        Item::Make(Make::NonPolarised) => ware.non_polarised = true,
        Item::Make(Make::New) if ware.age == Age::Unsaid => ware.age = Age::New,
        _ => {}
    }
}

/// How old the words say it is, and the words that do not.
fn age(words: &[Word]) -> (Age, Vec<Word>) {
    let mut age = Age::Unsaid;
    let mut left: Vec<Word> = Vec::new();
    let mut at = 0;
    while let Some(word) = words.get(at) {
        let lower = word.lower();
        let next = words.get(at + 1).map(Word::lower).unwrap_or_default();
        let after = words.get(at + 2).map(Word::lower).unwrap_or_default();
        let (found, used) = match (lower.as_str(), next.as_str(), after.as_str()) {
            _ if word.quoted => (None, 1),
            ("new", "old", "stock") => (Some(Age::OldStock), 3),
            ("old", "stock", _) => (Some(Age::OldStock), 2),
            ("nos" | "n.o.s." | "surplus" | "vintage" | "old", ..) => (Some(Age::OldStock), 1),
            ("used" | "pull" | "pulls" | "pulled" | "salvaged", ..) => (Some(Age::Used), 1),
            _ => (None, 1),
        };
        match found {
            Some(found) => age = found,
            None => left.push(word.clone()),
        }
        at += used;
    }
    (age, left)
}

/// The words without what is told of temperature, the number before a `°C` of
/// its own included.
fn without_temperature(words: Vec<Word>) -> Vec<Word> {
    let mut left: Vec<Word> = Vec::with_capacity(words.len());
    for word in words {
        if !is_temperature(&word) {
            left.push(word);
            continue;
        }
        let is_number = |before: &Word| matches!(before.text.as_str(), "85" | "105" | "125");
        if !word.text.starts_with(|c: char| c.is_ascii_digit())
            && left.last().is_some_and(is_number)
        {
            left.pop();
        }
    }
    left
}

/// `105C`, `85°C`, `°C`: told on new electrolytics, and no matter here.
fn is_temperature(word: &Word) -> bool {
    let lower = word.lower();
    let figure = lower.trim_end_matches(['c', '°', 'º']);
    let marked = figure.len() < lower.len() && lower.ends_with('c');
    !word.quoted
        && marked
        && (figure.is_empty() && lower.len() > 1 || matches!(figure, "85" | "105" | "125"))
}

/// Capacitor or resistor, by the words.
fn kind(words: &[Word]) -> PartKind {
    let mut resistor = false;
    for (at, word) in words.iter().enumerate().filter(|(_, w)| !w.quoted) {
        let before = at.checked_sub(1).map(|at| &words[at]);
        let of_resistors = before.is_some_and(|w| w.is("carbon") || w.is("metal"));
        match vocabulary::meaning(&word.text) {
            _ if of_resistors && word.is("film") => resistor = true,
            Some(Meaning::Dielectric(_) | Meaning::Class(_)) => return PartKind::Capacitor,
            Some(Meaning::Make(Make::CarbonComposition | Make::FilmResistor | Make::Wirewound)) => {
                resistor = true;
            }
            _ => {}
        }
        resistor |= word.is("resistor") || word.is("resistors");
        let Ok(number) = number::read(&word.text) else { continue };
        let joined = word.text.get(number.length..).unwrap_or_default();
        let next = words.get(at + 1).filter(|n| !n.quoted && !word.comma);
        let mark = if joined.is_empty() { next.map_or("", |n| &n.text) } else { joined };
        match unit::read(mark).map(|u| u.measure) {
            Some(Measure::Capacitance) => return PartKind::Capacitor,
            Some(Measure::Resistance | Measure::Power) => resistor = true,
            None if matches!(mark, "K" | "k" | "M") => resistor = true,
            _ => {}
        }
    }
    if resistor { PartKind::Resistor } else { PartKind::Capacitor }
}

/// A bare number after the value that parts are rated at is its rating: `.047
/// 630 film`. Source: common practice, no source.
fn rate(words: &mut [Word]) {
    let mut seen = false;
    let marked: Vec<bool> = (0..words.len())
        .map(|at| words.get(at + 1).is_some_and(|next| !next.quoted && is_mark(&next.text)))
        .collect();
    for (word, marked) in words.iter_mut().zip(marked).skip(1).filter(|(w, _)| !w.quoted) {
        if seen && marked {
            return;
        }
        let Ok(number) = number::read(&word.text) else { continue };
        let bare = number.length == word.text.chars().count() && number.fraction.is_none();
        if seen && bare && (is_old_rating(&number) || is_sold(number.value)) {
            word.text.push('V');
            return;
        }
        if seen && unit::read(word.text.get(number.length..).unwrap_or_default()).is_some() {
            return;
        }
        seen = true;
    }
}

fn is_sold(value: Decimal) -> bool {
    let lists = [ratings::FILM, ratings::ELECTROLYTIC, ratings::CERAMIC];
    lists.iter().any(|list| {
        let rated = |text: &&str| Decimal::from_str_exact(text).ok() == Some(value);
        value >= Decimal::from(50) && list.iter().any(rated)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_as_sellers_write_them() {
        for (line, text) in [
            (".1 600 film", "0.1 µF 600 V film"),
            (".047 630V polypropylene", "0.047 µF 630 V polypropylene"),
            (".047uF 630 polypropylene film", "0.047 µF 630 V polypropylene"),
            ("47 250V electrolytic 105°C", "47 µF 250 V electrolytic"),
            ("22uF 250V 105C", "22 µF 250 V electrolytic"),
            (".0047 250VAC X1/Y2", "0.0047 µF 250 V AC class Y2"),
            ("10uF/450V elec 105 °C new", "10 µF 450 V electrolytic new"),
            ("220 pF 500V silver mica", "220 pF 500 V silver mica"),
            (".0047 250VAC Y2", "0.0047 µF 250 V AC class Y2"),
            ("0,1 275 VAC X2", "0.1 µF 275 V AC class X2"),
            ("1 meg 1W", "1 MΩ 1 W"),
            ("470K 1/2 W carbon film", "470 kΩ 0.5 W"),
            ("100 pF 1000V NP0 disc", "100 pF 1000 V C0G ceramic"),
            (".05 400 wax paper NOS", "0.05 µF 400 V paper old stock"),
            ("8/450 electrolytic pulled", "8 µF 450 V electrolytic used"),
            ("22 uF 100V bipolar", "22 µF 100 V non-polarised"),
        ] {
            let read = read_line(line, 1);
            assert_eq!(read.ware.text(), text, "{line}: {:?}", read.notes);
        }
    }

    #[test]
    fn what_a_part_is_told_as_is_read_back_as_the_same() {
        for line in [
            ".1 600 film",
            "47 250V electrolytic new",
            ".0047 250VAC Y2",
            "220 pF 500V silver mica NOS",
            "1 meg 1W",
            "100 pF 1000V NP0 disc",
            "22 uF 100V bipolar electrolytic",
            "8/450 electrolytic pulled",
        ] {
            let ware = read_line(line, 1).ware;
            assert_eq!(read_line(&ware.text(), 1).ware, ware, "{}", ware.text());
        }
    }

    #[test]
    fn counts_stand_before_the_part() {
        for (line, count) in
            [("12x .1 600 film", Some(12)), ("12 pcs .1 600 film", Some(12)), (".1 600 film", None)]
        {
            let read = read_line(line, 1);
            assert_eq!((read.count, read.ware.text().as_str()), (count, "0.1 µF 600 V film"));
        }
    }

    #[test]
    fn what_cannot_be_read_is_noted_at_its_place() {
        let read = read_line(".1 600 fiml", 4);
        let note = &read.notes[0];
        assert!(read.notes.iter().any(|n| n.line == 4 && n.column == 8), "{note:?}");
        let empty = read_line("film", 2);
        assert!(empty.notes.iter().any(|n| n.message.contains("value")), "{:?}", empty.notes);
    }

    #[test]
    fn old_stock_is_told_to_be_tested() {
        for (line, told) in [
            (".1 600 paper", true),
            ("8/450 electrolytic", true),
            ("8/450 electrolytic new", false),
            (".1 600 film", false),
            (".1 600 film NOS", true),
            ("8/450 wet electrolytic", true),
        ] {
            assert_eq!(read_line(line, 1).ware.test_first().is_some(), told, "{line}");
        }
    }
}
