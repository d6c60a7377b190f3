//! Entries 33 to 37 and 43 to 48: what parcels may look like.

use serde_json::{Value, json};

use crate::common::answer::{Who, close};
use crate::common::bench::Bench;
use crate::common::elsewhere::Elsewhere;
use crate::common::geojson;
use crate::common::lots::{Lot, Lots, WGS84, lot, rectangle, ring_lot};
use crate::common::raster::Raster;
use crate::common::scene::{
    CLOSE, FALL, NORTH, WEST, answer_for_s, base_bench, base_numbers, bench_with, bench_with_lots, expect,
    ground_m2, number,
};
use crate::tests::Entry;

pub(crate) fn entries() -> Vec<Entry> {
    let entry = |number, title, outcome, hold| Entry { number, title, outcome, hold };
    vec![
        entry(33, "gaps and overlaps of 5 cm", "own area each, total kept, overlap said", gaps_and_overlaps),
        entry(34, "bow-tie and spike", "left out or mended by name; 3 as the subject", invalid),
        entry(35, "nearly collinear edges in feet", "base numbers, no panic", collinear),
        entry(36, "keys", "text; 6 with the candidates", keys),
        entry(37, "empty, null, mixed", "skipped and counted; 3 with the counts", empty),
        entry(43, "clockwise rings", "base numbers; written counter-clockwise", clockwise),
        entry(44, "edge of a millimetre", "valid outlines of 7 decimals", tiny_edge),
        entry(45, "lot without area", "3, named", no_area),
        entry(46, "coordinates of millions of feet", "areas to a thousandth", large_numbers),
        entry(47, "strip narrower than a cell", "its own area; all add up", strip),
        entry(48, "parts and holes", "all parts receive; a hole is outside", parts),
    ]
}

/// N from `south` to 60 and S below 40.
fn with_n_from(south: f64) -> Bench {
    bench_with_lots(&Lots::of(vec![lot("N", 20.0, south, 60.0, 60.0), lot("S", 20.0, 10.0, 60.0, 40.0)]))
}

fn gaps_and_overlaps() {
    for south in [40.05, 39.95] {
        let answer = answer_for_s(&with_n_from(south));
        // 40 wide; 5 cm more or less of a depth of 40 to the raster's top.
        let total = answer.number("run_on.area_m2");
        close("run_on.area_m2", total, ground_m2(1600.0), 0.002);
        close("contributors", answer.sum("contributors", "area_m2"), total, 1e-9);
        close("area of N", answer.area_of(Who::Lot("N")), ground_m2(800.0), 0.004);
        if south < 40.0 {
            answer.must_warn("parcels-overlap", &[]);
        }
    }
}

fn invalid() {
    let n = rectangle(20.0, 40.0, 60.0, 60.0);
    let bow = ring_lot("N", vec![n[0], n[2], n[1], n[3], n[0]]);
    let s = lot("S", 20.0, 10.0, 60.0, 40.0);
    let answer = answer_for_s(&bench_with_lots(&Lots::of(vec![bow.clone(), s])));
    answer.must_warn("lot-dropped", &["area is zero"]);
    answer.must_name("N");
    expect(&answer, &[(Who::Unparcelled, ground_m2(1600.0))], CLOSE);
    let bench = bench_with_lots(&Lots::of(vec![bow]));
    bench.assess("base.tif", "base.geojson").lot("N").run().refused(3, &["lot N"]);
    // A spike to the north has no area.
    let mut ring = rectangle(20.0, 10.0, 60.0, 40.0);
    let mut tip = ring[2];
    tip.y += 30.0;
    ring.insert(2, tip);
    let spiked = Lots::of(vec![lot("N", 20.0, 40.0, 60.0, 60.0), ring_lot("S", ring)]);
    let answer = answer_for_s(&bench_with_lots(&spiked));
    base_numbers(&answer);
    answer.must_warn("lot-repaired", &["spike"]);
}

fn collinear() {
    // North Carolina in survey feet; S's shared edge is off by a millionth of a foot at one end.
    let here = Elsewhere { crs: "EPSG:2264", west: 2_100_000.0, north: 740_000.0, cell: 3.0 };
    let mut lots = here.lots();
    lots.lots[1].polygons[0][0][2].y += 1e-6;
    let bench = Bench::new();
    here.raster().write(&bench.path("feet.tif"));
    lots.write(&bench.path("lots.gpkg"), "GPKG", Some(here.crs));
    let told = ["--elevation-unit", "us-ft"];
    let answer = bench.assess("feet.tif", "lots.gpkg").lot("S").with(&told).run().usable();
    here.expect(&answer);
}

fn keys() {
    let bench = base_bench();
    let mut lots = Lots::base().geojson(WGS84);
    lots["features"][0]["id"] = Value::Null;
    lots["features"][1]["id"] = json!(7);
    lots["features"][1]["properties"]["pid"] = json!("007");
    bench.write_json("base.geojson", &lots);
    let answer = bench.assess("base.tif", "base.geojson").lot("007").run().usable();
    assert_eq!(answer.text("lot.id"), "007");
    base_numbers(&answer);
    lots["features"][0]["properties"]["pid"] = json!("007");
    bench.write_json("base.geojson", &lots);
    let told = ["--id-field", "pid"];
    let outcome = bench.assess("base.tif", "base.geojson").lot("007").with(&told).out("twice").run();
    outcome.refused(6, &["ambiguous", "801 m²", "1201 m²"]);
}

fn empty() {
    let bench = base_bench();
    bench.write_json("empty.geojson", &json!({ "type": "FeatureCollection", "features": [] }));
    bench.assess("base.tif", "empty.geojson").lot("S").run().refused(3, &["no polygons", "0 features"]);
    let mut lots = Lots::base().geojson(WGS84);
    let feature =
        |geometry: Value| json!({ "type": "Feature", "properties": { "pid": "x" }, "geometry": geometry });
    lots["features"].as_array_mut().expect("a list").extend([
        feature(Value::Null),
        feature(json!({ "type": "Polygon", "coordinates": [] })),
        feature(json!({ "type": "Point", "coordinates": [-81.0, 43.6] })),
    ]);
    bench.write_json("base.geojson", &lots);
    let answer = answer_for_s(&bench);
    base_numbers(&answer);
    answer.must_warn("features-skipped", &["1 point", "1 null", "1 empty"]);
}

fn clockwise() {
    let mut lots = Lots::base();
    lots.lots.iter_mut().for_each(|lot| lot.polygons[0][0].reverse());
    let answer = answer_for_s(&bench_with_lots(&lots));
    base_numbers(&answer);
    geojson::check("contributors.geojson", &answer.geojson("contributors.geojson"));
}

fn tiny_edge() {
    let mut ring = rectangle(20.0, 10.0, 60.0, 40.0);
    let mut beside = ring[2];
    (beside.x, beside.y) = (beside.x - 0.001, beside.y + 0.001);
    ring.insert(3, beside);
    let lots = Lots::of(vec![lot("N", 20.0, 40.0, 60.0, 60.0), ring_lot("S", ring)]);
    let answer = answer_for_s(&bench_with_lots(&lots));
    for name in ["map.geojson", "contributors.geojson", "crossings.geojson", "interception-line.geojson"] {
        geojson::check(name, &answer.geojson(name));
    }
}

fn no_area() {
    let s = rectangle(20.0, 10.0, 60.0, 40.0);
    let line = ring_lot("S", vec![s[3], s[2], s[3], s[3]]);
    let bench = bench_with_lots(&Lots::of(vec![lot("N", 20.0, 40.0, 60.0, 60.0), line]));
    bench.assess("base.tif", "base.geojson").lot("S").run().refused(3, &["lot S", "zero"]);
}

fn large_numbers() {
    // California zone 5 in survey feet: 6.5 million feet from the origin, where numbers of 32 bits step by half a foot.
    let here = Elsewhere { crs: "EPSG:2229", west: 6_489_123.37, north: 1_850_000.21, cell: 3.0 };
    let bench = Bench::new();
    here.raster().write(&bench.path("feet.tif"));
    here.lots().write(&bench.path("lots.gpkg"), "GPKG", Some(here.crs));
    let told = ["--elevation-unit", "us-ft"];
    here.expect(&bench.assess("feet.tif", "lots.gpkg").lot("S").with(&told).run().usable());
}

fn strip() {
    let lots = Lots::of(vec![
        lot("N", 20.0, 40.0, 60.0, 60.0),
        lot("strip", 20.0, 39.7, 60.0, 40.0),
        lot("S", 20.0, 10.0, 60.0, 39.7),
    ]);
    let metre = bench_with_lots(&lots);
    let five =
        Raster::of(16, 16, |row, _| 100.0 - (number(row) * 5.0 + 2.0) * FALL).at(WEST, NORTH, 5.0, 5.0);
    let coarse = bench_with(&five);
    coarse.write_json("base.geojson", &lots.geojson(WGS84));
    for bench in [metre, coarse] {
        let answer = answer_for_s(&bench);
        close("strip", answer.area_of(Who::Lot("strip")), ground_m2(0.3 * 40.0), 0.01);
        let total = answer.number("run_on.area_m2");
        close("contributors", answer.sum("contributors", "area_m2"), total, 1e-9);
    }
}

fn parts() {
    // A second part of S 4 units east of it, open to the top: 10 wide, 40 deep above its north edge.
    let mut lots = Lots::base();
    lots.lots[1].polygons.push(vec![rectangle(64.0, 10.0, 74.0, 40.0)]);
    let answer = answer_for_s(&bench_with_lots(&lots));
    close("run_on.area_m2", answer.number("run_on.area_m2"), ground_m2(1600.0 + 400.0), CLOSE);
    // A hole of 10 by 10 in S is ground outside it: its 10 columns enter S again below, with the hole's own 10 rows.
    let holed = Lot {
        id: "S".to_owned(),
        polygons: vec![vec![rectangle(20.0, 10.0, 60.0, 40.0), rectangle(35.0, 20.0, 45.0, 30.0)]],
    };
    let answer = answer_for_s(&bench_with_lots(&Lots::of(vec![lot("N", 20.0, 40.0, 60.0, 60.0), holed])));
    close("lot.area_m2", answer.number("lot.area_m2"), ground_m2(1200.0 - 100.0), CLOSE);
    close("run_on.area_m2", answer.number("run_on.area_m2"), ground_m2(1600.0 + 100.0), CLOSE);
}
