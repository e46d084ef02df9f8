//! Every integration test, in one binary.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that meets something unexpected fails loudly"
)]

mod figure;
mod network;
mod photo;
mod record;
