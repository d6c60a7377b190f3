//! Holes in the elevations above a lot, on a plane that falls exactly south.
//!
//! Ground that touches a hole drains into it. Of the cells just above a hole only those at its two ends have a lower
//! cell beside it, diagonally; so a hole `w` cells wide with `r` rows above it keeps `(w - 2) r` cells of ground from
//! the lot, and its own cells are no ground.

use crate::world::{World, block};
use approx::assert_relative_eq;
use lotshed::flow::{Routing, upstream_area};
use lotshed::grid::{CellSize, Grid, GridShape};
use lotshed::lots::{Arrival, origins};

const UNIT: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };
const SHAPE: GridShape = GridShape { rows: 40, cols: 50 };

/// Run-on of a lot over columns 10 to 35 and rows 20 to 29, with a hole at rows 10 to 13.
fn run_on(hole: std::ops::Range<usize>, routing: Routing) -> f64 {
    let values = (0..SHAPE.len()).map(|i| {
        let cell = SHAPE.cell(i);
        let void = (10..14).contains(&cell.row) && hole.contains(&cell.col);
        if void { f32::NAN } else { 50.0 - 0.0625 * cell.row as f32 }
    });
    let z = Grid::new(SHAPE, values.collect());
    let world = World::new(&z, UNIT, routing, &[block(10.0, 10.0, 36.0, 20.0)]);
    if routing != Routing::Single {
        let area = upstream_area(&world.field, UNIT).expect("no cycle");
        let out: f64 = (0..SHAPE.len()).filter(|&i| world.field.leaves(i)).map(|i| area.values()[i]).sum();
        let ground = z.values().iter().filter(|z| !z.is_nan()).count();
        assert_relative_eq!(out, ground as f64, max_relative = 1e-12);
    }
    let scene = world.scene();
    origins(&scene, &Arrival::of(&scene)).iter().map(|(_, m2)| m2).sum()
}

#[test]
fn a_hole_keeps_back_the_water_of_the_ground_above_it() {
    for routing in [Routing::Proportional, Routing::Single, Routing::Steepest] {
        assert_relative_eq!(run_on(0..0, routing), 26.0 * 20.0, epsilon = 1e-9);
        for (first, width) in [(20, 6), (15, 2), (12, 20), (30, 3)] {
            let lost = (width * 4 + (width - 2) * 10) as f64;
            assert_relative_eq!(run_on(first..first + width, routing), 26.0 * 20.0 - lost, epsilon = 1e-9);
        }
    }
}

#[test]
fn a_hole_beside_the_catchment_changes_nothing() {
    for routing in [Routing::Proportional, Routing::Single, Routing::Steepest] {
        assert_relative_eq!(run_on(40..45, routing), 26.0 * 20.0, epsilon = 1e-9);
    }
}
