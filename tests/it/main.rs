//! Every integration test, in one binary.

mod big;
mod come_back;
mod findings;
mod hostile;
mod network;
mod pack;
mod photo;
mod record;
mod render;
mod rulebook;
mod rulebook_schema;
mod rulebook_values;
mod schema;
