use super::*;

const CELL: CellSize = CellSize { dx_m: 1.0, dy_m: 2.0 };

fn plane(rows: usize, cols: usize) -> Grid<f32> {
    let shape = GridShape { rows, cols };
    Grid::new(shape, (0..shape.len()).map(|i| height(shape.cell(i))).collect())
}

fn height(cell: Cell) -> f32 {
    single(100.0 + 0.25 * real(cell.col) - 0.5 * real(cell.row))
}

fn punch(grid: &mut Grid<f32>, rows: std::ops::Range<usize>, cols: std::ops::Range<usize>) {
    for row in rows {
        for col in cols.clone() {
            *grid.at_mut(Cell { row, col }) = f32::NAN;
        }
    }
}

fn worst(grid: &Grid<f32>) -> f32 {
    let shape = grid.shape();
    (0..shape.len()).map(|i| (grid.values()[i] - height(shape.cell(i))).abs()).fold(0.0, f32::max)
}

// Closed form: a plane solves Laplace's equation, so a hole in a plane must come back as the plane.
#[test]
fn a_hole_in_a_plane_is_bridged_exactly() {
    let mut grid = plane(20, 20);
    punch(&mut grid, 5..11, 4..13);
    punch(&mut grid, 11..13, 6..8);
    let report = bridge_holes(&mut grid, CELL, Area::from_m2(400.0), Frame::all(Side::Cut));
    assert_eq!(report.bridged.len(), 1);
    assert_eq!((report.bridged[0].cells, report.bridged[0].row, report.bridged[0].col), (58, 5, 4));
    assert!((report.bridged[0].area_m2 - 116.0).abs() < 1e-9);
    assert!(report.kept.is_empty());
    assert!(worst(&grid) < 2e-5, "{}", worst(&grid));
}

#[test]
fn a_strip_one_cell_wide_is_bridged_right_across_the_window() {
    let mut grid = plane(9, 12);
    punch(&mut grid, 4..5, 0..12);
    let report = bridge_holes(&mut grid, CELL, Area::from_m2(1.0), Frame::all(Side::DataEdge));
    assert_eq!(report.bridged.len(), 1);
    assert_eq!((report.bridged[0].fate, report.bridged[0].cells), (HoleFate::GapBridged, 12));
    assert!(worst(&grid) < 2e-5);
}

#[test]
fn a_diagonal_strip_is_bridged_too() {
    let mut grid = plane(9, 9);
    for i in 0..9 {
        punch(&mut grid, i..i + 1, i..(i + 2).min(9));
    }
    let report = bridge_holes(&mut grid, CELL, Area::ZERO, Frame::all(Side::DataEdge));
    assert_eq!(report.bridged[0].fate, HoleFate::GapBridged);
    // At the two ends nothing faces the cells from the other side.
    let shape = grid.shape();
    assert!((0..shape.len()).all(|i| !grid.values()[i].is_nan() || shape.is_rim(shape.cell(i))));
}

#[test]
fn a_strip_two_cells_wide_stays_if_it_reaches_the_rim_or_is_too_large() {
    let mut grid = plane(9, 12);
    punch(&mut grid, 4..6, 0..12);
    let report = bridge_holes(&mut grid, CELL, Area::from_m2(400.0), Frame::all(Side::DataEdge));
    assert!(report.bridged.is_empty());
    assert_eq!((report.kept[0].fate, report.kept[0].cells), (HoleFate::Outside, 24));

    let mut grid = plane(9, 12);
    punch(&mut grid, 3..6, 3..6);
    let report = bridge_holes(&mut grid, CELL, Area::from_m2(17.9), Frame::all(Side::DataEdge));
    assert_eq!((report.kept[0].fate, report.kept[0].cells), (HoleFate::TooLarge, 9));
    assert!(grid.at(Cell { row: 4, col: 4 }).is_nan());
}

#[test]
fn a_hole_cut_by_the_window_is_told_from_one_at_the_end_of_the_data() {
    let mut grid = plane(9, 12);
    punch(&mut grid, 0..3, 4..8);
    let sides = Frame { north: Side::Cut, ..Frame::all(Side::DataEdge) };
    let report = bridge_holes(&mut grid, CELL, Area::from_m2(400.0), sides);
    assert_eq!(report.kept[0].fate, HoleFate::CutByWindow);
}

// Maximum principle: a surface without curvature of its own has no peak or pit inside the hole.
#[test]
fn the_bridge_stays_between_the_heights_of_the_rim() {
    let mut grid = plane(30, 30);
    for (i, value) in grid.values_mut().iter_mut().enumerate() {
        *value += single((real(i * 7919 % 101)) / 40.0);
    }
    let before = grid.clone();
    punch(&mut grid, 8..20, 9..21);
    bridge_holes(&mut grid, CELL, Area::from_m2(400.0), Frame::all(Side::Cut));
    let rim: Vec<f32> = (7..21)
        .flat_map(|i| [(7, i + 1), (20, i + 1), (i, 8), (i, 21)])
        .map(|(row, col)| *before.at(Cell { row, col }))
        .collect();
    let (low, high) =
        (rim.iter().copied().fold(f32::MAX, f32::min), rim.iter().copied().fold(f32::MIN, f32::max));
    for row in 8..20 {
        for col in 9..21 {
            let value = *grid.at(Cell { row, col });
            assert!(value >= low && value <= high, "{value} not in {low}..{high}");
        }
    }
}
