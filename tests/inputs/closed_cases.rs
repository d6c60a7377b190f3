//! Drains of whole runs known by hand to the printed digit: level ground along S's north edge, ground that
//! falls 2 % across it, an inlet just off its corner.
//!
//! The ridge's ground lies at 100 - 0.02 (y - 10) m, y units south of the raster's edge. S begins at y = 40;
//! its line, 0.6 m inside, at 40.599 76: ground 99.388 m all along. It runs from 0.6 m inside S's west edge
//! to 0.6 m inside its east edge: 40 / 0.9996 - 1.2 = 38.816 m. The inlet lies straight on, 4 m farther.
//!
//! Rain of 40 mm/h, coefficient 0.35: run-on 1200 units² and strip, 0.6 m of 40.016 m less the corners:
//! 1200.96 m² + 23.65 m². Flow 0.35 x 40 / 3.6e6 x 1224.6 = 4.762 L/s. The inflow is even: 0.1227 L/s a
//! metre.
//!
//! Pipes just full at 1 %, SI, the catalogue's inside diameters: 4 in smooth, D 0.101: 5.747 L/s perforated
//! (n 0.012), 6.269 L/s solid (n 0.011); 3 in, D 0.079: 2.985 L/s. So one pipe is of 4 in and two are of 3 in
//! with one of 4 in to the inlet.

use super::drain::{cell, number, option, profile};
use crate::common::answer::{Answer, close, within};
use crate::common::bench::Bench;
use crate::common::lots::{At, Lots, Transform, WGS84, lot};
use crate::common::raster::Raster;
use crate::common::scene::{CLOSE, NORTH, UTM, WEST, bench_with, ground_m2, ridge};
use serde_json::Value;

const PART: &str = "interception_line.parts.0";
const GROUND_M: f64 = 99.388;
const LINE_M: f64 = 38.816;
/// 0.3 m of cover, 0.101 m of bore and 3.05 mm of wall.
const INVERT_BELOW_M: f64 = 0.404_05;
const FLOW: f64 = 4.762e-3;

/// The scene and an inlet of such an invert 4 m beyond the line's end.
fn scene(ground: &Raster, invert: &str) -> Bench {
    let bench = bench_with(ground);
    let inside = 0.6 * 0.9996;
    let At { x, y } = At { x: WEST + 60.0 - inside + 4.0 * 0.9996, y: NORTH - 40.0 - inside };
    bench.write_text("inlets.csv", &format!("id,x,y,invert\nA,{x},{y},{invert}\n"));
    bench
}

fn run(bench: &Bench, words: &[&str]) -> Answer {
    let storm = ["--inlets", "inlets.csv", "--intensity", "40mm/h", "--coefficient", "0.35", "--catch", "1"];
    bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&storm)
        .with(words)
        .with(&["--overwrite"])
        .run()
        .usable()
}

/// The way to the inlet by the part's lower end.
fn to_inlet(answer: &Answer) -> &Value {
    let ways = answer.list(&format!("{PART}.outlets"));
    let is_it = |way: &&Value| way["id"] == "A" && way["end"] == "lower";
    ways.iter().find(is_it).unwrap_or_else(|| panic!("no way to A: {ways:?}"))
}

// Inverts: 99.388 - 0.404 = 98.984 m at the head, 1 % down 38.816 m to 98.596 m, 4 m more to 98.556 m.
// Available down to 98.5 m: 0.484 m; needed 42.816 x 0.01 = 0.428 m.
#[test]
fn a_plane_across_one_lot_line_with_an_inlet_at_its_corner() {
    let answer = run(&scene(&ridge(), "98.5"), &["--arrangement", "one-pipe"]);
    assert_eq!(answer.list("interception_line.parts").len(), 1);
    let of_part = |field: &str| answer.number(&format!("{PART}.{field}"));
    within("line", of_part("length_m"), LINE_M, 1e-3);
    close("area", of_part("contributing_area_m2"), ground_m2(1200.0), 1e-4);
    within("strip", of_part("strip_area_m2"), 23.65, 0.4);
    close("flow", of_part("flow_m3_s"), FLOW, 5e-4);
    let way = to_inlet(&answer);
    within("way", number(way, "length_m"), LINE_M + 4.0, 1e-3);
    within("lead", number(way, "lead_m"), 4.0, 1e-3);
    within("available", number(way, "drop_available_m"), 0.484, 1e-3);
    within("needed", number(way, "drop_needed_m"), 0.428, 1e-3);
    assert_eq!(answer.text(&format!("{PART}.outlet.verdict")), "gravity");
    let grades = way["grades"].as_array().expect("grades");
    assert_eq!(grades.len(), 1, "{grades:?}");
    let head = GROUND_M - INVERT_BELOW_M;
    // Stations: ground, invert, cover, and flow as far as the part goes. The drain's own pipe is that of the
    // way.
    let rows = profile(&answer);
    assert!(rows.len() > 40, "{rows:?}");
    for row in &rows {
        let station = cell(row, 1);
        within("ground", cell(row, 4), GROUND_M, 1e-3);
        within("invert", cell(row, 5), head - 0.01 * station, 1.5e-3);
        within("cover", cell(row, 7), 0.3 + 0.01 * station, 2e-3);
        // 0.1 m of bed below a perforated pipe; behind it the bed goes on level, while the pipe falls 1 %.
        let below = 0.1016 + 0.003_05 - 0.01 * (station - LINE_M).max(0.0);
        within("cut", cell(row, 6), INVERT_BELOW_M + 0.01 * station + below, 2e-3);
        within("bottom", cell(row, 10), cell(row, 4) - cell(row, 6), 1.1e-3);
        assert!(row[11].is_empty(), "no swale: {row:?}");
        // By half a cell at either end more or less comes in.
        within("flow", cell(row, 8), FLOW * (station / LINE_M).min(1.0), 0.02 * FLOW);
    }
    let last = rows.last().expect("rows");
    within("flow of the lead", cell(last, 8), FLOW, 5e-4 * FLOW + 1e-6);
    assert_eq!((&rows[0][9][..], &last[9][..]), ("100 mm", "100 mm"));
    // Reaches.
    let one = option(&answer, "one-pipe");
    let reaches = one["reaches"].as_array().expect("reaches");
    let [line, lead] = &reaches[..] else { panic!("a line and a lead: {reaches:?}") };
    for (reach, [from, to, from_invert, to_invert, capacity]) in [
        (line, [0.0, LINE_M, head, head - 0.01 * LINE_M, 5.747e-3]),
        (lead, [LINE_M, LINE_M + 4.0, head - 0.01 * LINE_M, head - 0.01 * (LINE_M + 4.0), 6.269e-3]),
    ] {
        within("from", number(reach, "from_m"), from, 1e-3);
        within("to", number(reach, "to_m"), to, 1e-3);
        within("from invert", number(reach, "from_invert_m"), from_invert, 1e-3);
        within("to invert", number(reach, "to_invert_m"), to_invert, 1e-3);
        within("grade", number(reach, "grade"), 0.01, 1e-6);
        close("capacity", number(reach, "capacity_m3_s"), capacity, 2e-4);
        assert_eq!(reach["pipe"], "100-smooth");
    }
    // Bottom 0.1071 + 0.3 = 0.4071 m. Line: depths from 0.404 + 0.105 = 0.509 to 0.897 m, mean 0.7028 m: dug
    // 0.4071 x 0.7028 x 38.816 = 11.106 m³, stone that less pi 0.1071² / 4 x 38.816 = 0.350: 10.756 m³. Lead:
    // 0.7953 to 0.8353 m, mean 0.8153: 0.4071 x 0.8153 x 4 = 1.328 m³, and under it from 0.1016 to 0.0616 m of
    // stone, mean 0.0816: 0.4071 x 0.0816 x 4 = 0.133 m³.
    within("dug", number(one, "dug_m3"), 11.106 + 1.328 + 0.133, 5e-3);
    within("stone", number(one, "stone_m3"), 10.756 + 0.133, 5e-3);
    // Fabric on bottom and both sides: (0.4071 + 2 x 0.7028) x 38.816 = 70.36 m². Spoil: all that is dug but
    // the lead's backfill and sod, loose by 1.25.
    let rows = answer.list("quantities");
    let row = |item: &str| rows.iter().find(|row| row["item"] == item).unwrap_or_else(|| panic!("no {item}"));
    within("fabric", number(row("fabric"), "quantity"), 70.36, 0.05);
    within("pipe along the line", number(row("pipe-100-smooth-perforated"), "quantity"), LINE_M, 1e-3);
    within("pipe of the lead", number(row("pipe-100-smooth-solid"), "quantity"), 4.0, 1e-3);
    let kept = number(row("backfill"), "quantity") + number(row("sod-back"), "quantity") * 0.025;
    let spoil = 1.25 * (number(row("excavation"), "quantity") - kept);
    close("spoil", number(row("spoil"), "quantity"), spoil, 0.02);
    let two = option(&answer, "two-pipes");
    assert_eq!(
        (&two["reaches"][0]["pipe"], &two["reaches"][0]["pipes"], &two["reaches"][1]["pipe"]),
        (&"75-smooth".into(), &2.into(), &"100-smooth".into())
    );
    // 0.3 + 0.101 + 0.003 m of ground is dug 4 mm deeper than under a pipe of 3 in.
    close("two of them", number(&two["reaches"][0], "capacity_m3_s"), 2.0 * 2.985e-3, 5e-4);
}

// S's edge is 40.016 m, of 40 cells of 1.0004 m, and the line keeps a setback s from its corners: with 2 s = 1.0004 m - r it measures 39 cells
// and r, which is the length of its last step. What enters over s before its head comes over its first cell's width, and what enters over s
// beyond its end over its last, however short that step is: (1.0004 + s) of 1200.96 m2 / 40.016 m, and its own of the strip.
#[test]
fn what_comes_to_a_metre_does_not_hang_on_how_long_the_last_step_is() {
    let bench = scene(&ridge(), "98.5");
    let (edge_m, cell_m) = (40.0 / 0.9996, 1.0 / 0.9996);
    for rest_m in [0.015, 0.03, 0.06, 0.5] {
        let setback_m = 0.5 * (cell_m - rest_m);
        let answer = run(&bench, &["--arrangement", "one-pipe", "--setback", &format!("{setback_m:.6}m")]);
        let length_m = answer.number(&format!("{PART}.length_m"));
        within("line", length_m, 39.0 * cell_m + rest_m, 1e-4);
        let strip_m2 = setback_m * (edge_m - setback_m);
        let a_metre_m2 = ground_m2(1200.0) / edge_m * (cell_m + setback_m) / cell_m + strip_m2 / length_m;
        let intake = &option(&answer, "one-pipe")["intake"];
        close("most a metre", number(intake, "arrives_most_m3_s"), 0.35 * 0.04 / 3600.0 * a_metre_m2, 5e-3);
        let all_m2 = ground_m2(1200.0) + strip_m2;
        let mean = 0.35 * 0.04 / 3600.0 * all_m2 / length_m;
        close("mean a metre", number(intake, "arrives_mean_m3_s"), mean, 2e-3);
    }
}

// Loam: 0.04 to 0.10 ft3/s on 1000 ft, 1.1327 to 2.8317 L/s on 304.8 m, of 38.816 m 0.1442 to 0.3606 L/s; the
// ground falls 0.02 x 0.9996, a little less than 2 %, so that nothing is added. After rain 9.525 and 12.7 mm
// a day of 1224.6 m²: 0.1350 and 0.1800 L/s. Drawn down 3.8 times the greatest depth of the stone, 0.404 +
// 0.388 + 0.1046 = 0.897 m: 3.408 m. None of it is in the flow.
#[test]
fn ground_water_is_told_and_not_added() {
    let bench = scene(&ridge(), "98.5");
    let answer = run(&bench, &["--arrangement", "one-pipe"]);
    let found = answer.at(&format!("{PART}.ground_water"));
    for (field, ends) in
        [("inflow_m3_s", [0.1442e-3, 0.3606e-3]), ("after_rain_m3_s", [0.1350e-3, 0.1800e-3])]
    {
        for (place, expected) in ends.into_iter().enumerate() {
            close(field, found[field][place].as_f64().expect("a number"), expected, 1e-3);
        }
    }
    within("added", number(found, "added_share"), 0.0, 1e-12);
    within("fall", number(found, "ground_fall"), 0.02 * 0.9996, 1e-5);
    within("drawn down", number(found, "drawn_down_m"), 3.408, 0.01);
    assert!(found["seepage_m3_s"].is_null(), "nothing is printed of loam");
    close("flow", answer.number(&format!("{PART}.flow_m3_s")), FLOW, 5e-4);
    let methods = answer.list("design.methods");
    assert!(methods.iter().any(|row| row["gives"] == "ground water of the line, not in its flow"));
    // A solid pipe meets none.
    let basins = run(&bench, &["--arrangement", "basins"]);
    assert!(basins.at(&format!("{PART}.ground_water")).is_null());
}

// Stakes no farther apart than 7.62 m on 42.8 m, with one where the lead begins: 8. With 0.85 m of cover the
// trench along the stone is from 1.059 to 1.447 m deep: beyond 1.2192 m from 16.0 m on, and never beyond
// 1.524 m. The stone's bed goes on level under the lead.
#[test]
fn the_checklist_has_stakes_and_what_a_deep_trench_asks_for() {
    let bench = scene(&ridge(), "97.5");
    let text = |words: &[&str]| {
        let answer = run(&bench, words);
        std::fs::read_to_string(answer.out.join("specification.txt")).expect("the file is there")
    };
    let plain = text(&["--arrangement", "one-pipe"]);
    let stakes: Vec<&str> = plain.lines().filter(|line| line.starts_with("[ ] stake: ")).collect();
    assert_eq!(stakes.len(), 8, "{plain}");
    assert!(stakes[0].contains("ground 99.39 m") && stakes[0].contains("invert 98.98 m"), "{}", stakes[0]);
    assert!(
        stakes[0].contains("dig to 98.88 m") && stakes[0].contains("0.51 m (1.67 ft) below the ground"),
        "{}",
        stakes[0]
    );
    assert!(!plain.contains("[ ] protection"), "{plain}");
    let deep = text(&["--arrangement", "one-pipe", "--min-cover", "0.85m"]);
    let asked: Vec<&str> = deep.lines().filter(|line| line.starts_with("[ ] protection: ")).collect();
    assert_eq!(asked.len(), 1, "{deep}");
    assert!(
        asked[0].contains("1.22 m (4.00 ft) deep or more") && asked[0].contains("26.8 m (87."),
        "{}",
        asked[0]
    );
    assert!(deep.contains("photograph: ") && deep.contains("the fabric before the stone"), "{deep}");
}

// South of y = 46 the ground is level at 99.29 m: no pipe comes out anywhere. The inlet's invert lies at 98.7
// m, the pipe can end at 98.556 m at the highest: 0.144 m too low. An invert of 98.556 m would do, or no fall
// but 98.984 - 98.7 = 0.284 m over 42.816 m: 0.66 %.
#[test]
fn the_same_lot_without_an_outlet_low_enough_is_told_by_how_much() {
    let ground = ridge().with(|row, _, _| (row >= 45).then_some(99.29));
    let bench = scene(&ground, "98.7");
    let answer = run(&bench, &["--arrangement", "one-pipe"]);
    let way = to_inlet(&answer);
    assert_eq!(way["verdict"], "does not reach");
    within("shortfall", number(way, "shortfall_m"), 0.144, 1.5e-3);
    within("invert that would do", number(&way["remedies"], "outlet_invert_m"), 98.556, 1.5e-3);
    within("grade that would do", number(&way["remedies"], "min_grade"), 0.006_63, 5e-5);
    answer.must_warn("no-outlet-by-gravity", &["part 1"]);
    assert_eq!(answer.text(&format!("{PART}.outlet.verdict")), "pump");
    assert_eq!(answer.text(&format!("{PART}.outlet.kind")), "chamber");
    // 40 mm/h have no end: in an hour 0.35 x 0.04 m x 1224.6 m² = 17.14 m³.
    let chamber = |answer: &Answer| answer.at(&format!("{PART}.chamber")).clone();
    close("in an hour", number(&chamber(&answer), "in_an_hour_m3"), 17.14, 1e-3);
    assert!(chamber(&answer)["alone"].is_null());
    // A curve, i = 1000 / (t + 10) mm/h, t in min: in a day 16.552 mm, of 0.35 x 1224.6 = 428.6 m² 7.094 m³.
    // With a pump of q, in L/min, the room is largest where d/dt of 428.6 x 16.667 t / (t + 10) is q: t + 10
    // = (428.6 x 166.67 / q)^(1/2).
    let rain = ["--rain-curve", "1000/(t+10)^1 mm/h", "--coefficient", "0.35", "--catch", "1", "--overwrite"];
    let run_on =
        bench.assess("base.tif", "base.geojson").lot("S").with(&["--inlets", "inlets.csv"]).with(&rain);
    let curve = run_on.run().usable();
    let found = chamber(&curve);
    close("alone", number(&found["alone"], "volume_m3"), 7.094, 1e-3);
    let pumped = found["pumped"].as_array().expect("a list");
    for (row, share) in pumped.iter().zip([0.125, 0.25, 0.5]) {
        let pump = share * curve.number(&format!("{PART}.flow_m3_s"));
        close("pump", number(row, "pump_m3_s"), pump, 1e-9);
        let l_min = 60_000.0 * pump;
        let t = (428.6 * 166.667 / l_min).sqrt() - 10.0;
        let room = 428.6 * 16.6667 * t / (t + 10.0) - l_min * t;
        close("with a pump", number(row, "volume_m3"), room / 1000.0, 2e-3);
    }
    assert_eq!(pumped.len(), 3);
    // With the invert at 98.55 m it fits.
    let fits = run(&scene(&ground, "98.55"), &["--arrangement", "one-pipe"]);
    assert_eq!(fits.text(&format!("{PART}.outlet.verdict")), "gravity");
}

// A catalogue of one pipe of 50 mm, perforated n 0.012: just full at 1 % 0.001 963 5 m² x 0.0125^(2/3) x 0.1
// / 0.012 = 0.8814 L/s. The rain is twice what that is of it: the line takes half of the 1140 units² that
// cross it and of the 38 units² in front of it, and lets them out on T; S keeps the other half and what
// passes the ends.
#[test]
fn half_of_the_water_goes_onto_the_neighbour_with_the_outlet() {
    let bench = scene(&ridge(), "98.5");
    let mut lots = Lots::base();
    lots.lots.push(lot("T", 60.0, 0.0, 80.0, 60.0));
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    bench.write_text("pipes.toml", "only = true\n\n[[pipe]]\nnominal_mm = 50.0\nnominal_in = 2.0\ninside_mm = 50.0\noutside_mm = 56.0\nwall = \"smooth\"\nmanning_n = 0.012\nsolid_n = 0.012\ninlet_cm2_per_m = 30.0\npiece_m = 3.0\npiece = \"stick\"\njoint = \"bell\"\nsource = \"invented for a test\"\n");
    let at = Transform::new(UTM, WGS84).apply(At { x: WEST + 66.5, y: NORTH - 55.5 });
    let outlet = format!("{},{},97.5m", at.x, at.y);
    // The rain that brings twice the capacity: 2 x 0.8814e-3 x 3.6e6 / (0.35 x 1224.6) = 14.81 mm/h on a pipe
    // at 1 %; here the grade is the ground's.
    let of = |intensity: f64| {
        let rain = format!("{intensity}mm/h");
        let words = [
            "--outlet",
            &outlet,
            "--catalogue",
            "pipes.toml",
            "--arrangement",
            "one-pipe",
            "--intensity",
            &rain,
        ];
        bench
            .assess("base.tif", "base.geojson")
            .lot("S")
            .with(&["--coefficient", "0.35", "--catch", "1", "--overwrite"])
            .with(&words)
            .run()
            .usable()
    };
    let first = of(14.81);
    let one = option(&first, "one-pipe");
    let reaches = one["reaches"].as_array().expect("reaches");
    let least = reaches
        .iter()
        .map(|reach| {
            let (d, s) = (0.05_f64, number(reach, "grade"));
            std::f64::consts::PI * d * d / 4.0 * (d / 4.0).powf(2.0 / 3.0) * s.sqrt()
                / 0.012
                / (number(reach, "flow_m3_s") / first.number(&format!("{PART}.flow_m3_s")))
        })
        .fold(f64::INFINITY, f64::min);
    close("capacity", number(one, "capacity_m3_s"), least, 1e-6);
    let twice = of(14.81 * 2.0 * least / first.number(&format!("{PART}.flow_m3_s")));
    let (flow, capacity) =
        (twice.number(&format!("{PART}.flow_m3_s")), twice.number(&format!("{PART}.capacity_m3_s")));
    close("twice the capacity", flow, 2.0 * capacity, 1e-3);
    close("half is taken", twice.number("interception_line.proof.taken.0.takes_share"), 0.5, 1e-3);
    let balance = |name: &str| twice.number(&format!("interception_line.balance_m2.{name}"));
    close("before", balance("before"), ground_m2(1200.0), CLOSE);
    close("caught", balance("caught"), ground_m2(570.0), 2.0 * CLOSE);
    close("left", balance("left"), ground_m2(630.0), 2.0 * CLOSE);
    within("elsewhere", balance("elsewhere"), 0.0, 1e-6);
    let received = twice.list("interception_line.proof.received");
    let t = received.iter().find(|row| row["id"] == "T").expect("T receives more");
    // Half of the run-on that crosses the line, and of the rain on the strip in front of it.
    close("T", number(t, "change_m2"), ground_m2(570.0 + 19.0), 2.0 * CLOSE);
    within("T had none of it", number(t, "without_m2"), 0.0, 1e-9);
}
