//! (soon)
