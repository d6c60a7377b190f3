//! Stage 3: which way water goes from each cell, and in which order cells hand it on.
//!
//! Takes a filled surface, gives a [`FlowField`]: for each cell one or two receivers with the share each gets.
//! Guarantees: no cycles, and from every valid cell a way to an outlet. Never touches files, parcels or storms.

mod accumulate;
mod deviation;
mod error;
mod facets;
mod field;
mod flats;
mod links;
mod order;
mod routing;
mod steepest;

pub use accumulate::upstream_area;
pub use error::FlowError;
pub use field::{FlowField, Receivers};
pub use links::Links;
pub use order::{Course, Reach};
pub use routing::{Routing, directions, directions_from, single_within};
