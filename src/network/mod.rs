//! The job as a network of legs, stations and levels. Never a limit, never a verdict.
