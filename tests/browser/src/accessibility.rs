//! Checks the page for barriers, by axe.

use serde::Deserialize;

use crate::browser::Browser;
use crate::paths;

/// Runs every rule, best practices included, and keeps what fails.
const RUN: &str = "axe.run(document, { resultTypes: ['violations'] }).then(
  ({ violations }) => violations.map(({ id, impact, help, nodes }) => ({
    id, impact, help, at: nodes.map((node) => node.html) })))";

/// A rule that the page breaks.
#[derive(Clone, Debug, Deserialize)]
pub struct Violation {
    /// The rule.
    pub id: String,
    /// How bad it is, from `minor` to `critical`.
    pub impact: Option<String>,
    /// What the rule demands.
    pub help: String,
    /// The elements that break it.
    pub at: Vec<String>,
}

impl Browser {
    /// The rules that the page breaks as it is now.
    pub async fn violations(&self) -> Vec<Violation> {
        // The driver puts scripts in past the page's policy.
        if self.js("return typeof axe").await == "undefined" {
            self.js(&paths::axe()).await;
        }
        let found = self.js_promise(RUN).await;
        serde_json::from_value(found).expect("axe reports violations")
    }

    /// Fails when the page breaks a rule.
    pub async fn assert_accessible(&self) {
        let violations = self.violations().await;
        assert!(violations.is_empty(), "barriers: {violations:#?}");
    }
}
