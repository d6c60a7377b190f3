//! The line catches the wanted share of all run-on, or says what it can.
//!
//! The scene with the ridge: water falls straight down the columns, a unit wide and alike, of which 40 come to S, x from 20 to 60. A
//! column comes behind a setback of s where its middle does: all but 2 of 40 where s is above 0.5 and below 1.5 units, all but 4 where it
//! is below 2.5. A line goes on for a metre past its last column, no farther than its corner, which lies the setback before the lot's.

use super::askew::shares;
use crate::common::answer::{Answer, within};
use crate::common::scene::{bench_with, ground_m, ridge};

/// Share caught, length of the line, and what is said.
fn caught(words: &[&str]) -> (f64, f64, Answer) {
    let answer = bench_with(&ridge()).assess("base.tif", "base.geojson").lot("S").with(words).run().usable();
    let [before, caught, ..] = shares(&answer);
    (caught / before, answer.sum("interception_line.parts", "length_m"), answer)
}

// 20, 36 and 38 of the 40 columns: a line beside one fewer and a metre more at either end at the most would be 21
// and 37 units long, and one of 38 columns goes from corner to corner, 40 units less 2 x 0.6 m. 0.95 is all that comes behind the
// setback, to the last column.
#[test]
fn the_line_is_as_long_as_the_share_of_all_run_on_asks_for() {
    for (share, columns) in [(0.5, 20.0), (0.9, 36.0), (0.95, 38.0)] {
        let (is, length_m, answer) = caught(&["--catch", &share.to_string()]);
        // A metre on takes in another column at either end.
        assert!(is >= share - 1e-6 && is <= share + 0.05 + 1e-6, "{share}: {is}");
        if columns < 38.0 {
            // In the open it goes on a metre at both ends, at the lot's corner 0.4 units at one.
            let least = ground_m(columns + 0.4) + 1.0;
            assert!(length_m > least - 0.01 && length_m < ground_m(columns) + 2.01, "{share}: {length_m}");
        } else {
            within("from corner to corner", length_m, ground_m(40.0) - 1.2, 1e-3);
        }
        assert!(
            answer.warning("share-beyond-setback").is_none() && answer.warning("line-catches-less").is_none()
        );
    }
}

// All of it: 38 of 40 columns can be caught, and are. At 0.5 m, 0.4998 units, all of them come behind the setback.
#[test]
fn all_of_the_run_on_is_more_than_comes_behind_the_setback() {
    let (is, length_m, answer) = caught(&["--catch", "1"]);
    within("caught", is, 0.95, 1e-6);
    within("from corner to corner", length_m, ground_m(40.0) - 1.2, 1e-3);
    let said = [
        "setback of 0.6 m (2.0 ft) at most 95.0 %",
        "100.0 % were wanted",
        "and 95.0 % is",
        "with a setback of 0.5 m",
    ];
    answer.must_warn("share-beyond-setback", &said);
    assert!(answer.warning("line-catches-less").is_none());
    let (is, _, answer) = caught(&["--catch", "1", "--setback", "0.5m"]);
    within("caught at 0.5 m", is, 1.0, 1e-6);
    assert!(answer.warning("share-beyond-setback").is_none());
}

// At 2 m 36 of 40 columns come behind the setback: 0.95 of 36 are 34.2, with a metre more at the ends up to 36. At 1.5 m, 1.4994 units, 38
// do, which is 0.95 of all.
#[test]
fn a_setback_that_leaves_less_than_the_share_is_told_with_one_that_does_not() {
    let (is, length_m, answer) = caught(&["--setback", "2m"]);
    assert!((34.2 / 40.0 - 1e-6..=0.9 + 1e-6).contains(&is), "{is}");
    assert!(length_m >= ground_m(34.2) && length_m <= ground_m(40.0) - 4.0 + 1e-3, "{length_m}");
    let said = ["setback of 2.0 m (6.6 ft) at most 90.0 %", "95.0 % were wanted", "with a setback of 1.5 m"];
    answer.must_warn("share-beyond-setback", &said);
    assert!(answer.warning("line-catches-less").is_none());
    let (is, length_m, answer) = caught(&["--setback", "1.5m"]);
    within("caught at 1.5 m", is, 0.95, 1e-6);
    within("from corner to corner", length_m, ground_m(40.0) - 3.0, 1e-3);
    assert!(answer.warning("share-beyond-setback").is_none());
}
