//! Cross-sections of trenches: the stone trench with one pipe or two, and the plain one of the way to the outlet.
//!
//! Depths are measured from the ground down to the trench's bottom. All areas are closed forms of the depth.

mod capacity;
mod error;
mod rules;
mod shape;
mod solid;
mod stone;
#[cfg(test)]
mod tests;

pub use error::TrenchError;
pub use rules::{PipeCount, TrenchRules};
pub use solid::SolidTrench;
pub use stone::StoneTrench;
