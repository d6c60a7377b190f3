//! A lot on a slope whose catchment the raster's edge cuts, and the same with a wall where the edge was.

use crate::land::Files;
use crate::told::tell;
use lotshed::input::Subject;
use lotshed::units::Length;

const ROWS: usize = 60;
const COLS: usize = 80;
/// Cells added beyond the north, east and west side: the wall, and lower ground behind it.
const MORE: usize = 3;

/// Falls south, and a fifth as much east.
fn plane(row: f64, col: f64) -> f32 {
    (100.0 - 0.05 * row - 0.01 * col) as f32
}

/// The lot S over columns 45 to 54 and rows 35 to 44 of the plane.
fn lot(shift: f64) -> [(String, [f64; 4]); 1] {
    [("S".to_owned(), [45.0 + shift, 15.0, 55.0 + shift, 25.0])]
}

fn cut() -> Files {
    let z = (0..ROWS * COLS).map(|i| plane((i / COLS) as f64, (i % COLS) as f64));
    Files::write(ROWS, COLS, z.collect(), lot(0.0))
}

/// The same plane, its north, east and west sides walled in; south it ends as before.
fn walled() -> Files {
    let (rows, cols) = (ROWS + MORE, COLS + 2 * MORE);
    let z = (0..rows * cols).map(|i| {
        let (row, col) = (i / cols, i % cols);
        let inside = row >= MORE && (MORE..MORE + COLS).contains(&col);
        let wall = row >= MORE - 1 && (MORE - 1..=MORE + COLS).contains(&col);
        match (inside, wall) {
            (true, _) => plane(row as f64 - MORE as f64, col as f64 - MORE as f64),
            (false, true) => 130.0,
            (false, false) => 20.0,
        }
    });
    Files::write(rows, cols, z.collect(), lot(MORE as f64))
}

#[test]
fn a_catchment_cut_by_the_edge_is_flagged_and_a_wall_clears_the_flag() {
    for margin_m in [3.0, 1000.0] {
        let open = tell(&cut().site(&Subject::Id("S".to_owned())), Length::from_m(margin_m));
        let closed = tell(&walled().site(&Subject::Id("S".to_owned())), Length::from_m(margin_m));
        assert!(open.run_on_m2 > 350.0, "35 rows lie above 10 columns: {}", open.run_on_m2);
        assert!(!open.complete && open.edge_limited_m2 > 0.99 * open.run_on_m2, "{open:?}");
        assert!(closed.complete && closed.edge_limited_m2 <= 0.0, "{closed:?}");
        let change = (closed.run_on_m2 / open.run_on_m2 - 1.0).abs();
        assert!(change < 1e-9, "{} with the edge, {} with the wall", open.run_on_m2, closed.run_on_m2);
    }
}
