//! A phrase that fails contributes nothing.
