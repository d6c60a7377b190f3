//! More rain never gives a smaller pipe: `docs/methods.md`, "Water at the outlet".
//!
//! A ladder of rains on one ground. Of each part that has the same way in two neighbouring rains the sizes are
//! held against each other, place by place down the way: with more rain none is called smaller. Where its grades
//! begin at other places the last pipe is. Nothing is
//! taken from the program but its own answers to other rains.

use super::drowned::{ALL, bench_of, crest, reaches, run_with, value};
use super::random_lots::bench;
use crate::common::answer::Answer;
use crate::common::bench::Bench;
use crate::common::lots::{Lots, WGS84};
use crate::common::scene::{NORTH, WEST, plane};
use serde_json::Value;

const PARTS: &str = "interception_line.parts";
/// Places of the way at which sizes are looked at, m.
const EVERY_M: f64 = 0.5;

/// What makes the way of a part, but for how deep it lies.
fn way(part: &Value) -> Vec<&Value> {
    let outlet = &part["outlet"];
    let names = ["kind", "id", "end", "joins", "lead_m", "length_m"];
    names.map(|name| &outlet[name]).into_iter().chain([&part["joined"], &part["length_m"]]).collect()
}

/// What pipes are called down a part's way, mm; nothing without a way.
fn sizes(answer: &Answer, place: usize) -> Vec<f64> {
    let called_mm = |reach: &Value| {
        let name = reach["pipe"].as_str().expect("a name");
        name.split('-').next().and_then(|size| size.parse::<f64>().ok()).expect("a size")
    };
    let mut found = Vec::new();
    let mut at_m = 0.5 * EVERY_M;
    for reach in reaches(answer, place) {
        while at_m < value(&reach["to_m"]) {
            found.push(called_mm(reach));
            at_m += EVERY_M;
        }
    }
    found
}

/// Where reaches end, to the centimetre.
fn breaks(answer: &Answer, place: usize) -> Vec<String> {
    reaches(answer, place).iter().map(|reach| format!("{:.2}", value(&reach["to_m"]))).collect()
}

/// What is held against each other.
#[derive(Default)]
struct Held {
    ways: usize,
    /// Ways of which some pipe is larger with more rain.
    grown: usize,
    /// Ways of which grades begin elsewhere, since they are laid for other pipes: of them the last pipe is looked at.
    other_grades: usize,
    /// Parts with another way.
    others: usize,
}

impl Held {
    fn hold(&mut self, what: &str, less: &Answer, more: &Answer) {
        let (a, b) = (less.list(PARTS), more.list(PARTS));
        let is_designed = |part: &Value| !part["drain"]["options"].is_null();
        for (place, (less_part, more_part)) in a.iter().zip(b).enumerate() {
            if !is_designed(less_part) || !is_designed(more_part) {
                continue;
            }
            if a.len() != b.len() || way(less_part) != way(more_part) {
                self.others += 1;
                continue;
            }
            let grades = [less, more].map(|answer| breaks(answer, place));
            let (mut less, mut more) = (sizes(less, place), sizes(more, place));
            assert_eq!(less.len(), more.len(), "{what}, part {}", less_part["id"]);
            if grades[0] != grades[1] {
                self.other_grades += 1;
                let last = less.len() - 1;
                (less, more) = (less.split_off(last), more.split_off(last));
            }
            let is_smaller = less.iter().zip(&more).position(|(less, more)| more < less);
            assert!(is_smaller.is_none(), "{what}, part {}: {less:?}, then {more:?}", less_part["id"]);
            self.ways += 1;
            self.grown += usize::from(less != more);
        }
    }
}

/// Answers to rising rains.
fn ladder(rains: &[f64], answer: impl Fn(f64) -> Answer) -> Held {
    let mut held = Held::default();
    let mut before: Option<(f64, Answer)> = None;
    for &rain in rains {
        let now = answer(rain);
        if let Some((less, before)) = &before {
            held.hold(&format!("{less} and {rain} mm/h"), before, &now);
        }
        before = Some((rain, now));
    }
    held
}

/// The closed plane with an inlet 6.5 units beside S's lower corner: from some rain on no pipe of the catalogue
/// keeps the water in its rim's level out of the ground.
fn beside_the_plane() -> Bench {
    let bench = Bench::new();
    plane().write(&bench.path("base.tif"));
    bench.write_json("base.geojson", &Lots::base().geojson(WGS84));
    bench.write_text("inlets.csv", &format!("id,x,y,invert\nA,{},{},95\n", WEST + 66.5, NORTH - 80.0 + 33.0));
    bench
}

#[test]
fn more_rain_on_the_plane_gives_no_smaller_pipe() {
    let bench = beside_the_plane();
    let rains = [60.0, 120.0, 200.0, 300.0, 360.0, 380.0, 420.0, 460.0, 700.0];
    let held = ladder(&rains, |rain| {
        let words = ["--arrangement", "one-pipe", "--catch", "1", "--max-depth", "3m", "--overwrite"];
        let run = bench.assess("base.tif", "base.geojson").lot("S").with(&words);
        let storm = ["--inlets", "inlets.csv", "--coefficient", "0.35"];
        let answer = run.with(&storm).with(&["--intensity", &format!("{rain}mm/h")]).run().usable();
        assert_eq!(answer.text("interception_line.parts.0.outlet.id"), "A");
        assert_eq!(answer.warning("line-overflows").is_some(), rain > 370.0, "{rain}");
        answer
    });
    assert_eq!((held.ways, held.others), (rains.len() - 1, 0));
    assert!(held.grown > 1, "{}", held.grown);
}

// Part 1 runs into the pipe of part 2, whose inlet stands full.
#[test]
fn more_rain_on_a_part_that_joins_another_gives_no_smaller_pipe() {
    let bench = bench_of(&crest(), &ALL, &[("B", [62.0, 38.5], "98.93,96")]);
    let rains = [40.0, 80.0, 110.0, 130.0, 150.0, 220.0, 300.0, 420.0];
    let held = ladder(&rains, |rain| run_with(&bench, &format!("{rain}mm/h"), &[]));
    assert_eq!((held.ways, held.others), (2 * (rains.len() - 1), 0));
    assert!(held.grown > 4, "{}", held.grown);
}

// Inlets between the rows of lots whose rim lies in the ground.
#[test]
fn more_rain_on_any_ground_gives_no_smaller_pipe() {
    let mut all = Held::default();
    for place in 0..4 {
        let bench = bench(place);
        for lot in ["C3", "B2"] {
            let held = ladder(&[30.0, 90.0, 200.0, 400.0, 800.0], |rain| {
                let storm = ["--inlets", "inlets.csv", "--coefficient", "0.4", "--arrangement", "one-pipe"];
                let run = bench.assess("base.tif", "base.geojson").lot(lot).with(&storm).out(lot);
                run.with(&["--overwrite", "--intensity", &format!("{rain}mm/h")]).run().usable()
            });
            all.ways += held.ways;
            all.grown += held.grown;
            all.others += held.others;
            all.other_grades += held.other_grades;
        }
    }
    let whole = all.ways - all.other_grades;
    assert!(whole > 10 && all.grown > 10, "{whole} whole, {} grown, {} others", all.grown, all.others);
}
