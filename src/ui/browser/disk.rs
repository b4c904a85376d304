//! The second copy of the bench, in a database of the browser.

use super::database::{self, DatabaseError, Mode, change, settled, through};
use super::shelf::is_closed;
use crate::bench::stamp::Stamp;
use crate::store::disk::{Verdict, verdict};
use crate::store::trail::Trail;
use crate::ui::leptos::web_sys::IdbDatabase;
use std::cell::RefCell;
use wasm_bindgen::{JsCast, JsValue};

const DATABASE: &str = "firstglow-bench";
const STORE: &str = "bench";
/// What the copy lies under.
const COPY: &str = "bench";

/// What came of laying a document down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Laid {
    /// It lies on the disk, or one that goes on from it.
    There,
    /// Something else lies there and is to be looked at first.
    Look(String),
}

thread_local! {
    // Opening takes longer than writing, and a page that goes has no time.
    static OPEN: RefCell<Option<IdbDatabase>> = const { RefCell::new(None) };
}

/// What lies there.
///
/// # Errors
/// [`DatabaseError`].
pub async fn read() -> Result<Option<String>, DatabaseError> {
    let (_, store) = change(&opened().await?, STORE, Mode::Read)?;
    let asked = store.get(&COPY.into()).map_err(|_| DatabaseError::Denied)?;
    Ok(settled(&asked).await?.as_string())
}

/// Lays a document down, unless something lies there that is not in it.
///
/// # Errors
/// [`DatabaseError`]; then what lay there lies there still.
pub async fn lay(text: &str, trail: &Trail) -> Result<Laid, DatabaseError> {
    match lay_once(text, trail).await {
        // The browser closes a database when it clears the page's data.
        Err(DatabaseError::Denied) if OPEN.take().is_some() => lay_once(text, trail).await,
        done => done,
    }
}

async fn lay_once(text: &str, trail: &Trail) -> Result<Laid, DatabaseError> {
    let (change, store) = change(&opened().await?, STORE, Mode::Write)?;
    let asked = store.get(&COPY.into()).map_err(|_| DatabaseError::Denied)?;
    let found = settled(&asked).await?.as_string();
    match verdict(found.as_deref(), trail) {
        Verdict::There => return Ok(Laid::There),
        Verdict::Look => return Ok(Laid::Look(found.unwrap_or_default())),
        // An app that has failed writes nothing.
        Verdict::Lay if is_closed() => return Err(DatabaseError::Denied),
        Verdict::Lay => {}
    }
    let put = store.put_with_key(&text.into(), &COPY.into());
    put.map_err(|error| database::why(error.dyn_into().ok()))?;
    // A page that goes does not live to see the answer: the end comes along.
    #[allow(deprecated)] // called without options, which is all that is new
    let _ = change.commit();
    through(&change).await?;
    Ok(Laid::There)
}

/// Moves what lies there to a name of its own.
///
/// # Errors
/// [`DatabaseError`]; then it stays where it lies.
pub async fn set_aside(now: Stamp) -> Result<(), DatabaseError> {
    let (change, store) = change(&opened().await?, STORE, Mode::Write)?;
    let denied = |_: JsValue| DatabaseError::Denied;
    let found = settled(&store.get(&COPY.into()).map_err(denied)?).await?;
    if found.is_undefined() {
        return Ok(());
    }
    store.put_with_key(&found, &format!("set-aside/{}", now.0).into()).map_err(denied)?;
    store.delete(&COPY.into()).map_err(denied)?;
    through(&change).await
}

async fn opened() -> Result<IdbDatabase, DatabaseError> {
    if let Some(database) = OPEN.with_borrow(Clone::clone) {
        return Ok(database);
    }
    let database = database::open(DATABASE, STORE).await?;
    OPEN.set(Some(database.clone()));
    Ok(database)
}
