//! Gives the compiled app its JavaScript glue, and shrinks it where it can.

use std::fs;
use std::path::Path;
use std::process::Command;

use firstglow_pieces::Piece;
use wasm_bindgen_cli_support::{Bindgen, Output};

use crate::error::{Error, Result};
use crate::workspace::Workspace;

/// The one version of wasm-opt that is trusted. The optimiser must understand
/// everything that the compiler emits: an older one has been seen to succeed
/// and leave an app that dies at start-up.
const WASM_OPT: &str = "wasm-opt version 132";

/// How the glue is to be loaded.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Glue {
    /// An ES module with a default export; the app comes in pieces.
    Module,
    /// A plain script that defines `wasm_bindgen`; the app comes whole.
    Script,
}

/// The app as a browser takes it.
#[derive(Debug)]
pub(crate) struct App {
    pub glue: String,
    /// All of it, or what is needed at first.
    pub wasm: Vec<u8>,
    /// What is fetched later.
    pub later: Vec<Piece>,
}

/// Binds the wasm at `path`.
pub(crate) fn app(workspace: &Workspace, path: &Path, glue: Glue) -> Result<App> {
    let wasm = fs::read(path).map_err(Error::reading(path))?;
    let (first, mut later) = match glue {
        Glue::Module => firstglow_pieces::apart(&workspace.target, &wasm)?,
        Glue::Script => (firstglow_pieces::whole(&wasm)?, Vec::new()),
    };
    let mut bound =
        generate(first, glue).map_err(|error| Error::Bind { message: format!("{error:#}") })?;
    // A crate that could bring scripts but brings none is listed as well.
    let inline = bound.snippets().iter();
    let foreign: Vec<&str> = inline
        .filter(|(_, scripts)| !scripts.is_empty())
        .map(|(name, _)| name)
        .chain(bound.local_modules().keys())
        .map(String::as_str)
        .collect();
    if !foreign.is_empty() {
        return Err(Error::Snippets { names: foreign.join(", ") });
    }
    remove_split_marks(&mut bound);
    let wasm = bound.wasm_mut().emit_wasm();
    for piece in &mut later {
        piece.wasm = optimised(&workspace.target, std::mem::take(&mut piece.wasm))?;
    }
    Ok(App { glue: bound.js().to_owned(), wasm: optimised(&workspace.target, wasm)?, later })
}

/// Takes out what told that the wasm can be split. The marks are named after
/// the folder that cargo keeps crates in, so that the bytes would differ from
/// machine to machine.
fn remove_split_marks(bound: &mut Output) {
    let wasm = bound.wasm_mut();
    let exports = wasm.exports.iter();
    let marks: Vec<_> = exports
        .filter_map(|export| {
            let marks = export.name.starts_with("_WASM_SPLIT_MARKER_");
            marks.then(|| export.id())
        })
        .collect();
    for mark in marks {
        wasm.exports.delete(mark);
    }
    wasm.customs.remove_raw("__wasm_split_unstable");
}

fn generate(
    wasm: Vec<u8>,
    glue: Glue,
) -> std::result::Result<Output, impl std::fmt::Display + use<>> {
    let mut bindgen = Bindgen::new();
    bindgen
        .input_bytes("app", wasm)
        .out_name("app")
        .typescript(false)
        .omit_default_module_path(true)
        .remove_name_section(true)
        .remove_producers_section(true);
    match glue {
        // The later pieces go into the table of functions, which is one of those.
        Glue::Module => bindgen.web(true)?.keep_lld_exports(true),
        Glue::Script => bindgen.no_modules(true)?,
    };
    bindgen.generate_output()
}

/// The wasm made smaller by wasm-opt, or as it came where that is not at hand.
fn optimised(scratch: &Path, wasm: Vec<u8>) -> Result<Vec<u8>> {
    if !has_wasm_opt() {
        return Ok(wasm);
    }
    let (before, after) = (scratch.join("bound.wasm"), scratch.join("optimised.wasm"));
    fs::write(&before, wasm).map_err(Error::writing(&before))?;
    let status = Command::new("wasm-opt")
        .arg("-Oz")
        .args([before.as_os_str(), "-o".as_ref(), after.as_os_str()])
        .status()
        .map_err(|source| Error::Start { program: "wasm-opt", source })?;
    if !status.success() {
        return Err(Error::Failed { program: "wasm-opt" });
    }
    fs::read(&after).map_err(Error::reading(&after))
}

fn has_wasm_opt() -> bool {
    let Ok(output) = Command::new("wasm-opt").arg("--version").output() else {
        return false;
    };
    let version = String::from_utf8_lossy(&output.stdout);
    let trusted = is_trusted(&version);
    if !trusted {
        eprintln!("leaving {} aside: only {WASM_OPT} is used", version.trim());
    }
    trusted
}

fn is_trusted(version: &str) -> bool {
    version
        .strip_prefix(WASM_OPT)
        .is_some_and(|rest| !rest.starts_with(|next: char| next.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::is_trusted;

    #[test]
    fn only_the_proved_optimiser_is_trusted() {
        assert!(is_trusted("wasm-opt version 132\n"));
        assert!(is_trusted("wasm-opt version 132 (version_132)"));
        for other in ["wasm-opt version 108\n", "wasm-opt version 1320\n", ""] {
            assert!(!is_trusted(other), "{other}");
        }
    }
}
