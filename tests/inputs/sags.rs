//! Lines that sag, and pipes that take several parts' water.
//!
//! The scene with the ridge, its lots with a valley or two across their width: S's line runs along y = 39.4
//! from x = 20.6 to 59.4, in units from the scene's south-west corner. A pipe of 4 in under 0.3 m of cover
//! has its invert 0.4016 m down and 0.1016 m of bed below; it falls 1 % at the least, as the valleys' sides
//! do.

use serde_json::Value;

use crate::common::answer::{Answer, close, within};
use crate::common::bench::{Bench, Outcome};
use crate::common::scene::{NORTH, WEST, bench_with, ground_m, number, ridge};

const PARTS: &str = "interception_line.parts";
const CATCH: [&str; 4] = ["--catch", "1", "--inlets", "inlets.csv"];
const STORM: [&str; 4] = ["--intensity", "100mm/h", "--coefficient", "0.35"];

fn run(bench: &Bench, words: &[&str]) -> Outcome {
    bench.assess("base.tif", "base.geojson").lot("S").with(&CATCH).with(words).with(&["--overwrite"]).run()
}

fn with_inlet(bench: &Bench, [x, y]: [f64; 2], invert_m: f64) {
    let (east, north) = (WEST + x, NORTH - 80.0 + y);
    bench.write_text("inlets.csv", &format!("id,x,y,invert\nA,{east},{north},{invert_m}\n"));
}

fn float(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// 1 % down to x = 40 from x = 22 and 58, level beyond: the middle of the line lies 0.18 m below its ends,
/// and nothing comes over the lot's sides.
fn valley() -> Bench {
    let rise = |col| 0.01 * (number(col) + 0.5 - 40.0).abs().min(18.0);
    bench_with(&ridge().with(|_, col, z| Some(z + rise(col))))
}

// The inlet lies straight down the yard from the low point. Undivided the pipe falls 1 % where the ground
// rises 1 % behind the low point: 2 x 0.18 m deeper at its end, and 0.014 m for each of the level ends of 1.4
// m, a trench of 0.5032 + 0.388 = 0.89 m, and its lead goes back to the middle. Divided the pipes lie 0.5032
// to 0.5172 m deep, and one lead of 18.9 units carries both.
#[test]
fn a_line_that_sags_is_divided_at_its_low_point() {
    let bench = valley();
    with_inlet(&bench, [40.5, 20.5], 97.0);
    let answer = run(&bench, &[]).usable();
    let parts = answer.list(PARTS);
    assert_eq!(parts.len(), 2);
    let kinds: Vec<&str> = parts.iter().filter_map(|part| part["outlet"]["kind"].as_str()).collect();
    let receiving = usize::from(kinds[0] == "other-part");
    assert_eq!((kinds[receiving], kinds[1 - receiving]), ("storm-inlet", "other-part"));
    assert_eq!(parts[receiving]["joined"], serde_json::json!([2 - receiving]));
    // The ground is level between the middles of the columns at x = 39.5 and 40.5; the stations are a metre apart from
    // x = 20.6002 on, so that the first of the lowest is the nineteenth, at 39.5926: lengths of 19 m and the rest.
    // Beyond the level 1.4 units at its head the one pipe falls 1 % over 0.09 units more that are level, and the
    // other over 0.91: trenches of 0.5032 + 0.01 x (1.4 + 0.09) and 0.5032 + 0.01 x (1.4 + 0.91) m.
    let mut found: Vec<[f64; 2]> =
        parts.iter().map(|p| [float(&p["length_m"]), float(&p["outlet"]["deepest_cut_m"])]).collect();
    found.sort_by(|a, b| a[0].total_cmp(&b[0]));
    for ([length_m, deepest_m], [long, deep]) in found.into_iter().zip([[19.0, 0.518], [19.816, 0.526]]) {
        // Lot lines are given to some millimetres.
        within("length", length_m, long, 1e-2);
        within("deepest", deepest_m, deep, 2e-3);
    }
    assert!(parts.iter().all(|part| part["outlet"]["end"] == "lower"), "{parts:?}");
    let lead = ground_m(18.9_f64.hypot(40.5 - 39.5926));
    within("lead", float(&parts[receiving]["outlet"]["lead_m"]), lead, 1e-2);
    within("no lead", float(&parts[1 - receiving]["outlet"]["lead_m"]), 0.0, 0.01);
    let taken = answer.list("interception_line.proof.inlets");
    close(
        "into A",
        float(&taken[0]["with_m2"]),
        answer.number("interception_line.proof.taken.0.run_on_m2")
            + answer.number("interception_line.proof.taken.1.run_on_m2")
            + answer.number("interception_line.proof.taken.0.own_m2")
            + answer.number("interception_line.proof.taken.1.own_m2"),
        1e-9,
    );
}

// With the inlet beside its eastern end the line isn't divided: both pipes would have to run east past the
// low point as deep as the one.
#[test]
fn a_line_that_drains_by_its_end_is_left_whole() {
    let bench = valley();
    with_inlet(&bench, [66.5, 38.5], 97.0);
    let answer = run(&bench, &[]).usable();
    let parts = answer.list(PARTS);
    assert_eq!(parts.len(), 1);
    // At the end 0.89 m, and on falling 1 % under a lead of 7.1 units over ground that rises no more.
    let deepest_m = float(&parts[0]["outlet"]["deepest_cut_m"]);
    within("deepest", deepest_m, 0.5032 + 2.0 * 0.194 + 0.071, 0.03);
}

/// All water that comes to a part's pipe, by number: its own, and what joins it, directly or not.
fn brought(parts: &[Value], id: usize) -> f64 {
    let joined = parts[id - 1]["joined"].as_array().expect("a list");
    let numbers = joined.iter().map(|id| usize::try_from(id.as_u64().expect("a number")).expect("small"));
    float(&parts[id - 1]["flow_m3_s"]) + numbers.map(|id| brought(parts, id)).sum::<f64>()
}

fn into_one_inlet(answer: &Answer) {
    let parts = answer.list(PARTS);
    let mut ends = 0.0;
    for (part, id) in parts.iter().zip(1..) {
        close("carried", float(&part["outlet"]["carried_m3_s"]), brought(parts, id), 1e-9);
        match part["outlet"]["kind"].as_str() {
            Some("storm-inlet") => ends += brought(parts, id),
            kind => {
                assert_eq!(kind, Some("other-part"), "part {id}");
                let into: usize =
                    part["outlet"]["id"].as_str().and_then(|id| id.parse().ok()).expect("a part");
                let joined = parts[into - 1]["joined"].as_array().expect("a list");
                assert!(joined.contains(&serde_json::json!(id)), "{id} joins {into}");
            }
        }
    }
    close("into A", ends, answer.sum(PARTS, "flow_m3_s"), 1e-9);
    for discharge in answer.list("interception_line.proof.discharges") {
        assert_eq!((&discharge["to"], &discharge["id"]), (&"inlet".into(), &"A".into()), "{discharge}");
    }
}

// Two valleys, at x = 30 and 50, 2 % to either side, level beyond x = 21 and 59: the line is divided at the
// crest between them and at a low point. One inlet straight down from the western low point takes all of it:
// a pipe takes several others, or one that takes others.
#[test]
fn several_parts_go_into_one_pipe_and_on_into_another() {
    let bench = bench_with(
        &ridge().with(|_, col, z| Some(z + 0.02 * ((number(col) + 0.5 - 40.0).abs().min(19.0) - 10.0).abs())),
    );
    with_inlet(&bench, [30.5, 20.5], 96.0);
    let answer = run(&bench, &STORM).usable();
    into_one_inlet(&answer);
    let parts = answer.list(PARTS);
    let into = |part: &Value| -> Option<usize> {
        (part["outlet"]["kind"] == "other-part")
            .then(|| part["outlet"]["id"].as_str()?.parse().ok())
            .flatten()
    };
    let chained = parts.iter().filter_map(into).any(|receiving| into(&parts[receiving - 1]).is_some());
    let several = parts.iter().any(|part| part["joined"].as_array().is_some_and(|joined| joined.len() > 1));
    let ends: Vec<String> =
        parts.iter().map(|part| format!("{} {}", part["outlet"]["kind"], part["outlet"]["id"])).collect();
    assert!(parts.len() >= 3 && (chained || several), "{ends:?}");
    // Each pipe that others join is sized for its own water and what theirs hand on: no less than they keep, and
    // no more than all that comes to them, which its way was looked for with.
    for part in parts {
        let reaches = part["drain"]["options"][0]["reaches"].as_array().expect("reaches");
        let last = float(&reaches[reaches.len() - 1]["flow_m3_s"]);
        let most = float(&part["outlet"]["carried_m3_s"]);
        let least = float(&part["flow_m3_s"]) + brought_at_least(parts, part);
        assert!(least * (1.0 - 1e-9) <= last && last <= most * (1.0 + 1e-9), "{last} of {least} to {most}");
    }
}

/// What the drains of the parts that join one keep, and those that join them.
fn brought_at_least(parts: &[Value], part: &Value) -> f64 {
    let joined = part["joined"].as_array().expect("a list");
    let hands_on = |id: &Value| {
        let above = &parts[usize::try_from(id.as_u64().expect("a number")).expect("small") - 1];
        let options = above["drain"]["options"].as_array().expect("options");
        let built = options.iter().find(|option| option["arrangement"] == above["drain"]["arrangement"]);
        let share = float(&built.expect("one is built")["share"]);
        share * float(&above["flow_m3_s"]) + brought_at_least(parts, above)
    };
    joined.iter().map(hands_on).sum()
}
