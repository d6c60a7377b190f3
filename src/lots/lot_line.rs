//! The lot line, measured along from a start that everyone finds again.
//!
//! A position on the lot line is a ring and a chainage: true metres, clockwise, from the ring's northernmost vertex.

mod ring;

use geo::{Coord, MultiPolygon};
pub use ring::{LotRing, RingKind};

/// Vertices this close in northing count as equally far north; the westernmost of them is the start.
const NORTH_TIE_M: f64 = 0.01;

/// A lot that has no usable line around it.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum LotLineError {
    /// The geometry has no polygon.
    #[error("the lot has no polygon")]
    Empty,
    /// A coordinate is not a finite number.
    #[error("ring {ring} of the lot has the coordinate ({x}, {y}), which is not finite")]
    #[diagnostic(help("repair the polygon, or leave it out of the parcel file"))]
    NotFinite {
        /// Number of the ring in the order of the input, from 0.
        ring: usize,
        /// Easting found.
        x: f64,
        /// Northing found.
        y: f64,
    },
    /// A ring encloses no area.
    #[error("ring {ring} of the lot, near ({x}, {y}), encloses no area")]
    #[diagnostic(help("repair the polygon: a ring needs at least three corners that are not on one line"))]
    NoArea {
        /// Number of the ring in the order of the input, from 0.
        ring: usize,
        /// Easting of its first vertex.
        x: f64,
        /// Northing of its first vertex.
        y: f64,
    },
    /// The unit of the coordinates has no length.
    #[error("a unit of the coordinates is {found} m, which is not above 0")]
    Scale {
        /// Metres per unit found.
        found: f64,
    },
}

/// A place on the lot line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinePosition {
    /// Number of the ring, from 0.
    pub ring: usize,
    /// True metres clockwise from the ring's start, at least 0 and below the ring's length.
    pub chainage_m: f64,
}

/// The place of the lot line next to a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NearestPosition {
    /// Number of the ring, from 0.
    pub ring: usize,
    /// True metres clockwise from the ring's start, at least 0 and below the ring's length.
    pub chainage_m: f64,
    /// True metres from the point to the place.
    pub distance_m: f64,
}

/// All rings of a lot.
///
/// # Units
/// Points in the units of the working coordinate system, lengths and chainages in true metres.
///
/// # Invariants
/// At least one ring. Outer rings first, holes after, each group from north to south (by start; to the centimetre),
/// then from west to east.
#[derive(Debug, Clone, PartialEq)]
pub struct LotLine {
    lot: MultiPolygon,
    rings: Vec<LotRing>,
    metres_per_unit: f64,
}

impl LotLine {
    /// Measures the rings of a lot.
    ///
    /// # Units
    /// `metres_per_unit`: true metres on the ground per unit of the coordinates.
    ///
    /// # Errors
    /// [`LotLineError`] for a lot without polygon, a ring without area, a coordinate or a scale that is none.
    pub fn new(lot: &MultiPolygon, metres_per_unit: f64) -> Result<Self, LotLineError> {
        if !(metres_per_unit.is_finite() && metres_per_unit > 0.0) {
            return Err(LotLineError::Scale { found: metres_per_unit });
        }
        let mut sources = Vec::new();
        for polygon in lot {
            sources.push((polygon.exterior(), RingKind::Outer));
            sources.extend(polygon.interiors().iter().map(|hole| (hole, RingKind::Hole)));
        }
        let mut rings = sources
            .into_iter()
            .enumerate()
            .map(|(number, (source, kind))| LotRing::new(source, kind, number, metres_per_unit))
            .collect::<Result<Vec<_>, _>>()?;
        if rings.is_empty() {
            return Err(LotLineError::Empty);
        }
        // To the centimetre, so that noise in the last digits doesn't renumber rings that start level.
        let southing = |ring: &LotRing| (-ring.points()[0].y * metres_per_unit / NORTH_TIE_M).round();
        rings.sort_by(|a, b| {
            (a.kind() == RingKind::Hole)
                .cmp(&(b.kind() == RingKind::Hole))
                .then(southing(a).total_cmp(&southing(b)))
                .then(a.points()[0].x.total_cmp(&b.points()[0].x))
        });
        Ok(Self { lot: lot.clone(), rings, metres_per_unit })
    }

    /// The lot itself.
    #[must_use]
    pub const fn lot(&self) -> &MultiPolygon {
        &self.lot
    }

    /// The rings, in order.
    #[must_use]
    pub fn rings(&self) -> &[LotRing] {
        &self.rings
    }

    /// A ring by its number.
    #[must_use]
    pub fn ring(&self, number: usize) -> Option<&LotRing> {
        self.rings.get(number)
    }

    /// True metres per unit of the coordinates.
    #[must_use]
    pub const fn metres_per_unit(&self) -> f64 {
        self.metres_per_unit
    }

    /// Length of each ring in true metres.
    #[must_use]
    pub fn ring_lengths_m(&self) -> Vec<f64> {
        self.rings.iter().map(LotRing::length_m).collect()
    }

    /// The place next to a point; of equally near ones that on the first ring, then with the smallest chainage.
    #[must_use]
    pub fn nearest(&self, point: Coord) -> NearestPosition {
        let mut best = NearestPosition { ring: 0, chainage_m: 0.0, distance_m: f64::INFINITY };
        for (ring, line) in self.rings.iter().enumerate() {
            let (chainage_m, distance_m) = line.nearest(point);
            if distance_m < best.distance_m {
                best = NearestPosition { ring, chainage_m, distance_m };
            }
        }
        best
    }

    /// Where a straight way crosses the lot line last before it ends; see [`LotRing::last_crossing`].
    #[must_use]
    pub fn last_crossing(&self, outside: Coord, inside: Coord) -> Option<LinePosition> {
        let mut last: Option<(f64, LinePosition)> = None;
        for (ring, line) in self.rings.iter().enumerate() {
            if let Some((share, chainage_m)) = line.last_crossing_with_share(outside, inside)
                && last.is_none_or(|(best, _)| share > best)
            {
                last = Some((share, LinePosition { ring, chainage_m }));
            }
        }
        last.map(|(_, position)| position)
    }
}

#[cfg(test)]
#[path = "lot_line/tests.rs"]
mod tests;
