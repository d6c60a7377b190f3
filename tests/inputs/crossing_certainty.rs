//! How sure crossings are: two terraces that shed onto S, with nothing but slivers of cells between them.
//!
//! S begins 0.3 of a cell into row 39, whose cells belong to it: along all of its north edge each has a sliver of 0.3
//! outside, whose water is on S at once. A wall surrounds each terrace but for its south end, and around them the ground
//! falls north, away from S.

use crate::certainty::{normal_below, repeated};
use crate::common::answer::{Answer, close};
use crate::common::bench::Bench;
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::raster::Raster;
use crate::common::scene::{bench_with, ground_m, ground_m2, number, ridge};

/// First row, first and last column inside the walls, and the column of the gutter: 3 by 4 and 7 by 24 cells that end in
/// row 38.
const TERRACES: [(usize, usize, usize, usize); 2] = [(35, 32, 34, 33), (15, 42, 48, 42)];

fn terraces() -> Bench {
    let height = |row: usize, col: usize| {
        if row >= 39 {
            return 53.75 - 0.5 * number(row - 39);
        }
        for (top, first, last, gutter) in TERRACES {
            if row >= top && (first..=last).contains(&col) {
                // Crosswise ten times as steep as lengthwise, so that nearly all of it comes by the gutter.
                return 100.0 + 5.0 * number(col.abs_diff(gutter)) - 0.5 * number(row);
            }
            if row + 1 >= top && row < 39 && (first - 1..=last + 1).contains(&col) {
                return 300.0;
            }
        }
        50.0 + 0.1 * number(row)
    };
    let bench = Bench::new();
    Raster::of(80, 80, height).write(&bench.path("base.tif"));
    let lots = Lots::of(vec![lot("S", 30.0, 10.0, 52.0, 40.7)]);
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    bench
}

fn row(answer: &Answer, id: usize, key: &str) -> serde_json::Value {
    answer.list("certainty.crossings")[id - 1][key].clone()
}

fn number_of(answer: &Answer, id: usize, key: &str, end: &str) -> f64 {
    row(answer, id, key)[end].as_f64().expect("a number")
}

/// The small terrace gives 12 cells and, with the slivers on its side of the gap, stays below the floor of 20 m2; the
/// large one gives 168. Slivers that joined them would tell of each what both give.
#[test]
fn slivers_join_no_crossings() {
    let options = ["--elevation-rmse", "0.1mm", "--parcel-error", "0m", "--realisations", "24"];
    let answer = repeated(&terraces(), &options);
    assert_eq!(answer.list("crossings").len(), 2, "{}", answer.at("crossings"));
    close("floor", answer.number("certainty.floor_m2"), 20.0, 1e-9);
    assert_eq!((row(&answer, 1, "hits"), row(&answer, 2, "hits")), (0.into(), 24.into()));
    for (id, cells) in [(1, 12.0), (2, 168.0)] {
        // 22 slivers of 0.3, and the walls' last cells.
        for end in ["low", "middle", "high"] {
            let found = number_of(&answer, id, "area_m2", end);
            assert!((ground_m2(cells) - 0.01..20.0_f64.max(cells + 8.0)).contains(&found), "{id}: {found}");
        }
        let given = answer.list("crossings")[id - 1]["area_m2"].as_f64().expect("a number");
        close("as given", number_of(&answer, id, "area_m2", "middle"), given, 0.01);
    }
}

/// Most of the large terrace's water comes by its western gutter, far from the middle between the crossing's ends. An
/// error that turns nothing moves it nowhere. Where lots are off by a metre along each axis (normal), 5 and 95 % of the
/// surfaces have it 1.645 m beside; of a sample of M these points have a standard error of sqrt(0.05 0.95 / M) / 0.1031.
#[test]
fn a_crossing_wanders_from_where_its_water_enters() {
    let bench = terraces();
    let still =
        repeated(&bench, &["--elevation-rmse", "0.1mm", "--parcel-error", "0m", "--realisations", "24"]);
    for end in ["low", "middle", "high"] {
        let off_m = number_of(&still, 2, "wander_m", end);
        assert!(off_m.abs() < 0.05, "{end}: {off_m}");
    }
    // S starts at column 30, and the gutter's middle lies 12.5 units from there. All of the terrace but its last row comes
    // by the gutter, that by its own columns: 23 of 24 rows at 0 and one at 3 on average.
    let middle_m = row(&still, 2, "middle_m").as_f64().expect("a number");
    assert!((ground_m(12.5) - 0.2..ground_m(12.5) + 1.0).contains(&middle_m), "{middle_m}");
    let ends = &still.list("crossings")[1];
    let between = 0.5 * (ends["from_m"].as_f64().unwrap_or(0.0) + ends["to_m"].as_f64().unwrap_or(0.0));
    assert!(between - middle_m > 1.5, "the case is one-sided: {ends}");

    let moved = repeated(&bench, &["--elevation-rmse", "0.1mm", "--parcel-error", "1m", "--overwrite"]);
    let of = moved.number("certainty.realisations");
    let room = 3.0 * (0.05 * 0.95 / of).sqrt() / 0.1031;
    for (end, expected) in [("low", -1.645), ("high", 1.645)] {
        let off_m = number_of(&moved, 2, "wander_m", end);
        assert!((off_m - expected).abs() < room, "{end}: {off_m}, expected {expected} +- {room}");
    }
    let said = moved.stderr.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "with elevations off by 0 cm (0.0 in) (RMSE) and lots off by 1.0 m (3.3 ft) along each axis (RMSE)",
        "--parcel-error sets it",
        "where its water enters on average lies from",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(still.stderr.contains("lots in their place"), "{}", still.stderr);
}

/// S and N above it are the raster's three easternmost columns. A move of half a column or more to the east takes S off the
/// elevations: a normal deviate of 2 m does so in 1 - Phi(0.25) = 0.4013 of the draws. All others leave S at least its
/// three columns below N, whose 60 units it hands on: the run-on of a lot that isn't on the data is unknown, not none.
#[test]
fn a_lot_that_is_moved_off_the_data_has_no_known_run_on() {
    let bench = Bench::new();
    ridge().write(&bench.path("base.tif"));
    let lots = Lots::of(vec![lot("N", 77.0, 40.0, 80.0, 60.0), lot("S", 77.0, 10.0, 80.0, 40.0)]);
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    let options = ["--elevation-rmse", "0.1mm", "--parcel-error", "2m", "--realisations", "400"];
    let answer = repeated(&bench, &options);
    let north = answer.list("certainty.parcels").iter().find(|row| row["id"] == "N").expect("N contributes");
    assert_eq!((&north["verdict"], north["likelihood"].as_f64()), (&"contributes".into(), Some(1.0)));
    let (off, of) =
        (answer.number("certainty.off_data_realisations"), answer.number("certainty.realisations"));
    let expected = 1.0 - normal_below(0.25 / ground_m(1.0));
    let room = 3.0 * (expected * (1.0 - expected) / of).sqrt();
    assert!((off / of - expected).abs() < room, "{off} of {of}, expected {expected} +- {room}");
    answer.must_warn("lots-moved-off-data", &[&format!("{off} of {of}"), "--parcel-error"]);
    let inside = repeated(&bench_with(&ridge()), &["--elevation-rmse", "0.1mm", "--overwrite"]);
    assert!(inside.warning("lots-moved-off-data").is_none());
}
