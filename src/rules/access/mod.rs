//! Rules about access to drains.

pub mod access_spacing;
pub mod rod_reach;
