//! The rules, in the order of the pack.

use crate::rules::Rule;
use crate::rules::access;
use crate::rules::appliance;
use crate::rules::branch;
use crate::rules::drain;
use crate::rules::evidence;
use crate::rules::fire;
use crate::rules::site;
use crate::rules::stack;
use crate::rules::test;
use crate::rules::vent;

/// Every rule.
pub const RULES: &[Rule] = &[
    appliance::trap_at_every_appliance::RULE,
    appliance::trap_seal::RULE,
    appliance::trap_size::RULE,
    appliance::trap_removable::RULE,
    branch::basin_branch_slope::RULE,
    branch::branch_slope::RULE,
    branch::branch_length::RULE,
    branch::branch_not_smaller_than_trap::RULE,
    branch::common_branch::RULE,
    branch::branch_bends_and_junctions::RULE,
    branch::coupon_out::RULE,
    stack::stack_size::RULE,
    stack::stack_capacity::RULE,
    stack::stack_capacity_by_dwellings::RULE,
    stack::opposed_entries::RULE,
    stack::lowest_connection_above_foot::RULE,
    stack::foot_bend::RULE,
    stack::stack_ventilated::RULE,
    stack::stack_access_above_spill_over::RULE,
    stack::ground_floor_discharge::RULE,
    stack::open_ends::RULE,
    test::above_ground_air_test::RULE,
    test::seal_left_after_test::RULE,
    vent::ventilating_pipe_size::RULE,
    vent::branch_vent::RULE,
    vent::vent_terminal_clear_of_openings::RULE,
    vent::air_admittance_valve::RULE,
    drain::drain_ventilated_at_its_head::RULE,
    drain::open_vent_where_drain_surcharges::RULE,
    drain::drain_gradient::RULE,
    drain::drain_size::RULE,
    drain::drain_capacity::RULE,
    drain::drain_self_cleansing::RULE,
    drain::foul_and_rain_apart::RULE,
    drain::no_narrower_downstream::RULE,
    drain::junction_with_the_flow::RULE,
    drain::old_drain_sealed::RULE,
    drain::foul_proven_to_foul::RULE,
    drain::levels_agree::RULE,
    drain::inverts_at_chamber::RULE,
    drain::drop_into_chamber::RULE,
    drain::cover_over_drain::RULE,
    drain::bed_and_surround::RULE,
    drain::drain_under_building::RULE,
    drain::concrete_movement_joints::RULE,
    drain::trench_by_foundation::RULE,
    drain::trench_width::RULE,
    drain::drain_through_wall::RULE,
    drain::drain_tightness::RULE,
    site::surcharge_protection::RULE,
    site::anti_flooding_valve::RULE,
    site::pumped_drain::RULE,
    site::rodent_measures::RULE,
    access::access_at_head::RULE,
    access::access_at_bends_and_changes::RULE,
    access::access_at_junction::RULE,
    access::access_spacing::RULE,
    access::rod_reach::RULE,
    access::chamber_size_for_depth::RULE,
    access::chamber_cover::RULE,
    access::chamber_channel_and_benching::RULE,
    access::shared_access_place::RULE,
    access::rodding_eye::RULE,
    fire::fire_separating_crossing::RULE,
    evidence::photographed_before_cover::RULE,
];

/// The rule of an id.
pub fn rule(id: &str) -> Option<&'static Rule> {
    RULES.iter().find(|r| r.id.0 == id)
}
