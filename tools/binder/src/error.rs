//! Everything that can go wrong, worded for the person at the terminal.

use std::io;
use std::path::{Path, PathBuf};

pub(crate) type Result<T> = std::result::Result<T, Error>;

/// A build that could not be finished.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Error {
    #[error(
        "tell me what to do: build, serve [--port N], single-file or size, \
         as in `cargo run -p firstglow-binder -- build`"
    )]
    Usage,

    #[error("{given} is not a port: give a number from 0 to 65535")]
    Port { given: String },

    #[error("cannot read {}: {source}", path.display())]
    Read { path: PathBuf, source: io::Error },

    #[error("cannot write {}: {source}", path.display())]
    Write { path: PathBuf, source: io::Error },

    #[error("cannot start {program}: {source}")]
    Start { program: &'static str, source: io::Error },

    #[error("`{program}` failed; its own message is above")]
    Failed { program: &'static str },

    #[error("cargo does not say where this workspace is; run me inside the project's folder")]
    NoWorkspace,

    #[error(
        "cannot bind the wasm: {message}\n\
         (the wasm-bindgen of the app and of tools/binder must be the same version)"
    )]
    Bind { message: String },

    #[error("cannot take the wasm apart or put it together: {0}")]
    Pieces(#[from] firstglow_pieces::Error),

    #[error(
        "the app brings JavaScript of its own ({names}), which this binder cannot place; \
         avoid `#[wasm_bindgen(module = …)]` and crates that use it"
    )]
    Snippets { names: String },

    #[error("{file} lacks the mark {mark}")]
    NoMark { file: &'static str, mark: &'static str },

    #[error("the single page's script holds `{text}`, which would end it too early")]
    EndsScript { text: &'static str },

    #[error("{} holds no built site: run `make build` first", folder.display())]
    NothingBuilt { folder: PathBuf },

    #[error("cannot serve on port {port}: {source}; choose another, as in `make run PORT=8585`")]
    Serve { port: u16, source: io::Error },

    #[error("{total} bytes compressed {what}, past the limit of {limit}")]
    TooBig { what: &'static str, total: usize, limit: usize },
}

impl Error {
    /// Names the file that could not be read.
    pub(crate) fn reading(path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::Read { path, source }
    }

    /// Names the file that could not be written.
    pub(crate) fn writing(path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::Write { path, source }
    }
}
