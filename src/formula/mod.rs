//! Published equations, one subject per file: quantities in, a quantity out, nothing else.
//!
//! Each function says where its equation comes from and where it holds. `tests/published_*.rs` holds them against
//! worked examples printed in books and manuals.

/// Standard acceleration of gravity in m/s2, exact (3rd General Conference on Weights and Measures, 1901;
/// NIST SP 811). Books in feet take 32.2 ft/s2, which is 0.08 % more.
pub(crate) const GRAVITY_M_S2: f64 = 9.806_65;

pub mod airport;
pub mod block_storage;
pub mod channel;
pub mod circular_pipe;
pub mod curve_number;
pub mod darcy;
pub mod drain_grade;
pub mod drainage_coefficient;
pub mod frequency_factor;
pub mod graphical_peak;
pub mod grass_velocity;
pub mod grate;
pub mod hydrograph;
pub mod intensity_curve;
pub mod interceptor_inflow;
pub mod interceptor_seepage;
pub mod kerby;
pub mod kirpich;
pub mod lag;
pub mod manning;
mod orifice;
pub mod part_full_pipe;
pub mod perforations;
pub mod rational;
pub mod shallow_flow;
pub mod sheet_flow;
pub mod side_drawdown;
