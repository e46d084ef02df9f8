//! What is due at which stage.
