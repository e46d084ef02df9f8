//! Rules about access to drains.

pub mod access_spacing;
pub mod chamber_size_for_depth;
pub mod rod_reach;
