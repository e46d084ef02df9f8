//! Fallmark: one job record in, a checked document for the inspector out.
//!
//! Layers, each importing only those above it in this list:
//! 0. [`base`]; 1. [`record`], [`rulebook`], [`photo`]; 2. [`network`]; 3. [`compute`]; 4. [`rules`];
//! 5. [`readiness`]; 6. [`pack`]; 7. [`render`]; 8. [`cli`].

pub mod base;
pub mod cli;
pub mod compute;
pub mod network;
pub mod pack;
pub mod photo;
pub mod readiness;
pub mod record;
pub mod render;
pub mod rulebook;
pub mod rules;
