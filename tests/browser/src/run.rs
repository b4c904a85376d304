//! A test from start to end, whichever way it ends.

use std::fs;
use std::panic::{AssertUnwindSafe, resume_unwind};
use std::path::Path;
use std::thread;

use firstglow_loopback::Server;
use futures_util::FutureExt;
use tokio::runtime;

use crate::browser::Browser;
use crate::driver::Driver;
use crate::paths;

/// Runs a test on the built site.
pub fn run(test: impl AsyncFnOnce(&Browser)) {
    run_on(&paths::dist(), test);
}

/// Runs a test on the site in `folder`, such as a changed
/// [`copy_of_dist`](crate::copy_of_dist).
pub fn run_on(folder: &Path, test: impl AsyncFnOnce(&Browser)) {
    runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("the system grants what the test needs")
        .block_on(attend(folder, test));
}

async fn attend(folder: &Path, test: impl AsyncFnOnce(&Browser)) {
    let server = Server::start(folder, 0).expect("some port is free");
    let driver = Driver::start();
    let profile = paths::scratch("profile");
    let client = driver.session(&profile).await;
    let browser = Browser::new(client.clone(), server, profile.clone());

    let outcome = AssertUnwindSafe(test(&browser)).catch_unwind().await;
    if outcome.is_err() {
        let name = thread::current().name().unwrap_or("test").to_owned();
        // The test's own panic is the one to report.
        let _ = AssertUnwindSafe(browser.testify(&name)).catch_unwind().await;
    }

    // A session that is not closed leaves its browser running.
    let closed = client.close().await;
    drop(driver);
    // The next run takes another folder, so one that resists does no harm.
    let _ = fs::remove_dir_all(profile);
    if let Err(panic) = outcome {
        resume_unwind(panic);
    }
    closed.expect("the session closes");
}
