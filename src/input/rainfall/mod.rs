//! Rainfall tables: how much rain falls in how long, how seldom.
//!
//! Takes the bytes of a table as a weather service or the user wrote it, gives a [`RainTable`] of depths that never
//! fall with duration or return period. What the layouts look like is in `docs/rainfall.md`.

mod australian;
mod canadian;
mod draft;
mod error;
mod lookup;
mod plain;
mod point_frequency;
mod read;
mod table;
#[cfg(test)]
mod tests;
mod text;

pub use error::{RainFault, RainTableError};
pub use lookup::{DepthCourse, Interpolated, RainLookupError};
pub use read::{LARGEST_TABLE_BYTES, open_rain_table, read_rain_table};
pub use table::{RainColumn, RainLayout, RainRow, RainSeries, RainSource, RainTable, RainUnit};
