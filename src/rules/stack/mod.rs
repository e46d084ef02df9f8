//! Rules about discharge stacks and what enters them.

pub mod ground_floor_discharge;
pub mod lowest_connection_above_foot;
pub mod open_ends;
pub mod opposed_entries;
pub mod stack_capacity;
pub mod stack_capacity_by_dwellings;
pub mod stack_size;
