//! A drain whose pipe is larger than the one that its way was looked for with.
//!
//! The catalogue has two pipes: 150 mm without holes, whose top lies (150 + 160) / 2 = 155 mm over its
//! invert, and 300 mm with holes, 305 mm. S's 30 units of run-on bring 40 x 30 m² x 0.35 x 100 mm/h = 11.7
//! L/s, and 150 mm carry at 1 %, just full (Manning, n 0.012), 0.017 671 m² x 0.0375^(2/3) m x 0.1 / 0.012 =
//! 16.5 L/s: the way is looked for with them. Stone needs holes, so the drain has 300 mm; with 0.3 m of cover
//! its invert lies 0.605 m down at the head, where the ground is level and the pipe falls.

use crate::common::answer::{Answer, within};
use crate::common::bench::Bench;
use crate::common::lots::At;
use crate::common::scene::{NORTH, WEST};

use super::drain::{cell, number, option, pipe, profile, run, scene};

const PART: &str = "interception_line.parts.0";

fn with_pipes() -> Bench {
    let bench = scene();
    bench.write_text("pipes.toml", &format!("only = true\n{}{}", pipe(150.0, 0.0), pipe(300.0, 30.0)));
    bench
}

fn one_pipe(bench: &Bench) -> Answer {
    run(bench, &["--catalogue", "pipes.toml", "--arrangement", "one-pipe"]).usable()
}

/// Depth of the invert at the head, and the pipe's cover there.
fn head(answer: &Answer) -> [f64; 2] {
    let first = &profile(answer)[0];
    [cell(first, 4) - cell(first, 5), cell(first, 7)]
}

#[test]
fn a_way_is_laid_for_the_pipe_of_its_drain() {
    let answer = one_pipe(&with_pipes());
    let [depth_m, cover_m] = head(&answer);
    within("depth", depth_m, 0.605, 2e-3);
    within("cover", cover_m, 0.3, 2e-3);
    assert!(profile(&answer).iter().all(|row| row[7].is_empty() || cell(row, 7) >= 0.3 - 2e-3));
    assert!(answer.warning("cover-less-than-asked").is_none());
    assert!(option(&answer, "one-pipe")["cover_short"].is_null());
    within("laid for", answer.number(&format!("{PART}.outlet.pipe_inside_m")), 0.3, 1e-9);
}

// With the inlet 0.05 m above where 300 mm would arrive from its cover at 1 %, and 0.1 m below where 150 mm
// do.
#[test]
fn a_pipe_that_can_not_lie_so_deep_says_how_much_is_missing_and_what_would_help() {
    let bench = with_pipes();
    let deep = one_pipe(&bench);
    let ground_m = cell(&profile(&deep)[0], 4);
    let arrives_m = ground_m - 0.605 - 0.01 * deep.number(&format!("{PART}.outlet.length_m"));
    let At { x, y } = At { x: WEST + 66.5, y: NORTH - 55.5 };
    bench.write_text("inlets.csv", &format!("id,x,y,invert\nA,{x},{y},{}\n", arrives_m + 0.05));
    let answer = one_pipe(&bench);
    let [depth_m, cover_m] = head(&answer);
    within("depth", depth_m, 0.455, 2e-3);
    within("cover", cover_m, 0.15, 2e-3);
    let short = &option(&answer, "one-pipe")["cover_short"];
    within("cover", number(short, "cover_m"), 0.15, 2e-3);
    within("missing", number(short, "short_m"), 0.15, 2e-3);
    answer.must_warn(
        "cover-less-than-asked",
        &["0.15 m", "0.05 m", "lower than the outlet's invert", "would let it"],
    );
    // Their pipe is 150 mm.
    assert!(option(&answer, "basins")["cover_short"].is_null());
}
