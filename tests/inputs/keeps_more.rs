//! An outlet on whose way a drain keeps more, before one that takes less digging.
//!
//! S's line falls 2 % to the east, and so would a pipe along it. From its lower end at (59.4, 39.4) the
//! ground is level to inlet A in the north-east (0.02 x 7.1 down, 0.02 x 5.6 up: less than 0.3 %), and falls
//! to inlet B in the south-east, farther off. Under 0.3 m of cover a pipe of 100 mm with walls of 5 mm leaves
//! the line at 98.60 - 0.405 = 98.195 m, and A's invert is at 98.09 m, 9.05 m on: 1.16 % at the most. The one
//! pipe there is, n 0.012, carries 0.00785 x 0.0855 x 0.1 / 0.012 = 5.60 L/s at 1 % by Manning's equation,
//! 7.92 L/s at 2 %. Both inlets lie in pits.

use crate::common::answer::within;
use crate::common::lots::{Lots, WGS84, lot};
use crate::drowned::{N, PARTS, bench_of, falling, outlet, run_with, value};
use serde_json::Value;

const A: (&str, [f64; 2], &str) = ("A", [66.5, 45.0], "98.3,98.09");
const B: (&str, [f64; 2], &str) = ("B", [66.5, 24.5], "96.6,96.5");
const PIPE: [(f64, f64); 1] = [(100.0, 400.0)];
const STORM: &str = "90mm/h";

fn to<'a>(ways: &'a [Value], id: &str) -> &'a Value {
    ways.iter().find(|way| way["id"] == id && way["end"] == "lower").expect("it was looked at")
}

#[test]
fn an_outlet_with_which_the_wanted_share_is_kept_comes_before_less_digging() {
    let bench = bench_of(&falling(), &PIPE, &[A, B]);
    let answer = run_with(&bench, STORM, &[]);
    assert_eq!(outlet(&answer, 0), "B");
    let ways = answer.list(&format!("{PARTS}.0.outlets"));
    let grade = to(ways, "A")["grades"].as_array().and_then(|grades| grades.last()).expect("it fits");
    let grade = value(&grade["grade"]);
    assert!((0.01 - 1e-9..0.0116).contains(&grade), "{grade}");
    let full = std::f64::consts::PI * 0.01 / 4.0 * 0.025_f64.powf(2.0 / 3.0) * grade.sqrt() / N;
    let share = full / answer.number(&format!("{PARTS}.0.flow_m3_s"));
    assert!((0.75..0.9).contains(&share), "{share}");
    within("share of A", value(&to(ways, "A")["drain_share"]), share, 0.01);
    within("share of B", value(&to(ways, "B")["drain_share"]), 1.0, 1e-6);
    assert!(value(&to(ways, "B")["drain_dug_m3"]) > value(&to(ways, "A")["drain_dug_m3"]));
    let because = answer.text(&format!("{PARTS}.0.outlet_because"));
    assert!(because.contains("storm inlet A") && because.contains("keep less"), "{because}");
    // Where less is wanted the least digging counts, and no other drain is worked out.
    let answer = run_with(&bench, STORM, &["--catch", "0.7"]);
    assert_eq!(outlet(&answer, 0), "A");
    assert!(to(answer.list(&format!("{PARTS}.0.outlets")), "B")["drain_share"].is_null());
}

// X, to the east, is the neighbour's: the lead to B runs over it, that to A doesn't.
#[test]
fn an_outlet_over_the_neighbour_with_which_more_is_kept_is_only_named() {
    let bench = bench_of(&falling(), &PIPE, &[A, B]);
    let mut lots = Lots::base();
    lots.lots.push(lot("X", 60.0, 0.0, 80.0, 38.0));
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    let answer = run_with(&bench, STORM, &[]);
    assert_eq!(outlet(&answer, 0), "A");
    answer.must_warn("outlet-keeps-more", &["part 1", "inlet B", "100.0 %", "runs over other parcels"]);
}
