//! Price lists as they are typed or pasted, one offer a line.
//!
//! ```text
//! list    = { line newline }
//! line    = [ seller | offer ] [ "#" remark ]
//! seller  = "seller" name [ "postage" price ]     ; the lines below are theirs; "shipping" too
//! offer   = [ count "x" ] part { "," | price-term | "pack" n | "least" n }
//! part    = as on a sheet, without designator: .047 630V polypropylene
//! term    = price                                  ; of one piece
//!         | n "+" price | n ":" price              ; of one, from n pieces on
//!         | n "for" price | price "for" n          ; n together
//! price   = number with a point, or with the sign of the currency, or after
//!           "at" or "@", or before "each"
//! ```
//!
//! Without a price the offer still counts: the fewest lines need none.

use super::money::{Money, Sign};
use super::price::Price;
use super::problem::ListProblem;
use super::ware::{Ware, leading_count, read_words, whole};
use crate::notation::note::Note;
use crate::notation::number;
use crate::notation::word::{Span, Word, cut};
use rust_decimal::Decimal;

/// The most lines that are read.
pub const MOST_LINES: usize = 2_000;

/// A seller.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Seller {
    /// As written; empty for offers above the first `seller` line.
    pub name: String,
    /// What an order costs beside its goods.
    pub postage: Money,
}

/// An offer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Its line, from 1.
    pub line: usize,
    /// The line as written.
    pub text: String,
    /// Which of the sellers.
    pub seller: usize,
    /// The part.
    pub ware: Ware,
    /// What it costs; nothing where no price is told.
    pub price: Price,
    /// How many lie there, where the line begins with a count.
    pub count: Option<u32>,
}

/// A list that was read.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PriceList {
    /// The sellers, in the order of the text.
    pub sellers: Vec<Seller>,
    /// The offers that have at least a value, in the order of the text.
    pub offers: Vec<Offer>,
    /// What is doubtful or wrong, in the order of the text.
    pub notes: Vec<Note>,
}

/// Reads a list whose prices carry no sign but the usual ones.
pub fn read(text: &str) -> PriceList {
    read_with(text, &Sign::default())
}

/// Reads a list. Never fails: what could not be read has a note.
pub fn read_with(text: &str, sign: &Sign) -> PriceList {
    let mut list = PriceList::default();
    for (index, line) in text.lines().enumerate() {
        let number = index + 1;
        if index == MOST_LINES {
            let span = Span { line: number, column: 1, length: 1 };
            list.notes.push(ListProblem::TooLong(MOST_LINES).note(span));
            break;
        }
        let words = cut(line, number).words;
        match words.first() {
            None => {}
            Some(first) if first.is("seller") || first.is("seller:") => {
                list.seller(&words, sign);
            }
            Some(_) => list.offer(line, &words, number, sign),
        }
    }
    list
}

/// What a seller's postage is called.
fn is_postage(word: &Word) -> bool {
    ["postage", "post", "shipping", "ship", "freight"].iter().any(|name| word.is(name))
}

impl PriceList {
    fn seller(&mut self, words: &[Word], sign: &Sign) {
        let at = words.iter().position(is_postage).unwrap_or(words.len());
        let name =
            words[1..at.max(1)].iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ");
        if name.is_empty() {
            self.notes.push(ListProblem::SellerName.note(words[0].span));
        }
        let mut postage = Money::ZERO;
        if let Some(word) = words.get(at) {
            match words.get(at + 1) {
                None => self.notes.push(ListProblem::Number("postage", "4.50").note(word.span)),
                Some(price) => match amount(price, sign) {
                    Some(money) => postage = money,
                    None => {
                        self.notes.push(ListProblem::Price(price.text.clone()).note(price.span));
                    }
                },
            }
        }
        self.sellers.push(Seller { name, postage });
    }

    fn offer(&mut self, line: &str, words: &[Word], number: usize, sign: &Sign) {
        let (count, used) = leading_count(words);
        let mut terms =
            Terms { sign, price: Price::default(), notes: Vec::new(), part: Vec::new() };
        terms.read(&words[used..]);
        let read = read_words(&terms.part, number);
        let Terms { price, notes, .. } = terms;
        self.notes.extend(read.notes);
        self.notes.extend(notes);
        if read.ware.value().is_none() {
            return;
        }
        if self.sellers.is_empty() {
            self.sellers.push(Seller::default());
        }
        if !price.is_told() {
            self.notes.push(ListProblem::NoPrice.note(words[0].span));
        }
        self.offers.push(Offer {
            line: number,
            text: line.trim().to_owned(),
            seller: self.sellers.len() - 1,
            ware: read.ware,
            price,
            count,
        });
    }
}

/// The terms of an offer while its words are read.
struct Terms<'a> {
    sign: &'a Sign,
    price: Price,
    notes: Vec<Note>,
    part: Vec<Word>,
}

impl Terms<'_> {
    fn read(&mut self, words: &[Word]) {
        let mut at = 0;
        while at < words.len() {
            at += self.term(&words[at..]);
        }
    }

    /// Reads what starts at the first word; how many words it takes.
    fn term(&mut self, words: &[Word]) -> usize {
        let word = &words[0];
        let text = |at: usize| words.get(at).map(Word::lower).unwrap_or_default();
        if word.quoted {
            self.part.push(word.clone());
            return 1;
        }
        match text(0).as_str() {
            "pack" | "packs" | "least" | "min" => return self.count(words),
            "at" | "@" => return 1 + self.one(words.get(1), &words[0]),
            "each" | "ea" | "or" | "apiece" | "ea." => return 1,
            _ => {}
        }
        if text(1) == "for"
            && let Some(used) = self.lot(words)
        {
            return used;
        }
        let from = text(0);
        if let Some(from) = from.strip_suffix(['+', ':']).and_then(whole) {
            let skip = usize::from(matches!(text(1).as_str(), "at" | "@"));
            return 1 + skip + self.from(from, words.get(1 + skip), word);
        }
        if let Some(rest) = from.strip_prefix('@') {
            let at = Word { text: rest.to_owned(), ..word.clone() };
            return self.one(Some(&at), word);
        }
        let named = matches!(text(1).as_str(), "each" | "ea" | "apiece" | "ea.") && !word.comma;
        if let Some(money) = amount(word, self.sign) {
            let marked = self.sign.strip(&word.text).1;
            // Only the part's own value may stand bare before any other number.
            let bare = !marked && !named;
            let pointed = word.text.contains(['.', ',']);
            let unit_follows = words.get(1).is_some_and(|n| {
                !n.quoted && !word.comma && crate::notation::amount::is_mark(&n.text)
            });
            if !bare || pointed && self.has_value() && !unit_follows {
                self.price.each(1, money);
                return 1 + usize::from(named);
            }
        }
        self.part.push(word.clone());
        1
    }

    fn has_value(&self) -> bool {
        self.part.iter().any(|w| !w.quoted && number::read(&w.text).is_ok())
    }

    /// `pack of 5`, `least 10`.
    fn count(&mut self, words: &[Word]) -> usize {
        let pack = words[0].lower().starts_with("pack");
        let of = usize::from(words.get(1).is_some_and(|w| w.is("of") || w.is("order")));
        if let Some(count) = words.get(1 + of).and_then(|w| whole(&w.text)).filter(|n| *n > 0) {
            let count = count.min(super::price::MOST_PIECES);
            if pack {
                self.price.pack = count;
            } else {
                self.price.least = count;
            }
            return 2 + of;
        }
        let problem = if pack {
            ListProblem::Number("pack", "5")
        } else {
            ListProblem::Number("least", "10")
        };
        self.notes.push(problem.note(words[0].span));
        1 + of
    }

    /// `10 for 3.00`, `3.00 for 10`.
    fn lot(&mut self, words: &[Word]) -> Option<usize> {
        let (first, last) = (&words[0], words.get(2)?);
        let (count, price) = match (whole(&first.text), whole(&last.text)) {
            (Some(count), _) => (count, last),
            (None, Some(count)) => (count, first),
            _ => return None,
        };
        match amount(price, self.sign).filter(|_| count > 0) {
            Some(money) => self.price.lot(count, money),
            None => self.notes.push(ListProblem::Price(price.text.clone()).note(price.span)),
        }
        Some(3)
    }

    /// The price of one; how many words it takes.
    fn one(&mut self, price: Option<&Word>, at: &Word) -> usize {
        self.from(1, price, at)
    }

    /// The price of one from so many on.
    fn from(&mut self, from: u32, price: Option<&Word>, at: &Word) -> usize {
        let Some(word) = price else {
            self.notes.push(ListProblem::Price(at.text.clone()).note(at.span));
            return 0;
        };
        match amount(word, self.sign) {
            Some(money) => self.price.each(from, money),
            None => self.notes.push(ListProblem::Price(word.text.clone()).note(word.span)),
        }
        1
    }
}

/// A word that is an amount of money and nothing else.
fn amount(word: &Word, sign: &Sign) -> Option<Money> {
    let (text, _) = sign.strip(&word.text);
    let number = number::read(text).ok().filter(|_| !word.quoted)?;
    let whole = number.length == text.chars().count() && number.fraction.is_none();
    let value: Decimal = number.value;
    whole.then(|| Money::new(value)).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn price(line: &str) -> (String, String, u32, u32) {
        let list = read(line);
        let offer = &list.offers[0];
        let mut told: Vec<String> = Vec::new();
        for (from, money) in offer.price.breaks() {
            told.push(format!("{from}+ {}", money.amount()));
        }
        for (count, money) in offer.price.lots() {
            told.push(format!("{count} for {}", money.amount()));
        }
        (offer.ware.text(), told.join(", "), offer.price.pack, offer.price.least)
    }

    #[test]
    fn prices_as_sellers_write_them() {
        for (line, part, told, pack, least) in [
            (
                ".047 630V polypropylene  .85  10+ .60  100+ .45",
                "0.047 µF 630 V polypropylene",
                "1+ 0.85, 10+ 0.60, 100+ 0.45",
                0,
                0,
            ),
            (".1 600 film, 10 for 3.00", "0.1 µF 600 V film", "10 for 3.00", 0, 0),
            (".1 600 film $3 for 10", "0.1 µF 600 V film", "10 for 3", 0, 0),
            (
                "47 250V electrolytic 1,20, 10: 1.05 pack 5 least 10",
                "47 µF 250 V electrolytic",
                "1+ 1.2, 10+ 1.05",
                5,
                10,
            ),
            (".0047 250VAC Y2 at 1 each", "0.0047 µF 250 V AC class Y2", "1+ 1", 0, 0),
            ("470K 1W 10 for 1", "470 kΩ 1 W", "10 for 1", 0, 0),
            ("10 uF 450V electrolytic €2", "10 µF 450 V electrolytic", "1+ 2", 0, 0),
            ("220 pF 500V silver mica @0.40", "220 pF 500 V silver mica", "1+ 0.40", 0, 0),
            (".5 mfd 400V film 1.10 ea", "0.5 µF 400 V film", "1+ 1.10", 0, 0),
        ] {
            let (found, prices, p, l) = price(line);
            let plain = |t: &str| {
                t.replace(".60", ".6")
                    .replace(".40", ".4")
                    .replace("1.10", "1.1")
                    .replace("3.00", "3")
            };
            assert_eq!(
                (found.as_str(), plain(&prices), p, l),
                (part, plain(told), pack, least),
                "{line}"
            );
        }
    }

    #[test]
    fn sellers_head_the_lines_below_them() {
        let list = read(
            "seller Hall and Sons, postage 4.50\n.1 600 film .5\nseller Mill, shipping 6\n.1 600 film .6",
        );
        assert_eq!(list.sellers[0].name, "Hall and Sons");
        assert_eq!(list.sellers[0].postage.amount().to_string(), "4.5");
        assert_eq!(list.sellers[1].name, "Mill");
        assert_eq!(list.sellers[1].postage.amount().to_string(), "6");
        assert_eq!(list.offers.iter().map(|o| o.seller).collect::<Vec<_>>(), [0, 1]);
    }

    #[test]
    fn faults_stand_at_their_place_and_stop_nothing_else() {
        let list =
            read("seller\n.1 600 film 10 for x\n.22 400 film pack\nrubbish\n.047 630V film .9");
        let found: Vec<_> =
            list.notes.iter().map(|n| (n.line, n.column, n.message.as_str())).collect();
        for (line, column, words) in [
            (1, 1, "'seller' needs a name"),
            (2, 20, "'x' is no price"),
            (3, 14, "'pack' needs a number"),
            (4, 1, "'rubbish' was not understood"),
        ] {
            assert!(
                found.iter().any(|(l, c, m)| (*l, *c) == (line, column) && m.starts_with(words)),
                "{words}: {found:?}"
            );
        }
        assert_eq!(list.offers.len(), 3);
    }

    #[test]
    fn an_offer_without_a_price_still_counts() {
        let list = read(".047 630V film");
        assert!(!list.offers[0].price.is_told());
        assert!(list.notes.iter().any(|n| n.message.starts_with("no price")));
    }
}
