//! The same neighbourhood turned, mirrored or moved: results must turn, mirror and move with it.

use geo::{Coord, MapCoords, Polygon, Winding};

use super::Neighbourhood;
use crate::grid::{Cell, Georef, Grid, GridShape};

impl Neighbourhood {
    /// Turned anticlockwise by quarter turns about the north-west corner of the raster, then moved back so that
    /// this corner is again the raster's north-west corner.
    #[must_use]
    pub fn turned(&self, quarters: u8) -> Self {
        (0..quarters % 4).fold(self.clone(), |turned, _| turned.quarter_turned())
    }

    /// Mirrored: east and west change places.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "some hundred columns")]
    pub fn mirrored(&self) -> Self {
        let shape = self.elevation.shape();
        let old = self.georef;
        let width = shape.cols as f64 * old.step_x;
        let swap = move |cell: Cell| Cell { row: cell.row, col: shape.cols - 1 - cell.col };
        self.remade(shape, old, swap, |at| Coord { x: old.west + (width - (at.x - old.west)), y: at.y })
    }

    /// Moved east by `dx` and north by `dy` metres.
    #[must_use]
    pub fn shifted(&self, dx: f64, dy: f64) -> Self {
        let georef = Georef { west: self.georef.west + dx, north: self.georef.north + dy, ..self.georef };
        self.remade(self.elevation.shape(), georef, |cell| cell, |at| Coord { x: at.x + dx, y: at.y + dy })
    }

    #[expect(clippy::cast_precision_loss, reason = "some hundred columns")]
    fn quarter_turned(&self) -> Self {
        let shape = self.elevation.shape();
        let old = self.georef;
        let width = shape.cols as f64 * old.step_x;
        let turned = GridShape { rows: shape.cols, cols: shape.rows };
        let georef = Georef { step_x: old.step_y, step_y: old.step_x, ..old };
        // Anticlockwise: what was the east side becomes the north side.
        let source = move |cell: Cell| Cell { row: cell.col, col: shape.cols - 1 - cell.row };
        let place = |at: Coord<f64>| {
            let (east, south) = (at.x - old.west, old.north - at.y);
            Coord { x: old.west + south, y: old.north - (width - east) }
        };
        self.remade(turned, georef, source, place)
    }

    /// Takes each cell from its `source` and sends each coordinate to its `place`.
    fn remade(
        &self,
        shape: GridShape,
        georef: Georef,
        source: impl Fn(Cell) -> Cell,
        place: impl Fn(Coord<f64>) -> Coord<f64>,
    ) -> Self {
        let values = (0..shape.len()).map(|index| *self.elevation.at(source(shape.cell(index)))).collect();
        let mut made = self.clone();
        made.elevation = Grid::new(shape, values);
        made.georef = georef;
        for lot in &mut made.lots {
            lot.outline = anticlockwise(&lot.outline.map_coords(&place));
        }
        for building in &mut made.buildings {
            *building = anticlockwise(&building.map_coords(&place));
        }
        for inlet in &mut made.inlets {
            inlet.at = place(inlet.at);
        }
        made
    }
}

/// The polygon with its outer ring anticlockwise and its holes clockwise.
fn anticlockwise(polygon: &Polygon<f64>) -> Polygon<f64> {
    let (mut outer, mut holes) = polygon.clone().into_inner();
    outer.make_ccw_winding();
    for hole in &mut holes {
        hole.make_cw_winding();
    }
    Polygon::new(outer, holes)
}
