//! Where water runs that a part of the line can't take.

use super::catchment::Routed;
use super::proof::LineProof;
use super::shares::TakenShare;
use super::storms::PartStorms;
use crate::error::Error;
use crate::grid::{Cell, Direction};
use crate::input::Site;
use crate::interceptor::proof::{CrossedPart, OverflowWay, overflow_way};
use crate::interceptor::{InterceptionLine, LinePart};
use geo::{BoundingRect, Contains, Point};
use std::collections::{BTreeMap, BTreeSet};

/// Both ways in which water comes over a part; nothing where none is known. What they meet are buildings, by their places in
/// the file: cells of their footprints, and those that touch them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Overflows {
    /// What isn't taken, where it comes to the part: in the first storm that the drain doesn't carry whole; all along it where it
    /// carries all of them.
    pub along: Option<OverflowWay>,
    /// What a full pipe can't take: at the part's lowest ground.
    pub lowest: Option<OverflowWay>,
}

/// Follows it for each part, over the ground without the line.
pub(super) fn overflows(
    site: &Site,
    routed: &Routed,
    interception: &InterceptionLine,
    (proof, storms): (Option<&LineProof>, &[Option<PartStorms>]),
) -> Result<Vec<Overflows>, Error> {
    let Some(proof) = proof else { return Ok(Vec::new()) };
    let buildings = buildings(site, routed);
    let spill = |over: &[(usize, f64)]| overflow_way(&routed.scene(), over, &buildings);
    let one = |((part, crossing), storms): ((&LinePart, &Vec<CrossedPart>), &Option<PartStorms>)| {
        let lowest = part.lowest.and_then(|place| routed.cell_at(part.stations[place].point));
        let lowest: Vec<(usize, f64)> = lowest.map(|cell| (cell, 1.0)).into_iter().collect();
        let taken = storms.as_ref().and_then(|storms| storms.not_carried.as_ref());
        Ok(Overflows { along: spill(&passing(crossing, taken))?, lowest: spill(&lowest)? })
    };
    interception.parts.iter().zip(&proof.proof.crossing).zip(storms).map(one).collect()
}

/// Water that isn't taken, by the cell behind the part; all that crosses where nothing is known of what is.
fn passing(crossing: &[CrossedPart], taken: Option<&TakenShare>) -> Vec<(usize, f64)> {
    let mut found: BTreeMap<usize, f64> = BTreeMap::new();
    for at in crossing {
        let left = taken.map_or(1.0, |taken| 1.0 - taken.at(at.station_m));
        *found.entry(at.cell).or_default() += at.area_m2 * left;
    }
    found.into_iter().collect()
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
