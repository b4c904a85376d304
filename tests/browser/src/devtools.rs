//! What the browser's protocol for developers can do: sizes, looks, pictures.

use std::fs;
use std::path::PathBuf;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

use crate::browser::Browser;
use crate::paths;
use crate::wire::Extra;

/// A size of the page in CSS pixels.
#[derive(Clone, Copy, Debug)]
pub struct Viewport {
    /// Across.
    pub width: u32,
    /// Down.
    pub height: u32,
}

/// A telephone held upright.
pub const PHONE: Viewport = Viewport { width: 390, height: 844 };

/// A window on a small desktop.
pub const DESKTOP: Viewport = Viewport { width: 1280, height: 900 };

/// What the page is to believe of the person's wishes. Dark and paper are off
/// unless asked for.
#[derive(Clone, Copy, Debug, Default)]
pub struct Look {
    /// Prefers dark colours, instead of light ones.
    pub dark: bool,
    /// Wants no movement.
    pub still: bool,
    /// Shows the page with its styles for print.
    pub paper: bool,
}

impl Browser {
    /// Sends a command of the protocol.
    pub async fn devtools(&self, command: &str, parameters: Value) -> Value {
        let sent = Extra::devtools(command, &parameters);
        let answer = self.client().issue_cmd(sent).await;
        answer.unwrap_or_else(|error| panic!("{command} fails: {error}"))
    }

    /// Gives the page another size. Unlike a window it can be any size.
    pub async fn resize(&self, to: Viewport) {
        let metrics = json!({
            "width": to.width,
            "height": to.height,
            "deviceScaleFactor": 1,
            "mobile": false,
        });
        self.devtools("Emulation.setDeviceMetricsOverride", metrics).await;
    }

    /// Clears what pages of the site have stored, and keeps the site itself.
    pub async fn forget(&self) {
        let origin = self.origin().trim_end_matches('/');
        let what = json!({ "origin": origin, "storageTypes": "local_storage,indexeddb" });
        self.devtools("Storage.clearDataForOrigin", what).await;
    }

    /// Tells the page what the person prefers.
    pub async fn look(&self, look: Look) {
        let scheme = if look.dark { "dark" } else { "light" };
        let motion = if look.still { "reduce" } else { "no-preference" };
        let media = json!({
            "media": if look.paper { "print" } else { "" },
            "features": [
                { "name": "prefers-color-scheme", "value": scheme },
                { "name": "prefers-reduced-motion", "value": motion },
            ],
        });
        self.devtools("Emulation.setEmulatedMedia", media).await;
    }

    /// Whether something sticks out sideways, so that the page scrolls.
    pub async fn overflows(&self) -> bool {
        let wider = "const page = document.scrollingElement;
                     return page.scrollWidth > page.clientWidth";
        self.js(wider).await == true
    }

    /// Pictures what is in view, into `target/screens/NAME.png`.
    pub async fn screenshot(&self, name: &str) -> PathBuf {
        self.picture(name, false).await
    }

    /// Pictures the page from top to bottom, into `target/screens/NAME.png`.
    pub async fn screenshot_full(&self, name: &str) -> PathBuf {
        self.picture(name, true).await
    }

    async fn picture(&self, name: &str, whole: bool) -> PathBuf {
        // A page pictured whole is laid out as wide as its window; a bar would
        // take from that.
        self.devtools("Emulation.setScrollbarsHidden", json!({ "hidden": whole })).await;
        let how = json!({ "format": "png", "captureBeyondViewport": whole });
        let answer = self.devtools("Page.captureScreenshot", how).await;
        let path = paths::screen(name, "png");
        fs::write(&path, data(&answer)).expect("the build folder is writable");
        path
    }

    /// Prints the page into `target/screens/NAME.pdf`, on the paper that its
    /// style sheet names or else on A4.
    pub async fn print(&self, name: &str) -> PathBuf {
        let how = json!({
            "preferCSSPageSize": true,
            "printBackground": false,
            // A4 in inches, by ISO 216.
            "paperWidth": 210.0 / 25.4,
            "paperHeight": 297.0 / 25.4,
        });
        let answer = self.devtools("Page.printToPDF", how).await;
        let path = paths::screen(name, "pdf");
        fs::write(&path, data(&answer)).expect("the build folder is writable");
        path
    }
}

fn data(answer: &Value) -> Vec<u8> {
    let text = answer["data"].as_str().expect("the answer holds data");
    STANDARD.decode(text).expect("the data is base64")
}
