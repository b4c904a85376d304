//! The page as a person knows it: roles, names, labels.
//!
//! A page object for a screen wraps a [`Page`] and gives its own verbs:
//!
//! ```no_run
//! use firstglow_browser_tests::{Page, Role};
//!
//! struct Sheet<'b>(Page<'b>);
//!
//! impl Sheet<'_> {
//!     async fn add(&self, line: &str) {
//!         self.0.type_into("Parts", line).await;
//!         self.0.click(Role::Button, "Add").await;
//!     }
//! }
//! ```

use std::fmt::Display;
use std::path::Path;

use fantoccini::Locator;
use fantoccini::elements::Element;
use fantoccini::error::CmdError;
use fantoccini::key::Key;

use crate::browser::Browser;
use crate::roles::Role;
use crate::wait::until;
use crate::wire::Extra;

const FIELDS: &str = "input, select, textarea, [role=textbox], [role=combobox]";

/// A page, or a part of one.
#[derive(Clone)]
pub struct Page<'b> {
    browser: &'b Browser,
    part: Option<Element>,
}

impl<'b> Page<'b> {
    pub(crate) fn whole(browser: &'b Browser) -> Self {
        Self { browser, part: None }
    }

    /// The browser that shows the page.
    pub fn browser(&self) -> &'b Browser {
        self.browser
    }

    /// The part of the page inside an element.
    #[must_use]
    pub fn within(&self, element: Element) -> Self {
        Self { browser: self.browser, part: Some(element) }
    }

    /// Waits for the one element with this role and accessible name.
    pub async fn role(&self, role: Role, name: &str) -> Element {
        self.named(&format!("{role:?}"), role.selector(), name).await
    }

    /// Waits for the one element with this role, whatever its name.
    pub async fn only(&self, role: Role) -> Element {
        let mut found = until(&format!("one {role:?}"), async || {
            let found = self.select(role.selector()).await.ok()?;
            (found.len() == 1).then_some(found)
        })
        .await;
        found.remove(0)
    }

    /// Waits for the one field with this label.
    pub async fn field(&self, label: &str) -> Element {
        self.named("field", FIELDS, label).await
    }

    /// Waits for the one element with `data-NAME="VALUE"`.
    pub async fn data(&self, name: &str, value: &str) -> Element {
        let selector = format!("[data-{name}={value:?}]");
        let mut found = until(&format!("one element with {selector}"), async || {
            let found = self.select(&selector).await.ok()?;
            (found.len() == 1).then_some(found)
        })
        .await;
        found.remove(0)
    }

    /// The values of `data-NAME` on the page now, in its order.
    pub async fn all_data(&self, name: &str) -> Vec<String> {
        let attribute = format!("data-{name}");
        until(&format!("a settled page with {attribute}"), async || {
            let mut values = Vec::new();
            for element in self.select(&format!("[{attribute}]")).await.ok()? {
                values.push(element.attr(&attribute).await.ok()??);
            }
            Some(values)
        })
        .await
    }

    /// How many elements have this role now, whatever their names.
    pub async fn count(&self, role: Role) -> usize {
        let found = self.select(role.selector()).await;
        found.expect("the page can be searched").len()
    }

    /// Clicks the one element with this role and name.
    pub async fn click(&self, role: Role, name: &str) {
        let element = self.role(role, name).await;
        self.bring_up(&element).await;
        let clicked = element.click().await;
        clicked.unwrap_or_else(|error| panic!("{role:?} “{name}” takes no click: {error}"));
    }

    /// Scrolls an element out from under what is docked at the edges, as a
    /// person does before tapping it. The driver only looks for the window's.
    async fn bring_up(&self, element: &Element) {
        let element = serde_json::to_value(element).expect("an element can be named");
        let script = "arguments[0].scrollIntoView({ block: 'nearest' })";
        self.browser.js_with(script, vec![element]).await;
    }

    /// Clicks the first element with this role whose name begins so.
    pub async fn click_beginning(&self, role: Role, start: &str) {
        let element = until(&format!("a {role:?} named “{start}…”"), async || {
            for element in self.select(role.selector()).await.ok()? {
                if self.label(&element).await.ok()?.starts_with(start) {
                    return Some(element);
                }
            }
            None
        })
        .await;
        let clicked = element.click().await;
        clicked.unwrap_or_else(|error| panic!("{role:?} “{start}…” takes no click: {error}"));
    }

    /// Replaces what is in a field, key by key.
    pub async fn type_into(&self, label: &str, text: &str) {
        let field = self.field(label).await;
        // Not the driver's own `clear`, which leaves the field on the way.
        let all = Key::Control + "a";
        let keys = format!("{all}{}{}{text}", Key::Null, Key::Delete);
        let typed = field.send_keys(&keys).await;
        typed.unwrap_or_else(|error| panic!("“{label}” takes no keys: {error}"));
    }

    /// Presses keys in whatever has the focus: `Key::Tab`, `Key::Control + "z"`.
    pub async fn press(&self, keys: impl Display) {
        let focused = self.browser.client().active_element().await;
        let focused = focused.expect("something has the focus");
        let pressed = focused.send_keys(&keys.to_string()).await;
        pressed.expect("the focused element takes keys");
    }

    /// The accessible name of whatever has the focus.
    pub async fn focused(&self) -> String {
        let focused = self.browser.client().active_element().await;
        let label = self.label(&focused.expect("something has the focus")).await;
        label.expect("the focused element has a label, if an empty one")
    }

    /// Chooses an option of a select by its text.
    pub async fn choose(&self, label: &str, option: &str) {
        let chosen = self.field(label).await.select_by_label(option).await;
        chosen.unwrap_or_else(|error| panic!("“{label}” has no “{option}”: {error}"));
    }

    /// Gives a file to a file field.
    pub async fn upload(&self, label: &str, file: &Path) {
        let file = file.canonicalize().expect("the file to upload is there");
        let field = self.field(label).await;
        let given = field.send_keys(&file.to_string_lossy()).await;
        given.unwrap_or_else(|error| panic!("“{label}” takes no file: {error}"));
    }

    /// What a field holds.
    pub async fn value(&self, label: &str) -> String {
        let value = self.field(label).await.prop("value").await;
        value.expect("a field has a value").unwrap_or_default()
    }

    /// The text in view now.
    pub async fn text(&self) -> String {
        let body = match &self.part {
            Some(part) => Ok(part.clone()),
            None => self.browser.client().find(Locator::Css("body")).await,
        };
        let text = body.expect("a page has a body").text().await;
        text.expect("the page has text, if none")
    }

    /// Waits until a text is in view.
    pub async fn shows(&self, text: &str) {
        until(&format!("“{text}”"), async || self.text().await.contains(text).then_some(())).await;
    }

    /// Waits until a text is no longer in view.
    pub async fn shows_no(&self, text: &str) {
        until(&format!("“{text}” to go"), async || {
            (!self.text().await.contains(text)).then_some(())
        })
        .await;
    }

    async fn named(&self, kind: &str, selector: &str, name: &str) -> Element {
        let mut found = until(&format!("one {kind} named “{name}”"), async || {
            // A page that changes under the search is searched again.
            let found = self.all_named(selector, name).await.ok()?;
            (found.len() == 1).then_some(found)
        })
        .await;
        found.remove(0)
    }

    async fn all_named(&self, selector: &str, name: &str) -> Result<Vec<Element>, CmdError> {
        let mut found = Vec::new();
        for element in self.select(selector).await? {
            if self.label(&element).await? == name {
                found.push(element);
            }
        }
        Ok(found)
    }

    async fn label(&self, element: &Element) -> Result<String, CmdError> {
        let command = Extra::label_of(element.element_id().as_ref());
        let label = self.browser.client().issue_cmd(command).await?;
        Ok(label.as_str().unwrap_or_default().to_owned())
    }

    async fn select(&self, selector: &str) -> Result<Vec<Element>, CmdError> {
        match &self.part {
            Some(part) => part.find_all(Locator::Css(selector)).await,
            None => self.browser.client().find_all(Locator::Css(selector)).await,
        }
    }
}
