//! The words of the trade that may stand on a line.

use crate::letters;
use crate::trade::dielectric::Dielectric;
use crate::trade::kind::{Make, PartKind};
use crate::trade::role::Role;
use crate::trade::safety::SafetyClass;
use std::collections::HashMap;
use std::sync::OnceLock;

/// What a word or phrase says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meaning {
    /// A dielectric.
    Dielectric(Dielectric),
    /// A role.
    Role(Role),
    /// How it is made.
    Make(Make),
    /// A safety class.
    Class(SafetyClass),
    /// What kind of part it is.
    Kind(PartKind),
    /// Guaranteed minimum value: 0/+100 %.
    GuaranteedMinimum,
    /// `line`, `line bypass`: a capacitor across the line, or from it to chassis.
    Line,
    /// Understood, and says nothing more.
    Nothing,
}

use Dielectric as D;
use Make as M;
use Meaning as W;
use PartKind as K;
use Role as R;
use SafetyClass as S;

/// Every phrase, beside the labels of dielectrics and roles.
const PHRASES: &[(&str, Meaning)] = &[
    ("wax paper", W::Dielectric(D::Paper)),
    ("waxed paper", W::Dielectric(D::Paper)),
    ("waxed", W::Dielectric(D::Paper)),
    ("wax", W::Dielectric(D::Paper)),
    ("pap", W::Dielectric(D::Paper)),
    ("paper tubular", W::Dielectric(D::Paper)),
    ("tubular paper", W::Dielectric(D::Paper)),
    ("molded paper", W::Dielectric(D::MouldedPaper)),
    ("molded", W::Dielectric(D::MouldedPaper)),
    ("moulded", W::Dielectric(D::MouldedPaper)),
    ("oil", W::Dielectric(D::OilPaper)),
    ("oil filled", W::Dielectric(D::OilPaper)),
    ("paper oil", W::Dielectric(D::OilPaper)),
    ("paper in oil", W::Dielectric(D::OilPaper)),
    ("oil filled paper", W::Dielectric(D::OilPaper)),
    ("bathtub", W::Dielectric(D::OilPaper)),
    ("metallized paper", W::Dielectric(D::MetallisedPaper)),
    ("elect", W::Dielectric(D::Electrolytic)),
    ("electro", W::Dielectric(D::Electrolytic)),
    ("elec", W::Dielectric(D::Electrolytic)),
    ("lytic", W::Dielectric(D::Electrolytic)),
    ("electrolytics", W::Dielectric(D::Electrolytic)),
    ("dry electrolytic", W::Dielectric(D::Electrolytic)),
    ("can electrolytic", W::Dielectric(D::Electrolytic)),
    ("electrolytic can", W::Dielectric(D::Electrolytic)),
    ("wet", W::Dielectric(D::WetElectrolytic)),
    ("wet elect", W::Dielectric(D::WetElectrolytic)),
    ("postage stamp", W::Dielectric(D::Mica)),
    ("postage stamp mica", W::Dielectric(D::Mica)),
    ("molded mica", W::Dielectric(D::Mica)),
    ("moulded mica", W::Dielectric(D::Mica)),
    ("silvered mica", W::Dielectric(D::SilverMica)),
    ("sm", W::Dielectric(D::SilverMica)),
    ("disc", W::Dielectric(D::Ceramic)),
    ("disk", W::Dielectric(D::Ceramic)),
    ("ceramic disc", W::Dielectric(D::Ceramic)),
    ("disc ceramic", W::Dielectric(D::Ceramic)),
    ("ceramic disk", W::Dielectric(D::Ceramic)),
    ("disk ceramic", W::Dielectric(D::Ceramic)),
    ("ceramic tubular", W::Dielectric(D::Ceramic)),
    ("tubular ceramic", W::Dielectric(D::Ceramic)),
    ("cer", W::Dielectric(D::Ceramic)),
    ("np0", W::Dielectric(D::Ceramic)),
    ("npo", W::Dielectric(D::Ceramic)),
    ("c0g", W::Dielectric(D::Ceramic)),
    ("plastic film", W::Dielectric(D::Film)),
    ("poly", W::Dielectric(D::Film)),
    ("polyester film", W::Dielectric(D::Polyester)),
    ("pet", W::Dielectric(D::Polyester)),
    ("polypropylene film", W::Dielectric(D::Polypropylene)),
    ("pp", W::Dielectric(D::Polypropylene)),
    ("poly prop", W::Dielectric(D::Polypropylene)),
    ("styrene", W::Dielectric(D::Polystyrene)),
    ("filter", W::Role(R::Smoothing)),
    ("input filter", W::Role(R::Reservoir)),
    ("filter input", W::Role(R::Reservoir)),
    ("reservoir", W::Role(R::Reservoir)),
    ("1st filter", W::Role(R::Reservoir)),
    ("second filter", W::Role(R::Smoothing)),
    ("2nd filter", W::Role(R::Smoothing)),
    ("output filter", W::Role(R::Smoothing)),
    ("third filter", W::Role(R::Smoothing)),
    ("decouple", W::Role(R::Decoupling)),
    ("voltage doubler", W::Role(R::Doubler)),
    ("back bias bypass", W::Role(R::BiasBypass)),
    ("bias filter", W::Role(R::BiasBypass)),
    ("screen", W::Role(R::ScreenBypass)),
    ("b+ bypass", W::Role(R::SupplyBypass)),
    ("plate return bypass", W::Role(R::SupplyBypass)),
    ("rf supply bypass", W::Role(R::SupplyBypass)),
    ("cathode", W::Role(R::CathodeBypassAudio)),
    ("audio cathode bypass", W::Role(R::CathodeBypassAudio)),
    ("cathode rf bypass", W::Role(R::CathodeBypassRf)),
    ("cathode bypass rf", W::Role(R::CathodeBypassRf)),
    ("coupler", W::Role(R::Coupling)),
    ("plate coupling", W::Role(R::Coupling)),
    ("audio coupling", W::Role(R::Coupling)),
    ("interstage coupling", W::Role(R::Coupling)),
    ("blocking", W::Role(R::Coupling)),
    ("grid leak", W::Role(R::GridCoupling)),
    ("grid", W::Role(R::GridCoupling)),
    ("avc", W::Role(R::Avc)),
    ("agc", W::Role(R::Avc)),
    ("avc bypass", W::Role(R::Avc)),
    ("diode load", W::Role(R::DiodeFilter)),
    ("detector filter", W::Role(R::DiodeFilter)),
    ("diode bypass", W::Role(R::DiodeFilter)),
    ("rf filter", W::Role(R::DiodeFilter)),
    ("tone control", W::Role(R::Tone)),
    ("loudness", W::Role(R::VolumeCompensation)),
    ("bass compensation", W::Role(R::VolumeCompensation)),
    ("tone compensation", W::Role(R::VolumeCompensation)),
    ("output plate bypass", W::Role(R::PlateBypass)),
    ("output bypass", W::Role(R::PlateBypass)),
    ("across line", W::Role(R::AcrossLine)),
    ("line to line", W::Role(R::AcrossLine)),
    ("chassis bypass", W::Role(R::BMinusToChassis)),
    ("b minus bypass", W::Role(R::BMinusToChassis)),
    ("floating ground", W::Role(R::BMinusToChassis)),
    ("antenna coupling", W::Role(R::AntennaIsolation)),
    ("antenna series", W::Role(R::AntennaIsolation)),
    ("antenna", W::Role(R::AntennaIsolation)),
    ("aerial isolation", W::Role(R::AntennaIsolation)),
    ("ground terminal isolation", W::Role(R::GroundIsolation)),
    ("buffer capacitor", W::Role(R::Buffer)),
    ("vibrator buffer", W::Role(R::Buffer)),
    ("timing", W::Role(R::Buffer)),
    ("a lead filter", W::Role(R::SparkPlate)),
    ("rectifier bypass", W::Role(R::RectifierRf)),
    ("hum bypass", W::Role(R::RectifierRf)),
    ("phono motor suppressor", W::Role(R::MotorSuppressor)),
    ("motor", W::Role(R::MotorSuppressor)),
    ("tuned", W::Role(R::Tuned)),
    ("if tuning", W::Role(R::Tuned)),
    ("wave trap", W::Role(R::Tuned)),
    ("trap", W::Role(R::Tuned)),
    ("fixed padder", W::Role(R::Padder)),
    ("osc grid", W::Role(R::OscillatorGrid)),
    ("osc coupling", W::Role(R::OscillatorGrid)),
    ("oscillator coupling", W::Role(R::OscillatorGrid)),
    ("oscillator", W::Role(R::OscillatorGrid)),
    ("variable", W::Kind(K::VariableCapacitor)),
    ("tuning gang", W::Kind(K::VariableCapacitor)),
    ("gang", W::Kind(K::VariableCapacitor)),
    ("trimmer", W::Kind(K::VariableCapacitor)),
    ("adjustable", W::Kind(K::VariableCapacitor)),
    ("adjustable padder", W::Kind(K::VariableCapacitor)),
    ("air variable", W::Kind(K::VariableCapacitor)),
    ("pot", W::Kind(K::Potentiometer)),
    ("potentiometer", W::Kind(K::Potentiometer)),
    ("volume control", W::Kind(K::Potentiometer)),
    ("vol control", W::Kind(K::Potentiometer)),
    ("vol pot", W::Kind(K::Potentiometer)),
    ("tone pot", W::Kind(K::Potentiometer)),
    ("rheostat", W::Kind(K::Potentiometer)),
    ("control", W::Kind(K::Potentiometer)),
    ("line cord resistor", W::Kind(K::ResistanceCord)),
    ("resistance cord", W::Kind(K::ResistanceCord)),
    ("resistance line cord", W::Kind(K::ResistanceCord)),
    ("resistor cord", W::Kind(K::ResistanceCord)),
    ("line cord", W::Kind(K::Cord)),
    ("cord", W::Kind(K::Cord)),
    ("carbon", W::Make(M::CarbonComposition)),
    ("carbon comp", W::Make(M::CarbonComposition)),
    ("carbon composition", W::Make(M::CarbonComposition)),
    ("composition", W::Make(M::CarbonComposition)),
    ("metal film", W::Make(M::FilmResistor)),
    ("carbon film", W::Make(M::FilmResistor)),
    ("wirewound", W::Make(M::Wirewound)),
    ("wire wound", W::Make(M::Wirewound)),
    ("ww", W::Make(M::Wirewound)),
    ("field", W::Make(M::FieldCoil)),
    ("field coil", W::Make(M::FieldCoil)),
    ("speaker field", W::Make(M::FieldCoil)),
    ("choke", W::Make(M::FilterChoke)),
    ("filter choke", W::Make(M::FilterChoke)),
    ("selenium", W::Make(M::Selenium)),
    ("selenium rectifier", W::Make(M::Selenium)),
    ("copper oxide", W::Make(M::CopperOxide)),
    ("silicon", W::Make(M::Silicon)),
    ("power", W::Make(M::PowerTransformer)),
    ("power transformer", W::Make(M::PowerTransformer)),
    ("pwr", W::Make(M::PowerTransformer)),
    ("mains transformer", W::Make(M::PowerTransformer)),
    ("output", W::Make(M::OutputTransformer)),
    ("output transformer", W::Make(M::OutputTransformer)),
    ("if", W::Make(M::IfTransformer)),
    ("if transformer", W::Make(M::IfTransformer)),
    ("asbestos", W::Make(M::Asbestos)),
    ("new", W::Make(M::New)),
    ("fitted new", W::Make(M::New)),
    ("nonpolarized", W::Make(M::NonPolarised)),
    ("non polarized", W::Make(M::NonPolarised)),
    ("non polarised", W::Make(M::NonPolarised)),
    ("np", W::Make(M::NonPolarised)),
    ("bipolar", W::Make(M::NonPolarised)),
    // Marked for both places. The Y class stands in for X2, so it is what counts.
    ("x1y1", W::Class(S::Y1)),
    ("x1/y1", W::Class(S::Y1)),
    ("x1 y1", W::Class(S::Y1)),
    ("x1y2", W::Class(S::Y2)),
    ("x1/y2", W::Class(S::Y2)),
    ("x1 y2", W::Class(S::Y2)),
    ("x2y2", W::Class(S::Y2)),
    ("x2/y2", W::Class(S::Y2)),
    ("x2 y2", W::Class(S::Y2)),
    ("gmv", W::GuaranteedMinimum),
    ("class", W::Nothing),
    ("tubular", W::Nothing),
    ("can", W::Nothing),
    ("dry", W::Nothing),
    ("fixed", W::Nothing),
    ("cap", W::Nothing),
    ("capacitor", W::Nothing),
    ("condenser", W::Nothing),
    ("resistor", W::Nothing),
    ("coil", W::Nothing),
    ("tube", W::Nothing),
    ("rectifier", W::Nothing),
    ("diode", W::Nothing),
    ("lamp", W::Nothing),
    ("bulb", W::Nothing),
    ("fuse", W::Nothing),
    ("switch", W::Nothing),
    ("battery", W::Nothing),
    ("vibrator", W::Nothing),
    ("speaker", W::Nothing),
    ("meter", W::Nothing),
    ("linear", W::Nothing),
    ("lin", W::Nothing),
    ("log", W::Nothing),
    ("taper", W::Kind(K::Potentiometer)),
    ("linear taper", W::Kind(K::Potentiometer)),
    ("audio taper", W::Kind(K::Potentiometer)),
    ("log taper", W::Kind(K::Potentiometer)),
    ("tapped", W::Nothing),
    ("rfc", W::Nothing),
    ("rf choke", W::Nothing),
    ("with switch", W::Nothing),
    ("w/ switch", W::Nothing),
    ("w/ sw", W::Nothing),
    ("w/sw", W::Nothing),
    ("with sw", W::Nothing),
    ("w/ switch", W::Nothing),
    ("w/switch", W::Nothing),
    ("and", W::Nothing),
    ("with", W::Nothing),
    ("from", W::Nothing),
    ("w/", W::Nothing),
    ("at", W::Nothing),
    ("@", W::Nothing),
    ("&", W::Nothing),
    ("±", W::Nothing),
];

/// What says that a capacitor is on the power line, and not on which side.
const ON_LINE: &str = "line, mains, line bypass, line by pass, line filter, line capacitor, \
    line cap, line condenser, line rf bypass, rf bypass line, rf line bypass, line rf filter, \
    line noise filter, line hash filter, hash filter, hash bypass, mains bypass, \
    power line bypass, ac line bypass, ac line filter, mains filter";

/// The phrase as it is compared: lower case, hyphens as spaces, no dots.
pub fn normal(phrase: &str) -> String {
    let mut out = String::with_capacity(phrase.len());
    for c in phrase.chars() {
        match c {
            '-' | '_' => out.push(' '),
            '.' => {}
            c if c.is_ascii() => out.push(c.to_ascii_lowercase()),
            c => out.push(letters::lower(c)),
        }
    }
    if out.starts_with(' ') || out.ends_with(' ') { out.trim().to_owned() } else { out }
}

/// All phrases by their normal form.
fn phrases() -> &'static HashMap<String, Meaning> {
    static ALL: OnceLock<HashMap<String, Meaning>> = OnceLock::new();
    ALL.get_or_init(|| {
        let labels = D::ALL
            .iter()
            .map(|d| (d.label(), W::Dielectric(*d)))
            .chain(R::ALL.iter().map(|r| (r.label(), W::Role(*r))))
            .chain(S::ALL.iter().map(|c| (c.label(), W::Class(*c))));
        let mut all: HashMap<_, _> = labels.map(|(text, m)| (normal(text), m)).collect();
        all.extend(PHRASES.iter().map(|(text, m)| (normal(text), *m)));
        all.extend(ON_LINE.split(", ").map(|text| (normal(text), W::Line)));
        all
    })
}

/// The most words that a phrase starting with this word has; 0 where none does.
pub fn longest_from(word: &str) -> usize {
    static FIRST: OnceLock<HashMap<&str, usize>> = OnceLock::new();
    let first = FIRST.get_or_init(|| {
        let mut all: HashMap<&str, usize> = HashMap::new();
        for phrase in phrases().keys() {
            let (head, count) =
                (phrase.split(' ').next().unwrap_or_default(), phrase.split(' ').count());
            let most = all.entry(head).or_default();
            *most = count.max(*most);
        }
        all
    });
    // Numbers and places start no phrase.
    if word.len() > 24 || word.starts_with(|c: char| c.is_ascii_digit() && c > '2' || c == '.') {
        return 0;
    }
    let word = normal(word);
    word.split(' ').next().and_then(|head| first.get(head)).copied().unwrap_or(0)
}

/// What a phrase says, if it says anything.
///
/// ```
/// use firstglow::notation::vocabulary::{Meaning, meaning};
/// use firstglow::trade::role::Role;
/// assert_eq!(meaning("Across-the-line"), Some(Meaning::Role(Role::AcrossLine)));
/// assert_eq!(meaning("papr"), None);
/// ```
pub fn meaning(phrase: &str) -> Option<Meaning> {
    phrases().get(normal(phrase).as_str()).copied()
}

/// The phrase closest to a word that has no meaning, at most two changes of a
/// letter away and fewer than a third of its length.
pub fn nearest(word: &str) -> Option<&'static str> {
    let word = normal(word);
    let length = word.chars().count();
    if !(4..=24).contains(&length) {
        return None;
    }
    phrases()
        .keys()
        .filter(|p| p.len() > 3 && p.chars().count().abs_diff(length) <= 2)
        .map(|p| (distance(&word, p), p.as_str()))
        .filter(|(d, _)| *d <= 2 && d * 3 <= length)
        .min()
        .map(|(_, p)| p)
}

/// Edit distance with swaps of neighbours counted once.
fn distance(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let mut before: Vec<usize> = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 0..a.len() {
        let mut row = vec![i + 1; b.len() + 1];
        for j in 0..b.len() {
            let change = usize::from(a[i] != b[j]);
            row[j + 1] = (last[j] + change).min(last[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && a[i] == b[j - 1] && a[i - 1] == b[j] {
                row[j + 1] = row[j + 1].min(before[j - 1] + 1);
            }
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_label_is_read_as_what_it_labels() {
        for d in D::ALL {
            assert_eq!(meaning(d.label()), Some(W::Dielectric(d)));
        }
        for r in R::ALL.into_iter().filter(|r| *r != R::Tuning) {
            assert_eq!(meaning(r.label()), Some(W::Role(r)), "{}", r.label());
        }
    }

    #[test]
    fn a_slip_of_the_pen_finds_its_word() {
        assert_eq!(nearest("papre"), Some("paper"));
        assert_eq!(nearest("electrolitic"), Some("electrolytic"));
        assert_eq!(nearest("xyzzy"), None);
    }
}
