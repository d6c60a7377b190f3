//! Leads of two parts that cross: one laid below the other, or led around it, or told.
//!
//! The scene with the ridge, a crest at x = 50 from which the ground falls 3 % to either side, and 4 % to the
//! south below S's line. Part 1 ends at (20.6, 39.4), part 2 at (59.4, 39.4), 0.6 m higher. Inlet P at (42, 16)
//! only part 2 reaches: at part 1's end the invert lies no higher than 99.39 - 0.03 x 29.4 - 0.3 - 0.205 =
//! 98.0 m, and P's 97.71 m lie 31.7 m on, 0.32 m lower at 1 %. Inlet Q at (66, 2) part 1 reaches by the lot's
//! corner at (59.4, 10.6). So the leads cross: part 1's from (20.6, 39.4) to (59.4, 10.6), part 2's from
//! (59.4, 39.4) to P. On paper y = 39.4 - 28.8 / 38.8 (x - 20.6) and y = 39.4 - 23.4 / 17.4 (59.4 - x) meet at
//! (45.6, 20.8). The one pipe there is, 200 mm inside, 210 outside, n 0.012, carries at 1 % 0.0355 m3/s by
//! Manning's equation: each part's flow, but not both.

use serde_json::Value;

use crate::common::answer::{Answer, within};
use crate::common::bench::Bench;
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::scene::{NORTH, WEST, bench_with, number, ridge};

const PARTS: &str = "interception_line.parts";
const PIPE: &str = r#"only = true
[[pipe]]
nominal_mm = 200
nominal_in = 8.0
inside_mm = 200
outside_mm = 210
wall = "smooth"
manning_n = 0.012
solid_n = 0.011
inlet_cm2_per_m = 400
piece_m = 3.0
piece = "stick"
joint = "bell"
source = "made"
"#;

/// Neighbours to the west and, from some y on, to the east.
fn scene(east_from: f64, more: &[(&str, [f64; 4])]) -> Bench {
    let falls = |row: usize, col: usize| {
        0.03 * (number(col) + 0.5 - 50.0).abs() + 0.02 * (number(row) + 0.5 - 41.0).max(0.0)
    };
    let bench = bench_with(&ridge().with(|row, col, z| Some(z - falls(row, col))));
    let row = |id: &str, [x, y]: [f64; 2], [invert_m, rim_m]: [f64; 2]| {
        format!("{id},{},{},{invert_m},{rim_m}\n", WEST + x, NORTH - 80.0 + y)
    };
    let rows = row("P", [42.0, 16.0], [97.71, 98.2]) + &row("Q", [66.0, 2.0], [90.0, 97.2]);
    bench.write_text("inlets.csv", &format!("id,x,y,invert,rim\n{rows}"));
    bench.write_text("pipes.toml", PIPE);
    let mut lots = Lots::base();
    lots.lots.push(lot("V", 0.0, 0.0, 20.0, 40.0));
    lots.lots.push(lot("X", 60.0, east_from, 80.0, 40.0));
    lots.lots
        .extend(more.iter().map(|(id, [west, south, east, north])| lot(id, *west, *south, *east, *north)));
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    bench
}

fn run(bench: &Bench, deepest: &str, words: &[&str]) -> Answer {
    bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&["--catch", "1", "--inlets", "inlets.csv", "--catalogue", "pipes.toml", "--overwrite"])
        .with(&["--max-depth", deepest, "--intensity", "420mm/h", "--coefficient", "0.95"])
        .with(words)
        .run()
        .usable()
}

/// Place and invert down the way of a part.
fn pipe(answer: &Answer, part: &str) -> Vec<[f64; 3]> {
    let csv = std::fs::read_to_string(answer.out.join("profile.csv")).expect("the file is there");
    let rows = csv.lines().skip(1).map(|row| row.split(',').collect::<Vec<_>>());
    let float = |text: &str| text.parse::<f64>().expect("a number");
    // Under a swale alone no pipe lies.
    rows.filter(|row| row[0] == part && !row[5].is_empty())
        .map(|row| [float(row[2]) - WEST, float(row[3]) - (NORTH - 80.0), float(row[5])])
        .collect()
}

/// Where two pipes cross in plan, and the inverts of both there, straight between stations.
fn crossings(one: &[[f64; 3]], other: &[[f64; 3]]) -> Vec<[f64; 4]> {
    let mut found = Vec::new();
    for a in one.windows(2) {
        for b in other.windows(2) {
            let [run, side] = [a, b].map(|piece| [piece[1][0] - piece[0][0], piece[1][1] - piece[0][1]]);
            let off = [b[0][0] - a[0][0], b[0][1] - a[0][1]];
            let turn = run[0] * side[1] - run[1] * side[0];
            let (t, u) =
                ((off[0] * side[1] - off[1] * side[0]) / turn, (off[0] * run[1] - off[1] * run[0]) / turn);
            if (0.0..1.0).contains(&t) && (0.0..1.0).contains(&u) {
                let along = |from: f64, to: f64, share: f64| from + (to - from) * share;
                let at = [along(a[0][0], a[1][0], t), along(a[0][1], a[1][1], t)];
                found.push([at[0], at[1], along(a[0][2], a[1][2], t), along(b[0][2], b[1][2], u)]);
            }
        }
    }
    found
}

fn ends(answer: &Answer) -> Vec<&Value> {
    answer.list(PARTS).iter().map(|part| &part["outlet"]["id"]).collect()
}

fn checklist(answer: &Answer) -> String {
    std::fs::read_to_string(answer.out.join("specification.txt")).expect("the file is there")
}

// With room below, the one passes under the other: 0.15 m of ground between the upper one's bottom, 5 mm below its
// invert, and the lower one's top, 205 mm above.
#[test]
fn one_of_two_pipes_that_cross_is_laid_below_the_other() {
    let answer = run(&scene(12.0, &[]), "1.05m", &[]);
    assert_eq!(ends(&answer), ["Q", "P"]);
    let crossed = crossings(&pipe(&answer, "1"), &pipe(&answer, "2"));
    let [[x, y, own_m, others_m]] = crossed[..] else { panic!("{crossed:?}") };
    within("x", x, 45.6, 0.1);
    within("y", y, 20.8, 0.1);
    let between_m = (others_m - own_m).abs() - 0.005 - 0.205;
    assert!(between_m > 0.15 - 0.002, "{between_m}");
    assert!(answer.warning("pipes-cross").is_none());
    assert!(checklist(&answer).contains("the lower one is laid first"));
}

// In a trench of 1 m it can't be, and no pipe carries both; part 1's lead is led past P, around the other's
// trench: by (42, 16) and the corner it is 31.7 + 18.2 + 10.8 = 60.7 m long, and it keeps 0.65 m off.
#[test]
fn a_lead_is_led_around_the_trench_of_another() {
    let answer = run(&scene(12.0, &[]), "1m", &[]);
    assert_eq!(ends(&answer), ["Q", "P"]);
    assert!(crossings(&pipe(&answer, "1"), &pipe(&answer, "2")).is_empty());
    assert!(answer.warning("pipes-cross").is_none() && answer.warning("leads-share-ground").is_none());
    let lead_m = answer.list(PARTS)[0]["outlet"]["lead_m"].as_f64().expect("a number");
    assert!((60.7..62.5).contains(&lead_m), "{lead_m}");
}

// A house from P to the scene's south edge shuts that way, too, and to Q part 2 comes over its neighbour only.
#[test]
fn pipes_that_cross_whatever_is_done_are_told_with_reasons() {
    let bench = scene(9.0, &[("Y", [20.0, 0.0, 56.0, 10.0])]);
    let house = Lots::of(vec![lot("h", 40.0, 0.1, 44.0, 15.0)]);
    bench.write_json("houses.geojson", &house.geojson(WGS84));
    let answer = run(&bench, "1m", &["--buildings", "houses.geojson"]);
    assert_eq!(ends(&answer), ["Q", "P"]);
    let crossed = crossings(&pipe(&answer, "1"), &pipe(&answer, "2"));
    let [[_, _, own_m, others_m]] = crossed[..] else { panic!("{crossed:?}") };
    let between_m = others_m - own_m - 0.005 - 0.205;
    assert!((0.0..0.15).contains(&between_m), "{between_m}");
    let told = format!("with {between_m:.2} m");
    answer.must_warn(
        "pipes-cross",
        &[
            "part 1",
            "part 2",
            &told,
            "joined there: no pipe of the catalogue carries the water",
            "one below the other: it would have to lie",
            "another way: it would have to lie",
        ],
    );
    assert!(checklist(&answer).contains("too little: not begun there before the design is changed"));
}
