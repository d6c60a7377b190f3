//! The run-on followed with the line in place, on the scene with the ridge: 30 rows of ground drain straight down the 40
//! columns of S.
//!
//! The line lies 0.6 m inside S's north side and, as the lot is shrunk on all sides, begins and ends 0.6 m from its corners:
//! it stands before the middles of 38 columns, and behind the first row of S, which it takes as well.

use super::drain::pipe;
use crate::common::answer::{Answer, close};
use crate::common::bench::Bench;
use crate::common::lots::{At, Lots, Transform, WGS84, lot};
use crate::common::scene::{CLOSE, NORTH, UTM, WEST, bench_with, ground_m2, ridge};

const BALANCE: &str = "interception_line.balance_m2";

fn run(bench: &Bench, words: &[&str]) -> Answer {
    bench.assess("base.tif", "base.geojson").lot("S").with(&["--catch", "1"]).with(words).run().usable()
}

fn balance(answer: &Answer, [caught, left, elsewhere]: [f64; 3]) {
    let found = |name: &str| answer.number(&format!("{BALANCE}.{name}"));
    close("before", found("before"), answer.number("run_on.area_m2"), 1e-9);
    for (name, units) in [("caught", caught), ("left", left), ("elsewhere", elsewhere)] {
        close(name, found(name), ground_m2(units), CLOSE);
    }
    let sum = found("caught") + found("left") + found("elsewhere");
    close("caught + left + elsewhere", sum, found("before"), 1e-9);
}

/// S between N, above it, and T, beside it down to the raster's southern edge.
fn with_t() -> Bench {
    let bench = bench_with(&ridge());
    let mut lots = Lots::base();
    lots.lots.push(lot("T", 60.0, 0.0, 80.0, 60.0));
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    bench
}

fn outlet(x: f64, y: f64, invert: &str) -> String {
    let at = Transform::new(UTM, WGS84).apply(At { x: WEST + x, y: NORTH - y });
    format!("{},{},{invert}", at.x, at.y)
}

fn row<'a>(answer: &'a Answer, list: &str, id: Option<&str>) -> &'a serde_json::Value {
    let rows = answer.list(&format!("interception_line.proof.{list}"));
    rows.iter()
        .find(|row| row["id"].as_str() == id)
        .unwrap_or_else(|| panic!("{list} has no {id:?}: {rows:?}"))
}

fn number(value: &serde_json::Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("a number, not {value}"))
}

#[test]
fn without_an_outlet_it_is_counted_as_taken_away() {
    let answer = run(&bench_with(&ridge()), &[]);
    balance(&answer, [1140.0, 60.0, 0.0]);
    close("taken", answer.number("interception_line.proof.taken.0.run_on_m2"), ground_m2(1140.0), CLOSE);
    close("own", answer.number("interception_line.proof.taken.0.own_m2"), ground_m2(38.0), CLOSE);
    close("nowhere", answer.number("interception_line.proof.nowhere_m2"), ground_m2(1178.0), CLOSE);
    // 2 of 40 columns are left: of 20 rows N's 40 m², of the 10 above it 20.
    close("N", number(&row(&answer, "left", Some("N"))["area_m2"]), ground_m2(40.0), CLOSE);
    close("unparcelled", number(&row(&answer, "left", None)["area_m2"]), ground_m2(20.0), CLOSE);
    close("lost", number(&row(&answer, "received", None)["change_m2"]), ground_m2(-1178.0), CLOSE);
    assert!(answer.warning("other-parcel-receives-more").is_none());
    let map = answer.geojson("contributors.geojson");
    let features = map["features"].as_array().expect("features");
    let n = features.iter().find(|f| f["properties"]["id"] == "N").expect("N contributes");
    close("N on the map", number(&n["properties"]["left_area_m2"]), ground_m2(40.0), CLOSE);
}

// A pipe needs 0.3 m of cover, and no trench may be deeper than 0.2 m: nothing can be laid, and all 30 rows of 40 columns are
// left.
#[test]
fn in_a_storm_a_part_without_an_outlet_takes_nothing_and_says_so() {
    let words = ["--catch", "1", "--intensity", "100mm/h", "--coefficient", "0.35", "--max-depth", "0.2m"];
    let outcome = bench_with(&ridge()).assess("base.tif", "base.geojson").lot("S").with(&words).run();
    assert!(outcome.stderr.contains("part 1 takes nothing: no outlet that serves it"), "{}", outcome.stderr);
    assert!(!outcome.stderr.contains("counted as taken away"), "{}", outcome.stderr);
    balance(&outcome.usable(), [0.0, 1200.0, 0.0]);
}

#[test]
fn what_is_let_out_on_a_neighbour_is_told_with_its_name_and_its_way() {
    let answer = run(&with_t(), &["--outlet", &outlet(66.5, 55.5, "97.5m")]);
    balance(&answer, [1140.0, 60.0, 0.0]);
    let t = row(&answer, "received", Some("T"));
    close("T", number(&t["with_m2"]), ground_m2(1178.0), CLOSE);
    assert_eq!(t["without_m2"], 0.0);
    answer.must_warn("other-parcel-receives-more", &["parcel T", "1179 m²", "written consent"]);
    let discharge = &answer.list("interception_line.proof.discharges")[0];
    assert_eq!((&discharge["to"], &discharge["ends"]), (&"ground".into(), &"edge-of-data".into()));
    assert_eq!(discharge["passes"][0]["id"], "T");
    assert_eq!(discharge["passes"].as_array().map(Vec::len), Some(1));
    let map = answer.geojson("map.geojson");
    let features = map["features"].as_array().expect("features");
    let of = |kind: &str| features.iter().filter(|f| f["properties"]["kind"] == kind).count();
    assert_eq!((of("discharge-way"), of("received-change")), (1, 1));
}

// An inlet in T's columns takes it below the outlet: in a hole, so that water comes to rest there.
#[test]
fn the_first_inlet_below_the_outlet_takes_it() {
    let hole = ridge().with(|row, col, z| (row == 65 && (64..69).contains(&col)).then_some(z - 0.5));
    let bench = bench_with(&hole);
    let At { x, y } = At { x: WEST + 66.5, y: NORTH - 65.5 };
    bench.write_text("inlets.csv", &format!("id,x,y\nA,{x},{y}\n"));
    let answer = run(&bench, &["--outlet", &outlet(66.5, 55.5, "97.5m"), "--inlets", "inlets.csv"]);
    let inlet = row(&answer, "inlets", Some("A"));
    close("inlet", number(&inlet["change_m2"]), ground_m2(1178.0), CLOSE);
    let map = answer.geojson("map.geojson");
    let point = map["features"]
        .as_array()
        .and_then(|features| features.iter().find(|f| f["properties"]["kind"] == "inlet"))
        .expect("A is on the map");
    close("on the map", number(&point["properties"]["change_m2"]), ground_m2(1178.0), CLOSE);
    let discharge = &answer.list("interception_line.proof.discharges")[0];
    assert_eq!((&discharge["first_inlet"], &discharge["ends"]), (&"A".into(), &"inlet".into()));
}

// By pipe: nothing of it runs over the ground.
#[test]
fn an_inlet_at_the_end_of_the_pipe_receives_it() {
    let bench = bench_with(&ridge());
    let At { x, y } = At { x: WEST + 66.5, y: NORTH - 55.5 };
    bench.write_text("inlets.csv", &format!("id,x,y,invert\nA,{x},{y},97.5\n"));
    let answer = run(&bench, &["--inlets", "inlets.csv"]);
    close("inlet", number(&row(&answer, "inlets", Some("A"))["with_m2"]), ground_m2(1178.0), CLOSE);
    assert_eq!(answer.list("interception_line.proof.discharges")[0]["to"], "inlet");
}

// Let out on N's columns above S all of it would be back: the place isn't taken, and it is said why.
#[test]
fn an_outlet_uphill_is_not_taken() {
    let answer = run(&bench_with(&ridge()), &["--outlet", &outlet(40.5, 38.5, "90m")]);
    answer.must_warn("outlet-comes-back", &["part 1", "the place named", "100 %"]);
    answer.must_warn("named-outlet-in-the-open", &["90.00 m"]);
    assert_ne!(answer.text("interception_line.outlet.kind"), "named-place");
    assert!(answer.warning("discharge-comes-back").is_none());
    let ways = answer.list("interception_line.parts.0.outlets");
    let there = ways.iter().find(|way| way["kind"] == "named-place").expect("it was looked at");
    assert_eq!((&there["verdict"], &there["comes_back_share"]), (&"gravity".into(), &1.0.into()));
}

// A place named in the open is built and told as what it is: its parcels in order with their end, no
// structure that is cored. Within a metre of an inlet that was given it is that inlet.
#[test]
fn a_named_place_is_in_the_open_unless_a_structure_is_given_there() {
    let bench = with_t();
    // The pipe comes to 99.39 - 0.4016 - 1 % of 39 m and of a lead of 17: 98.4 m.
    let named = outlet(66.5, 55.5, "98.3m");
    let storm =
        ["--intensity", "100mm/h", "--coefficient", "0.35", "--arrangement", "one-pipe", "--overwrite"];
    let answer = run(&bench, &[&["--outlet", &named], &storm[..]].concat());
    assert_eq!(answer.text("interception_line.outlet.kind"), "named-place");
    assert_eq!(answer.list("interception_line.outlet.downstream.parcels"), ["T"]);
    answer.must_warn("discharge-onto-other-parcels", &["over T"]);
    let items = |answer: &Answer, what: &str| {
        let rows = answer.list("quantities");
        rows.iter().filter(|row| row["item"].as_str().is_some_and(|item| item.starts_with(what))).count()
    };
    assert_eq!((items(&answer, "tie-in"), items(&answer, "outlet-guard")), (0, 1));
    let At { x, y } = At { x: WEST + 66.5, y: NORTH - 55.5 };
    bench.write_text("inlets.csv", &format!("id,x,y\nA,{},{y}\n", x + 0.9));
    let into = run(&bench, &[&["--outlet", &named, "--inlets", "inlets.csv"], &storm[..]].concat());
    assert_eq!(into.text("interception_line.outlet.kind"), "storm-inlet");
    assert_eq!(into.text("interception_line.outlet.id"), "A");
    assert!(into.at("interception_line.outlet.downstream").is_null());
    assert_eq!((items(&into, "tie-in"), items(&into, "outlet-guard")), (1, 0));
    assert_eq!(into.list("interception_line.proof.discharges")[0]["to"], "inlet");
}

// No pipe of the catalogue carries what such a rain brings: the line takes its part of it, S keeps the rest.
#[test]
fn what_the_largest_pipe_cannot_carry_is_left() {
    let answer = run(&bench_with(&ridge()), &["--intensity", "9000mm/h", "--coefficient", "1"]);
    let share = answer.number("interception_line.proof.taken.0.takes_share");
    let flow = answer.number("interception_line.parts.0.flow_m3_s");
    // Rain of 9 m an hour on 1,240 m² of run-on and strip is 3.1 m³/s.
    close("flow", flow, 9.0 / 3600.0 * ground_m2(1240.0), 0.02);
    assert!(share > 0.0 && share < 1.0, "{share}");
    balance(&answer, [1140.0 * share, 60.0 + 1140.0 * (1.0 - share), 0.0]);
}

// By hand: a pipe of 200 mm inside, n 0.012, on the least grade of 1 % carries, full, by Manning
// 3.14159 / 4 x 0.2^2 x (0.2 / 4)^(2/3) x 0.01^(1/2) / 0.012 = 0.031416 x 0.135721 x 0.1 / 0.012 = 0.035532 m3/s.
// All of the rain runs off, and it is so strong that the 40 columns of 30 rows above the lot line, and the strip behind it of 0.6 m
// with ends at 45 degrees, (40 - 0.6) x 0.6 = 23.64 m2, bring twice that. 38 columns and the row behind them come to the line:
// half of it goes out on T's ground; the lot keeps the other half, and the 60 m2 that pass the ends.
#[test]
fn a_line_of_half_the_capacity_hands_half_to_the_neighbour_it_lets_out_on_and_leaves_half() {
    let bench = with_t();
    // Holes and stone let all in.
    bench.write_text("pipes.toml", &format!("only = true\n{}", pipe(200.0, 300.0)));
    let full_m3_s = 0.035_532;
    let intensity_m_s = 2.0 * full_m3_s / (ground_m2(1200.0) + 23.64);
    let intensity = format!("{}mm/h", intensity_m_s * 3.6e6);
    let answer = run(
        &bench,
        &[
            &["--outlet", &outlet(66.5, 55.5, "97.5m"), "--intensity", &intensity, "--coefficient", "1"][..],
            &["--catalogue", "pipes.toml", "--arrangement", "one-pipe", "--finish", "bare-stone"],
        ]
        .concat(),
    );
    let near = |what: &str, found: f64, units: f64| close(what, found, ground_m2(units), 1e-3);
    near("caught", answer.number(&format!("{BALANCE}.caught")), 570.0);
    near("left", answer.number(&format!("{BALANCE}.left")), 60.0 + 570.0);
    close("elsewhere", answer.number(&format!("{BALANCE}.elsewhere")), 0.0, 1e-6);
    let change = number(&row(&answer, "received", Some("T"))["change_m2"]);
    near("T has half", change, 589.0);
    // What T has more is what is caught of the run-on and of the lot's own row, and nothing else.
    let taken = |name: &str| answer.number(&format!("interception_line.proof.taken.0.{name}"));
    close("T has what is caught", change, taken("run_on_m2") + taken("own_m2"), 1e-9);
    answer.must_warn("other-parcel-receives-more", &["parcel T"]);
}
