//! Temporary.

pub mod lot_line;
pub mod stretch;
