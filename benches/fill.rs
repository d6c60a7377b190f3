//! How fast sinks are filled: `cargo bench --bench fill [-- --side 4096] [--dump DIR]`.
//!
//! The contestants take turns on the same grids in one run, so that what else the machine does hits both; what
//! counts is the ratio of their medians. `--dump` writes the grids for `tests/reference/fill_speed.py`.

#![allow(
    missing_docs,
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_lossless,
    reason = "a measurement, not a part of the library"
)]

#[path = "shared/flood.rs"]
mod flood;
#[path = "shared/ground.rs"]
mod ground;

use lotshed::grid::Grid;
use lotshed::terrain::{Rim, fill};
use std::time::{Duration, Instant};

const SEED: u64 = 20_240_611;
const ROUNDS: usize = 5;

fn option(name: &str) -> Option<String> {
    std::env::args().skip_while(|a| a != name).nth(1)
}

fn timed(work: impl FnOnce() -> Grid<f32>) -> (Duration, Grid<f32>) {
    let start = Instant::now();
    let grid = work();
    (start.elapsed(), grid)
}

/// Median and least, in seconds.
fn summary(mut times: Vec<Duration>) -> [f64; 2] {
    times.sort_unstable();
    [times[times.len() / 2], times[0]].map(|time| time.as_secs_f64())
}

fn main() {
    let side = option("--side").map_or(4096, |text| text.parse().unwrap());
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let pool = |n| rayon::ThreadPoolBuilder::new().num_threads(n).build().unwrap();
    let (one, all) = (pool(1), pool(threads));
    println!("{side} x {side} cells, {ROUNDS} rounds, contestants in turn; medians (and least times)");
    for kind in [ground::SMOOTH, ground::ROUGH, ground::NOISE] {
        let raw = kind.grid(side, SEED);
        let cells = raw.values().len() as f64;
        let mut times: [Vec<Duration>; 3] = Default::default();
        let mut share = 0.0;
        for _ in 0..ROUNDS {
            let (flooded_in, flooded) = timed(|| flood::flood(&raw));
            let (single_in, single) = timed(|| one.install(|| fill(&raw, &Rim::OPEN, &[])).unwrap());
            let (multi_in, multi) = timed(|| all.install(|| fill(&raw, &Rim::OPEN, &[])).unwrap());
            assert_eq!(flooded.values(), single.values(), "both ways fill to the same surface");
            assert_eq!(flooded.values(), multi.values(), "threads change nothing");
            share = raw.values().iter().zip(single.values()).filter(|(z, f)| f > z).count() as f64 / cells;
            for (list, time) in times.iter_mut().zip([flooded_in, single_in, multi_in]) {
                list.push(time);
            }
        }
        let [flooded, single, multi] = times.map(summary);
        println!("{} ground, filling raises {:.2} % of the cells", kind.name, 100.0 * share);
        let line = |what: &str, time: [f64; 2]| {
            let [(speed, times), (best, best_times)] =
                [0, 1].map(|i| (cells / time[i] / 1e6, flooded[i] / time[i]));
            println!(
                "  {what:16} {speed:6.1} ({best:6.1}) million cells a second, {times:5.2} ({best_times:5.2}) x flood"
            );
        };
        line("flood", flooded);
        line("fill, 1 thread", single);
        line(&format!("fill, {threads} threads"), multi);
        assert!((kind.raised.0..kind.raised.1).contains(&share), "the ground is what its name says");
        if let Some(folder) = option("--dump") {
            let bytes: Vec<u8> = raw.values().iter().flat_map(|z| z.to_le_bytes()).collect();
            std::fs::write(format!("{folder}/{}_{side}.f32", kind.name), bytes).unwrap();
            println!("  fill, 1 thread: {:.4} ({:.4}) s", single[0], single[1]);
        }
    }
}
