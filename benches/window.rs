//! One square kilometre of 1 m cells from file to ledger, against a slope map of the same ground by a general
//! raster library, and the memory that the chain takes: `cargo bench --bench window`.
//! `-- --only repeats` holds one realisation under elevation error against the chain, on 400 by 400 cells.
//!
//! Contestants take turns in one run, so that what else the machine does hits both; what counts is the ratio
//! of their medians. The slope map is GDAL's, from memory to memory; ours reads a file that lies in memory
//! where the system has a place for that. Memory is looked at in a process of its own.

#![allow(
    missing_docs,
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_lossless,
    reason = "a measurement, not a part of the library"
)]

#[path = "shared/chain.rs"]
mod chain;
#[path = "shared/ground.rs"]
mod ground;
#[path = "shared/memory.rs"]
mod memory;

use chain::Scene;
use gdal::raster::Buffer;
use gdal::raster::processing::dem::{SlopeOptions, slope};
use gdal::{Dataset, DriverManager};
use lotshed::grid::Grid;
use lotshed::pipeline::{Phase, Progress};
use std::sync::Mutex;
use std::time::{Duration, Instant};

const SEED: u64 = 20_240_611;
const SIDE: usize = 1000;
const ROUNDS: usize = 9;
/// The chain may take so many times as long as the slope map.
const MOST_TIMES: f64 = 6.0;

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let Some(folder) = arguments.iter().skip_while(|a| *a != "--memory-of").nth(1) {
        return memory::child(folder.as_ref());
    }
    let only = |name: &str| !arguments.iter().any(|a| a == "--only") || arguments.iter().any(|a| a == name);
    if only("time") {
        for kind in [ground::SMOOTH, ground::ROUGH] {
            times(kind);
        }
    }
    if only("repeats") {
        repeats(ground::SMOOTH);
    }
    if only("memory") {
        for kind in [ground::SMOOTH, ground::ROUGH] {
            memory::parent(kind, SEED);
        }
    }
}

/// One realisation under elevation error against one plain chain from file to ledger.
///
/// By the time that the processors worked, which waiting for them on a busy machine doesn't change; what two threads
/// gain can only be seen by the clock. Both take turns on the same thread of one process. A single chain
/// after hundreds of realisations finds neither its data in the caches nor memory that the system has handed
/// out already, and then takes up to three times as long, so that chains run in a row as realisations do, and
/// the first of a row isn't counted.
fn repeats(kind: ground::Ground) {
    const SIDE: usize = 400;
    const REALISATIONS: usize = 96;
    const CHAINS: usize = 16;
    let scene = Scene::write(&kind.grid(SIDE, SEED), &[]);
    let pool = |n| rayon::ThreadPoolBuilder::new().num_threads(n).build().unwrap();
    let (one, two) = (pool(1), pool(2));
    let (mut first, mut chains, mut each, mut settling, mut gains) = (vec![], vec![], vec![], vec![], vec![]);
    for _ in 0..ROUNDS {
        let chain = || {
            worked(&mut || one.install(|| scene.ledger(&mut chain::Stages::default()))).work.as_secs_f64()
                * 1e3
        };
        first.push(chain());
        chains.push(median((0..CHAINS).map(|_| chain()).collect()));
        let repeated = |pool: &rayon::ThreadPool| {
            let laps = Laps::default();
            pool.install(|| scene.repeated(REALISATIONS, &laps));
            laps.read()
        };
        let (by_one, by_two) = (repeated(&one), repeated(&two));
        each.push(by_one.repeats.work.as_secs_f64() * 1e3 / REALISATIONS as f64);
        settling.push(by_one.settling.work.as_secs_f64() * 1e3 / REALISATIONS as f64);
        gains.push(by_one.repeats.clock.as_secs_f64() / by_two.repeats.clock.as_secs_f64());
    }
    let ratios: Vec<f64> = each.iter().zip(&chains).map(|(each, chain)| each / chain).collect();
    println!(
        "{} ground, {SIDE} x {SIDE} cells of 1 m, {REALISATIONS} realisations, {ROUNDS} rounds",
        kind.name
    );
    println!("  middle, least and most; ms of processor time on one thread");
    println!("  chain, each round's middle of {CHAINS}     {}", spread(chains));
    println!("  chain, first after realisations     {}", spread(first));
    println!("  one realisation, its error included {}", spread(each));
    println!("  wanted shots afterwards, each       {}", spread(settling));
    println!("  realisation / chain                 {}", spread(ratios));
    println!("  one thread / two, by the clock      {}", spread(gains));
}

/// What something took.
#[derive(Clone, Copy, Default)]
struct Spent {
    clock: Duration,
    /// Of the processors, for this process.
    work: Duration,
}

/// When the phases of a run began.
#[derive(Default)]
struct Laps(Mutex<Vec<(Phase, Instant, Duration)>>);

/// What the phases of the repeats took.
struct Repeats {
    repeats: Spent,
    settling: Spent,
}

impl Progress for Laps {
    fn phase(&self, phase: Phase, _: usize) {
        self.0.lock().unwrap().push((phase, Instant::now(), processor_time()));
    }
}

impl Laps {
    /// What follows the first beginning of a phase up to that of the next one.
    fn read(&self) -> Repeats {
        let laps = self.0.lock().unwrap();
        let start = |wanted: Phase| laps.iter().position(|(phase, ..)| *phase == wanted).unwrap();
        let between = |from: usize, to: usize| Spent {
            clock: laps[to].1 - laps[from].1,
            work: laps[to].2.saturating_sub(laps[from].2),
        };
        let (repeat, settle) = (start(Phase::Repeat), start(Phase::Settle));
        Repeats { repeats: between(repeat, settle), settling: between(settle, settle + 1) }
    }
}

fn worked(work: &mut dyn FnMut()) -> Spent {
    let before = processor_time();
    let clock = timed(work);
    Spent { clock, work: processor_time().saturating_sub(before) }
}

/// Of all threads of this process.
fn processor_time() -> Duration {
    let tasks = std::fs::read_dir("/proc/self/task").unwrap();
    let of_task = |folder: std::path::PathBuf| -> u64 {
        let text = std::fs::read_to_string(folder.join("schedstat")).unwrap();
        text.split_whitespace().next().unwrap().parse().unwrap()
    };
    Duration::from_nanos(tasks.map(|task| of_task(task.unwrap().path())).sum())
}

/// Middle, least and most.
fn spread(mut values: Vec<f64>) -> String {
    values.sort_unstable_by(f64::total_cmp);
    format!("{:.2} ({:.2} to {:.2})", values[values.len() / 2], values[0], values[values.len() - 1])
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    values[values.len() / 2]
}

fn timed(work: &mut dyn FnMut()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

fn times(kind: ground::Ground) {
    let raw = kind.grid(SIDE, SEED);
    println!("{} ground, {SIDE} x {SIDE} cells of 1 m; medians of {ROUNDS} rounds in turn", kind.name);
    let plain = Scene::write(&raw, &[]);
    let packed = Scene::write(&raw, &["TILED=YES", "COMPRESS=DEFLATE", "PREDICTOR=3"]);
    let source = in_memory(&raw);
    let pool = |n| rayon::ThreadPoolBuilder::new().num_threads(n).build().unwrap();
    let (one, two) = (pool(1), pool(2));
    let names = [
        "slope map",
        "chain, plain file, 1 thread",
        "chain, plain file, 2 threads",
        "chain, packed file, 1 thread",
        "whole assessment, plain file, 1 thread",
    ];
    let mut all: [Vec<Duration>; 5] = Default::default();
    let mut stages = chain::Stages::default();
    for _ in 0..ROUNDS {
        let found = [
            timed(&mut || slope_map(&source)),
            timed(&mut || one.install(|| plain.ledger(&mut stages))),
            timed(&mut || two.install(|| plain.ledger(&mut chain::Stages::default()))),
            timed(&mut || one.install(|| packed.ledger(&mut chain::Stages::default()))),
            timed(&mut || one.install(|| plain.whole())),
        ];
        for (list, time) in all.iter_mut().zip(found) {
            list.push(time);
        }
    }
    let medians = all.map(|times| median(times.iter().map(|time| time.as_secs_f64() * 1e3).collect()));
    for (name, ms) in names.iter().zip(medians) {
        println!("  {name:40} {ms:8.1} ms {:6.2} x slope map", ms / medians[0]);
    }
    println!("  {stages}");
    // The last one does more than the chain: both routings, a second filling, crossings' origins, ponds and
    // the line.
    for (name, ms) in names.iter().zip(medians).take(4) {
        assert!(ms <= MOST_TIMES * medians[0], "{name} takes {:.2} times the slope map", ms / medians[0]);
    }
}

fn in_memory(raw: &Grid<f32>) -> Dataset {
    let driver = DriverManager::get_driver_by_name("MEM").unwrap();
    let mut file = driver.create_with_band_type::<f32, _>("", SIDE, SIDE, 1).unwrap();
    file.set_geo_transform(&chain::PLACE).unwrap();
    let mut cells = Buffer::new((SIDE, SIDE), raw.values().to_vec());
    file.rasterband(1).unwrap().write((0, 0), (SIDE, SIDE), &mut cells).unwrap();
    file
}

fn slope_map(source: &Dataset) {
    let mut options = SlopeOptions::new();
    options.with_output_format("MEM");
    let made = slope(source, "", &options).unwrap();
    assert_eq!(made.raster_size(), (SIDE, SIDE));
}
