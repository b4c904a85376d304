//! Runs compiled wasm tests in a headless browser, as a cargo runner.
//!
//! Cargo calls it in place of the test binary when it is named in
//! `CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER`; `tools/test-wasm.sh` does so.
//! It looks for `chromedriver` on the `PATH`. The work is done by the runner
//! of `wasm-bindgen`; having it as a member of this workspace pins its version
//! in `Cargo.lock` beside the library it must agree with. Before that the wasm
//! is put together, as it is in the single page: there is nobody to fetch the
//! later pieces of the app from.

use std::error::Error;
use std::ffi::OsString;
use std::fs;
use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("the wasm tests did not pass: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run() -> Result<(), Box<dyn Error>> {
    let mut arguments: Vec<OsString> = std::env::args_os().collect();
    // Cargo names the test first.
    if let Some(test) = arguments.get_mut(1) {
        let whole = Path::new(test).with_extension("whole.wasm");
        fs::write(&whole, firstglow_pieces::whole(&fs::read(&*test)?)?)?;
        *test = whole.into();
    }
    Ok(wasm_bindgen_cli::wasm_bindgen_test_runner::run_cli_with_args(arguments)?)
}
