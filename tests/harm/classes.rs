//! Class X and Y by the places as typed.
