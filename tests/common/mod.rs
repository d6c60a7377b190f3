//! What the tests of whole program runs share: makers of input files, a way to run the program, and checks that
//! name the field which is wrong.
//!
//! Nothing here uses the library under test: files are made with GDAL, coordinates with PROJ, and true areas come
//! from a closed form or from the geodesic areas of the `geo` crate.

pub(crate) mod answer;
pub(crate) mod bench;
pub(crate) mod elsewhere;
pub(crate) mod geojson;
pub(crate) mod layers;
pub(crate) mod lots;
pub(crate) mod raster;
pub(crate) mod rough;
pub(crate) mod scene;
