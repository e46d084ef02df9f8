//! Every integration test, in one binary.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test stops at the first thing that is not so, and may print what it measured"
)]

mod basis;
mod big;
mod branches;
mod bungalow;
mod cautions;
mod cli;
mod come_back;
mod drain_tests;
#[path = "../estate/mod.rs"]
mod estate;
mod explained;
mod figure;
mod findings;
mod flows;
mod ground;
mod handover;
mod hanger_bank;
mod hostile;
mod html;
mod hydraulics;
mod keep;
mod layers;
mod ledger;
mod levels;
mod network;
mod pack;
mod photo;
mod published;
mod reach;
mod record;
mod render;
mod rulebook;
mod rulebook_schema;
mod rulebook_values;
mod rules;
mod schedules;
mod schema;
mod site;
mod spacing;
mod stacks;
mod start;
