//! Published equations, one subject per file: quantities in, a quantity out, nothing else.
//!
//! Each function says where its equation comes from and where it holds. `tests/published_*.rs` holds them against
//! worked examples printed in books and manuals.

pub mod airport;
pub mod channel;
pub mod circular_pipe;
pub mod curve_number;
pub mod frequency_factor;
pub mod graphical_peak;
pub mod hydrograph;
pub mod intensity_curve;
pub mod kerby;
pub mod kirpich;
pub mod lag;
pub mod manning;
pub mod rational;
pub mod shallow_flow;
pub mod sheet_flow;
