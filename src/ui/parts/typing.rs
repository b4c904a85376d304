//! Typing in the table: one set of listeners for all of its cells, told apart by
//! their ids.

use super::keys::{Command, Held, command};
use super::model::{
    Place, cell_id, cell_named, in_column, last_letters, row_on, text_of_line, with_line,
};
use crate::sheet::rows::{self, Column, Row};
use crate::sheet::{cells, edit};
use crate::ui::browser::focus;
use crate::ui::leptos::web_sys::{ClipboardEvent, Element, Event, HtmlInputElement, KeyboardEvent};
use crate::ui::long::LongRows;
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// The rows of the sheet.
pub type Rows = Memo<Arc<Vec<Row>>>;
/// Those of them that are on the page.
pub type Drawn = LongRows<Place>;

/// A cell, and what is typed into it.
type Draft = (usize, Column, String);

/// What is done with a row by a button behind it, its sign, its name.
pub const ROW_TOOLS: [(Command, &str, &str); 4] = [
    (Command::Up, "↑", "Move up"),
    (Command::Down, "↓", "Move down"),
    (Command::Duplicate, "+", "Duplicate"),
    (Command::Remove, "×", "Delete"),
];

/// What is being typed. One cell has the keyboard at a time.
#[derive(Clone, Copy)]
pub struct Typing {
    /// The rows.
    pub rows: Rows,
    /// Those on the page.
    pub drawn: Drawn,
    draft: StoredValue<Option<Draft>>,
    /// The sheet as it was before typing: half a rating is not yet one, and must
    /// not stay behind as another word.
    before: StoredValue<Option<Arc<str>>>,
}

impl Typing {
    /// Nothing is typed yet.
    pub fn new(rows: Rows, drawn: Drawn) -> Self {
        let (draft, before) = (StoredValue::new(None), StoredValue::new(None));
        Self { rows, drawn, draft, before }
    }

    /// What a cell shows: what is typed into it, or else what the sheet says.
    pub fn shown(self, line: usize, column: Column, kept: String) -> String {
        let typed = self.draft.try_get_value().flatten();
        let own = typed.filter(|(l, c, _)| (*l, *c) == (line, column));
        own.map_or(kept, |(_, _, typed)| typed)
    }

    /// A key changed a cell. The designator of a part is written when the cell is
    /// left: each letter of a new name would be another part.
    pub fn typed(self, event: &Event) {
        let Some((field, line, column)) = cell_of(event) else { return };
        let typed = field.value();
        self.draft.set_value(Some((line, column, typed.clone())));
        if !self.is_part(line) {
            app().rewrite_typing(|text| with_line(text, line, &typed));
        } else if column != Column::Designator {
            self.write(line, column, &typed, true);
        }
    }

    /// A cell is left.
    pub fn left(self, event: &Event) {
        let Some((field, line, column)) = cell_of(event) else { return };
        // The table may be gone, and all that is its own with it.
        let Some(typed) = self.draft.try_get_value() else { return };
        let own = typed.filter(|(l, c, _)| (*l, *c) == (line, column));
        if let Some((_, _, typed)) =
            own.filter(|_| column == Column::Designator && self.is_part(line))
        {
            self.rename(line, &typed);
        }
        self.leave(&field, line, column);
    }

    /// A key is pressed in a cell.
    pub fn key(self, event: &KeyboardEvent) {
        let Some((field, line, column)) = cell_of(event) else { return };
        let held = Held {
            ctrl: event.ctrl_key() || event.meta_key(),
            alt: event.alt_key(),
            shift: event.shift_key(),
        };
        if let Some(command) = command(&event.key(), held) {
            event.prevent_default();
            // A command ends what was being typed.
            self.forget();
            run(app(), self.drawn, command, line, column);
            self.leave(&field, line, column);
            return;
        }
        if held.ctrl || held.alt || held.shift {
            return;
        }
        match event.key().as_str() {
            "Enter" => {
                event.prevent_default();
                // The designator is written when the cell is left, so it is left first.
                if let Some(next) = neighbour(self.drawn, line, 1) {
                    focus(&cell_id(next, column));
                } else {
                    focus("main");
                    add_after(app(), self.drawn, Some(line));
                }
            }
            "ArrowUp" => step(self.drawn, event, line, column, -1),
            "ArrowDown" => step(self.drawn, event, line, column, 1),
            _ => {}
        }
    }

    /// Something in a row is clicked: one of its tools, or nothing of interest.
    pub fn clicked(self, event: &Event) {
        let at = event.target().and_then(|target| target.dyn_into::<Element>().ok());
        let within = |what: &str, name: &str| at.as_ref()?.closest(what).ok()??.get_attribute(name);
        let tool = within("[data-tool]", "data-tool");
        let found = ROW_TOOLS.iter().find(|(_, _, name)| tool.as_deref() == Some(name));
        let line = within("[data-row]", "data-row").and_then(|line| line.parse().ok());
        if let (Some((command, ..)), Some(line)) = (found, line) {
            run(app(), self.drawn, *command, line, Column::Designator);
        }
    }

    /// A table from a spreadsheet, pasted into a part, becomes rows below.
    pub fn paste(self, event: &ClipboardEvent) {
        let Some((_, line, _)) = cell_of(event).filter(|(_, line, _)| self.is_part(*line)) else {
            return;
        };
        let pasted = event.clipboard_data().and_then(|d| d.get_data("text/plain").ok());
        let Some(pasted) = pasted.filter(|p| p.contains('\n') || p.contains('\t')) else { return };
        event.prevent_default();
        let lines = match app().workshop.get_untracked().table(&pasted) {
            Ok(lines) => lines.unwrap_or(pasted),
            Err(not_yet) => return app().say(not_yet, None),
        };
        app().rewrite(|text| {
            let lines = lines.trim_end_matches('\n').lines().rev();
            lines.fold(text.to_owned(), |text, new| edit::insert_after(&text, Some(line), new))
        });
    }

    fn is_part(self, line: usize) -> bool {
        self.drawn.keys.read_untracked().contains(&(line, true))
    }

    fn write(self, line: usize, column: Column, typed: &str, typing: bool) {
        let Some(id) = app().open.id.get_untracked() else { return };
        let now = || app().open.text.get_untracked();
        let base = self.before.get_value().unwrap_or_else(now);
        let text = cells::set_cell(&base, line, column, &in_column(column, typed));
        app().write(id, &text, typing);
        self.before.set_value(Some(base));
    }

    fn rename(self, line: usize, typed: &str) {
        let name = || self.kept(line, Column::Designator);
        let old = name();
        self.write(line, Column::Designator, typed, false);
        let new = name();
        app().change_open(|set| set.part_renamed(&old, &new));
        if let Some(id) = app().open.id.get_untracked() {
            app().change(|bench| bench.stock_part_renamed(id, &old, &new));
        }
    }

    /// What the sheet says in a cell.
    fn kept(self, line: usize, column: Column) -> String {
        let rows = self.rows.read_untracked();
        row_on(&rows, line).map(|row| row.cell(column).to_owned()).unwrap_or_default()
    }

    fn forget(self) {
        self.draft.try_update_value(|draft| *draft = None);
        self.before.try_update_value(|before| *before = None);
    }

    /// Ends typing: the cell shows what the sheet says again.
    fn leave(self, field: &HtmlInputElement, line: usize, column: Column) {
        self.forget();
        let kept = if self.is_part(line) {
            self.kept(line, column)
        } else {
            text_of_line(&app().open.text.get_untracked(), line).to_owned()
        };
        if field.value() != kept {
            field.set_value(&kept);
        }
    }
}

/// The field that an event is about, and its cell.
fn cell_of(event: &Event) -> Option<(HtmlInputElement, usize, Column)> {
    let field: HtmlInputElement = event.target()?.dyn_into().ok()?;
    let (line, column) = cell_named(&field.id())?;
    Some((field, line, column))
}

/// Moves the keyboard to a cell, which need not be on the page yet.
fn focus_cell(drawn: Drawn, line: usize, column: Column) {
    let place = drawn.keys.read_untracked().iter().find(|(own, _)| *own == line).copied();
    if let Some(place) = place {
        drawn.hold(&place);
    }
    request_animation_frame(move || focus(&cell_id(line, column)));
}

fn step(drawn: Drawn, event: &KeyboardEvent, line: usize, column: Column, by: isize) {
    if let Some(next) = neighbour(drawn, line, by) {
        event.prevent_default();
        focus(&cell_id(next, column));
    }
}

/// The line of the row above or below. It is on the page, as the neighbours of
/// the row that has the keyboard are.
fn neighbour(drawn: Drawn, line: usize, by: isize) -> Option<usize> {
    let places = drawn.keys.read_untracked();
    let at = places.iter().position(|(own, _)| *own == line)?;
    places.get(at.checked_add_signed(by)?).map(|(line, _)| *line)
}

fn run(app: App, drawn: Drawn, command: Command, line: usize, column: Column) {
    let before = app.open.text.get_untracked();
    match command {
        Command::Undo => return app.undo_text(),
        Command::Redo => return app.redo_text(),
        _ => {}
    }
    let Some((after, to)) = command.edit(&before, line) else { return };
    app.rewrite(|_| after);
    focus_cell(drawn, to, column);
}

/// Puts a new part below a line, or at the end, and goes there.
pub fn add_after(app: App, drawn: Drawn, line: Option<usize>) {
    let text = app.open.text.get_untracked();
    let designator = edit::fresh_designator(&text, &last_letters(&text)).to_string();
    app.rewrite(|text| edit::insert_after(text, line, &designator));
    let rows = rows::rows(&app.open.text.get_untracked());
    let added = rows.iter().rev().find(|r| r.cell(Column::Designator) == designator);
    let added = added.map(|r| r.line);
    if let Some(line) = added {
        focus_cell(drawn, line, Column::Value);
    }
}
