//! Differences of two records in words.

use crate::bench::stamp::Stamp;
use crate::store::merge::{Difference, Moved, Side};
use crate::ui::words::count;
use serde_json::Value;

/// A difference as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What it is about: a part, a step, the set.
    pub subject: String,
    /// What of it.
    pub what: String,
    /// What stands here.
    pub here: String,
    /// What came.
    pub there: String,
    /// Who changed it, where that is known.
    pub moved: &'static str,
    /// Whether both changed it, so that one is given up.
    pub is_clash: bool,
    /// The side taken unless the person says otherwise.
    pub side: Side,
}

/// The row of a difference. `known` says whether a state is known that both
/// came from; `ahead` are the minutes that local time runs ahead of UTC.
pub fn row(found: &Difference, known: bool, ahead: i32) -> Row {
    let (subject, what) = place(&found.path);
    let is_moment = found.path.last().is_some_and(|step| step.ends_with("-at"));
    let said = |value: Option<&Value>| said(value, is_moment, ahead);
    let moved = match (found.moved, known) {
        (Moved::Only(Side::Here), true) => "changed here",
        (Moved::Only(Side::There), true) => "changed there",
        (Moved::Only(Side::Here), false) => "only here",
        (Moved::Only(Side::There), false) => "only there",
        (Moved::Both, true) => "changed on both",
        (Moved::Both, false) => "differs",
    };
    Row {
        subject,
        what,
        here: said(found.here.as_ref()),
        there: said(found.there.as_ref()),
        moved,
        is_clash: found.moved == Moved::Both,
        side: found.side,
    }
}

/// What a place in a record is called: of what, and what of it.
fn place(path: &[String]) -> (String, String) {
    let steps: Vec<&str> = path.iter().map(String::as_str).collect();
    let (subject, rest) = match steps.as_slice() {
        ["text", line, ..] if line.trim().is_empty() => return (String::new(), "Sheet".into()),
        ["text", line, ..] => return ((*line).to_owned(), "Line of the sheet".into()),
        ["parts", key, rest @ ..] => ((*key).to_owned(), rest),
        ["steps", id, rest @ ..] => (format!("Step: {}", plain(id)), rest),
        ["notes", ..] => return ("The set".into(), "Notes".into()),
        ["halts", ..] => return ("Power-up".into(), "Stop under power".into()),
        rest => ("The set".to_owned(), rest),
    };
    let what = match rest {
        [] => "Record",
        ["done-at"] => "Done",
        ["skipped-at"] => "Passed over",
        ["hold-started-at"] => "Hold begun",
        ["measured"] => "New part measures",
        ["note"] => "Note",
        ["overrides", ..] => "Reason to go on",
        ["runs", ..] => "In the run before",
        ["readings", name, ..] => return (subject, format!("Reading: {}", plain(name))),
        [.., last] => return (subject, plain(last)),
    };
    (subject, what.to_owned())
}

/// A name of the program's own in plain words.
fn plain(name: &str) -> String {
    name.replace('-', " ")
}

fn said(value: Option<&Value>, is_moment: bool, ahead: i32) -> String {
    match value {
        None | Some(Value::Null) => "nothing".into(),
        Some(Value::String(text)) if text.trim().is_empty() => "nothing".into(),
        Some(Value::String(text)) => text.clone(),
        Some(Value::Bool(is)) => if *is { "yes" } else { "no" }.into(),
        Some(Value::Number(number)) => match number.as_u64() {
            Some(moment) if is_moment => Stamp(moment).day_and_time(ahead),
            _ => number.to_string(),
        },
        Some(Value::Array(list)) => {
            let each: Vec<String> = list.iter().map(|v| said(Some(v), is_moment, ahead)).collect();
            each.join("; ")
        }
        Some(Value::Object(map)) => {
            let each = map.iter().filter(|(_, v)| !matches!(v, Value::Null)).map(|(key, v)| {
                let moment = key.ends_with("-at");
                (place(std::slice::from_ref(key)).1, said(Some(v), moment, ahead))
            });
            let told = each.filter(|(_, v)| v != "nothing" && !v.is_empty());
            told.map(|(key, v)| format!("{key}: {v}")).collect::<Vec<_>>().join("; ")
        }
    }
}

/// How far a series of codes is: `2 of 5 codes are here. Still to be read: 3, 5.`
pub fn series(of: usize, missing: &[usize]) -> String {
    let here = of - missing.len().min(of);
    let numbers: Vec<String> = missing.iter().map(usize::to_string).collect();
    format!(
        "{here} of {} here. Still to be read: {}.",
        count(of, "code", "codes"),
        numbers.join(", ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn difference(path: &str, here: Option<Value>, there: Option<Value>) -> Difference {
        let path = path.split('|').map(str::to_owned).collect();
        Difference { path, here, there, moved: Moved::Both, side: Side::Here }
    }

    #[test]
    fn differences_are_told_part_by_part_in_plain_words() {
        for (path, here, there, told) in [
            (
                "text|C7",
                json!("C7 .05"),
                json!("C7 .1"),
                ("C7", "Line of the sheet", "C7 .05", "C7 .1"),
            ),
            (
                "parts|C7|measured",
                json!(""),
                json!("0.05"),
                ("C7", "New part measures", "nothing", "0.05"),
            ),
            (
                "parts|C7|done-at",
                json!(null),
                json!(0),
                ("C7", "Done", "nothing", "Jan 1, 1970, 00:00"),
            ),
            (
                "parts|C7|readings|leakage at 400 V",
                json!("1"),
                json!("2"),
                ("C7", "Reading: leakage at 400 V", "1", "2"),
            ),
            (
                "steps|look-around|skipped-at",
                json!(60_000),
                json!(null),
                ("Step: look around", "Passed over", "Jan 1, 1970, 00:01", "nothing"),
            ),
            ("notes", json!("a"), json!("b"), ("The set", "Notes", "a", "b")),
            ("later-field", json!(3), json!([1, 2]), ("The set", "later field", "3", "1; 2")),
        ] {
            let row = row(&difference(path, Some(here), Some(there)), true, 0);
            let found =
                (row.subject.as_str(), row.what.as_str(), row.here.as_str(), row.there.as_str());
            assert_eq!(found, told, "{path}");
        }
    }

    #[test]
    fn a_whole_record_is_told_in_one_line() {
        let record =
            json!({"done-at": 0, "measured": "0.05", "note": "", "readings": {"esr": "2"}});
        let row = row(&difference("parts|C7", None, Some(record)), false, 0);
        assert_eq!(row.here, "nothing");
        assert_eq!(
            row.there,
            "Done: Jan 1, 1970, 00:00; New part measures: 0.05; readings: esr: 2"
        );
    }

    #[test]
    fn missing_codes_are_named() {
        assert_eq!(series(5, &[3, 5]), "3 of 5 codes here. Still to be read: 3, 5.");
        assert_eq!(series(2, &[1]), "1 of 2 codes here. Still to be read: 1.");
    }
}
