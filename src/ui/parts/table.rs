//! The sheet as a table of the same lines.

use super::keys::{Command, Held, command};
use super::model::{in_column, last_letters, with_line};
use crate::letters::Letters;
use crate::sheet::rows::{self, Column, Row, RowKind};
use crate::sheet::{cells, edit};
use crate::trade::dielectric::Dielectric;
use crate::trade::role::Role;
use crate::ui::browser::focus;
use crate::ui::kit::dynamic::{each, flag, text};
use crate::ui::kit::stop_typing;
use crate::ui::leptos::web_sys::{ClipboardEvent, KeyboardEvent};
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// So many rows are drawn at first; the rest on demand.
const AT_FIRST: usize = 200;

/// The list that a column offers.
const fn list_of(column: Column) -> Option<&'static str> {
    match column {
        Column::Dielectric => Some("dielectrics"),
        Column::Role => Some("roles"),
        _ => None,
    }
}

/// The table of the open sheet.
#[component]
pub fn Table() -> impl IntoView {
    let app = app();
    let limit = RwSignal::new(AT_FIRST);
    let rows = Memo::new(move |_| Arc::new(rows::rows(&app.open.text.get())));
    // A row is known by its place in the sheet; its cells follow what stands there.
    let lines = Memo::new(move |_| {
        let all = rows.read();
        let drawn = all.iter().filter(|r| r.kind != RowKind::Blank).take(limit.get());
        drawn.map(|r| (r.line, r.kind == RowKind::Part)).collect::<Vec<_>>()
    });
    let total = move || rows.read().iter().filter(|r| r.kind != RowKind::Blank).count();
    view! {
        <datalist id="dielectrics">
            {Dielectric::ALL.map(|d| view! { <option value=d.label()></option> }).collect_view()}
        </datalist>
        <datalist id="roles">
            {Role::ALL.map(|r| view! { <option value=r.label()></option> }).collect_view()}
        </datalist>
        <div class="table-frame">
            <table class="table table--edit" data-table="parts">
                <caption class="unseen">"Parts list, one line a row"</caption>
                <thead>
                    <tr>
                        {Column::ALL
                            .map(|c| view! { <th scope="col">{c.label()}</th> })
                            .collect_view()}
                        <th scope="col"><span class="unseen">"Row"</span></th>
                    </tr>
                </thead>
                <tbody>
                    {each(move || lines.get(), move |row| row_view(app, rows, row))}
                </tbody>
            </table>
        </div>
        <div class="buttons">
            <button
                class="button button--primary"
                type="button"
                data-action="add-row"
                on:click=move |_| add_after(app, None)
            >
                "Add a part"
            </button>
            <button
                class="button"
                type="button"
                hidden=flag(move || total() <= limit.get())
                on:click=move |_| limit.update(|n| *n += AT_FIRST)
            >
                "Show more rows"
            </button>
        </div>
    }
}

type Rows = Memo<Arc<Vec<Row>>>;

fn row_view(app: App, rows: Rows, (line, is_part): (usize, bool)) -> AnyView {
    let cells = if is_part {
        Column::ALL.map(|column| cell(app, rows, line, column)).collect_view().into_any()
    } else {
        whole_line(app, line)
    };
    let tools = [
        (Command::Up, "↑", "Move up"),
        (Command::Down, "↓", "Move down"),
        (Command::Duplicate, "+", "Duplicate"),
        (Command::Remove, "×", "Delete"),
    ]
    .map(|(command, sign, words)| {
        view! {
            <button
                class="button button--tool"
                type="button"
                title=words
                aria-label=format!("{words} line {line}")
                on:click=move |_| run(app, command, line, Column::Designator)
            >
                {sign}
            </button>
        }
    });
    view! {
        <tr class="row" data-row=line.to_string()>
            {cells}
            <td class="row__tools">{tools.into_iter().collect_view()}</td>
        </tr>
    }
    .into_any()
}

/// One cell of a part. The designator is written when the cell is left: each
/// letter of a new name would be another part.
fn cell(app: App, rows: Rows, line: usize, column: Column) -> AnyView {
    let title = column.label();
    let kept = Memo::new(move |_| {
        let rows = rows.read();
        rows.iter().find(|r| r.line == line).map(|r| r.cell(column).to_owned()).unwrap_or_default()
    });
    let draft = RwSignal::new(None::<String>);
    let on_leaving = column == Column::Designator;
    // The sheet as it was before typing: half a rating is not yet one, and must
    // not stay behind as another word.
    let before = StoredValue::new(None::<Arc<str>>);
    let write = move |typed: &str, typing: bool| {
        let Some(id) = app.open.id.get_untracked() else { return };
        let base = before.get_value().unwrap_or_else(|| app.open.text.get_untracked());
        let text = cells::set_cell(&base, line, column, &in_column(column, typed));
        app.write(id, &text, typing);
        before.set_value(Some(base));
    };
    let leave = move || {
        before.try_update_value(|kept| *kept = None);
        stop_typing(draft);
    };
    let rename = move |typed: &str| {
        let Some(old) = kept.try_get_untracked() else { return };
        write(typed, false);
        let new = kept.get_untracked();
        app.change_open(|set| set.part_renamed(&old, &new));
        if let Some(id) = app.open.id.get_untracked() {
            app.change(|bench| bench.stock_part_renamed(id, &old, &new));
        }
    };
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
                prop:value=text(move || draft.get().unwrap_or_else(|| kept.get()))
                on:input:target=move |e| {
                    draft.set(Some(e.target().value()));
                    if !on_leaving {
                        write(&e.target().value(), true);
                    }
                }
                on:blur=move |_| {
                    if let Some(typed) = draft.try_get_untracked().flatten().filter(|_| on_leaving) {
                        rename(&typed);
                    }
                    leave();
                }
                on:keydown=move |e| {
                    if key(app, &e, line, column) {
                        leave();
                    }
                }
                on:paste=move |e| paste(app, &e, line)
            />
        </td>
    }
    .into_any()
}

/// A line that is no part, as it stands.
fn whole_line(app: App, line: usize) -> AnyView {
    let kept =
        Memo::new(move |_| app.open.text.read().split('\n').nth(line - 1).unwrap_or("").to_owned());
    let draft = RwSignal::new(None::<String>);
    view! {
        <td class="row__line" colspan=Column::ALL.len().to_string()>
            <input
                class="cell cell--line"
                id=cell_id(line, Column::Designator)
                type="text"
                autocomplete="off"
                spellcheck="false"
                aria-label=format!("Line {line}")
                prop:value=text(move || draft.get().unwrap_or_else(|| kept.get()))
                on:input:target=move |e| {
                    draft.set(Some(e.target().value()));
                    app.rewrite_typing(|text| with_line(text, line, &e.target().value()));
                }
                on:blur=move |_| stop_typing(draft)
                on:keydown=move |e| {
                    if key(app, &e, line, Column::Designator) {
                        stop_typing(draft);
                    }
                }
            />
        </td>
    }
    .into_any()
}

fn cell_id(line: usize, column: Column) -> String {
    format!("cell-{line}-{column:?}").lower()
}

/// Moves the keyboard once the row is drawn.
fn focus_cell(line: usize, column: Column) {
    request_animation_frame(move || focus(&cell_id(line, column)));
}

/// Says whether the key was a command, which ends what was being typed.
fn key(app: App, event: &KeyboardEvent, line: usize, column: Column) -> bool {
    let held = Held {
        ctrl: event.ctrl_key() || event.meta_key(),
        alt: event.alt_key(),
        shift: event.shift_key(),
    };
    if let Some(command) = command(&event.key(), held) {
        event.prevent_default();
        run(app, command, line, column);
        return true;
    }
    if held.ctrl || held.alt || held.shift {
        return false;
    }
    match event.key().as_str() {
        "Enter" => {
            event.prevent_default();
            // The designator is written when the cell is left, so it is left first.
            if let Some(next) = neighbour(app, line, 1) {
                focus(&cell_id(next, column));
            } else {
                focus("main");
                add_after(app, Some(line));
            }
            false
        }
        "ArrowUp" => step(app, event, line, column, -1),
        "ArrowDown" => step(app, event, line, column, 1),
        _ => false,
    }
}

fn step(app: App, event: &KeyboardEvent, line: usize, column: Column, by: isize) -> bool {
    if let Some(next) = neighbour(app, line, by) {
        event.prevent_default();
        focus(&cell_id(next, column));
    }
    false
}

/// The line of the row above or below.
fn neighbour(app: App, line: usize, by: isize) -> Option<usize> {
    let rows = rows::rows(&app.open.text.get_untracked());
    let lines: Vec<usize> =
        rows.iter().filter(|r| r.kind != RowKind::Blank).map(|r| r.line).collect();
    let at = lines.iter().position(|l| *l == line)?;
    lines.get(at.checked_add_signed(by)?).copied()
}

fn run(app: App, command: Command, line: usize, column: Column) {
    let before = app.open.text.get_untracked();
    match command {
        Command::Undo => return app.undo_text(),
        Command::Redo => return app.redo_text(),
        _ => {}
    }
    let Some((after, to)) = command.edit(&before, line) else { return };
    app.rewrite(|_| after);
    focus_cell(to, column);
}

/// Puts a new part below a line, or at the end, and goes there.
fn add_after(app: App, line: Option<usize>) {
    let text = app.open.text.get_untracked();
    let designator = edit::fresh_designator(&text, &last_letters(&text)).to_string();
    app.rewrite(|text| edit::insert_after(text, line, &designator));
    let rows = rows::rows(&app.open.text.get_untracked());
    let added = rows.iter().rev().find(|r| r.cell(Column::Designator) == designator);
    let added = added.map(|r| r.line);
    if let Some(line) = added {
        focus_cell(line, Column::Value);
    }
}

/// A table from a spreadsheet becomes rows below.
fn paste(app: App, event: &ClipboardEvent, line: usize) {
    let pasted = event.clipboard_data().and_then(|d| d.get_data("text/plain").ok());
    let Some(pasted) = pasted.filter(|p| p.contains('\n') || p.contains('\t')) else { return };
    event.prevent_default();
    let lines = match app.workshop.get_untracked().table(&pasted) {
        Ok(lines) => lines.unwrap_or(pasted),
        Err(not_yet) => return app.say(not_yet, None),
    };
    app.rewrite(|text| {
        let lines = lines.trim_end_matches('\n').lines().rev();
        lines.fold(text.to_owned(), |text, new| edit::insert_after(&text, Some(line), new))
    });
}
