//! Lot areas in many map projections against a geodesic library.
//!
//! Expected values: `tests/reference/polygon_area.json`, by pyproj (`Geod`) and `geographiclib`, which agree; edges straight
//! in the plane or geodesic make at most 2.3e-7 of difference.

use crate::common::bench::Bench;
use crate::common::raster::{Raster, RasterCrs};
use crate::common::scene::number;
use serde_json::{Value, json};

/// One scale for a whole lot, measured at its middle, and corners that go through degrees.
const TOLERANCE: f64 = 2e-6;
/// Cells a side.
const CELLS: u16 = 60;

fn rings(case: &Value) -> Vec<Vec<[f64; 2]>> {
    serde_json::from_value(case["rings"].clone()).expect("rings of pairs")
}

/// A gently tilted plane that covers the lot with a margin, in its own system.
fn ground(rings: &[Vec<[f64; 2]>], epsg: u64) -> Raster {
    let corners = || rings.iter().flatten();
    let low = |axis: usize| corners().map(|c| c[axis]).fold(f64::INFINITY, f64::min);
    let high = |axis: usize| corners().map(|c| c[axis]).fold(f64::NEG_INFINITY, f64::max);
    let side = (high(0) - low(0)).max(high(1) - low(1));
    let cell = 1.5 * side / f64::from(CELLS);
    let (west, north) = (low(0) - side / 4.0, high(1) + side / 4.0);
    Raster::of(CELLS.into(), CELLS.into(), |row, col| 100.0 - 0.02 * cell * (number(row) + 0.3 * number(col)))
        .at(west, north, cell, cell)
        .crs(RasterCrs::Code(u32::try_from(epsg).expect("a code")))
}

#[test]
fn lot_areas_are_those_of_a_geodesic_library_in_every_projection() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/polygon_area.json");
    let text = std::fs::read_to_string(path).expect("the reference is there");
    let cases: Vec<Value> = serde_json::from_str(&text).expect("the reference is JSON");
    let mut seen = 0;
    for case in &cases {
        let (rings, epsg) = (rings(case), case["epsg"].as_u64().expect("a code"));
        let bench = Bench::new();
        ground(&rings, epsg).write(&bench.path("ground.tif"));
        bench.write_json(
            "lots.geojson",
            &json!({
                "type": "FeatureCollection",
                "crs": {"type": "name", "properties": {"name": format!("urn:ogc:def:crs:EPSG::{epsg}")}},
                "features": [{"type": "Feature", "properties": {"pid": "A"},
                    "geometry": {"type": "Polygon", "coordinates": rings}}],
            }),
        );
        let answer = bench
            .assess("ground.tif", "lots.geojson")
            .lot("A")
            .with(&["--elevation-unit", "m"])
            .run()
            .usable();
        let (found, expected) = (answer.number("lot.area_m2"), case["area_m2"].as_f64().expect("an area"));
        assert!(
            (found / expected - 1.0).abs() <= TOLERANCE,
            "{}: found {found}, expected {expected}",
            case["id"]
        );
        seen += 1;
    }
    assert_eq!(seen, 23, "every case ran");
}
