//! The driver process and the sessions it gives.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::{env, io, thread};

use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Map, Value, json};

use crate::paths;

/// Which browser, and how it is opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Chromium.
    Chromium,
    /// Chromium with a private window.
    ChromiumPrivate,
    /// Firefox.
    Firefox,
    /// Firefox with private windows alone.
    FirefoxPrivate,
}

impl Kind {
    /// Whether it is a Firefox.
    pub fn is_firefox(self) -> bool {
        matches!(self, Self::Firefox | Self::FirefoxPrivate)
    }

    fn driver(self) -> Command {
        if self.is_firefox() {
            let mut driver = Command::new(paths::geckodriver());
            driver.args(["--port=0", "--websocket-port=0"]);
            driver
        } else {
            let mut driver = Command::new("chromedriver");
            driver.arg("--port=0");
            driver
        }
    }

    fn capabilities(self, profile: &Path) -> Map<String, Value> {
        if self.is_firefox() { firefox(self, profile) } else { chromium(self, profile) }
    }
}

/// A running driver, ended when dropped.
pub(crate) struct Driver {
    process: Child,
    url: String,
    kind: Kind,
}

impl Driver {
    /// Starts a driver on a free port, which it chooses and prints. The port
    /// must be free for both kinds of address; where another takes it meanwhile
    /// it ends, and chooses again.
    pub(crate) fn start(kind: Kind) -> Self {
        (0..5).find_map(|_| Self::try_start(kind)).expect("the driver prints its port")
    }

    fn try_start(kind: Kind) -> Option<Self> {
        let mut process = kind
            .driver()
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the driver is there: `tools/setup-tests.sh`");
        let output = process.stdout.take().expect("the output is piped");
        let mut lines = BufReader::new(output).lines();
        let Some(port) = lines.find_map(|line| port_in(&line.ok()?)) else {
            let _: io::Result<_> = process.wait();
            return None;
        };
        // Read on, or else it would stop at a full pipe.
        thread::spawn(move || lines.for_each(drop));
        Some(Self { process, url: format!("http://127.0.0.1:{port}"), kind })
    }

    /// A new browser with the profile in `profile`, which is made where there
    /// is none.
    pub(crate) async fn session(&self, profile: &Path) -> Client {
        std::fs::create_dir_all(profile).expect("the build folder is writable");
        ClientBuilder::new(HttpConnector::new())
            .capabilities(self.kind.capabilities(profile))
            .connect(&self.url)
            .await
            .unwrap_or_else(|error| panic!("the driver opens {:?}: {error}", self.kind))
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        // Already gone is as good.
        let _: io::Result<()> = self.process.kill();
        let _ = self.process.wait();
    }
}

fn port_in(line: &str) -> Option<u16> {
    let (_, rest) = line
        .split_once("successfully on port ")
        .or_else(|| line.split_once("Listening on 127.0.0.1:"))?;
    rest.trim_end_matches('.').parse().ok()
}

fn chromium(kind: Kind, profile: &Path) -> Map<String, Value> {
    let mut chrome = json!({
        "args": [
            "--headless",
            // The tests may run as root, where there is no sandbox; all that
            // this browser ever opens is the site itself.
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--disable-quic",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--no-first-run",
            // Nothing but the site is there to be found.
            "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
            "--window-size=1280,900",
            format!("--user-data-dir={}", profile.display()),
        ],
        "prefs": {
            "download.default_directory": downloads(profile),
            "download.prompt_for_download": false,
        },
    });
    if kind == Kind::ChromiumPrivate {
        chrome["args"].as_array_mut().expect("a list").push(json!("--incognito"));
    }
    if let Some(binary) = env::var_os("CHROMIUM") {
        chrome["binary"] = json!(binary.to_string_lossy());
    }
    let mut all = Map::new();
    all.insert("browserName".to_owned(), json!("chrome"));
    all.insert("goog:chromeOptions".to_owned(), chrome);
    all.insert("goog:loggingPrefs".to_owned(), json!({ "browser": "ALL", "performance": "ALL" }));
    all
}

fn firefox(kind: Kind, profile: &Path) -> Map<String, Value> {
    let mut firefox = json!({
        "args": ["-headless", "-profile", profile, "-width", "1280", "-height", "900"],
        "prefs": {
            "browser.download.dir": downloads(profile),
            "browser.download.folderList": 2,
            "browser.privatebrowsing.autostart": kind == Kind::FirefoxPrivate,
            // Nothing but the site is there to be found.
            "network.proxy.type": 1,
            "network.proxy.http": "127.0.0.1",
            "network.proxy.http_port": 9,
            "network.proxy.ssl": "127.0.0.1",
            "network.proxy.ssl_port": 9,
            "network.proxy.no_proxies_on": "127.0.0.1",
        },
    });
    if let Some(binary) = env::var_os("FIREFOX") {
        firefox["binary"] = json!(binary.to_string_lossy());
    } else if let Some(binary) = paths::on_path("firefox-esr") {
        firefox["binary"] = json!(binary);
    }
    let mut all = Map::new();
    all.insert("browserName".to_owned(), json!("firefox"));
    all.insert("moz:firefoxOptions".to_owned(), firefox);
    all
}

/// Where the browser of a profile saves files.
pub(crate) fn downloads(profile: &Path) -> PathBuf {
    profile.join("downloads")
}
