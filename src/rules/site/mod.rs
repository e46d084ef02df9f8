//! Rules about what the sewer and the ground may do to the house, and what is fitted against it.

pub mod anti_flooding_valve;
pub mod pumped_drain;
pub mod rodent_measures;
pub mod surcharge_protection;
