//! What is refused, and what a job file may hold.

use super::flows::{TABLE, bench};
use crate::common::answer::close;
use crate::common::bench::OUT;
use crate::common::scene::{bench_with, ridge};

// The scene lies at 81 degrees west, 43.6 north; a degree of latitude is 111 km.
#[test]
fn a_table_for_another_place_is_said() {
    let bench = bench();
    let table = |latitude: &str| {
        format!(
            "Point precipitation frequency estimates (inches)\nData type: Precipitation depth\n\
             Time series type: Partial duration\nLatitude: {latitude} Degree\nLongitude: -81.0 Degree\n\n\n\
             PRECIPITATION FREQUENCY ESTIMATES\nby duration for ARI (years):, 2,10,100\n5-min:, 0.3,0.5,0.8\n\
             60-min:, 1.0,1.6,2.6\n24-hr:, 2.5,4.0,6.5\n60-day:, 8.0,12.0,16.0\n"
        )
    };
    for (latitude, is_said) in [("26.6", true), ("43.5", false)] {
        bench.write_text("place.csv", &table(latitude));
        let words = ["--rainfall", "place.csv", "--coefficient", "0.35", "--overwrite"];
        let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable();
        let said = answer.warning("rain-table-elsewhere");
        assert_eq!(said.is_some(), is_said, "{latitude}: {said:?}");
        assert!(said.is_none_or(|said| said.contains("26.6") && said.contains("km")));
    }
}

#[test]
fn rain_is_given_in_one_way_only() {
    let bench = bench();
    let table = "rain.csv";
    let curve = "56.6/(t+8.6)^0.823 in/h";
    for words in [
        ["--intensity", "4in/h", "--rainfall", table],
        ["--intensity", "4in/h", "--rain-curve", curve],
        ["--rain-curve", curve, "--rainfall", table],
    ] {
        let run = bench.assess("base.tif", "base.geojson").lot("S").with(&words).run();
        run.refused(2, &["give one of them"]);
    }
}

#[test]
fn numbers_that_make_no_sense_are_refused_by_name() {
    let bench = bench();
    let table = "rain.csv";
    for (words, said) in [
        (vec!["--rainfall", table, "--return-period", "1000"], "100"),
        (vec!["--rainfall", table, "--return-period", "ten"], "--return-period"),
        (vec!["--rain-curve", "4in/h"], "56.6/(t+8.6)^0.823"),
        (vec!["--time-by", "lag"], "--time-by is for a storm"),
        (vec!["--return-period", "100"], "--return-period is for a storm"),
        (vec!["--curve-number", "75%"], "--curve-number"),
        (vec!["--curve-number", "101"], "0 up to 100"),
        (vec!["--rainfall", table, "--least-time", "5"], "min"),
        (vec!["--rainfall", table, "--least-time", "0min"], "--least-time"),
        (vec!["--rainfall", table, "--rain-depth", "4 furlongs"], "--rain-depth"),
    ] {
        let run = bench.assess("base.tif", "base.geojson").lot("S").with(&words).run();
        run.refused(2, &[said]);
    }
}

#[test]
fn a_table_that_cannot_be_used_is_refused_with_file_and_line() {
    let bench = bench_with(&ridge());
    bench.write_text("rain.csv", &TABLE.replace("15 min,15,", "15 min,11,"));
    let words = ["--rainfall", "rain.csv", "--coefficient", "0.35"];
    let run = bench.assess("base.tif", "base.geojson").lot("S").with(&words).run();
    run.refused(3, &["rain.csv", "line 4"]);
    let missing = ["--rainfall", "nowhere.csv", "--coefficient", "0.35"];
    bench.assess("base.tif", "base.geojson").lot("S").with(&missing).run().refused(3, &["nowhere.csv"]);
}

#[test]
fn the_table_stands_among_the_inputs_with_its_fingerprint() {
    let bench = bench();
    let words = ["--rainfall", "rain.csv", "--coefficient", "0.35"];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable();
    let listed = answer.list("provenance.inputs");
    assert!(listed.iter().any(|file| file["path"].as_str().is_some_and(|path| path.ends_with("rain.csv"))));
}

#[test]
fn rain_typed_wins_over_rain_of_another_kind_in_the_job_file() {
    let bench = bench();
    bench.write_text(
        "job.toml",
        "elevation = \"base.tif\"\nparcels = \"base.geojson\"\nlot = \"S\"\nrainfall = \"rain.csv\"\ncoefficient = 0.35\n",
    );
    let by_file = bench.program(&["assess", "job.toml", "--out", OUT]).run().usable();
    assert!(by_file.number("design.storm.duration_min") > 0.0, "the table counts");
    let typed = bench.program(&["assess", "job.toml", "--intensity", "100mm/h", "--out", OUT, "--overwrite"]);
    close("intensity", typed.run().usable().number("design.storm.intensity_mm_h"), 100.0, 1e-9);
}
