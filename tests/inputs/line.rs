//! The interception line of the base scene.

use crate::common::answer::{Answer, close, within};
use crate::common::geojson;
use crate::common::lots::{At, Transform, WGS84};
use crate::common::scene::{NORTH, SCALE, UTM, WEST, base_bench, ground_m};

/// The line's positions, from the scene's south-west corner in units of the grid.
fn line_positions(answer: &Answer) -> Vec<At> {
    let back = Transform::new(WGS84, UTM);
    let file = answer.geojson("interception-line.geojson");
    geojson::check("interception-line.geojson", &file);
    geojson::positions(&file)
        .into_iter()
        .map(|at| {
            let there = back.apply(at);
            At { x: there.x - WEST, y: there.y - (NORTH - 80.0) }
        })
        .collect()
}

fn answer_with(options: &[&str]) -> Answer {
    base_bench().assess("base.tif", "base.geojson").lot("S").with(options).run().usable()
}

/// Checks that the line runs along the north edge (y = 40) at the setback, inside the lot, over `least` units or more.
fn must_follow_the_north_edge(answer: &Answer, setback_m: f64, least: f64) {
    let positions = line_positions(answer);
    assert!(positions.len() >= 2, "there is a line: {positions:?}");
    for at in &positions {
        // Seven decimals of a degree are 0.011 m of latitude.
        within("north of the line", at.y, 40.0 - setback_m * SCALE, 0.03);
        assert!((20.0..=60.0).contains(&at.x), "the line lies inside the lot: {at:?}");
    }
    let (west, east) =
        positions.iter().fold((80.0_f64, 0.0_f64), |(west, east), at| (west.min(at.x), east.max(at.x)));
    assert!(east - west >= least, "the line is {} long, {least} are wanted", east - west);
}

#[test]
fn the_line_that_catches_all_runs_along_the_whole_uphill_edge() {
    let answer = answer_with(&["--catch", "1"]);
    // 40 units, less the setback at either end.
    must_follow_the_north_edge(&answer, 0.6, 40.0 - 2.0 * 0.6 - 0.05);
    let length = answer.sum("interception_line.parts", "length_m");
    assert!((ground_m(38.7)..=ground_m(40.01)).contains(&length), "length_m is {length}");
}

#[test]
fn the_line_that_catches_95_percent_is_as_much_shorter() {
    let answer = answer_with(&[]);
    // Evenly spread inflow: 38 of the 40 units catch 95 %; the ends may lie a setback inside the lot.
    must_follow_the_north_edge(&answer, 0.6, 38.0 - 2.0 * 0.6 - 0.05);
    let length = answer.sum("interception_line.parts", "length_m");
    assert!((ground_m(36.7)..=ground_m(40.01)).contains(&length), "length_m is {length}");
    assert_eq!(answer.list("interception_line.parts").len(), 1);
}

#[test]
fn the_setback_is_kept_in_true_metres() {
    let answer = answer_with(&["--setback", "3", "--catch", "1"]);
    must_follow_the_north_edge(&answer, 3.0, 40.0 - 2.0 * 3.0 - 0.05);
}

#[test]
fn without_a_storm_there_is_no_design_flow() {
    let answer = answer_with(&[]);
    assert!(answer.at("design").is_null(), "{}", answer.at("design"));
    assert!(answer.at("crossings.0.flow_m3_s").is_null(), "{}", answer.at("crossings.0"));
}

#[test]
fn the_design_flow_is_that_of_the_rational_method() {
    // Q = C i A (Kuichling 1889; any drainage manual): 0.35 at 100 mm/h on the run-on and the strip between the lot
    // line and the line, 0.6 by 40 m at most.
    let answer = answer_with(&["--intensity", "100mm/h", "--coefficient", "0.35"]);
    let run_on = 1600.0 / (SCALE * SCALE);
    let per_m2 = 0.35 * 0.1 / 3600.0;
    let flow = answer.number("design.flow_m3_s");
    let (least, most) = (per_m2 * run_on * 0.95, per_m2 * (run_on + 0.6 * 40.1));
    assert!(
        (least * 0.999..=most * 1.001).contains(&flow),
        "design.flow_m3_s is {flow}, not in {least} to {most}"
    );
    close("design.runoff_coefficient", answer.number("design.runoff_coefficient"), 0.35, 1e-12);
    close("design.storm.intensity_mm_h", answer.number("design.storm.intensity_mm_h"), 100.0, 1e-12);
    // All of it enters by the one crossing.
    close("crossings.0.flow_m3_s", answer.number("crossings.0.flow_m3_s"), per_m2 * run_on, 2e-3);
}

#[test]
fn four_inches_an_hour_are_101_6_millimetres_an_hour() {
    for written in ["4in/h", "4 in/h"] {
        let answer = answer_with(&["--intensity", written, "--coefficient", "0.5"]);
        close("design.storm.intensity_mm_h", answer.number("design.storm.intensity_mm_h"), 101.6, 1e-12);
    }
}

#[test]
fn the_pipe_of_each_part_carries_its_flow() {
    let answer = answer_with(&["--intensity", "100mm/h", "--coefficient", "0.35"]);
    assert!(!answer.list("interception_line.parts").is_empty(), "there is a line");
    for part in answer.list("interception_line.parts") {
        let number = |field: &str| part[field].as_f64().unwrap_or_else(|| panic!("{field}: {part}"));
        assert!(number("capacity_m3_s") >= number("flow_m3_s"), "{part}");
        assert!(number("grade") > 0.0, "water runs down: {part}");
        assert!(part["section"].is_string(), "the pipe is named: {part}");
        // The ground along the north edge of the lot: between rows 39 and 40, 100 - 39.5 * 0.02.
        for field in ["from_ground_m", "to_ground_m"] {
            within(field, number(field), 99.2, 0.05);
        }
        // No outlet is given and the ground falls too little: the pipe runs to a chamber at its lower end, at 1 % below level ground.
        assert_eq!(part["outlet"]["kind"], "chamber", "{part}");
        assert!(number("from_ground_m") - number("from_invert_m") >= 0.3 + 0.1, "cover and pipe: {part}");
        let fall = number("from_invert_m") - number("to_invert_m");
        within("fall", fall, 0.01 * number("length_m"), 1e-3);
    }
}
