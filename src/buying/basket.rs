//! From needs and offers to what is bought where.
//!
//! ```
//! use firstglow::{buying::{basket::{Aim, fill}, list, need}, plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::read("C7 .05 400 V paper coupling"));
//! let needs = need::of_plan(&plan, 0).wanted;
//! let list = list::read("seller Hall, postage 4\n.047 630V film .85");
//! let basket = fill(&needs, &list, Aim::Cheapest);
//! assert_eq!(basket.total.unwrap().amount().to_string(), "4.85");
//! ```

use super::list::{Offer, PriceList, Seller};
use super::money::Money;
use super::need::Need;
use super::optimise::{self, Line, Task, Wish};
use super::price::{Price, Purchase};
use super::serve::{Unfit, check, serves};
use std::collections::BTreeMap;

/// The most nodes the search looks at.
pub const MOST_NODES: usize = 3_000;

/// What is aimed at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Aim {
    /// The least money.
    #[default]
    Cheapest,
    /// Between the two: one line fewer is worth that much.
    Between(Money),
    /// The fewest distinct lines; of those the cheapest.
    FewestLines,
}

/// What a basket comes to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Basket {
    /// Seller by seller, in the order of the list.
    pub sellers: Vec<Order>,
    /// Needs that no offer serves, as they are numbered in the question.
    pub unserved: Vec<Unserved>,
    /// Goods and postage, where every line has a price.
    pub total: Option<Money>,
    /// How many distinct lines.
    pub lines: usize,
    /// How far it is proven.
    pub proof: Proof,
    /// How many nodes the search looked at.
    pub nodes: usize,
    /// Whether prices were left out of account because some or all are missing.
    pub unpriced: bool,
}

/// How far a basket is proven.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Proof {
    /// Nothing was to be chosen.
    #[default]
    Nothing,
    /// No other choice does better by the aim.
    Proven,
    /// No other has fewer lines; of those with as few it is the cheapest found.
    LinesProven,
    /// A better one might save up to this much.
    Gap(Money),
    /// A better one might have fewer lines, down to this many.
    LinesGap(usize),
    /// Sums that leave the range of money.
    TooDear,
}

/// What is bought from one seller.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// Who.
    pub seller: Seller,
    /// Line by line, in the order of the list.
    pub lines: Vec<OrderLine>,
    /// The goods.
    pub goods: Option<Money>,
    /// Goods and postage.
    pub total: Option<Money>,
}

/// One line of an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderLine {
    /// Which offer of the list.
    pub offer: usize,
    /// How many pieces the needs ask for.
    pub wanted: u32,
    /// What is bought for that, where a price is told.
    pub purchase: Option<Purchase>,
    /// Which needs it serves.
    pub needs: Vec<usize>,
}

impl OrderLine {
    /// How many pieces come.
    pub fn pieces(&self) -> u32 {
        self.purchase.as_ref().map_or(self.wanted, |p| p.pieces)
    }
}

/// A need that no offer serves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unserved {
    /// Which need.
    pub need: usize,
    /// The offer that comes nearest, and why it does not serve.
    pub nearest: Option<(usize, Vec<Unfit>)>,
}

/// Fills the basket.
pub fn fill(needs: &[Need], list: &PriceList, aim: Aim) -> Basket {
    fill_within(needs, list, aim, MOST_NODES)
}

/// The same, looking at no more than so many nodes.
pub fn fill_within(needs: &[Need], list: &PriceList, aim: Aim, most_nodes: usize) -> Basket {
    let (served, unserved) = match_up(needs, &list.offers);
    let mut basket = Basket { unserved, ..Basket::default() };
    if served.is_empty() {
        return basket;
    }
    let drawn = drawn(needs, &served, list.offers.len());
    let offered = |offer: &usize| list.offers[*offer].price.is_told();
    // A need that only offers without a price serve leaves the sum open.
    basket.unpriced = served.iter().any(|(_, offers)| !offers.iter().any(offered));
    let served: Vec<(usize, Vec<usize>)> = if basket.unpriced {
        served
    } else {
        let priced = |offers: Vec<usize>| offers.into_iter().filter(offered).collect();
        served.into_iter().map(|(need, offers)| (need, priced(offers))).collect()
    };
    let aim = if basket.unpriced { Aim::FewestLines } else { aim };
    let Some(asked) = Asked::of(needs, &served, &drawn, list, aim) else {
        basket.proof = Proof::TooDear;
        return basket;
    };
    let Some((choice, proof, nodes)) = choose(&asked, aim, basket.unpriced, most_nodes) else {
        basket.proof = Proof::TooDear;
        return basket;
    };
    basket.proof = proof;
    basket.nodes = nodes;
    let mut lines: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for ((need, _), offer) in served.iter().zip(choice) {
        lines.entry(offer).or_default().push(*need);
    }
    basket.lines = lines.len();
    order(&mut basket, &lines, needs, list);
    basket
}

/// Which offers serve each need, and the needs that none serves.
fn match_up(needs: &[Need], offers: &[Offer]) -> (Vec<(usize, Vec<usize>)>, Vec<Unserved>) {
    let (mut served, mut unserved) = (Vec::new(), Vec::new());
    // Needs alike are matched once.
    let mut known: Vec<(&Need, Vec<usize>)> = Vec::new();
    for (at, need) in needs.iter().enumerate() {
        let alike = known.iter().find(|(n, _)| n.wanted == need.wanted);
        let fit = |o: &Offer| serves(&o.ware, &need.wanted);
        let match_all =
            || offers.iter().enumerate().filter(|(_, o)| fit(o)).map(|(i, _)| i).collect();
        let fits: Vec<usize> = alike.map_or_else(match_all, |(_, fits)| fits.clone());
        if fits.is_empty() {
            unserved.push(Unserved { need: at, nearest: nearest(need, offers) });
        } else {
            served.push((at, fits.clone()));
        }
        if alike.is_none() {
            known.push((need, fits));
        }
    }
    (served, unserved)
}

/// The offer with the fewest reasons against it, then the nearest in value,
/// among those of the right kind.
fn nearest(need: &Need, offers: &[Offer]) -> Option<(usize, Vec<Unfit>)> {
    let against = offers.iter().enumerate().filter_map(|(at, offer)| {
        let why = check(&offer.ware, &need.wanted).err()?;
        (!matches!(why[0], Unfit::Kind(_))).then_some((at, why))
    });
    let far = |at: usize| offers[at].ware.value().map_or(f64::INFINITY, |v| need.wanted.far(v));
    against.min_by(|a, b| {
        let value = far(a.0).total_cmp(&far(b.0));
        a.1.len().cmp(&b.1.len()).then(value).then(a.0.cmp(&b.0))
    })
}

/// The most pieces that may be drawn from each offer.
fn drawn(needs: &[Need], served: &[(usize, Vec<usize>)], offers: usize) -> Vec<u32> {
    let mut drawn = vec![0_u32; offers];
    for (need, fits) in served {
        for offer in fits {
            drawn[*offer] = drawn[*offer].saturating_add(needs[*need].pieces);
        }
    }
    drawn
}

/// The question to the optimiser, and the decimal place of its ticks.
struct Asked {
    task: Task,
    scale: u32,
    /// The offer of each line.
    offers: Vec<usize>,
}

impl Asked {
    fn of(
        needs: &[Need],
        served: &[(usize, Vec<usize>)],
        drawn: &[u32],
        list: &PriceList,
        aim: Aim,
    ) -> Option<Self> {
        let mut offers: Vec<usize> =
            served.iter().flat_map(|(_, fits)| fits.iter().copied()).collect();
        offers.sort_unstable();
        offers.dedup();
        let prices = offers.iter().map(|offer| list.offers[*offer].price.scale());
        let postage = list.sellers.iter().map(|s| s.postage.amount().scale());
        let worth = match aim {
            Aim::Between(worth) => worth,
            _ => Money::ZERO,
        };
        let finest = prices.chain(postage).max().unwrap_or(0);
        let scale = finest.max(worth.amount().scale()).max(2);
        let line = |offer: &usize| {
            let Offer { seller, price, .. } = &list.offers[*offer];
            let most = drawn[*offer];
            let costs = if price.is_told() {
                price.costs(most, scale)?
            } else {
                vec![0; most as usize + 1]
            };
            Some(Line { seller: *seller, costs })
        };
        let lines: Option<Vec<Line>> = offers.iter().map(line).collect();
        let wish = |(need, fits): &(usize, Vec<usize>)| Wish {
            pieces: needs[*need].pieces as usize,
            lines: fits.iter().filter_map(|o| offers.binary_search(o).ok()).collect(),
        };
        let postage: Option<Vec<i64>> =
            list.sellers.iter().map(|s| s.postage.ticks(scale)).collect();
        let task = Task {
            wishes: served.iter().map(wish).collect(),
            lines: lines?,
            postage: postage?,
            line_worth: worth.ticks(scale)?,
        };
        Some(Self { task, scale, offers })
    }

    /// The same with lines that count and nothing else.
    fn lines_alone(&self) -> Task {
        let mut task = self.task.clone();
        task.line_worth = 1;
        task.postage.fill(0);
        task.lines.iter_mut().for_each(|line| line.costs.fill(0));
        task
    }
}

/// The chosen offer of each need, how far that is proven, in how many nodes.
fn choose(
    asked: &Asked,
    aim: Aim,
    unpriced: bool,
    most_nodes: usize,
) -> Option<(Vec<usize>, Proof, usize)> {
    let offers = |choice: &[usize]| choice.iter().map(|line| asked.offers[*line]).collect();
    let Aim::FewestLines = aim else {
        let found = optimise::solve(&asked.task, most_nodes).ok()?;
        let gap = Money::from_ticks(found.cost - found.bound, asked.scale)?;
        let proof = if found.is_proven() { Proof::Proven } else { Proof::Gap(gap) };
        return Some((offers(&found.choice), proof, found.nodes));
    };
    let fewest = optimise::solve(&asked.lines_alone(), most_nodes).ok()?;
    let lines = usize::try_from(fewest.bound).ok()?;
    if !fewest.is_proven() || unpriced {
        let proof = if fewest.is_proven() { Proof::Proven } else { Proof::LinesGap(lines) };
        return Some((offers(&fewest.choice), proof, fewest.nodes));
    }
    // Of the choices with as few lines the cheapest: a line is worth more than
    // all the money of the one that is known.
    let mut task = asked.task.clone();
    task.line_worth = optimise::cost(&task, &fewest.choice).checked_add(1)?;
    let Ok(found) = optimise::solve(&task, most_nodes) else {
        return Some((offers(&fewest.choice), Proof::LinesProven, fewest.nodes));
    };
    let mut used = found.choice.clone();
    used.sort_unstable();
    used.dedup();
    let nodes = fewest.nodes + found.nodes;
    if used.len() > lines {
        return Some((offers(&fewest.choice), Proof::LinesProven, nodes));
    }
    let proof = if found.is_proven() { Proof::Proven } else { Proof::LinesProven };
    Some((offers(&found.choice), proof, nodes))
}

/// Writes the orders from the chosen lines.
fn order(
    basket: &mut Basket,
    lines: &BTreeMap<usize, Vec<usize>>,
    needs: &[Need],
    list: &PriceList,
) {
    let mut orders: BTreeMap<usize, Vec<OrderLine>> = BTreeMap::new();
    for (offer, served) in lines {
        let wanted = served.iter().map(|n| needs[*n].pieces).fold(0, u32::saturating_add);
        let price: &Price = &list.offers[*offer].price;
        let purchase = if price.is_told() { price.buy(wanted) } else { None };
        let line = OrderLine { offer: *offer, wanted, purchase, needs: served.clone() };
        orders.entry(list.offers[*offer].seller).or_default().push(line);
    }
    let sum = |all: Vec<Option<Money>>| {
        all.into_iter().try_fold(Money::ZERO, |sum, each| sum.plus(each?))
    };
    for (seller, lines) in orders {
        let seller = list.sellers[seller].clone();
        let goods = sum(lines.iter().map(|l| l.purchase.as_ref().map(|p| p.cost)).collect());
        let total = goods.and_then(|goods| goods.plus(seller.postage));
        basket.sellers.push(Order { seller, lines, goods, total });
    }
    basket.total = sum(basket.sellers.iter().map(|order| order.total).collect());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::buying::list;
    use crate::buying::need::of_plan;
    use crate::plan::plan;
    use crate::sheet::Sheet;

    const SHEET: &str = "mains 117 V 60 Hz\nsupply series-string\n\
                         C1 .05 400 V paper coupling\nC2 .05 200 V paper avc\n\
                         C3 .05 mfd 400 V paper across line";

    fn needs() -> Vec<Need> {
        of_plan(&plan(&Sheet::read(SHEET)), 0).wanted
    }

    fn told(basket: &Basket, list: &PriceList) -> Vec<String> {
        let lines = basket.sellers.iter().flat_map(|o| &o.lines);
        lines.map(|l| format!("{} x {}", l.pieces(), list.offers[l.offer].ware.text())).collect()
    }

    #[test]
    fn the_cheapest_and_the_fewest_lines_differ_where_they_should() {
        let list = list::read(
            "seller Hall, postage 2\n.047 630V film .90\n.047 400V film .20\n.047 275VAC X2 1.1",
        );
        let cheapest = fill(&needs(), &list, Aim::Cheapest);
        assert_eq!(cheapest.total.unwrap().amount().to_string(), "4.2");
        assert_eq!((cheapest.lines, &cheapest.proof), (3, &Proof::Proven));
        let fewest = fill(&needs(), &list, Aim::FewestLines);
        assert_eq!(
            told(&fewest, &list),
            ["2 x 0.047 µF 630 V film", "1 x 0.047 µF 275 V AC class X2"]
        );
        let worth = Money::new("0.75".parse().unwrap()).unwrap();
        assert_eq!(fill(&needs(), &list, Aim::Between(worth)).lines, 2);
    }

    #[test]
    fn without_prices_it_gives_the_fewest_lines() {
        let list = list::read(".047 400V film\n.047 630V film\n.047 275VAC X2");
        let basket = fill(&needs(), &list, Aim::Cheapest);
        assert!(basket.unpriced && basket.total.is_none());
        assert_eq!((basket.lines, &basket.proof), (2, &Proof::Proven));
    }

    #[test]
    fn what_nothing_serves_is_told_with_the_reason_against_the_nearest() {
        let list = list::read(".047 630V film .9");
        let basket = fill(&needs(), &list, Aim::Cheapest);
        assert_eq!(basket.unserved.len(), 1);
        let (offer, why) = basket.unserved[0].nearest.clone().unwrap();
        assert_eq!(offer, 0);
        assert!(matches!(why[0], Unfit::NoClass("X2")));
        assert_eq!(basket.total.unwrap().amount().to_string(), "1.8");
    }

    #[test]
    fn postage_can_make_the_dearer_part_the_cheaper_order() {
        let list = list::read(
            "seller Hall, postage 5\n.047 630V film .40\n.047 275VAC X2 .5\n\
             seller Mill, postage 5\n.047 630V film .30",
        );
        let basket = fill(&needs(), &list, Aim::Cheapest);
        assert_eq!(basket.sellers.len(), 1);
        assert_eq!(basket.sellers[0].seller.name, "Hall");
    }
}
