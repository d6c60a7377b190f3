//! Drains in storms of other return periods, where what they leave runs, and slow ground: on the scene with the ridge.
//!
//! Its water enters S evenly over the north edge; the line lies beside 38 of the 40 columns. An inlet lies low enough east of S.

use crate::common::answer::{Answer, close, within};
use crate::common::bench::{Bench, OUT, Outcome};
use crate::common::geojson;
use crate::common::lots::{At, Lots, WGS84, lot};
use crate::common::raster::Raster;
use crate::common::scene::{NORTH, SIDE, WEST, bench_with, ground_m, number, ridge};
use serde_json::Value;

const PART: &str = "interception_line.parts.0";
/// An invented table. Water takes less than an hour here, so that with a least time of an hour its row counts.
const TABLE: &str = "depth mm,1 yr,2 yr,10 yr,25 yr,100 yr,200 yr
30 min,10,15,22,27,34,40
60 min,14,20,30,36,45,52
24 h,40,60,90,110,140,160
";
const HOUR: [&str; 4] = ["--rainfall", "rain.csv", "--least-time", "60min"];

fn scene(table: &str) -> Bench {
    let bench = bench_with(&ridge());
    let At { x, y } = At { x: WEST + 66.5, y: NORTH - 55.5 };
    bench.write_text("inlets.csv", &format!("id,x,y,invert\nA,{x},{y},97.5\n"));
    bench.write_text("rain.csv", table);
    bench
}

fn run(bench: &Bench, words: &[&str]) -> Outcome {
    let fixed = ["--inlets", "inlets.csv", "--overwrite"];
    bench.assess("base.tif", "base.geojson").lot("S").with(&fixed).with(words).run()
}

fn rows(answer: &Answer) -> &[Value] {
    answer.list(&format!("{PART}.drain.storms.rows"))
}

fn float(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("a number, not {value}"))
}

fn years(answer: &Answer) -> Vec<f64> {
    rows(answer).iter().map(|row| float(&row["return_period_years"])).collect()
}

fn features(answer: &Answer, kind: &str) -> Vec<Value> {
    let map = answer.geojson("map.geojson");
    let all = map["features"].as_array().expect("features");
    all.iter().filter(|feature| feature["properties"]["kind"] == kind).cloned().collect()
}

// C i A with the row of an hour: mm of an hour are mm/h. Factors of 25 and 100 years 1.1 and 1.25, asphalt's coefficient at the most 1.
#[test]
fn flows_of_other_storms_are_those_of_the_table_and_the_factors() {
    let bench = scene(TABLE);
    let asphalt = [&HOUR[..], &["--default-cover", "asphalt"]].concat();
    let answer = run(&bench, &asphalt).usable();
    assert_eq!(years(&answer), [2.0, 10.0, 25.0, 100.0], "those that the factors are printed for");
    // The line goes on past its stretch, so that run-on beside it comes to it too.
    let areas = ["contributing_area_m2", "strip_area_m2", "other_run_on_m2", "own_ground_m2"];
    let area_m2: f64 = areas.iter().map(|field| answer.number(&format!("{PART}.{field}"))).sum();
    let c = answer.number("design.runoff_coefficient");
    for (row, (depth_mm, factor)) in
        rows(&answer).iter().zip([(20.0, 1.0), (30.0, 1.0), (36.0, 1.1), (45.0, 1.25)])
    {
        let expected = f64::min(1.0, factor * c) * depth_mm / 3.6e6 * area_m2;
        close("flow", float(&row["flow_m3_s"]), expected, 1e-9);
        close("intensity", float(&row["intensity_mm_h"]), depth_mm, 1e-9);
        assert_eq!(row["is_design"], row["return_period_years"] == 10.0);
    }
    assert_eq!(answer.at(&format!("{PART}.drain.storms.fixed_coefficients")), false);
    // What was typed is the same in every storm, and it is said.
    let typed = run(&bench, &[&HOUR[..], &["--coefficient", "0.35"]].concat());
    assert!(typed.stderr.contains("coefficients that were given are the same"), "{}", typed.stderr);
    let typed = typed.usable();
    assert_eq!(typed.at(&format!("{PART}.drain.storms.fixed_coefficients")), true);
    let flow = |row: usize| float(&rows(&typed)[row]["flow_m3_s"]);
    close("100 by 10 years", flow(3) / flow(1), 45.0 / 30.0, 1e-9);
    // The design's own stands among them whatever its return period.
    let rare = run(&bench, &[&asphalt[..], &["--return-period", "200"]].concat()).usable();
    assert_eq!(years(&rare), [2.0, 10.0, 25.0, 100.0, 200.0]);
    assert_eq!(rows(&rare)[4]["is_design"], true);
}

// Without the rain of a day sheets are timed by the intensity, so that each storm has times of its own.
#[test]
fn a_storms_flow_is_that_of_a_design_for_it_and_a_rarer_one_carries_no_larger_share() {
    let table =
        "depth mm,2 yr,10 yr,25 yr,100 yr\n5 min,8,12,15,18\n15 min,15,22,28,34\n60 min,25,40,50,60\n";
    let bench = scene(table);
    let cover = ["--rainfall", "rain.csv", "--default-cover", "lawn-good", "--soil-group", "C"];
    let answer = run(&bench, &cover).usable();
    let durations: Vec<f64> = rows(&answer).iter().map(|row| float(&row["duration_min"])).collect();
    assert!(
        durations.windows(2).all(|pair| pair[1] < pair[0]),
        "heavier rain runs off faster: {durations:?}"
    );
    for row in rows(&answer) {
        let years = row["return_period_years"].to_string();
        let design = run(&bench, &[&cover[..], &["--return-period", &years]].concat()).usable();
        close(&years, float(&row["flow_m3_s"]), design.number(&format!("{PART}.flow_m3_s")), 1e-9);
    }
    for (place, option) in answer.list(&format!("{PART}.drain.options")).iter().enumerate() {
        let cells: Vec<&Value> = rows(&answer).iter().map(|row| &row["arrangements"][place]).collect();
        let share = |cell: &Value, end: usize| float(&cell["share"][end]);
        for pair in cells.windows(2) {
            assert!((0..2).all(|end| share(pair[1], end) <= share(pair[0], end) + 1e-12), "{pair:?}");
        }
        // In its own storm it does what it was designed for.
        within("share", share(cells[1], 0), float(&option["share"]), 1e-6);
        for (cell, row) in cells.iter().zip(rows(&answer)) {
            let left = float(&row["flow_m3_s"]) * (1.0 - share(cell, 0));
            within("overflow", float(&cell["overflow_m3_s"][0]), left, 1e-12);
            assert_eq!(cell["limit"].is_null(), cell["carries"] == true);
        }
        let largest = &answer.list(&format!("{PART}.drain.storms.largest_carried"))[place];
        let carried = cells.iter().take_while(|cell| cell["carries"] == true).count();
        let last = carried.checked_sub(1).map(|row| rows(&answer)[row]["return_period_years"].clone());
        assert_eq!(largest["return_period_years"], last.unwrap_or(Value::Null));
        assert_eq!(largest["is_last"], carried == cells.len());
    }
}

#[test]
fn rain_of_one_storm_has_one_row() {
    let bench = scene(TABLE);
    for rain in [["--intensity", "100mm/h"], ["--rain-curve", "56.6/(t+8.6)^0.823 in/h"]] {
        let outcome = run(&bench, &[&rain[..], &["--coefficient", "0.35"]].concat());
        let answer = outcome.usable();
        assert_eq!(rows(&answer).len(), 1);
        assert_eq!(rows(&answer)[0]["is_design"], true);
        close(
            "flow",
            float(&rows(&answer)[0]["flow_m3_s"]),
            answer.number(&format!("{PART}.flow_m3_s")),
            1e-12,
        );
    }
}

// A house of 20 columns in S: water comes down over 38 columns (95 % of 40, all that are behind the
// setback) and meets it in these and in one more on either side.
#[test]
fn what_runs_over_is_followed_to_the_house() {
    let bench = scene(TABLE);
    let lawn =
        [&HOUR[..], &["--coefficient", "0.9", "--arrangement", "one-pipe", "--finish", "irrigated-lawn"]]
            .concat();
    let without = run(&bench, &lawn);
    assert!(without.stderr.contains("no buildings are given"), "{}", without.stderr);
    let way = format!("{PART}.drain.storms.overflow.along");
    assert!(without.usable().at(&format!("{way}.buildings")).is_null());

    let houses = Lots::of(vec![lot("house", 30.0, 15.0, 50.0, 25.0)]);
    bench.write_json("houses.geojson", &houses.geojson(WGS84));
    let outcome = run(&bench, &[&lawn[..], &["--buildings", "houses.geojson"]].concat());
    assert!(outcome.stderr.contains("it meets building feature 1 (57.9 % of it)"), "{}", outcome.stderr);
    let answer = outcome.usable();
    let met = answer.list(&format!("{way}.buildings"));
    assert_eq!((met.len(), met[0]["id"].as_str()), (1, Some("feature 1")));
    within("share", float(&met[0]["share"]), 22.0 / 38.0, 1e-3);
    assert_eq!(answer.text(&format!("{way}.ends")), "edge-of-data");
    assert_eq!(answer.text(&format!("{way}.passes.0.id")), "S");
    let drawn = features(&answer, "overflow-way");
    assert_eq!(drawn.len(), 1);
    assert_eq!(drawn[0]["properties"]["limit"], "intake");
    assert_eq!(drawn[0]["properties"]["return_period_years"], 2.0);
    // A house beside all of it is met by none.
    let houses = Lots::of(vec![lot("house", 64.0, 15.0, 70.0, 25.0)]);
    bench.write_json("houses.geojson", &houses.geojson(WGS84));
    let outcome = run(&bench, &[&lawn[..], &["--buildings", "houses.geojson"]].concat());
    assert!(outcome.stderr.contains("it meets none of the buildings given"), "{}", outcome.stderr);
}

// Ground that falls 0.05 % is slow from end to end; at 2 % none is.
#[test]
fn ground_too_flat_is_marked_along_the_way() {
    let storm = ["--intensity", "100mm/h", "--coefficient", "0.35"];
    let flat = Raster::of(SIDE, SIDE, |row, _| 100.0 - (number(row) + 0.5 - 10.0).abs() * 5e-4);
    let outcome = bench_with(&flat).assess("base.tif", "base.geojson").lot("S").with(&storm).run();
    assert!(outcome.stderr.contains("slow ground: "), "{}", outcome.stderr);
    let answer = outcome.usable();
    let time = "crossings.0.storm.time";
    let mut at_m = 0.0;
    for reach in answer.list(&format!("{time}.segments")) {
        close("from", float(&reach["from_m"]), at_m, 1e-9);
        at_m += float(&reach["length_m"]);
        assert_eq!(
            (&reach["grade_raised"], reach["slow_ground"].as_str()),
            (&Value::Bool(true), Some("flat"))
        );
    }
    let drawn: Vec<Value> =
        features(&answer, "slow-ground").into_iter().filter(|f| f["properties"]["crossing"] == 1).collect();
    assert_eq!(drawn.len(), answer.list(&format!("{time}.segments")).len());
    let mut whole_m = 0.0;
    for feature in &drawn {
        let line = geojson::line("slow ground", &feature["geometry"]["coordinates"]);
        // A degree of latitude is 111.1 km at 43.6 degrees north.
        let long_m = (line[0].y - line[line.len() - 1].y) * 111_100.0;
        let length_m = float(&feature["properties"]["length_m"]);
        within("drawn", long_m, length_m, 0.02 * length_m);
        whole_m += length_m;
    }
    // From the ridge down to the lot: 30 units.
    close("all of the way", whole_m, ground_m(30.0), 1e-3);
    let steep = bench_with(&ridge()).assess("base.tif", "base.geojson").lot("S").with(&storm).run();
    assert!(!steep.stderr.contains("slow ground"), "{}", steep.stderr);
    assert!(features(&steep.usable(), "slow-ground").is_empty());
}

// On the demo's Alder 2 the second part joins the first's pipe: in the design storm each does what it was
// sized for, the second no more than the first's pipe carries.
#[test]
fn a_part_that_joins_another_keeps_no_more_than_that_ones_pipe() {
    let bench = Bench::new();
    bench.program(&["demo", "--out", OUT]).run();
    let [elevation, parcels, buildings, inlets, rainfall] =
        ["elevation.tif", "parcels.geojson", "buildings.geojson", "inlets.geojson", "rainfall.csv"]
            .map(|name| format!("{OUT}/{name}"));
    let files = [
        ["--elevation", &elevation],
        ["--parcels", &parcels],
        ["--buildings", &buildings],
        ["--inlets", &inlets],
        ["--rainfall", &rainfall],
    ]
    .concat();
    let words = [
        "--default-cover",
        "lawn-good",
        "--soil-group",
        "C",
        "--lot",
        "Alder 2",
        "--json",
        "--out",
        OUT,
        "--overwrite",
    ];
    let outcome = bench.program(&[&["assess"], &files[..], &words].concat()).run();
    let summary: Value = serde_json::from_str(&outcome.stdout).expect("standard output is JSON");
    let parts = summary["interception_line"]["parts"].as_array().expect("parts");
    let joins = |part: &Value| part["outlet"]["kind"] == "other-part";
    assert!(joins(&parts[1]) && !joins(&parts[0]), "the second joins the first");
    let chosen = |part: &Value| -> Value {
        let options = part["drain"]["options"].as_array().expect("options");
        let is_chosen = |option: &&Value| option["arrangement"] == part["drain"]["arrangement"];
        options.iter().find(is_chosen).expect("one is chosen").clone()
    };
    for part in parts {
        let further = if joins(part) { float(&chosen(&parts[0])["carried_share"]) } else { 1.0 };
        let rows = part["drain"]["storms"]["rows"].as_array().expect("rows");
        let design = rows.iter().find(|row| row["is_design"] == true).expect("the design storm");
        let options = part["drain"]["options"].as_array().expect("options");
        for (place, option) in options.iter().enumerate() {
            let share = float(&design["arrangements"][place]["share"][0]);
            within("share", share, float(&option["share"]).min(further), 1e-6);
        }
    }
}
