//! Two pits in a valley, the upper one spilling into the lower.
//!
//! Hand arithmetic: ten cells of a square metre, one metre deep, hold 10 m³; 20 rows by 25 columns drain through the
//! sill behind them, 500 m². So the upper pit passes water on once 10 / 500 m = 20 mm have run off.

use approx::assert_relative_eq;
use lotshed::flow::{Routing, directions, upstream_area};
use lotshed::grid::{Cell, CellSize, Grid, GridShape};
use lotshed::terrain::{Pond, Rim, fill, ponds};

const UNIT: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };
const SHAPE: GridShape = GridShape { rows: 20, cols: 45 };
const AXIS: usize = 10;
const UPPER_SILL: Cell = Cell { row: AXIS, col: 24 };
const LOWER_SILL: Cell = Cell { row: AXIS, col: 35 };

/// The valley's floor without its pits.
fn floor(col: usize) -> f32 {
    let start = if col <= UPPER_SILL.col { 100.0 } else { 99.94 + 0.025 };
    start - 0.001 * col as f32
}

/// Hillsides fall straight to the floor, five times as steep as anything along the valley.
fn valley() -> Grid<f32> {
    let mut ground = Grid::filled(SHAPE, 0.0);
    for index in 0..SHAPE.len() {
        let cell = SHAPE.cell(index);
        let side = if cell.col <= UPPER_SILL.col { 100.0 } else { 99.95 };
        let aside = cell.row.abs_diff(AXIS) as f32;
        *ground.at_mut(cell) = if cell.row == AXIS { floor(cell.col) } else { side + 0.5 * aside };
    }
    for (cols, depth, sill) in [(14..24, 1.0, UPPER_SILL), (30..35, 0.5, LOWER_SILL)] {
        for col in cols {
            *ground.at_mut(Cell { row: AXIS, col }) = floor(sill.col) - depth;
        }
    }
    ground
}

fn holds(pond: &Pond, cell: Cell) -> bool {
    pond.cells().any(|c| c == cell)
}

#[test]
fn the_upper_pit_spills_into_the_lower_after_twenty_millimetres() {
    let ground = valley();
    let filled = fill(&ground, &Rim::OPEN, &[]).expect("the rim lets water out");
    let found = ponds(&ground, &filled, UNIT, 0.05);
    assert_eq!(found.len(), 2);
    let (upper, lower) = (&found[0], &found[1]);
    assert!(holds(upper, Cell { row: AXIS, col: 14 }) && holds(lower, Cell { row: AXIS, col: 34 }));
    assert_relative_eq!(upper.volume_m3, 10.0, epsilon = 1e-3);
    assert_relative_eq!(lower.volume_m3, 2.5, epsilon = 1e-3);
    assert_relative_eq!(upper.level_m, f64::from(floor(UPPER_SILL.col)), epsilon = 1e-9);
    assert_eq!((upper.spill, lower.spill), (Some(UPPER_SILL), Some(LOWER_SILL)));

    let is_rim = |i: usize| SHAPE.is_rim(SHAPE.cell(i));
    let field = directions(&filled, UNIT, Routing::Steepest, is_rim).expect("a filled surface drains");
    let area = upstream_area(&field, UNIT).expect("no cycle");
    assert_relative_eq!(*area.at(UPPER_SILL), 500.0, epsilon = 1e-9);
    assert_relative_eq!(upper.volume_m3 / area.at(UPPER_SILL), 0.020, epsilon = 2e-6);
    assert_relative_eq!(*area.at(LOWER_SILL), 20.0 * 36.0, epsilon = 1e-9);
    // Everything leaves at the valley's foot.
    assert_relative_eq!(*area.at(Cell { row: AXIS, col: 44 }), 20.0 * 45.0, epsilon = 1e-9);

    let mut at = SHAPE.index(UPPER_SILL);
    while !holds(lower, SHAPE.cell(at)) {
        at = field.receivers(at).into_iter().next().expect("the overflow comes to the lower pit").0;
    }
}
