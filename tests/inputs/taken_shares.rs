//! Whose water a drain leaves where inflow differs along it: on the scene with the ridge, N divided into A, to the west, and B.
//!
//! A's ground is a trough: it falls 2 % south and as much to its middle column, so that all but its own edge comes to S in one
//! column. B's falls straight south. Of both 30 rows drain to S; a crest in A's last column keeps B's water off the trough.

use crate::common::answer::{Answer, close, within};
use crate::common::bench::{Bench, Outcome};
use crate::common::lots::{At, Lots, WGS84, lot};
use crate::common::scene::{NORTH, WEST, bench_with, number, ridge};
use serde_json::Value;

/// Middle of A's trough: column 30, whose middle lies 30.5 units from the west.
const TROUGH: f64 = 30.5;

pub(crate) fn scene() -> Bench {
    let trough = ridge().with(|_, col, z| match col {
        20..39 => Some(z - 0.02 * (10.0 - (number(col) + 0.5 - TROUGH).abs())),
        39 => Some(z + 0.2),
        _ => None,
    });
    let bench = bench_with(&trough);
    let mut lots = Lots::base();
    lots.lots.retain(|lot| lot.id == "S");
    lots.lots.extend([lot("A", 20.0, 40.0, 40.0, 70.0), lot("B", 40.0, 40.0, 60.0, 70.0)]);
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    let At { x, y } = At { x: WEST + 66.5, y: NORTH - 55.5 };
    // Water stands no higher in the inlet than its invert, so that no larger pipe is asked for.
    bench.write_text("inlets.csv", &format!("id,x,y,invert,tailwater\nI,{x},{y},96,96\n"));
    // A house below the trough, and one below B.
    let houses = Lots::of(vec![lot("west", 28.0, 15.0, 33.0, 25.0), lot("east", 45.0, 15.0, 55.0, 25.0)]);
    bench.write_json("houses.geojson", &houses.geojson(WGS84));
    bench
}

pub(crate) const STORM: [&str; 8] = [
    "--intensity",
    "100mm/h",
    "--coefficient",
    "0.35",
    "--arrangement",
    "one-pipe",
    "--finish",
    "bare-stone",
];

pub(crate) fn run(bench: &Bench, words: &[&str]) -> Outcome {
    let fixed = ["--catch", "1", "--inlets", "inlets.csv", "--buildings", "houses.geojson", "--overwrite"];
    bench.assess("base.tif", "base.geojson").lot("S").with(&fixed).with(words).run()
}

fn float(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn left(answer: &Answer, id: &str) -> f64 {
    let rows = answer.list("interception_line.proof.left");
    rows.iter().find(|row| row["id"] == id).map_or(0.0, |row| float(&row["area_m2"]))
}

#[test]
fn what_a_trough_brings_too_much_of_is_left_and_what_comes_as_a_sheet_is_not() {
    let bench = scene();
    let (all, some) = (run(&bench, &[]).usable(), run(&bench, &STORM).usable());
    let close_to = |what: &str, found: f64, expected: f64| within(what, found, expected, 1e-6);
    // Without a storm all that comes before the line is taken: what passes its ends is left.
    assert!(left(&all, "A") <= 0.0);
    close_to("B", left(&some, "B"), left(&all, "B"));
    assert!(left(&some, "A") > 100.0, "{}", left(&some, "A"));
    // The trough's water crosses within two columns, and of the part's water that of the design is taken.
    let [west, east] = some.list("interception_line.proof.taken") else { panic!("two parts") };
    let [passes] = &west["passes"].as_array().expect("a list")[..] else { panic!("one stretch: {west}") };
    assert!(float(&passes["to_m"]) - float(&passes["from_m"]) < 2.0, "{passes}");
    assert_eq!(east["passes"].as_array().map(Vec::len), Some(0));
    let taken = float(&west["run_on_m2"]) + float(&west["own_m2"]);
    let lost = float(&passes["left_m2"]);
    close_to("share", taken / (taken + lost), float(&west["takes_share"]));
    close_to(
        "the design's",
        float(&some.list("interception_line.parts.0.drain.options")[0]["share"]),
        float(&west["takes_share"]),
    );
    // Over as much of it as the water comes in, with a metre to spread, no more gets in than the holes let.
    let holes = some.number("interception_line.parts.0.drain.options.0.intake.holes_m3_s");
    let in_m3_s = (float(&passes["area_m2"]) - lost) * 0.35 * 100.0 / 3.6e6;
    assert!(in_m3_s <= 3.01 * holes, "{in_m3_s} by {holes} a metre");
    // Crossings have what is left of theirs.
    let of_crossings: f64 =
        some.list("crossings").iter().map(|crossing| float(&crossing["left_area_m2"])).sum();
    close("crossings", of_crossings, some.number("interception_line.balance_m2.left"), 1e-9);
    // What passes meets the house below the trough, and not the one below B.
    let met = some.list("interception_line.parts.0.drain.storms.overflow.along.buildings");
    assert_eq!(met.iter().map(|house| house["id"].as_str()).collect::<Vec<_>>(), [Some("feature 1")]);
}
