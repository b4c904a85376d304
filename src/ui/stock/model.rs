//! The drawers as rows: what each line was read as, what is reserved of it, what
//! of the open needs it could serve.

use crate::bench::Bench;
use crate::bench::set::SetRecord;
use crate::bench::stock::{Place, StockLine};
use crate::buying::serve::serves;
use crate::buying::ware::read_line;
use crate::notation::note::Level;
use crate::ui::buy::question::{Question, from_drawers};
use crate::ui::words::count;

/// A line of stock as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its number.
    pub id: u32,
    /// As typed.
    pub text: String,
    /// What it was read as, where that says something.
    pub read: String,
    /// What could not be read.
    pub wrong: String,
    /// How many lie there.
    pub count: u32,
    /// How many of them are not reserved.
    pub free: u32,
    /// What is reserved: the place, and its words.
    pub reserved: Vec<(Place, String)>,
    /// `C3 of Kitchen set` of what was taken.
    pub taken: String,
    /// Open needs it could serve, in words.
    pub serves: String,
    /// What to do before it is trusted.
    pub test_first: Option<&'static str>,
}

/// The rows, in the order of the drawers.
pub fn rows(bench: &Bench, question: &Question) -> Vec<Row> {
    bench.buying.stock.iter().map(|line| row(line, bench, question)).collect()
}

fn row(line: &StockLine, bench: &Bench, question: &Question) -> Row {
    let read = read_line(&line.text, 1);
    let open = question.open();
    let fits = open.iter().map(|at| &question.needs[*at]);
    let fits: Vec<_> = fits.filter(|n| serves(&read.ware, &n.wanted)).collect();
    let name = |place: &Place| {
        let set =
            bench.set(place.set).map_or_else(|| "a set that is gone".to_owned(), SetRecord::name);
        format!("{} of {set}", place.part)
    };
    let wrong = read.notes.iter().find(|n| n.level == Level::Error);
    Row {
        id: line.id,
        text: line.text.clone(),
        read: read.ware.text(),
        wrong: wrong.map(|n| n.message.clone()).unwrap_or_default(),
        count: line.count,
        free: line.free(),
        reserved: line
            .reserved
            .iter()
            .map(|k| {
                let pieces =
                    if k.pieces > 1 { format!("{} for ", k.pieces) } else { String::new() };
                (k.place.clone(), format!("{pieces}{}", name(&k.place)))
            })
            .collect(),
        taken: line.taken.iter().map(|k| name(&k.place)).collect::<Vec<_>>().join(", "),
        serves: if line.free() > 0 { question.parts(fits) } else { String::new() },
        test_first: read.ware.test_first(),
    }
}

/// The places that a line alone could be reserved for: what is handed out of it
/// when nothing else lies there.
pub fn could_reserve(bench: &Bench, question: &Question, id: u32) -> Vec<(u32, Place, u32)> {
    let mut alone = bench.clone();
    alone.buying.stock.retain(|l| l.id == id);
    from_drawers(question, &alone, &crate::buying::list::PriceList::default())
}

/// `4 lines, 31 pieces, 5 of them reserved`.
pub fn summary(rows: &[Row]) -> String {
    let pieces = rows.iter().map(|r| r.count).fold(0, u32::saturating_add);
    let free = rows.iter().map(|r| r.free).fold(0, u32::saturating_add);
    let lines = count(rows.len(), "line", "lines");
    let reserved = pieces.saturating_sub(free);
    let tail = if reserved > 0 { format!(", {reserved} of them reserved") } else { String::new() };
    format!("{lines}, {}{tail}", count(pieces as usize, "piece", "pieces"))
}

/// The drawers as text to paste, which reads back as the same.
pub fn as_text(stock: &[StockLine]) -> String {
    stock.iter().map(|l| format!("{} x {}", l.count, l.text)).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::stamp::Stamp;
    use crate::ui::buy::question::{ask, needs_of, texts};

    fn bench() -> Bench {
        let mut bench = Bench::default();
        bench.add("set Kitchen set\nC1 .05 400 V paper coupling", Stamp(0));
        bench.stock_add("3 x .047 630V film\n2 x 8/450 electrolytic NOS\nodd thing");
        bench
    }

    #[test]
    fn each_line_says_what_it_is_what_it_serves_and_what_is_wrong() {
        let bench = bench();
        let question = ask(&needs_of(&texts(&bench, None)), &bench);
        let rows = rows(&bench, &question);
        assert_eq!((rows[0].read.as_str(), rows[0].serves.as_str()), ("0.047 µF 630 V film", "C1"));
        assert!(rows[1].test_first.is_some() && rows[1].serves.is_empty());
        assert!(rows[2].wrong.contains("not understood"), "{}", rows[2].wrong);
        assert_eq!(summary(&rows), "3 lines, 6 pieces");
        assert_eq!(could_reserve(&bench, &question, 1).len(), 1);
    }

    #[test]
    fn the_text_of_the_drawers_fills_the_same_drawers() {
        let bench = bench();
        let mut other = Bench::default();
        other.stock_add(&as_text(&bench.buying.stock));
        assert_eq!(other.buying.stock, bench.buying.stock);
    }
}
