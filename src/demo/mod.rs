//! An invented neighbourhood on a hillside, to try the program on and to test it with.
//!
//! Two streets run round a hill and two rows of six lots lie between them, back to back. The ground falls at
//! 4.5 % obliquely to the lots and to the grid, so that water drifts over side lines. A swale along the shared
//! rear line leads it east; it has silted up behind the lot `Alder 4`, and the neighbour to the east has laid a
//! terrace over it, so that it spills into the back yard of `Alder 4`, where a low spot holds water. Upstream, a
//! dropped kerb lets the upper street's gutter run down a driveway into the lots. A garden wall keeps one lawn's
//! water from the next. The upper street has a high point and the hill a ridge, both inside the raster, so the
//! catchment of `Alder 4` is complete. Below the lots the lower street has a low point with two storm inlets.
//!
//! Nobody lives here: the coordinates lie in the open water of a lake, and every height is made up by the
//! functions of this module. They use no clock and no random source, only a fixed mixing of whole numbers.

mod files;
mod frame;
mod ground;
mod lots;
mod plan;
mod shape;
mod street;
mod transform;

use geo::{Coord, Polygon};

use crate::grid::{Cell, Georef, Grid, GridShape};

pub use files::{DemoError, DemoFiles, was_written_to, write};

/// Cover of the demo's ground beside the houses: a class of the cover table.
pub const COVER: &str = "lawn-good";
/// Soil group of the demo's ground.
pub const SOIL_GROUP: &str = "C";

/// South-west corner of the raster: easting and northing in metres.
const CORNER: Coord<f64> = Coord { x: 690_240.0, y: 5_241_620.0 };
/// Side of a cell in metres.
const CELL_M: f64 = 0.5;
/// Rows and columns: 140 m by 160 m.
const SHAPE: GridShape = GridShape { rows: 280, cols: 320 };
/// WGS 84 / UTM zone 15 north.
const EPSG: u32 = 32615;
/// Depth of the storm inlets below their rims, in metres.
const INLET_DEPTH_M: f64 = 1.3;

/// A neighbourhood: ground, lots, houses and storm inlets, all in one projected coordinate system.
#[derive(Debug, Clone, PartialEq)]
pub struct Neighbourhood {
    /// Bare-earth elevation in metres.
    pub elevation: Grid<f32>,
    /// Place of the elevation grid.
    pub georef: Georef,
    /// Code of the projected coordinate system, in metres.
    pub epsg: u32,
    /// The lots. Neighbours share their corners exactly; the streets are unparcelled land.
    pub lots: Vec<DemoLot>,
    /// Id of the lot whose back yard is wet.
    pub subject: &'static str,
    /// Storm inlets in the lower street.
    pub inlets: Vec<DemoInlet>,
    /// Outlines of the houses, which stand on the pads that the ground shows.
    pub buildings: Vec<Polygon<f64>>,
}

/// A lot.
#[derive(Debug, Clone, PartialEq)]
pub struct DemoLot {
    /// Street and number.
    pub id: String,
    /// Outline in the neighbourhood's coordinate system, anticlockwise.
    pub outline: Polygon<f64>,
}

/// A storm inlet.
#[derive(Debug, Clone, PartialEq)]
pub struct DemoInlet {
    /// Name.
    pub id: String,
    /// Place in the neighbourhood's coordinate system.
    pub at: Coord<f64>,
    /// Elevation of the grate, in metres.
    pub rim_m: f64,
    /// Elevation of the bottom of the pipe that leaves it, in metres.
    pub invert_m: f64,
}

/// The neighbourhood. Every call gives the same one.
#[must_use]
pub fn neighbourhood() -> Neighbourhood {
    let georef = Georef { west: CORNER.x, north: CORNER.y + height_m(), step_x: CELL_M, step_y: CELL_M };
    // The ground is made around the raster's own corner, where a double holds a place to far below a micrometre.
    let local = frame::Frame::around(Coord { x: width_m() / 2.0, y: height_m() / 2.0 });
    let on_the_map =
        frame::Frame::around(Coord { x: CORNER.x + width_m() / 2.0, y: CORNER.y + height_m() / 2.0 });
    let elevation = (0..SHAPE.len()).map(|index| surface(local, SHAPE.cell(index))).collect();
    Neighbourhood {
        elevation: Grid::new(SHAPE, elevation),
        georef,
        epsg: EPSG,
        lots: lots::lots(on_the_map),
        subject: plan::SUBJECT,
        inlets: inlets(on_the_map),
        buildings: lots::buildings(on_the_map),
    }
}

#[expect(clippy::cast_precision_loss, reason = "some hundred columns")]
fn width_m() -> f64 {
    SHAPE.cols as f64 * CELL_M
}

#[expect(clippy::cast_precision_loss, reason = "some hundred rows")]
fn height_m() -> f64 {
    SHAPE.rows as f64 * CELL_M
}

#[expect(clippy::cast_possible_truncation, reason = "rasters of elevations are in single precision")]
fn surface(frame: frame::Frame, cell: Cell) -> f32 {
    let local = Georef { west: 0.0, north: height_m(), step_x: CELL_M, step_y: CELL_M };
    let (x, y) = local.centre(cell);
    ground::elevation(frame, Coord { x, y }) as f32
}

fn inlets(frame: frame::Frame) -> Vec<DemoInlet> {
    let inlet = |(number, at): (usize, frame::Place)| {
        let rim_m = street::LOWER.gutter_level(at.along);
        DemoInlet {
            id: format!("inlet {}", number + 1),
            at: frame.coord(at),
            rim_m,
            invert_m: rim_m - INLET_DEPTH_M,
        }
    };
    street::LOWER.inlets().into_iter().enumerate().map(inlet).collect()
}

#[cfg(test)]
mod tests;
