//! Sets out to a file, and for good. What a set without photos needs is here;
//! the pictures are the workshop's.

use super::browser::{files, now};
use super::state::App;
use super::workshop::{NOT_YET, Workshop};
use crate::bench::Bench;
use crate::bench::set::SetId;
use crate::store::envelope;
use crate::store::exchange::file_name;

/// Hands the user a bench as one file: with its photos as an archive, without
/// any as a document.
pub fn export(app: App, bench: Bench, name: &str) {
    let day = now().iso_day(app.ahead);
    if bench.sets.iter().all(|s| s.photos.is_empty()) {
        let name = file_name(name, &day, "json");
        let document = envelope::write(&bench).unwrap_or_default();
        if files::download(&name, "application/json", &document) {
            app.say(format!("{name} holds it all."), None);
        }
        return;
    }
    match app.workshop.get_untracked() {
        Workshop::Open(tools) => tools.pack(app, bench, file_name(name, &day, "zip")),
        _ => app.say(NOT_YET, None),
    }
}

/// Drops a deleted set for good, with the pictures that no other set shows.
pub fn purge(app: App, id: SetId) {
    let ids: Vec<String> = app.bench.with_untracked(|bench| {
        let photos = bench.set(id).map(|s| s.photos.as_slice()).unwrap_or_default();
        photos.iter().map(|p| p.id.clone()).collect()
    });
    app.change(|bench| bench.purge(id));
    // Pictures that stay for want of the workshop are only room.
    if let Workshop::Open(tools) = app.workshop.get_untracked() {
        tools.drop_pictures(app, ids);
    }
}
