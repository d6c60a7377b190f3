//! Stage 4: the lot line, and the stretches of it where water enters.

mod lot_line;
mod stretch;

pub use lot_line::{LinePosition, LotLine, LotLineError, LotRing, NearestPosition, RingKind};
pub use stretch::{Inflow, Joining, Stretch, amount_within, separate, shortest_catching, width_carrying};
