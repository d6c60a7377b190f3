//! Repeats under elevation error: cases whose likelihood is known on paper.
//!
//! The fork: all water of lot N comes down a slot whose end has two ways on, south-west to S and south-east
//! past it, of which the lower one takes it all. With Gaussian errors the difference of the two cells' errors
//! is Gaussian, so the likelihood that S gets N's water is one integral of the normal density.

use crate::common::answer::{Answer, close};
use crate::common::bench::Bench;
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::raster::Raster;
use crate::common::scene::{bench_with, bench_with_lots, ground_m2, number, ridge};
use serde_json::Value;

/// Row and column of the fork.
const FORK: (usize, usize) = (39, 40);

/// A valley with a slot that forks; the south-west branch starts lower by `lower_m`.
pub(crate) fn fork(lower_m: f64) -> Bench {
    let raster = Raster::of(80, 80, |row, col| {
        let aside = number(col.abs_diff(FORK.1));
        let below = row.checked_sub(FORK.0).map(number);
        match below {
            // Down to the fork half a metre a cell.
            None if col == FORK.1 => 100.0 - 0.5 * number(row),
            Some(0.0) if col == FORK.1 => 80.5,
            // From there along the diagonals, a metre a step.
            Some(steps) if steps > 0.0 && (aside - steps).abs() < 0.5 => {
                80.5 - steps - if col < FORK.1 { lower_m } else { 0.0 }
            }
            // Walls of thirty metres, so that nothing else is a way; they fall to the slot.
            _ => 130.0 + aside,
        }
    });
    let bench = Bench::new();
    raster.write(&bench.path("base.tif"));
    let lots = Lots::of(vec![lot("N", 20.0, 50.0, 60.0, 80.0), lot("S", 10.0, 10.0, 39.0, 35.0)]);
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    bench
}

pub(crate) fn repeated(bench: &Bench, options: &[&str]) -> Answer {
    bench.assess("base.tif", "base.geojson").lot("S").with(options).run().usable()
}

fn row<'a>(answer: &'a Answer, id: &str) -> Option<&'a Value> {
    answer.list("certainty.parcels").iter().find(|row| row["id"] == id)
}

/// Hits and realisations of a parcel; no row is no hit.
pub(crate) fn hits(answer: &Answer, id: &str) -> (f64, f64) {
    let hits = row(answer, id).map_or(0.0, |row| row["hits"].as_f64().expect("a number"));
    (hits, answer.number("certainty.realisations"))
}

/// The normal density integrated from minus infinity (practically -10) to `x`, by Simpson's rule.
pub(crate) fn normal_below(x: f64) -> f64 {
    const PIECES: u32 = 2000;
    let step = (x + 10.0) / f64::from(PIECES);
    let density = |t: f64| (-0.5 * t * t).exp() / std::f64::consts::TAU.sqrt();
    let weight = |i: u32| match i {
        0 | PIECES => 1.0,
        i if i % 2 == 1 => 4.0,
        _ => 2.0,
    };
    (0..=PIECES).map(|i| weight(i) * density(-10.0 + f64::from(i) * step)).sum::<f64>() * step / 3.0
}

/// Likelihood that the south-west branch is the lower one, mean over the four ranges: the two cells lie 2 m
/// apart; a quarter of the variance has range 2 m and the rest the range in turn, of which exp(-ln 20 (d /
/// range)²) is left.
pub(crate) fn south_west_is_lower(lower_m: f64, rmse_m: f64) -> f64 {
    let left = |range_m: f64| (-(20.0_f64.ln()) * (2.0 / range_m).powi(2)).exp();
    let alike = |range_m: f64| if range_m > 0.0 { 0.25 * left(2.0) + 0.75 * left(range_m) } else { 0.0 };
    let at = |range_m: f64| normal_below(lower_m / (rmse_m * (2.0 * (1.0 - alike(range_m))).sqrt()));
    [0.0, 5.0, 20.0, 60.0].map(at).iter().sum::<f64>() / 4.0
}

#[test]
fn the_fork_agrees_with_the_integral() {
    for (lower_m, rmse) in [(0.0, 0.1), (0.05, 0.1), (-0.05, 0.1), (0.1, 0.15)] {
        let expected = south_west_is_lower(lower_m, rmse);
        let options =
            ["--elevation-rmse", &format!("{rmse}m"), "--parcel-error", "0m", "--realisations", "1200"];
        let (hits, of) = hits(&repeated(&fork(lower_m), &options), "N");
        let room = 3.0 * (expected * (1.0 - expected) / of).sqrt();
        assert!(
            (hits / of - expected).abs() < room,
            "{lower_m}: {hits} of {of}, expected {expected} +- {room}"
        );
    }
}

/// Neither side is lower, so each is as likely: a half by symmetry, whatever the error's size and ranges.
#[test]
fn a_symmetric_divide_is_an_even_chance_and_nobody_can_tell() {
    let answer = repeated(&fork(0.0), &["--elevation-rmse", "0.05m", "--parcel-error", "0m", "--seed", "5"]);
    let (hits, of) = hits(&answer, "N");
    // Half the interval, 1.96 sqrt(0.25 / M), is 5 % from 384 on.
    assert!(of >= 384.0, "an even chance needs many: {of}");
    assert!((hits / of - 0.5).abs() < 3.0 * (0.25 / of).sqrt(), "{hits} of {of}");
    let row = row(&answer, "N").expect("N may contribute");
    assert_eq!(row["verdict"], "cannot tell");
    assert!(answer.stderr.contains("Parcel N: cannot tell. In "), "{}", answer.stderr);
}

/// One row of crest cells along the lot line, the ground falling alike on both sides: the field's law is the
/// same when north and south change places, so each crest cell drains onto S with likelihood one half (ten
/// times as much fall as error: none comes back). Cells hang together, at worst as one, so the mean over them
/// is known to 0.5 / sqrt(M).
#[test]
fn a_cell_on_a_symmetric_ridge_along_the_lot_line_is_an_even_chance() {
    let bench = bench_with(&Raster::of(80, 80, |row, _| 100.0 - 0.5 * number(row.abs_diff(39))));
    // Twice the error, and twice that, is no surer.
    for rmse in ["0.0125m", "0.025m", "0.05m"] {
        let (mean, realisations) = crest_mean(&bench, rmse);
        let room = 3.0 * 0.5 / realisations.sqrt();
        assert!((mean - 0.5).abs() < room, "{rmse}: {mean} +- {room}");
    }
}

/// Mean likelihood along the crest, and of how many surfaces.
fn crest_mean(bench: &Bench, rmse: &str) -> (f64, f64) {
    let options = ["--elevation-rmse", rmse, "--parcel-error", "0m", "--rasters", "--realisations", "200"];
    let answer = repeated(bench, &[&options[..], &["--overwrite"]].concat());
    let file = gdal::Dataset::open(answer.out.join("rasters/likelihood.tif")).expect("the raster opens");
    let band = file.rasterband(1).expect("there is one band");
    assert_eq!(band.size(), (80, 80), "the window is the whole raster");
    // S reaches from column 20 to 59 and begins at row 40; ways along its sides count by halves there.
    let read = band.read_as::<f64>((25, 39), (30, 1), (30, 1), None).expect("it can be read");
    (read.data().iter().sum::<f64>() / 30.0, answer.number("certainty.realisations"))
}

/// Certainty on the closed cases, the same errors scaled, so that chance has no part: how far the hits lie from
/// half of the realisations.
fn certainty_of(bench: &Bench, id: &str, rmse_m: f64) -> f64 {
    let rmse = format!("{rmse_m}m");
    let options = ["--elevation-rmse", &rmse, "--parcel-error", "0m", "--realisations", "96", "--overwrite"];
    let (hits, of) = hits(&repeated(bench, &options), id);
    hits.max(of - hits) / of
}

fn falls_with_error(what: &str, certainties: &[f64]) {
    assert!(certainties.windows(2).all(|pair| pair[1] <= pair[0]), "{what}: {certainties:?}");
}

/// Lots above and below: the plane falls 2 cm a cell, from twenty times the error to less than a sixth of it.
#[test]
fn twice_the_error_is_never_more_certain_on_a_plane() {
    let lots = Lots::of(vec![
        lot("N", 20.0, 40.0, 60.0, 60.0),
        lot("S", 20.0, 20.0, 60.0, 40.0),
        lot("D", 20.0, 0.0, 60.0, 20.0),
    ]);
    let bench = bench_with_lots(&lots);
    let errors = [0.001, 0.002, 0.004, 0.008, 0.016, 0.032, 0.064, 0.128];
    for id in ["N", "D"] {
        let found = errors.map(|rmse_m| certainty_of(&bench, id, rmse_m));
        assert!(found[0] >= 1.0, "{id}: {found:?}");
        falls_with_error(id, &found);
    }
}

/// An even chance stays one: no error makes it surer.
#[test]
fn twice_the_error_is_never_more_certain_on_a_symmetric_divide() {
    let bench = fork(0.0);
    let found = [0.02, 0.04, 0.08, 0.16].map(|rmse_m| certainty_of(&bench, "N", rmse_m));
    // The sign of the difference of two errors is the same at every size.
    assert!(found.iter().all(|p| (p - found[0]).abs() < 1e-12), "{found:?}");
}

/// The fork whose likelihood is an integral, with its branch lower and higher.
#[test]
fn twice_the_error_is_never_more_certain_where_the_answer_is_exact() {
    for lower_m in [0.03, 0.1, 0.3, -0.03, -0.1, -0.3] {
        let bench = fork(lower_m);
        let errors = [0.02, 0.04, 0.08, 0.16];
        let found = errors.map(|rmse_m| certainty_of(&bench, "N", rmse_m));
        falls_with_error(&format!("a fork of {lower_m} m"), &found);
        // So does the integral, and the largest error leaves less than the smallest.
        let exact = errors.map(|rmse_m| {
            let p = south_west_is_lower(lower_m, rmse_m);
            p.max(1.0 - p)
        });
        falls_with_error("the integral", &exact);
        assert!(found[3] < found[0], "{lower_m}: {found:?}");
    }
}

/// Every contributor has a verdict and intervals, those below the floor too: of W a fifth of a column, 20 rows long,
/// lies above S, less than the floor of 20 m2.
#[test]
fn contributors_below_the_floor_have_intervals_too() {
    let lots = Lots::of(vec![
        lot("W", 10.0, 40.0, 20.2, 60.0),
        lot("N", 20.2, 40.0, 60.0, 70.0),
        lot("S", 20.0, 10.0, 60.0, 40.0),
    ]);
    let bench = bench_with(&ridge());
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    let answer = repeated(&bench, &["--elevation-rmse", "0.1mm", "--parcel-error", "0m"]);
    let floor = answer.number("certainty.floor_m2");
    let parcels = answer.list("certainty.parcels");
    for given in answer.list("contributors") {
        let row = parcels.iter().find(|row| row["id"] == given["id"]);
        let row = row.unwrap_or_else(|| panic!("{} has no row", given["id"]));
        let of = |key: &str, end: &str| row[key][end].as_f64().expect("a number");
        let (area, low, high) =
            (given["area_m2"].as_f64().expect("a number"), of("area_m2", "low"), of("area_m2", "high"));
        // The error, a two-hundredth of the fall, turns ways by so little: less than half a cell over the 30 rows
        // above the lot, on either side of it.
        assert!((low - area).abs() < 15.0 && (high - area).abs() < 15.0, "{area}: {low} to {high}");
        assert!(of("share_of_run_on", "low") <= of("share_of_run_on", "high"));
        let expected = if area > floor { "contributes" } else { "does not" };
        assert_eq!((&row["verdict"], &given["verdict"]), (&expected.into(), &expected.into()));
    }
    let below = parcels.iter().find(|row| row["id"] == "W").expect("W gives a little");
    let middle = below["area_m2"]["middle"].as_f64().expect("a number");
    assert!((middle - ground_m2(0.2 * 20.0)).abs() < 5.0 && middle < floor, "{middle}");
    let said = "of them on none, which doesn't exclude a likelihood of 2.0 %";
    assert!(answer.stderr.contains(said), "{}", answer.stderr);
}

/// The plane falls 2 cm a cell, twenty times the error.
#[test]
fn a_fall_of_many_times_the_error_is_certain_both_ways() {
    let lots = Lots::of(vec![
        lot("N", 20.0, 40.0, 60.0, 60.0),
        lot("S", 20.0, 20.0, 60.0, 40.0),
        lot("D", 20.0, 0.0, 60.0, 20.0),
    ]);
    let answer = repeated(&bench_with_lots(&lots), &["--elevation-rmse", "1mm", "--parcel-error", "0m"]);
    let (of_n, of) = hits(&answer, "N");
    assert!(
        (of_n - of).abs() < 0.5 && (of - 192.0).abs() < 0.5,
        "{of_n} of {of}: certain, and stopped early"
    );
    assert!(hits(&answer, "D").0 < 0.5, "D lies below");
    // 2 cm in a cell are twenty times the error, and a plane isn't rough: by definition calibrated.
    close("fall", answer.number("certainty.calibration.fall_in_errors"), 20.0, 1e-3);
    assert_eq!(answer.at("certainty.calibration.calibrated"), true);
    let report = std::fs::read_to_string(answer.out.join("report.txt")).expect("it was written");
    let report = report.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "Parcel N: contributes. In 192 of 192 surfaces",
        "contributes (100 %)",
        "falls 20 times the error in a cell",
        "came true as often as they said",
        "The data carry the answer",
    ] {
        assert!(report.contains(said), "{said}: {report}");
    }
    let north = &answer.list("contributors").iter().find(|row| row["id"] == "N").expect("it is listed");
    assert_eq!((north["likelihood"].as_f64(), &north["verdict"]), (Some(1.0), &Value::from("contributes")));
    // What 192 hits in 192 leave open: 1 - 0.05^(1/192) = 1.55 %; Wilson says 1.96² / (192 + 1.96²) = 1.96 %, the
    // more cautious.
    let low = row(&answer, "N").expect("it is listed")["likelihood_interval"][0].as_f64().expect("a number");
    assert!((low - (1.0 - 0.019_6)).abs() < 1e-4, "{low}");
}

/// Below a ridge 30 units north of S, the run-on is 40 (30 + n) for parcels that are n too far south: normal,
/// with standard error 40 times the parcels'. Of a sample of M its 5 % and 95 % points, at 1.645, have the
/// standard error sqrt(0.05 0.95 / M) / 0.1031 (0.1031 is the normal density there).
#[test]
fn parcels_that_may_be_off_widen_the_run_on_by_their_error() {
    let answer = repeated(&bench_with(&ridge()), &["--elevation-rmse", "0.1mm", "--parcel-error", "1m"]);
    let of = answer.number("certainty.realisations");
    let room = 3.0 * 40.0 * (0.05 * 0.95 / of).sqrt() / 0.1031;
    for (end, expected) in [("low", 1200.0 - 40.0 * 1.645), ("high", 1200.0 + 40.0 * 1.645)] {
        let found = answer.number(&format!("certainty.run_on_area_m2.{end}"));
        assert!((found - ground_m2(expected)).abs() < room, "{end}: {found}, expected {expected} +- {room}");
    }
    let crossing = &answer.list("certainty.crossings")[0];
    assert_eq!(crossing["likelihood"].as_f64(), Some(1.0));
}

/// Likelihood times area, summed over the ground outside the lot, is the mean run-on: both are means of the
/// same shares, which stand in the map to four digits. Parcels stay, so that every cell has one side.
#[test]
fn the_map_of_likelihoods_adds_up_to_the_mean_run_on() {
    let options = ["--elevation-rmse", "0.1mm", "--parcel-error", "0m", "--realisations", "16", "--rasters"];
    let answer = repeated(&bench_with(&ridge()), &options);
    let file = gdal::Dataset::open(answer.out.join("rasters/likelihood.tif")).expect("the raster opens");
    let band = file.rasterband(1).expect("there is one band");
    let (cols, rows) = band.size();
    let read = band.read_as::<f64>((0, 0), (cols, rows), (cols, rows), None).expect("it can be read");
    assert!(read.data().iter().all(|value| (0.0..=1.0).contains(value)));
    // The error is too small to turn anything: 40 by 30 cells above S and its own 40 by 30.
    let sum: f64 = read.data().iter().sum();
    assert!((sum - 2400.0).abs() < 12.0, "{sum}");
    let middle = answer.number("certainty.run_on_area_m2.middle");
    assert!((ground_m2(sum - 1200.0) - middle).abs() < 12.0, "{sum}, {middle}");
}

#[test]
fn any_number_of_threads_gives_the_same_certainty_and_another_seed_another() {
    let bench = fork(0.05);
    let summary = |threads: &str, seed: &str| {
        let options =
            ["--certainty", "--realisations", "48", "--threads", threads, "--seed", seed, "--overwrite"];
        let answer = repeated(&bench, &options);
        answer.must_warn("elevation-error-assumed", &["0.10 m", "--elevation-rmse"]);
        std::fs::read_to_string(answer.out.join("summary.json")).expect("it was written")
    };
    let one = summary("1", "1");
    assert_eq!(one, summary("2", "1"));
    assert_eq!(one, summary("5", "1"));
    assert_ne!(one, summary("2", "2"));
}

#[test]
fn options_of_the_repeats_without_repeats_are_refused() {
    let bench = bench_with(&ridge());
    for options in [&["--seed", "2"][..], &["--realisations", "96"], &["--parcel-error", "2m"]] {
        let outcome = bench.assess("base.tif", "base.geojson").lot("S").with(options).run();
        assert_eq!(outcome.code, Some(2), "{options:?}");
        assert!(outcome.stderr.contains(options[0]) && outcome.stderr.contains("--elevation-rmse"));
    }
    for options in [["--elevation-rmse", "0m"], ["--elevation-rmse", "-1m"], ["--elevation-rmse", "1km"]] {
        let outcome = bench.assess("base.tif", "base.geojson").lot("S").with(&options).run();
        assert_eq!(outcome.code, Some(2), "{options:?}: {}", outcome.stderr);
    }
}

#[test]
fn without_repeats_nothing_is_said_of_certainty() {
    let answer = repeated(&bench_with(&ridge()), &[]);
    assert!(answer.at("certainty").is_null());
    assert!(answer.list("contributors").iter().all(|row| row["likelihood"].is_null()));
    assert!(!answer.stderr.contains("How sure"));
}

/// The levels' errors, from the USGS lidar base specification (from memory).
#[test]
fn a_stated_quality_level_stands_for_an_error() {
    let bench = fork(0.0);
    let both = ["--elevation-quality", "QL1", "--elevation-rmse", "0.1m"];
    bench.assess("base.tif", "base.geojson").lot("S").with(&both).run().refused(2, &["--elevation-rmse"]);
    for (level, rmse_m) in [("QL0", 0.05), ("QL1", 0.10), ("QL2", 0.10), ("QL3", 0.20)] {
        let options = ["--elevation-quality", level, "--realisations", "8", "--overwrite"];
        let answer = repeated(&bench, &options);
        let found = answer.number("certainty.elevation_rmse_m");
        close(level, found, rmse_m, 1e-12);
        assert!(answer.warning("elevation-error-assumed").is_none(), "{level}");
    }
    let job = "elevation = [\"base.tif\"]\nparcels = \"base.geojson\"\nlot = \"S\"\nelevation-rmse = \"0.3m\"\nout = \"job\"\n";
    bench.write_text("job.toml", job);
    let words = ["assess", "job.toml", "--elevation-quality", "QL0", "--realisations", "8"];
    let answer = bench.program(&words).out("job").run().usable();
    let found = answer.number("certainty.elevation_rmse_m");
    close("what is typed wins", found, 0.05, 1e-12);
}

/// The maps say of every contributor what the summary says, and nothing where no repeats were asked.
#[test]
fn maps_of_contributors_have_their_likelihood_and_verdict() {
    let bench = fork(0.0);
    let with =
        repeated(&bench, &["--elevation-rmse", "0.1m", "--parcel-error", "0m", "--realisations", "96"]);
    let features = |answer: &Answer| -> Vec<Value> {
        let text = std::fs::read_to_string(answer.out.join("contributors.geojson")).expect("it was written");
        let all: Value = serde_json::from_str(&text).expect("it is JSON");
        all["features"].as_array().expect("a list").iter().map(|one| one["properties"].clone()).collect()
    };
    let found = features(&with);
    assert!(!found.is_empty(), "there are contributors");
    for one in &found {
        let sure = with.list("certainty.parcels").iter().find(|row| row["id"] == one["id"]).expect("its row");
        assert_eq!(one["likelihood"], sure["likelihood"]);
        assert_eq!(one["verdict"], sure["verdict"]);
        let said = one["description"].as_str().expect("a text");
        assert!(said.contains(&format!("on {} of 96 equally plausible surfaces.", sure["hits"])), "{said}");
    }
    let file = gdal::Dataset::open(with.out.join("assessment.gpkg")).expect("GDAL opens it");
    let mut layer = file.layer_by_name("contributor").expect("there is a layer");
    let rows: Vec<_> = gdal::vector::LayerAccess::features(&mut layer)
        .map(|row| {
            let place = |name: &str| row.field_index(name).expect("a field");
            let likelihood = row.field_as_double(place("likelihood")).expect("a number").expect("a value");
            (likelihood, row.field_as_string(place("verdict")).expect("a text").expect("a value"))
        })
        .collect();
    assert_eq!(rows.len(), found.len());
    for ((likelihood, verdict), one) in rows.iter().zip(&found) {
        close("likelihood", *likelihood, one["likelihood"].as_f64().expect("a number"), 1e-12);
        assert_eq!(one["verdict"], **verdict);
    }
    let without = repeated(&bench, &["--overwrite"]);
    for one in features(&without) {
        assert_eq!((&one["likelihood"], &one["verdict"]), (&Value::Null, &Value::Null));
        assert!(!one["description"].as_str().expect("a text").contains("plausible"));
    }
}
