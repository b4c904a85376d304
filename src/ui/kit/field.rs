//! Fields with their labels and messages.
//!
//! A field shows what is being typed while it has the keyboard, and what the
//! sheet says otherwise; nothing rewrites it under the user's fingers.

use crate::ui::kit::dynamic::{flag, piece, text, word};
use crate::ui::view::prelude::*;

/// What a field is called and said to be. Gathers what would otherwise be six props.
#[derive(Debug, Clone, Default)]
pub struct Field {
    /// Unique on the page.
    pub id: String,
    /// The label.
    pub label: String,
    /// The unit behind the field.
    pub unit: &'static str,
    /// A hint below it.
    pub hint: &'static str,
    /// Whether a number keyboard is offered.
    pub decimal: bool,
    /// A value for `data-field`.
    pub data: String,
}

/// What is being typed into a field, if anything.
pub type Draft = RwSignal<Option<String>>;

/// Ends typing. A field that is taken off the page while it has the keyboard is
/// left after its signals are gone.
pub fn stop_typing(draft: Draft) {
    drop(draft.try_set(None));
}

/// A one-line text field.
#[component]
pub fn TextField(
    /// Its names.
    field: Field,
    /// What it shows while it does not have the keyboard.
    #[prop(into)]
    value: Signal<String>,
    /// At every keystroke.
    #[prop(into)]
    on_input: Callback<String>,
    /// What is wrong with the text in it, if anything.
    #[prop(into, optional)]
    error: Signal<Option<String>>,
    /// Shown behind the field: a verdict.
    #[prop(optional)]
    children: Option<Children>,
) -> impl IntoView {
    let draft = RwSignal::new(None::<String>);
    let shown = move || draft.get().unwrap_or_else(|| value.get());
    let Field { id, label, unit, hint, decimal, data } = field;
    let hint_id = format!("{id}-hint");
    let error_id = format!("{id}-error");
    let described = {
        let (hint_id, error_id) = (hint_id.clone(), error_id.clone());
        move || match (error.read().is_some(), hint.is_empty()) {
            (true, _) => Some(error_id.clone()),
            (false, false) => Some(hint_id.clone()),
            (false, true) => None,
        }
    };
    view! {
        <div class="field" data-field=data>
            <label class="field__label" for=id.clone()>{label}</label>
            <div class="field__row">
                <input
                    class="field__input"
                    id=id
                    type="text"
                    inputmode=if decimal { "decimal" } else { "text" }
                    autocomplete="off"
                    spellcheck="false"
                    prop:value=text(shown)
                    aria-invalid=word(move || error.read().is_some().then_some("true"))
                    aria-describedby=described
                    on:input:target=move |e| {
                        draft.set(Some(e.target().value()));
                        on_input.run(e.target().value());
                    }
                    on:blur=move |_| stop_typing(draft)
                />
                {(!unit.is_empty()).then(|| view! { <span class="field__unit">{unit}</span> })}
                {children.map(|children| children())}
            </div>
            {(!hint.is_empty())
                .then(|| view! { <p class="field__hint" id=hint_id>{hint}</p> })}
            <p class="field__error" id=error_id hidden=flag(move || error.read().is_none())>
                {piece(move || error.get())}
            </p>
        </div>
    }
}

/// A choice of a select field: its value, and its words.
pub type Choice = (&'static str, &'static str);

/// A choice from a short list.
#[component]
pub fn SelectField(
    /// Its names.
    field: Field,
    /// The value chosen.
    #[prop(into)]
    value: Signal<String>,
    /// The choices.
    choices: Vec<Choice>,
    /// When another is chosen.
    #[prop(into)]
    on_choose: Callback<String>,
) -> impl IntoView {
    let Field { id, label, hint, data, .. } = field;
    let hint_id = format!("{id}-hint");
    let described = (!hint.is_empty()).then(|| hint_id.clone());
    let options = choices
        .into_iter()
        .map(|(key, words)| {
            view! { <option value=key selected=flag(move || *value.read() == key)>{words}</option> }
        })
        .collect_view();
    view! {
        <div class="field" data-field=data>
            <label class="field__label" for=id.clone()>{label}</label>
            <div class="field__row">
                <select
                    class="field__input field__input--select"
                    id=id
                    aria-describedby=described
                    prop:value=text(move || value.get())
                    on:change:target=move |e| on_choose.run(e.target().value())
                >
                    {options}
                </select>
            </div>
            {(!hint.is_empty())
                .then(|| view! { <p class="field__hint" id=hint_id>{hint}</p> })}
        </div>
    }
}
