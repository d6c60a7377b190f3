//! Ponds of known shape.

use super::*;
use crate::grid::GridShape;
use crate::terrain::{Outlet, Rim, fill};
use approx::assert_abs_diff_eq;

const METRE: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };

fn grid<const C: usize>(rows: &[[f32; C]]) -> Grid<f32> {
    Grid::new(GridShape { rows: rows.len(), cols: C }, rows.concat())
}

fn list(raw: &Grid<f32>, cell: CellSize, min_depth_m: f32) -> Vec<Pond> {
    ponds(raw, &fill(raw, &Rim::OPEN, &[]).unwrap(), cell, min_depth_m)
}

/// A bowl z = 0.01 r^2 up to the radius of 10 m, and level ground around it.
fn bowl(side_m: f64) -> Grid<f32> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small positive number")]
    let half = (12.0 / side_m).round() as usize;
    let shape = GridShape { rows: 2 * half + 1, cols: 2 * half + 1 };
    let values = (0..shape.len()).map(|at| {
        let cell = shape.cell(at);
        let metres = |index: usize| {
            let steps = f64::from(u32::try_from(index).unwrap()) - f64::from(u32::try_from(half).unwrap());
            steps * side_m
        };
        let (x, y) = (metres(cell.col), metres(cell.row));
        #[expect(clippy::cast_possible_truncation, reason = "elevations are kept as f32")]
        {
            (0.01 * (x * x + y * y).min(100.0)) as f32
        }
    });
    Grid::new(shape, values.collect())
}

// Closed form: the paraboloid z = k r^2 below the level k R^2 holds pi k R^4 / 2 and covers pi R^2; with k = 0.01 per
// metre and R = 10 m that is 157.0796 m3 and 314.159 m2. Sums over squares come near with the square of their side
// (volume), or with the side (area). On whole metres the area is known exactly: 317 points of the square lattice lie
// within 10 of one, 12 of them at 10 (OEIS A000328 and A046109, from memory).
#[test]
fn a_round_bowl_holds_what_its_formula_says() {
    for side_m in [1.0, 0.5, 0.25, 0.1] {
        let found = list(&bowl(side_m), CellSize { dx_m: side_m, dy_m: side_m }, 0.05);
        let [pond] = &found[..] else { panic!("one pond, not {}", found.len()) };
        assert_abs_diff_eq!(pond.volume_m3, 157.0796, epsilon = 0.25 * side_m * side_m + 1e-4);
        assert_abs_diff_eq!(pond.area_m2, 314.159, epsilon = 10.0 * side_m);
        assert_abs_diff_eq!(pond.depth_m, 1.0, epsilon = 1e-6);
        assert_abs_diff_eq!(pond.level_m, 1.0, epsilon = 1e-6);
        assert_eq!(pond.deepest.row, pond.deepest.col);
        assert!(side_m < 1.0 || pond.cells().count() == 317 - 12);
        assert_eq!(
            pond.cells().count(),
            pond.runs.iter().map(|run| run.end_col - run.first_col).sum::<usize>()
        );
    }
}

#[test]
fn oblong_cells_count_by_their_own_area() {
    let raw = grid(&[[5.0, 5.0, 5.0, 5.0], [5.0, 1.0, 2.0, 5.0], [5.0, 5.0, 5.0, 4.0]]);
    let found = list(&raw, CellSize { dx_m: 2.0, dy_m: 0.5 }, 0.0);
    let [pond] = &found[..] else { panic!("one pond") };
    assert_abs_diff_eq!(pond.volume_m3, 3.0 + 2.0);
    assert_abs_diff_eq!(pond.area_m2, 2.0);
    assert_eq!(pond.spill, Some(Cell { row: 2, col: 3 }));
    assert_eq!(pond.deepest, Cell { row: 1, col: 1 });
}

#[test]
fn lists_the_largest_first_and_leaves_out_the_shallow() {
    let raw = grid(&[
        [9.0, 9.0, 9.0, 9.0, 9.0, 9.0, 9.0],
        [9.0, 7.0, 9.0, 3.0, 9.0, 8.9, 9.0],
        [9.0, 9.0, 9.0, 9.0, 9.0, 9.0, 9.0],
    ]);
    let found = list(&raw, METRE, 0.5);
    let seen: Vec<_> = found.iter().map(|pond| (pond.id, pond.deepest.col)).collect();
    assert_eq!(seen, [(1, 3), (2, 1)]);
    assert_eq!(list(&raw, METRE, 0.0).len(), 3);
}

#[test]
fn cells_that_touch_at_a_corner_are_one_pond() {
    let raw = grid(&[
        [9.0, 9.0, 9.0, 9.0, 9.0],
        [9.0, 1.0, 9.0, 1.0, 9.0],
        [9.0, 9.0, 1.0, 9.0, 9.0],
        [9.0, 1.0, 9.0, 9.0, 9.0],
        [9.0, 9.0, 9.0, 9.0, 9.0],
    ]);
    let found = list(&raw, METRE, 0.0);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].runs.len(), 4);
}

#[test]
fn water_spills_across_level_ground_to_where_it_falls() {
    let raw = grid(&[
        [9.0, 9.0, 9.0, 9.0, 9.0, 9.0],
        [9.0, 1.0, 5.0, 5.0, 4.0, 3.0],
        [9.0, 9.0, 9.0, 9.0, 9.0, 9.0],
    ]);
    assert_eq!(list(&raw, METRE, 0.0)[0].spill, Some(Cell { row: 1, col: 3 }));
}

#[test]
fn an_outlet_inside_a_pond_leaves_no_spill_cell() {
    let raw = grid(&[[9.0, 9.0, 9.0], [9.0, 1.0, 9.0], [9.0, 9.0, 9.0]]);
    let outlet = Outlet { cell: Cell { row: 1, col: 1 }, level_m: 2.5 };
    let filled = fill(&raw, &Rim::OPEN, &[outlet]).unwrap();
    let found = ponds(&raw, &filled, METRE, 0.0);
    assert_abs_diff_eq!(found[0].volume_m3, 1.5);
    assert_eq!(found[0].spill, None);
}
