//! The sheets to print, chosen and shown.

use super::paper::{Cell, Kind, Paper, Row, Table};
use crate::ui::browser;
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;

/// The sizes of paper: the printer's own, A4, Letter.
const SIZES: [(&str, &str); 3] =
    [("", "As the printer has it"), ("a4", "A4"), ("letter", "Letter")];

/// What is printed: one bit a sheet, the lowest for the record itself.
pub type Chosen = RwSignal<u8>;

/// The bit of a sheet.
fn bit(kind: Option<Kind>) -> u8 {
    let at = kind.and_then(|kind| Kind::ALL.iter().position(|k| *k == kind).map(|at| at + 1));
    1_u8 << at.unwrap_or(0)
}

/// Whether a sheet is chosen.
pub fn is_chosen(chosen: Chosen, kind: Option<Kind>) -> bool {
    chosen.get() & bit(kind) != 0
}

/// Which sheets, on what paper.
#[component]
pub fn PaperPanel(
    /// What is printed.
    chosen: Chosen,
) -> impl IntoView {
    let size = RwSignal::new("");
    let kinds = std::iter::once(None).chain(Kind::ALL.map(Some));
    let sheets = kinds
        .map(|kind| {
            let label = kind.map_or("Record", Kind::label);
            let slug = kind.map_or("record", Kind::slug);
            let turn = move |on: bool| {
                chosen.update(|bits| if on { *bits |= bit(kind) } else { *bits &= !bit(kind) });
            };
            view! {
                <label class="tick-label" data-print=slug>
                    <input
                        class="tick-label__box"
                        type="checkbox"
                        prop:checked=flag(move || is_chosen(chosen, kind))
                        on:change:target=move |e| turn(e.target().checked())
                    />
                    <span class="tick-label__name">{label}</span>
                </label>
            }
        })
        .collect_view();
    let sizes = SIZES
        .map(|(slug, label)| {
            view! {
                <label class="segments__item">
                    <input
                        class="segments__input"
                        type="radio"
                        name="paper"
                        value=slug
                        prop:checked=flag(move || size.get() == slug)
                        on:change=move |_| {
                            size.set(slug);
                            browser::mark("data-paper", Some(slug));
                        }
                    />
                    <span class="segments__label">{label}</span>
                </label>
            }
        })
        .collect_view();
    view! {
        <section class="paper-panel no-print" aria-label="What to print">
            <fieldset class="paper-panel__sheets">
                <legend class="paper-panel__legend">"Sheets to print"</legend>
                {sheets}
            </fieldset>
            <fieldset class="segments">
                <legend class="paper-panel__legend">"Paper"</legend>
                {sizes}
            </fieldset>
            <button class="button button--primary" type="button" on:click=move |_| browser::print()>
                "Print"
            </button>
        </section>
    }
}

/// The chosen sheets but the record.
#[component]
pub fn Sheets(
    /// What is printed.
    chosen: Chosen,
) -> impl IntoView {
    Kind::ALL
        .map(|kind| {
            let shown = move || is_chosen(chosen, Some(kind)).then(|| sheet(kind));
            piece(shown)
        })
        .collect_view()
}

fn sheet(kind: Kind) -> AnyView {
    let (app, worked) = (app(), worked());
    let (sheet, wiring, plan, steps, record) = (
        app.open.sheet.get(),
        worked.wiring.get(),
        app.open.plan.get(),
        worked.steps.get(),
        app.open.record.get(),
    );
    let paper = Paper {
        sheet: &sheet,
        wiring: &wiring,
        plan: &plan,
        steps: &steps,
        record: &record,
        ahead: app.ahead,
    };
    let name = record.name();
    match paper.table(kind) {
        Some(table) => table_view(&name, &table),
        None => label_view(&name, &paper.label(&record.changed.day(app.ahead))),
    }
}

fn table_view(name: &str, table: &Table) -> AnyView {
    let slug = table.kind.slug();
    let span = table.columns.len().to_string();
    let columns =
        table.columns.iter().map(|column| view! { <th scope="col">{*column}</th> }).collect_view();
    let rows = table.rows.iter().map(|row| row_view(row, &span)).collect_view();
    let lead = table.lead.clone();
    let no_lead = lead.is_empty();
    view! {
        <section class="paper" data-sheet=slug>
            <table class=format!("paper-table paper-table--{slug}")>
                <thead>
                    <tr class="paper-table__title">
                        <th colspan=span.clone() scope="colgroup">
                            {table.kind.label()}": "{name.to_owned()}
                        </th>
                    </tr>
                    <tr>{columns}</tr>
                </thead>
                <tbody>
                    <tr class="paper-table__lead" hidden=no_lead><td colspan=span.clone()>{lead}</td></tr>
                    {rows}
                </tbody>
            </table>
        </section>
    }
    .into_any()
}

fn row_view(row: &Row, span: &str) -> AnyView {
    let head = row.head.clone();
    if row.cells.is_empty() {
        let span = span.to_owned();
        return view! {
            <tr class="paper-table__group"><th colspan=span scope="rowgroup">{head}</th></tr>
        }
        .into_any();
    }
    let cells = row.cells.iter().map(cell_view).collect_view();
    view! { <tr><th scope="row">{head}</th>{cells}</tr> }.into_any()
}

fn cell_view(cell: &Cell) -> AnyView {
    match cell {
        Cell::Text(words) => view! { <td>{words.clone()}</td> }.into_any(),
        Cell::Fill(typed) => view! { <td class="paper-fill">{typed.clone()}</td> }.into_any(),
        Cell::Ticks(words) => {
            let ticks = words
                .iter()
                .map(|word| {
                    view! { <span class="paper-tick"><span class="box" aria-hidden="true"></span>{*word}</span> }
                })
                .collect_view();
            view! { <td class="paper-ticks">{ticks}</td> }.into_any()
        }
        Cell::Lines(lines) => {
            let lines = lines
                .iter()
                .map(|(name, words)| view! { <p><b>{*name}</b>{words.clone()}</p> })
                .collect_view();
            view! { <td>{lines}</td> }.into_any()
        }
        Cell::Readings(readings) => {
            let readings = readings
                .iter()
                .map(|(asked, typed)| {
                    view! {
                        <p class="paper-reading">
                            {asked.clone()}
                            <span class="paper-reading__line">{typed.clone()}</span>
                        </p>
                    }
                })
                .collect_view();
            view! { <td class="paper-readings">{readings}</td> }.into_any()
        }
    }
}

fn label_view(name: &str, lines: &[(&'static str, String)]) -> AnyView {
    let lines = lines
        .iter()
        .map(|(name, words)| {
            view! {
                <div class="cabinet-label__line" data-line=*name>
                    <dt>{*name}</dt>
                    <dd>{words.clone()}</dd>
                </div>
            }
        })
        .collect_view();
    view! {
        <section class="paper paper--label" data-sheet="label" aria-label="Cabinet label">
            <div class="cabinet-label">
                <h3 class="cabinet-label__name">{name.to_owned()}</h3>
                <dl>{lines}</dl>
            </div>
        </section>
    }
    .into_any()
}
