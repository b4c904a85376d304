//! Hazards of what parts are made of: oil, selenium, asbestos, mercury,
//! radium; of picture tubes; and of a tired buffer.

use super::{Words, keys};
use crate::circuit::model::is_silicon;
use crate::letters::Letters;
use crate::plan::types::{Hazard, PlannedPart, Severity};
use crate::sheet::Sheet;
use crate::sheet::part::{Make, Part, PartKind};
use crate::trade::dielectric::Dielectric;
use crate::trade::role::Role;

const OIL: Words = Words {
    id: "oil-filled",
    title: "Oil-filled capacitors",
    severity: Severity::Warning,
    happens: "Oil in parts made before about 1979 may hold PCB, which harms through the skin and \
              stays in the body and the ground.",
    todo: "Do not open them. Wear gloves with a leaking one, wipe with a rag that goes along, and \
           hand both in as the local waste rules say.",
};

const SELENIUM: Words = Words {
    id: "selenium",
    title: "Selenium rectifier",
    severity: Severity::Warning,
    happens: "A selenium stack that breaks down burns with poisonous fumes that smell of garlic \
              and rot.",
    todo: "Replace it before power. If one burns: switch off, leave the room, air it, wash before \
           eating.",
};

const ASBESTOS: Words = Words {
    id: "asbestos",
    title: "Asbestos",
    severity: Severity::Warning,
    happens: "Resistance cords, heat shields and some sleeving hold asbestos; loose fibres harm \
              the lungs years later.",
    todo: "Do not strip, brush or cut it dry. Take the cord off whole, bag it damp, hand it in as \
           the local rules say; leave sound shields undisturbed.",
};

const MERCURY: Words = Words {
    id: "mercury",
    title: "Mercury",
    severity: Severity::Warning,
    happens: "A mercury tube, relay or switch that breaks lets out vapour that harms the nerves.",
    todo: "Keep it upright, pack it against breakage, and have what a spill needs at hand; never \
           use a vacuum cleaner on one.",
};

const RADIUM: Words = Words {
    id: "radium",
    title: "Radium paint",
    severity: Severity::Warning,
    happens: "Luminous paint of the period sheds dust that goes on radiating inside the body, even \
              when it no longer glows.",
    todo: "Do not open, scrape or clean the dial. Bag it, wash hands, ask the local authority \
           before discarding it.",
};

const PICTURE_TUBE: Words = Words {
    id: "cathode-ray-tube",
    title: "Cathode-ray tube",
    severity: Severity::Danger,
    happens: "Its supply holds thousands of volts after switching off, and a broken bulb throws \
              glass.",
    todo: "Discharge its anode through a high-voltage resistor to the chassis side of its own \
           supply, wear goggles, never lift it by the neck. Leave this to someone trained if any \
           of it is new to you.",
};

const BUFFER: Words = Words {
    id: "vibrator-buffer",
    title: "Vibrator buffer",
    severity: Severity::Warning,
    happens: "An old buffer that breaks down burns the vibrator's contacts and its transformer.",
    todo: "Fit the new one, of the same value, before the first power; keep a fuse in the battery \
           lead.",
};

/// Mercury-vapour rectifiers.
const MERCURY_TUBES: [&str; 6] = ["82", "83", "866", "866A", "816", "872A"];

/// The hazards of materials.
pub fn hazards(sheet: &Sheet, parts: &[PlannedPart]) -> Vec<Hazard> {
    let own: Vec<Own> = sheet.parts.iter().map(Own::of).collect();
    let by_part = |wanted: &dyn Fn(&Own) -> bool| -> Vec<String> {
        own.iter().filter(|own| wanted(own)).map(|own| own.part.key.clone()).collect()
    };
    let mut found: Vec<Hazard> = [
        PICTURE_TUBE.of(by_part(&|own| own.says(&["cathode-ray", "cathode ray", "crt"]))),
        OIL.of(oil(&own, parts)),
        SELENIUM.of(by_part(&|own| {
            let part = own.part;
            part.is_made(Make::Selenium)
                || part.kind == PartKind::DryRectifier
                    && !part.is_made(Make::CopperOxide)
                    && !is_silicon(part)
        })),
        ASBESTOS.of(by_part(&|own| {
            own.part.kind == PartKind::ResistanceCord
                || own.part.is_made(Make::Asbestos)
                || own.says(&["asbestos"])
        })),
        BUFFER.of(keys(parts, |p| p.role.is_some_and(|r| r.value == Role::Buffer))),
        MERCURY.of(by_part(&|own| {
            let tube = own.part.tube.as_deref().is_some_and(|t| MERCURY_TUBES.contains(&t));
            tube || own.says(&["mercury"])
        })),
        RADIUM.of(by_part(&|own| own.says(&["radium", "luminous"]))),
    ]
    .into_iter()
    .flatten()
    .collect();
    let name = sheet.header.name.as_deref().unwrap_or_default();
    for (words, hazard) in [(&["radium", "luminous"][..], &RADIUM), (&["asbestos"][..], &ASBESTOS)]
    {
        if has_any(&name.lower(), words) && found.iter().all(|h| h.id != hazard.id) {
            found.push(hazard.hazard(Vec::new(), Vec::new()));
        }
    }
    found
}

/// A part with its own words, in small letters.
struct Own<'a> {
    part: &'a Part,
    words: [String; 2],
}

impl<'a> Own<'a> {
    fn of(part: &'a Part) -> Self {
        let remark = part.remark.as_deref().unwrap_or_default();
        Self { part, words: [part.mark.lower(), remark.lower()] }
    }

    fn says(&self, words: &[&str]) -> bool {
        self.words.iter().any(|own| has_any(own, words))
    }
}

fn oil(own: &[Own], parts: &[PlannedPart]) -> Vec<String> {
    own.iter()
        .zip(parts)
        .filter(|(old, new)| {
            new.old.dielectric.is_some_and(|d| d.value == Dielectric::OilPaper)
                || old.says(&["pcb", "askarel", "oil-filled", "oil filled"])
        })
        .map(|(old, _)| old.part.key.clone())
        .collect()
}

fn has_any(text: &str, words: &[&str]) -> bool {
    words.iter().any(|w| text.contains(w))
}

#[cfg(test)]
mod tests {
    use crate::plan::plan;
    use crate::plan::support::{capacitor, part, series_string};
    use crate::sheet::part::{Make, PartKind};
    use crate::trade::dielectric::Dielectric;

    #[test]
    fn materials_speak_only_where_the_sheet_names_them() {
        let mut oil = capacitor("C1", "2", "600");
        oil.dielectric = Some(Dielectric::OilPaper);
        let mut stack = part("SR1", PartKind::DryRectifier);
        stack.makes.push(Make::Selenium);
        let mut dial = part("M1", PartKind::Meter);
        dial.remark = Some("Luminous scale".into());
        let mut tube = part("V1", PartKind::Tube);
        tube.tube = Some("83".into());
        let cord = part("W1", PartKind::ResistanceCord);
        let plan = plan(&series_string(vec![oil, stack, dial, tube, cord]));
        for (id, key) in [
            ("oil-filled", "C1"),
            ("selenium", "SR1"),
            ("radium", "M1"),
            ("mercury", "V1"),
            ("asbestos", "W1"),
        ] {
            let hazard = plan.hazards.iter().find(|h| h.id == id).unwrap();
            assert_eq!(hazard.parts, [key]);
        }
        let bare = crate::plan::plan(&series_string(vec![]));
        assert!(bare.hazards.iter().all(|h| h.id != "mercury" && h.id != "radium"));
    }
}
