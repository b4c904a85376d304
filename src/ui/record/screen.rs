//! The record as one sheet of paper.

use super::bench_rows::bench_rows;
use super::model::{Line, judgements, left_rows, lines, orphan_rows, part_rows, step_rows};
use super::sheets::{PaperPanel, Sheets, is_chosen};
use super::stop_rows::stop_rows;
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::kit::{Cautions, HazardList};
use crate::ui::long::{Gap, LongRows};
use crate::ui::out;
use crate::ui::power::told::Told;
use crate::ui::set::model::title_cells;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;
use std::sync::Arc;

const PARTS: [&str; 7] = ["Part", "Old", "Found", "Done", "Day", "Measured", "Remark"];
const LEFT: [&str; 3] = ["Part", "Mark", "Why it stays"];
const STOPS: [&str; 5] = ["Step", "What was found", "State", "When", "Reason, or cure"];
const STEPS: [&str; 4] = ["Step", "State", "When", "Readings"];

/// About the height of a row, in CSS pixels, until some were drawn.
const ROW: f64 = 42.0;

/// What was found, what was fitted, what was left, how it came up.
#[component]
pub fn RecordScreen() -> impl IntoView {
    let (app, worked) = (app(), worked());
    let judged = Memo::new(move |_| {
        judgements(
            &app.open.sheet.read(),
            &worked.wiring.read(),
            &app.open.plan.read(),
            &app.open.record.read(),
        )
    });
    let parts = Memo::new(move |_| {
        let (record, plan) = (app.open.record.read(), app.open.plan.read());
        lines(part_rows(&record, &plan, &judged.read(), app.ahead))
    });
    let gone = Memo::new(move |_| {
        let (record, plan) = (app.open.record.read(), app.open.plan.read());
        lines(orphan_rows(&record, &plan, app.ahead))
    });
    let bench = Memo::new(move |_| {
        let (record, sheet) = (app.open.record.read(), app.open.sheet.read());
        lines(bench_rows(&record, &sheet, &app.open.plan.read(), app.ahead))
    });
    let steps = move |before: bool| {
        Memo::new(move |_| {
            let (steps, status) = (worked.steps.read(), worked.status.read());
            let told = Told { steps: &steps, ahead: app.ahead };
            lines(step_rows(told, &app.open.record.read(), &status, before))
        })
    };
    let stops = Memo::new(move |_| {
        let (steps, status) = (worked.steps.read(), worked.status.read());
        let told = Told { steps: &steps, ahead: app.ahead };
        lines(stop_rows(told, &app.open.record.read(), &status))
    });
    let head = move || {
        let (steps, status) = (worked.steps.read(), worked.status.read());
        let told = Told { steps: &steps, ahead: app.ahead };
        status.stopped().map(|_| view! { <p class="record__stopped">{told.head(&status)}</p> })
    };
    let (before, after) = (steps(true), steps(false));
    let left = Memo::new(move |_| lines(left_rows(&app.open.record.read(), &app.open.plan.read())));
    // The record alone, until more is asked for.
    let chosen = RwSignal::new(1_u8);
    let facts = Memo::new(move |_| {
        let sheet = app.open.sheet.read();
        title_cells(&sheet.header, sheet.parts.len())
    });
    let notes = Memo::new(move |_| app.open.record.read().notes.clone());
    let dates = move || {
        let record = app.open.record.read();
        let (from, to) = (record.created.day(app.ahead), record.changed.day(app.ahead));
        format!("On the bench since {from}; last worked on {to}.")
    };
    view! {
        <div class="record">
            <div class="sheet__head">
                <h2 class="sheet__title">"Record of the job"</h2>
                <div class="buttons no-print">
                    <button class="button" type="button" on:click=move |_| export()>"Export this set"</button>
                </div>
            </div>
            <PaperPanel chosen/>
            <div class="paper" data-sheet="record" class:no-print=move || !is_chosen(chosen, None)>
            <p class="paper__name print-only">{piece(move || app.open.record.read().name())}</p>
            <p class="paper__facts print-only">
                {piece(move || {
                    let said = facts.get().into_iter().filter(|(_, value)| value != "–");
                    said.map(|(name, value)| format!("{name}: {value}")).collect::<Vec<_>>().join("   ")
                })}
            </p>
            <p class="sheet__lead">{piece(dates)}</p>
            <HazardList plan=app.open.plan/>
            <section hidden=flag(move || parts.read().is_empty())>
                <h3 class="record__title">"Parts"</h3>
                {table("record-parts", &PARTS, parts)}
            </section>
            <section hidden=flag(move || gone.read().is_empty())>
                <h3 class="record__title">"Noted on parts that are no longer on the sheet"</h3>
                {table("record-gone", &PARTS, gone)}
            </section>
            <section hidden=flag(move || left.read().is_empty())>
                <h3 class="record__title">"Left as they were, and why"</h3>
                {table("record-left", &LEFT, left)}
            </section>
            <section hidden=flag(move || parts.read().is_empty())>
                {piece(head)}
                <div hidden=flag(move || stops.read().is_empty())>
                    <h3 class="record__title">"Stops of the power-up, and reasons to go on"</h3>
                    {table("record-stops", &STOPS, stops)}
                </div>
                <h3 class="record__title">"Before power"</h3>
                {table("record-before", &STEPS, before)}
                <h3 class="record__title">"Power-up"</h3>
                {table("record-steps", &STEPS, after)}
            </section>
            <section hidden=flag(move || bench.read().is_empty())>
                <h3 class="record__title">"Areas and cleaning"</h3>
                {table("record-bench", &STEPS, bench)}
            </section>
            <section hidden=flag(move || notes.read().is_empty())>
                <h3 class="record__title">"Notes"</h3>
                <p class="record__notes">{piece(move || notes.get())}</p>
            </section>
            <Cautions/>
            </div>
            <Sheets chosen/>
        </div>
    }
}

fn export() {
    let app = app();
    let record = app.open.record.get_untracked();
    let bench = app.bench.with_untracked(|b| b.only(record.id));
    out::export(app, bench, &record.name());
}

/// A table of the record: its name, its columns, its rows.
fn table(
    name: &'static str,
    columns: &'static [&'static str],
    lines: Memo<Arc<Vec<Line>>>,
) -> AnyView {
    let keys = Memo::new(move |_| lines.read().iter().map(|l| l.key.clone()).collect::<Vec<_>>());
    let rows = LongRows::new(keys, ROW);
    let heads = columns.iter().map(|column| view! { <th scope="col">{*column}</th> });
    let row = move |key: String| {
        let number = rows.number(&key, 2);
        let name = key.clone();
        let cells = Memo::new(move |_| {
            let lines = lines.read();
            lines.iter().find(|l| l.key == key).map(|l| l.cells.clone()).unwrap_or_default()
        });
        view! {
            <tr data-row=name aria-rowindex=number>
                {piece(move || cells_view(columns, cells.get()))}
            </tr>
        }
    };
    view! {
        <table
            class="table table--record"
            class:table--long=move || rows.is_long()
            data-table=name
            aria-rowcount=rows.total(1)
        >
            <thead><tr aria-rowindex="1">{heads.collect_view()}</tr></thead>
            <tbody node_ref=rows.frame>{rows.view(Gap::Row, row)}</tbody>
        </table>
    }
    .into_any()
}

fn cells_view(columns: &'static [&'static str], cells: Vec<String>) -> AnyView {
    let cells = columns.iter().zip(cells).enumerate().map(|(at, (column, words))| {
        if at == 0 {
            view! { <th scope="row" data-label=*column>{words}</th> }
        } else {
            view! { <td data-label=*column>{words}</td> }
        }
    });
    cells.collect_view()
}
