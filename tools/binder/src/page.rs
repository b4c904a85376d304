//! Fills marks in the hand-written templates.

use crate::error::{Error, Result};

/// Puts `text` in the place of `mark`, which `file` must hold.
pub(crate) fn fill(
    template: &str,
    file: &'static str,
    mark: &'static str,
    text: &str,
) -> Result<String> {
    if template.contains(mark) {
        Ok(template.replacen(mark, text, 1))
    } else {
        Err(Error::NoMark { file, mark })
    }
}

/// The page with its head and the end of its body filled in.
pub(crate) fn index(template: &str, head: &[String], body: &str) -> Result<String> {
    let page = fill(template, "index.html", "<!--HEAD-->", &head.join("\n  "))?;
    fill(&page, "index.html", "<!--BODY-->", body)
}

/// The tag that holds a content security policy.
pub(crate) fn policy_tag(policy: &str) -> String {
    format!(r#"<meta http-equiv="Content-Security-Policy" content="{policy}">"#)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_is_filled_once() {
        let filled = fill("a __M__ b __M__", "boot.js", "__M__", "x").unwrap();
        assert_eq!(filled, "a x b __M__");
    }

    #[test]
    fn a_missing_mark_is_named_with_its_file() {
        let error = index("<html></html>", &[], "").unwrap_err();
        assert_eq!(error.to_string(), "index.html lacks the mark <!--HEAD-->");
    }
}
