//! The set on its lamp: which lamp, what to see at each stage, how faults look.

use crate::circuit::limiter::NoLoad;
use crate::plan::on_lamp::Study;
use crate::ui::charts::Fitting;
use crate::ui::charts::lamp::{self, FaultRow, LampLine, StageRow};
use crate::ui::kit::dynamic::piece;
use crate::ui::kit::{Field, SelectField, WordTable, Workings};
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
        {lamp_table(stages(study))}
        <p class="chart-line">{lamp::warming(study)}</p>
        <h3 class="chart__title">"At the full line, with each likely fault"</h3>
        {lamp_table(faults(study))}
        <details class="fold">
            <summary>"Every lamp, and how this was worked out"</summary>
            {lamp_table(lamps(study))}
            <Workings workings=study.working()/>
        </details>
        <p class="chart-note chart-note--warning">
            <b>"A lamp limits current; it isolates nothing. "</b>
            "A fault that draws less than the lamp passes does not show on it, and a chassis on "
            "the line stays on the line."
        </p>
    }
}

fn lamp_table(table: WordTable) -> AnyView {
    WordTable { class: "table--lamp", ..table }.view()
}

fn columns(all: &[&str]) -> Vec<String> {
    all.iter().map(|&c| c.to_owned()).collect()
}

fn stages(study: &Study) -> WordTable {
    let worst = lamp::worst(study).map(|(_, fault)| crate::plan::on_lamp::fault_title(fault));
    let worst = worst.unwrap_or_else(|| "worst fault".to_owned());
    let mut columns = columns(&[
        "Line ahead",
        "Lamp",
        "At the set",
        "Heaters",
        "Current",
        "B+",
        "B+ without lamp",
    ]);
    columns.push(format!("Lamp with: {worst}"));
    WordTable {
        name: "lamp-stages",
        caption: "What to expect at each stage of line voltage",
        columns,
        rows: lamp::stages(study).into_iter().map(StageRow::into_cells).collect(),
        ..WordTable::default()
    }
}

fn faults(study: &Study) -> WordTable {
    WordTable {
        name: "lamp-faults",
        caption: "What each fault shows at the full line behind the lamp",
        columns: columns(&[
            "Fault",
            "Lamp",
            "At the set",
            "B+",
            "Look first, plug out and discharged",
        ]),
        rows: lamp::faults(study).into_iter().map(FaultRow::into_cells).collect(),
        ..WordTable::default()
    }
}

fn lamps(study: &Study) -> WordTable {
    WordTable {
        name: "lamps",
        caption: "Healthy set and worst fault on every lamp",
        columns: columns(&["Lamp", "Healthy", "At the set", "Worst fault", "Apart", "Choice"]),
        rows: lamp::lamps(study).into_iter().map(LampLine::into_cells).collect(),
        ..WordTable::default()
    }
}
