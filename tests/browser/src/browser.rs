//! A browser with the site in front of it.

use std::cell::{Cell, RefCell};
use std::fs;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use fantoccini::Client;
use fantoccini::wd::{PrintConfiguration, WindowHandle};
use firstglow_loopback::Server;
use serde::Deserialize;
use serde_json::{Value, json};

use crate::driver::Kind;
use crate::pages::Page;
use crate::processes;
use crate::wait::until;
use crate::wire::Extra;
use crate::{driver, paths};

/// A line of the browser's console.
#[derive(Clone, Debug, Deserialize)]
pub struct Entry {
    /// `SEVERE`, `WARNING`, `INFO` or `DEBUG`.
    pub level: String,
    /// What was logged, with the place it came from.
    pub message: String,
}

/// One browser, one profile, one server.
pub struct Browser {
    client: Client,
    server: Rc<RefCell<Server>>,
    origin: String,
    profile: PathBuf,
    kind: Kind,
    killed: Cell<bool>,
}

impl Browser {
    pub(crate) fn new(
        client: Client,
        server: Rc<RefCell<Server>>,
        profile: PathBuf,
        kind: Kind,
    ) -> Self {
        let origin = server.borrow().url();
        let killed = Cell::new(false);
        Self { client, server, origin, profile, kind, killed }
    }

    /// Kills all processes of the browser at once, as a machine does that runs
    /// out of memory. Nothing can be asked of it afterwards.
    pub fn kill(&self) {
        let told = self.client.capabilities().expect("a session has capabilities");
        let process = ["goog:processID", "moz:processID"].iter().find_map(|name| told.get(*name));
        let process = process.and_then(Value::as_u64).expect("the driver tells the process");
        self.killed.set(true);
        processes::kill_all_of(process);
    }

    pub(crate) fn was_killed(&self) -> bool {
        self.killed.get()
    }

    /// The client library's view, for what is not wrapped here.
    pub fn client(&self) -> &Client {
        &self.client
    }

    /// The address of the start page, which ends in a slash.
    pub fn origin(&self) -> &str {
        &self.origin
    }

    /// Opens the start page and waits until the app runs.
    pub async fn open(&self) -> Page<'_> {
        self.open_at("").await
    }

    /// Opens the app with something added to its address, such as `#tests`.
    pub async fn open_at(&self, rest: &str) -> Page<'_> {
        self.goto(&format!("{}{rest}", self.origin)).await;
        self.started().await
    }

    /// Loads the page anew and waits until the app runs.
    pub async fn reload(&self) -> Page<'_> {
        let reloaded = self.client.refresh().await;
        reloaded.expect("the page loads anew");
        self.started().await
    }

    /// Opens a page from disk and waits until the app runs.
    pub async fn open_file(&self, path: &Path) -> Page<'_> {
        self.goto(&format!("file://{}", path.display())).await;
        self.started().await
    }

    /// Opens an address and waits for nothing more than the page.
    pub async fn goto(&self, address: &str) {
        let opened = self.client.goto(address).await;
        opened.unwrap_or_else(|error| panic!("{address} does not open: {error}"));
    }

    /// The page as it is now.
    pub fn page(&self) -> Page<'_> {
        Page::whole(self)
    }

    /// Waits until all of the app runs, its later pieces too.
    pub async fn started(&self) -> Page<'_> {
        let page = self.usable().await;
        self.workshop_is("open").await;
        page
    }

    /// Waits until the later piece of the app is `open` or `shut`.
    pub async fn workshop_is(&self, word: &str) {
        until(&format!("the workshop to be {word}"), async || {
            let state = self.js("return document.documentElement.dataset.workshop ?? null").await;
            (state == word).then_some(())
        })
        .await;
    }

    /// Waits until the first screen can be used, as the page says in `data-boot`.
    pub async fn usable(&self) -> Page<'_> {
        let state = "return document.documentElement.dataset.boot ?? null";
        until("the app to start", async || {
            let state = self.client.execute(state, vec![]).await.ok()?;
            assert_ne!(state, "failed", "the app could not start");
            (state == "ready").then_some(())
        })
        .await;
        self.page()
    }

    /// Waits until the service worker has stored the whole site.
    pub async fn kept_for_offline_use(&self) {
        until("the site to be kept for offline use", async || {
            let state = self.js("return document.documentElement.dataset.offline ?? null").await;
            assert_ne!(state, "unavailable", "no service worker");
            (state == "ready").then_some(())
        })
        .await;
    }

    /// Runs JavaScript in the page. It gives a value back with `return`.
    pub async fn js(&self, script: &str) -> Value {
        self.js_with(script, vec![]).await
    }

    /// Runs JavaScript that finds `values` in its `arguments`.
    pub async fn js_with(&self, script: &str, values: Vec<Value>) -> Value {
        let result = self.client.execute(script, values).await;
        result.unwrap_or_else(|error| panic!("`{script}` fails: {error}"))
    }

    /// The value of a promise, given as a JavaScript expression.
    pub async fn js_promise(&self, expression: &str) -> Value {
        let script = format!(
            "const done = arguments[arguments.length - 1];
             Promise.resolve({expression}).then(
               (value) => done({{ value }}), (error) => done({{ error: String(error) }}))"
        );
        let result = self.client.execute_async(&script, vec![]).await;
        let result = result.unwrap_or_else(|error| panic!("`{expression}` fails: {error}"));
        assert!(result.get("error").is_none(), "`{expression}` fails: {result}");
        result.get("value").cloned().unwrap_or_default()
    }

    /// What the console got since it was last read.
    pub async fn console(&self) -> Vec<Entry> {
        let log = self.client.issue_cmd(Extra::log("browser")).await;
        let log = log.expect("the console is readable");
        serde_json::from_value(log).expect("log entries have a level and a message")
    }

    /// Fails when the console got a warning or an error since it was last read.
    pub async fn assert_clean_console(&self) {
        let mut entries = self.console().await;
        entries.retain(|entry| matches!(entry.level.as_str(), "SEVERE" | "WARNING"));
        assert!(entries.is_empty(), "the console is not clean: {entries:#?}");
    }

    /// The addresses that the page asked for since this was last called.
    pub async fn requests(&self) -> Vec<String> {
        let log = self.client.issue_cmd(Extra::log("performance")).await;
        let log = log.expect("the network log is readable");
        let entries: Vec<Entry> = serde_json::from_value(log).expect("entries have a message");
        entries
            .iter()
            .filter_map(|entry| {
                let event: Value = serde_json::from_str(&entry.message).ok()?;
                let event = &event["message"];
                let address = event["params"]["request"]["url"].as_str()?;
                // The empty tab that the browser starts with is the browser's own.
                let ours = !address.starts_with("chrome:");
                (ours && event["method"] == "Network.requestWillBeSent").then(|| address.to_owned())
            })
            .collect()
    }

    /// Stops the server: from here on there is no network.
    pub fn go_offline(&self) {
        self.server.borrow_mut().stop();
    }

    /// Takes up the server again at the same address, with another folder if
    /// the test wants to publish a new version.
    pub fn go_online(&self, folder: &Path) {
        let mut server = self.server.borrow_mut();
        server.stop();
        *server = Server::start(folder, server.port()).expect("the port is still free");
    }

    /// What `localStorage` holds under a key.
    pub async fn stored(&self, key: &str) -> Option<String> {
        let value =
            self.js_with("return localStorage.getItem(arguments[0])", vec![json!(key)]).await;
        value.as_str().map(str::to_owned)
    }

    /// Puts a value into `localStorage` behind the app's back.
    pub async fn store(&self, key: &str, value: &str) {
        let values = vec![json!(key), json!(value)];
        self.js_with("localStorage.setItem(arguments[0], arguments[1])", values).await;
    }

    /// What the second copy of the bench is, in the browser's database.
    pub async fn on_disk(&self) -> Option<String> {
        let found = self.js_promise(&in_database("store.get('bench')")).await;
        found.as_str().map(str::to_owned)
    }

    /// Puts a text in the place of the second copy, behind the app's back.
    pub async fn lay_on_disk(&self, text: &str) {
        let text = json!(text);
        self.js_promise(&in_database(&format!("store.put({text}, 'bench')"))).await;
    }

    /// What the second copies lie under, those set aside too.
    pub async fn keys_on_disk(&self) -> Vec<String> {
        let keys = self.js_promise(&in_database("store.getAllKeys()")).await;
        serde_json::from_value(keys).expect("keys are text")
    }

    /// The page as paper, in a PDF.
    pub async fn pdf(&self) -> Vec<u8> {
        let printed = self.client.print(PrintConfiguration::default()).await;
        printed.expect("the page prints")
    }

    /// Opens the app in another tab and goes there. The tab that was left is
    /// returned, to be gone back to.
    pub async fn other_tab(&self, rest: &str) -> WindowHandle {
        let before = self.client.window().await.expect("there is a tab");
        let opened = self.client.new_window(true).await.expect("another tab opens");
        self.client.switch_to_window(opened.handle).await.expect("the tab is there");
        self.open_at(rest).await;
        before
    }

    /// Ends the process of a tab as the system would, and goes to another.
    pub async fn kill_tab(&self, dies: WindowHandle, other: WindowHandle) {
        self.go_to_tab(dies).await;
        let crash = Extra::devtools("Page.crash", &json!({}));
        // The tab dies with the command unanswered.
        let _ = self.client.issue_cmd(crash).await;
        self.go_to_tab(other).await;
    }

    /// Goes to a tab; the one that was left is returned.
    pub async fn go_to_tab(&self, tab: WindowHandle) -> WindowHandle {
        let before = self.client.window().await.expect("there is a tab");
        self.client.switch_to_window(tab).await.expect("the tab is there");
        before
    }

    /// All keys in `localStorage`.
    pub async fn stored_keys(&self) -> Vec<String> {
        let keys = self.js("return Object.keys(localStorage)").await;
        serde_json::from_value(keys).expect("keys are text")
    }

    /// Waits for a file that the page saves, and returns its content.
    pub async fn downloaded(&self, name: &str) -> Vec<u8> {
        // A file takes its final name when it is complete.
        let path = driver::downloads(&self.profile).join(name);
        until(&format!("the download of {name}"), async || fs::read(&path).ok()).await
    }

    /// Leaves what there is to see of a failed test.
    pub(crate) async fn testify(&self, test: &str) {
        if !self.kind.is_firefox() {
            for Entry { level, message } in self.console().await {
                eprintln!("console: {level} {message}");
            }
        }
        let picture = self.client.screenshot().await;
        let picture = picture.expect("the page can be pictured");
        let path = paths::screen(&format!("failed-{test}"), "png");
        fs::write(&path, picture).expect("the build folder is writable");
        eprintln!("screenshot: {}", path.display());
    }
}

/// A promise of what a request to the store of second copies brings.
fn in_database(request: &str) -> String {
    format!(
        "new Promise((done, failed) => {{
           const asked = indexedDB.open('firstglow-bench');
           asked.onerror = () => failed(asked.error);
           asked.onsuccess = () => {{
             const change = asked.result.transaction('bench', 'readwrite');
             const store = change.objectStore('bench');
             const request = {request};
             change.onabort = () => failed(change.error);
             change.oncomplete = () => {{ asked.result.close(); done(request.result ?? null); }};
           }};
         }})"
    )
}
