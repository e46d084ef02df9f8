//! The command `fallmark`.

fn main() {}
