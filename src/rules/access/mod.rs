//! Rules about access to drains.

pub mod access_at_bends_and_changes;
pub mod access_at_head;
pub mod access_at_junction;
pub mod access_spacing;
pub mod chamber_channel_and_benching;
pub mod chamber_cover;
pub mod chamber_size_for_depth;
pub mod rod_reach;
pub mod rodding_eye;
pub mod shared_access_place;
