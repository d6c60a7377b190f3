//! The watershed of a lot: whose water runs onto it, where, how much, and what would intercept it.

pub mod demo;
pub mod flow;
pub mod formula;
pub mod grid;
pub mod lots;
pub mod terrain;
pub mod units;
pub mod warning;
