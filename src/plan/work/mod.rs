//! The order of work: area by area, so that each cover comes off once where
//! that is possible, what can hurt first, dependent parts together.
//!
//! ```
//! use firstglow::{plan::{plan, work::work}, sheet::Sheet};
//! let sheet = Sheet::read(
//!     "C1 .05 mfd 400 V paper\nC2 .1 mfd 400 V paper\nC3 .1 mfd 400 V paper\n\
//!      area bottom: off: four screws\narea switch: C1 C3 after bottom\narea back: C2",
//! );
//! let work = work(&sheet, &plan(&sheet));
//! let keys: Vec<_> = work.stops.iter().map(|s| s.keys.join(" ")).collect();
//! assert_eq!(keys, ["C1 C3", "C2"]);
//! ```
//!
//! Limits: covers that the next area does not need count as put back. Where
//! parts without an area sit is not known: those that can hurt come before all
//! areas, the others after.

pub mod route;

use super::types::{Decision, Plan, PlannedPart, Severity};
use crate::order;
use crate::sheet::part::Part;
use crate::sheet::{Area, Sheet};
use route::{Place, Route};
use rustc_hash::FxHashMap;

/// The order of work and its reasons.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Work {
    /// Where to work, in order.
    pub stops: Vec<Stop>,
    /// Why in this order, in sentences.
    pub reasons: Vec<String>,
    /// How many times a cover comes off.
    pub openings: usize,
    /// What must be set again when all is done.
    pub readjust: Vec<Step>,
}

/// One area on the way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stop {
    /// The area; `None` for parts without one.
    pub area: Option<String>,
    /// What is marked and taken off before, in order.
    pub opens: Vec<Step>,
    /// The keys of its parts, in order.
    pub keys: Vec<String>,
    /// The areas that are closed again behind it.
    pub closes: Vec<String>,
}

/// Something to be done on an area.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// A stable name, under which it is kept that it was done.
    pub id: String,
    /// The area.
    pub area: String,
    /// What to do.
    pub kind: StepKind,
    /// With what, as on the sheet.
    pub what: String,
}

/// What is to be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepKind {
    /// Mark it before it is loosened.
    Mark,
    /// Take it off.
    Off,
    /// Set it again.
    Readjust,
}

impl StepKind {
    /// The words before what it is about.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Mark => "Mark first",
            Self::Off => "Take off",
            Self::Readjust => "Set again",
        }
    }

    /// The same once it is done.
    pub const fn done(self) -> &'static str {
        match self {
            Self::Mark => "Marked",
            Self::Off => "Taken off",
            Self::Readjust => "Set again, done",
        }
    }

    const fn slug(self) -> &'static str {
        match self {
            Self::Mark => "mark",
            Self::Off => "off",
            Self::Readjust => "readjust",
        }
    }
}

/// The order of work on a plan.
pub fn work(sheet: &Sheet, plan: &Plan) -> Work {
    let (areas, bonds) = (Areas::of(sheet), bonds(sheet));
    let (places, loose): (Vec<At>, Vec<At>) =
        places(plan, &areas).into_iter().partition(|p| p.area.is_some());
    let route = Route {
        places: places
            .iter()
            .map(|p| Place { covers: areas.covers(p.area), rank: p.rank })
            .collect(),
        ties: ties(&bonds, &places),
    };
    let order = route.best();
    let mut times = vec![0; areas.all.len()];
    let mut stops = Vec::new();
    for (at, place) in order.iter().enumerate() {
        let before = at.checked_sub(1).map(|at| order[at]);
        let mut opens = Vec::new();
        for cover in areas.rising(route.opened(before, *place).collect()) {
            times[cover] += 1;
            opens.extend(areas.opening(cover, times[cover]));
        }
        let next: &[usize] = order.get(at + 1).map_or(&[], |next| &route.places[*next].covers);
        let closes = route.places[*place].covers.iter().rev().filter(|c| !next.contains(c));
        stops.push(Stop {
            area: places[*place].area.map(|area| areas.name(area)),
            opens,
            keys: in_order(&bonds, plan, &places[*place].parts),
            closes: closes.map(|cover| areas.name(*cover)).collect(),
        });
    }
    let parts = loose.iter().flat_map(|place| &place.parts).copied();
    let (first, last): (Vec<_>, Vec<_>) =
        parts.partition(|part| rank(plan, &plan.parts[*part]) < 2);
    for (at, parts) in [(0, first), (stops.len() + 1, last)] {
        let keys = in_order(&bonds, plan, &parts);
        let stop = Stop { area: None, opens: Vec::new(), keys, closes: Vec::new() };
        if !parts.is_empty() {
            stops.insert(at.min(stops.len()), stop);
        }
    }
    let opened = (0..times.len()).filter(|cover| times[*cover] > 0);
    let readjust = opened.flat_map(|cover| areas.readjusting(cover)).collect();
    let reasons = reasons(&areas, &route, &order, &places, &times);
    Work { stops, reasons, openings: route.openings(&order), readjust }
}

/// The areas of the sheet, with those that parts name themselves.
struct Areas {
    all: Vec<Area>,
    /// Each by its name.
    index: FxHashMap<String, usize>,
    /// Every area that must be open before each, rising, and itself.
    covers: Vec<Vec<usize>>,
}

impl Areas {
    fn of(sheet: &Sheet) -> Self {
        let mut all = sheet.areas.clone();
        let mut index: FxHashMap<String, usize> =
            all.iter().zip(0..).map(|(area, at)| (area.name.clone(), at)).collect();
        for name in sheet.parts.iter().filter_map(|p| p.area.as_ref()) {
            if !index.contains_key(name) {
                index.insert(name.clone(), all.len());
                all.push(Area { name: name.clone(), ..Area::default() });
            }
        }
        let covers = (0..all.len())
            .map(|area| {
                let mut covers = crate::sheet::areas::needs(&all, area);
                covers.push(area);
                covers.sort_unstable();
                covers
            })
            .collect();
        Self { all, index, covers }
    }

    fn covers(&self, area: Option<usize>) -> Vec<usize> {
        area.map_or_else(Vec::new, |area| self.covers[area].clone())
    }

    fn name(&self, area: usize) -> String {
        self.all[area].name.clone()
    }

    /// Covers in the order they come off: what must be open before is before.
    fn rising(&self, mut covers: Vec<usize>) -> Vec<usize> {
        order::sort(&mut covers, |cover| [self.covers[*cover].len(), *cover, 0]);
        covers
    }

    fn steps(&self, area: usize, kind: StepKind, things: &[String], time: usize) -> Vec<Step> {
        let name = self.name(area);
        let again = if time > 1 { format!(" ({time})") } else { String::new() };
        let step = |what: &String| Step {
            id: format!("area/{name}/{}/{what}{again}", kind.slug()),
            area: name.clone(),
            kind,
            what: what.clone(),
        };
        things.iter().map(step).collect()
    }

    /// What is marked, then what is taken off, for the `time`th time.
    fn opening(&self, area: usize, time: usize) -> Vec<Step> {
        let Area { mark, off, .. } = &self.all[area];
        let mut steps = self.steps(area, StepKind::Mark, mark, time);
        steps.extend(self.steps(area, StepKind::Off, off, time));
        steps
    }

    fn readjusting(&self, area: usize) -> Vec<Step> {
        self.steps(area, StepKind::Readjust, &self.all[area].readjust, 1)
    }
}

/// The parts of an area that ask for work, by their index.
struct At {
    area: Option<usize>,
    rank: usize,
    parts: Vec<usize>,
}

fn places(plan: &Plan, areas: &Areas) -> Vec<At> {
    let mut places: Vec<At> = Vec::new();
    // The place of each area, and last of parts without one.
    let mut of: Vec<Option<usize>> = vec![None; areas.all.len() + 1];
    for (index, part) in plan.parts.iter().enumerate() {
        if part.decision == Decision::Keep {
            continue;
        }
        let area = part.area.as_ref().and_then(|name| areas.index.get(name)).copied();
        let rank = rank(plan, part);
        let place = *of[area.unwrap_or(areas.all.len())].get_or_insert_with(|| {
            places.push(At { area, rank, parts: Vec::new() });
            places.len() - 1
        });
        places[place].rank = places[place].rank.min(rank);
        places[place].parts.push(index);
    }
    places
}

/// How bad the worst hazard of a part is: 0 can kill, 1 can injure, 2 neither.
pub fn rank(plan: &Plan, part: &PlannedPart) -> usize {
    let worst = plan.hazards.iter().filter(|h| part.hazards.contains(&h.id)).map(|h| h.severity);
    match worst.max() {
        Some(Severity::Danger) => 0,
        Some(Severity::Warning) => 1,
        _ => 2,
    }
}

/// What binds a part to others, by number: the can it is a section of, and the
/// two places it stands across.
type Bonds = Vec<[Option<usize>; 2]>;

fn bonds(sheet: &Sheet) -> Bonds {
    let mut index: FxHashMap<String, usize> = FxHashMap::default();
    let bond = |part: &Part| {
        let can = part.designator.section.map(|_| part.designator.unit().to_string());
        let pair = part.leads.as_ref().map(|leads| {
            let (a, b) = (leads.from.to_string(), leads.to.to_string());
            if a < b { format!("{a} {b}") } else { format!("{b} {a}") }
        });
        [can, pair].map(|name| {
            let next = index.len();
            Some(*index.entry(name?).or_insert(next))
        })
    };
    sheet.parts.iter().map(bond).collect()
}

/// Pairs of places that hold sections of one can.
fn ties(bonds: &Bonds, places: &[At]) -> Vec<(usize, usize)> {
    let mut last: FxHashMap<usize, usize> = FxHashMap::default();
    let mut ties = Vec::new();
    for (place, at) in places.iter().enumerate() {
        for can in at.parts.iter().filter_map(|part| bonds.get(*part).and_then(|b| b[0])) {
            let before = last.insert(can, place);
            ties.extend(before.filter(|b| *b != place).map(|before| (before, place)));
        }
    }
    ties
}

/// What can hurt first, then as on the sheet; what depends on a part follows it.
fn in_order(bonds: &Bonds, plan: &Plan, parts: &[usize]) -> Vec<String> {
    let mut parts = parts.to_vec();
    order::sort(&mut parts, |part| [rank(plan, &plan.parts[*part]), 0, 0]);
    let bound = |part: usize| bonds.get(part).into_iter().flatten().flatten().copied();
    // The parts of this place by what binds them.
    let mut together: FxHashMap<usize, Vec<usize>> = FxHashMap::default();
    for (at, part) in parts.iter().enumerate() {
        bound(*part).for_each(|number| together.entry(number).or_default().push(at));
    }
    let mut open = vec![true; parts.len()];
    let mut keys: Vec<String> = Vec::new();
    for at in 0..parts.len() {
        if !std::mem::take(&mut open[at]) {
            continue;
        }
        keys.push(plan.parts[parts[at]].key.clone());
        // Each binding is followed once.
        let others = bound(parts[at]).filter_map(|number| together.remove(&number));
        for other in others.flatten() {
            if std::mem::take(&mut open[other]) {
                keys.push(plan.parts[parts[other]].key.clone());
            }
        }
    }
    keys
}

/// Why in this order.
fn reasons(
    areas: &Areas,
    route: &Route,
    order: &[usize],
    places: &[At],
    times: &[usize],
) -> Vec<String> {
    let mut reasons = Vec::new();
    let name = |place: &At| place.area.map_or_else(String::new, |area| areas.name(area));
    let first: Vec<String> =
        order.iter().map(|p| &places[*p]).filter(|p| p.rank < 2).map(&name).collect();
    if !first.is_empty() && first.len() < places.len() {
        reasons.push(format!("First where parts can hurt: {}.", first.join(", ")));
    }
    let unranked = Route {
        places: route.places.iter().map(|p| Place { rank: 0, ..p.clone() }).collect(),
        ties: route.ties.clone(),
    };
    let costs_more = route.openings(order) > unranked.openings(&unranked.best());
    let mut users: Vec<Vec<usize>> = vec![Vec::new(); times.len()];
    for place in order {
        for cover in &route.places[*place].covers {
            users[*cover].push(*place);
        }
    }
    for (cover, times) in times.iter().enumerate() {
        let users: Vec<String> = users[cover].iter().map(|p| name(&places[*p])).collect();
        let cover = areas.name(cover);
        match (*times, users.len()) {
            (1, 2..) => {
                let users = users.into_iter().filter(|u| *u != cover).collect::<Vec<_>>();
                reasons.push(format!("{cover} is opened once, for {}.", users.join(", ")));
            }
            (2.., _) => {
                let why = if costs_more {
                    "what can hurt comes first"
                } else {
                    "no order of these areas opens it fewer times"
                };
                reasons.push(format!("{cover} is opened {times} times: {why}."));
            }
            _ => {}
        }
    }
    reasons
}

#[cfg(test)]
mod tests;
