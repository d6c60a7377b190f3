//! Shots of the ground: what they do to the answer and to its likelihoods.

use crate::certainty::{fork, hits, normal_below, repeated};
use crate::common::bench::Bench;
use crate::common::raster::Raster;
use crate::common::scene::{NORTH, WEST, bench_with, number};
use std::fmt::Write;

/// The two cells of the fork of which the lower one takes the water: S gets it over the first.
const ENDS: [(usize, usize); 2] = [(40, 39), (40, 41)];
/// Their level where neither is lower, m.
const LEVEL_M: f64 = 79.5;
const USUAL: [&str; 4] = ["--elevation-rmse", "0.1m", "--parcel-error", "0m"];

/// A table of shots in the middles of cells: row, column, elevation, accuracy.
fn table(shots: &[((usize, usize), f64, f64)]) -> String {
    let mut text = "id,x,y,elevation,accuracy\n".to_owned();
    for (place, ((row, col), elevation_m, accuracy_m)) in shots.iter().enumerate() {
        let (x, y) = (WEST + number(*col) + 0.5, NORTH - number(*row) - 0.5);
        writeln!(text, "P{place},{x},{y},{elevation_m},{accuracy_m}").expect("text can be written");
    }
    text
}

pub(crate) fn with_shots(bench: &Bench, shots: &[((usize, usize), f64, f64)]) {
    bench.write_text("shots.csv", &table(shots));
}

fn options<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [&USUAL[..], &["--shots", "shots.csv", "--overwrite"], more].concat()
}

/// Likelihood that the first end is the lower one when a shot there says that it lies `d` above the surface, mean
/// over the four ranges. With variance v, covariance c at 2 m and nugget n, the difference of the two errors given
/// the shot is normal with mean d (v - c) / (v + n) and variance 2 (v - c) - (v - c)² / (v + n).
fn first_is_lower(d: f64, rmse_m: f64, accuracy_m: f64) -> f64 {
    let left = |range_m: f64| (-(20.0_f64.ln()) * (2.0 / range_m).powi(2)).exp();
    let alike = |range_m: f64| if range_m > 0.0 { 0.25 * left(2.0) + 0.75 * left(range_m) } else { 0.0 };
    let at = |range_m: f64| {
        let (v, n) = (rmse_m.powi(2), accuracy_m.powi(2));
        let apart = v * (1.0 - alike(range_m));
        normal_below(-d * apart / (v + n) / (2.0 * apart - apart.powi(2) / (v + n)).sqrt())
    };
    [0.0, 5.0, 20.0, 60.0].map(at).iter().sum::<f64>() / 4.0
}

#[test]
fn one_shot_moves_the_likelihood_as_the_integral_says() {
    for (d, accuracy_m) in [(-0.1, 0.001), (-0.1, 0.05), (0.06, 0.02)] {
        let bench = fork(0.0);
        with_shots(&bench, &[(ENDS[0], LEVEL_M + d, accuracy_m)]);
        let expected = first_is_lower(d, 0.1, accuracy_m);
        let (hits, of) = hits(&repeated(&bench, &options(&["--realisations", "1200"])), "N");
        let room = 3.0 * (expected * (1.0 - expected) / of).sqrt();
        assert!((hits / of - expected).abs() < room, "{d}: {hits} of {of}, expected {expected} +- {room}");
    }
}

/// A ridge along the lot line, alike on both sides; a shot in each cell beside it says which side is lower, by
/// three times the error.
#[test]
fn a_dense_line_of_perfect_shots_settles_a_symmetric_ridge() {
    let crest = Raster::of(80, 80, |row, _| 100.0 - 0.5 * number(row.abs_diff(39)));
    for (south_m, expected) in [(-0.08, 1.0), (0.08, 0.0)] {
        let bench = bench_with(&crest);
        let beside = |row, d: f64| (15..65).map(move |col| ((row, col), 99.5 + d, 0.001));
        let shots: Vec<_> = beside(40, south_m).chain(beside(38, -south_m)).collect();
        with_shots(&bench, &shots);
        let options =
            ["--elevation-rmse", "0.05m", "--parcel-error", "0m", "--shots", "shots.csv", "--rasters"];
        let answer = repeated(&bench, &options);
        let file = gdal::Dataset::open(answer.out.join("rasters/likelihood.tif")).expect("it opens");
        let band = file.rasterband(1).expect("there is one band");
        assert_eq!(band.size(), (80, 80), "the window is the whole raster");
        let read = band.read_as::<f64>((25, 39), (30, 1), (30, 1), None).expect("it can be read");
        assert!(read.data().iter().all(|p| (p - expected).abs() < 1e-3), "{expected}: {:?}", read.data());
    }
}

#[test]
fn a_less_accurate_shot_is_never_more_certain() {
    let bench = fork(0.0);
    let certain = |accuracy_m: f64| {
        with_shots(&bench, &[(ENDS[0], LEVEL_M - 0.06, accuracy_m), (ENDS[1], LEVEL_M, accuracy_m)]);
        let (hits, of) = hits(&repeated(&bench, &options(&["--realisations", "96"])), "N");
        hits.max(of - hits)
    };
    let found = [0.01, 0.04, 0.08, 0.16, 0.32].map(certain);
    assert!(found.windows(2).all(|pair| pair[1] <= pair[0]), "{found:?}");
    assert!(found[4] < found[0], "{found:?}");
}

/// Two in the cell of the first end, 0.6 m above and below the surface: their mean lies on it, and both are six times the
/// error off. Taken as accurate as either says they would settle that end; as it is nothing is known of it.
#[test]
fn shots_that_contradict_each_other_are_told_and_settle_nothing() {
    let bench = fork(0.0);
    let two =
        [(ENDS[0], LEVEL_M + 0.6, 0.005), (ENDS[0], LEVEL_M - 0.6, 0.005), (ENDS[1], LEVEL_M - 0.2, 0.005)];
    with_shots(&bench, &two);
    let answer = repeated(&bench, &options(&["--realisations", "96"]));
    answer.must_warn("shots-contradict", &["shots.csv", "P0 and P1", "differ by 1.20 m"]);
    answer.must_warn("shots-far-off", &["P0 (0.60 m", "P1 (0.60 m", "0.10 m"]);
    assert_eq!(
        answer.list("certainty.parcels").iter().filter(|row| row["verdict"] == "cannot tell").count(),
        1
    );
    with_shots(&bench, &[two[2], (ENDS[0], LEVEL_M, 0.005)]);
    let agreeing = repeated(&bench, &options(&["--realisations", "96"]));
    assert!(agreeing.warning("shots-contradict").is_none());
    assert!(agreeing.list("certainty.parcels").iter().all(|row| row["verdict"] != "cannot tell"));
}

/// As given the other end is the lower one, by 5 cm; shots say that it's the first, by 5 cm.
#[test]
fn the_answer_itself_is_that_of_the_corrected_surface() {
    let bench = fork(-0.05);
    let before = repeated(&bench, &[&USUAL[..], &["--realisations", "8"]].concat());
    assert!(before.list("contributors").iter().all(|row| row["id"] != "N"));
    assert!(before.warning("surface-corrected").is_none());
    with_shots(&bench, &[(ENDS[0], LEVEL_M - 0.05, 0.001), (ENDS[1], LEVEL_M, 0.001)]);
    let after = repeated(&bench, &options(&["--realisations", "8"]));
    assert!(after.list("contributors").iter().any(|row| row["id"] == "N"));
    after.must_warn("surface-corrected", &["shots.csv (2)", "0.10 m"]);
    let listed = after.list("provenance.inputs");
    assert!(listed.iter().any(|file| file["path"] == "shots.csv"), "{listed:?}");
    assert_eq!(after.text("provenance.settings.shots"), "shots.csv");
}

#[test]
fn any_number_of_threads_gives_the_same_with_shots() {
    let bench = fork(0.0);
    with_shots(&bench, &[(ENDS[0], LEVEL_M - 0.03, 0.02), (ENDS[1], LEVEL_M, 0.02)]);
    let summary = |threads: &str| {
        let answer = repeated(&bench, &options(&["--realisations", "48", "--threads", threads]));
        std::fs::read_to_string(answer.out.join("summary.json")).expect("it was written")
    };
    let one = summary("1");
    assert_eq!(one, summary("2"));
    assert_eq!(one, summary("5"));
}

#[test]
fn shots_that_cannot_be_right_are_refused_or_named() {
    let bench = fork(0.0);
    let run = |more: &[&str]| bench.assess("base.tif", "base.geojson").lot("S").with(more).run();
    with_shots(&bench, &[(ENDS[0], LEVEL_M, 0.02)]);
    run(&["--shots", "shots.csv"]).refused(2, &["--shots", "--elevation-rmse"]);
    run(&[&USUAL[..], &["--shots-layer", "a"]].concat()).refused(2, &["--shots"]);
    with_shots(&bench, &[(ENDS[0], LEVEL_M + 5.0, 0.02), (ENDS[1], LEVEL_M + 5.0, 0.02)]);
    run(&options(&[])).refused(4, &["P0", "5.00 m", "another datum"]);
    with_shots(&bench, &[(ENDS[0], LEVEL_M / 0.3048, 0.02), (ENDS[1], LEVEL_M / 0.3048, 0.02)]);
    run(&options(&[])).refused(4, &["in feet rather than metres", "unit"]);
    with_shots(&bench, &[(ENDS[0], LEVEL_M + 0.5, 0.02), ((39, 40), 80.5, 0.02), ((500, 40), 80.5, 0.02)]);
    let answer = run(&options(&["--realisations", "8"])).usable();
    answer.must_warn("shots-far-off", &["P0", "0.50 m"]);
    answer.must_warn("shots-elsewhere", &["P2"]);
}

/// Whether S gets N's water hangs on the difference of the two ends alone, so a level at either tells more than one
/// anywhere else, and they come first. By symmetry each part of the sample is near one half; a reading above parts
/// them the one way at the first end and the other way at the second.
#[test]
fn levels_are_wanted_where_the_water_divides() {
    let answer = repeated(&fork(0.0), &USUAL);
    let settling = answer.at("certainty.settling");
    assert_eq!(settling["open"], serde_json::json!(["N"]));
    let wanted = settling["shots"].as_array().expect("a list");
    assert!(wanted.len() >= 2, "{settling}");
    let file = answer.geojson("shots-wanted.geojson");
    assert_eq!(file["features"].as_array().map(Vec::len), Some(wanted.len()));
    let mut first_two: Vec<(usize, usize)> = wanted[..2].iter().map(cell_of).collect();
    first_two.sort_unstable();
    assert_eq!(first_two, ENDS);
    for shot in &wanted[..2] {
        assert_eq!(shot["parcel"], "N");
        let share = |side: &str| {
            let of = |key: &str| shot[side][key].as_f64().expect("a number");
            of("hits") / of("of")
        };
        let down = cell_of(shot) == ENDS[0];
        let (more, less) = if down { ("below", "above") } else { ("above", "below") };
        assert!(share(more) > share(less) + 0.2, "{shot}");
        let given_m = shot["given_m"].as_f64().expect("a number");
        assert!((given_m - LEVEL_M).abs() < 1e-6);
        let decides_m = shot["decides_m"].as_f64().expect("a number");
        assert!((decides_m - LEVEL_M).abs() < 0.15, "{shot}");
    }
    let settles = |place: usize| wanted[place]["settles"].as_f64().expect("a number");
    assert!(settles(0) > 0.05 && settles(1) > settles(0) && settles(1) <= 1.0, "{settling}");
    assert!(answer.stderr.contains("levels taken on site tell most about it"), "{}", answer.stderr);
}

/// Row and column of a wanted shot.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small whole numbers")]
pub(crate) fn cell_of(shot: &serde_json::Value) -> (usize, usize) {
    let [x, y] = [0, 1].map(|axis| shot["at"][axis].as_f64().expect("a number"));
    ((NORTH - y).floor() as usize, (x - WEST).floor() as usize)
}

/// Taken, the levels that were wanted settle the matter as far as they said.
#[test]
fn wanted_levels_that_are_taken_settle_it() {
    let bench = fork(0.0);
    with_shots(&bench, &[(ENDS[0], LEVEL_M - 0.1, 0.005), (ENDS[1], LEVEL_M, 0.005)]);
    let answer = repeated(&bench, &options(&[]));
    let (hits, of) = hits(&answer, "N");
    assert!(hits / of > 0.99, "{hits} of {of}");
    assert!(answer.at("certainty.settling").is_null());
    let file = answer.geojson("shots-wanted.geojson");
    assert_eq!(file["features"].as_array().map(Vec::len), Some(0));
}
