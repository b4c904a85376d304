//! The workshop: what works plans out and the screens that show them.
//!
//! It is a piece of the wasm of its own, fetched behind the first screen: what
//! only [`tools`] needs is in it and not in the first download. The bench, the
//! set and its parts are the first piece, and reach it through the plain
//! functions of [`Tools`] alone. A call past them, from the state or from one of
//! those screens, moves what it calls into the first piece; `make size` tells.

mod notice;
mod screens;
mod worked;

pub use notice::{Awaited, Notice};
pub use screens::Extra;
pub use worked::{Worked, worked};

use super::open::Open;
use super::photo_files;
use super::state::App;
use crate::bench::Bench;
use crate::ui::leptos::web_sys::Blob;

use super::view::prelude::*;
use crate::bench::progress::{Progress, Reach, Stage};
use crate::bench::set::SetRecord;
use crate::plan::types::Plan;
use crate::sheet::{Reading, Sheet, examples, import};
use crate::ui::leptos::ev;
use crate::ui::leptos::task::spawn_local;
use crate::ui::parts::keys::Command;
use crate::ui::route::Route;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

/// Said where something of the workshop is asked for that can be asked for again.
pub const NOT_YET: &str = "Not all of Firstglow has loaded yet. Try this again in a moment.";

/// What the workshop hands over when it is there.
#[derive(Debug, Clone, Copy)]
pub struct Tools {
    read: fn(&mut Reading, &str) -> Sheet,
    plan: fn(&Sheet) -> Plan,
    edit: fn(Command, &str, usize) -> Option<(String, usize)>,
    progress: fn(Stage, &SetRecord, (&Sheet, &Plan), Worked, bool) -> Progress,
    screen: fn(Route) -> AnyView,
    extra: fn(Extra) -> AnyView,
    example: fn(&str) -> Option<&'static str>,
    table: fn(&str) -> Option<String>,
    list: fn(&[u8], &str) -> Result<String, String>,
    pack: fn(App, Bench, String),
    unpack: fn(App, Blob, String),
    drop_pictures: fn(App, Vec<String>),
    brought_back: fn(App, Bench, &'static str),
    worked: Worked,
}

impl Tools {
    /// Hands the user a bench with its photos, under a name.
    pub fn pack(self, app: App, bench: Bench, name: String) {
        (self.pack)(app, bench, name);
    }

    /// Takes a bench with its photos in.
    pub fn unpack(self, app: App, file: Blob, name: String) {
        (self.unpack)(app, file, name);
    }

    /// Drops pictures that no set shows.
    pub fn drop_pictures(self, app: App, ids: Vec<String>) {
        (self.drop_pictures)(app, ids);
    }

    /// Tells what was brought back from a backup, and which pictures of it are
    /// gone.
    pub fn brought_back(self, app: App, bench: Bench, words: &'static str) {
        (self.brought_back)(app, bench, words);
    }
}

/// How it stands.
#[derive(Debug, Clone, Copy)]
pub enum Workshop {
    /// On its way.
    Coming,
    /// It could not be fetched.
    Shut,
    /// There.
    Open(Tools),
}

impl Workshop {
    /// How it stands, in a word for `data-workshop` on the page.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Coming => "coming",
            Self::Shut => "shut",
            Self::Open(_) => "open",
        }
    }

    /// What a text says, by the reading before it; nothing before it is there.
    pub fn read(self, before: &mut Reading, text: &str) -> Sheet {
        match self {
            Self::Open(tools) => (tools.read)(before, text),
            _ => Sheet::default(),
        }
    }

    /// What a key makes of a line of a sheet: [`Command::edit`].
    ///
    /// # Errors
    /// What is to be said where this cannot be told yet.
    pub fn edit(
        self,
        command: Command,
        before: &str,
        line: usize,
    ) -> Result<Option<(String, usize)>, &'static str> {
        match self {
            Self::Open(tools) => Ok((tools.edit)(command, before, line)),
            _ => Err(NOT_YET),
        }
    }

    /// The plan of a sheet; before it is there, the notes on the sheet alone.
    pub fn plan(self, sheet: &Sheet) -> Plan {
        match self {
            Self::Open(tools) => (tools.plan)(sheet),
            _ => Plan { notes: sheet.notes.clone(), ..Plan::default() },
        }
    }

    /// The sheet of an example.
    pub fn example(self, id: &str) -> Option<&'static str> {
        match self {
            Self::Open(tools) => (tools.example)(id),
            _ => None,
        }
    }

    /// The lines of a table that is pasted, or nothing where it is no table.
    ///
    /// # Errors
    /// What is to be said where this cannot be told yet.
    pub fn table(self, pasted: &str) -> Result<Option<String>, &'static str> {
        match self {
            Self::Open(tools) => Ok((tools.table)(pasted)),
            _ if pasted.contains('\t') => Err(NOT_YET),
            _ => Ok(None),
        }
    }

    /// The lines of a parts list in a file of some name.
    ///
    /// # Errors
    /// Why it was not read, in words.
    pub fn list(self, bytes: &[u8], name: &str) -> Result<String, String> {
        match self {
            Self::Open(tools) => (tools.list)(bytes, name),
            _ => Err(NOT_YET.to_owned()),
        }
    }

    /// The screen of an address.
    pub fn screen(self, route: Route) -> AnyView {
        match self {
            Self::Open(tools) => (tools.screen)(route),
            Self::Coming => view! { <Awaited coming=true/> },
            Self::Shut => view! { <Awaited coming=false/> },
        }
    }

    /// Something else that is in it.
    pub fn extra(self, extra: Extra) -> AnyView {
        match (self, extra) {
            (Self::Open(tools), _) => (tools.extra)(extra),
            (_, Extra::Safekeeping | Extra::Lists) => ().into_any(),
            (Self::Coming, _) => view! { <Awaited coming=true/> },
            (Self::Shut, _) => view! { <Awaited coming=false/> },
        }
    }

    /// How far a stage has come, as far as that can be told by now; `typing`
    /// while the text of the set is worked on, or for a set that is not open.
    pub fn progress(
        self,
        stage: Stage,
        record: &SetRecord,
        (sheet, plan): (&Sheet, &Plan),
        typing: bool,
    ) -> Progress {
        match self {
            Self::Open(tools) => {
                (tools.progress)(stage, record, (sheet, plan), tools.worked, typing)
            }
            Self::Coming => Progress { reach: Reach::Untouched, words: "…".to_owned() },
            Self::Shut => Progress { reach: Reach::Untouched, words: "–".to_owned() },
        }
    }
}

/// Fetches the workshop, and once more when the network is back.
pub fn open(app: App) {
    fetch(app);
    window_event_listener(ev::online, move |_| {
        if matches!(app.workshop.get_untracked(), Workshop::Shut) {
            fetch(app);
        }
    });
}

/// Fetches the workshop. What failed is tried anew.
pub fn fetch(app: App) {
    app.workshop.set(Workshop::Coming);
    spawn_local(async move {
        let tools = tools(app.open).await;
        if let Ok(tools) = tools {
            // What waited for a backup to go.
            tools.drop_pictures(app, Vec::new());
        }
        app.workshop.set(tools.map_or(Workshop::Shut, Workshop::Open));
    });
}

#[wasm_split(workshop, fallible)]
#[allow(clippy::unnecessary_wraps)] // the wrapper that the mark makes can fail
fn tools(open: Open) -> Result<Tools, SplitLoaderError> {
    Ok(Tools {
        read: Reading::read,
        plan: crate::plan::plan,
        edit: Command::edit,
        progress: worked::progress,
        screen: screens::screen,
        extra: screens::extra,
        example: examples::sheet_of,
        table: |pasted| import::looks_like_table(pasted).then(|| import::from_table(pasted).text),
        list: |bytes, name| {
            import::import(bytes, name).map(|list| list.text).map_err(|error| error.to_string())
        },
        pack: photo_files::export,
        unpack: photo_files::take,
        drop_pictures: photo_files::drop_unused,
        brought_back: photo_files::brought_back,
        worked: Worked::of(open),
    })
}
