//! Opens the built site in a real browser and does what people do.
//!
//! A test is a plain function that calls [`run()`]. It gets a [`Browser`] with a
//! profile of its own and a server of its own for `dist/`, so tests do not
//! meet. When the test ends or panics, the session is closed, the profile is
//! removed and the server stops. A failing test leaves a screenshot in
//! `target/screens/` and its console on standard error.
//!
//! ```no_run
//! use firstglow_browser_tests::{Role, run};
//!
//! run(async |browser| {
//!     let page = browser.open().await;
//!     page.role(Role::Heading, "Firstglow").await;
//!     browser.assert_clean_console().await;
//! });
//! ```
//!
//! Elements are found as people find them, by role and name or by label
//! ([`Page`]), and state by `data-*` attributes; never by CSS class. Nothing
//! sleeps for luck: [`until`] waits for a condition and says which one never
//! came. Chromium, chromedriver and axe-core come with `tools/setup-tests.sh`,
//! Firefox and geckodriver too; a [`Seat`] opens them, and any browser twice on
//! one profile.

#![allow(
    clippy::missing_panics_doc,
    reason = "everything here is called by tests, and a test fails by panicking"
)]

mod accessibility;
mod browser;
pub mod damage;
mod devtools;
mod driver;
mod pages;
mod paths;
mod pictures;
mod processes;
mod roles;
mod run;
mod screens;
pub mod versions;
mod wait;
mod wire;

pub use accessibility::Violation;
pub use browser::{Browser, Entry};
pub use devtools::{DESKTOP, Look, PHONE, Viewport};
pub use driver::Kind;
pub use fantoccini::elements::Element;
pub use fantoccini::key::Key;
pub use pages::Page;
pub use paths::{copy_of_dist, dist};
pub use roles::Role;
pub use run::{Seat, run, run_on};
pub use screens::{App, KEY, SHEET, STAGES, VIEWS};
pub use wait::until;
