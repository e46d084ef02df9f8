//! Rules about discharge stacks and what enters them.

pub mod foot_bend;
pub mod ground_floor_discharge;
pub mod lowest_connection_above_foot;
pub mod open_ends;
pub mod opposed_entries;
pub mod stack_access_above_spill_over;
pub mod stack_capacity;
pub mod stack_capacity_by_dwellings;
pub mod stack_size;
pub mod stack_ventilated;
