//! The watershed of a lot: whose water runs onto it, where, how much, and what would intercept it.

pub mod crs;
pub mod grid;
pub mod input;
pub mod terrain;
pub mod units;
pub mod warning;
