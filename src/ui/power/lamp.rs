//! The set on its lamp: which lamp, what to see at each stage, how faults look.

use crate::circuit::limiter::NoLoad;
use crate::plan::on_lamp::Study;
use crate::ui::charts::Fitting;
use crate::ui::charts::lamp::{self, FaultRow, LampLine, StageRow};
use crate::ui::kit::dynamic::piece;
use crate::ui::kit::{Field, SelectField, Workings};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;

/// Lamps that a bench may have; 0 is the one that tells best.
const AT_HAND: [(&str, &str); 8] = [
    ("0", "the one that tells best"),
    ("25", "25 W"),
    ("40", "40 W"),
    ("60", "60 W"),
    ("75", "75 W"),
    ("100", "100 W"),
    ("150", "150 W"),
    ("200", "200 W"),
];

/// The view of the lamp.
#[component]
pub fn LampView() -> impl IntoView {
    let worked = worked();
    let shown = move || match worked.study.get().as_ref() {
        Ok(study) => told(study).into_any(),
        Err(why) => trouble(why).into_any(),
    };
    view! { <div data-section="lamp">{piece(shown)}</div> }
}

fn trouble(why: &NoLoad) -> AnyView {
    let why = why.to_string();
    view! {
        <p class="sheet__empty" data-note="no-lamp">
            "What the lamp shows could not be worked out: "{why}". The steps then go by the "
            "set's watts alone."
        </p>
    }
    .into_any()
}

fn told(study: &Study) -> impl IntoView + use<> {
    let app = app();
    let at_hand = Memo::new(move |_| app.open.record.read().lamp_watts.to_string());
    let choose = move |watts: String| {
        let watts = watts.parse().unwrap_or(0);
        app.change_open(|set| set.lamp_watts = watts);
    };
    let field = Field {
        id: "lamp-at-hand".to_owned(),
        label: "Lamp to use".to_owned(),
        hint: "120 V lamps on lines up to 150 V, 230 V lamps above. Tungsten or halogen.",
        data: "lamp".to_owned(),
        ..Field::default()
    };
    let drawn = study.clone();
    let worst = lamp::worst(study).map(|(_, fault)| crate::plan::on_lamp::fault_title(fault));
    let worst = worst.unwrap_or_else(|| "worst fault".to_owned());
    let stages = lamp::stages(study).iter().map(stage).collect_view();
    let faults = lamp::faults(study).iter().map(fault).collect_view();
    let lamps = lamp::lamps(study).iter().map(line).collect_view();
    view! {
        <p class="lead-line" data-say="lamp">{lamp::lead(study)}</p>
        <SelectField
            field
            value=at_hand
            choices=AT_HAND.to_vec()
            on_choose=Callback::new(choose)
        />
        <Fitting drawing=Callback::new(move |width: f64| lamp::drawing(&drawn, width))/>
        <h3 class="chart__title">"Healthy, stage by stage"</h3>
        <table class="table table--record table--lamp" data-table="lamp-stages">
            <caption class="unseen">"What to expect at each stage of line voltage"</caption>
            <thead>
                <tr>
                    <th scope="col">"Line ahead"</th>
                    <th scope="col">"Lamp"</th>
                    <th scope="col">"At the set"</th>
                    <th scope="col">"Heaters"</th>
                    <th scope="col">"Current"</th>
                    <th scope="col">"B+"</th>
                    <th scope="col">"B+ without lamp"</th>
                    <th scope="col">{format!("Lamp with: {worst}")}</th>
                </tr>
            </thead>
            <tbody>{stages}</tbody>
        </table>
        <p class="chart-line">{lamp::warming(study)}</p>
        <h3 class="chart__title">"At the full line, with each likely fault"</h3>
        <table class="table table--record table--lamp" data-table="lamp-faults">
            <caption class="unseen">"What each fault shows at the full line behind the lamp"</caption>
            <thead>
                <tr>
                    <th scope="col">"Fault"</th>
                    <th scope="col">"Lamp"</th>
                    <th scope="col">"At the set"</th>
                    <th scope="col">"B+"</th>
                    <th scope="col">"Look first, plug out and discharged"</th>
                </tr>
            </thead>
            <tbody>{faults}</tbody>
        </table>
        <details class="fold">
            <summary>"Every lamp, and how this was worked out"</summary>
            <table class="table table--record table--lamp" data-table="lamps">
                <caption class="unseen">"Healthy set and worst fault on every lamp"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Lamp"</th>
                        <th scope="col">"Healthy"</th>
                        <th scope="col">"At the set"</th>
                        <th scope="col">"Worst fault"</th>
                        <th scope="col">"Apart"</th>
                        <th scope="col"></th>
                    </tr>
                </thead>
                <tbody>{lamps}</tbody>
            </table>
            <Workings workings=study.working()/>
        </details>
        <p class="chart-note chart-note--warning">
            <b>"A lamp limits current; it isolates nothing. "</b>
            "A fault that draws less than the lamp passes does not show on it, and a chassis on "
            "the line stays on the line."
        </p>
    }
}

fn stage(row: &StageRow) -> AnyView {
    view! {
        <tr data-stage=row.step.clone()>
            <th scope="row" data-label="Line ahead">{row.line.clone()}</th>
            <td data-label="Lamp">{row.lamp.clone()}</td>
            <td data-label="At the set">{row.set.clone()}</td>
            <td data-label="Heaters">{row.heaters.clone()}</td>
            <td data-label="Current">{row.amps.clone()}</td>
            <td data-label="B+">{row.b_plus.clone()}</td>
            <td data-label="B+ without lamp">{row.bare.clone()}</td>
            <td data-label="Lamp with the worst fault">{row.worst.clone()}</td>
        </tr>
    }
    .into_any()
}

fn fault(row: &FaultRow) -> AnyView {
    view! {
        <tr>
            <th scope="row">{row.title.clone()}</th>
            <td data-label="Lamp">{row.lamp.clone()}</td>
            <td data-label="At the set">{row.set.clone()}</td>
            <td data-label="B+">{row.b_plus.clone()}</td>
            <td data-label="Look first">{row.look.clone()}</td>
        </tr>
    }
    .into_any()
}

fn line(row: &LampLine) -> AnyView {
    view! {
        <tr>
            <th scope="row">{row.name.clone()}</th>
            <td data-label="Healthy">{row.healthy.clone()}</td>
            <td data-label="At the set">{row.set.clone()}</td>
            <td data-label="Worst fault">{row.worst.clone()}</td>
            <td data-label="Apart">{row.apart.clone()}</td>
            <td><b>{row.mark}</b></td>
        </tr>
    }
    .into_any()
}
