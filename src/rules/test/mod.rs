//! Rules on tests above ground.
pub mod above_ground_air_test;
pub mod seal_left_after_test;
