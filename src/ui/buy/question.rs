//! What the sets on the bench need, and how each need stands: open, fitted, or
//! covered from a drawer.

use crate::bench::Bench;
use crate::bench::set::{Life, SetId};
use crate::bench::stock::Place;
use crate::buying::drawer::{Lying, hand_out};
use crate::buying::list::PriceList;
use crate::buying::need::{Need, Needs, of_plan};
use crate::buying::serve::serves;
use crate::buying::ware::{Ware, read_line};
use crate::plan::plan;
use crate::sheet::Sheet;

/// A set and its sheet: what its needs follow from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetText {
    /// The set.
    pub id: SetId,
    /// Its name.
    pub name: String,
    /// Its sheet.
    pub text: String,
}

/// A set and its needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetNeeds {
    /// The set.
    pub id: SetId,
    /// Its name.
    pub name: String,
    /// What its plan needs.
    pub needs: Needs,
}

/// How a need stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Still to be had.
    Open,
    /// The part is fitted.
    Fitted,
    /// Reserved in, or taken from, that line of stock.
    Covered(u32),
}

/// The needs asked about.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Question {
    /// The sets, by number and name.
    pub sets: Vec<(SetId, String)>,
    /// Their needs.
    pub needs: Vec<Need>,
    /// How each stands.
    pub standing: Vec<Standing>,
    /// Parts that are bought by the words of the plan: set and key.
    pub by_hand: Vec<(usize, String)>,
}

/// The sets on the bench, in order: of one alone, or of all.
pub fn texts(bench: &Bench, only: Option<SetId>) -> Vec<SetText> {
    let wanted = |id: SetId| only.is_none_or(|only| only == id);
    bench
        .sets
        .iter()
        .filter(|s| (s.life == Life::Active || only.is_some()) && wanted(s.id))
        .map(|s| SetText { id: s.id, name: s.name(), text: s.text.clone() })
        .collect()
}

/// The needs of sets.
pub fn needs_of(texts: &[SetText]) -> Vec<SetNeeds> {
    texts
        .iter()
        .map(|set| SetNeeds {
            id: set.id,
            name: set.name.clone(),
            needs: of_plan(&plan(&Sheet::read(&set.text)), 0),
        })
        .collect()
}

/// How the needs of sets stand.
pub fn ask(sets: &[SetNeeds], bench: &Bench) -> Question {
    let mut question = Question::default();
    for (at, set) in sets.iter().enumerate() {
        question.sets.push((set.id, set.name.clone()));
        let record = bench.set(set.id);
        let fitted =
            |key: &str| record.and_then(|r| r.parts.get(key)).is_some_and(|p| p.done_at.is_some());
        for need in &set.needs.wanted {
            let place = Place { set: set.id, part: need.part.clone(), nth: need.nth };
            question.standing.push(if fitted(&need.part) {
                Standing::Fitted
            } else if let Some(line) = covering(bench, &place) {
                Standing::Covered(line)
            } else {
                Standing::Open
            });
            question.needs.push(Need { set: at, ..need.clone() });
        }
        let by_hand = set.needs.by_hand.iter().filter(|key| !fitted(key));
        question.by_hand.extend(by_hand.map(|key| (at, key.clone())));
    }
    question
}

/// The line of stock that is reserved for a place.
fn covering(bench: &Bench, place: &Place) -> Option<u32> {
    let mut lines = bench.buying.stock.iter();
    lines.find(|l| l.reserved.iter().any(|k| k.place == *place)).map(|l| l.id)
}

impl Question {
    /// The needs that are still open.
    pub fn open(&self) -> Vec<usize> {
        (0..self.needs.len()).filter(|at| self.standing[*at] == Standing::Open).collect()
    }

    /// The same, as needs.
    pub fn open_needs(&self) -> Vec<Need> {
        self.open().into_iter().map(|at| self.needs[at].clone()).collect()
    }

    /// The place of a need.
    pub fn place(&self, need: &Need) -> Place {
        let set = self.sets.get(need.set).map_or(SetId(0), |(id, _)| *id);
        Place { set, part: need.part.clone(), nth: need.nth }
    }

    /// The parts of needs in words: `C7, C8 of Kitchen set; C3 of Console`.
    pub fn parts<'a>(&self, needs: impl IntoIterator<Item = &'a Need>) -> String {
        let mut by_set: Vec<(usize, Vec<String>)> = Vec::new();
        for need in needs {
            let part = match need.pieces {
                1 => need.part.clone(),
                pieces => format!("{} ({pieces})", need.part),
            };
            match by_set.iter_mut().find(|(set, _)| *set == need.set) {
                Some((_, parts)) => parts.push(part),
                None => by_set.push((need.set, vec![part])),
            }
        }
        let named = self.sets.len() > 1;
        let each = by_set.into_iter().map(|(set, parts)| {
            let name = self.sets.get(set).map_or("", |(_, name)| name);
            let parts = parts.join(", ");
            if named { format!("{parts} of {name}") } else { parts }
        });
        each.collect::<Vec<_>>().join("; ")
    }

    /// How many pieces needs ask for.
    pub fn pieces<'a>(needs: impl IntoIterator<Item = &'a Need>) -> u32 {
        needs.into_iter().map(|n| n.pieces).fold(0, u32::saturating_add)
    }
}

/// What the drawers could meet of the open needs: line of stock, place, pieces.
/// What is dear or missing in the price list comes first.
pub fn from_drawers(
    question: &Question,
    bench: &Bench,
    list: &PriceList,
) -> Vec<(u32, Place, u32)> {
    let needs = question.open_needs();
    let wares: Vec<Ware> = bench.buying.stock.iter().map(|l| read_line(&l.text, 1).ware).collect();
    let lying: Vec<Lying> = bench
        .buying
        .stock
        .iter()
        .zip(&wares)
        .map(|(line, ware)| Lying { ware, free: line.free() })
        .collect();
    let given = hand_out(&needs, &lying, |at| worth(&needs[at], list));
    let met = needs.iter().zip(given).filter_map(|(need, line)| Some((need, line?)));
    met.map(|(need, line)| (bench.buying.stock[line].id, question.place(need), need.pieces))
        .collect()
}

/// What a need costs at the least by the list, in millionths; more than any
/// price where the list has nothing for it.
fn worth(need: &Need, list: &PriceList) -> i64 {
    let offers = list.offers.iter().filter(|o| serves(&o.ware, &need.wanted));
    let costs = offers.filter_map(|o| o.price.buy(need.pieces)?.cost.ticks(6));
    costs.min().unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::stamp::Stamp;
    use crate::buying::list;

    const SHEET: &str = "set Kitchen set\nC1 .05 400 V paper coupling\nC2 .05 200 V paper avc";

    fn bench() -> (Bench, SetId) {
        let mut bench = Bench::default();
        let id = bench.add(SHEET, Stamp(0));
        (bench, id)
    }

    fn asked(bench: &Bench) -> Question {
        ask(&needs_of(&texts(bench, None)), bench)
    }

    #[test]
    fn needs_are_open_until_covered_or_fitted() {
        let (mut bench, id) = bench();
        assert_eq!(asked(&bench).standing, [Standing::Open, Standing::Open]);
        bench.stock_add("2x .047 630V film");
        let found = from_drawers(&asked(&bench), &bench, &PriceList::default());
        assert_eq!(found.len(), 2);
        for (line, place, pieces) in found {
            assert!(bench.reserve(line, place, pieces));
        }
        assert_eq!(asked(&bench).standing, [Standing::Covered(1), Standing::Covered(1)]);
        bench.set_mut(id).unwrap().part_mut("C1").done_at = Some(Stamp(1));
        assert_eq!(asked(&bench).standing[0], Standing::Fitted);
    }

    #[test]
    fn the_last_piece_goes_where_the_list_is_dearest() {
        let (mut bench, _) = bench();
        bench.stock_add(".047 630V film");
        let list = list::read(".047 400V film .10\n.047 630V film 2.00");
        let found = from_drawers(&asked(&bench), &bench, &list);
        assert_eq!(found.iter().map(|(_, p, _)| p.part.as_str()).collect::<Vec<_>>(), ["C1"]);
    }

    #[test]
    fn parts_are_named_by_set_where_there_are_several() {
        let (mut bench, _) = bench();
        let one = asked(&bench);
        assert_eq!(one.parts(&one.needs), "C1, C2");
        bench.add("set Console\nC9 .05 400 V paper coupling", Stamp(0));
        let two = asked(&bench);
        assert_eq!(two.parts(&two.needs), "C9 of Console; C1, C2 of Kitchen set");
    }
}
