//! The basket as rows, and in words.

use super::question::Question;
use crate::bench::stock::{Buying, KeptAim, Place};
use crate::buying::basket::{Aim, Basket, Order, OrderLine, Proof};
use crate::buying::list::{Offer, PriceList};
use crate::buying::money::{Money, Sign};
use crate::buying::need::Need;
use crate::buying::price::Step;
use crate::notation::number;
use crate::order;
use crate::plan::text::{input, working};
use crate::plan::types::{Basis, Working};
use crate::trade::source::Source;
use crate::ui::words::count;

/// An order as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderView {
    /// Who.
    pub seller: String,
    /// Line by line.
    pub lines: Vec<LineView>,
    /// `Goods $3.00, postage $4.50`.
    pub sums: String,
    /// `$7.50`, or that prices are missing.
    pub total: String,
}

/// A line of an order as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineView {
    /// How many come.
    pub pieces: u32,
    /// How many are spare.
    pub spare: u32,
    /// What they are.
    pub what: String,
    /// The line as the seller has it.
    pub text: String,
    /// For which parts.
    pub parts: String,
    /// `10 at $0.30`.
    pub how: String,
    /// `$3.00`.
    pub cost: String,
    /// What to do before it is trusted.
    pub test_first: Option<&'static str>,
    /// Where they go, when they are bought.
    pub places: Vec<(Place, u32)>,
}

/// A need that nothing serves, as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnservedView {
    /// For which part.
    pub parts: String,
    /// What would serve.
    pub wanted: String,
    /// What comes nearest and why it does not serve.
    pub why: String,
}

/// What is aimed at, by what is kept.
///
/// # Errors
/// What to say where the worth of a line is no amount.
pub fn aim(kept: &Buying) -> Result<Aim, &'static str> {
    match kept.aim {
        KeptAim::Cheapest => Ok(Aim::Cheapest),
        KeptAim::FewestLines => Ok(Aim::FewestLines),
        KeptAim::Between => amount(&kept.line_worth, &sign(kept)).map(Aim::Between),
    }
}

/// An amount as typed; nothing is nothing.
fn amount(text: &str, sign: &Sign) -> Result<Money, &'static str> {
    const WRONG: &str = "no amount of money; expected one such as 0.50";
    let (text, _) = sign.strip(text.trim());
    if text.is_empty() {
        return Ok(Money::ZERO);
    }
    let number = number::read(text).ok().filter(|n| n.length == text.chars().count());
    number.and_then(|n| Money::new(n.value)).ok_or(WRONG)
}

/// The sign of the currency.
pub fn sign(kept: &Buying) -> Sign {
    Sign::new(&kept.currency)
}

/// The orders of a basket.
pub fn orders(
    basket: &Basket,
    question: &Question,
    open: &[Need],
    list: &PriceList,
    sign: &Sign,
) -> Vec<OrderView> {
    let order = |order: &Order| OrderView {
        seller: seller_name(&order.seller.name),
        lines: order.lines.iter().map(|l| line(l, question, open, list, sign)).collect(),
        sums: order.goods.map_or_else(String::new, |goods| {
            format!("Goods {}, postage {}", sign.show(goods), sign.show(order.seller.postage))
        }),
        total: order.total.map_or_else(|| "prices missing".to_owned(), |total| sign.show(total)),
    };
    basket.sellers.iter().map(order).collect()
}

fn seller_name(name: &str) -> String {
    if name.is_empty() { "Seller not named".to_owned() } else { name.to_owned() }
}

fn line(
    line: &OrderLine,
    question: &Question,
    open: &[Need],
    list: &PriceList,
    sign: &Sign,
) -> LineView {
    let offer = &list.offers[line.offer];
    let needs = || line.needs.iter().filter_map(|at| open.get(*at));
    let pieces = line.pieces();
    LineView {
        pieces,
        spare: pieces.saturating_sub(line.wanted),
        what: offer.ware.text(),
        text: offer.text.clone(),
        parts: question.parts(needs()),
        how: line.purchase.as_ref().map_or_else(String::new, |p| steps(&p.steps, sign)),
        cost: line.purchase.as_ref().map_or_else(String::new, |p| sign.show(p.cost)),
        test_first: offer.ware.test_first().filter(|_| offer.ware.is_old()),
        places: needs().map(|n| (question.place(n), n.pieces)).collect(),
    }
}

/// `2 lots of 10 for $3.00, 3 at $0.50`.
pub fn steps(steps: &[Step], sign: &Sign) -> String {
    let mut told: Vec<(Step, usize)> = Vec::new();
    for step in steps {
        match told.iter_mut().find(|(known, _)| known == step) {
            Some((_, times)) => *times += 1,
            None => told.push((*step, 1)),
        }
    }
    let words = told.into_iter().map(|(step, times)| match step {
        Step::Each(pieces, money) => format!("{pieces} at {}", sign.show(money)),
        Step::Lot(pieces, money) if times == 1 => format!("{pieces} for {}", sign.show(money)),
        Step::Lot(pieces, money) => format!("{times} times {pieces} for {}", sign.show(money)),
    });
    words.collect::<Vec<_>>().join(", ")
}

/// An offer as it was read: the part, and its price.
pub fn offer_text(offer: &Offer, sign: &Sign) -> (String, String) {
    let mut terms: Vec<String> = Vec::new();
    for (from, money) in offer.price.breaks() {
        let money = sign.show(*money);
        terms.push(if *from == 1 {
            format!("{money} each")
        } else {
            format!("{money} from {from}")
        });
    }
    for (pieces, money) in offer.price.lots() {
        terms.push(format!("{pieces} for {}", sign.show(*money)));
    }
    if offer.price.pack > 1 {
        terms.push(format!("in packs of {}", offer.price.pack));
    }
    if offer.price.least > 1 {
        terms.push(format!("at least {}", offer.price.least));
    }
    if terms.is_empty() {
        terms.push("no price".to_owned());
    }
    let there = offer.count.map(|n| format!("{n} x ")).unwrap_or_default();
    (there + &offer.ware.text(), terms.join(", "))
}

/// Needs that nothing serves, those alike together.
pub fn unserved(
    basket: &Basket,
    question: &Question,
    open: &[Need],
    list: &PriceList,
) -> Vec<UnservedView> {
    let mut alike: Vec<(&Need, Vec<&Need>, String)> = Vec::new();
    for unserved in &basket.unserved {
        let Some(need) = open.get(unserved.need) else { continue };
        if let Some((_, all, _)) = alike.iter_mut().find(|(n, ..)| n.wanted == need.wanted) {
            all.push(need);
            continue;
        }
        let why = unserved.nearest.as_ref().map_or_else(String::new, |(offer, why)| {
            let offer = &list.offers[*offer];
            format!("Nearest, line {}, {}: {}.", offer.line, offer.ware.text(), reasons(why))
        });
        alike.push((need, vec![need], why));
    }
    let view = |(need, all, why): (&Need, Vec<&Need>, String)| UnservedView {
        parts: question.parts(all),
        wanted: need.wanted.text(),
        why,
    };
    alike.into_iter().map(view).collect()
}

/// Reasons in one sentence, without its end.
pub fn reasons<E: ToString>(why: &[E]) -> String {
    why.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

/// `3 lines from 2 sellers, $12.40 in all`.
pub fn summary(basket: &Basket, sign: &Sign) -> String {
    let lines = count(basket.lines, "line", "lines");
    let sellers = count(basket.sellers.len(), "seller", "sellers");
    match basket.total {
        Some(total) => format!("{lines} from {sellers}, {} in all", sign.show(total)),
        None => format!("{lines} from {sellers}; not all prices are told"),
    }
}

/// How far the basket is proven, in one sentence.
pub fn proof(basket: &Basket, sign: &Sign) -> String {
    let aimed = if basket.unpriced { "fewer lines" } else { "less" };
    match &basket.proof {
        Proof::Nothing => String::new(),
        Proof::Proven if basket.unpriced => {
            "Proven: nothing serves with fewer lines. Prices are missing, so they were left out of \
             account."
                .to_owned()
        }
        Proof::Proven => "Proven: no other choice from this list does better.".to_owned(),
        Proof::LinesProven => {
            "Proven: nothing serves with fewer lines. Of the choices with as few it is the \
             cheapest found, not proven the cheapest."
                .to_owned()
        }
        Proof::Gap(gap) => format!(
            "Not proven the best: the search was stopped at its limit of work. A better choice \
             would come to at most {} {aimed}.",
            sign.show(*gap)
        ),
        Proof::LinesGap(lines) => format!(
            "Not proven the fewest: the search was stopped at its limit of work. No choice has \
             fewer than {}.",
            count(*lines, "line", "lines")
        ),
        Proof::TooDear => {
            "The prices are too large or too finely divided to be summed. Look for a slip in \
             them."
                .to_owned()
        }
    }
}

/// Where the method comes from.
const METHOD: Source = Source::from_memory(
    "facility location by Lagrangian relaxation: Cornuéjols, Nemhauser, Wolsey, 1990",
);

/// How the basket was reached.
pub fn basket_working(
    basket: &Basket,
    open: &[Need],
    list: &PriceList,
    aim: Aim,
    sign: &Sign,
) -> Working {
    let aimed = match aim {
        _ if basket.unpriced => "the fewest lines, for want of prices".to_owned(),
        Aim::Cheapest => "the least money".to_owned(),
        Aim::FewestLines => "the fewest lines, then the least money".to_owned(),
        Aim::Between(worth) => format!("the least money, a line counted as {}", sign.show(worth)),
    };
    let inputs = vec![
        input("open needs", open.len().to_string(), Basis::Computed),
        input("offers", list.offers.len().to_string(), Basis::Stated),
        input("sellers", list.sellers.len().to_string(), Basis::Stated),
        input("aim", aimed, Basis::Stated),
        input("nodes searched", basket.nodes.to_string(), Basis::Computed),
    ];
    let rule = "each need is met by one offer whose value lies in the window of its role, whose \
                rating is at or above the one planned, of the right class and dielectric; the \
                pieces of all needs on a line are bought together at its best price; postage is \
                paid once a seller; branch and bound on the Lagrangian bound";
    working("basket", inputs, rule, proof(basket, sign), METHOD)
}

/// What is bought or in the drawers for needs: line of stock and parts.
pub fn covered(
    question: &Question,
    stock: &[crate::bench::stock::StockLine],
) -> Vec<(u32, String, String)> {
    let mut rows: Vec<(u32, Vec<&Need>)> = Vec::new();
    for (need, standing) in question.needs.iter().zip(&question.standing) {
        if let super::question::Standing::Covered(line) = standing {
            match rows.iter_mut().find(|(id, _)| id == line) {
                Some((_, needs)) => needs.push(need),
                None => rows.push((*line, vec![need])),
            }
        }
    }
    order::sort(&mut rows, |(id, _)| [*id as usize, 0, 0]);
    let text = |id: u32| stock.iter().find(|l| l.id == id).map_or("", |l| &l.text).to_owned();
    rows.into_iter()
        .map(|(id, needs)| {
            let pieces = Question::pieces(needs.iter().copied());
            (id, format!("{pieces} x {}", text(id)), question.parts(needs))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::Bench;
    use crate::bench::stamp::Stamp;
    use crate::buying::basket::fill;
    use crate::buying::list;
    use crate::ui::buy::export::{as_csv, as_text};
    use crate::ui::buy::question::{ask, needs_of, texts};

    const SHEET: &str = "set Kitchen set\nmains 117 V 60 Hz\nsupply series-string\n\
                         C1 .05 400 V paper coupling\nC2 .05 200 V paper avc\n\
                         C3 .05 mfd 400 V paper across line";

    fn filled(prices: &str) -> (Question, Vec<Need>, PriceList, Basket) {
        let mut bench = Bench::default();
        bench.add(SHEET, Stamp(0));
        let question = ask(&needs_of(&texts(&bench, None)), &bench);
        let open = question.open_needs();
        let list = list::read(prices);
        let basket = fill(&open, &list, Aim::Cheapest);
        (question, open, list, basket)
    }

    #[test]
    fn a_basket_reads_as_orders_text_and_csv() {
        let (question, open, list, basket) =
            filled("seller Hall, postage 4.50\n.047 630V film, 10 for 3.00");
        let sign = Sign::new("$");
        let orders = orders(&basket, &question, &open, &list, &sign);
        let missing = unserved(&basket, &question, &open, &list);
        assert_eq!(summary(&basket, &sign), "1 line from 1 seller, $7.50 in all");
        assert_eq!(
            (orders[0].lines[0].spare, orders[0].lines[0].how.as_str()),
            (8, "10 for $3.00")
        );
        assert_eq!(
            missing[0].why,
            "Nearest, line 2, 0.047 µF 630 V film: it carries no safety class, and the place asks \
             for X2: nothing without the mark stands there; its rating is not told as alternating."
        );
        assert_eq!(
            as_text("To buy", &orders, &missing, "all"),
            "To buy\nall\n\nHall: $7.50\n  10 x 0.047 µF 630 V film  $3.00  for C1, C2\n  \
             Goods $3.00, postage $4.50\n\nNot on the list:\n  C3: 0.025 to 0.0625 µF, 250 V AC or \
             more, marked class X2\n"
        );
        assert_eq!(
            as_csv(&orders, &missing),
            "Seller,Part,Pieces,Price,Cost,For\r\nHall,0.047 µF 630 V film,10,10 for $3.00,$3.00,\
             \"C1, C2\"\r\n,\"0.025 to 0.0625 µF, 250 V AC or more, marked class X2\",,not on the \
             list,,C3\r\n"
        );
    }

    #[test]
    fn the_worth_of_a_line_is_read_or_refused() {
        let kept = |text: &str| Buying {
            aim: KeptAim::Between,
            line_worth: text.to_owned(),
            ..Buying::default()
        };
        assert_eq!(
            aim(&kept("0,50")),
            Ok(Aim::Between(Money::new("0.5".parse().unwrap()).unwrap()))
        );
        assert_eq!(aim(&kept("")), Ok(Aim::Between(Money::ZERO)));
        assert!(aim(&kept("much")).is_err());
    }

    #[test]
    fn an_unproven_basket_says_so() {
        let gap = Basket {
            proof: Proof::Gap(Money::new("0.3".parse().unwrap()).unwrap()),
            ..Basket::default()
        };
        assert!(proof(&gap, &Sign::default()).starts_with("Not proven the best"));
        assert!(proof(&gap, &Sign::default()).contains("0.30 less"));
    }
}
