//! The base scene in other places and other units.

use super::answer::{Answer, Who};
use super::lots::{At, Lots, rectangle, true_area_m2};
use super::raster::{Raster, RasterCrs};
use super::scene::{CLOSE, NORTH, WEST, expect, plane};

/// The base scene moved to another place: raster and lots in units of `crs`, the raster's north-west corner at
/// (`west`, `north`).
pub(crate) struct Elsewhere {
    /// The system.
    pub(crate) crs: &'static str,
    /// West edge of the raster.
    pub(crate) west: f64,
    /// North edge of the raster.
    pub(crate) north: f64,
    /// Units of the system per cell.
    pub(crate) cell: f64,
}

impl Elsewhere {
    /// The plane, placed there.
    pub(crate) fn raster(&self) -> Raster {
        plane().at(self.west, self.north, self.cell, self.cell).crs(RasterCrs::Text(self.crs.to_owned()))
    }

    /// The lots of the base scene, placed there.
    pub(crate) fn lots(&self) -> Lots {
        let mut lots = Lots::base().moved(|at| self.place(at));
        self.crs.clone_into(&mut lots.crs);
        lots
    }

    /// Where a position of the base scene lies.
    pub(crate) fn place(&self, at: At) -> At {
        At { x: self.west + (at.x - WEST) * self.cell, y: self.north + (at.y - NORTH) * self.cell }
    }

    /// True area of a rectangle of the scene, by geodesics.
    pub(crate) fn true_area(&self, west: f64, south: f64, east: f64, north: f64) -> f64 {
        let ring = rectangle(west, south, east, north);
        true_area_m2(self.crs, &ring.into_iter().map(|at| self.place(at)).collect())
    }

    /// N and the strip above it, by their true areas.
    pub(crate) fn expect(&self, answer: &Answer) {
        expect(
            answer,
            &[
                (Who::Lot("N"), self.true_area(20.0, 40.0, 60.0, 60.0)),
                (Who::Unparcelled, self.true_area(20.0, 60.0, 60.0, 80.0)),
            ],
            CLOSE,
        );
    }
}
