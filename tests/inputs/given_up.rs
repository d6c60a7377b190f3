//! Lines that can't be dug through what stands there: led around it where there is a way on the lot, else
//! given up, and said so.
//!
//! The scene with the ridge: S lies from x = 20 to 60 and y = 10 to 40, in units from the scene's south-west
//! corner; its line runs along y = 39.4, and 30 m of ground drain straight down to it.

use serde_json::json;

use crate::common::answer::{Answer, within};
use crate::common::bench::Bench;
use crate::common::lots::{At, Lots, Transform, WGS84, lot};
use crate::common::scene::{NORTH, UTM, WEST, bench_with, ground_m, ground_m2, ridge};

const PARTS: &str = "interception_line.parts";

fn run(bench: &Bench, words: &[&str]) -> Answer {
    bench.assess("base.tif", "base.geojson").lot("S").with(&["--catch", "1"]).with(words).run().usable()
}

fn septic(bench: &Bench, field: [f64; 4]) {
    septics(bench, &[field], "3m");
}

/// Septic fields, from west, south to east, north, and what is kept of them.
pub(super) fn septics(bench: &Bench, fields: &[[f64; 4]], distance: &str) {
    let there = |[x, y]: [f64; 2]| {
        let at = Transform::new(UTM, WGS84).apply(At { x: WEST + x, y: NORTH - 80.0 + y });
        [at.x, at.y]
    };
    let feature = |(&[west, south, east, north], id): (&[f64; 4], i32)| {
        let ring = [[west, south], [east, south], [east, north], [west, north], [west, south]].map(there);
        let geometry = json!({ "type": "Polygon", "coordinates": [ring] });
        let properties = json!({ "kind": "septic", "id": id.to_string(), "distance": distance });
        json!({ "type": "Feature", "properties": properties, "geometry": geometry })
    };
    let features: Vec<_> = fields.iter().zip(1..).map(feature).collect();
    bench.write_json("keep.geojson", &json!({ "type": "FeatureCollection", "features": features }));
}

fn lengths(answer: &Answer) -> Vec<f64> {
    answer.list(PARTS).iter().filter_map(|part| part["length_m"].as_f64()).collect()
}

// A house over S's north-west corner, up to x = 30. Water goes round it and comes onto S from its wall on;
// the line, which goes on a metre past the last inflow, would start in the house. It starts 0.6 m beside the
// wall, at x = 30.6, and ends at 59.4 as ever.
#[test]
fn a_house_over_the_line_s_end_shortens_the_line() {
    let bench = bench_with(&ridge());
    bench.write_json("houses.geojson", &Lots::of(vec![lot("h", 15.0, 35.0, 30.0, 45.0)]).geojson(WGS84));
    let answer = run(&bench, &["--buildings", "houses.geojson"]);
    assert!(answer.warning("line-over-keep-out").is_none());
    let whole: f64 = lengths(&answer).iter().sum();
    within("length", whole, ground_m(59.4 - 30.6), 0.1);
    for part in answer.list(PARTS) {
        assert!(part["keep_outs"].as_array().is_some_and(Vec::is_empty), "{}", part["keep_outs"]);
    }
}

// A septic field from beyond S's south side to beyond its north side leaves no way around on the lot: with 3
// m to either side, from x = 35 to 45, there is no line, and the ten columns of 30 m above it aren't caught.
// 14.4 units of line are left on either side.
#[test]
fn a_septic_field_without_a_way_around_divides_the_line() {
    let bench = bench_with(&ridge());
    septic(&bench, [38.0, 5.0, 42.0, 45.0]);
    let answer = run(&bench, &["--keep-out", "keep.geojson"]);
    let area = format!("{:.0} m²", 10.0 * 30.0 / (0.9996 * 0.9996));
    answer.must_warn("line-given-up", &["septic 1", &area]);
    assert!(answer.warning("line-over-keep-out").is_none());
    let parts = lengths(&answer);
    assert_eq!(parts.len(), 2);
    // 3 m are 3 / 1.0004 units.
    for length_m in parts {
        within("length", length_m, ground_m(38.0 - 20.6) - 3.0, 0.05);
    }
    let left = answer.number("interception_line.balance_m2.left");
    within("left", left, ground_m2(10.0 * 30.0 + 2.0 * 30.0), 2.0 * 31.0);
}

// One that ends 4 m inside the lot is gone round: one line, longer, which crosses nothing.
#[test]
fn a_septic_field_with_a_way_around_is_gone_round() {
    let bench = bench_with(&ridge());
    septic(&bench, [38.0, 36.0, 42.0, 45.0]);
    let answer = run(&bench, &["--keep-out", "keep.geojson"]);
    for code in ["line-given-up", "line-over-keep-out", "line-near-keep-out"] {
        assert!(answer.warning(code).is_none(), "{code}");
    }
    let parts = lengths(&answer);
    assert_eq!(parts.len(), 1);
    let straight_m = ground_m(38.8);
    assert!(parts[0] > straight_m + 6.0 && parts[0] < straight_m + 2.0 * 6.5, "{}", parts[0]);
}

// The same field where 60 % are wanted. With two of the 40 columns within the setback 14 more may pass, so that the first choice is 24
// columns, all alike and side by side: wherever they lie, from x = 21 to 59, all of the ten of the field are among them, and the line
// catches 14, with a metre on at its ends at most two more. Mended it has ten more on the other side of the field: 14 and 10 columns.
#[test]
fn a_line_that_loses_a_piece_is_made_longer_elsewhere() {
    let bench = bench_with(&ridge());
    septic(&bench, [38.0, 5.0, 42.0, 45.0]);
    let words = ["--keep-out", "keep.geojson", "--catch", "0.6"];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable();
    let balance = |name: &str| answer.number(&format!("interception_line.balance_m2.{name}"));
    let caught = balance("caught") / balance("before");
    assert!((0.6 - 1e-6..=26.0 / 40.0 + 1e-6).contains(&caught), "{caught}");
    let mut parts = lengths(&answer);
    parts.sort_by(f64::total_cmp);
    assert_eq!(parts.len(), 2, "{parts:?}");
    within("beside ten columns and a metre on", parts[0], ground_m(10.0) + 1.0, 0.05);
    within("from corner to field", parts[1], ground_m(38.0 - 20.6) - 3.0, 0.05);
    assert!(answer.warning("line-catches-less").is_none(), "the share is caught");
}
