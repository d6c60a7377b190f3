//! x
pub mod flow;
pub mod grid;
pub mod units;
pub mod warning;
