//! Level ground behind a wall with one gap.

use lotshed::flow::{FlowField, Routing, directions, upstream_area};
use lotshed::grid::{Cell, CellSize, Grid, GridShape};
use lotshed::terrain::{Rim, fill};

const UNIT: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };
/// No round number, so that one that was touched would show.
const LEVEL: f32 = 217.313_7;

/// A walled flat; the gap is as low as the flat.
fn walled(shape: GridShape, gap: Cell) -> Grid<f32> {
    let mut ground = Grid::filled(shape, LEVEL);
    for index in 0..shape.len() {
        if shape.is_rim(shape.cell(index)) {
            ground.values_mut()[index] = LEVEL + 1.5;
        }
    }
    *ground.at_mut(gap) = LEVEL;
    ground
}

fn steps_to_end(field: &FlowField, start: usize) -> (usize, usize) {
    let (mut at, mut steps) = (start, 0);
    while let Some((next, share)) = field.receivers(at).into_iter().next() {
        assert!((share - 1.0).abs() < 1e-12, "on a flat all water goes one way");
        at = next;
        steps += 1;
        assert!(steps <= field.shape().len(), "goes round in a circle from {start}");
    }
    (at, steps)
}

#[test]
fn a_flat_drains_through_its_only_gap_by_the_shortest_way_and_untouched() {
    let places = [
        (GridShape { rows: 7, cols: 11 }, Cell { row: 3, col: 0 }),
        (GridShape { rows: 40, cols: 23 }, Cell { row: 39, col: 5 }),
        (GridShape { rows: 31, cols: 64 }, Cell { row: 0, col: 62 }),
    ];
    for (shape, gap) in places {
        let ground = walled(shape, gap);
        let filled = fill(&ground, &Rim::OPEN, &[]).expect("the gap is a way out");
        assert_eq!(filled, ground, "nothing is raised");
        for routing in [Routing::Proportional, Routing::Steepest] {
            let is_rim = |i: usize| shape.is_rim(shape.cell(i));
            let field = directions(&filled, UNIT, routing, is_rim).expect("a filled surface drains");
            let area = upstream_area(&field, UNIT).expect("no cycle");
            let all = shape.len() as f64;
            assert!((area.at(gap) - all).abs() < 1e-9, "all of {all} m² leaves by the gap: {}", area.at(gap));
            let leaving: Vec<usize> = (0..shape.len()).filter(|&i| field.leaves(i)).collect();
            assert_eq!(leaving, [shape.index(gap)], "no water climbs the wall");
            for start in (0..shape.len()).filter(|&i| !is_rim(i)) {
                let (end, steps) = steps_to_end(&field, start);
                let from = shape.cell(start);
                // Chebyshev distance: a step may change both row and column by one.
                let expected = from.row.abs_diff(gap.row).max(from.col.abs_diff(gap.col));
                assert_eq!((end, steps), (shape.index(gap), expected), "from {from:?}");
            }
        }
    }
}
