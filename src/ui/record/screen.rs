//! The record as one sheet of paper.

use super::bench_rows::bench_rows;
use super::model::{
    LeftRow, PartRow, StepRow, judgements, left_rows, orphan_rows, part_rows, step_rows,
};
use super::sheets::{PaperPanel, Sheets, is_chosen};
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::kit::{Cautions, HazardList, WordTable};
use crate::ui::out;
use crate::ui::set::model::title_cells;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;

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
        part_rows(&app.open.record.read(), &app.open.plan.read(), &judged.read(), app.ahead)
    });
    let gone =
        Memo::new(move |_| orphan_rows(&app.open.record.read(), &app.open.plan.read(), app.ahead));
    let bench = Memo::new(move |_| {
        bench_rows(
            &app.open.record.read(),
            &app.open.sheet.read(),
            &app.open.plan.read(),
            app.ahead,
        )
    });
    let steps = move |before: bool| {
        Memo::new(move |_| {
            step_rows(&app.open.record.read(), &worked.steps.read(), before, app.ahead)
        })
    };
    let (before, after) = (steps(true), steps(false));
    let left = Memo::new(move |_| left_rows(&app.open.record.read(), &app.open.plan.read()));
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
                {piece(move || part_table("record-parts", parts.get()))}
            </section>
            <section hidden=flag(move || gone.read().is_empty())>
                <h3 class="record__title">"Noted on parts that are no longer on the sheet"</h3>
                {piece(move || part_table("record-gone", gone.get()))}
            </section>
            <section hidden=flag(move || left.read().is_empty())>
                <h3 class="record__title">"Left as they were, and why"</h3>
                {piece(move || left_table(left.get()))}
            </section>
            <section hidden=flag(move || parts.read().is_empty())>
                <h3 class="record__title">"Before power"</h3>
                {piece(move || step_table("record-before", before.get()))}
                <h3 class="record__title">"Power-up"</h3>
                {piece(move || step_table("record-steps", after.get()))}
            </section>
            <section hidden=flag(move || bench.read().is_empty())>
                <h3 class="record__title">"Areas and cleaning"</h3>
                {piece(move || step_table("record-bench", bench.get()))}
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

fn table(name: &'static str, columns: &[&str], rows: Vec<Vec<String>>) -> AnyView {
    let columns = columns.iter().map(|&c| c.to_owned()).collect();
    WordTable { name, columns, rows, ..WordTable::default() }.view()
}

fn part_table(name: &'static str, rows: Vec<PartRow>) -> AnyView {
    let columns = ["Part", "Old", "Found", "Done", "Day", "Measured", "Remark"];
    table(name, &columns, rows.into_iter().map(PartRow::into_cells).collect())
}

fn left_table(rows: Vec<LeftRow>) -> AnyView {
    let columns = ["Part", "Mark", "Why it stays"];
    table("record-left", &columns, rows.into_iter().map(LeftRow::into_cells).collect())
}

fn step_table(name: &'static str, rows: Vec<StepRow>) -> AnyView {
    let columns = ["Step", "State", "When", "Readings"];
    table(name, &columns, rows.into_iter().map(StepRow::into_cells).collect())
}
