//! Parcels whose outlines are odd: gaps, overlaps, crossings, spikes, tiny edges, thin strips, parts and holes.

use serde_json::{Value, json};

use crate::common::answer::{Answer, Who, close, within};
use crate::common::geojson;
use crate::common::lots::{At, Lot, Lots, Ring, lot, rectangle, ring_lot};
use crate::common::raster::Raster;
use crate::common::scene::{
    CLOSE, FALL, NORTH, WEST, answer_for_s, base_bench, base_numbers, bench_with_lots, expect, ground_m,
    ground_m2, number, plane,
};

/// A ring through these corners, from the scene's south-west corner as origin, closed.
fn ring(corners: &[(f64, f64)]) -> Ring {
    corners.iter().chain(corners.first()).map(|&(x, y)| At { x: WEST + x, y: NORTH - 80.0 + y }).collect()
}

fn subject() -> Lot {
    lot("S", 20.0, 10.0, 60.0, 40.0)
}

#[test]
fn a_gap_of_five_centimetres_costs_no_more_than_its_own_area() {
    let lots = Lots::of(vec![lot("N", 20.0, 40.05, 60.0, 60.0), subject()]);
    let answer = answer_for_s(&bench_with_lots(&lots));
    // N is 19.95 deep; the gap's 2 square units may be booked to it or to unparcelled ground. Nothing is lost.
    close("run_on.area_m2", answer.number("run_on.area_m2"), ground_m2(1600.0), CLOSE);
    close("all contributors", answer.sum("contributors", "area_m2"), ground_m2(1600.0), CLOSE);
    let (least, most) = (ground_m2(798.0) * (1.0 - CLOSE), ground_m2(800.0) * (1.0 + CLOSE));
    let found = answer.area_of(Who::Lot("N"));
    assert!((least..=most).contains(&found), "area of N: found {found}, expected {least} to {most}");
}

#[test]
fn an_overlap_of_five_centimetres_is_shared_out_once_and_reported() {
    let lots = Lots::of(vec![lot("N", 20.0, 39.95, 60.0, 60.0), subject()]);
    let answer = answer_for_s(&bench_with_lots(&lots));
    answer.must_say(&["overlap"]);
    // The strip of 2 square units is N's or S's, not both: S begins 40 or 40.05 below the raster's top.
    let (least, most) = (ground_m2(1600.0) * (1.0 - CLOSE), ground_m2(1602.0) * (1.0 + CLOSE));
    let found = answer.number("run_on.area_m2");
    assert!((least..=most).contains(&found), "run_on.area_m2: found {found}, expected {least} to {most}");
    close("the strip above", answer.area_of(Who::Unparcelled), ground_m2(800.0), CLOSE);
    close("N and what is above", answer.sum("contributors", "area_m2"), found, 1e-9);
}

#[test]
fn a_bow_tie_is_left_out_by_name_and_its_ground_is_unparcelled() {
    // The ring crosses itself: the two triangles that it encloses have half the area of N, and its signed area is 0.
    let crossed = ring(&[(20.0, 40.0), (60.0, 60.0), (60.0, 40.0), (20.0, 60.0)]);
    let answer = answer_for_s(&bench_with_lots(&Lots::of(vec![ring_lot("N", crossed), subject()])));
    answer.must_name("N");
    expect(&answer, &[(Who::Unparcelled, ground_m2(1600.0))], CLOSE);
}

#[test]
fn a_bow_tie_as_subject_is_refused_by_name() {
    let crossed = ring(&[(20.0, 10.0), (60.0, 40.0), (60.0, 10.0), (20.0, 40.0)]);
    let bench = bench_with_lots(&Lots::of(vec![lot("N", 20.0, 40.0, 60.0, 60.0), ring_lot("S", crossed)]));
    let outcome = bench.assess("base.tif", "base.geojson").lot("S").run();
    outcome.refused(3, &[]);
    outcome.must_name("S");
}

#[test]
fn a_spike_without_area_is_cut_off_and_named() {
    // From the south-east corner up to 30 beyond the north-east corner and back.
    let spiked = ring(&[(20.0, 10.0), (60.0, 10.0), (60.0, 70.0), (60.0, 40.0), (20.0, 40.0)]);
    let lots = Lots::of(vec![lot("N", 20.0, 40.0, 60.0, 60.0), ring_lot("S", spiked)]);
    let answer = answer_for_s(&bench_with_lots(&lots));
    base_numbers(&answer);
    answer.must_name("S");
    close("lot.area_m2", answer.number("lot.area_m2"), ground_m2(1200.0), 1e-6);
}

#[test]
fn clockwise_rings_are_read_and_counter_clockwise_ones_written() {
    let mut lots = Lots::base();
    for lot in &mut lots.lots {
        lot.polygons[0][0].reverse();
    }
    let answer = answer_for_s(&bench_with_lots(&lots));
    base_numbers(&answer);
    for name in ["map.geojson", "contributors.geojson", "contributing-area.geojson"] {
        geojson::check(name, &answer.geojson(name));
    }
}

#[test]
fn an_edge_of_a_millimetre_does_not_break_the_written_outlines() {
    // One millimetre is below the seventh decimal of a degree.
    let tiny = ring(&[(20.0, 10.0), (60.0, 10.0), (60.0, 40.0), (59.999, 40.001), (20.0, 40.0)]);
    let lots = Lots::of(vec![lot("N", 20.0, 40.0, 60.0, 60.0), ring_lot("S", tiny)]);
    let answer = answer_for_s(&bench_with_lots(&lots));
    base_numbers(&answer);
    geojson::check("map.geojson", &answer.geojson("map.geojson"));
}

/// A strip of 0.3 between N and S, taken from S.
fn with_strip() -> Lots {
    Lots::of(vec![
        lot("N", 20.0, 40.0, 60.0, 60.0),
        lot("strip", 20.0, 39.7, 60.0, 40.0),
        lot("S", 20.0, 10.0, 60.0, 39.7),
    ])
}

/// N and the ground above it as ever, and the strip with all of its 12 square units.
fn must_count_the_strip(answer: &Answer) {
    expect(
        answer,
        &[
            (Who::Lot("N"), ground_m2(800.0)),
            (Who::Lot("strip"), ground_m2(12.0)),
            (Who::Unparcelled, ground_m2(800.0)),
        ],
        CLOSE,
    );
}

#[test]
fn a_strip_narrower_than_a_cell_counts_with_its_own_area() {
    must_count_the_strip(&answer_for_s(&bench_with_lots(&with_strip())));
}

#[test]
fn a_strip_narrower_than_a_cell_counts_on_cells_of_five_metres_too() {
    let bench = bench_with_lots(&with_strip());
    let coarse =
        Raster::of(16, 16, |row, _| 100.0 - (number(row) * 5.0 + 2.0) * FALL).at(WEST, NORTH, 5.0, 5.0);
    coarse.write(&bench.path("base.tif"));
    must_count_the_strip(&answer_for_s(&bench));
}

#[test]
fn all_parts_of_a_lot_receive() {
    // A second part of S, 10 wide, 4 east of the first: the strip above it is 10 by 40 of unparcelled ground.
    let mut lots = Lots::base();
    lots.lots[1].polygons.push(vec![rectangle(64.0, 10.0, 74.0, 40.0)]);
    let answer = answer_for_s(&bench_with_lots(&lots));
    expect(&answer, &[(Who::Lot("N"), ground_m2(800.0)), (Who::Unparcelled, ground_m2(1200.0))], CLOSE);
    close("lot.area_m2", answer.number("lot.area_m2"), ground_m2(1500.0), 1e-6);
    // Outer rings in order from the northernmost corner, ties from the west: the large part comes first.
    assert_eq!(answer.list("crossings").len(), 2, "{}", answer.at("crossings"));
    for (place, width, area) in [(0, 40.0, 1600.0), (1, 10.0, 400.0)] {
        let field = |name: &str| answer.number(&format!("crossings.{place}.{name}"));
        within("ring", field("ring"), f64::from(place), 0.0);
        within("from_m", field("from_m"), 0.0, 0.05);
        within("to_m", field("to_m"), ground_m(width), 0.05);
        close("area_m2", field("area_m2"), ground_m2(area), CLOSE);
    }
}

#[test]
fn a_hole_of_a_lot_is_ground_outside_it() {
    // A hole of 20 by 10 that is a lot of its own, H: its water enters S over the hole's south edge, and what
    // comes to it through S has been counted at the north edge already.
    let mut lots = Lots::base();
    let mut hole = rectangle(30.0, 20.0, 50.0, 30.0);
    hole.reverse();
    lots.lots[1].polygons[0].push(hole);
    lots.lots.push(lot("H", 30.0, 20.0, 50.0, 30.0));
    let answer = answer_for_s(&bench_with_lots(&lots));
    expect(
        &answer,
        &[
            (Who::Lot("N"), ground_m2(800.0)),
            (Who::Lot("H"), ground_m2(200.0)),
            (Who::Unparcelled, ground_m2(800.0)),
        ],
        CLOSE,
    );
    close("lot.area_m2", answer.number("lot.area_m2"), ground_m2(1000.0), 1e-6);
    assert_eq!(answer.list("crossings").len(), 2, "{}", answer.at("crossings"));
    // The hole's ring comes after the outer ring; clockwise from its north-west corner: 20, 10, then the south edge.
    let field = |name: &str| answer.number(&format!("crossings.1.{name}"));
    within("ring", field("ring"), 1.0, 0.0);
    within("from_m", field("from_m"), ground_m(30.0), 0.05);
    within("to_m", field("to_m"), ground_m(50.0), 0.05);
    close("area_m2", field("area_m2"), ground_m2(200.0), CLOSE);
}

#[test]
fn unusable_features_are_skipped_and_counted() {
    let bench = base_bench();
    let mut file: Value =
        serde_json::from_slice(&std::fs::read(bench.path("base.geojson")).expect("it is there"))
            .expect("it is JSON");
    let unusable = [
        json!(null),
        json!({ "type": "Polygon", "coordinates": [] }),
        json!({ "type": "Point", "coordinates": [-81.0, 43.6] }),
    ];
    for (place, geometry) in unusable.into_iter().enumerate() {
        let feature =
            json!({ "type": "Feature", "properties": { "pid": format!("x{place}") }, "geometry": geometry });
        file["features"].as_array_mut().expect("a list").push(feature);
    }
    bench.write_json("base.geojson", &file);
    let answer = answer_for_s(&bench);
    base_numbers(&answer);
    answer.must_say(&["1", "point", "null", "empty"]);
}

#[test]
fn a_layer_without_features_is_refused_with_the_count() {
    let bench = base_bench();
    bench.write_json("none.geojson", &json!({ "type": "FeatureCollection", "features": [] }));
    bench.assess("base.tif", "none.geojson").lot("S").run().refused(3, &["none.geojson", "polygons"]);
}

#[test]
fn a_layer_of_points_only_is_refused_with_what_it_holds() {
    let bench = base_bench();
    let point = json!({ "type": "Feature", "properties": { "pid": "S" },
        "geometry": { "type": "Point", "coordinates": [-81.0, 43.6] } });
    bench.write_json("points.geojson", &json!({ "type": "FeatureCollection", "features": [point] }));
    bench
        .assess("base.tif", "points.geojson")
        .lot("S")
        .run()
        .refused(3, &["points.geojson", "polygons", "1 point"]);
}

#[test]
fn a_subject_without_area_is_refused_by_name() {
    let flat = ring(&[(20.0, 40.0), (60.0, 40.0), (20.0, 40.0)]);
    let bench = bench_with_lots(&Lots::of(vec![lot("N", 20.0, 40.0, 60.0, 60.0), ring_lot("S", flat)]));
    plane().write(&bench.path("base.tif"));
    let outcome = bench.assess("base.tif", "base.geojson").lot("S").run();
    outcome.refused(3, &[]);
    outcome.must_name("S");
}
