//! Sheets at random of which one connection of a supply is left out.

use super::{PLUGGED, T1, untold};
use crate::chance;
use firstglow::plan::plan;
use firstglow::sheet::Sheet;
use proptest::prelude::*;
use proptest::sample::select;

/// A set of random size: B+ behind a tube, a bias, and stages. Lines that end in
/// `;` are the connections of which one is dropped.
#[derive(Debug, Clone)]
struct Drawn {
    /// Lines that stay.
    rest: Vec<String>,
    /// Connections of the B+ supply, each in its two forms: whole and dropped.
    b_plus: Vec<(String, String)>,
    /// Those of the bias.
    bias: Vec<(String, String)>,
    /// Nodes that B+ feeds.
    fed: Vec<String>,
    /// Nodes that the bias feeds.
    biased: Vec<String>,
}

fn drawn() -> impl Strategy<Value = Drawn> {
    (
        select(
            &[
                "5Y3GT 4={a} 6={b} 8={k}",
                "5U4G 4={a} 6={b} 8={k}",
                "80 2={a} 3={b} 4={k}",
                "6X5GT 3={a} 5={b} 8={k}",
            ][..],
        ),
        250_u32..760,
        25_u32..90,
        1_usize..5,
        prop::bool::ANY,
        prop::bool::ANY,
        select(
            &[
                "6V6GT 3={p} 4={s} 5={g} 8={k} 7=chassis",
                "6J5 3={p} 5={g} 8={k}",
                "6SJ7 8={p} 6={s} 4={g} 5={k} 3={k}",
            ][..],
        ),
    )
        .prop_map(|(tube, volts, own, stages, turned, selenium, stage)| {
            let pair = |whole: &str, dropped: &str| (whole.to_owned(), dropped.to_owned());
            let v9 = |a: &str, b: &str, k: &str| {
                let at = |name: &str, to: &str, text: &str| match to {
                    "" => text
                        .split(' ')
                        .filter(|word| !word.contains(name))
                        .collect::<Vec<_>>()
                        .join(" "),
                    to => text.replace(name, to),
                };
                format!("V9 {}", at("{k}", k, &at("{b}", b, &at("{a}", a, tube))))
            };
            let whole = v9("T1.3", "T1.5", "B0");
            let b_plus = vec![
                pair(
                    &format!(" secondary 3 to 5 tap 4 {volts} V CT 180 ohm"),
                    " secondary 3 to 5 tap 4 180 ohm",
                ),
                pair("wire T1.4 to chassis", ""),
                pair(&whole, ""),
                pair("", &v9("", "T1.5", "B0")),
                pair("", &v9("T1.3", "", "B0")),
                pair("", &v9("T1.3", "T1.5", "")),
                pair("", &v9("ht1", "ht2", "B0")),
            ];
            let sort = if selenium { "SR1 selenium 50 mA" } else { "D1 silicon" };
            let (hot, back) = if turned { ("T1.8", "T1.9") } else { ("T1.9", "T1.8") };
            let bias = vec![
                pair(&format!(" secondary 8 to 9 {own} V 30 ohm"), " secondary 8 to 9 30 ohm"),
                pair(&format!("wire {back} to chassis"), ""),
                pair(&format!("{sort} nb to {hot}"), ""),
            ];
            let mut rest: Vec<String> = [
                "C1 16 uF 500 V electrolytic B0 to chassis",
                "R91 1K 5 W B0 to B1",
                "C2 16 uF 500 V electrolytic B1 to chassis",
                "R92 22K 10 W B1 to chassis",
                "C3 20 uF 150 V electrolytic chassis to nb",
                "R93 10K nb to bias",
                "R94 22K bias to chassis",
            ]
            .map(str::to_owned)
            .to_vec();
            let mut fed: Vec<String> = ["B0", "B1"].map(str::to_owned).to_vec();
            let mut biased: Vec<String> = ["nb", "bias"].map(str::to_owned).to_vec();
            for n in 1..=stages {
                let own = |what: &str| format!("{what}{n}");
                let pins = stage
                    .replace("{p}", &own("p"))
                    .replace("{s}", &own("s"))
                    .replace("{g}", &own("g"))
                    .replace("{k}", &own("k"));
                rest.push(format!("V{n} {pins}"));
                rest.push(format!("R{n}1 22K 2 W p{n} to B1"));
                rest.push(format!("R{n}2 47K 1 W s{n} to B1"));
                rest.push(format!(
                    "R{n}3 470K g{n} to {}",
                    if n % 2 == 0 { "bias" } else { "chassis" }
                ));
                rest.push(format!("R{n}4 1K k{n} to chassis"));
                rest.push(format!("C{n}5 25 uF 50 V electrolytic k{n} to chassis"));
                fed.extend([own("p"), own("s"), own("k")]);
                if n % 2 == 0 {
                    biased.extend([own("g"), own("p")]);
                }
            }
            Drawn { rest, b_plus, bias, fed, biased }
        })
}

impl Drawn {
    /// The text with the connection of number `dropped` of the supply left out;
    /// none with a number past them.
    fn text(&self, of_bias: bool, dropped: usize) -> String {
        let part = |all: &[(String, String)], drop: Option<usize>| {
            let lines = all.iter().enumerate().map(|(at, (whole, without))| {
                if Some(at) == drop { without.clone() } else { whole.clone() }
            });
            let mut lines: Vec<String> = lines.collect();
            // The rectifier stands in the third line, or in that which is left.
            if drop.is_some_and(|at| at > 2 && at < all.len()) {
                lines[2].clear();
            }
            lines
        };
        let b_plus = part(&self.b_plus, (!of_bias).then_some(dropped));
        let bias = part(&self.bias, of_bias.then_some(dropped));
        let mut all: Vec<&str> = vec![T1.trim_end(), &b_plus[0], &bias[0], PLUGGED.trim_end()];
        all.extend(b_plus[1..].iter().chain(&bias[1..]).chain(&self.rest).map(String::as_str));
        all.retain(|line| !line.is_empty());
        all.join("\n")
    }
}

proptest! {
    #![proptest_config(chance::cases(300))]

    #[test]
    fn nothing_is_told_where_a_supply_is_not_closed(
        drawn in drawn(),
        of_bias in prop::bool::ANY,
        which in 0_usize..7,
    ) {
        let count = if of_bias { drawn.bias.len() } else { drawn.b_plus.len() };
        let text = drawn.text(of_bias, which % count);
        let plan = plan(&Sheet::read(&text));
        prop_assert!(plan.supply.has_unknown_supply, "{text}");
        prop_assert!(plan.hazards.iter().any(|h| h.id.starts_with("unknown-supply")), "{text}");
        let untold_of = if of_bias { &drawn.biased } else { &drawn.fed };
        for node in &plan.circuit.nodes {
            let reference = Some(&node.name) == plan.circuit.reference.as_ref();
            if untold_of.contains(&node.name) {
                prop_assert!(untold(node), "{node:?}\n{text}");
            }
            for volts in [node.cold_v, node.low_v, node.running_v, node.high_v, node.meter_v] {
                prop_assert!(reference || volts.is_none_or(|v| v.abs() > 0.05), "{node:?}\n{text}");
            }
        }
        for part in &plan.parts {
            let Some(leads) = Sheet::read(&text).parts.iter().find(|p| p.key == part.key).and_then(|p| p.leads.clone()) else { continue };
            let ends = [leads.from.to_string(), leads.to.to_string()];
            if ends.iter().any(|end| untold_of.contains(end)) {
                prop_assert!(part.stress.is_none(), "{part:?}\n{text}");
            }
        }
    }

    #[test]
    fn the_whole_set_is_told(drawn in drawn()) {
        let text = drawn.text(false, usize::MAX);
        let plan = plan(&Sheet::read(&text));
        prop_assert!(!plan.supply.has_unknown_supply, "{:?}\n{text}", plan.supply.unsolved);
        for name in ["B0", "B1", "nb", "bias"] {
            let node = plan.circuit.nodes.iter().find(|n| n.name == name).unwrap();
            let volts = node.running_v.unwrap();
            prop_assert!(if name.starts_with('B') { volts > 50.0 } else { volts < -5.0 }, "{node:?}");
        }
    }
}
