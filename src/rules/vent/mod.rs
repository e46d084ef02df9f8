//! Rules about ventilating pipes.

pub mod vent_terminal_clear_of_openings;
