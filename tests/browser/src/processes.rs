//! The processes of a browser, as Linux lists them.

use std::collections::HashMap;
use std::fs;
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

/// Kills a process and all that it started, at once and without a warning.
pub(crate) fn kill_all_of(process: u64) {
    let children = children();
    let mut all = vec![process];
    let mut at = 0;
    while let Some(parent) = all.get(at) {
        all.extend(children.get(parent).into_iter().flatten());
        at += 1;
    }
    let numbers = all.iter().map(u64::to_string);
    // One that ended meanwhile makes it complain, which is no failure.
    let _ = Command::new("kill").arg("-KILL").args(numbers).output().expect("there is a `kill`");
    let end = Instant::now() + Duration::from_secs(10);
    while all.iter().any(|process| is_running(*process)) {
        assert!(Instant::now() < end, "a process of {all:?} resists");
        thread::sleep(Duration::from_millis(5));
    }
}

/// What each process started.
fn children() -> HashMap<u64, Vec<u64>> {
    let mut children: HashMap<u64, Vec<u64>> = HashMap::new();
    for entry in fs::read_dir("/proc").expect("there is a /proc").flatten() {
        let Some(process) = entry.file_name().to_str().and_then(|name| name.parse().ok()) else {
            continue;
        };
        if let Some((_, parent)) = standing(process) {
            children.entry(parent).or_default().push(process);
        }
    }
    children
}

fn is_running(process: u64) -> bool {
    // `Z`: dead, and its parent has not looked yet.
    standing(process).is_some_and(|(state, _)| state != "Z" && state != "X")
}

/// The state of a process and its parent, after the name in brackets (`proc(5)`).
fn standing(process: u64) -> Option<(String, u64)> {
    let stat = fs::read_to_string(format!("/proc/{process}/stat")).ok()?;
    let (_, rest) = stat.rsplit_once(')')?;
    let mut fields = rest.split_whitespace();
    let state = fields.next()?.to_owned();
    Some((state, fields.next()?.parse().ok()?))
}
