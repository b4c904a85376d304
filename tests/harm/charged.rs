//! One list of what stays charged, the same wherever it is told.
