//! Rules about appliances and their traps.

pub mod trap_at_every_appliance;
pub mod trap_removable;
pub mod trap_seal;
pub mod trap_size;
