//! What needs the whole line: bare values, sections with their ratings, measures
//! that do not fit the part, items that stand twice.

use super::bare::{self, Hints, Likely};
use super::capacitor;
use super::item::{Found, Item, Placed, WindingItem};
use super::kinds::name_of;
use super::line::PartLine;
use super::open_ratings;
use super::problem::Problem;
use super::unit::VoltMark;
use super::word::Span;
use crate::order;
use crate::trade::dielectric::Dielectric;
use crate::trade::kind::{Make, PartKind, WindingKind};
use crate::trade::quantity::{Capacitance, Voltage};
use crate::trade::role::Role;
use rust_decimal::Decimal;

/// What needs the whole line: bare values, measures that do not fit, items that
/// stand twice.
pub(super) fn settle(line: &mut PartLine) {
    after_unread(line);
    bare_rating(line);
    low_windings(line);
    filament_windings(line);
    let hints = hints(line);
    for placed in &mut line.items {
        if let Item::BareCapacitance(numbers, joined) = &placed.item {
            let (values, found) = bare::resolve(placed.span, numbers, *joined, hints);
            line.found.extend(found);
            let text = || numbers.iter().map(|n| n.written.as_str()).collect::<Vec<_>>().join("-");
            placed.item = values.map_or_else(|| Item::Unread(text()), Item::Capacitance);
        }
    }
    join_sections(line);
    drop_wrong(line);
    open_ratings::settle(line);
    drop_second(line);
    line.items.retain(|p| !is_unread(&p.item));
    line_side(line);
    if line.kind == PartKind::Tube
        && !line.items.iter().any(|p| matches!(p.item, Item::Tube(_)))
        && let Some((designator, span)) = line.designators.first()
    {
        line.found.push(Found::warning(*span, Problem::TubeType(designator.to_string())));
    }
    order::sort(&mut line.found, |f| [f.span.line, f.span.column, 0]);
}

/// What stands behind an amount that was not read, with no value before it, is
/// no value: of `20x20 450` the 450 is not picofarads, nor ohms of `47Q 1/2`.
fn after_unread(line: &mut PartLine) {
    let value = |i: &Item| {
        matches!(i, Item::Capacitance(_) | Item::BareCapacitance(..) | Item::Resistance(_))
    };
    let first = line.items.iter().position(|p| value(&p.item));
    let unread = line.items.iter().position(|p| is_unread(&p.item));
    let Some(unread) = unread.filter(|at| first.is_none_or(|first| *at < first)) else { return };
    if matches!(line.kind, PartKind::Coil) {
        return;
    }
    let mut at = 0;
    line.items.retain(|placed| {
        at += 1;
        at <= unread || !value(&placed.item)
    });
}

/// A capacitor said to be on the line, but neither by its places, nor by a
/// class or another word on which side: it is asked.
fn line_side(line: &mut PartLine) {
    let said = |i: &Item| match i {
        Item::Class(_) => true,
        Item::Role(role) => role.is_line_place(),
        _ => false,
    };
    if line.items.iter().any(|p| said(&p.item)) {
        line.items.retain(|p| !matches!(p.item, Item::LineSide(_)));
        return;
    }
    if line.items.iter().any(|p| matches!(p.item, Item::Leads(..))) {
        return;
    }
    let side = line.items.iter().find_map(|p| match &p.item {
        Item::LineSide(text) => Some((p.span, text.clone())),
        _ => None,
    });
    let Some((span, text)) = side else { return };
    let mut roles = vec![Role::AcrossLine, Role::LineToChassis];
    if text.to_ascii_lowercase().contains("hash") {
        roles.push(Role::SparkPlate);
    }
    let asked = Found::error(span, Problem::LineSide(text));
    line.found.push(
        roles
            .into_iter()
            .fold(asked, |found, role| found.or(format!("it is {}", role.label()), role.label())),
    );
}

/// Whether an amount was not read.
pub(super) const fn is_unread(item: &Item) -> bool {
    matches!(item, Item::Unread(_))
}

/// `.05 400`, `30-20 150/25`: bare numbers after the value that are ratings of
/// the time are the rating, or one for each section, with a note. Source:
/// common practice, no source.
fn bare_rating(line: &mut PartLine) {
    let values = positions(line, |i| matches!(i, Item::Capacitance(_) | Item::BareCapacitance(..)));
    let rated = line.items.iter().any(|p| matches!(p.item, Item::Volts(..)));
    let &[first, second] = values.as_slice() else { return };
    if rated || line.kind != PartKind::Capacitor {
        return;
    }
    let sections = match &line.items[first].item {
        Item::Capacitance(all) => all.len(),
        Item::BareCapacitance(all, _) => all.len(),
        _ => return,
    };
    let placed = &mut line.items[second];
    let Item::BareCapacitance(numbers, joined) = &placed.item else { return };
    let counted = numbers.len() == 1 || numbers.len() == sections;
    if joined.tolerance.is_some() || !counted || !numbers.iter().all(capacitor::is_old_rating) {
        return;
    }
    let read: Result<Vec<Voltage>, _> = numbers.iter().map(|n| Voltage::new(n.value)).collect();
    let Ok(ratings) = read else { return };
    let written: Vec<&str> = numbers.iter().map(|n| n.written.as_str()).collect();
    let told: Vec<String> = ratings.iter().map(ToString::to_string).collect();
    let told = told.join(", ");
    let choice = format!("{} V", written.join("/"));
    let problem = Problem::BareRating(written.join("/"), told.clone());
    line.found
        .push(Found::reading(placed.span, &told, problem).or(format!("it is {told}"), choice));
    placed.item = Item::Volts(ratings, VoltMark::Plain);
}

/// `650VCT 150MA 5V 3A 6.3V 4A` on a transformer: the tapped winding, or else
/// the highest, counts; of the others the places are missing.
fn low_windings(line: &mut PartLine) {
    if line.kind != PartKind::Transformer {
        return;
    }
    let told = |placed: &Placed| match &placed.item {
        Item::Volts(all, mark) => {
            all.first().map(|volts| (*mark == VoltMark::CentreTapped, *volts))
        }
        _ => None,
    };
    let Some(highest) = line.items.iter().filter_map(told).max() else { return };
    let (found, mut kept) = (&mut line.found, false);
    line.items.retain(|placed| {
        let Some(volts) = told(placed) else { return true };
        let first = !kept && volts == highest;
        kept |= first;
        if !first {
            let text = volts.1.to_string();
            found.push(Found::reading(placed.span, &text, Problem::LowWinding(text.clone())));
        }
        first
    });
}

/// The most volts of a winding for filaments. Source: common practice, no
/// source; 12.6 V at most beside a high-voltage winding.
const MOST_FILAMENT_VOLTS: Decimal = Decimal::from_parts(15, 0, 0, false, 0);

/// `secondary 6 to 7 5 V` beside a secondary of high voltage heats tubes, as if
/// it were called a heater winding.
fn filament_windings(line: &mut PartLine) {
    let is_low = |winding: &WindingItem| {
        winding.kind == WindingKind::Secondary
            && winding.volts.is_some_and(|v| v.volts() <= MOST_FILAMENT_VOLTS)
    };
    let feeds = |item: &Item| {
        matches!(item, Item::Winding(w) if w.kind == WindingKind::Secondary
            && w.volts.is_some_and(|v| v.volts() >= Decimal::ONE_HUNDRED))
    };
    if !line.items.iter().any(|placed| feeds(&placed.item)) {
        return;
    }
    for placed in &mut line.items {
        if let Item::Winding(winding) = &mut placed.item
            && is_low(winding)
        {
            winding.kind = WindingKind::Heater;
        }
    }
}

/// What the words of the line say of its bare values.
fn hints(line: &PartLine) -> Hints {
    let mut hints = Hints::default();
    for placed in &line.items {
        let likely = match &placed.item {
            Item::Dielectric(d) if d.is_electrolytic() => Likely::Electrolytic,
            Item::Dielectric(d) if d.is_paper() || d.is_film() => Likely::Paper,
            Item::Dielectric(Dielectric::Mica | Dielectric::SilverMica | Dielectric::Ceramic)
            | Item::Role(Role::Tuned | Role::Padder | Role::OscillatorGrid | Role::DiodeFilter) => {
                Likely::Small
            }
            Item::Role(Role::Reservoir | Role::Smoothing | Role::Doubler | Role::BiasBypass) => {
                Likely::Electrolytic
            }
            Item::Make(Make::NonPolarised) => Likely::Paper,
            Item::Volts(all, mark) => {
                hints.electrolytic_rating |=
                    all.first().is_some_and(|v| bare::is_electrolytic_rating(*v));
                hints.working_volts |= *mark == VoltMark::Working;
                hints.rated = true;
                continue;
            }
            _ => continue,
        };
        // What it is made of says more than what it does.
        let made_of = matches!(placed.item, Item::Dielectric(_));
        if made_of || hints.likely == Likely::Unsaid {
            hints.likely = likely;
        }
    }
    if line.kind == PartKind::VariableCapacitor {
        hints.likely = Likely::Variable;
    }
    hints
}

/// `40-40/150 20/25`: a further value with its own rating is a further section.
fn join_sections(line: &mut PartLine) {
    let values: Vec<usize> = positions(line, |i| matches!(i, Item::Capacitance(_)));
    let ratings: Vec<usize> =
        positions(line, |i| matches!(i, Item::Volts(_, m) if *m != VoltMark::Surge));
    let alternates = values.len() > 1
        && values.len() == ratings.len()
        && values.iter().zip(&ratings).all(|(v, r)| r == &(v + 1));
    if !alternates {
        return;
    }
    let mut all: Vec<Capacitance> = Vec::new();
    let mut volts = Vec::new();
    for (v, r) in values.iter().zip(&ratings) {
        if let (Item::Capacitance(cs), Item::Volts(vs, _)) =
            (&line.items[*v].item, &line.items[*r].item)
        {
            all.extend(cs);
            volts.extend(cs.iter().enumerate().map(|(i, _)| vs[i.min(vs.len() - 1)]));
        }
    }
    let first = line.items[values[0]].span;
    let last = line.items[ratings[ratings.len() - 1]].span;
    let mut at = 0;
    line.items.retain(|_| {
        at += 1;
        !values.contains(&(at - 1)) && !ratings.contains(&(at - 1))
    });
    line.items.push(Placed { span: first, item: Item::Capacitance(all) });
    line.items.push(Placed { span: last, item: Item::Volts(volts, VoltMark::Plain) });
}

/// Where items of a sort stand.
fn positions(line: &PartLine, sort: impl Fn(&Item) -> bool) -> Vec<usize> {
    line.items.iter().enumerate().filter(|(_, p)| sort(&p.item)).map(|(i, _)| i).collect()
}

/// Drops quantities that a part of this kind does not have.
fn drop_wrong(line: &mut PartLine) {
    let kind = line.kind;
    let found = &mut line.found;
    for placed in &mut line.items {
        let Some(measure) = measure_name(&placed.item) else { continue };
        let fits = match kind {
            PartKind::Capacitor | PartKind::VariableCapacitor => {
                matches!(measure, "capacitance" | "voltage" | "tolerance")
            }
            PartKind::Resistor | PartKind::Potentiometer | PartKind::ResistanceCord => {
                matches!(measure, "resistance" | "power" | "tolerance" | "voltage" | "current")
            }
            PartKind::Coil => measure != "capacitance",
            _ => true,
        };
        if !fits {
            let text = shown(&placed.item);
            let problem = Problem::WrongMeasure(text.clone(), measure, name_of(kind));
            found.push(Found::error(placed.span, problem));
            placed.item = Item::Unread(text);
        }
    }
}

/// The name of what an item measures.
pub(super) const fn measure_name(item: &Item) -> Option<&'static str> {
    Some(match item {
        Item::Capacitance(_) => "capacitance",
        Item::Resistance(_) => "resistance",
        Item::Inductance(_) => "inductance",
        Item::Current(_) => "current",
        Item::Frequency(_) => "frequency",
        Item::Power(_) => "power",
        Item::Volts(..) => "voltage",
        Item::Tolerance(_) => "tolerance",
        _ => return None,
    })
}

/// A quantity as it was read.
pub(super) fn shown(item: &Item) -> String {
    match item {
        Item::Capacitance(all) => all.first().map(ToString::to_string).unwrap_or_default(),
        Item::Resistance(r) => r.to_string(),
        Item::Inductance(l) => l.to_string(),
        Item::Current(a) => a.to_string(),
        Item::Frequency(f) => f.to_string(),
        Item::Power(p) => p.to_string(),
        Item::Volts(all, _) => all.first().map(ToString::to_string).unwrap_or_default(),
        Item::Tolerance(t) => t.to_string(),
        Item::Class(c) => c.label().to_owned(),
        Item::Dielectric(d) => d.label().to_owned(),
        Item::Role(r) => r.label().to_owned(),
        Item::Area(name) | Item::Tube(name) => name.clone(),
        _ => String::new(),
    }
}

/// Where the role stands that asks for a safety class, if another one stands
/// before it: no word takes a class away.
fn role_that_counts(line: &PartLine) -> Option<Span> {
    let rank = |role: Role| match role {
        Role::AcrossLine | Role::MotorSuppressor => 2,
        role if role.is_line_place() => 3,
        Role::RectifierRf => 1,
        _ => 0,
    };
    let mut roles = line.items.iter().filter_map(|p| match p.item {
        Item::Role(role) => Some((rank(role), p.span)),
        _ => None,
    });
    let first = roles.next()?;
    let most = roles.fold(first, |most, other| if other.0 > most.0 { other } else { most });
    (most.0 > first.0).then_some(most.1)
}

/// Notes and drops the second of what a part has once.
fn drop_second(line: &mut PartLine) {
    if !matches!(
        line.kind,
        PartKind::Capacitor
            | PartKind::VariableCapacitor
            | PartKind::Resistor
            | PartKind::Potentiometer
            | PartKind::Coil
    ) {
        return;
    }
    let mut seen: Vec<&'static str> = Vec::new();
    let counts = role_that_counts(line);
    let found = &mut line.found;
    let mut unread = None;
    line.items.retain(|placed| {
        if let (Item::Role(_), Some(counts)) = (&placed.item, counts)
            && placed.span != counts
        {
            found.push(Found::warning(placed.span, Problem::OtherRole(shown(&placed.item))));
            return false;
        }
        let slot = match &placed.item {
            Item::Volts(_, VoltMark::Surge) => "surge rating",
            Item::Capacitance(_) | Item::Resistance(_) if line.kind != PartKind::Coil => "value",
            Item::Volts(..) => "rating",
            Item::Dielectric(_) => "dielectric",
            Item::Role(_) => "role",
            Item::Class(_) => "safety class",
            Item::Area(_) => "area",
            Item::Leads(..) => "pair of places",
            item => match measure_name(item) {
                Some(name) => name,
                None => return true,
            },
        };
        let second = seen.contains(&slot);
        if second {
            found.push(Found::warning(placed.span, Problem::Second(shown(&placed.item), slot)));
            if matches!(placed.item, Item::Leads(..)) {
                unread = Some(Placed { span: placed.span, item: Item::UnreadPlaces });
            }
        } else {
            seen.push(slot);
        }
        !second
    });
    line.items.extend(unread);
}
