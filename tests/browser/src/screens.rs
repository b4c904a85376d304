//! The app's screens as people use them: verbs instead of elements.

use fantoccini::elements::Element;
use fantoccini::key::Key;
use serde_json::json;

use crate::browser::Browser;
use crate::pages::Page;
use crate::roles::Role;
use crate::wait::until;

/// The stages of a set, as they stand in addresses.
pub const STAGES: [&str; 7] = ["set", "parts", "plan", "buy", "fit", "power-up", "record"];

/// The further views of the stages, as they stand in addresses.
pub const VIEWS: [&str; 12] = [
    "set/carry",
    "plan/voltages",
    "plan/supply",
    "buy/basket",
    "buy/carry",
    "fit/leads",
    "fit/old-parts",
    "fit/cans",
    "fit/cleaning",
    "fit/photos",
    "fit/wiring",
    "power-up/lamp",
];

/// What the saved bench lies under in `localStorage`.
pub const KEY: &str = "firstglow/bench";

/// The app in a browser.
pub struct App<'b> {
    /// The page it is on.
    pub page: Page<'b>,
    browser: &'b Browser,
}

impl<'b> App<'b> {
    /// Opens the app on its first screen.
    pub async fn open(browser: &'b Browser) -> Self {
        Self { page: browser.open().await, browser }
    }

    /// Opens the app, begins a set with this sheet and waits until it is saved.
    pub async fn with_sheet(browser: &'b Browser, text: &str) -> Self {
        let app = Self::open(browser).await;
        app.begin("blank").await;
        app.write(text).await;
        app.saved().await;
        app
    }

    /// The app on a page that is open already.
    pub fn on(browser: &'b Browser, page: Page<'b>) -> Self {
        Self { page, browser }
    }

    /// Begins a set: `blank`, or an example by its id.
    pub async fn begin(&self, id: &str) {
        self.page.data("example", id).await.click().await.expect("a choice can be clicked");
        until("the set to open", async || {
            self.page.all_data("screen").await.iter().any(|s| s != "bench").then_some(())
        })
        .await;
    }

    /// Goes to a stage of the open set by its link in the path.
    pub async fn stage(&self, slug: &str) {
        let stage = self.page.data("stage", slug).await;
        let link = self.page.within(stage);
        link.only(Role::Link).await.click().await.expect("a stage can be clicked");
        self.page.data("screen", slug).await;
    }

    /// Goes to a stage or a view of the first set, as a bookmark does.
    pub async fn go(&self, address: &str) {
        let hash = format!("#/set/1/{address}");
        self.browser.js_with("location.hash = arguments[0]", vec![json!(hash)]).await;
        let stage = address.split('/').next().unwrap_or_default();
        self.page.data("screen", stage).await;
        let two_frames = "new Promise((done) =>
            requestAnimationFrame(() => requestAnimationFrame(() => done(true))))";
        self.browser.js_promise(two_frames).await;
    }

    /// Goes to a view of Fit by its link; `slug` is its name in the page.
    pub async fn view_of_fit(&self, name: &str, slug: &str) {
        self.stage("fit").await;
        let views = self.page.role(Role::Navigation, "Views of fit").await;
        self.page.within(views).click(Role::Link, name).await;
        self.page.data("view", slug).await;
    }

    /// Goes back to the bench.
    pub async fn bench(&self) {
        self.page.click(Role::Link, "Firstglow, to the bench").await;
        self.page.data("screen", "bench").await;
    }

    /// Writes a whole sheet, as a paste does.
    pub async fn write(&self, text: &str) {
        self.stage("parts").await;
        self.page.field(SHEET).await;
        self.browser
            .js_with(
                "const area = document.getElementById('sheet-text');
                 area.value = arguments[0];
                 area.dispatchEvent(new InputEvent('input', { bubbles: true }))",
                vec![json!(text)],
            )
            .await;
    }

    /// Brings the row of a part into view, which a long list draws only then.
    pub async fn go_to_part(&self, key: &str) {
        self.page.type_into("Go to part", key).await;
        self.page.press(Key::Enter).await;
        self.page.data("part", key).await;
    }

    /// What the sheet holds.
    pub async fn sheet(&self) -> String {
        self.page.value(SHEET).await
    }

    /// Waits until every change is saved.
    pub async fn saved(&self) {
        self.page.data("saving", "Saved").await;
    }

    /// Drops a file on the page.
    pub async fn drop_file(&self, name: &str, bytes: &[u8]) {
        self.browser
            .js_with(
                "const data = new DataTransfer();
                 data.items.add(new File([Uint8Array.from(arguments[1])], arguments[0]));
                 window.dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }))",
                vec![json!(name), json!(bytes)],
            )
            .await;
    }

    /// Pastes text into what has the focus, as a spreadsheet would give it.
    /// Whether the page took it itself.
    pub async fn paste(&self, text: &str) -> bool {
        let taken = self
            .browser
            .js_with(
                "const data = new DataTransfer();
                 data.setData('text/plain', arguments[0]);
                 return !document.activeElement.dispatchEvent(
                     new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }))",
                vec![json!(text)],
            )
            .await;
        taken.as_bool().expect("a yes or no")
    }

    /// The readings that the open step of the power-up asks for, by their
    /// labels, each with one that is within its limits.
    pub async fn asked_now(&self) -> Vec<(String, String)> {
        let asked = self.browser.js(&format!("{ASKED} return asked(current())")).await;
        let asked: Vec<[String; 3]> = serde_json::from_value(asked).expect("labels and figures");
        asked.into_iter().map(|[label, typed, _]| (label, typed)).collect()
    }

    /// Takes the power-up to the step of this id: reads within limits, gives a
    /// reason where one is asked for, and ticks each step before it.
    pub async fn power_up_to(&self, id: &str) {
        let script = format!(
            "{ASKED}
             const step = current();
             if (!step) return 'none';
             if (step.dataset.step === arguments[0]) return 'here';
             for (const [, typed, name] of asked(step)) {{
               type(step.querySelector(`[data-field='${{name}}'] input`), typed);
             }}
             for (const form of step.querySelectorAll('[data-reason]')) {{
               type(form.querySelector('input'), 'For this test.');
               form.querySelector('button').click();
             }}
             const box = step.querySelector('input[type=checkbox]');
             if (!box.disabled && !box.checked) box.click();
             return 'on'"
        );
        until(&format!("step {id} to open"), async || {
            let said = self.browser.js_with(&script, vec![json!(id)]).await;
            (said.as_str() == Some("here")).then_some(())
        })
        .await;
        self.page.data("step", id).await;
    }

    /// Types a reading of a step, by the name it is kept under.
    pub async fn read_at(&self, step: &str, reading: &str, typed: &str) {
        let script = "const field = document.querySelector(
                `[data-step='${arguments[0]}'] [data-field='${arguments[1]}'] input`);
            field.value = arguments[2];
            field.dispatchEvent(new InputEvent('input', { bubbles: true }))";
        self.browser.js_with(script, vec![json!(step), json!(reading), json!(typed)]).await;
    }

    /// Moves the focus on by Tab until what has it carries the name.
    pub async fn tab_to(&self, name: &str) -> Element {
        for _ in 0..400 {
            self.page.press(Key::Tab).await;
            if self.page.focused().await.contains(name) {
                let focused = self.browser.client().active_element().await;
                return focused.expect("something has the focus");
            }
        }
        panic!("Tab never comes to “{name}”");
    }
}

/// The open step, and the readings it asks for: label, a figure within its
/// limits, and the name it is kept under.
const ASKED: &str = "
    const current = () => document.querySelector('[data-step][aria-current=step]');
    const type = (field, text) => {
      field.value = text;
      field.dispatchEvent(new InputEvent('input', { bubbles: true }));
    };
    const asked = (step) => [...step.querySelectorAll('[data-field]')].flatMap((field) => {
      const label = field.querySelector('label').textContent;
      const limit = label.match(/\\((?:at least |at most )?([-\u{2212}]?[\\d.]+)(?: to [^()]*)? [^()]*\\)$/);
      return limit ? [[label, limit[1].replace('\u{2212}', '-'), field.dataset.field]] : [];
    });
";

/// The label of the text editor.
pub const SHEET: &str = "Parts list, one part a line";
