//! One binary for every test, a module a subject.

mod rulebook;
mod rulebook_schema;
mod rulebook_values;
