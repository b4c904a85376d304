//! A test from start to end, whichever way it ends.

use std::cell::{OnceCell, RefCell};
use std::fs;
use std::panic::{AssertUnwindSafe, resume_unwind};
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::thread;

use firstglow_loopback::Server;
use futures_util::FutureExt;
use tokio::runtime;

use crate::browser::Browser;
use crate::driver::{Driver, Kind};
use crate::paths;

/// Runs a test on the built site.
pub fn run(test: impl AsyncFnOnce(&Browser)) {
    run_on(&paths::dist(), test);
}

/// Runs a test on the site in `folder`, such as a changed
/// [`copy_of_dist`](crate::copy_of_dist).
pub fn run_on(folder: &Path, test: impl AsyncFnOnce(&Browser)) {
    Seat::on(folder, Kind::Chromium).run(test);
}

/// A profile and an address, at which a browser can be opened again and again;
/// both are gone with it.
pub struct Seat {
    kind: Kind,
    folder: PathBuf,
    profile: PathBuf,
    /// It runs from the first run on: its address is the origin of what the
    /// browser keeps, and a port that is given up may be another's next.
    server: OnceCell<Rc<RefCell<Server>>>,
}

impl Seat {
    /// One for the built site.
    pub fn new(kind: Kind) -> Self {
        Self::on(&paths::dist(), kind)
    }

    fn on(folder: &Path, kind: Kind) -> Self {
        let profile = paths::scratch("profile");
        Self { kind, folder: folder.to_owned(), profile, server: OnceCell::new() }
    }

    /// Opens the browser, runs a test and closes the browser, unless the test
    /// has killed it.
    pub fn run(&self, test: impl AsyncFnOnce(&Browser)) {
        runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("the system grants what the test needs")
            .block_on(self.attend(test));
    }

    async fn attend(&self, test: impl AsyncFnOnce(&Browser)) {
        let server = self.server.get_or_init(|| {
            let server = Server::start(&*self.folder, 0).expect("some port is free");
            Rc::new(RefCell::new(server))
        });
        let driver = Driver::start(self.kind);
        let client = driver.session(&self.profile).await;
        let browser =
            Browser::new(client.clone(), Rc::clone(server), self.profile.clone(), self.kind);

        let outcome = AssertUnwindSafe(test(&browser)).catch_unwind().await;
        if outcome.is_err() {
            let name = thread::current().name().unwrap_or("test").to_owned();
            // The test's own panic is the one to report.
            let _ = AssertUnwindSafe(browser.testify(&name)).catch_unwind().await;
        }

        // A session that is not closed leaves its browser running.
        let closed = client.close().await;
        drop(driver);
        if let Err(panic) = outcome {
            resume_unwind(panic);
        }
        assert!(closed.is_ok() || browser.was_killed(), "the session does not close: {closed:?}");
    }
}

impl Drop for Seat {
    fn drop(&mut self) {
        // The next run takes another folder, so one that resists does no harm.
        let _ = fs::remove_dir_all(&self.profile);
    }
}
