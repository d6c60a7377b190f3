//! Water that comes over the lot line askew meets the line farther on, by the setback, than where it crosses
//! the lot line.

use crate::common::answer::Answer;
use crate::common::raster::Raster;
use crate::common::scene::{SIDE, bench_with, ground_m, number};

/// A plane that falls exactly south-east, 2 % each way, with a ditch north of S (its north side is y = 40, x
/// from 20 to 60) that lets water past where x is from 30 to 44 only, and another one west of S, both far
/// below the plane; they drain off the raster.
fn band() -> Raster {
    Raster::of(SIDE, SIDE, |row, col| {
        let (y, x) = (number(row), number(col));
        match (row, col) {
            (35, 0..30) => 80.0 + 0.01 * x,
            (35, 44..) => 80.0 - 0.01 * x,
            (36.., 15) => 79.0 - 0.01 * y,
            _ => 100.0 - 0.02 * (x + y),
        }
    })
}

// Cells beside a ditch drain into it, so that of the band that starts in row 34 the columns 31 to 40 get
// past; they are 10 units wide. Straight up the diagonal each has min(35, column + 1) cells in row 34 and
// five more as it crosses y = 40, at x = 36.5 to 46.5: 37, 38, 39 and seven times 40, 394 in all, and any
// other metre of the lot line has 3 or 4. The line lies 5 m inside, where the band is at x = 41.5 to 51.5 (5
// m of 1 / 0.9996). So a line beside where it crosses the lot line, a metre longer at each end, meets 6
// columns of 10 at the most; the shortest that catches 60 % of all run-on, some 570, is beside 9 of these
// 10, or nearly.
#[test]
fn the_line_stands_where_the_water_comes_to_it_not_where_it_crosses_the_lot_line() {
    let words = ["--setback", "5m", "--catch", "0.6"];
    let answer = bench_with(&band()).assess("base.tif", "base.geojson").lot("S").with(&words).run().usable();
    let [before, caught, beside, edge, elsewhere] = shares(&answer);
    let behind_setback = before - edge - elsewhere;
    assert!((480.0..540.0).contains(&behind_setback), "{behind_setback}");
    assert!(edge + elsewhere > 50.0, "the corners of the lot get water that stays within the setback");
    assert!(beside + edge + elsewhere <= 0.4 * before + 1e-6, "{beside}, {edge} and {elsewhere} of {before}");
    assert!(caught >= 0.6 * before - 1e-6 && caught > 6.0 * 40.0, "{caught} of {before}");
    // By falling density: seven columns of 40, one of 39, then 38; a metre more at both ends, and a station
    // of rounding.
    let wanted = 0.6 * before;
    let columns = if wanted <= 280.0 { wanted / 40.0 } else { 7.0 + (wanted - 280.0) / 38.0 };
    let length = answer.sum("interception_line.parts", "length_m");
    let most = ground_m(columns) + 2.0 + 1.0;
    assert!((most - 2.5..=most).contains(&length), "{length} m, {most} at the most");
    assert_eq!(answer.list("interception_line.parts").len(), 1);
}

/// Run-on, what is caught, what passes beside the line, what stays within the setback beside it, and before
/// it.
pub(super) fn shares(answer: &Answer) -> [f64; 5] {
    [
        "balance_m2.before",
        "balance_m2.caught",
        "proof.missed.beside_m2",
        "proof.missed.edge_m2",
        "balance_m2.elsewhere",
    ]
    .map(|name| answer.number(&format!("interception_line.{name}")))
}
