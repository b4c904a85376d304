//! Where the built site is, and where tests may write.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

/// The folder of the built site.
pub fn dist() -> PathBuf {
    let dist = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../dist");
    dist.canonicalize().expect("dist/ is built before the browser tests: `make build`")
}

/// A copy of the built site that the test may change, in a folder that is new
/// for every call.
pub fn copy_of_dist() -> PathBuf {
    let copy = scratch("site");
    fs::create_dir_all(&copy).expect("the build folder is writable");
    for entry in fs::read_dir(dist()).expect("dist/ is readable") {
        let entry = entry.expect("dist/ is readable");
        let to = copy.join(entry.file_name());
        fs::copy(entry.path(), to).expect("the build folder is writable");
    }
    copy
}

/// The source of the accessibility checker.
pub(crate) fn axe() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("node_modules/axe-core/axe.min.js");
    fs::read_to_string(path).expect("axe-core is installed: `tools/setup-tests.sh`")
}

/// The driver of Firefox.
pub(crate) fn geckodriver() -> PathBuf {
    let own =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/geckodriver/bin/geckodriver");
    on_path("geckodriver").unwrap_or(own)
}

/// A program on the path.
pub(crate) fn on_path(program: &str) -> Option<PathBuf> {
    let path = env::var_os("PATH")?;
    env::split_paths(&path).map(|folder| folder.join(program)).find(|file| file.is_file())
}

/// Where screenshots and printed pages go.
pub(crate) fn screen(name: &str, extension: &str) -> PathBuf {
    let folder = target().join("screens");
    fs::create_dir_all(&folder).expect("the build folder is writable");
    // The names of tests hold colons, which not every file system takes.
    let name = name.replace(|c: char| !c.is_alphanumeric() && c != '-', "_");
    folder.join(name).with_extension(extension)
}

/// A path that no other test of this run or of another one uses.
pub(crate) fn scratch(kind: &str) -> PathBuf {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let name = format!("{kind}-{}-{count}", std::process::id());
    target().join("browser-tests").join(name)
}

/// Cargo's build folder: a test runs from `<folder>/<profile>/deps/`.
fn target() -> PathBuf {
    let test = std::env::current_exe().expect("a running program has a path");
    let folder = test.ancestors().nth(3);
    folder.expect("cargo put the test there").to_owned()
}
