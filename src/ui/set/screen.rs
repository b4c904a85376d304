//! The form on the set. It edits the lines of the sheet.

use super::model::{Item, entry, with_item};
use crate::bench::progress::Stage;
use crate::bench::set::with_name;
use crate::letters::Letters;
use crate::sheet::BareM;
use crate::ui::kit::dynamic::{piece, text};
use crate::ui::kit::{Choice, Field, SelectField, Tabs, TextField, stop_typing};
use crate::ui::route::View;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::Extra;

const SUPPLIES: [Choice; 5] = [
    ("", "not said"),
    ("transformer", "Power transformer"),
    ("series-string", "Heaters in series across the line"),
    ("vibrator", "Vibrator, from a battery"),
    ("battery", "Dry batteries"),
];
const RECTIFICATIONS: [Choice; 5] = [
    ("", "not said"),
    ("half-wave", "Half wave"),
    ("full-wave", "Full wave, tapped winding"),
    ("bridge", "Bridge"),
    ("doubler", "Voltage doubler"),
];
const CORDS: [Choice; 3] =
    [("", "not said"), ("two-wire", "Two wires"), ("three-wire", "Three wires, grounded")];
const BARE_M: [Choice; 3] = [
    ("", "by the size of the number, and noted"),
    ("M as thousand", "thousand (470M is 470 kΩ)"),
    ("M as million", "million (470M is 470 MΩ)"),
];

/// The set, in one of its views.
#[component]
pub fn SetScreen() -> impl IntoView {
    let app = app();
    let current = Memo::new(move |_| app.route.get().view());
    let shown = move || match current.get() {
        Some(View::CarrySet) => app.workshop.get().extra(Extra::CarrySet),
        _ => view! { <Nameplate/> }.into_any(),
    };
    view! {
        <h2 class="sheet__title">"The set"</h2>
        <Tabs stage=Stage::Set/>
        {piece(shown)}
    }
}

/// What the set is and how it is fed.
#[component]
fn Nameplate() -> impl IntoView {
    view! {
        <div class="form">
            <p class="sheet__lead">
                "These fields and the first lines of the parts list are the same thing: \
                 change either. Leave out what you do not know."
            </p>
            <NameField/>
            <fieldset class="form__group">
                <legend>"Mains"</legend>
                <ItemField item=Item::Mains label="Line voltage" hint="From the nameplate"/>
                <ItemField item=Item::HighLine label="Highest line" hint="To plan for; your own line on its best day"/>
                <ItemField item=Item::Frequency label="Frequency" hint="DC for a DC line"/>
                <ItemField item=Item::Power label="Power" hint="From the nameplate"/>
                <ItemField item=Item::Fuse label="Fuse" hint="Leave empty if the set has none"/>
                <ItemChoice item=Item::Cord label="Line cord" choices=CORDS.to_vec()/>
                <ItemField item=Item::TouchLimit label="Touch current limit" hint="Empty: the usual limit is used and named"/>
            </fieldset>
            <fieldset class="form__group">
                <legend>"Supply"</legend>
                <ItemChoice item=Item::Supply label="Kind" choices=SUPPLIES.to_vec()/>
                <ItemChoice item=Item::Rectification label="Rectifier" choices=RECTIFICATIONS.to_vec()/>
                <ItemField item=Item::Secondary label="High-voltage winding" hint="350-0-350, or the whole for one without a tap"/>
                <BareMField/>
            </fieldset>
            <NotesField/>
        </div>
    }
}

#[component]
fn NameField() -> impl IntoView {
    let app = app();
    let name = Memo::new(move |_| app.open.sheet.read().header.name.clone().unwrap_or_default());
    let field = Field {
        id: "set-name".into(),
        label: "Name".into(),
        hint: "As you would say it: Kitchen table set, 1947",
        data: "name".into(),
        ..Field::default()
    };
    view! {
        <TextField
            field
            value=name
            on_input=Callback::new(move |typed: String| {
                app.rewrite_typing(|text| with_name(text, &typed));
            })
        />
    }
}

/// A figure of the `mains` or `supply` line.
#[component]
fn ItemField(
    /// Which.
    item: Item,
    /// Its label.
    label: &'static str,
    /// A hint.
    hint: &'static str,
) -> impl IntoView {
    let app = app();
    let value = Memo::new(move |_| item.shown(&app.open.sheet.read().header));
    let error = RwSignal::new(None::<String>);
    let on_input = move |typed: String| match entry(item, &typed) {
        Ok(value) => {
            error.set(None);
            app.rewrite_typing(|text| with_item(text, item, value.as_deref()));
        }
        Err(expected) => error.set(Some(format!("{expected}. The sheet keeps what it had."))),
    };
    let slug = format!("{item:?}").lower();
    let field = Field {
        id: format!("set-{slug}"),
        label: label.into(),
        unit: item.unit(),
        hint,
        decimal: item != Item::Secondary,
        data: slug,
    };
    view! { <TextField field value on_input=Callback::new(on_input) error/> }
}

/// A word of the `mains` or `supply` line.
#[component]
fn ItemChoice(
    /// Which.
    item: Item,
    /// Its label.
    label: &'static str,
    /// The words to choose from.
    choices: Vec<Choice>,
) -> impl IntoView {
    let app = app();
    let value = Memo::new(move |_| item.shown(&app.open.sheet.read().header));
    let on_choose = move |word: String| {
        let word = (!word.is_empty()).then_some(word);
        app.rewrite(|text| with_item(text, item, word.as_deref()));
    };
    let slug = format!("{item:?}").lower();
    let field =
        Field { id: format!("set-{slug}"), label: label.into(), data: slug, ..Field::default() };
    view! { <SelectField field value choices on_choose=Callback::new(on_choose)/> }
}

/// How a bare `M` after a resistance is read.
#[component]
fn BareMField() -> impl IntoView {
    let app = app();
    let value = Memo::new(move |_| {
        match app.open.sheet.read().header.bare_m {
            BareM::Thousand => "M as thousand",
            BareM::Million => "M as million",
            BareM::BySize => "",
        }
        .to_owned()
    });
    let on_choose = move |words: String| {
        app.rewrite(|text| super::model::with_bare_m(text, &words));
    };
    let field = Field {
        id: "set-bare-m".into(),
        label: "M after a resistance means".into(),
        hint: "Old sheets write M for thousand and MEG for million",
        data: "bare-m".into(),
        ..Field::default()
    };
    view! { <SelectField field value choices=BARE_M.to_vec() on_choose=Callback::new(on_choose)/> }
}

/// Remarks for the record.
#[component]
fn NotesField() -> impl IntoView {
    let app = app();
    let draft = RwSignal::new(None::<String>);
    let kept = Memo::new(move |_| app.open.record.read().notes.clone());
    view! {
        <div class="field field--wide" data-field="notes">
            <label class="field__label" for="set-notes">"Notes for the record"</label>
            <textarea
                class="field__input field__input--text"
                id="set-notes"
                rows="4"
                prop:value=text(move || draft.get().unwrap_or_else(|| kept.get()))
                on:input:target=move |e| {
                    draft.set(Some(e.target().value()));
                    app.change_open(|set| set.notes = e.target().value());
                }
                on:blur=move |_| stop_typing(draft)
            ></textarea>
        </div>
    }
}
