//! Rules about ventilating pipes.

pub mod air_admittance_valve;
pub mod branch_vent;
pub mod vent_terminal_clear_of_openings;
pub mod ventilating_pipe_size;
