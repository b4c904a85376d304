//! Waiting for a condition, never for a time.

use std::time::Duration;

use tokio::time::{Instant, sleep};

/// Far more than a loaded machine needs; a passing test never waits it out.
const PATIENCE: Duration = Duration::from_secs(20);
/// Between two looks.
const PAUSE: Duration = Duration::from_millis(20);

/// Looks until there is something, and returns it.
///
/// `what` completes the sentence "waited in vain for …".
pub async fn until<T>(what: &str, mut look: impl AsyncFnMut() -> Option<T>) -> T {
    let end = Instant::now() + PATIENCE;
    loop {
        if let Some(found) = look().await {
            return found;
        }
        assert!(Instant::now() < end, "waited in vain for {what}");
        sleep(PAUSE).await;
    }
}
