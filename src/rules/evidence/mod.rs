//! Rules about evidence.

pub mod photographed_before_cover;
