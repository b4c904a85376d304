//! Runs ngspice on decks written from our own netlists.
//!
//! The simulator is Debian's `ngspice`, run in batch mode. Laws are written out
//! as B sources with their numbers, apart from the code they check.

#![allow(dead_code, reason = "each test file uses a part")]

use firstglow::circuit::law::Law;
use firstglow::circuit::netlist::{Element, Netlist, NodeId};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A node's name in a deck.
pub fn node(id: NodeId) -> String {
    id.index().to_string()
}

/// The elements of a netlist as cards. Capacitors are left in; they are open
/// at DC.
pub fn cards(net: &Netlist) -> String {
    let mut deck = String::new();
    for (id, element) in net.elements() {
        let number = id.index();
        let line = match *element {
            Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } => {
                format!("R{number} {} {} {ohms:e}", node(a), node(b))
            }
            Element::Capacitor { a, b, farads } => {
                format!("C{number} {} {} {farads:e}", node(a), node(b))
            }
            Element::VoltageSource { plus, minus, volts } => {
                format!("V{number} {} {} {volts:e}", node(plus), node(minus))
            }
            Element::CurrentSource { from, to, amps } => {
                format!("I{number} {} {} {amps:e}", node(from), node(to))
            }
            Element::Device { plate, grid, screen, cathode, law } => {
                let ends = [plate, grid, screen, cathode].map(node);
                device(number, ends.each_ref().map(String::as_str), &law)
            }
        };
        writeln!(deck, "{line}").unwrap();
    }
    deck
}

/// A difference of node voltages; ngspice knows ground as 0.
fn across(a: &str, b: &str) -> String {
    format!("(V({a})-V({b}))")
}

/// `0.05 V` of rounding at cutoff.
fn positive(sum: &str) -> String {
    format!("(0.5*(({sum})+sqrt(({sum})*({sum})+0.0025)))")
}

fn step(x: &str) -> String {
    let x = format!("min(max({x},0),1)");
    format!("({x}*{x}*(3-2*{x}))")
}

/// 70 nA at the onset, 0.1 V an e-fold, straight after seven.
fn onset(volts: &str, onset: f64) -> String {
    let folds = format!("(({volts}-({onset}))/0.1)");
    format!("(70e-9*exp(min({folds},7))*(1+max({folds}-7,0)))")
}

fn ramp(x: &str, width: f64) -> String {
    format!(
        "(({x})<0 ? 0 : (({x})<{width} ? 0.5*({x})*({x})/{width} : ({x})-{half}))",
        half = 0.5 * width
    )
}

/// A device's cards: plate, grid, screen, cathode.
pub fn device(n: usize, [plate, grid, screen, cathode]: [&str; 4], law: &Law) -> String {
    let (vp, vg, vs) = (across(plate, cathode), across(grid, cathode), across(screen, cathode));
    let ends = [plate, grid, screen].into_iter().take(law.electrodes()).enumerate();
    let leak: Vec<_> =
        ends.map(|(at, end)| format!("RLEAK{at}_{n} {end} {cathode} 1e12")).collect();
    let leak = leak.join("\n");
    match *law {
        Law::Off => leak,
        Law::Vacuum { perveance } => {
            format!("{leak}\nB{n} {plate} {cathode} I={perveance:e}*pow(max({vp},0),1.5)")
        }
        Law::Threshold { volts, ohms } => {
            let width = (0.2 * volts.abs()).clamp(1e-3, 0.1);
            format!(
                "{leak}\nB{n} {plate} {cathode} I={}/{ohms:e}",
                ramp(&format!("{vp}-({volts})"), width)
            )
        }
        Law::Detector { onset: at } => {
            format!("{leak}\nB{n} {plate} {cathode} I={}", onset(&vp, at))
        }
        Law::Triode(law) => {
            let sum = format!("{vg}+{}+{vp}/{}", law.offset, law.mu);
            format!(
                "{leak}\nB{n} {plate} {cathode} I={:e}*pow({},1.5)*{}\nBG{n} {grid} {cathode} I={}",
                law.perveance,
                positive(&sum),
                step(&format!("{vp}/5")),
                onset(&vg, law.grid_onset)
            )
        }
        Law::Pentode(law) => {
            let sum = format!("{vg}+{}+{vs}/{}+{vp}/{}", law.offset, law.screen_mu, law.mu);
            let over = format!("min({},1)", ramp(&format!("{vp}/{}", law.knee_volts), 0.04));
            let share = format!("({}*(1-(1-{over})*(1-{over})))", law.plate_share);
            let drive = format!("{:e}*pow({},1.5)", law.perveance, positive(&sum));
            format!(
                "{leak}\nB{n} {plate} {cathode} I={drive}*{share}\nBS{n} {screen} {cathode} I={drive}*(1-{share})*{}\nBG{n} {grid} {cathode} I={}",
                step(&format!("{vs}/5")),
                onset(&vg, law.grid_onset)
            )
        }
    }
}

/// Node volts of a netlist by ngspice, by node index.
pub fn operating_point(net: &Netlist) -> Vec<f64> {
    let mut deck = String::from("operating point\n");
    deck.push_str(&cards(net));
    deck.push_str(".options reltol=1e-7 abstol=1e-15 vntol=1e-9 gmin=1e-15 itl1=1000\n");
    deck.push_str(".control\nset numdgt=14\nop\n");
    for id in net.nodes() {
        writeln!(deck, "print v({})", node(id)).unwrap();
    }
    deck.push_str(".endc\n.end\n");
    let told = run(&deck);
    let mut volts = vec![0.0; net.node_count()];
    for id in net.nodes() {
        let name = format!("v({})", node(id));
        volts[id.index()] =
            *told.get(&name).unwrap_or_else(|| panic!("ngspice tells no {name}\n{deck}"));
    }
    volts
}

/// Runs a deck and collects every line of the form `name = number`.
///
/// # Panics
/// When ngspice is missing: it is part of these checks, not an extra.
pub fn run(deck: &str) -> BTreeMap<String, f64> {
    static COUNT: AtomicUsize = AtomicUsize::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let path = std::env::temp_dir().join(format!("firstglow-{}-{count}.cir", std::process::id()));
    std::fs::write(&path, deck).expect("the temporary folder is writable");
    let output = Command::new("ngspice").arg("-b").arg(&path).output();
    let output = output.unwrap_or_else(|error| {
        panic!("ngspice does not start ({error}); install it: apt-get install ngspice")
    });
    let text = String::from_utf8_lossy(&output.stdout).into_owned()
        + &String::from_utf8_lossy(&output.stderr);
    let mut told = BTreeMap::new();
    for line in text.lines() {
        let mut words = line.split('=');
        if let (Some(name), Some(value)) = (words.next(), words.next())
            && let Some(number) = value.split_whitespace().next().and_then(|word| word.parse().ok())
        {
            told.insert(name.trim().to_lowercase(), number);
        }
    }
    assert!(!told.is_empty(), "ngspice says nothing useful:\n{text}\n{deck}");
    std::fs::remove_file(&path).expect("the deck is still there");
    told
}

/// A number sequence for circuits that look random and are always the same.
pub struct Sequence(u64);

impl Sequence {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    /// From 0 up to 1.
    pub fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).expect("32 bits")) / f64::from(u32::MAX)
    }

    /// Spread evenly by ratio.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.next())
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "below the length")]
    pub fn pick(&mut self, length: usize) -> usize {
        let at = (self.next() * f64::from(u32::try_from(length).expect("short"))) as usize;
        at.min(length - 1)
    }
}
