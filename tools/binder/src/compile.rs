//! Compiles the app to wasm, in release.

use std::env;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::error::{Error, Result};
use crate::workspace::{Workspace, cargo};

const APP: &str = "firstglow";
const TARGET: &str = "wasm32-unknown-unknown";

/// Cargo separates the flags in `CARGO_ENCODED_RUSTFLAGS` by this character.
const FLAG_SEPARATOR: &str = "\x1f";

/// Keeps in the wasm what refers to what, to take it apart by.
const RELOCATIONS: &str = "-Clink-arg=--emit-relocs";

/// Compiles the app and returns the path of its wasm.
pub(crate) fn app(workspace: &Workspace) -> Result<PathBuf> {
    let status = Command::new(cargo())
        .current_dir(&workspace.root)
        .args(["build", "--release", "--locked", "--target", TARGET])
        .args(["--package", APP, "--bin", APP])
        .env("CARGO_ENCODED_RUSTFLAGS", flags(&workspace.root))
        .status()
        .map_err(|source| Error::Start { program: "cargo", source })?;
    if !status.success() {
        return Err(Error::Failed { program: "cargo build" });
    }
    let folder = workspace.target.join(TARGET).join("release");
    Ok(folder.join(APP).with_extension("wasm"))
}

/// The caller's compiler flags, and the folders of this machine renamed:
/// panic messages carry source paths, which would tell on the builder and make
/// the bytes differ from machine to machine.
fn flags(root: &Path) -> OsString {
    let mut flags = callers_flags();
    if !flags.is_empty() {
        flags.push(FLAG_SEPARATOR);
    }
    flags.push(RELOCATIONS);
    let crates = crate_folders().into_iter().map(|folder| (folder, "/crates"));
    for (folder, name) in crates.chain([(root.to_owned(), "/firstglow")]) {
        if !flags.is_empty() {
            flags.push(FLAG_SEPARATOR);
        }
        flags.push("--remap-path-prefix=");
        flags.push(folder);
        flags.push("=");
        flags.push(name);
    }
    flags
}

/// Where cargo unpacks crates: a folder for each registry, named after it.
/// They exist by now, since this program is made of crates too.
fn crate_folders() -> Vec<PathBuf> {
    let home = env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| env::home_dir().map(|home| home.join(".cargo")));
    let Some(Ok(entries)) = home.map(|home| home.join("registry/src").read_dir()) else {
        return Vec::new();
    };
    let mut folders: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
    folders.sort();
    folders
}

fn callers_flags() -> OsString {
    env::var_os("CARGO_ENCODED_RUSTFLAGS").unwrap_or_else(|| {
        let plain = env::var("RUSTFLAGS").unwrap_or_default();
        let words: Vec<&str> = plain.split_whitespace().collect();
        words.join(FLAG_SEPARATOR).into()
    })
}
