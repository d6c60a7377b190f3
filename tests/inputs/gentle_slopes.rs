//! Pipes that come out on gentle slopes.
//!
//! Planes that fall s to the south, with a ridge above S's catchment. S's line runs level along y = 39.4,
//! in units 0.9996 m long; its pipe falls 0.5 % there, and has its invert 0.3 + 0.1016 m down at its head,
//! so that at the line's end it lies D = 0.4016 + 0.005 L deep. On straight downhill it gains s - 0.005 on
//! the ground and comes out after D / (s - 0.005) m; before its mouth it has less than the cover asked for
//! over 0.4016 / (s - 0.005), and its top stands out of the ground over 0.1016 / (s - 0.005).

use serde_json::Value;

use crate::common::answer::{Answer, within};
use crate::common::bench::Bench;
use crate::common::raster::Raster;
use crate::common::scene::{SCALE, SIDE, bench_with, number};

const PART: &str = "interception_line.parts.0";

fn slope(fall: f64) -> Bench {
    bench_with(&Raster::of(SIDE, SIDE, |row, _| 100.0 - (number(row) + 0.5 - 10.0).abs() * fall))
}

fn run(bench: &Bench, words: &[&str]) -> Answer {
    bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&["--min-grade", "0.5%", "--overwrite"])
        .with(words)
        .run()
        .usable()
}

fn float(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// Daylight that is reached by gravity, the shortest lead.
fn nearest(answer: &Answer) -> Option<&Value> {
    let ways = answer.list(&format!("{PART}.outlets")).iter();
    let out = ways.filter(|way| way["kind"] == "daylight" && way["verdict"] == "gravity");
    out.min_by(|a, b| float(&a["lead_m"]).total_cmp(&float(&b["lead_m"])))
}

// At 3 % a metre of the map's units, 0.9996 m of which are one on the ground, falls 0.03 x 0.9996: D =
// 0.4016 + 0.005 x 38.8 = 0.596 m run out over 0.596 / 0.02499 = 23.8 m; at 4 % over 17.0 m, at 2.2 % over
// 35.1 m, which end on S's neighbour's ground.
#[test]
fn a_pipe_comes_out_on_a_gentle_slope_where_its_depth_has_run_out() {
    for fall in [0.022, 0.03, 0.04] {
        let answer = run(&slope(fall), &[]);
        let depth_m = 0.4016 + 0.005 * answer.number(&format!("{PART}.length_m"));
        let gains = fall * SCALE - 0.005;
        let way = nearest(&answer).expect("it comes out");
        within("lead", float(&way["lead_m"]), depth_m / gains, 5e-3);
        let runs_out = &way["runs_out"];
        within("less cover", float(&runs_out["cover_m"]), 0.4016 / gains, 2e-2);
        within("bare", float(&runs_out["bare_m"]), 0.1016 / gains, 2e-2);
    }
}

// At 2 % it would take 0.596 / 0.01499 = 39.7 m, and the ground that is known ends 39.4 units (39.42 m)
// below the line; across the fall it takes longer. So a chamber is what is left, and what a longer lead
// would be is told where one is looked at.
#[test]
fn no_pipe_comes_out_where_the_ground_ends_before() {
    let answer = run(&slope(0.02), &[]);
    assert!(nearest(&answer).is_none());
    assert_eq!(answer.text(&format!("{PART}.outlet.kind")), "chamber");
    // The ground falls from 100 - 0.02 x 30.6 = 99.388 m at y = 39.4 to the lead's end, evenly. Where the depth
    // of 0.4016 m would run out over more than 0.4016 / 0.1016 x 10 = 39.5 m no longer lead serves.
    let ways = answer.list(&format!("{PART}.outlets")).iter();
    let mut told = 0;
    for way in ways.filter(|way| way["kind"] == "daylight") {
        let (lead_m, short_m) = (float(&way["lead_m"]), float(&way["shortfall_m"]));
        let gains = (99.388 - float(&way["invert_m"])) / lead_m - 0.005;
        let Some(longer_m) = way["remedies"]["lead_m"].as_f64() else {
            assert!(0.4016 / gains > 39.0, "{gains}: {way}");
            continue;
        };
        within("longer lead", longer_m, lead_m + short_m / gains, 0.3);
        told += 1;
    }
    assert!(told > 0);
}

// At 3 % in a storm, the drain is built, and it is said that the cover runs out.
#[test]
fn the_drain_is_built_and_the_cover_that_runs_out_is_told() {
    let storm = ["--intensity", "50mm/h", "--coefficient", "0.35", "--arrangement", "one-pipe"];
    let answer = run(&slope(0.03), &storm);
    assert_eq!(answer.text(&format!("{PART}.outlet.kind")), "daylight");
    answer.must_warn("cover-runs-out", &["part 1", "less cover", "stand out"]);
    assert!(answer.warning("drain-not-built").is_none());
    assert!(answer.number("interception_line.proof.taken.0.takes_share") > 0.9);
    // On 8 % it doesn't run out over more than the last 10 m, and nothing is said.
    let steep = run(&slope(0.08), &storm);
    assert_eq!(steep.text(&format!("{PART}.outlet.kind")), "daylight");
    assert!(steep.at(&format!("{PART}.outlet.runs_out")).is_null());
    assert!(steep.warning("cover-runs-out").is_none());
}
