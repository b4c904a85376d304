//! Where the positive lead of an electrolytic goes.
