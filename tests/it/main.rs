//! Every integration test, in one binary.

mod big;
mod hostile;
mod record;
mod schema;
