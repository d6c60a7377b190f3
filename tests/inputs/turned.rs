//! The base scene turned by quarters, and its lots moved off the lines of the grid.

use crate::common::answer::{Answer, Who, close, within};
use crate::common::lots::WGS84;
use crate::common::lots::{At, Lots, lot};
use crate::common::raster::Raster;
use crate::common::scene::bench_with;
use crate::common::scene::{
    CLOSE, FALL, NORTH, SIDE, WEST, answer_for_s, base_numbers, bench_with_lots, expect, ground_m, ground_m2,
    number,
};

/// The base scene after `quarters` quarter turns to the right: ground and lots together, about the raster's centre.
fn turned(quarters: usize) -> Answer {
    let raster = Raster::of(SIDE, SIDE, |row, col| {
        // How many cells the water has run: it falls south, west, north, east.
        let run = [row, SIDE - 1 - col, SIDE - 1 - row, col][quarters];
        100.0 - number(run) * FALL
    });
    let (x0, y0) = (WEST + 40.0, NORTH - 40.0);
    let mut lots = Lots::base();
    for _ in 0..quarters {
        lots = lots.moved(|at| At { x: x0 + (at.y - y0), y: y0 - (at.x - x0) });
    }
    let bench = bench_with(&raster);
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    answer_for_s(&bench)
}

/// `from` and `to` are the uphill edge's chainage, clockwise from the north-west corner, in units of the grid.
fn must_be_the_base_scene(answer: &Answer, from: f64, to: f64) {
    base_numbers(answer);
    assert_eq!(answer.list("crossings").len(), 1, "{}", answer.at("crossings"));
    within("crossings.0.from_m", answer.number("crossings.0.from_m"), ground_m(from), 0.05);
    within("crossings.0.to_m", answer.number("crossings.0.to_m"), ground_m(to), 0.05);
    assert_eq!(answer.text("status"), "incomplete");
}

#[test]
fn unturned_the_uphill_edge_is_the_north_edge() {
    must_be_the_base_scene(&turned(0), 0.0, 40.0);
}

#[test]
fn turned_once_the_uphill_edge_is_the_east_edge() {
    // The lot is 30 wide and 40 high: the north edge takes 30 units of chainage.
    must_be_the_base_scene(&turned(1), 30.0, 70.0);
}

#[test]
fn turned_twice_the_uphill_edge_is_the_south_edge() {
    // North edge 40, east edge 30.
    must_be_the_base_scene(&turned(2), 70.0, 110.0);
}

#[test]
fn turned_three_times_the_uphill_edge_is_the_west_edge() {
    // North edge 30, east edge 40, south edge 30.
    must_be_the_base_scene(&turned(3), 100.0, 140.0);
}

/// The base lots and one below, all moved by `dx` and `dy` cells.
fn moved(dx: f64, dy: f64) -> Answer {
    let mut lots = Lots::base();
    lots.lots.push(lot("D", 20.0, 2.0, 60.0, 10.0));
    answer_for_s(&bench_with_lots(&lots.moved(|at| At { x: at.x + dx, y: at.y + dy })))
}

/// Moving the lots north by `dy` takes as much off the unparcelled strip above them; N stays whole.
fn must_have_base_areas_less(answer: &Answer, dy: f64) {
    must_have_areas(answer, 800.0, 40.0 * (20.0 - dy));
}

/// Run-on from N and from unparcelled ground, in square units; none from D.
fn must_have_areas(answer: &Answer, n: f64, unparcelled: f64) {
    within("D lies below S", answer.area_of(Who::Lot("D")), 0.0, 0.0);
    expect(answer, &[(Who::Lot("N"), ground_m2(n)), (Who::Unparcelled, ground_m2(unparcelled))], CLOSE);
}

/// Run-on when the lots are moved east by half a cell and north by `dy`.
///
/// The lots then reach from the middle of column 20 to the middle of column 60. A column belongs to the lots when its
/// centre does, and a centre on a line belongs to one side only: 40 whole columns send their water to S, one of the
/// two cut ones and the 39 between them. Of the cut column that does, half lies beside N and S: over N's 20 rows
/// that half of 0.5 by 20 is unparcelled ground. The other cut column's water doesn't reach S at all, so N's half of it
/// (0.5 by 20) isn't counted. N: 800 - 10. Above N, 40 columns of 20 - dy rows. The total is 40 by 40 - dy, as without
/// the shift.
fn must_have_areas_moved_by_half_a_column(answer: &Answer, dy: f64) {
    must_have_areas(answer, 790.0, 40.0 * (20.0 - dy) + 10.0);
}

#[test]
fn lot_lines_through_the_middle_of_rows_keep_the_areas_exact() {
    must_have_base_areas_less(&moved(0.0, 0.5), 0.5);
}

#[test]
fn lot_lines_through_the_middle_of_columns_keep_the_total_exact() {
    must_have_areas_moved_by_half_a_column(&moved(0.5, 0.0), 0.0);
}

#[test]
fn lot_corners_in_the_middle_of_cells_keep_the_total_exact() {
    must_have_areas_moved_by_half_a_column(&moved(0.5, 0.5), 0.5);
}

#[test]
fn lot_lines_anywhere_between_rows_keep_the_areas_exact() {
    for dy in [-0.9, -0.3, 0.2, 0.7] {
        must_have_base_areas_less(&moved(0.0, dy), dy);
    }
}

#[test]
fn the_total_does_not_depend_on_where_the_columns_lie() {
    for dx in [-0.7, -0.2, 0.3, 0.9] {
        let answer = moved(dx, 0.0);
        // A strip 40 wide and 40 high lies above S wherever S is.
        close("run_on.area_m2", answer.number("run_on.area_m2"), ground_m2(1600.0), CLOSE);
        within("D lies below S", answer.area_of(Who::Lot("D")), 0.0, 0.0);
    }
}
