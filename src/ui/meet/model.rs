//! The table of a swap meet: the line in hand stands first, those kept below it.

use crate::bench::stock::Place;
use crate::buying::list::{Offer, PriceList, read_with};
use crate::buying::money::Sign;
use crate::buying::need::Need;
use crate::buying::table::Table;
use crate::notation::note::Note;
use crate::trade::kind::PartKind;
use crate::ui::buy::basket::{offer_text, reasons, steps};
use crate::ui::buy::question::Question;
use crate::ui::words::count;

/// What is said of a line on the table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Verdict {
    /// What was read, with its price.
    pub read: String,
    /// `Serves 3 needs`, or that it serves none.
    pub head: String,
    /// Whether it serves any.
    pub serves: bool,
    /// For which parts.
    pub parts: String,
    /// `Buy 10 for $3.00: 3 needed, 7 spare.`
    pub buy: String,
    /// What it would save.
    pub saves: String,
    /// What to do before it is trusted.
    pub test_first: Option<&'static str>,
    /// Why it does not serve: parts, and the reasons.
    pub against: Vec<(String, String)>,
    /// How many are bought: what the price gives, or what is needed.
    pub pieces: u32,
    /// What it is, for the drawer.
    pub what: String,
    /// Where the pieces go when they are bought.
    pub places: Vec<(Place, u32)>,
    /// What is doubtful or wrong in the line.
    pub notes: Vec<Note>,
}

/// The line in hand, and the lines kept.
pub fn lines(table: &str) -> (String, Vec<String>) {
    let mut lines = table.split('\n').map(str::to_owned);
    let first = lines.next().unwrap_or_default();
    (first, lines.filter(|l| !l.trim().is_empty()).collect())
}

/// The same as one text.
pub fn table_of(in_hand: &str, kept: &[String]) -> String {
    let plain = in_hand.replace(['\n', '\r'], " ");
    std::iter::once(plain.as_str())
        .chain(kept.iter().map(String::as_str))
        .collect::<Vec<_>>()
        .join("\n")
}

/// Judges a line; nothing where nothing was typed.
pub fn judge(
    line: &str,
    question: &Question,
    open: &[Need],
    table: &Table,
    sign: &Sign,
) -> Option<Verdict> {
    if line.trim().is_empty() {
        return None;
    }
    let mut read: PriceList = read_with(line, sign);
    // A price is asked at the table: its lack is no fault of the line.
    read.notes.retain(|n| !n.message.starts_with("no price"));
    let Some(offer) = read.offers.first() else {
        let head = "Nothing read yet".to_owned();
        return Some(Verdict { head, notes: read.notes, ..Verdict::default() });
    };
    Some(of_offer(offer, read.notes.clone(), question, open, table, sign))
}

fn of_offer(
    offer: &Offer,
    notes: Vec<Note>,
    question: &Question,
    open: &[Need],
    table: &Table,
    sign: &Sign,
) -> Verdict {
    let judged = table.judge(offer);
    let needs = || judged.serves.iter().filter_map(|at| open.get(*at));
    let (ware, price) = offer_text(offer, sign);
    let priced = offer.price.is_told();
    let pieces = judged.purchase.as_ref().map_or(judged.pieces, |p| p.pieces);
    let buy = judged.purchase.as_ref().map(|purchase| {
        let spare = purchase.pieces.saturating_sub(judged.pieces);
        let spare = if spare > 0 { format!(", {spare} spare") } else { String::new() };
        format!(
            "Buy {} ({}): {}: {} needed{spare}.",
            purchase.pieces,
            steps(&purchase.steps, sign),
            sign.show(purchase.cost),
            judged.pieces
        )
    });
    let head = match judged.serves.len() {
        0 if open.is_empty() => "No set on the bench has an open need".to_owned(),
        0 => "Serves no open need".to_owned(),
        n => format!("Serves {}", count(n, "need", "needs")),
    };
    let saves = match judged.saves {
        _ if judged.serves.is_empty() => String::new(),
        Some(saved) => format!("Saves {} against the price list.", sign.show(saved)),
        None if judged.only_here == judged.serves.len() => {
            "The price list has nothing for these.".to_owned()
        }
        None if !priced => "Type its price to see what it would save.".to_owned(),
        None => "Saves nothing against the price list.".to_owned(),
    };
    Verdict {
        read: if priced { format!("{ware}, {price}") } else { ware },
        head,
        serves: !judged.serves.is_empty(),
        parts: question.parts(needs()),
        buy: buy.unwrap_or_default(),
        saves,
        test_first: judged.test_first,
        against: against(&judged.against, question, open),
        pieces: pieces.max(offer.count.filter(|_| judged.serves.is_empty()).unwrap_or(0)),
        what: offer.ware.text(),
        places: needs().map(|n| (question.place(n), n.pieces)).collect(),
        notes,
    }
}

/// Reasons against, needs with the same ones together.
fn against(
    all: &[crate::buying::table::Against],
    question: &Question,
    open: &[Need],
) -> Vec<(String, String)> {
    let mut alike: Vec<(String, Vec<&Need>)> = Vec::new();
    for against in all {
        let Some(need) = open.get(against.need) else { continue };
        let why = reasons(&against.why);
        match alike.iter_mut().find(|(known, _)| *known == why) {
            Some((_, needs)) => needs.push(need),
            None => alike.push((why, vec![need])),
        }
    }
    alike.into_iter().map(|(why, needs)| (question.parts(needs), why)).collect()
}

/// Words to tap a line together from: what the open needs ask for, then ratings
/// and sorts. Each group is one row of buttons.
pub fn keys(open: &[Need]) -> [Vec<String>; 3] {
    let mut values: Vec<_> = open.iter().filter(|n| n.wanted.kind == PartKind::Capacitor).collect();
    values.sort_by_key(|n| n.wanted.value);
    let mut shown: Vec<String> = values.iter().map(|n| n.wanted.shown(n.wanted.value)).collect();
    shown.dedup();
    let words = |list: &[&str]| list.iter().map(|w| (*w).to_owned()).collect();
    [
        shown,
        words(&["100V", "200V", "400V", "450V", "600V", "630V", "1000V", "250VAC"]),
        words(&[
            "film",
            "electrolytic",
            "mica",
            "ceramic",
            "paper",
            "X2",
            "Y2",
            "NOS",
            "1 for",
            "5 for",
            "10 for",
        ]),
    ]
}

/// A line with a tapped word at its end.
pub fn tapped(line: &str, word: &str) -> String {
    let gap = if line.is_empty() || line.ends_with(' ') { "" } else { " " };
    format!("{line}{gap}{word} ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::Bench;
    use crate::bench::stamp::Stamp;
    use crate::buying::list;
    use crate::ui::buy::question::{ask, needs_of, texts};

    const SHEET: &str = "set Kitchen set\nmains 117 V 60 Hz\nsupply series-string\n\
                         C1 .1 400 V paper coupling\nC2 .1 200 V paper avc\n\
                         C3 .1 mfd 400 V paper across line";

    fn verdict(line: &str) -> Verdict {
        let mut bench = Bench::default();
        bench.add(SHEET, Stamp(0));
        let question = ask(&needs_of(&texts(&bench, None)), &bench);
        let open = question.open_needs();
        let prices = list::read("seller Hall, postage 4\n.1 630V film .85\n.1 275VAC X2 1.20");
        let table = Table::new(&open, &prices);
        judge(line, &question, &open, &table, &Sign::new("$")).unwrap()
    }

    #[test]
    fn a_line_is_judged_in_words() {
        let found = verdict(".1 630 film, 10 for 1.00");
        assert_eq!((found.head.as_str(), found.parts.as_str()), ("Serves 2 needs", "C1, C2"));
        assert_eq!(found.buy, "Buy 10 (10 for $1.00): $1.00: 2 needed, 8 spare.");
        assert_eq!(found.saves, "Saves $0.70 against the price list.");
        let (parts, why) = &found.against[0];
        assert_eq!(parts, "C3");
        assert!(why.starts_with("it carries no safety class"), "{why}");
    }

    #[test]
    fn a_part_that_serves_nothing_says_why() {
        let found = verdict(".1 600 film, 10 for 3.00");
        assert_eq!((found.head.as_str(), found.parts.as_str()), ("Serves 1 need", "C2"));
        assert!(found.against.iter().any(|(p, w)| p == "C1" && w == "600 V is below 630 V"));
        let paper = verdict(".1 600 paper NOS");
        assert!(!paper.serves && paper.test_first.is_some());
        assert!(paper.against.iter().any(|(_, w)| w.contains("paper does not stand in for film")));
    }

    #[test]
    fn a_line_under_the_fingers_is_never_lost() {
        let kept = vec![".1 600 film".to_owned()];
        let table = table_of(".047 63", &kept);
        assert_eq!(lines(&table), (".047 63".to_owned(), kept));
        assert_eq!(verdict("fil").head, "Nothing read yet");
    }

    #[test]
    fn the_keys_offer_what_the_sets_need() {
        let mut bench = Bench::default();
        bench.add(SHEET, Stamp(0));
        let question = ask(&needs_of(&texts(&bench, None)), &bench);
        assert_eq!(keys(&question.open_needs())[0], ["0.1 µF"]);
        assert_eq!(tapped(".1", "600V"), ".1 600V ");
    }
}
