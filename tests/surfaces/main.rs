//! Surfaces whose answer is known in closed form, routed and booked by the library.

#![allow(
    missing_docs,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    reason = "tests, on grids of some hundred cells a side"
)]

mod cones;
mod conservation;
mod flats;
mod holes;
mod planes;
mod series;
mod symmetry;
mod walking;
mod ways;
mod world;
