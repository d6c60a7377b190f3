//! Quantities of a drain as it is built, and their price.
//!
//! From trenches with their depths along stations to a [`Bill`]: digging and hauling, fabric, stone, pipes with what joins them,
//! cleanouts, the tie-in or the open end, and the finish. Prices are the user's; none are built in.

mod bill;
mod cuts;
mod deep;
mod error;
mod fittings;
mod item;
mod line;
mod notes;
mod price_error;
mod prices;
mod take_off;
#[cfg(test)]
mod tests;
mod works;

pub use bill::{Bill, CAUTIONS, EXCLUSIONS, Row, bill};
pub use cuts::{Cut, Cuts, Level};
pub use error::QuantityError;
pub use item::{Amount, Item, KnownItems, Unit};
pub(super) use line::whole_up;
pub use line::{DrainLine, End, Leg, PipeBeyond, Section};
pub use price_error::{PriceError, PriceFault};
pub use prices::{Price, PriceList};
pub use take_off::{TakeOff, take_off};
pub use works::{Beside, Waste, WorkSettings, Works};
