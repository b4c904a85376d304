//! The keys of the editor and the table.

use crate::sheet::edit;

/// What a key asks for, on the line in hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Command {
    /// Takes the last change back.
    Undo,
    /// Does it again.
    Redo,
    /// Moves the line up.
    Up,
    /// Moves the line down.
    Down,
    /// Puts the same line below.
    Duplicate,
    /// Deletes the line.
    Remove,
}

impl Command {
    /// The sheet with a line, from 1, changed, and the line that is then in
    /// hand; `None` for undo and redo.
    pub fn edit(self, before: &str, line: usize) -> Option<(String, usize)> {
        match self {
            Self::Undo | Self::Redo => None,
            Self::Up => Some(edit::move_row(before, line, true)),
            Self::Down => Some(edit::move_row(before, line, false)),
            Self::Duplicate => Some((edit::duplicate(before, line), line + 1)),
            Self::Remove => Some((edit::remove(before, line), line)),
        }
    }
}

/// The keys as they are told on the screen.
pub const TOLD: [(&str, &str); 6] = [
    ("Ctrl Z", "undo"),
    ("Ctrl Y", "redo"),
    ("Alt ↑ ↓", "move the line"),
    ("Ctrl D", "duplicate it"),
    ("Alt Del", "delete it"),
    ("Enter", "in the table: next row, or a new one"),
];

/// The keys that are held with another.
#[derive(Debug, Clone, Copy, Default)]
pub struct Held {
    /// Ctrl, or Cmd.
    pub ctrl: bool,
    /// Alt.
    pub alt: bool,
    /// Shift.
    pub shift: bool,
}

/// What a key press asks for.
pub fn command(key: &str, held: Held) -> Option<Command> {
    let Held { ctrl, alt, shift } = held;
    Some(match (key, ctrl, alt, shift) {
        ("z", true, false, false) => Command::Undo,
        ("y", true, false, false) | ("z" | "Z", true, false, true) => Command::Redo,
        ("ArrowUp", false, true, false) => Command::Up,
        ("ArrowDown", false, true, false) => Command::Down,
        ("d", true, false, false) => Command::Duplicate,
        ("Delete" | "Backspace", false, true, false) => Command::Remove,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_typing_asks_for_nothing() {
        for key in ["z", "Delete", "ArrowUp", "Enter"] {
            assert_eq!(command(key, Held::default()), None, "{key}");
        }
    }

    #[test]
    fn redo_has_both_of_its_usual_keys() {
        let ctrl = Held { ctrl: true, ..Held::default() };
        assert_eq!(command("y", ctrl), Some(Command::Redo));
        assert_eq!(command("Z", Held { shift: true, ..ctrl }), Some(Command::Redo));
        assert_eq!(command("z", ctrl), Some(Command::Undo));
    }
}
