//! The peak by the graphical method, and numbers outside the range of their method, in whole runs of the program.

use super::flows::bench;
use crate::common::answer::{Answer, close};
use crate::common::bench::Bench;
use crate::common::scene::ground_m2;

fn run(bench: &Bench, more: &[&str]) -> Answer {
    let mut words = vec!["--rainfall", "rain.csv"];
    words.extend_from_slice(more);
    bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable()
}

const LAWN: [&str; 4] = ["--coefficient", "0.35", "--curve-number", "74"];

/// TR-55, table F-1, type II at Ia/P 0.10 and 0.30; straight in the unit peak between them.
fn unit_peak(ratio: f64, hours: f64) -> f64 {
    let log = hours.log10();
    let low = 10.0_f64.powf(2.55323 - 0.61512 * log - 0.16403 * log * log);
    let high = 10.0_f64.powf(2.46532 - 0.62257 * log - 0.11657 * log * log);
    low + (high - low) * (ratio - 0.10) / 0.20
}

// 110 mm of rain on curve number 74: S = 25400 / 74 - 254 mm, Ia = 0.2 S; 1 csm/in is 0.000 430 4 m3/s/km2/mm (the printed
// 0.000431 of HDS-2, page 5-28, with more digits: 0.3048^3 / (1.609344^2 x 25.4)).
#[test]
fn the_second_opinion_is_that_of_the_book() {
    let answer = run(&bench(), &[&LAWN[..], &["--rainfall-type", "II", "--pond-share", "1%"]].concat());
    let s = 25400.0_f64 / 74.0 - 254.0;
    let runoff_mm = (110.0 - 0.2 * s).powi(2) / (110.0 + 0.8 * s);
    let hours = answer.number("crossings.0.storm.time.concentration_min") / 60.0;
    let unit = unit_peak(0.2 * s / 110.0, hours) * 0.3048_f64.powi(3) / (1.609_344_f64.powi(2) * 25.4);
    let flow = unit * ground_m2(1200.0) / 1e6 * runoff_mm * 0.87;
    close("peak", answer.number("design.graphical.flow_m3_s"), flow, 1e-6);
    close("of the crossing", answer.number("crossings.0.storm.graphical_flow_m3_s"), flow, 1e-6);
    close("curve number", answer.number("design.graphical.curve_number"), 74.0, 1e-9);
    close("runoff", answer.number("design.graphical.runoff_depth_mm"), runoff_mm, 1e-9);
    close("pond factor", answer.number("design.graphical.pond_factor"), 0.87, 1e-12);
    // The flood as a triangle: peak of the rational method, volume of the storm.
    let (peak, volume) = (answer.number("design.flow_m3_s"), runoff_mm / 1000.0 * ground_m2(1200.0));
    close("base", answer.number("design.hydrograph.base_min"), 2.0 * volume / peak / 60.0, 1e-6);
    close("rise", answer.number("design.hydrograph.rise_min"), 0.75 * volume / peak / 60.0, 1e-6);
    let gives = |what: &str| answer.list("design.methods").iter().any(|m| m["gives"] == what);
    assert!(gives("peak flow, second opinion") && gives("course of the flood"));
}

#[test]
fn every_type_gives_its_own_peak_and_none_is_given_unasked() {
    let bench = bench();
    assert!(run(&bench, &LAWN).at("design.graphical").is_null());
    let peaks = ["I", "ia", "II", "III"].map(|kind| {
        run(&bench, &[&LAWN[..], &["--rainfall-type", kind, "--overwrite"]].concat())
            .number("design.graphical.flow_m3_s")
    });
    // In the order of their unit peaks at a quarter of an hour (TR-55, exhibit 4): IA, I, III, II.
    assert!(peaks[1] < peaks[0] && peaks[0] < peaks[3] && peaks[3] < peaks[2], "{peaks:?}");
}

#[test]
fn what_the_second_opinion_lacks_is_said() {
    let bench = bench();
    let answer = run(&bench, &["--coefficient", "0.35", "--rainfall-type", "II"]);
    answer.must_warn("graphical-peak-not-given", &["curve number"]);
    assert!(answer.at("design.graphical").is_null());
    let words =
        ["--intensity", "100mm/h", "--coefficient", "0.35", "--curve-number", "74", "--rainfall-type", "II"];
    let steady =
        bench.assess("base.tif", "base.geojson").lot("S").with(&words).with(&["--overwrite"]).run().usable();
    steady.must_warn("graphical-peak-not-given", &["24 hours"]);
    let fresh = super::flows::bench();
    for (words, said) in [
        (vec!["--rainfall", "rain.csv", "--pond-share", "1%"], "--rainfall-type"),
        (vec!["--rainfall", "rain.csv", "--rainfall-type", "IV"], "I, IA, II or III"),
        (vec!["--rainfall", "rain.csv", "--rainfall-type", "II", "--pond-share", "6%"], "0 to 0.05"),
    ] {
        fresh.assess("base.tif", "base.geojson").lot("S").with(&words).run().refused(2, &[said]);
    }
}

// TR-55, chapter 2: below 0.5 in of runoff the method is less accurate, below curve number 40 not meant. 30 mm of rain on
// curve number 74 run off 1.9 mm; the rain is that of the user.
#[test]
fn numbers_outside_the_range_of_their_method_carry_a_warning() {
    let bench = bench();
    let little = run(&bench, &[&LAWN[..], &["--rain-depth", "30mm"]].concat());
    little.must_warn("runoff-below-method", &["0.5 in"]);
    let sand = run(&bench, &["--coefficient", "0.1", "--curve-number", "35", "--overwrite"]);
    sand.must_warn("curve-number-below-method", &["35", "40"]);
    let fine = run(&bench, &[&LAWN[..], &["--overwrite"]].concat());
    assert!(
        fine.list("warnings").iter().all(|w| !w["code"].as_str().unwrap_or("").contains("-below-method"))
    );
}

// Factors for rare storms are printed from 2 to 100 years. They count for figures of the cover table only.
#[test]
fn a_return_period_beyond_the_printed_factors_is_said() {
    let bench = bench();
    bench.write_text("rare.csv", "depth mm,1 yr,1000 yr\n5 min,8,30\n60 min,25,90\n24 h,60,250\n");
    let of_table = ["--default-cover", "lawn-good", "--soil-group", "C"];
    for (years, nearest) in [("1", "that of 2"), ("1000", "that of 100")] {
        let words = [&["--rainfall", "rare.csv", "--return-period", years][..], &of_table].concat();
        let answer = bench
            .assess("base.tif", "base.geojson")
            .lot("S")
            .with(&words)
            .with(&["--overwrite"])
            .run()
            .usable();
        answer.must_warn("return-period-beyond-factors", &[nearest]);
    }
    let words = ["--rainfall", "rare.csv", "--return-period", "1000", "--coefficient", "0.2"];
    let typed =
        bench.assess("base.tif", "base.geojson").lot("S").with(&words).with(&["--overwrite"]).run().usable();
    assert!(typed.list("warnings").iter().all(|w| w["code"] != "return-period-beyond-factors"));
}
