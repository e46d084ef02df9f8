//! Rules about branch discharge pipes.

pub mod basin_branch_slope;
pub mod branch_bends_and_junctions;
pub mod branch_length;
pub mod branch_not_smaller_than_trap;
pub mod branch_slope;
pub mod common_branch;
pub mod coupon_out;
