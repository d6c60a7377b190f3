//! Houses on the scene with the ridge: closed forms of where their roofs' water goes.
//!
//! The ridge lies 70 units north of the scene's south edge; south of it the plane falls south, north of it north, 2 cm a
//! unit. S lies below N; 1200 square units drain onto S, 800 of them in N. Houses lie on whole cells.

use crate::common::answer::{Answer, Who, close};
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::scene::{CLOSE, bench_with, ground_m2, ridge};

fn with_house(west: f64, south: f64, east: f64, north: f64) -> Answer {
    let bench = bench_with(&ridge());
    let houses = Lots::of(vec![lot("house", west, south, east, north)]);
    bench.write_json("houses.geojson", &houses.geojson(WGS84));
    let run = bench.assess("base.tif", "base.geojson").lot("S");
    run.with(&["--buildings", "houses.geojson", "--intensity", "100mm/h", "--coefficient", "0.35"])
        .run()
        .usable()
}

fn areas(answer: &Answer, of_n: f64, unparcelled: f64) {
    close("N", answer.area_of(Who::Lot("N")), ground_m2(of_n), CLOSE);
    close("unparcelled", answer.area_of(Who::Unparcelled), ground_m2(unparcelled), CLOSE);
    let total = answer.number("run_on.area_m2");
    close("total", total, ground_m2(of_n + unparcelled), CLOSE);
    for (list, field) in
        [("contributors", "area_m2"), ("contributors", "handed_over_area_m2"), ("crossings", "area_m2")]
    {
        close(field, answer.sum(list, field), total, 1e-9);
    }
}

// Water parts above the house and comes together below it, or runs on beside; none is lost and the roof sheds south.
#[test]
fn a_house_in_the_way_takes_nothing_from_the_run_on() {
    areas(&with_house(35.0, 45.0, 45.0, 55.0), 800.0, 400.0);
}

// 6 of the house's 10 rows lie north of the ridge, where its lowest side is: the 40 square units of its southern part
// are lost to S.
#[test]
fn a_roof_over_the_ridge_drains_to_its_lower_side() {
    areas(&with_house(35.0, 66.0, 45.0, 76.0), 800.0, 360.0);
}

// 6 of its 10 rows lie south of the ridge: the 40 square units of its northern part come to S as well.
#[test]
fn a_roof_over_the_ridge_brings_what_lies_behind() {
    areas(&with_house(35.0, 64.0, 45.0, 74.0), 800.0, 440.0);
}

// Half of the house lies on N, a little more on S: its water comes down on S, whose own rain that of its southern part is.
#[test]
fn a_house_across_the_lot_line_keeps_its_shares() {
    areas(&with_house(35.0, 34.0, 45.0, 45.0), 800.0, 400.0);
}

// The house reaches over N's east side: 8 of its 10 columns lie on N, so the rain of the other 2 comes to S as well, 20 square
// units that would pass it by. Above the house water parts in the middle of its 10 columns: the 3 that N has east of that
// run past S now, 15 square units of N and 30 above it.
#[test]
fn a_roof_comes_down_on_the_parcel_that_has_most_of_it() {
    areas(&with_house(52.0, 45.0, 62.0, 55.0), 785.0, 400.0 - 30.0 + 20.0);
}

// Two houses of one feature, as a layer that was dissolved has them: each drains to its own lowest side, the first to the south
// (it has 6 of 10 rows there and brings 40 square units from beyond the ridge), the second to the north (it takes 40).
#[test]
fn parts_of_one_feature_drain_each_by_itself() {
    let bench = bench_with(&ridge());
    let mut houses = lot("house", 25.0, 64.0, 35.0, 74.0);
    houses.polygons.extend(lot("house", 45.0, 66.0, 55.0, 76.0).polygons);
    bench.write_json("houses.geojson", &Lots::of(vec![houses]).geojson(WGS84));
    let run = bench.assess("base.tif", "base.geojson").lot("S");
    areas(&run.with(&["--buildings", "houses.geojson"]).run().usable(), 800.0, 400.0);
    let single = |house: [f64; 4]| with_house(house[0], house[1], house[2], house[3]);
    areas(&single([25.0, 64.0, 35.0, 74.0]), 800.0, 440.0);
    areas(&single([45.0, 66.0, 55.0, 76.0]), 800.0, 360.0);
}

#[test]
fn a_court_drains_with_the_house_around_it() {
    let bench = bench_with(&ridge());
    let mut house = lot("house", 30.0, 42.0, 50.0, 58.0);
    let court = lot("court", 36.0, 47.0, 44.0, 53.0);
    house.polygons[0].push(court.polygons[0][0].clone());
    bench.write_json("houses.geojson", &Lots::of(vec![house]).geojson(WGS84));
    let answer =
        bench.assess("base.tif", "base.geojson").lot("S").with(&["--buildings", "houses.geojson"]).run();
    let answer = answer.usable();
    areas(&answer, 800.0, 400.0);
    assert!(answer.list("ponds").is_empty(), "no pond in the court: {}", answer.at("ponds"));
}

#[test]
fn a_hole_below_a_house_is_an_obstacle_and_no_edge_of_the_data() {
    let bench = bench_with(&ridge().with(|row, col, z| {
        let under = (25..35).contains(&row) && (35..45).contains(&col);
        (!under).then_some(z)
    }));
    let houses = Lots::of(vec![lot("house", 35.0, 45.0, 45.0, 55.0)]);
    bench.write_json("houses.geojson", &houses.geojson(WGS84));
    let words = ["--buildings", "houses.geojson", "--bridge-holes", "10m2"];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable();
    assert_eq!(answer.text("status"), "complete");
    areas(&answer, 800.0, 400.0);
}

#[test]
fn files_that_cannot_be_used_are_refused_or_said() {
    let bench = bench_with(&ridge());
    let words = ["--buildings", "nowhere.geojson"];
    bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().refused(3, &["nowhere.geojson"]);
    let words = ["--cover", "base.geojson"];
    bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().refused(3, &["class"]);
    let far = Lots::base().moved(|at| crate::common::lots::At { x: at.x + 50_000.0, ..at });
    bench.write_json("far.geojson", &far.geojson(WGS84));
    let answer =
        bench.assess("base.tif", "base.geojson").lot("S").with(&["--buildings", "far.geojson"]).run();
    answer.usable().must_warn("patches-elsewhere", &["far.geojson"]);
}
