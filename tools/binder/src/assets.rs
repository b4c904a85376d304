//! The hand-written files of the site: `index.html` and the `public/` folder.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use crate::error::{Error, Result};

/// What the site is made of besides the app.
#[derive(Debug)]
pub(crate) struct Assets {
    /// The page, with its marks.
    pub index: String,
    /// All style sheets in one, in the order of their names.
    pub style: String,
    /// Starts the app. Holds `__START__` and `__FAILURE__`.
    pub boot: String,
    /// Fetches the later pieces of the app. Holds `__PIECES__`.
    pub later: String,
    /// The page of a failed start. Holds `__EXPORT__`.
    pub failure: String,
    /// Asks for the service worker and offers its updates. Holds `__FAILURE__`.
    pub offline: String,
    /// The service worker. Holds `__VERSION__`, `__PAGE__` and `__HASHES__`.
    pub worker: String,
    /// Files that go into the site under their own names.
    pub plain: BTreeMap<String, Vec<u8>>,
}

impl Assets {
    /// Reads the files below the project's folder.
    pub(crate) fn read(root: &Path) -> Result<Self> {
        let public = root.join("public");
        let mut plain = BTreeMap::new();
        for path in files_in(&public)? {
            if let Some(name) = path.file_name().and_then(|name| name.to_str()) {
                let content = fs::read(&path).map_err(Error::reading(&path))?;
                plain.insert(name.to_owned(), content);
            }
        }
        let mut template = |name: &str| {
            plain.remove(name);
            read_text(&public.join(name))
        };
        Ok(Self {
            index: read_text(&root.join("index.html"))?,
            boot: template("boot.js")?,
            later: template("later.js")?,
            failure: template("failure.js")?,
            offline: template("offline.js")?,
            worker: template("sw.js")?,
            style: read_style(&public.join("style"))?,
            plain,
        })
    }
}

fn read_style(folder: &Path) -> Result<String> {
    let sheets = files_in(folder)?;
    let sheets =
        sheets.iter().filter(|path| path.extension().is_some_and(|extension| extension == "css"));
    sheets.map(|path| read_text(path)).collect()
}

/// The files directly in `folder`, by name. A missing folder has none.
fn files_in(folder: &Path) -> Result<Vec<PathBuf>> {
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut paths = Vec::new();
    for entry in fs::read_dir(folder).map_err(Error::reading(folder))? {
        let path = entry.map_err(Error::reading(folder))?.path();
        if path.is_file() {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths)
}

/// Text with plain line ends, whatever the checkout made of them: the policy's
/// digests are taken after the browser has read `\r\n` as `\n`.
fn read_text(path: &Path) -> Result<String> {
    let text = fs::read_to_string(path).map_err(Error::reading(path))?;
    Ok(text.replace("\r\n", "\n"))
}
