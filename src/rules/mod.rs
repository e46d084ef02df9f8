//! One judgement a file.
