//! The program among others: paths, signals, pipes, folders that can't be written to.

use std::io::Read;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::common::bench::OUT;
use crate::common::raster::Raster;
use crate::common::scene::{base_bench, base_numbers, bench_with, number};

#[test]
fn paths_may_have_spaces_and_letters_of_any_alphabet() {
    let bench = base_bench();
    std::fs::create_dir(bench.path("in put")).expect("the folder can be made");
    let (elevation, parcels) = ("in put/höhe 1.tif", "in put/участки.geojson");
    std::fs::rename(bench.path("base.tif"), bench.path(elevation)).expect("it can be moved");
    std::fs::rename(bench.path("base.geojson"), bench.path(parcels)).expect("it can be moved");
    let answer = bench.assess(elevation, parcels).lot("S").out("ergebnis 1").run().usable();
    base_numbers(&answer);
    let listed: Vec<&str> =
        answer.list("provenance.inputs").iter().filter_map(|row| row["path"].as_str()).collect();
    assert_eq!(listed, [elevation, parcels], "paths are kept as typed");
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let bench = base_bench();
    let mut program = bench.assess("base.tif", "base.geojson").lot("S").with(&["--json"]).command();
    let mut child =
        program.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the program starts");
    let mut first = [0];
    let mut pipe = child.stdout.take().expect("standard output is piped");
    pipe.read_exact(&mut first).expect("something is printed");
    assert_eq!(&first, b"{");
    drop(pipe);
    let ended = child.wait_with_output().expect("the program ends");
    let said = String::from_utf8_lossy(&ended.stderr);
    assert_eq!(ended.status.code(), Some(0), "it said:\n{said}");
    assert!(!said.contains("panicked"), "{said}");
}

#[test]
fn a_reader_that_was_never_there_is_no_failure() {
    let bench = base_bench();
    let mut program = bench.assess("base.tif", "base.geojson").lot("S").with(&["--json"]).command();
    let mut child =
        program.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the program starts");
    drop((child.stdout.take(), child.stderr.take()));
    let ended = child.wait().expect("the program ends");
    assert_eq!(ended.code(), Some(0), "with both streams closed");
    assert!(bench.path(OUT).join("summary.json").is_file(), "the result is written all the same");
}

#[test]
#[cfg(target_os = "linux")]
fn a_summary_that_cannot_be_printed_is_status_7() {
    let bench = base_bench();
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").expect("the kernel has it");
    let mut program = bench.assess("base.tif", "base.geojson").lot("S").with(&["--json"]).command();
    let ended = program.stdout(full).stderr(Stdio::piped()).output().expect("the program runs");
    let said = String::from_utf8_lossy(&ended.stderr);
    assert_eq!(ended.status.code(), Some(7), "it said:\n{said}");
    assert!(said.contains("standard output"), "{said}");
}

#[test]
#[cfg(target_os = "linux")]
fn a_folder_that_nobody_can_write_to_is_status_7_and_named() {
    // Whoever runs the test, the kernel lets nobody make folders there.
    let bench = base_bench();
    let outcome = bench.assess("base.tif", "base.geojson").lot("S").out("/proc/result").run();
    outcome.refused(7, &["/proc"]);
}

#[test]
#[cfg(unix)]
fn an_interrupted_run_leaves_nothing_behind_and_is_status_130() {
    // Large and rough enough to take seconds.
    let side = 2_500;
    let rough = Raster::of(side, side, |row, col| {
        let (y, x) = (number(row), number(col));
        200.0 - 0.02 * y + (x / 7.0).sin() + (y / 11.0 + x / 5.0).sin()
    });
    let bench = bench_with(&rough.at(499_000.0, 4_831_000.0, 1.0, 1.0));
    let before = names(&bench.path("."));
    let mut program = bench.assess("base.tif", "base.geojson").lot("S").with(&["--rasters"]).command();
    let mut child = program.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().expect("the program starts");
    // Files wait in a hidden folder until all are written.
    let patience = Instant::now() + Duration::from_secs(30);
    while names(&bench.path(".")) == before {
        assert!(Instant::now() < patience, "the run must get so far as to prepare its files");
        assert!(child.try_wait().expect("it can be asked").is_none(), "the run must not be over yet");
        std::thread::sleep(Duration::from_millis(1));
    }
    let sent = Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill is there");
    assert!(sent.success(), "the signal is sent");
    let ended = child.wait_with_output().expect("the program ends");
    let said = String::from_utf8_lossy(&ended.stderr);
    assert_eq!(ended.status.code(), Some(130), "it said:\n{said}");
    assert_eq!(names(&bench.path(".")), before, "nothing is left; it said:\n{said}");
}

/// Names of all files and folders of a folder, in order.
fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("the folder can be listed");
    let mut all: Vec<String> = entries
        .map(|entry| entry.expect("it can be listed").file_name().to_string_lossy().into_owned())
        .collect();
    all.sort();
    all
}
