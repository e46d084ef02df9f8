//! Pipes through what separates fire.

pub mod fire_separating_crossing;
