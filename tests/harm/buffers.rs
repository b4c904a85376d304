//! Buffers of vibrator sets: found in every arrangement, and replaced.
