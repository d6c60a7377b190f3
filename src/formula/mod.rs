//! Published equations, one subject per file: quantities in, a quantity out, nothing else.
//!
//! Each function says where its equation comes from and where it holds. `tests/published_*.rs` holds them against
//! worked examples printed in books and manuals.

pub mod channel;
pub mod circular_pipe;
pub mod manning;
pub mod rational;
