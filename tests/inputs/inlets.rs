//! Storm inlets on the scene with the ridge: what they take doesn't reach the lot.
//!
//! A gutter runs across the raster, ten rows above S, and is lowest in the middle. All that falls between the ridge and the
//! row below the gutter comes to it. Of N's ground 8 rows lie further down.

use crate::common::answer::{Who, close};
use crate::common::bench::{Bench, Outcome};
use crate::common::lots::{At, Lots, Transform, WGS84, lot};
use crate::common::raster::{Raster, RasterCrs};
use crate::common::scene::{
    CLOSE, FALL, NORTH, SIDE, UTM, WEST, bench_with, expect, ground_m2, number, ridge, ridge_numbers,
};

const GUTTER_ROW: usize = 30;
/// The gutter's lowest cell: its middle, in units from the raster's north-west corner.
const LOW: [f64; 2] = [40.5, 30.5];

fn gutter() -> Raster {
    ridge().with(|row, col, z| {
        // It doesn't run out at the edge of the data.
        let in_gutter = row == GUTTER_ROW && (2..SIDE - 2).contains(&col);
        in_gutter.then(|| z - 1.0 + 0.01 * (number(col) - 40.0).abs())
    })
}

fn run(bench: &Bench, words: &[&str]) -> Outcome {
    bench.assess("base.tif", "base.geojson").lot("S").with(words).run()
}

fn place([x, y]: [f64; 2]) -> At {
    At { x: WEST + x, y: NORTH - y }
}

/// A table with one inlet in the raster's system.
fn table(at: [f64; 2], more: &str) -> String {
    let At { x, y } = place(at);
    format!("id,x,y,rim,invert\nA,{x},{y},{more}\n")
}

const INLETS: [&str; 2] = ["--inlets", "inlets.csv"];

#[test]
fn water_that_stands_at_an_inlet_goes_no_further() {
    let bench = bench_with(&gutter());
    let full = run(&bench, &[]).usable().number("run_on.area_m2");
    assert!(full > ground_m2(9.0 * 40.0), "without an inlet the gutter fills and spills: {full}");
    let lonlat = Transform::new(UTM, WGS84).apply(place(LOW));
    let texts = [
        table(LOW, "98.6,97"),
        // A cell aside of the lowest one: what lies lower fills up to it.
        table([43.5, 30.5], ","),
        format!("lat;lon;depth;public\n{};{};1.2;yes\n", lonlat.y, lonlat.x),
    ];
    for text in texts {
        bench.write_text("inlets.csv", &text);
        let answer = bench
            .assess("base.tif", "base.geojson")
            .lot("S")
            .with(&INLETS)
            .with(&["--overwrite"])
            .run()
            .usable();
        expect(&answer, &[(Who::Lot("N"), ground_m2(8.0 * 40.0))], CLOSE);
        assert!(answer.warning("inlets-passed-by").is_none());
        let listed = answer.list("provenance.inputs");
        assert!(listed.iter().any(|file| file["path"] == "inlets.csv"), "{listed:?}");
        let map = answer.geojson("map.geojson");
        let features = map["features"].as_array().expect("features");
        let inlets: Vec<_> = features.iter().filter(|f| f["properties"]["kind"] == "inlet").collect();
        assert_eq!(inlets.len(), 1);
        assert_eq!(inlets[0]["properties"]["takes_water"], true);
    }
}

#[test]
fn water_runs_past_an_inlet_on_a_slope_and_that_is_said() {
    let bench = bench_with(&ridge());
    bench.write_text("inlets.csv", &table([40.5, 35.5], "99,98"));
    let answer = run(&bench, &INLETS).usable();
    ridge_numbers(&answer, CLOSE);
    answer.must_warn("inlets-passed-by", &["A"]);
}

// A hollow in S, 20 columns wide, with an inlet takes what comes down its columns and one beside each end, to the row below
// it, which falls back.
#[test]
fn what_the_lot_sheds_into_an_inlet_is_told_apart() {
    let hollow = ridge().with(|row, col, z| (row == 60 && (30..50).contains(&col)).then_some(z - 1.0));
    let bench = bench_with(&hollow);
    bench.write_text("inlets.csv", &table([40.5, 60.5], "98,97"));
    let outcome = run(&bench, &INLETS);
    assert!(outcome.stderr.contains("into storm inlet A"), "{}", outcome.stderr);
    let answer = outcome.usable();
    let sheds = answer.list("lot.sheds_to");
    let into = sheds.iter().find(|row| row["kind"] == "inlet").expect("the inlet takes some");
    assert_eq!(into["id"], "A");
    close("into the inlet", into["area_m2"].as_f64().expect("a number"), ground_m2(22.0 * 22.0), CLOSE);
}

#[test]
fn inlets_that_cannot_be_used_are_refused_with_the_line() {
    let bench = bench_with(&ridge());
    for (text, words) in [
        (table(LOW, "98,98.5"), ["line 2", "not below its rim"]),
        (table(LOW, "98,deep"), ["line 2", "\"deep\""]),
        ("id,rim\nA,98\n".to_owned(), ["no columns", "id, rim"]),
        ("x,y,id\n500040,abc,A\n".to_owned(), ["line 2", "\"abc\""]),
        (String::new(), ["inlets.csv", "empty"]),
    ] {
        bench.write_text("inlets.csv", &text);
        run(&bench, &INLETS).refused(3, &words);
    }
    run(&bench, &["--inlets-layer", "a"]).refused(2, &["--inlets"]);
    run(&bench, &["--inlets", "nowhere.csv"]).refused(3, &["nowhere.csv"]);
}

#[test]
fn inlets_elsewhere_and_without_invert_are_said() {
    let bench = bench_with(&ridge());
    bench.write_text("inlets.csv", &table([4000.0, 30.0], "98,97"));
    run(&bench, &INLETS).usable().must_warn("inlets-elsewhere", &["inlets.csv"]);
    bench.write_text("inlets.csv", &table(LOW, "98,"));
    let answer = run(&bench, &[&INLETS[..], &["--overwrite"]].concat()).usable();
    answer.must_warn("inlets-without-invert", &["A"]);
}

#[test]
fn inlets_that_take_no_water_and_doubtful_rims_are_said() {
    let bench = bench_with(&gutter());
    let At { x, y } = place(LOW);
    // The second lies in the first one's cell; the rim is in feet.
    bench.write_text("inlets.csv", &format!("id,x,y,rim,invert\nA,{x},{y},323,320\nB,{x},{y},98.6,97\n"));
    let answer = run(&bench, &INLETS).usable();
    answer.must_warn("inlets-left-out", &["B"]);
    answer.must_warn("inlet-rim-doubtful", &["A (rim 323.00 m"]);
    let roof = Lots::of(vec![lot("a", 35.0, 45.0, 45.0, 55.0)]).geojson(WGS84);
    bench.write_json("houses.geojson", &roof);
    bench.write_text("inlets.csv", &table(LOW, "98.6,97"));
    let words = ["--inlets", "inlets.csv", "--buildings", "houses.geojson", "--overwrite"];
    let answer = run(&bench, &words).usable();
    answer.must_warn("inlets-left-out", &["A", "below a building"]);
}

#[test]
fn a_table_in_another_encoding_is_refused_with_the_line() {
    let bench = bench_with(&ridge());
    std::fs::write(bench.path("inlets.csv"), b"id,x,y\nA,1,2\n\xff,1,2\n").expect("it can be written");
    run(&bench, &INLETS).refused(3, &["line 3", "UTF-8"]);
}

// The invert is low enough for a pipe across S and N, whose lots the lead from the line to the gutter runs over.
#[test]
fn the_line_finds_its_way_to_an_inlet() {
    let bench = bench_with(&ridge());
    // 6 units east of S, on ground at 99.09: from S's north side, level at 99.39, less than a metre of fall.
    let At { x, y } = place([66.5, 55.5]);
    bench.write_text("inlets.csv", &format!("id,x,y,invert\nA,{x},{y},97.5\nB,{x},{y},99.3\n"));
    let answer = run(&bench, &INLETS).usable();
    let part = "interception_line.parts.0";
    assert_eq!(answer.text(&format!("{part}.outlet.id")), "A");
    assert_eq!(answer.text("interception_line.outlet.id"), "A");
    assert_eq!(answer.text(&format!("{part}.outlet.verdict")), "gravity");
    let ways = answer.list(&format!("{part}.outlets"));
    let to_inlets = ways.iter().filter(|way| way["kind"] == "storm-inlet");
    assert_eq!(to_inlets.count(), 4, "two outlets, either way round");
    // 4 inches of pipe below 0.3 m of cover, all in the ground of S's north side.
    let head = answer.number(&format!("{part}.from_ground_m")) - 0.4016;
    close("drop available", answer.number(&format!("{part}.outlet.drop_available_m")), head - 97.5, 1e-3);
    let b = ways.iter().find(|way| way["id"] == "B").expect("B was looked at");
    assert_eq!(b["verdict"], "does not reach");
    assert!(b["shortfall_m"].as_f64().expect("a number") > 0.0);
    let map = answer.geojson("interception-line.geojson");
    let parts: Vec<_> =
        map["features"].as_array().expect("features").iter().map(|f| &f["properties"]["part"]).collect();
    assert_eq!(parts, ["line", "route"]);
    let csv = std::fs::read_to_string(answer.out.join("profile.csv")).expect("the file is there");
    let last: Vec<&str> = csv.lines().last().expect("rows").split(',').collect();
    let number = |text: &str| text.parse::<f64>().expect("a number");
    assert!(number(last[5]) >= 97.5 && number(last[7]) >= 0.3 - 1e-3, "{last:?}");
    bench.write_text("inlets.csv", &format!("id,x,y,invert,tailwater\nA,{x},{y},97.5,99.05\n"));
    let drowned = run(&bench, &[&INLETS[..], &["--overwrite"]].concat()).usable();
    drowned.must_warn("outlet-drowned", &["inlet A", "99.05 m"]);
    let far = Transform::new(UTM, WGS84).apply(place([66.5, 300.0]));
    let beyond = format!("{},{},50m", far.x, far.y);
    let named = ["--outlet", beyond.as_str(), "--overwrite"];
    let ways = run(&bench, &named).usable();
    let there = ways.list("interception_line.parts.0.outlets");
    let there = there.iter().find(|way| way["kind"] == "named-place").expect("it was looked at");
    assert!(there["verdict"].is_null(), "no ground is known there");
    let none = run(&bench, &[&INLETS[..], &["--max-depth", "0.4m", "--overwrite"]].concat()).usable();
    none.must_warn("no-outlet-by-gravity", &["part 1"]);
    assert!(none.at("interception_line.outlet").is_null());
}

#[test]
fn a_place_may_be_named_as_the_outlet() {
    let bench = bench_with(&ridge());
    let at = Transform::new(UTM, WGS84).apply(place([66.5, 55.5]));
    let named = format!("{},{},97.5m", at.x, at.y);
    let answer = run(&bench, &["--outlet", &named]).usable();
    assert_eq!(answer.text("interception_line.outlet.kind"), "named-place");
    let bench = bench_with(&ridge());
    for bad in ["-81,43", "-81,43,deep", "-81,430,97m"] {
        run(&bench, &["--outlet", bad]).refused(2, &["--outlet"]);
    }
}

// Heights in feet: the raster's own unit counts where the file says none.
#[test]
fn heights_are_read_in_the_raster_s_unit() {
    let feet = Raster::of(SIDE, SIDE, |row, _| (100.0 - number(row) * FALL) / 0.3048)
        .crs(RasterCrs::Code(26917))
        .unit("ft");
    let bench = bench_with(&feet);
    bench.write_text("inlets.csv", &table(LOW, "325,320"));
    let map = run(&bench, &INLETS).usable().geojson("map.geojson");
    let inlet = map["features"]
        .as_array()
        .and_then(|features| features.iter().find(|f| f["properties"]["kind"] == "inlet"))
        .expect("it is there");
    close("rim", inlet["properties"]["rim_m"].as_f64().expect("a number"), 99.06, 1e-9);
    close("invert", inlet["properties"]["invert_m"].as_f64().expect("a number"), 97.536, 1e-9);
}

/// A drain may never be led to a foul sewer: such points take no water, are no outlets, and are named.
#[test]
fn inlets_of_foul_sewers_are_left_out_and_named() {
    let bench = bench_with(&gutter());
    let At { x, y } = place(LOW);
    let row = |id: &str, kind: &str, east: f64| format!("{id},{},{y},98.6,97,{kind}\n", x + east);
    let rows = [
        row("SMH-1", "Sanitary", 0.0),
        row("CMH-2", "combined sewer", 1.0),
        row("CB-3", "storm", 2.0),
        row("SMH-4", "SAN", 3.0),
    ];
    bench.write_text("inlets.csv", &format!("id,x,y,rim,invert,type\n{}", rows.concat()));
    let answer = run(&bench, &INLETS).usable();
    answer
        .must_warn("inlets-of-foul-sewers", &["SMH-1", "SMH-4", "sanitary sewer", "CMH-2", "combined sewer"]);
    let map = answer.geojson("map.geojson");
    let features = map["features"].as_array().expect("features");
    let ids: Vec<_> = features
        .iter()
        .filter(|feature| feature["properties"]["kind"] == "inlet")
        .map(|feature| feature["properties"]["id"].as_str().expect("an id"))
        .collect();
    assert_eq!(ids, ["CB-3"]);
    for part in answer.list("interception_line.parts") {
        for way in part["outlets"].as_array().expect("ways") {
            assert!(way["id"] != "SMH-1" && way["id"] != "CMH-2" && way["id"] != "SMH-4", "{way}");
        }
    }
    // Of more than five the first five are named, and it is said how many more there are.
    let many: String = (1..=8).map(|n| row(&format!("S{n}"), "sanitary", f64::from(n))).collect();
    bench.write_text("inlets.csv", &format!("id,x,y,rim,invert,type\n{many}"));
    let answer = run(&bench, &["--inlets", "inlets.csv", "--overwrite"]).usable();
    answer.must_warn("inlets-of-foul-sewers", &["S1 (", "S5 (", "and 3 more"]);
}
