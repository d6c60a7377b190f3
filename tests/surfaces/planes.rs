//! A square lot on a plane that falls at an angle to the grid.
//!
//! Truth: a point outside drains onto the lot if the straight line along the fall meets the lot.

use crate::world::{World, block, compare, heights, segment_meets_block};
use approx::assert_relative_eq;
use lotshed::flow::Routing;
use lotshed::grid::{CellSize, GridShape};

const SIDE: f64 = 40.0;
const RUN: f64 = 300.0;
const UNIT: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };
const ANGLES: [f64; 10] = [0.0, 5.0, 10.0, 15.0, 20.0, 22.5, 26.565, 30.0, 40.0, 45.0];

struct Plane {
    /// Unit vector along the fall.
    fall: (f64, f64),
    south_west: (f64, f64),
}

impl Plane {
    /// Falls south, turned towards west by `degrees`.
    fn new(degrees: f64) -> Self {
        let (sin, cos) = degrees.to_radians().sin_cos();
        Self { fall: (-sin, -cos), south_west: (60.0, 60.0) }
    }

    fn shape() -> GridShape {
        GridShape { rows: 460, cols: 460 }
    }

    fn world(&self, routing: Routing) -> World {
        let z = heights(Self::shape(), UNIT, |x, y| 50.0 - 0.05 * (x * self.fall.0 + y * self.fall.1));
        let (x, y) = self.south_west;
        World::new(&z, UNIT, routing, &[block(x, y, x + SIDE, y + SIDE)])
    }

    /// Whether the line from a point along the fall meets the lot (and starts outside it).
    fn drains_onto_lot(&self, x: f64, y: f64) -> bool {
        let (west, south) = self.south_west;
        let inside = |x: f64, y: f64| x > west && x < west + SIDE && y > south && y < south + SIDE;
        if inside(x, y) {
            return false;
        }
        let far = 1000.0;
        let to = (x + far * self.fall.0, y + far * self.fall.1);
        segment_meets_block((x, y), to, self.south_west, SIDE)
    }

    /// Within the run upslope of the lot's middle.
    fn counts(&self, x: f64, y: f64) -> bool {
        let (cx, cy) = (self.south_west.0 + SIDE / 2.0, self.south_west.1 + SIDE / 2.0);
        let upslope = -((x - cx) * self.fall.0 + (y - cy) * self.fall.1);
        upslope <= RUN
    }
}

/// Corners of the lot: where it lies against the grid of paths decides whether one path more or less meets it.
const PLACES: [(f64, f64); 4] = [(60.0, 60.0), (61.0, 63.0), (67.0, 60.0), (60.0, 71.0)];

/// Area errors averaged over the places, and the worst misallocation, at one angle.
///
/// A single path is a line of cells: one more or less that meets the lot is 1 part in about 50 of its source strip. So
/// the area is judged on average over places, the map of the source at each of them.
fn judge(degrees: f64, routing: Routing) -> (f64, f64) {
    let mut mean = 0.0;
    let mut worst: f64 = 0.0;
    for place in PLACES {
        let plane = Plane { south_west: place, ..Plane::new(degrees) };
        let shares = plane.world(routing).shares();
        let georef = crate::world::georef(Plane::shape(), UNIT);
        let found = compare(&shares, georef, |x, y| plane.counts(x, y), |x, y| plane.drains_onto_lot(x, y));
        mean += found.area_error / PLACES.len() as f64;
        worst = worst.max(found.misallocated);
    }
    (mean, worst)
}

#[test]
fn single_routing_finds_the_source_area_at_every_angle() {
    for degrees in ANGLES {
        let (area_error, misallocated) = judge(degrees, Routing::Single);
        assert!(area_error.abs() <= 0.02, "{degrees} degrees: area off by {area_error:.4}");
        assert!(misallocated <= 0.03, "{degrees} degrees: misallocated {misallocated:.4}");
    }
}

#[test]
fn proportional_routing_finds_the_source_area_at_every_angle() {
    for degrees in ANGLES {
        let (area_error, misallocated) = judge(degrees, Routing::Proportional);
        assert!(area_error.abs() <= 0.02, "{degrees} degrees: area off by {area_error:.4}");
        assert!(misallocated <= 0.10, "{degrees} degrees: misallocated {misallocated:.4}");
    }
}

/// Steepest-of-eight must show its known bias. Below 22.5 degrees it runs straight south, so of the rows above the lot
/// it takes the lot's width w where the truth is w(1 + tan a): the lot's east side catches w·tan a more.
#[test]
fn steepest_routing_shows_its_known_bias() {
    for degrees in [5.0, 10.0, 15.0] {
        let plane = Plane::new(degrees);
        let world = plane.world(Routing::Steepest);
        let above = |_: f64, y: f64| y > plane.south_west.1 + SIDE && y < plane.south_west.1 + SIDE + 250.0;
        let found = compare(&world.shares(), world.georef, above, |x, y| plane.drains_onto_lot(x, y));
        let expected = 1.0 / (1.0 + f64::to_radians(degrees).tan());
        assert_relative_eq!(found.area_error + 1.0, expected, max_relative = 0.005);
    }
}

/// Water of one cell spreads like coin tosses: after n rows its column has moved n·p on average with variance
/// n·p(1-p), p = tan a (binomial distribution).
#[test]
fn proportional_routing_spreads_like_a_binomial() {
    let degrees = 22.5;
    let plane = Plane::new(degrees);
    let world = plane.world(Routing::Proportional);
    let shape = Plane::shape();
    let (start_row, start_col, rows) = (10_usize, 400_usize, 300_usize);
    let mut row_mass = vec![0.0; shape.cols];
    row_mass[start_col] = 1.0;
    for row in start_row..start_row + rows {
        let mut next = vec![0.0; shape.cols];
        for (col, mass) in row_mass.iter().enumerate().filter(|(_, m)| **m > 0.0) {
            for (receiver, share) in world.field.receivers(row * shape.cols + col) {
                assert_eq!(receiver / shape.cols, row + 1, "every step goes one row down");
                next[receiver % shape.cols] += share * mass;
            }
        }
        row_mass = next;
    }
    let moved = |col: usize| start_col as f64 - col as f64;
    let mean: f64 = row_mass.iter().enumerate().map(|(c, m)| m * moved(c)).sum();
    let variance: f64 = row_mass.iter().enumerate().map(|(c, m)| m * (moved(c) - mean).powi(2)).sum();
    let (n, p) = (rows as f64, f64::to_radians(degrees).tan());
    assert_relative_eq!(mean, n * p, max_relative = 2e-4);
    assert_relative_eq!(variance, n * p * (1.0 - p), max_relative = 2e-3);
}

// Shared flow: of two receivers ways take each as often as its share, evenly spread, so that they run along the fall where most water
// does, and are as long as they lead down it.
#[test]
fn ways_of_shared_flow_run_along_the_fall() {
    for degrees in ANGLES {
        let plane = Plane::new(degrees);
        let world = plane.world(Routing::Proportional);
        let (ways, shares) = (world.ways(), world.shares());
        let most = (0..ways.len()).filter(|&place| shares.values()[ways.cell(place)] > 0.5);
        let longest = most.max_by(|&a, &b| ways.to_end_m(a).total_cmp(&ways.to_end_m(b)));
        let way = ways.way(longest.expect("water enters"));
        let end = |cell: usize| world.georef.centre(world.lots.shape().cell(cell));
        let ((x0, y0), (x1, y1)) = (end(way.cells[0]), end(way.cells[way.cells.len() - 1]));
        let down = (x1 - x0) * plane.fall.0 + (y1 - y0) * plane.fall.1;
        assert_relative_eq!(way.length_m, down, max_relative = 1e-4);
        let along = down / (x1 - x0).hypot(y1 - y0);
        assert!(along > 0.99, "{degrees} degrees: {along}");
    }
}

// On a plane the longest way is straight and runs along the fall: its length is the distance between its ends, whatever the
// angle. Along the cells' steps it would be up to 8 % longer (at 22.5 degrees), which the second check sees.
#[test]
fn the_longest_way_is_as_long_as_it_is_straight() {
    let mut longest_detour = 1.0_f64;
    for degrees in ANGLES {
        let plane = Plane::new(degrees);
        let world = plane.world(Routing::Single);
        let way = world.longest_way();
        let end = |cell: usize| world.georef.centre(world.lots.shape().cell(cell));
        let ((x0, y0), (x1, y1)) = (end(way.cells[0]), end(way.cells[way.cells.len() - 1]));
        let straight = (x1 - x0).hypot(y1 - y0);
        assert_relative_eq!(way.length_m, straight, max_relative = 0.01);
        let along = ((x1 - x0) * plane.fall.0 + (y1 - y0) * plane.fall.1) / straight;
        assert!(along > 0.999, "{degrees} degrees: {along}");
        let steps: f64 = way.cells.windows(2).map(|p| world.scene().step_length(p[0], p[1])).sum();
        longest_detour = longest_detour.max(steps / straight);
    }
    assert!((1.07..1.09).contains(&longest_detour), "{longest_detour}");
}
