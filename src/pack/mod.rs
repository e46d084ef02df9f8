//! What each document says. No page, colour or font.

pub mod figure;
