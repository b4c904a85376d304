//! The chromedriver process and the sessions it gives.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::{env, io, thread};

use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Map, Value, json};

/// A running chromedriver, ended when dropped.
pub(crate) struct Driver {
    process: Child,
    url: String,
}

impl Driver {
    /// Starts chromedriver on a free port, which it chooses and prints. The
    /// port must be free for both kinds of address; where another takes it
    /// meanwhile it ends, and chooses again.
    pub(crate) fn start() -> Self {
        (0..5).find_map(|_| Self::try_start()).expect("chromedriver prints its port")
    }

    fn try_start() -> Option<Self> {
        let mut process = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver is on the PATH: `tools/setup-tests.sh`");
        let output = process.stdout.take().expect("the output is piped");
        let mut lines = BufReader::new(output).lines();
        let Some(port) = lines.find_map(|line| port_in(&line.ok()?)) else {
            let _: io::Result<_> = process.wait();
            return None;
        };
        // Read on, or else it would stop at a full pipe.
        thread::spawn(move || lines.for_each(drop));
        Some(Self { process, url: format!("http://127.0.0.1:{port}") })
    }

    /// A new browser with an empty profile in `profile`.
    pub(crate) async fn session(&self, profile: &Path) -> Client {
        ClientBuilder::new(HttpConnector::new())
            .capabilities(capabilities(profile))
            .connect(&self.url)
            .await
            .expect("chromedriver opens Chromium")
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
    let (_, rest) = line.split_once("successfully on port ")?;
    rest.trim_end_matches('.').parse().ok()
}

fn capabilities(profile: &Path) -> Map<String, Value> {
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
    if let Some(binary) = env::var_os("CHROMIUM") {
        chrome["binary"] = json!(binary.to_string_lossy());
    }
    let mut all = Map::new();
    all.insert("browserName".to_owned(), json!("chrome"));
    all.insert("goog:chromeOptions".to_owned(), chrome);
    all.insert("goog:loggingPrefs".to_owned(), json!({ "browser": "ALL", "performance": "ALL" }));
    all
}

/// Where the browser of a profile saves files.
pub(crate) fn downloads(profile: &Path) -> std::path::PathBuf {
    profile.join("downloads")
}
