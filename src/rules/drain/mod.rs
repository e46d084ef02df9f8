//! Rules about drains.

pub mod bed_and_surround;
pub mod concrete_movement_joints;
pub mod cover_over_drain;
pub mod drain_capacity;
pub mod drain_gradient;
pub mod drain_self_cleansing;
pub mod drain_size;
pub mod drain_through_wall;
pub mod drain_tightness;
pub mod drain_under_building;
pub mod drain_ventilated_at_its_head;
pub mod drop_into_chamber;
pub mod foul_and_rain_apart;
pub mod foul_proven_to_foul;
pub mod inverts_at_chamber;
pub mod junction_with_the_flow;
pub mod levels_agree;
pub mod no_narrower_downstream;
pub mod old_drain_sealed;
pub mod open_vent_where_drain_surcharges;
pub mod trench_by_foundation;
pub mod trench_width;
