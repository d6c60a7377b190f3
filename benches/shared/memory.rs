//! The memory that an assessment takes for each cell of its window.
//!
//! A process of its own opens the files and reads the raster once, so that the raster library's block cache, which has
//! a fixed size, is full. What it then has resident (`VmRSS`) is taken off the peak (`VmHWM`) that it has reached when
//! the assessment of the whole raster is done.

use super::chain;
use super::ground::Ground;
use lotshed::grid::GridShape;
use lotshed::input::Window;
use lotshed::pipeline::{Phase, Progress, assess};
use std::cell::RefCell;
use std::path::Path;
use std::process::Command;

const SIDE: usize = 4096;
/// Bytes for each cell that the chain may take.
const MOST_BYTES: f64 = 24.0;

/// Writes the ground and looks at a child's memory.
pub(crate) fn parent(kind: Ground, seed: u64) {
    let folder = chain::folder();
    chain::write(&kind.grid(SIDE, seed), &["TILED=YES", "COMPRESS=DEFLATE"], folder.path());
    let program = std::env::current_exe().unwrap();
    let output = Command::new(program).arg("--memory-of").arg(folder.path()).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    let (phases, last) = text.trim_end().rsplit_once('\n').unwrap();
    println!("{phases}");
    let bytes: f64 = last.parse().unwrap();
    println!("{} ground, {SIDE} x {SIDE} cells: {bytes:.1} bytes for each cell at the peak", kind.name);
    assert!(bytes <= MOST_BYTES, "at most {MOST_BYTES}");
}

/// Assesses the ground and prints bytes for each cell.
pub(crate) fn child(folder: &Path) {
    let site = chain::open(folder);
    let shape: GridShape = site.survey.shape();
    let rows = shape.rows / 16;
    for part in 0..16 {
        let window = Window { row: part * rows, col: 0, shape: GridShape { rows, ..shape } };
        drop(site.survey.read(window).unwrap());
    }
    let before = kib("VmRSS:");
    let per_cell = |kib: f64| (kib - before) * 1024.0 / shape.len() as f64;
    let watch = Watch { lines: RefCell::new(Vec::new()), per_cell: &per_cell };
    let found = assess(&site, &chain::settings(), &watch).unwrap().value;
    assert_eq!(found.routed.ground.raw.shape(), shape, "all of it was read");
    for line in watch.lines.into_inner() {
        println!("{line}");
    }
    println!("{}", per_cell(kib("VmHWM:")));
}

/// Looks at the memory whenever a phase starts.
struct Watch<'a> {
    lines: RefCell<Vec<String>>,
    per_cell: &'a dyn Fn(f64) -> f64,
}

impl Progress for Watch<'_> {
    fn phase(&self, phase: Phase, _: usize) {
        let [now, peak] = ["VmRSS:", "VmHWM:"].map(|name| (self.per_cell)(kib(name)));
        let line = format!("  {phase:?} starts with {now:5.1} bytes for each cell, peak so far {peak:5.1}");
        self.lines.borrow_mut().push(line);
    }
}

/// A number of this process's status, in KiB.
fn kib(name: &str) -> f64 {
    let text = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = text.lines().find(|line| line.starts_with(name)).unwrap();
    line.split_whitespace().nth(1).unwrap().parse().unwrap()
}
