//! Whole ways from files to a site, on one small scene whose answers are known on paper.
//!
//! The scene: 80 x 80 cells of 1 m in UTM zone 17N (EPSG:26917) whose west edge is the central meridian, falling south
//! at 2 %; lot S is 40 m wide and 30 m deep, lot N above it 40 m wide and 20 m deep. On the central meridian of UTM a map
//! metre is 1/0.9996 ground metres (Snyder 1987, USGS Professional Paper 1395, p. 57).

mod elevation;
mod parcels;
mod refusals;
mod scene;
