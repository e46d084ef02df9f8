//! Every integration test, in one binary.

mod network;
mod photo;
mod record;
