//! The storm's peak by the graphical method.

use super::{CFS, figure, said, sheet, size};

// TR-55 (1986), example 4-1: 250 acres, CN 75, 6.0 in, 1.53 h, type II, no ponds: 345 cfs, its unit peak read off a chart (1 %).
// FHWA HDS-2 (2002), example 5.4: 43.5 acres, CN 77, 4.8 in, 0.26 h, type II: 120 cfs (2 %). With 1 % of ponds 0.87 of each (TR-55, table
// 4-2).
#[test]
fn the_published_examples() {
    for (storm, printed, tolerance) in [
        (
            ["--area", "250ac", "--curve-number", "75", "--rain-depth", "6in", "--duration", "1.53h"],
            345.0,
            0.01,
        ),
        (
            ["--area", "43.5ac", "--curve-number", "77", "--rain-depth", "4.8in", "--duration", "0.26h"],
            120.0,
            0.02,
        ),
    ] {
        let arguments = [&storm[..], &["--rainfall-type", "II"]].concat();
        let peak = figure(&sheet(&arguments), "peak by the graphical method") / CFS;
        assert!((peak / printed - 1.0).abs() < tolerance, "{peak} against {printed}");
        let text = said(&size(&arguments));
        assert!(text.contains("q = qu A Q F") && text.contains("TR-55 (1986), chapter 4"), "{text}");
        let with_ponds = sheet(&[&arguments[..], &["--pond-share", "1%"]].concat());
        let ponds = figure(&with_ponds, "peak by the graphical method") / CFS;
        assert!((ponds / peak - 0.87).abs() < 1e-9, "{ponds} of {peak}");
    }
}

// A short way takes less than the method's least time of 0.1 h (TR-55, page 3-4).
#[test]
fn the_time_may_be_that_of_the_way() {
    let storm = ["--cover", "roof=2000ft2", "--rain-depth", "4.5in", "--rainfall-type", "III"];
    let way = ["--length", "50ft", "--slope", "3%", "--intensity", "4in/h"];
    let text = said(&size(&[&storm[..], &way].concat()));
    assert!(text.contains("Tc 0.100 h, the method's least"), "{text}");
}

#[test]
fn what_is_missing_is_named() {
    let storm = ["--area", "1ac", "--curve-number", "75", "--rain-depth", "4in"];
    for (more, missing) in [
        (&["--rainfall-type", "II"][..], "--duration"),
        (&["--pond-share", "1%"], "--rainfall-type"),
        (&["--rainfall-type", "IV", "--duration", "1h"], "I, IA, II or III"),
    ] {
        let output = size(&[&storm[..], more].concat());
        assert_eq!(output.status.code(), Some(2), "{more:?}");
        assert!(said(&output).contains(missing), "{more:?}: {}", said(&output));
    }
    let output = size(&[
        "--rainfall-type",
        "II",
        "--duration",
        "1h",
        "--area",
        "1ac",
        "--coefficient",
        "0.3",
        "--intensity",
        "4in/h",
    ]);
    assert_eq!(output.status.code(), Some(2));
    let slow = ["--rainfall-type", "II", "--duration", "11h"];
    assert!(said(&size(&[&storm[..], &slow].concat())).contains("graphical-peak-not-given"));
}
