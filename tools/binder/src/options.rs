//! What the command line asks for.

use crate::error::{Error, Result};

/// The port of `serve`. Always the same one, because the browser keeps saved
/// work by address and port.
pub(crate) const DEFAULT_PORT: u16 = 8484;

/// One thing to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Action {
    Build,
    Serve { port: u16 },
    SingleFile,
    Size,
}

/// Reads the arguments that follow the program's name.
pub(crate) fn parse(arguments: impl IntoIterator<Item = String>) -> Result<Action> {
    let arguments: Vec<String> = arguments.into_iter().collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["build"] => Ok(Action::Build),
        ["single-file"] => Ok(Action::SingleFile),
        ["size"] => Ok(Action::Size),
        ["serve"] => Ok(Action::Serve { port: DEFAULT_PORT }),
        ["serve", "--port", port] => match port.parse() {
            Ok(port) => Ok(Action::Serve { port }),
            Err(_) => Err(Error::Port { given: (*port).to_owned() }),
        },
        _ => Err(Error::Usage),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(line: &str) -> Result<Action> {
        parse(line.split_whitespace().map(str::to_owned))
    }

    #[test]
    fn each_action_is_read() {
        let table = [
            ("build", Action::Build),
            ("single-file", Action::SingleFile),
            ("size", Action::Size),
            ("serve", Action::Serve { port: DEFAULT_PORT }),
            ("serve --port 9000", Action::Serve { port: 9000 }),
        ];
        for (line, action) in table {
            assert_eq!(parsed(line).unwrap(), action, "{line}");
        }
    }

    #[test]
    fn anything_else_is_answered_with_the_usage() {
        for line in ["", "bild", "build now", "serve 9000", "serve --port"] {
            assert!(matches!(parsed(line), Err(Error::Usage)), "{line}");
        }
    }

    #[test]
    fn a_port_that_is_no_port_is_named() {
        let message = parsed("serve --port 70000").unwrap_err().to_string();
        assert_eq!(message, "70000 is not a port: give a number from 0 to 65535");
    }
}
