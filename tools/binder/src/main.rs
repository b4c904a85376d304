//! Builds the Firstglow site from the app and the files in `public/`.
//!
//! ```text
//! cargo run -p firstglow-binder -- build          the site, in dist/
//! cargo run -p firstglow-binder -- serve          shows dist/ on this machine
//! cargo run -p firstglow-binder -- single-file    one page that opens from disk
//! cargo run -p firstglow-binder -- size           measures dist/ against its limit
//! ```
//!
//! The app is compiled to wasm ([`compile`]), taken apart
//! ([`firstglow_pieces`]), given its JavaScript glue ([`bind`]) and laid out with the style sheets and templates ([`assets`]) as
//! a site ([`site`]) or a single page ([`single_file`]). A site is made in
//! memory and written at the end, so that a failed build leaves the last one
//! as it was. The same sources give the same bytes in any folder.

mod assets;
mod bind;
mod compile;
mod digest;
mod error;
mod options;
mod page;
mod single_file;
mod site;
mod size;
mod workspace;

use std::process::ExitCode;

use crate::assets::Assets;
use crate::bind::Glue;
use crate::error::{Error, Result};
use crate::options::Action;
use crate::workspace::Workspace;

fn main() -> ExitCode {
    match options::parse(std::env::args().skip(1)).and_then(carry_out) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("firstglow-binder: {error}");
            ExitCode::FAILURE
        }
    }
}

fn carry_out(action: Action) -> Result<()> {
    let workspace = Workspace::find()?;
    match action {
        Action::Build => build(&workspace),
        Action::Serve { port } => serve(&workspace, port),
        Action::SingleFile => build_single_file(&workspace),
        Action::Size => size::report(&workspace.dist()),
    }
}

fn build(workspace: &Workspace) -> Result<()> {
    let wasm = compile::app(workspace)?;
    let app = bind::app(workspace, &wasm, Glue::Module)?;
    let site = site::assemble(&Assets::read(&workspace.root)?, &app)?;
    site::write(&workspace.dist(), &site)?;
    println!("built {} files in dist/", site.len());
    Ok(())
}

fn build_single_file(workspace: &Workspace) -> Result<()> {
    let wasm = compile::app(workspace)?;
    let app = bind::app(workspace, &wasm, Glue::Script)?;
    let page = single_file::assemble(&Assets::read(&workspace.root)?, &app)?;
    let path = single_file::write(&workspace.dist(), &page)?;
    println!("built {} ({} bytes)", path.display(), page.len());
    Ok(())
}

fn serve(workspace: &Workspace, port: u16) -> Result<()> {
    let dist = workspace.dist();
    if !dist.join("index.html").is_file() {
        return Err(Error::NothingBuilt { folder: dist });
    }
    let server = firstglow_loopback::Server::start(dist, port)
        .map_err(|source| Error::Serve { port, source })?;
    println!("Firstglow is at {} (Ctrl-C ends it)", server.url());
    server.wait();
    Ok(())
}
