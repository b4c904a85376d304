//! Supplies of either sign and any number, and what could not be solved.
