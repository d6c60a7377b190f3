//! `inspect`: all findings at once, the worst first, each with files, effect and remedy.

use serde_json::Value;

use crate::common::lots::{At, Lots, WGS84};
use crate::common::raster::Raster;
use crate::common::raster::RasterCrs;
use crate::common::scene::{SIDE, base_bench, bench_with, number, plane};

/// Three faults: heights whose unit nobody says, zeros that are gaps, and corners of five decimals.
fn inspected(arguments: &[&str]) -> (Option<i32>, String, String) {
    let bench = bench_with(&plane().with(|row, col, _| (row < 3 && col < 3).then_some(0.0)).nodata(None));
    let round = |v: f64| (v * 1e5).round() / 1e5;
    let lots = Lots::base().to(WGS84).moved(|at| At { x: round(at.x), y: round(at.y) });
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    let outcome = bench
        .program(&[&["inspect", "--elevation", "base.tif", "--parcels", "base.geojson"], arguments].concat());
    let outcome = outcome.run();
    (outcome.code, outcome.stdout, outcome.stderr)
}

#[test]
fn all_findings_come_with_files_effect_and_remedy() {
    let (code, printed, _) = inspected(&["--json"]);
    assert_eq!(code, Some(0));
    let found: Value = serde_json::from_str(&printed).expect("it is JSON");
    let findings = found["findings"].as_array().expect("a list");
    let codes: Vec<&str> = findings.iter().filter_map(|finding| finding["code"].as_str()).collect();
    assert_eq!(
        codes,
        ["corners-rounded", "nodata-suspected", "vertical-unit-assumed", "datum-taken-as-same"]
    );
    for finding in findings {
        for field in ["severity", "message", "effect", "help"] {
            assert!(finding[field].as_str().is_some_and(|text| !text.is_empty()), "{field} of {finding}");
        }
        assert!(finding["files"].as_array().is_some_and(|files| !files.is_empty()), "files of {finding}");
    }
    assert_eq!(findings[0]["files"], serde_json::json!(["base.geojson"]));
}

#[test]
fn people_read_the_same() {
    let (_, printed, said) = inspected(&[]);
    assert!(printed.is_empty());
    for words in ["Findings: 4, the worst first", "effect: without care a pit", "row 0, column 0", "help: "] {
        assert!(said.contains(words), "{words:?} is not said:\n{said}");
    }
}

#[test]
fn a_stretched_projection_is_told_with_its_factor() {
    // Web Mercator at 43.6 degrees north: lengths 1 / cos(43.6 degrees) = 1.381 times, areas 1.906 times too large
    // (on the sphere; the ellipsoid takes 0.1 to 0.3 % off).
    let raster = Raster::of(SIDE, SIDE, |row, _| 100.0 - number(row) * 0.02)
        .at(-9_016_878.0, 5_404_600.0, 1.0, 1.0)
        .crs(RasterCrs::Code(3857));
    let bench = bench_with(&raster);
    let run = bench.program(&["inspect", "--elevation", "base.tif"]).run();
    assert!(
        run.stderr.contains("areas 1.90 times too large")
            || run.stderr.contains("areas 1.91 times too large"),
        "{}",
        run.stderr
    );
}

#[test]
fn several_refusals_are_listed_together() {
    let bench = base_bench();
    let parcels = ["--parcels", "nowhere.geojson"];
    let elevation = ["inspect", "--elevation", "base.tif", "missing.tif"];
    let run = bench.program(&[&elevation[..], &parcels].concat()).run();
    assert_eq!(run.code, Some(3), "{}", run.stderr);
    for words in
        ["missing.tif", "nowhere.geojson", "vertical-unit-assumed", "effect: there is nothing to read"]
    {
        assert!(run.stderr.contains(words), "{words:?} is not said:\n{}", run.stderr);
    }
}
