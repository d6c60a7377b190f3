//! Where water runs that a part of the line can't take.

use super::catchment::Routed;
use super::proof::LineProof;
use crate::error::Error;
use crate::grid::{Cell, Direction};
use crate::input::Site;
use crate::interceptor::proof::{OverflowWay, overflow_way};
use crate::interceptor::{InterceptionLine, LinePart};
use geo::{BoundingRect, Contains, Point};
use std::collections::{BTreeMap, BTreeSet};

/// Both ways in which water comes over a part; nothing where none is known. What they meet are buildings, by their places in
/// the file: cells of their footprints, and those that touch them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Overflows {
    /// What doesn't get in: all along the part, as the run-on comes.
    pub along: Option<OverflowWay>,
    /// What a full pipe can't take: at the part's lowest ground.
    pub lowest: Option<OverflowWay>,
}

/// Follows it for each part, over the ground without the line.
pub(super) fn overflows(
    site: &Site,
    routed: &Routed,
    interception: &InterceptionLine,
    proof: Option<&LineProof>,
) -> Result<Vec<Overflows>, Error> {
    let Some(proof) = proof else { return Ok(Vec::new()) };
    let buildings = buildings(site, routed);
    let spill = |over: &[(usize, f64)]| overflow_way(&routed.scene(), over, &buildings);
    let one = |(part, crossing): (&LinePart, &Vec<(usize, f64)>)| {
        let lowest = part.lowest.and_then(|place| routed.cell_at(part.stations[place].point));
        let lowest: Vec<(usize, f64)> = lowest.map(|cell| (cell, 1.0)).into_iter().collect();
        Ok(Overflows { along: spill(crossing)?, lowest: spill(&lowest)? })
    };
    interception.parts.iter().zip(&proof.proof.crossing_m2).map(one).collect()
}

/// Cells of each building and those that touch it, rising; none for a building that covers the middle of no cell.
fn buildings(site: &Site, routed: &Routed) -> BTreeMap<usize, Vec<usize>> {
    let Some(set) = &site.beside.buildings else { return BTreeMap::new() };
    let (shape, georef) = (routed.ground.raw.shape(), routed.ground.georef);
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    let (cols, rows) = (shape.cols as f64, shape.rows as f64);
    let (east, south) = (georef.west + cols * georef.step_x, georef.north - rows * georef.step_y);
    let mut found = BTreeMap::new();
    for place in set.within(georef.west, south, east, georef.north) {
        let outline = &set.patches()[place].outline;
        let Some(rect) = outline.bounding_rect() else { continue };
        let (west, north) = georef.to_grid(rect.min().x, rect.max().y);
        let (east, south) = georef.to_grid(rect.max().x, rect.min().y);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the grid")]
        let range = |a: f64, b: f64, most: f64| {
            (a.floor().clamp(0.0, most) as usize)..(b.ceil().clamp(0.0, most) as usize)
        };
        let mut cells = BTreeSet::new();
        for row in range(north, south, rows) {
            for col in range(west, east, cols) {
                let at = Cell { row, col };
                let (x, y) = georef.centre(at);
                if !outline.contains(&Point::new(x, y)) {
                    continue;
                }
                let beside = Direction::ALL.into_iter().filter_map(|way| shape.neighbour(at, way));
                cells.extend(beside.chain([at]).map(|cell| shape.index(cell)));
            }
        }
        if !cells.is_empty() {
            found.insert(place, cells.into_iter().collect());
        }
    }
    found
}
