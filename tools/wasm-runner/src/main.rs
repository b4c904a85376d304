//! Runs compiled wasm tests in a headless browser, as a cargo runner.
//!
//! Cargo calls it in place of the test binary when it is named in
//! `CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER`; `tools/test-wasm.sh` does so.
//! It looks for `chromedriver` on the `PATH`. The work is done by the runner
//! of `wasm-bindgen`; having it as a member of this workspace pins its version
//! in `Cargo.lock` beside the library it must agree with.

use std::process::ExitCode;

fn main() -> ExitCode {
    match wasm_bindgen_cli::wasm_bindgen_test_runner::run_cli_with_args(std::env::args_os()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("the wasm tests did not pass: {error:#}");
            ExitCode::FAILURE
        }
    }
}
