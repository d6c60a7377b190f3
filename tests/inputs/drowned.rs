//! Standing water at the outlet that drives water out of the line: larger pipes where they keep it in,
//! another outlet, or told; and what it does to a part that comes into the drowned pipe.
//!
//! Pipes are made: 100, 150 and 200 mm inside, walls of 5 mm, n 0.012 with and without holes. By Manning's
//! equation the flow Q uses up (Q n / (A R^(2/3)))^2 of fall in a full pipe, A = pi D^2 / 4, R = D / 4.

use crate::common::answer::{Answer, within};
use crate::common::bench::Bench;
use crate::common::raster::Raster;
use crate::common::scene::{NORTH, WEST, bench_with, number, ridge};
use serde_json::Value;

pub(crate) const PARTS: &str = "interception_line.parts";
pub(crate) const N: f64 = 0.012;

/// Sizes in mm with their holes in cm2 a metre.
pub(crate) fn bench_of(ground: &Raster, pipes: &[(f64, f64)], inlets: &[(&str, [f64; 2], &str)]) -> Bench {
    let bench = bench_with(ground);
    let pipe = |(mm, holes): &(f64, f64)| {
        format!(
            "[[pipe]]\nnominal_mm = {mm}\nnominal_in = {}\ninside_mm = {mm}\noutside_mm = {}\nwall = \"smooth\"\nmanning_n = {N}\nsolid_n = {N}\ninlet_cm2_per_m = {holes}\npiece_m = 3.0\npiece = \"stick\"\njoint = \"bell\"\nsource = \"made\"\n",
            mm / 25.0,
            mm + 10.0
        )
    };
    bench.write_text("pipes.toml", &format!("only = true\n{}", pipes.iter().map(pipe).collect::<String>()));
    let row = |(id, [x, y], more): &(&str, [f64; 2], &str)| {
        format!("{id},{},{},{more}\n", WEST + x, NORTH - 80.0 + y)
    };
    bench.write_text(
        "inlets.csv",
        &format!("id,x,y,rim,invert\n{}", inlets.iter().map(row).collect::<String>()),
    );
    bench
}

pub(crate) fn run(bench: &Bench, intensity: &str) -> Answer {
    run_with(bench, intensity, &[])
}

pub(crate) fn run_with(bench: &Bench, intensity: &str, words: &[&str]) -> Answer {
    let outcome = bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&["--catalogue", "pipes.toml", "--inlets", "inlets.csv", "--arrangement", "one-pipe"])
        .with(&["--coefficient", "0.35", "--intensity", intensity, "--overwrite"])
        .with(words)
        .run();
    outcome.usable()
}

#[track_caller]
pub(crate) fn value(at: &Value) -> f64 {
    let Some(found) = at.as_f64() else { panic!("a number: {at}") };
    found
}

/// The pipes that are built, from the head down.
fn reaches(answer: &Answer, part: usize) -> &[Value] {
    let options = answer.list(&format!("{PARTS}.{part}.drain.options"));
    let built = options.iter().find(|option| option["arrangement"] == "one-pipe").expect("it is built");
    built["reaches"].as_array().expect("reaches")
}

/// What a flow uses up in a full pipe of a diameter over a length.
fn friction_m(flow_m3_s: f64, inside_m: f64, length_m: f64) -> f64 {
    let area_m2 = std::f64::consts::PI * inside_m.powi(2) / 4.0;
    (flow_m3_s * N / (area_m2 * (inside_m / 4.0).powf(2.0 / 3.0))).powi(2) * length_m
}

/// The same in all pipes of a part, of their own diameters or all of one.
fn used_m(answer: &Answer, part: usize, inside_m: Option<f64>) -> f64 {
    let of = |reach: &Value| {
        let length_m = value(&reach["to_m"]) - value(&reach["from_m"]);
        friction_m(
            value(&reach["flow_m3_s"]),
            inside_m.unwrap_or_else(|| value(&reach["inside_m"])),
            length_m,
        )
    };
    reaches(answer, part).iter().map(of).sum()
}

/// Entrance and exit, 1.5 velocity heads of a flow, without bends.
fn entrance_m(flow_m3_s: f64, inside_m: f64) -> f64 {
    let velocity_m_s = flow_m3_s / (std::f64::consts::PI * inside_m.powi(2) / 4.0);
    1.5 * velocity_m_s.powi(2) / (2.0 * 9.806_65)
}

#[track_caller]
fn standing(answer: &Answer, part: usize) -> &Value {
    let cases = answer.list(&format!("{PARTS}.{part}.outlet.tailwaters"));
    cases.iter().find(|case| case["receiving"] != "free").expect("water stands there")
}

pub(crate) fn outlet(answer: &Answer, part: usize) -> &str {
    answer.text(&format!("{PARTS}.{part}.outlet.id"))
}

const ALL: [(f64, f64); 3] = [(100.0, 400.0), (150.0, 400.0), (200.0, 400.0)];
// The ground lies at 99.26 m there.
const A: [f64; 2] = [66.5, 33.0];

// The line lies level at 99.39 m, the inlet's rim at 99.2. The flow uses up so much in pipes of 100 mm that
// the grade line would rise above the ground, without any bend; in those of 150 mm it doesn't, bends and all:
// these are laid throughout.
#[test]
fn larger_pipes_are_laid_out_of_which_no_water_is_driven() {
    let answer = run(&bench_of(&ridge(), &ALL, &[("A", A, "99.2,97.5")]), "40mm/h");
    let flow = answer.number(&format!("{PARTS}.0.flow_m3_s"));
    let with_100_m = 99.2 + used_m(&answer, 0, Some(0.1)) + entrance_m(flow, 0.1);
    assert!(with_100_m > 99.39 + 0.1, "{with_100_m}");
    for reach in reaches(&answer, 0) {
        within("inside", value(&reach["inside_m"]), 0.15, 1e-9);
    }
    let case = standing(&answer, 0);
    // The line runs east 0.59976 units inside S's north side, to as far from its east side; the lead turns off to A there:
    // 0.0033 velocity heads a degree, and 1.5 at the entrance and the exit.
    let end = [60.0 - 0.6 * 0.9996, 40.0 - 0.6 * 0.9996];
    let turn = (end[1] - A[1]).atan2(A[0] - end[0]).to_degrees();
    let lead = reaches(&answer, 0).last().expect("a lead");
    let minor_m = entrance_m(value(&lead["flow_m3_s"]), 0.15) * (1.5 + 0.0033 * turn) / 1.5;
    let head_m = 99.2 + used_m(&answer, 0, None) + minor_m;
    within("head", value(&case["head_m"]), head_m, 1e-5);
    assert!(head_m < 99.39 && case["overflow"].is_null(), "{head_m}");
    assert!(answer.warning("line-overflows").is_none());
}

// At 99.6 m the water at the rim alone stands above the line's ground: no pipe helps, and there is no other
// outlet.
#[test]
fn where_no_larger_pipe_helps_the_drain_stays_and_that_is_told() {
    let answer = run(&bench_of(&ridge(), &ALL, &[("A", A, "99.6,97.5")]), "40mm/h");
    assert!(reaches(&answer, 0).iter().all(|reach| (value(&reach["inside_m"]) - 0.1).abs() < 1e-9));
    assert!(value(&standing(&answer, 0)["overflow"]["above_ground_m"]) > 0.2);
    answer.must_warn("line-overflows", &["inlet A", "99.60 m", "larger pipes, up to twice the size"]);
}

/// The ridge, from x = 20 on falling 2 % to the east as well: S's line lies at 99.39 - 0.02 (x - 20).
pub(crate) fn falling() -> Raster {
    ridge().with(|_, col, z| Some(z - 0.02 * (number(col) + 0.5 - 20.0).max(0.0)))
}

// Along the line the ground falls 2 %: there pipes of 100 mm, full at 0.00785 x 0.0855 x sqrt(0.02) / 0.012 =
// 7.9 L/s, carry what asks for 150 mm at the least grade of 1 % (5.6 L/s), for which the way was looked for.
// At the line's lower end the ground lies at 98.60 m, 0.04 m above A's rim: the lead of 2.1 m and its
// entrance use up more than that in 100 mm, and less in 150 mm. Pipes of 150 mm with hardly any holes would
// keep less: inlet B, which takes more digging, is taken.
#[test]
fn where_larger_pipes_keep_less_another_outlet_is_taken() {
    let holes = |few: f64| [(100.0, 400.0), (150.0, few)];
    let inlets = [("A", [61.5, 39.4], "98.56,96.5"), ("B", [66.5, 10.5], "96.6,95.0")];
    // A line of one part.
    let words = ["--catch", "0.9"];
    let scene =
        |few: f64, inlets: &[_]| run_with(&bench_of(&falling(), &holes(few), inlets), "90mm/h", &words);
    let is_all = |answer: &Answer, inside_m: f64| {
        reaches(answer, 0).iter().all(|reach| (value(&reach["inside_m"]) - inside_m).abs() < 1e-9)
    };
    let answer = scene(1.0, &inlets);
    let flow = answer.number(&format!("{PARTS}.0.flow_m3_s"));
    assert!((0.0057..0.0079).contains(&flow), "{flow}");
    let level_m = |inside_m: f64| 98.56 + friction_m(flow, inside_m, 2.1) + entrance_m(flow, inside_m);
    assert!(level_m(0.1) > 98.60 + 0.02 && level_m(0.15) < 98.60, "{} {}", level_m(0.1), level_m(0.15));
    assert_eq!(outlet(&answer, 0), "B");
    assert!(is_all(&answer, 0.1));
    // With as many holes they are laid.
    let answer = scene(400.0, &inlets);
    assert_eq!(outlet(&answer, 0), "A");
    assert!(is_all(&answer, 0.15) && answer.warning("line-overflows").is_none());
    // Without B it comes out in the open.
    let answer = scene(1.0, &inlets[..1]);
    assert_eq!(answer.text(&format!("{PARTS}.0.outlet.kind")), "daylight");
}

/// The ridge with a crest down the middle of the lots, 2 % to either side.
fn crest() -> Raster {
    ridge().with(|_, col, z| Some(z - 0.02 * (number(col) + 0.5 - 40.0).abs()))
}

// Part 1 runs back under the crest into the head of part 2, whose outlet stands full. Its grade line begins
// at that of part 2 there: the rim, what each of part 2's pipes uses up with its own flow and the other's,
// and its losses; from there on what part 1's use up. At its far end the ground is as low as at part 2's
// lower end, 99.00 m.
#[test]
fn water_in_the_pipe_that_it_joins_drives_water_out_of_a_part() {
    let scene =
        |pipes: &[(f64, f64)]| run(&bench_of(&crest(), pipes, &[("B", [62.0, 38.5], "98.93,96")]), "130mm/h");
    let answer = scene(&ALL[..1]);
    assert_eq!((outlet(&answer, 0), outlet(&answer, 1)), ("2", "B"));
    let (of_1, of_2) = (standing(&answer, 0), standing(&answer, 1));
    assert_eq!(of_1["receiving"], "other-pipe");
    assert_eq!(of_2["receiving"], "rim");
    let level_m = 98.93 + used_m(&answer, 1, None) + value(&of_2["minor_losses_m"]);
    within("level", value(&of_1["level_m"]), level_m, 1e-6);
    let head_m = level_m + used_m(&answer, 0, None) + value(&of_1["minor_losses_m"]);
    within("head", value(&of_1["head_m"]), head_m, 1e-6);
    assert!(of_2["overflow"].is_null());
    within("above ground", value(&of_1["overflow"]["above_ground_m"]), head_m - 99.0, 0.03);
    let level = format!("at {level_m:.2} m");
    answer.must_warn("line-overflows", &["the pipe of part 2, which it joins", &level, "pipe of part 1"]);
    // Larger ones keep it in, where the water comes into the other.
    let answer = scene(&ALL);
    assert_eq!(outlet(&answer, 0), "2");
    assert!(standing(&answer, 0)["overflow"].is_null());
    assert!(answer.warning("line-overflows").is_none());
}
