//! Leads of several parts over the same ground, or over a neighbour's: one pipe for both, or told.
//!
//! The valley of `sags.rs`: S's line along y = 39.4 sags 1 % to x = 40 and is divided there; the ground
//! falls 2 % to the south. The inlet A stands at (40.5, 20.5), where the ground lies at 100 - 0.02 x 49.5 +
//! 0.01 x 0.5 = 99.015 m, so that the leads of both parts are one line of 18.9 units.

use serde_json::Value;

use super::given_up::septics;
use crate::common::answer::{Answer, close, within};
use crate::common::bench::Bench;
use crate::common::geojson;
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::scene::{NORTH, WEST, bench_with, number, ridge};

const PARTS: &str = "interception_line.parts";
const GROUND_AT_A: f64 = 99.015;

fn valley() -> Bench {
    let rise = |col| 0.01 * (number(col) + 0.5 - 40.0).abs().min(18.0);
    bench_with(&ridge().with(|_, col, z| Some(z + rise(col))))
}

fn inlets(bench: &Bench, rows: &[(&str, [f64; 2], f64, f64)]) {
    let row = |(id, [x, y], invert_m, rim_m): &(&str, [f64; 2], f64, f64)| {
        format!("{id},{},{},{invert_m},{rim_m}\n", WEST + x, NORTH - 80.0 + y)
    };
    let rows: String = rows.iter().map(row).collect();
    bench.write_text("inlets.csv", &format!("id,x,y,invert,rim\n{rows}"));
}

fn run(bench: &Bench, intensity: &str) -> Answer {
    run_with(bench, &["--intensity", intensity])
}

fn run_with(bench: &Bench, words: &[&str]) -> Answer {
    bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&["--catch", "1", "--inlets", "inlets.csv", "--coefficient", "0.35", "--overwrite"])
        .with(words)
        .run()
        .usable()
}

fn float(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// Parts that end in the inlet, and those that end in another's pipe.
fn ends(answer: &Answer) -> [Vec<&Value>; 2] {
    let of = |kind: &str| answer.list(PARTS).iter().filter(|part| part["outlet"]["kind"] == kind).collect();
    [of("storm-inlet"), of("other-part")]
}

/// Fall by length that a flow uses up in a full pipe, by Manning's equation: (Q n / (A R^(2/3)))^2.
fn friction(flow_m3_s: f64, inside_m: f64, n: f64) -> f64 {
    let section = std::f64::consts::PI * inside_m * inside_m / 4.0;
    (flow_m3_s * n / (section * (inside_m / 4.0).powf(2.0 / 3.0))).powi(2)
}

// Below the line the yard falls 0.6 % only, to 99.39 - 0.006 x 19 + 0.005 = 99.281 m at A. With water at
// that rim, friction in the lead and the losses in the pipe for both, 1.5 velocity heads where the lead
// begins and 0.6 at the join, lift the water above the ground at the low point, 99.395 m: in the smallest
// pipe that carries it, but not in the next one, and not in a pipe of its own for either part. Before, the
// join was refused, and two leads proposed in one trench.
#[test]
fn one_pipe_is_as_large_as_standing_water_at_the_outlet_asks_for() {
    let low = |row: usize, z: f64| if row < 40 { z } else { 99.39 - 0.006 * (number(row) - 40.0) };
    let rise = |col| 0.01 * (number(col) + 0.5 - 40.0).abs().min(18.0);
    let bench = bench_with(&ridge().with(|row, col, z| Some(low(row, z) + rise(col))));
    let rim_m = 99.281;
    inlets(&bench, &[("A", [40.5, 20.5], 98.0, rim_m)]);
    let answer = run(&bench, "100mm/h");
    let [into_a, joins] = ends(&answer);
    assert_eq!((into_a.len(), joins.len()), (1, 1), "one lead");
    let outlet = &into_a[0]["outlet"];
    let (flow, inside) = (float(&outlet["carried_m3_s"]), float(&outlet["pipe_inside_m"]));
    assert!(outlet["tailwaters"].as_array().expect("a list").iter().all(|case| case["overflow"].is_null()));
    // The catalogue's 150.2 mm, n 0.012, and 201.2 mm, n 0.012. The former carries the flow at 1 %.
    let full = 0.01_f64.sqrt() / friction(1.0, 0.1502, 0.012).sqrt();
    assert!(full > flow, "{full} and {flow}");
    within("inside", inside, 0.2012, 1e-9);
    let level = |flow: f64, inside: f64, heads: f64| {
        let velocity = flow / (std::f64::consts::PI * inside * inside / 4.0);
        let lost = heads * velocity * velocity / (2.0 * 9.806_65);
        rim_m + friction(flow, inside, 0.012) * float(&outlet["lead_m"]) + lost
    };
    let (small, large) = (level(flow, 0.1502, 2.1), level(flow, 0.2012, 2.1));
    assert!(small > 99.395 + 0.005 && large < 99.395, "{small} and {large}");
    // The drain as it is built is no smaller below the join.
    let options = into_a[0]["drain"]["options"].as_array().expect("options");
    let one = options.iter().find(|o| o["arrangement"] == "one-pipe").expect("it is there");
    let reaches = one["reaches"].as_array().expect("reaches");
    let last = &reaches[reaches.len() - 1];
    assert!(float(&last["inside_m"]) >= 0.2012 - 1e-9, "{last}");
    assert!(answer.warning("leads-share-ground").is_none());
}

// At 50 mm/h both parts together ask for a pipe of 150.2 mm, outside 159.4. Under 0.3 m of cover at A its
// invert lies no higher than 99.015 - 0.3 - (159.4 + 150.2) / 2000 = 98.5602 m, and so 0.04 m below an
// invert of 98.6: it doesn't reach, while each part's own pipe does. Both parts end at one place 18.93 m
// from A: the lead of the larger pipe goes around the other's trench, out within a metre and back within
// another. Pipes of 82.6 and 107.1 mm outside lie in trenches 0.3 m wider, which leave each other alone from
// (0.0826 + 0.1071) / 2 + 0.3 = 0.395 m on: it is 2 (sqrt(1 + 0.395^2) - 1) = 0.150 m longer at the least.
#[test]
fn two_leads_from_one_place_keep_out_of_each_other_s_trench() {
    let bench = valley();
    let storm = ["--intensity", "50mm/h", "--arrangement", "one-pipe"];
    inlets(&bench, &[("A", [40.5, 20.5], 98.6, GROUND_AT_A)]);
    let answer = run_with(&bench, &storm);
    let [into_a, joins] = ends(&answer);
    assert_eq!((into_a.len(), joins.len()), (2, 0));
    for told in ["pipes-cross", "leads-share-ground"] {
        assert!(answer.warning(told).is_none(), "{told}");
    }
    let [a, b] = [0, 1].map(|place| float(&into_a[place]["outlet"]["lead_m"]));
    within("the straight one", a.min(b), 18.93, 0.01);
    assert!((a - b).abs() >= 0.150, "{a} and {b}");
    // A lower inlet lets one pipe serve.
    let missing = 98.6 - (GROUND_AT_A - 0.3 - (159.4 + 150.2) / 2000.0);
    inlets(&bench, &[("A", [40.5, 20.5], 98.6 - missing - 0.01, GROUND_AT_A)]);
    let answer = run_with(&bench, &storm);
    let [into_a, joins] = ends(&answer);
    assert_eq!((into_a.len(), joins.len()), (1, 1));
    assert!(answer.warning("leads-share-ground").is_none());
}

// The same with septic fields on both sides of the leads from y = 21.5 to 38.5, from side to side of the lot and beyond, 0.6 units apart, of
// which 0.2 m are kept: the trenches, 0.395 m apart at the least, don't both pass the 0.2 units between, and there is no other way. So
// both leads run there, over some 17 units.
#[test]
fn leads_that_cannot_be_led_around_each_other_are_told() {
    let bench = valley();
    septics(&bench, &[[-5.0, 21.5, 40.2, 38.5], [40.8, 21.5, 85.0, 38.5]], "0.2m");
    let storm = ["--intensity", "50mm/h", "--arrangement", "one-pipe", "--keep-out", "keep.geojson"];
    inlets(&bench, &[("A", [40.5, 20.5], 98.6, GROUND_AT_A)]);
    let answer = run_with(&bench, &storm);
    let [into_a, joins] = ends(&answer);
    assert_eq!((into_a.len(), joins.len()), (2, 0));
    answer.must_warn(
        "leads-share-ground",
        &["parts 1 and 2", "within 0.60 m (1.97 ft) of each other", "0.04 m (0.13 ft) lower than it may"],
    );
}

// The crest of `outlets.rs`, 2 % to either side of x = 40, with an inlet on each side, and now a
// neighbour's lot W between the western one and S. The western part may run back below the crest into the
// head of the eastern one, which stays on S.
#[test]
fn a_join_on_the_lot_goes_before_a_lead_over_a_neighbour() {
    let bench = bench_with(&ridge().with(|_, col, z| Some(z - 0.02 * (number(col) + 0.5 - 40.0).abs())));
    inlets(&bench, &[("A", [14.5, 30.5], 96.0, 98.7), ("B", [65.5, 30.5], 96.0, 98.7)]);
    let answer = run(&bench, "100mm/h");
    assert_eq!(ends(&answer)[0].len(), 2, "no neighbour, no join");
    let mut lots = Lots::base();
    lots.lots.push(lot("W", 0.0, 20.0, 20.0, 40.0));
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    let answer = run(&bench, "100mm/h");
    let [into_b, joins] = ends(&answer);
    assert_eq!((into_b.len(), joins.len()), (1, 1));
    assert_eq!(into_b[0]["outlet"]["id"], "B");
    assert!(answer.warning("outlet-over-other-parcels").is_none());
    geojson::check("interception-line.geojson", &answer.geojson("interception-line.geojson"));
    let flows = answer.sum(PARTS, "flow_m3_s");
    close("carried", float(&into_b[0]["outlet"]["carried_m3_s"]), flows, 1e-9);
}
