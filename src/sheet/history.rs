//! Undo and redo of the text.
//!
//! Typing that goes on without a pause is one step. Times are passed in.

/// A pause in typing longer than this starts a new step, in milliseconds.
const PAUSE_MS: i64 = 1200;

/// The most characters kept for undoing.
const MOST_KEPT: usize = 8_000_000;

/// How a change came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// A keystroke, which joins the one before it.
    Typing,
    /// A step of its own: a tap, a paste, a moved line.
    Step,
}

/// The states a text has been through.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct History {
    past: Vec<String>,
    present: String,
    future: Vec<String>,
    typing_since: Option<i64>,
}

impl History {
    /// A text with nothing to undo.
    pub fn new(text: impl Into<String>) -> Self {
        Self { past: Vec::new(), present: text.into(), future: Vec::new(), typing_since: None }
    }

    /// The text as it stands.
    pub fn text(&self) -> &str {
        &self.present
    }

    /// Records a change made at a time in milliseconds.
    pub fn record(&mut self, text: impl Into<String>, change: Change, at_ms: i64) {
        let text = text.into();
        if text == self.present {
            return;
        }
        let joins = change == Change::Typing
            && self.typing_since.is_some_and(|last| at_ms - last <= PAUSE_MS);
        let before = std::mem::replace(&mut self.present, text);
        if !joins {
            self.past.push(before);
            self.forget();
        }
        self.future.clear();
        self.typing_since = (change == Change::Typing).then_some(at_ms);
    }

    /// Drops the oldest states past the limit.
    fn forget(&mut self) {
        let mut kept: usize = self.past.iter().map(String::len).sum();
        let mut drop = 0;
        while kept > MOST_KEPT && drop + 1 < self.past.len() {
            kept -= self.past[drop].len();
            drop += 1;
        }
        self.past.drain(..drop);
    }

    /// Whether there is something to undo.
    pub fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    /// Whether there is something to redo.
    pub fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }

    /// Goes one step back; `false` where there is none.
    pub fn undo(&mut self) -> bool {
        let Some(before) = self.past.pop() else { return false };
        self.future.push(std::mem::replace(&mut self.present, before));
        self.typing_since = None;
        true
    }

    /// Goes one step forward again; `false` where there is none.
    pub fn redo(&mut self) -> bool {
        let Some(after) = self.future.pop() else { return false };
        self.past.push(std::mem::replace(&mut self.present, after));
        self.typing_since = None;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typing_without_a_pause_is_one_step() {
        let mut h = History::new("");
        for (i, text) in ["C", "C7", "C7 .05"].iter().enumerate() {
            h.record(*text, Change::Typing, i64::try_from(i).unwrap() * 300);
        }
        h.record("C7 .05 paper", Change::Typing, 9000);
        assert!(h.undo());
        assert_eq!(h.text(), "C7 .05");
        assert!(h.undo());
        assert_eq!(h.text(), "");
        assert!(!h.undo());
        assert!(h.redo() && h.redo());
        assert_eq!(h.text(), "C7 .05 paper");
        assert!(!h.can_redo());
    }

    #[test]
    fn a_step_never_joins_the_typing_before_it() {
        let mut h = History::new("a");
        h.record("ab", Change::Typing, 0);
        h.record("", Change::Step, 1);
        h.record("x", Change::Typing, 2);
        assert!(h.undo());
        assert_eq!(h.text(), "");
        assert!(h.undo());
        assert_eq!(h.text(), "ab");
    }

    #[test]
    fn a_change_after_undoing_drops_what_was_undone() {
        let mut h = History::new("a");
        h.record("b", Change::Step, 0);
        h.undo();
        h.record("c", Change::Step, 1);
        assert!(!h.can_redo());
    }

    #[test]
    fn old_states_are_forgotten_past_the_limit() {
        let mut h = History::new("");
        for i in 0..20 {
            let state = char::from(b'a' + i).to_string().repeat(1_000_000);
            h.record(state, Change::Step, 0);
        }
        let mut steps = 0;
        while h.undo() {
            steps += 1;
        }
        assert_eq!(steps, 8);
    }
}
