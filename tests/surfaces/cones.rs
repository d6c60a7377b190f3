//! A square lot on a cone: water runs along the radii, outwards or inwards.

use crate::world::{World, block, compare, heights, segment_meets_block};
use lotshed::flow::Routing;
use lotshed::grid::{CellSize, GridShape};

const SIDE: f64 = 40.0;
const RIM: f64 = 200.0;
const UNIT: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };
const BEARINGS: [f64; 7] = [0.0, 8.0, 15.0, 22.5, 30.0, 37.0, 45.0];
const SIZE: usize = 421;
const MIDDLE: f64 = SIZE as f64 / 2.0;

#[derive(Clone, Copy)]
enum Cone {
    Outward,
    Inward,
}

/// The lot's south-west corner: its middle lies `distance` from the apex on a bearing.
fn corner(distance: f64, bearing: f64) -> (f64, f64) {
    let (sin, cos) = bearing.to_radians().sin_cos();
    ((MIDDLE + distance * sin - SIDE / 2.0).round(), (MIDDLE + distance * cos - SIDE / 2.0).round())
}

fn check(cone: Cone, distance: f64, routing: Routing, area_limit: f64, misallocated_limit: f64) {
    let mut mean_error = 0.0;
    for bearing in BEARINGS {
        let (west, south) = corner(distance, bearing);
        let sign = match cone {
            Cone::Outward => -0.05,
            Cone::Inward => 0.05,
        };
        let radius = |x: f64, y: f64| (x - MIDDLE).hypot(y - MIDDLE);
        // Water must get away at the tip of an inward cone: a hole in the data is an outlet.
        let z = heights(GridShape { rows: SIZE, cols: SIZE }, UNIT, |x, y| {
            if radius(x, y) < 1.0 { f64::NAN } else { 50.0 + sign * radius(x, y) }
        });
        let world = World::new(&z, UNIT, routing, &[block(west, south, west + SIDE, south + SIDE)]);
        let inside = |x: f64, y: f64| x > west && x < west + SIDE && y > south && y < south + SIDE;
        // The way of the water is the radius: out to beyond the lot, or in to the tip.
        let truth = |x: f64, y: f64| {
            let r = radius(x, y);
            let end = match cone {
                Cone::Outward => RIM + 2.0 * SIDE,
                Cone::Inward => 0.0,
            };
            let to = (MIDDLE + (x - MIDDLE) / r * end, MIDDLE + (y - MIDDLE) / r * end);
            !inside(x, y) && segment_meets_block((x, y), to, (west, south), SIDE)
        };
        let counts = |x: f64, y: f64| radius(x, y) < RIM;
        let found = compare(&world.shares(), world.georef, counts, truth);
        assert!(
            found.misallocated <= misallocated_limit,
            "bearing {bearing}: misallocated {:.4}",
            found.misallocated
        );
        mean_error += found.area_error.abs() / BEARINGS.len() as f64;
    }
    assert!(mean_error <= area_limit, "area off by {mean_error:.4} on average");
}

#[test]
fn single_routing_on_cones() {
    check(Cone::Outward, 150.0, Routing::Single, 0.02, 0.03);
    check(Cone::Inward, 60.0, Routing::Single, 0.02, 0.03);
}

#[test]
fn proportional_routing_on_cones() {
    check(Cone::Outward, 150.0, Routing::Proportional, 0.02, 0.10);
    check(Cone::Inward, 60.0, Routing::Proportional, 0.02, 0.10);
}
