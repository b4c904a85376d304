//! The few driver commands that the client library has no function for.

use fantoccini::wd::WebDriverCompatibleCommand;
use http::Method;
use serde_json::{Value, json};
use url::{ParseError, Url};

/// A command below the session's address.
#[derive(Debug)]
pub(crate) struct Extra {
    path: String,
    body: Option<Value>,
}

impl Extra {
    /// What was logged since it was last asked for: `browser` or `performance`.
    pub(crate) fn log(kind: &str) -> Self {
        Self { path: "se/log".to_owned(), body: Some(json!({ "type": kind })) }
    }

    /// A command of the browser's own protocol for developers.
    pub(crate) fn devtools(command: &str, parameters: &Value) -> Self {
        Self {
            path: "goog/cdp/execute".to_owned(),
            body: Some(json!({ "cmd": command, "params": parameters })),
        }
    }

    /// The name that the browser tells to assistive technology.
    pub(crate) fn label_of(element: &str) -> Self {
        Self { path: format!("element/{element}/computedlabel"), body: None }
    }
}

impl WebDriverCompatibleCommand for Extra {
    fn endpoint(&self, base: &Url, session: Option<&str>) -> Result<Url, ParseError> {
        base.join(&format!("session/{}/{}", session.unwrap_or_default(), self.path))
    }

    fn method_and_body(&self, _: &Url) -> (Method, Option<String>) {
        match &self.body {
            Some(body) => (Method::POST, Some(body.to_string())),
            None => (Method::GET, None),
        }
    }
}
