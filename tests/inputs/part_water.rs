//! The water that a part of the line is sized for, where more comes to it than enters over its stretch: a lot whose own ground
//! falls towards the line from behind.
//!
//! A valley runs along the second row of S, 1.5 m inside its north side; from S's west side on it falls east, and the other way
//! beyond, by a hundredth of what its sides fall, so that water runs straight down the columns but for a hundredth. North of it lie 30 rows below the ridge, all above S; south of
//! it the 28 other rows of S. The line lies 2 m inside the lot line, between the second row and the third, and begins and ends
//! 2 m from the corners: beside it the strip is a trapezoid of (40 + 36) / 2 x 2 = 76 m².

use crate::common::answer::{Answer, close, within};
use crate::common::bench::Bench;
use crate::common::raster::Raster;
use crate::common::scene::{FALL, NORTH, SIDE, WEST, bench_with, ground_m, ground_m2, number};

const PART: &str = "interception_line.parts.0";
/// The row of the valley.
const VALLEY: usize = 41;
/// The last row of S.
const LAST: usize = 69;
/// C i for 0.35 and 100 mm/h.
const PER_M2: f64 = 0.35 * 0.1 / 3600.0;

/// Height over the valley: it rises to the ridge above row 10 and to the last row of S, from which the ground falls again. South of
/// the valley only columns from `from_col` on rise; the others fall.
fn height(row: usize, col: usize, from_col: usize) -> f64 {
    let rows = |a: usize, b: usize| number(a) - number(b);
    let up = if row <= VALLEY {
        rows(VALLEY, row).min(22.0 + number(row))
    } else if col >= from_col {
        rows(row, VALLEY).min(2.0 * rows(LAST, VALLEY) - rows(row, VALLEY))
    } else {
        1.5 - rows(row, VALLEY)
    };
    100.0 + FALL * (up - 0.01 * (number(col) - 19.5).abs())
}

fn valley(from_col: usize) -> Bench {
    let bench = bench_with(&Raster::of(SIDE, SIDE, |row, col| height(row, col, from_col)));
    let (x, y) = (WEST + 66.5, NORTH - 42.5);
    bench.write_text("inlets.csv", &format!("id,x,y,invert\nA,{x},{y},97.5\n"));
    bench
}

fn run(bench: &Bench) -> Answer {
    let line = ["--setback", "2", "--catch", "1", "--min-grade", "0.5%", "--inlets", "inlets.csv"];
    let storm = ["--intensity", "100mm/h", "--coefficient", "0.35", "--arrangement", "one-pipe"];
    bench.assess("base.tif", "base.geojson").lot("S").with(&line).with(&storm).run().usable()
}

// 28 rows by 36 columns before the line: 1,008 m². C i (1,200 + 76 + 1,008 m²) = 22.2 L/s, where run-on and strip alone give 12.4.
#[test]
fn ground_of_the_lot_that_falls_towards_the_line_is_in_its_flow() {
    let answer = run(&valley(0));
    let of = |field: &str| answer.number(&format!("{PART}.{field}"));
    close("contributing", of("contributing_area_m2"), ground_m2(1200.0), 0.01);
    close("strip", of("strip_area_m2"), 76.0, 0.01);
    close("own", of("own_ground_m2"), ground_m2(1008.0), 0.015);
    within("other", of("other_run_on_m2"), 0.0, 1.0);
    let areas_m2 = ["contributing_area_m2", "strip_area_m2", "own_ground_m2", "other_run_on_m2"].map(of);
    close("flow", of("flow_m3_s"), PER_M2 * areas_m2.iter().sum::<f64>(), 1e-9);
    close("flow by hand", of("flow_m3_s"), PER_M2 * ground_m2(1200.0 + 76.0 + 1008.0), 0.01);
    // The proof follows the water by passes of its own: it finds the same ground of the lot at the line, which the valley's row in
    // front of it isn't part of.
    let proof = "interception_line.proof.taken.0";
    let crossing_m2 =
        answer.number(&format!("{proof}.own_m2")) / answer.number(&format!("{proof}.takes_share"));
    close("own ground by the proof", crossing_m2, of("own_ground_m2"), 1e-6);
}

// Only the columns from the 41st on fall towards the line: of them the first runs aside, down the step between the two halves, so
// that 28 rows by 17 columns come to the line, all to its eastern half. At its middle, from the west, half of the rest has come in.
#[test]
fn it_comes_in_where_it_crosses_the_line() {
    let answer = run(&valley(40));
    let of = |field: &str| answer.number(&format!("{PART}.{field}"));
    close("own", of("own_ground_m2"), ground_m2(28.0 * 17.0), 0.03);
    let own_m2 = of("own_ground_m2");
    let text = std::fs::read_to_string(answer.out.join("profile.csv")).expect("the file is there");
    let number = |cell: &str| cell.parse::<f64>().expect("a number");
    let rows: Vec<Vec<f64>> = text
        .lines()
        .skip(1)
        .map(|line| line.split(',').map(str::to_owned).collect::<Vec<_>>())
        .map(|row| vec![number(&row[1]), number(&row[8])])
        .collect();
    let part_m = of("length_m");
    let middle = rows
        .iter()
        .min_by(|a, b| (a[0] - part_m / 2.0).abs().total_cmp(&(b[0] - part_m / 2.0).abs()))
        .expect("rows");
    within("the middle", middle[0], ground_m(18.0), 0.6);
    let half_m2 = f64::midpoint(of("contributing_area_m2"), of("strip_area_m2"));
    let all_m2 = 2.0 * half_m2 + own_m2;
    close("flow at the middle", middle[1] / of("flow_m3_s"), half_m2 / all_m2, 0.04);
}
