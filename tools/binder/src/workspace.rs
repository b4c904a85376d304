//! Where the project and its build folder are.

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use serde_json::Value;

use crate::error::{Error, Result};

/// The folders that the binder reads from and writes to.
#[derive(Debug)]
pub(crate) struct Workspace {
    /// The project's folder.
    pub root: PathBuf,
    /// Cargo's build folder.
    pub target: PathBuf,
}

impl Workspace {
    /// Asks cargo, which knows of `CARGO_TARGET_DIR` and its like.
    pub(crate) fn find() -> Result<Self> {
        let output = Command::new(cargo())
            .args(["metadata", "--no-deps", "--format-version", "1", "--locked"])
            .stderr(Stdio::inherit())
            .output()
            .map_err(|source| Error::Start { program: "cargo", source })?;
        if !output.status.success() {
            return Err(Error::NoWorkspace);
        }
        let metadata: Value =
            serde_json::from_slice(&output.stdout).map_err(|_| Error::NoWorkspace)?;
        let folder = |key: &str| {
            let path = metadata.get(key).and_then(Value::as_str);
            path.map(PathBuf::from).ok_or(Error::NoWorkspace)
        };
        Ok(Self { root: folder("workspace_root")?, target: folder("target_directory")? })
    }

    /// Where the built site goes.
    pub(crate) fn dist(&self) -> PathBuf {
        self.root.join("dist")
    }
}

/// The cargo that runs us, or else the one on the `PATH`.
pub(crate) fn cargo() -> OsString {
    std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into())
}
