//! The base scene itself, and the same lots where the ground or the order is another.

use crate::common::answer::{Who, close, within};
use crate::common::geojson;
use crate::common::lots::{Lots, lot};
use crate::common::raster::Raster;
use crate::common::scene::{
    CLOSE, FALL, SIDE, answer_for_s, base_bench, base_numbers, bench_with, bench_with_lots, expect, ground_m,
    ground_m2, number, ridge, ridge_numbers,
};

#[test]
fn the_base_scene_has_half_its_run_on_from_the_lot_above() {
    let answer = answer_for_s(&base_bench());
    base_numbers(&answer);
    assert_eq!(answer.text("lot.id"), "S");
    close("lot.area_m2", answer.number("lot.area_m2"), ground_m2(40.0 * 30.0), 1e-6);
    // The plane falls along the columns, so one receiver per cell gives the same area as shared flow.
    close(
        "run_on.single_routing_area_m2",
        answer.number("run_on.single_routing_area_m2"),
        ground_m2(1600.0),
        CLOSE,
    );
    close("share of N", answer.share(Who::Lot("N"), "share_of_run_on"), 0.5, CLOSE);
    // All of N lies above S.
    close("share_of_parcel of N", answer.share(Who::Lot("N"), "share_of_parcel"), 1.0, CLOSE);
    let unparcelled = answer.contributor(Who::Unparcelled).expect("it contributes");
    assert!(unparcelled["share_of_parcel"].is_null(), "unparcelled ground has no whole: {unparcelled}");
    assert_eq!(unparcelled["kind"], "unparcelled");
}

#[test]
fn all_water_enters_the_base_lot_as_a_sheet_over_its_north_edge() {
    let answer = answer_for_s(&base_bench());
    assert_eq!(answer.list("crossings").len(), 1, "{}", answer.at("crossings"));
    assert_eq!(answer.at("crossings.0.ring"), 0);
    // Chainage runs clockwise from the north-west corner: the north edge comes first.
    within("crossings.0.from_m", answer.number("crossings.0.from_m"), 0.0, 0.05);
    within("crossings.0.to_m", answer.number("crossings.0.to_m"), ground_m(40.0), 0.05);
    close("crossings.0.area_m2", answer.number("crossings.0.area_m2"), ground_m2(1600.0), CLOSE);
    close("crossings.0.share_of_run_on", answer.number("crossings.0.share_of_run_on"), 1.0, 1e-9);
    assert_eq!(answer.text("crossings.0.manner"), "sheet");
    // Evenly spread inflow: four fifths of it need four fifths of the edge.
    within("crossings.0.width_80_m", answer.number("crossings.0.width_80_m"), ground_m(32.0), 0.5);
}

#[test]
fn the_base_catchment_meets_the_edge_of_the_raster_and_says_so() {
    let answer = answer_for_s(&base_bench());
    assert_eq!(answer.text("status"), "incomplete");
    assert_eq!(answer.at("crossings.0.complete"), false);
    // The only crossing is concerned, so its whole area is.
    close("edge_limited_area_m2", answer.number("run_on.edge_limited_area_m2"), ground_m2(1600.0), CLOSE);
}

#[test]
fn a_ridge_inside_the_raster_makes_the_catchment_complete() {
    let answer = answer_for_s(&bench_with(&ridge()));
    ridge_numbers(&answer, CLOSE);
    assert_eq!(answer.text("status"), "complete");
    assert_eq!(answer.at("crossings.0.complete"), true);
    within("edge_limited_area_m2", answer.number("run_on.edge_limited_area_m2"), 0.0, 0.0);
}

#[test]
fn water_from_above_the_neighbour_is_handed_over_by_the_neighbour() {
    // All water enters S from N, but half of it fell above N and crossed N's upper line first.
    let answer = answer_for_s(&base_bench());
    close("N hands over", answer.share(Who::Lot("N"), "handed_over_area_m2"), ground_m2(1600.0), CLOSE);
    within("the rest hands over", answer.share(Who::Unparcelled, "handed_over_area_m2"), 0.0, 1e-6);
    close("N, straight", answer.share(Who::Lot("N"), "straight_area_m2"), ground_m2(800.0), CLOSE);
    within("the rest, straight", answer.share(Who::Unparcelled, "straight_area_m2"), 0.0, 1e-6);
}

#[test]
fn the_neighbours_beside_and_below_send_nothing() {
    let lots = Lots::of(vec![
        lot("W", 0.0, 10.0, 20.0, 60.0),
        lot("N", 20.0, 40.0, 60.0, 60.0),
        lot("E", 60.0, 10.0, 80.0, 60.0),
        lot("D", 20.0, 0.0, 60.0, 10.0),
        lot("S", 20.0, 10.0, 60.0, 40.0),
    ]);
    let answer = answer_for_s(&bench_with_lots(&lots));
    base_numbers(&answer);
    let below: Vec<&str> = answer.list("lot.sheds_to").iter().filter_map(|row| row["id"].as_str()).collect();
    assert_eq!(below, ["D"], "S drains onto D and onto no other lot");
}

#[test]
fn with_the_lots_exchanged_the_lower_one_sends_nothing() {
    // S is the upper lot now, 30 deep from 10 below the top of the old N; above it 20 units of unparcelled ground.
    let lots = Lots::of(vec![lot("N", 20.0, 10.0, 60.0, 30.0), lot("S", 20.0, 30.0, 60.0, 60.0)]);
    let answer = answer_for_s(&bench_with_lots(&lots));
    expect(&answer, &[(Who::Unparcelled, ground_m2(800.0))], CLOSE);
    within("N lies below S", answer.area_of(Who::Lot("N")), 0.0, 0.0);
}

#[test]
fn a_neighbour_cut_in_two_gives_two_areas_that_add_up() {
    let lots = Lots::of(vec![
        lot("N1", 20.0, 40.0, 33.3, 60.0),
        lot("N2", 33.3, 40.0, 60.0, 60.0),
        lot("S", 20.0, 10.0, 60.0, 40.0),
    ]);
    let whole = answer_for_s(&base_bench()).area_of(Who::Lot("N"));
    let answer = answer_for_s(&bench_with_lots(&lots));
    let parts = answer.area_of(Who::Lot("N1")) + answer.area_of(Who::Lot("N2"));
    close("N1 + N2", parts, whole, 1e-6);
    // 13.3 and 26.7 of N's 40 units of width, 20 deep; the cut runs inside a column of cells.
    expect(
        &answer,
        &[
            (Who::Lot("N1"), ground_m2(266.0)),
            (Who::Lot("N2"), ground_m2(534.0)),
            (Who::Unparcelled, ground_m2(800.0)),
        ],
        CLOSE,
    );
}

#[test]
fn ground_a_hundred_metres_higher_gives_the_same_areas() {
    let low = answer_for_s(&base_bench());
    let raised = Raster::of(SIDE, SIDE, |row, _| 200.0 - number(row) * FALL);
    let high = answer_for_s(&bench_with(&raised));
    for field in ["status", "lot", "run_on", "contributors", "crossings"] {
        assert_eq!(low.at(field), high.at(field), "{field} on ground 100 m higher");
    }
    let ground = |answer: &crate::common::answer::Answer, field| answer.sum("interception_line.parts", field);
    let parts = number(low.list("interception_line.parts").len());
    assert!(parts > 0.0, "there is a line");
    for field in ["from_ground_m", "to_ground_m"] {
        let rise = ground(&high, field) - ground(&low, field);
        within(&format!("rise of {field}"), rise, 100.0 * parts, 1e-3 * parts);
    }
}

#[test]
fn a_lot_on_a_crest_receives_nothing_and_that_is_a_result() {
    // The crest runs through S, 15 units below its north edge; water leaves it on both sides.
    let crest = Raster::of(SIDE, SIDE, |row, _| 100.0 - (number(row) + 0.5 - 55.0).abs() * FALL);
    let answer = answer_for_s(&bench_with(&crest));
    within("run_on.area_m2", answer.number("run_on.area_m2"), 0.0, 0.0);
    assert!(answer.list("contributors").is_empty(), "{}", answer.at("contributors"));
    assert!(answer.list("crossings").is_empty(), "{}", answer.at("crossings"));
    for name in ["contributors.geojson", "crossings.geojson", "contributing-area.geojson"] {
        let file = answer.geojson(name);
        geojson::check(name, &file);
        assert_eq!(file["features"], serde_json::json!([]), "{name} holds no feature");
    }
}
