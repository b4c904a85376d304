//! The sheet as text, with what was read beside each line.
//!
//! Behind the text area lies a drawing of the lines that are in view: their
//! numbers, the marks under what is noted, the readings at the right. The text
//! area is as tall as the sheet, so that the page alone scrolls.

use super::keys::{Command, Held, command};
use super::model::{LineView, line_at, line_views, position_of, readouts};
use super::notes::select;
use crate::ui::kit::DecisionMark;
use crate::ui::kit::dynamic::{each, piece, text};
use crate::ui::leptos::ev;
use crate::ui::leptos::web_sys::{ClipboardEvent, HtmlTextAreaElement, KeyboardEvent};
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;

/// Lines drawn beyond those in view, so that scrolling does not outrun the drawing.
const MARGIN: usize = 40;

/// The text of the open sheet.
#[component]
pub fn Editor() -> impl IntoView {
    let app = app();
    let area: NodeRef<HtmlTextAreaElement> = NodeRef::new();
    let caret = RwSignal::new(1_usize);
    let shift = RwSignal::new(0_i32);
    let window = RwSignal::new((0_usize, 2 * MARGIN));
    let look = move || {
        if let Some(found) = area.get().and_then(|area| in_view(app, &area)) {
            // Set only when it moves by some lines: the drawing is made anew each time.
            window.maybe_update(|old| {
                let moved = *old != found;
                *old = found;
                moved
            });
        }
    };
    let scrolling = window_event_listener(ev::scroll, move |_| look());
    let resizing = window_event_listener(ev::resize, move |_| look());
    on_cleanup(move || {
        scrolling.remove();
        resizing.remove();
    });
    let follow_caret = move || {
        if let Some(area) = area.get() {
            let at = area.selection_start().ok().flatten().unwrap_or(0) as usize;
            caret.set(line_at(&area.value(), at));
        }
    };
    let line_count = Memo::new(move |_| app.open.text.read().split('\n').count() + 1);
    view! {
        <div class="editor" data-editor="">
            <Drawing window shift caret/>
            <label class="unseen" for="sheet-text">"Parts list, one part a line"</label>
            <textarea
                node_ref=area
                class="editor__text"
                id="sheet-text"
                rows=text(move || line_count.get().to_string())
                wrap="off"
                spellcheck="false"
                autocomplete="off"
                autocapitalize="off"
                placeholder=PLACEHOLDER
                aria-describedby="line-in-hand"
                prop:value=text(move || app.open.text.get().to_string())
                on:input:target=move |e| {
                    if !typed(app, &e.target().value()) {
                        e.target().set_value(&app.open.text.get_untracked());
                    }
                    follow_caret();
                    look();
                }
                on:keydown=move |e| key(app, &e, area.get().as_ref())
                on:keyup=move |_| follow_caret()
                on:click=move |_| follow_caret()
                on:paste=move |e| paste(app, &e, area.get().as_ref())
                on:scroll:target=move |e| shift.set(e.target().scroll_left())
            ></textarea>
        </div>
        <LineInHand caret/>
    }
}

const PLACEHOLDER: &str = "\
set     Kitchen table set, 1947
mains   117 V 60 Hz, 35 W
C1A     40 mfd 150 V electrolytic
C7      .05 400 V paper
R3      470K 1/2 W";

/// The lines in view: numbers, marks, readings.
#[component]
fn Drawing(
    /// The first line and the one after the last, from 0.
    window: RwSignal<(usize, usize)>,
    /// How far the text is scrolled sideways, in pixels.
    shift: RwSignal<i32>,
    /// The line in hand, from 1.
    caret: RwSignal<usize>,
) -> impl IntoView {
    let app = app();
    let lines = Memo::new(move |_| {
        let (first, last) = window.get();
        line_views(&app.open.text.get(), &app.open.plan.get(), first, last)
    });
    view! {
        <div
            class="editor__drawing"
            aria-hidden="true"
            style:--skip=move || window.get().0.to_string()
            style:--shift=move || format!("{}px", -shift.get())
        >
            {each(move || lines.get(), move |line| line_view(line, caret))}
        </div>
    }
}

fn line_view(line: LineView, caret: RwSignal<usize>) -> AnyView {
    let number = line.number;
    let class = move || {
        if caret.get() == number { "editor__line editor__line--in-hand" } else { "editor__line" }
    };
    let stretches = line
        .stretches
        .into_iter()
        .map(|s| match s.level {
            Some(level) => {
                let class = format!("editor__mark editor__mark--{level}");
                view! { <span class=class>{s.text}</span> }.into_any()
            }
            None => s.text.into_any(),
        })
        .collect_view();
    let decision = line.readout.decision.map(|decision| view! { <DecisionMark decision/> });
    view! {
        <div class=text(class)>
            <span class="editor__number">{number}</span>
            <span class="editor__code"><span class="editor__shifted">{stretches}</span></span>
            <span class="editor__readout">{decision}{line.readout.text}</span>
        </div>
    }
    .into_any()
}

/// What was read on the line in hand, and what is noted on it.
#[component]
fn LineInHand(
    /// The line in hand, from 1.
    caret: RwSignal<usize>,
) -> impl IntoView {
    let app = app();
    let words = Memo::new(move |_| {
        let (plan, line) = (app.open.plan.get(), caret.get());
        let note = plan.notes.iter().find(|n| n.line == line).map(|n| n.message.clone());
        let readout = readouts(&plan, line..line + 1).remove(&line).unwrap_or_default();
        (line, readout, note.unwrap_or_default())
    });
    view! {
        <p class="in-hand" id="line-in-hand">
            {piece(move || {
                let (line, readout, note) = words.get();
                view! {
                    <b class="in-hand__line">"Line "{line}</b>
                    {readout.decision.map(|decision| view! { <DecisionMark decision/> })}
                    <span>{readout.text}</span>
                    <span class="in-hand__note">{note}</span>
                }
            })}
        </p>
    }
}

/// Takes a keystroke in; `false` where the text grew too long.
fn typed(app: App, text: &str) -> bool {
    app.open.id.get_untracked().is_none_or(|id| app.write(id, text, true))
}

fn key(app: App, event: &KeyboardEvent, area: Option<&HtmlTextAreaElement>) {
    let held = Held {
        ctrl: event.ctrl_key() || event.meta_key(),
        alt: event.alt_key(),
        shift: event.shift_key(),
    };
    let (Some(command), Some(area)) = (command(&event.key(), held), area) else { return };
    event.prevent_default();
    let at = area.selection_start().ok().flatten().unwrap_or(0) as usize;
    let before = app.open.text.get_untracked();
    let line = line_at(&before, at);
    let column = at - position_of(&before, line, 1) + 1;
    match command {
        Command::Undo => return app.undo_text(),
        Command::Redo => return app.redo_text(),
        _ => {}
    }
    let (after, to) = match app.workshop.get_untracked().edit(command, &before, line) {
        Ok(Some(edited)) => edited,
        Ok(None) => return,
        Err(not_yet) => return app.say(not_yet, None),
    };
    app.rewrite(|_| after.clone());
    let caret = position_of(&after, to, column);
    request_animation_frame(move || select(caret, caret));
}

/// A table from a spreadsheet becomes lines; any other text is pasted as it is.
fn paste(app: App, event: &ClipboardEvent, area: Option<&HtmlTextAreaElement>) {
    let pasted = event.clipboard_data().and_then(|d| d.get_data("text/plain").ok());
    let (Some(pasted), Some(area)) = (pasted, area) else { return };
    let lines = match app.workshop.get_untracked().table(&pasted) {
        Ok(Some(lines)) => lines,
        Ok(None) => return,
        Err(not_yet) => {
            event.prevent_default();
            return app.say(not_yet, None);
        }
    };
    event.prevent_default();
    let unit = |n: Option<u32>| n.unwrap_or(0) as usize;
    let start = unit(area.selection_start().ok().flatten());
    let end = unit(area.selection_end().ok().flatten());
    let units: Vec<u16> = area.value().encode_utf16().collect();
    let head = String::from_utf16_lossy(units.get(..start).unwrap_or(&units));
    let tail = String::from_utf16_lossy(units.get(end..).unwrap_or(&[]));
    let gap = if head.is_empty() || head.ends_with('\n') { "" } else { "\n" };
    app.rewrite(|_| format!("{head}{gap}{lines}{tail}"));
}

/// The lines that are in view, from 0, in steps of the margin.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a float to an integer saturates
fn in_view(app: App, area: &HtmlTextAreaElement) -> Option<(usize, usize)> {
    let place = area.get_bounding_client_rect();
    let rows = app.open.text.get_untracked().split('\n').count() + 1;
    let height = crate::ui::leptos::prelude::window().inner_height().ok()?.as_f64()?;
    let line_height = place.height() / f64::from(u32::try_from(rows).ok()?);
    if line_height < 1.0 {
        return None;
    }
    let first = (-place.top() / line_height).max(0.0) as usize / MARGIN * MARGIN;
    let last = ((height - place.top()) / line_height).max(0.0) as usize;
    Some((first.saturating_sub(MARGIN), (last / MARGIN + 2) * MARGIN))
}
