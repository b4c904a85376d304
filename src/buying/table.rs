//! What lies on a table at a swap meet: which needs a part serves, what it
//! would save, and why not where it does not.
//!
//! ```
//! use firstglow::{buying::{list, need, table}, plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::read("C7 .05 400 V paper coupling"));
//! let needs = need::of_plan(&plan, 0).wanted;
//! let seen = list::read(".1 600 film, 10 for 3.00");
//! let prices = list::PriceList::default();
//! let found = table::Table::new(&needs, &prices).judge(&seen.offers[0]);
//! assert!(found.serves.is_empty());
//! assert_eq!(found.against[0].why[0].to_string(), "0.1 µF lies outside 0.04 to 0.0625 µF");
//! ```

use super::basket::{Aim, Basket, fill_within};
use super::list::{Offer, PriceList, Seller};
use super::money::Money;
use super::need::Need;
use super::price::Purchase;
use super::serve::{self, Unfit, check};

/// The most nodes that a search looks at for each part on the table.
const NODES: usize = 200;

/// Needs that are still open, and what they cost by the price list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table<'a> {
    needs: &'a [Need],
    list: &'a PriceList,
    /// All of them by the list.
    whole: Basket,
}

/// What is to be said of a part on the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// The needs it serves, as they are numbered in the question; no more than
    /// lie there.
    pub serves: Vec<usize>,
    /// How many pieces those are.
    pub pieces: u32,
    /// What buying them costs here.
    pub purchase: Option<Purchase>,
    /// By how much the cheapest basket falls where this part may be drawn on,
    /// too; `None` where it does not, or where prices are missing.
    pub saves: Option<Money>,
    /// How many of the needs it serves the price list does not serve.
    pub only_here: usize,
    /// Why it does not serve the others of its kind, the fewest reasons first.
    pub against: Vec<Against>,
    /// What to do with it before it is trusted.
    pub test_first: Option<&'static str>,
}

/// A need that is not served, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Against {
    /// Which need.
    pub need: usize,
    /// Every reason.
    pub why: Vec<Unfit>,
}

impl<'a> Table<'a> {
    /// Prepares to judge.
    pub fn new(needs: &'a [Need], list: &'a PriceList) -> Self {
        Self { needs, list, whole: fill_within(needs, list, Aim::Cheapest, NODES) }
    }

    /// Judges one part.
    pub fn judge(&self, offer: &Offer) -> Judged {
        let (mut serves, mut against, mut pieces) = (Vec::new(), Vec::new(), 0_u32);
        let room = offer.count.unwrap_or(u32::MAX);
        for (at, need) in self.needs.iter().enumerate() {
            match check(&offer.ware, &need.wanted) {
                Ok(()) => {
                    let with = pieces.saturating_add(need.pieces);
                    if with <= room {
                        pieces = with;
                        serves.push(at);
                    }
                }
                Err(why) if matches!(why[0], Unfit::Kind(_)) => {}
                Err(why) => against.push(Against { need: at, why }),
            }
        }
        // What fails least is what one would have taken it for.
        crate::order::sort(&mut against, |a| [a.why.len(), usize::from(is_off(&a.why)), a.need]);
        let told = pieces > 0 && offer.price.is_told();
        let purchase = if told { offer.price.buy(pieces) } else { None };
        let missing = |need: &usize| self.whole.unserved.iter().any(|u| u.need == *need);
        Judged {
            pieces,
            saves: if told { self.saved(offer, &serves) } else { None },
            only_here: serves.iter().filter(|n| missing(n)).count(),
            serves,
            purchase,
            against,
            test_first: offer.ware.test_first(),
        }
    }

    /// The cheapest basket by the list alone, less the cheapest where this part
    /// may be drawn on, too.
    fn saved(&self, offer: &Offer, serves: &[usize]) -> Option<Money> {
        if self.whole.unpriced {
            return None;
        }
        let fits = |need: &Need| serve::serves(&offer.ware, &need.wanted);
        let all = self.needs.iter().filter(|n| fits(n)).count();
        let listed = |at: &usize| !self.whole.unserved.iter().any(|u| u.need == *at);
        // Where less lies there than would serve, what lies there is taken.
        let scarce = serves.len() < all;
        let asked =
            (0..self.needs.len()).filter(listed).filter(|at| !scarce || !serves.contains(at));
        let needs: Vec<Need> = asked.map(|at| self.needs[at].clone()).collect();
        let with = if scarce {
            let drawn =
                serves.iter().filter(|at| listed(at)).map(|at| self.needs[*at].pieces).sum();
            let bought = offer.price.buy(drawn)?.cost;
            cost(&needs, self.list)?.plus(bought)?
        } else {
            let mut list = self.list.clone();
            list.sellers.push(Seller::default());
            list.offers.push(Offer { seller: list.sellers.len() - 1, ..offer.clone() });
            cost(&needs, &list)?
        };
        self.whole.total?.less(with).filter(|saved| *saved > Money::ZERO)
    }
}

/// What needs cost at the least.
fn cost(needs: &[Need], list: &PriceList) -> Option<Money> {
    if needs.is_empty() {
        return Some(Money::ZERO);
    }
    fill_within(needs, list, Aim::Cheapest, NODES).total
}

fn is_off(why: &[Unfit]) -> bool {
    why.iter().any(|w| matches!(w, Unfit::Value(..)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::buying::list;
    use crate::buying::need::of_plan;
    use crate::plan::plan;
    use crate::sheet::Sheet;

    const SHEET: &str = "mains 117 V 60 Hz\nsupply series-string\n\
                         C1 .1 400 V paper coupling\nC2 .1 200 V paper avc\n\
                         C3 .1 mfd 400 V paper across line";

    fn needs() -> Vec<Need> {
        of_plan(&plan(&Sheet::read(SHEET)), 0).wanted
    }

    fn judged(line: &str, prices: &str) -> Judged {
        let (needs, prices) = (needs(), list::read(prices));
        Table::new(&needs, &prices).judge(&list::read(line).offers[0])
    }

    const PRICES: &str = "seller Hall, postage 4\n.1 630V film .85\n.1 275VAC X2 1.20";

    #[test]
    fn a_part_serves_the_needs_it_may_and_saves_what_the_list_would_cost() {
        let found = judged(".1 630 film, 10 for 1.00", PRICES);
        assert_eq!(found.serves, [0, 1]);
        assert_eq!(found.purchase.unwrap().pieces, 10);
        // The line capacitor still has to come by post.
        assert_eq!(found.saves.unwrap().amount().to_string(), "0.7");
    }

    #[test]
    fn a_line_place_is_never_met_without_the_class_whatever_it_saves() {
        let found = judged(".1 1000 film, 100 for .01", PRICES);
        let line = needs().iter().position(|n| n.wanted.class.is_some()).unwrap();
        assert!(!found.serves.contains(&line));
        let against = found.against.iter().find(|a| a.need == line).unwrap();
        assert!(matches!(against.why[0], Unfit::NoClass("X2")));
    }

    #[test]
    fn no_more_is_served_than_lies_there() {
        let found = judged("1x .1 630 film .2", PRICES);
        assert_eq!(found.serves, [0]);
        assert_eq!(found.saves.unwrap().amount().to_string(), "0.65");
    }

    #[test]
    fn what_is_dearer_than_the_list_saves_nothing() {
        assert_eq!(judged(".1 630 film 3.00", PRICES).saves, None);
    }
}
