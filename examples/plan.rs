//! Prints the plan of a sheet as JSON.
//!
//! `cargo run --example plan -- FILE`, or `-` for standard input.

use firstglow::{plan::plan, sheet::Sheet};
use std::io::{self, Read, Write};
use std::process::ExitCode;

fn main() -> ExitCode {
    let Some(source) = std::env::args().nth(1) else {
        eprintln!("Name a sheet to read, or `-` for standard input.");
        return ExitCode::from(2);
    };
    match read(&source) {
        Ok(text) => print(&text),
        Err(error) => {
            eprintln!("{source}: {error}. Name a text file that can be read.");
            ExitCode::FAILURE
        }
    }
}

/// The text of a file or of standard input; what is not UTF-8 is kept as
/// replacement characters, so that the rest is still planned.
fn read(source: &str) -> io::Result<String> {
    let mut bytes = Vec::new();
    if source == "-" {
        io::stdin().read_to_end(&mut bytes)?;
    } else {
        bytes = std::fs::read(source)?;
    }
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn print(text: &str) -> ExitCode {
    let plan = plan(&Sheet::read(text));
    let mut out = io::stdout().lock();
    let printed = serde_json::to_writer_pretty(&mut out, &plan)
        .map_err(io::Error::from)
        .and_then(|()| writeln!(out));
    match printed {
        Ok(()) => ExitCode::SUCCESS,
        // A reader that has seen enough, such as `head`, is no failure.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("The plan could not be written: {error}.");
            ExitCode::FAILURE
        }
    }
}
