//! Damage to the files of the app, on the server and in the browser's caches,
//! and what the page says of it.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use crate::browser::Browser;
use crate::paths::{copy_of_dist, dist};
use crate::versions::sha256;
use crate::wait::until;

/// A copy of the site that can be damaged and mended.
#[derive(Debug)]
pub struct Site(pub PathBuf);

impl Site {
    /// One as it was built.
    pub fn new() -> Self {
        Self(copy_of_dist())
    }

    /// Puts a content in the place of a file's.
    pub fn write(&self, name: &str, content: &[u8]) {
        fs::write(self.0.join(name), content).expect("the copy is writable");
    }

    /// The content of a file.
    pub fn read(&self, name: &str) -> Vec<u8> {
        fs::read(self.0.join(name)).expect("the copy is readable")
    }

    /// Cuts a file in half.
    pub fn cut(&self, name: &str) {
        let content = self.read(name);
        self.write(name, &content[..content.len() / 2]);
    }

    /// Puts all files back as they were built.
    pub fn mend(&self) {
        for entry in fs::read_dir(dist()).expect("dist/ is readable").flatten() {
            fs::copy(entry.path(), self.0.join(entry.file_name())).expect("the copy is writable");
        }
    }
}

impl Default for Site {
    fn default() -> Self {
        Self::new()
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// How the start went: `ready`, `failed`, or nothing that was ever said.
pub async fn start_of(browser: &Browser) -> Value {
    let said = "return document.documentElement.dataset.boot ?? null";
    until("the start to come to an end", async || {
        let said = browser.client().execute(said, vec![]).await.ok()?;
        (said == "ready" || said == "failed").then_some(said)
    })
    .await
}

/// Why the page of a failed start says that it failed.
pub async fn cause(browser: &Browser) -> String {
    browser.page().data("screen", "failure").await;
    let cause = browser.js("return document.querySelector('[data-cause]').dataset.cause").await;
    cause.as_str().unwrap_or_default().to_owned()
}

/// The names of files in caches whose content is not that of the build.
pub async fn damaged_in_caches(browser: &Browser, site: &Path) -> Vec<String> {
    let lengths = browser
        .js_promise(
            "caches.keys().then(async (keys) => {
               const found = [];
               for (const key of keys) {
                 const cache = await caches.open(key);
                 for (const request of await cache.keys()) {
                   const bytes = await (await cache.match(request)).arrayBuffer();
                   const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
                   found.push([new URL(request.url).pathname.slice(1),
                     btoa(String.fromCharCode(...digest))]);
                 }
               }
               return found;
             })",
        )
        .await;
    let kept: Vec<(String, String)> = serde_json::from_value(lengths).expect("pairs of text");
    let built = |name: &str| {
        let content = fs::read(site.join(name)).unwrap_or_default();
        sha256(&content)
    };
    kept.into_iter().filter(|(name, is)| built(name) != *is).map(|(name, _)| name).collect()
}

/// Waits until the app runs, whatever the page says before it is left.
pub async fn runs(browser: &Browser) {
    let said = "return document.documentElement.dataset.boot ?? null";
    until("the app to run", async || {
        (browser.client().execute(said, vec![]).await.ok()? == "ready").then_some(())
    })
    .await;
    browser.workshop_is("open").await;
}

/// Reloads, twice at most, until the app runs and is kept for offline use.
pub async fn heals(browser: &Browser, what: &str) {
    for reloads in 1..=2 {
        browser.client().refresh().await.expect("the page loads anew");
        if start_of(browser).await == "ready" {
            browser.workshop_is("open").await;
            if reloads == 2
                || browser.js("return navigator.serviceWorker.controller !== null").await == true
            {
                return;
            }
        }
    }
    assert_eq!(start_of(browser).await, "ready", "{what} does not heal");
}

/// It opens from what is kept alone.
pub async fn opens_offline(browser: &Browser) {
    browser.kept_for_offline_use().await;
    browser.go_offline();
    browser.reload().await;
}

/// Runs the update check and says what became of a newer worker.
pub async fn update(browser: &Browser) -> Value {
    browser
        .js_promise(
            "navigator.serviceWorker.ready.then(async (registration) => {
               try { await registration.update(); } catch { return 'refused'; }
               const worker = registration.installing ?? registration.waiting;
               if (!worker) return 'refused';
               while (worker.state === 'installing') await new Promise((done) =>
                 worker.addEventListener('statechange', done, { once: true }));
               return worker.state === 'redundant' ? 'refused' : worker.state;
             })",
        )
        .await
}

/// Cuts a file that lies in the caches, but for those of a newer version.
pub async fn cut_in_caches(browser: &Browser, name: &str) {
    let name = json!(name);
    browser
        .js_promise(&format!(
            "caches.keys().then(async (keys) => {{
               for (const key of keys.filter((key) => !key.includes('@other-'))) {{
                 const cache = await caches.open(key);
                 const found = await cache.match({name});
                 if (!found) continue;
                 const bytes = await found.arrayBuffer();
                 await cache.put({name}, new Response(bytes.slice(0, bytes.byteLength / 2),
                   {{ headers: found.headers }}));
               }}
               return null;
             }})"
        ))
        .await;
}
