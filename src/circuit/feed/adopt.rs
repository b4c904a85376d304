//! Small diodes of tubes (6H6, 6AL5) that rectify what a source gives.

use super::reach::Sources;
use crate::circuit::fit::{Fit, Method};
use crate::circuit::law::Law;
use crate::circuit::model::Model;
use crate::sheet::Sheet;
use crate::trade::tubes::UnitKind;

/// Volts across a small diode at the milliamperes beside it. Source: from
/// memory of the data of small double diodes, 10 V at 60 mA for the late
/// miniature one and about a fifth of that current for the old ones; the lower
/// figure serves for all, for a bias takes a few milliamperes.
const DROP: (f64, f64) = (10.0, 12.0);

/// Makes them rectifiers of a supply.
pub(super) fn diodes(sheet: &Sheet, running: &mut Model, sources: &Sources) {
    for index in 0..running.devices.len() {
        let device = &running.devices[index];
        if device.kind != UnitKind::Diode {
            continue;
        }
        let driven = |node| sources.drives(running.node(node)).is_some();
        if driven(device.plate) == driven(device.cathode) {
            continue;
        }
        if let Some(element) = device.element {
            // An element that passes nothing is always allowed.
            let _ = running.net.set_law(element, Law::Off);
        }
        let part = &sheet.parts[device.part];
        running.assumed.push(crate::circuit::model::Assumption {
            line: part.line,
            text: format!(
                "{}: {:.0} V at {:.0} mA taken for its drop as a rectifier",
                part.designator, DROP.0, DROP.1
            ),
        });
        let device = &mut running.devices[index];
        device.kind = UnitKind::Rectifier;
        device.element = None;
        let law = Law::rectifier(DROP.0, DROP.1 * 1e-3);
        device.fit = Fit { law, method: Method::Alike, points: Vec::new() };
    }
}
