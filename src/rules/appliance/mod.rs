//! Rules about appliances and their traps.

pub mod trap_seal;
pub mod trap_size;
