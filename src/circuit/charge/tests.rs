use super::*;
use crate::circuit::netlist::{ElementId, Netlist, NodeId};
use crate::circuit::solver::{Options, solve};

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-6 * wanted.max(1.0), "{found} for {wanted}");
}

/// A figure from a sequence that is always the same.
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        // Source of the constants: Knuth, MMIX.
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % bound
    }
}

fn charging(
    nodes: usize,
    supply: &[(usize, usize, f64)],
    edges: &[(usize, usize, f64)],
) -> Charging {
    let mut net = Charging::new(nodes);
    for (plus, minus, volts) in supply {
        net.supply(*plus, *minus, *volts);
    }
    for (a, b, ohms) in edges {
        net.resistor(*a, *b, *ohms);
    }
    net
}

/// The same by the DC solver: the most volts between every pair of nodes over
/// every set of resistors that are open, where supplies reach both; `None`
/// where they never do.
fn by_solver(
    nodes: usize,
    supply: &[(usize, usize, f64)],
    edges: &[(usize, usize, f64)],
    present: &[usize],
) -> Vec<Vec<Option<f64>>> {
    let mut most: Vec<Vec<Option<f64>>> = vec![vec![None; nodes]; nodes];
    let free: Vec<usize> = (0..edges.len()).filter(|e| !present.contains(e)).collect();
    for open in 0..1_usize << free.len() {
        let mut net = Netlist::new();
        let ids: Vec<NodeId> = (0..nodes)
            .map(|node| if node == 0 { NodeId::GROUND } else { net.node(&node.to_string()) })
            .collect();
        for (plus, minus, volts) in supply {
            net.source("V", ids[*plus], ids[*minus], *volts).unwrap();
        }
        let mut kept: Vec<ElementId> = Vec::new();
        for (at, (a, b, ohms)) in edges.iter().enumerate() {
            let gone = free.iter().position(|e| *e == at).is_some_and(|bit| open >> bit & 1 == 1);
            if !gone {
                kept.push(net.resistor("R", ids[*a], ids[*b], *ohms).unwrap());
            }
        }
        let solution = solve(&net, &Options::default()).unwrap();
        let floats = |node: usize| solution.floating.contains(&ids[node]);
        for p in 0..nodes {
            for n in (0..nodes).filter(|n| *n != p && !floats(p) && !floats(*n)) {
                let volts = solution.between(ids[p], ids[n]).abs();
                most[p][n] = Some(most[p][n].map_or(volts, |m| m.max(volts)));
            }
        }
    }
    most
}

#[test]
fn one_supply_charges_as_the_solver_says_over_every_set_of_open_resistors() {
    let mut dice = Dice(7);
    for trial in 0..400 {
        let nodes = 3 + dice.below(5);
        let count = 2 + dice.below(8);
        let mut edges = Vec::new();
        while edges.len() < count {
            let (a, b) = (dice.below(nodes), dice.below(nodes));
            if a != b {
                let ohms = [47.0, 1e3, 3.3e3, 22e3, 470e3, 2.2e6][dice.below(6)];
                edges.push((a, b, ohms));
            }
        }
        let supply = [(1, 0, 300.0)];
        let theirs = by_solver(nodes, &supply, &edges, &[]);
        // No common: nothing is in series with the load.
        let ours = charging(nodes, &supply, &edges).find(None);
        for p in 0..nodes {
            for n in (0..nodes).filter(|n| *n != p) {
                let (ours, theirs) = (ours.across(p, n, None).map(|c| c.volts), theirs[p][n]);
                let (Some(volts), Some(wanted)) = (ours, theirs) else {
                    assert_eq!(ours.is_some(), theirs.is_some(), "{trial}: {p} {n} {edges:?}");
                    continue;
                };
                assert!(
                    (volts - wanted).abs() < 1e-3,
                    "{trial}: {p} {n} {volts} {wanted} {edges:?}"
                );
            }
        }
    }
}

#[test]
fn several_supplies_with_series_resistors_never_charge_beyond_what_is_told() {
    let mut dice = Dice(11);
    for trial in 0..300 {
        // 0 the common, 1 the return behind 150 Ω, 2 B+, 3 bias, 4 a cathode.
        let nodes = 5 + dice.below(3);
        let (mut supply, mut edges) = (vec![(2, 1, 400.0)], vec![(0, 1, 150.0), (4, 0, 1e3)]);
        if dice.below(2) == 0 {
            supply.push((0, 3, 90.0));
        }
        for _ in 0..2 + dice.below(5) {
            let (a, b) = (dice.below(nodes), dice.below(nodes));
            let cathode = (a, b) == (4, 0) || (a, b) == (0, 4);
            let lead = (a, b) == (1, 0) || (a, b) == (0, 1);
            if a != b && !cathode && !lead {
                edges.push((a, b, [820.0, 4.7e3, 33e3, 270e3, 1e6][dice.below(5)]));
            }
        }
        let theirs = by_solver(nodes, &supply, &edges, &[0, 1]);
        let paths = charging(nodes, &supply, &edges).find(Some(0));
        for (p, of_p) in theirs.iter().enumerate() {
            for (n, wanted) in of_p.iter().enumerate() {
                let cathode = (p == 4 || n == 4).then_some(4);
                let Some(wanted) = *wanted else { continue };
                let found = paths.across(p, n, cathode).unwrap();
                assert!(
                    found.volts >= wanted - 1e-3 && found.opened >= found.volts - 1e-9,
                    "{trial}: {p} {n} {found:?} {wanted} {supply:?} {edges:?}"
                );
            }
        }
    }
}

#[test]
fn a_path_of_any_ohms_charges_to_the_full_voltage() {
    for ohms in [10.0, 47e3, 2.2e6, 10e6] {
        let paths =
            charging(4, &[(1, 0, 389.0)], &[(1, 2, ohms), (2, 0, 10e3), (3, 0, 1e6)]).find(Some(0));
        near(paths.across(2, 0, None).unwrap().volts, 389.0);
        // From plate to grid.
        near(paths.across(2, 3, None).unwrap().volts, 389.0);
    }
}

#[test]
fn leads_behind_one_node_are_charged_alike() {
    // A choke, then two ends of a winding; a bleeder after the choke.
    let edges = [(1, 2, 300.0), (2, 0, 20e3), (2, 3, 150.0), (2, 4, 150.0)];
    let paths = charging(5, &[(1, 0, 500.0)], &edges).find(Some(0));
    near(paths.across(3, 4, None).unwrap().volts, 0.0);
    near(paths.across(3, 0, None).unwrap().volts, 500.0);
}

#[test]
fn a_lead_that_no_supply_reaches_is_unknown() {
    let paths = charging(4, &[(1, 0, 500.0)], &[(1, 2, 300.0)]).find(Some(0));
    assert_eq!(paths.across(2, 3, None), None);
}

#[test]
fn a_cathode_resistor_holds_its_bypass_down_and_a_divider_does_not() {
    // A bleeder of 100 kΩ to a cathode with 1 kΩ.
    let edges = [(1, 2, 99e3), (2, 0, 1e3)];
    let paths = charging(3, &[(1, 0, 400.0)], &edges).find(Some(0));
    let held = paths.across(2, 0, Some(2)).unwrap();
    assert!((held.volts - 4.0).abs() < 1e-9, "{held:?}");
    near(held.opened, 400.0);
    near(held.held_by.unwrap(), 1e3);
    near(paths.across(2, 0, None).unwrap().volts, 400.0);
}

#[test]
fn the_negative_lead_joins_return_and_common() {
    // 0 chassis, 1 return behind 300 Ω, 2 B+, 3 bias filter; bleeder of 20 kΩ.
    let edges = [(0, 1, 300.0), (2, 0, 20e3), (1, 3, 100e3)];
    let paths = charging(4, &[(2, 1, 500.0)], &edges).find(Some(0));
    near(paths.across(2, 0, None).unwrap().volts, 500.0);
    // 300 Ω of 20 kΩ.
    let bias = paths.across(0, 1, None).unwrap();
    assert!((bias.volts - 7.5).abs() < 1e-9, "{bias:?}");
    near(bias.opened, 500.0);
    near(bias.held_by.unwrap(), 300.0);
    let filter = paths.across(0, 3, None).unwrap();
    assert!(filter.volts < 8.0, "{filter:?}");
}

#[test]
fn a_filter_point_is_never_part_of_the_negative_lead() {
    // The nearest way from the return to the common leads through B1.
    let edges = [(2, 3, 300.0), (3, 0, 2e3), (3, 1, 2e3), (0, 1, 10e3)];
    let paths = charging(4, &[(2, 1, 250.0)], &edges).find(Some(0));
    near(paths.across(3, 0, None).unwrap().volts, 250.0);
    near(paths.across(3, 1, None).unwrap().volts, 250.0);
}
