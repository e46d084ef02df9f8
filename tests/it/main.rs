//! Every integration test, in one binary.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that meets something unexpected fails loudly"
)]

mod come_back;
mod findings;
mod layers;
mod network;
mod pack;
mod photo;
mod record;
mod render;
mod rulebook;
mod rulebook_schema;
mod rulebook_values;
