//! The job as written.
