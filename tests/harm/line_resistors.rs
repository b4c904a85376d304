//! Resistors on the line are judged only where both ends are proven.
