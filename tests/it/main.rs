//! Every integration test, in one binary.

mod record;
mod schema;
