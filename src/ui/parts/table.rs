//! The sheet as a table of the same lines.

use super::model::{Place, TOOLS, cell_id, column_widths, list_of, row_on, text_of_line};
use super::typing::{ROW_TOOLS, Typing, add_after};
use crate::sheet::rows::{self, Column, Row, RowKind};
use crate::trade::dielectric::Dielectric;
use crate::trade::role::Role;
use crate::ui::kit::dynamic::text;
use crate::ui::long::{Gap, GoTo, LongRows};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// About the height of a row, in CSS pixels, until some were drawn.
const ROW: f64 = 37.0;

/// The table of the open sheet.
#[component]
pub fn Table() -> impl IntoView {
    let app = app();
    let rows = Memo::new(move |_| Arc::new(rows::rows(&app.open.text.get())));
    // A row is known by its place in the sheet; its cells follow what stands there.
    let lines = Memo::new(move |_| {
        let all = rows.read();
        let shown = all.iter().filter(|r| r.kind != RowKind::Blank);
        shown.map(|r| (r.line, r.kind == RowKind::Part)).collect::<Vec<Place>>()
    });
    let drawn = LongRows::new(lines, ROW);
    let typing = Typing::new(rows, drawn);
    let names = Memo::new(move |_| {
        let parts = rows.read();
        let parts = parts.iter().filter(|r| r.kind == RowKind::Part);
        parts.map(|r| r.cell(Column::Designator).to_owned()).collect::<Vec<_>>()
    });
    let go_to = move |name: String| {
        let all = rows.read_untracked();
        if let Some(row) = all.iter().find(|r| r.cell(Column::Designator) == name) {
            drawn.go_to(&(row.line, true));
        }
    };
    let widths = Memo::new(move |_| column_widths(&rows.read()));
    let columns = Column::ALL
        .iter()
        .enumerate()
        .map(|(at, _)| {
            let width = move || format!("{:.2}rem", widths.read()[at]);
            view! { <col style:width=width/> }
        })
        .collect_view();
    let width = move || format!("{:.2}rem", widths.read().iter().sum::<f64>() + TOOLS);
    view! {
        <datalist id="dielectrics">
            {Dielectric::ALL.map(|d| view! { <option value=d.label()></option> }).collect_view()}
        </datalist>
        <datalist id="roles">
            {Role::ALL.map(|r| view! { <option value=r.label()></option> }).collect_view()}
        </datalist>
        <GoTo keys=names on_go=Callback::new(go_to)/>
        <div class="table-frame">
            <table
                class="table table--edit"
                data-table="parts"
                aria-rowcount=drawn.total(1)
                style:--width=width
            >
                <caption class="unseen">"Parts list, one line a row"</caption>
                <colgroup>{columns}<col style:width=format!("{TOOLS}rem")/></colgroup>
                <thead>
                    <tr aria-rowindex="1">
                        {Column::ALL
                            .map(|c| view! { <th scope="col">{c.label()}</th> })
                            .collect_view()}
                        <th scope="col"><span class="unseen">"Row"</span></th>
                    </tr>
                </thead>
                <tbody
                    node_ref=drawn.frame
                    on:focusin=move |_| drawn.look()
                    on:input=move |e| typing.typed(&e)
                    on:focusout=move |e| typing.left(&e)
                    on:keydown=move |e| typing.key(&e)
                    on:paste=move |e| typing.paste(&e)
                    on:click=move |e| typing.clicked(&e)
                >
                    {drawn.view(Gap::Row, move |row| row_view(typing, row))}
                </tbody>
            </table>
        </div>
        <div class="buttons">
            <button
                class="button button--primary"
                type="button"
                data-action="add-row"
                on:click=move |_| add_after(app, drawn, None)
            >
                "Add a part"
            </button>
        </div>
    }
}

fn row_view(typing: Typing, place: Place) -> AnyView {
    let (line, is_part) = place;
    let Typing { rows, drawn, .. } = typing;
    let cells = if is_part {
        let row = Memo::new(move |_| row_on(&rows.read(), line).cloned());
        Column::ALL.map(|column| cell(row, typing, line, column)).collect_view().into_any()
    } else {
        whole_line(typing, line)
    };
    let tools = ROW_TOOLS.iter().map(|(_, sign, words)| {
        view! {
            <button
                class="button button--tool"
                type="button"
                title=*words
                aria-label=format!("{words} line {line}")
                data-tool=*words
            >
                {*sign}
            </button>
        }
    });
    view! {
        <tr class="row" data-row=line.to_string() aria-rowindex=drawn.number(&place, 2)>
            {cells}
            <td class="row__tools">{tools.collect_view()}</td>
        </tr>
    }
    .into_any()
}

/// One cell of a part.
fn cell(row: Memo<Option<Row>>, typing: Typing, line: usize, column: Column) -> AnyView {
    let title = column.label();
    let kept = move || row.read().as_ref().map(|r| r.cell(column).to_owned()).unwrap_or_default();
    view! {
        <td data-label=title>
            <input
                class="cell"
                id=cell_id(line, column)
                type="text"
                autocomplete="off"
                spellcheck="false"
                list=list_of(column)
                aria-label=format!("{title}, line {line}")
                prop:value=text(move || typing.shown(line, column, kept()))
            />
        </td>
    }
    .into_any()
}

/// A line that is no part, as it stands.
fn whole_line(typing: Typing, line: usize) -> AnyView {
    let app = app();
    let kept = Memo::new(move |_| text_of_line(&app.open.text.read(), line).to_owned());
    let column = Column::Designator;
    view! {
        <td class="row__line" colspan=Column::ALL.len().to_string()>
            <input
                class="cell cell--line"
                id=cell_id(line, column)
                type="text"
                autocomplete="off"
                spellcheck="false"
                aria-label=format!("Line {line}")
                prop:value=text(move || typing.shown(line, column, kept.get()))
            />
        </td>
    }
    .into_any()
}
