//! The watershed of a lot: whose water runs onto it, where, how much, and what would intercept it.

pub mod certainty;
pub mod crs;
pub mod demo;
pub mod error;
pub mod flow;
pub mod formula;
pub mod grid;
pub mod input;
pub mod interceptor;
pub mod language;
pub mod lots;
pub mod output;
pub mod pipeline;
pub mod runoff;
pub mod sizing;
pub mod terrain;
pub mod units;
pub mod warning;
mod wording;
