//! Tubes pin by pin, their currents, and the string of their heaters.

use super::{HeaterString, PinReport, Report, States, TubeReport};
use crate::circuit::wiring::{Socket, Wiring};
use crate::sheet::{Sheet, SupplyKind};
use crate::trade::tubes::{Base, Confidence, TubeType};
use rustc_hash::{FxHashMap, FxHashSet};

/// Every tube of a known type, currents still to come.
pub fn tubes(sheet: &Sheet, wiring: &Wiring) -> Vec<TubeReport> {
    wiring
        .sockets
        .iter()
        .filter_map(|socket| {
            let tube = socket.tube.as_ref()?;
            Some(TubeReport {
                key: sheet.parts[socket.part].key.clone(),
                tube: tube.name.to_string(),
                base: base_name(tube.base).to_owned(),
                pins: pins(socket, tube),
                is_known: false,
                plate_ma: 0.0,
                screen_ma: 0.0,
                plate_watts: 0.0,
                max_plate_watts: tube.max_plate_watts,
                law_error_percent: None,
                source: source(tube),
            })
        })
        .collect()
}

fn pins(socket: &Socket, tube: &TubeType) -> Vec<PinReport> {
    let mut pins: Vec<PinReport> = (1..=socket.pin_count())
        .map(|pin| PinReport {
            pin,
            electrode: socket.electrode_name(pin).unwrap_or_default(),
            node: socket.node(pin),
        })
        .collect();
    if tube.cap.is_some() {
        let electrode = socket.cap_name().unwrap_or_default();
        pins.push(PinReport { pin: 0, electrode, node: socket.cap() });
    }
    pins
}

/// Where the figures of a type come from, in words.
fn source(tube: &TubeType) -> String {
    let standing = match tube.confidence {
        Confidence::Found => "working point published, the rest from memory",
        Confidence::FromMemory => "from memory",
        Confidence::Doubtful => "from memory, pins to be checked",
        Confidence::Entered => "entered on the sheet",
    };
    format!("{}, {standing}", tube.source)
}

/// The name of a base.
pub const fn base_name(base: Base) -> &'static str {
    match base {
        Base::Ux4 => "four-pin",
        Base::Uy5 => "five-pin",
        Base::Six => "six-pin",
        Base::Small7 => "small seven-pin",
        Base::Medium7 => "medium seven-pin",
        Base::Octal => "octal",
        Base::Loctal => "loctal",
        Base::Miniature7 => "seven-pin miniature",
        Base::Noval => "nine-pin miniature",
    }
}

/// Fills in what each tube draws.
pub fn currents(report: &mut Report, sheet: &Sheet, states: &States) {
    let state = &states.running;
    let of_key: FxHashMap<String, usize> =
        report.tubes.iter().enumerate().map(|(at, tube)| (tube.key.clone(), at)).collect();
    // A tube with one electrode at a point that is not known has no current
    // that is.
    let mut unknown = FxHashSet::default();
    for device in &state.model.devices {
        let electrodes = [Some(device.plate), device.grid, device.screen, Some(device.cathode)];
        let mut electrodes = electrodes.into_iter().flatten();
        if !electrodes.all(|node| state.model.is_known(state.model.node(node))) {
            unknown.insert(device.part);
        }
    }
    for device in &state.model.devices {
        let Some(element) = device.element else { continue };
        let key = &sheet.parts[device.part].key;
        let Some(tube) = of_key.get(key).map(|at| &mut report.tubes[*at]) else { continue };
        let error = device.fit.points.first().map(|p| p.plate * 100.0);
        tube.law_error_percent = tube.law_error_percent.or(error);
        if unknown.contains(&device.part) {
            continue;
        }
        let amps = state.solution.electrode_amps(&state.net, element);
        let across = state
            .volts(device.plate)
            .zip(state.volts(device.cathode))
            .map_or(0.0, |(plate, cathode)| plate - cathode);
        tube.is_known = true;
        tube.plate_ma += amps[0] * 1e3;
        tube.screen_ma += amps[2] * 1e3;
        tube.plate_watts = tube.plate_watts.max(amps[0] * across);
    }
}

/// The heaters of a series string against the mains.
pub fn heaters(sheet: &Sheet, wiring: &Wiring) -> Option<HeaterString> {
    if sheet.header.supply != Some(SupplyKind::SeriesString) {
        return None;
    }
    let tubes: Vec<(&str, &TubeType)> = wiring
        .sockets
        .iter()
        .filter_map(|s| Some((sheet.parts[s.part].key.as_str(), s.tube.as_ref()?)))
        .filter(|(_, t)| t.heater_amps > 0.0)
        .collect();
    let amps = tubes.first()?.1.heater_amps;
    let odd = tubes
        .iter()
        .filter(|(_, t)| (t.heater_amps - amps).abs() > 0.02 * amps)
        .map(|(key, _)| (*key).to_owned())
        .collect();
    Some(HeaterString {
        sum_v: tubes.iter().map(|(_, t)| t.heater_volts).sum(),
        mains_v: sheet.header.mains.map_or(117.0, crate::trade::quantity::Voltage::to_f64),
        ma: amps * 1e3,
        odd,
    })
}
