//! Rules about branch discharge pipes.

pub mod basin_branch_slope;
