//! A scene astride 180 degrees.

use serde_json::{Value, json};

use crate::common::answer::Answer;
use crate::common::bench::Bench;
use crate::common::elsewhere::Elsewhere;
use crate::common::geojson;
use crate::common::lots::{At, Lots, WGS84, lot};

/// A transverse Mercator system whose central meridian is the antimeridian; the scene lies astride it.
const ASTRIDE: Elsewhere = Elsewhere {
    crs: "+proj=tmerc +lat_0=0 +lon_0=180 +k=0.9996 +x_0=500000 +y_0=0 +datum=WGS84 +units=m +no_defs +type=crs",
    west: 499_960.0,
    north: 5_730_000.0,
    cell: 1.0,
};

fn no_ring_spans_the_world(answer: &Answer) {
    let file = answer.geojson("map.geojson");
    geojson::check("map.geojson", &file);
    let features = file["features"].as_array().expect("a list");
    for ring in features.iter().flat_map(|feature| rings(&feature["geometry"]["coordinates"])) {
        let (west, east) =
            ring.iter().fold((180.0_f64, -180.0_f64), |(west, east), x| (west.min(*x), east.max(*x)));
        assert!(east - west < 1.0, "a geometry must be cut at the antimeridian, not span {west} to {east}");
    }
}

/// Longitudes of each innermost list of positions.
fn rings(value: &Value) -> Vec<Vec<f64>> {
    let Value::Array(items) = value else { return Vec::new() };
    if items.iter().all(|item| item[0].is_number()) {
        return vec![items.iter().filter_map(|item| item[0].as_f64()).collect()];
    }
    items.iter().flat_map(rings).collect()
}

#[test]
fn a_scene_astride_the_antimeridian_gives_the_base_areas_and_is_cut_there() {
    let bench = Bench::new();
    ASTRIDE.raster().write(&bench.path("astride.tif"));
    ASTRIDE.lots().write(&bench.path("lots.gpkg"), "GPKG", Some(ASTRIDE.crs));
    let answer = bench.assess("astride.tif", "lots.gpkg").lot("S").run().usable();
    ASTRIDE.expect(&answer);
    no_ring_spans_the_world(&answer);
}

#[test]
fn parcels_cut_at_the_antimeridian_are_joined_again() {
    // As RFC 7946 section 3.1.9 asks: each lot is two polygons that meet at 180 degrees. The west half ends at
    // +180 and the east half begins at -180.
    let bench = Bench::new();
    ASTRIDE.raster().write(&bench.path("astride.tif"));
    let mut file = json!({ "type": "FeatureCollection", "features": [] });
    for (id, south, north) in [("N", 40.0, 60.0), ("S", 10.0, 40.0)] {
        let half = |west: f64, east: f64, side: f64| {
            let lots = Lots::of(vec![lot(id, west, south, east, north)]).moved(|at| ASTRIDE.place(at));
            let mut lots = Lots { crs: ASTRIDE.crs.to_owned(), ..lots }.to(WGS84);
            // The positions on the meridian itself may come out with either sign.
            lots = lots.moved(|at| if at.x.abs() > 179.999_999_9 { At { x: side, y: at.y } } else { at });
            lots.geojson(WGS84)["features"][0]["geometry"]["coordinates"].clone()
        };
        let feature = json!({ "type": "Feature", "properties": { "pid": id }, "geometry": {
            "type": "MultiPolygon", "coordinates": [half(20.0, 40.0, 180.0), half(40.0, 60.0, -180.0)] } });
        file["features"].as_array_mut().expect("a list").push(feature);
    }
    bench.write_json("lots.geojson", &file);
    let answer = bench.assess("astride.tif", "lots.geojson").lot("S").run().usable();
    ASTRIDE.expect(&answer);
    no_ring_spans_the_world(&answer);
}
