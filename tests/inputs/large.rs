//! Rasters far larger than memory, and many threads.

use std::process::{Command, Stdio};
use std::time::Duration;

use crate::common::answer::{Answer, Files};
use crate::common::bench::OUT;
use crate::common::raster::Raster;
use crate::common::rough::rough_bench;
use crate::common::scene::{base_numbers, bench_with, number, plane};

/// Cells along a side; 13 GiB if read whole.
const HUGE: usize = 60_000;

#[test]
#[cfg(target_os = "linux")]
fn a_raster_of_thirteen_gigabytes_is_read_through_a_window() {
    let raster = plane().in_corner_of(HUGE, HUGE).options(&[
        "TILED=YES",
        "BLOCKXSIZE=512",
        "BLOCKYSIZE=512",
        "SPARSE_OK=TRUE",
        "BIGTIFF=YES",
    ]);
    let bench = bench_with(&raster);
    let (peak_kib, said) = watched(bench.assess("base.tif", "base.geojson").lot("S").command());
    assert!(peak_kib < 1024 * 1024, "peak memory {peak_kib} KiB, expected below 1 GiB");
    base_numbers(&Answer::read(bench.folder(), bench.path(OUT), String::new(), said));
}

/// Ten times as many repeats take no more memory than a few; and what they take over a run without them is no more than
/// two of them side by side: an error field on its torus (16 bytes for each of 432 x 432 cells: 300 and two ranges of
/// 60 m) and 48 bytes for each cell of the window, as `src/pipeline/repeats/mod.rs` reckons, and as much again for what
/// the allocator keeps.
#[test]
#[cfg(target_os = "linux")]
fn repeats_take_memory_by_the_window_and_not_by_their_number() {
    let side = 300;
    let bumps = Raster::of(side, side, |row, col| {
        let wave = |at: usize, long: f64| (number(at) * std::f64::consts::TAU / long).sin();
        100.0 - 0.01 * number(row) + 0.3 * wave(col, 40.0) * wave(row, 55.0)
    });
    let bench = bench_with(&bumps);
    let peak = |options: &[&str]| {
        let options = [&["--threads", "2", "--overwrite"], options].concat();
        watched(bench.assess("base.tif", "base.geojson").lot("S").with(&options).command()).0
    };
    let repeats = |count| ["--elevation-rmse", "0.2m", "--realisations", count];
    let (none, few, many) = (peak(&[]), peak(&repeats("24")), peak(&repeats("240")));
    let slack_kib = 8 * 1024;
    assert!(many < few + slack_kib, "24 take {few} KiB, 240 take {many}");
    let reckoned_kib = 2 * (16 * 432 * 432 + 48 * 300 * 300) / 1024;
    assert!(
        many < none + 2 * reckoned_kib + slack_kib,
        "{none} KiB without, {many} with, {reckoned_kib} reckoned"
    );
}

/// Runs to a usable end and gives the peak of its memory in KiB and what it said.
#[cfg(target_os = "linux")]
fn watched(mut program: Command) -> (u64, String) {
    let mut child = program.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().expect("the program starts");
    // The kernel keeps the peak of a process's memory; it is read until the process is gone.
    let status = format!("/proc/{}/status", child.id());
    let mut peak_kib = 0;
    let mut readings = 0;
    let ended = loop {
        if let Some(found) = peak(&status) {
            peak_kib = peak_kib.max(found);
            readings += 1;
        }
        if let Some(ended) = child.try_wait().expect("the program can be waited for") {
            break ended;
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    let mut said = String::new();
    let mut stream = child.stderr.take().expect("standard error is piped");
    std::io::Read::read_to_string(&mut stream, &mut said).expect("it is UTF-8");
    assert_eq!(ended.code(), Some(0), "it said:\n{said}");
    assert!(readings > 0, "the memory was looked at while the program ran");
    (peak_kib, said)
}

/// Peak resident memory in KiB, from the line `VmHWM:   1234 kB`.
#[cfg(target_os = "linux")]
fn peak(status: &str) -> Option<u64> {
    let text = std::fs::read_to_string(status).ok()?;
    let line = text.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

#[test]
fn any_number_of_threads_gives_the_same_bytes() {
    let bench = rough_bench();
    let mut results = Vec::new();
    for threads in ["1", "2", "8"] {
        let options = ["--threads", threads, "--rasters"];
        let outcome = bench.assess("base.tif", "base.geojson").lot("C3").with(&options).run();
        assert_eq!(outcome.code, Some(0), "{threads} threads; it said:\n{}", outcome.stderr);
        results.push((threads, Files::of(&outcome.out)));
        std::fs::remove_dir_all(&outcome.out).expect("the result can be removed");
    }
    for (threads, files) in &results[1..] {
        results[0].1.same_as(files, &format!("1 and {threads} threads"));
    }
}
