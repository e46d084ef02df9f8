//! Rules about drains.

pub mod drain_ventilated_at_its_head;
