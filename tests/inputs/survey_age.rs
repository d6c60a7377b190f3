//! Elevations that are older than a change of the ground that the user tells of.

use crate::common::answer::{Answer, close};
use crate::common::bench::Bench;
use crate::common::scene::{CLOSE, bench_with, ground_m2, ridge};
use gdal::{Dataset, Metadata};

/// The run-on of the ridge's lot: 30 rows of 40 units.
const RUN_ON: f64 = 1200.0;

fn answer(bench: &Bench, options: &[&str]) -> Answer {
    let options = [options, &["--overwrite"]].concat();
    bench.assess("base.tif", "base.geojson").lot("S").with(&options).run().usable()
}

fn doubt(answer: &Answer) -> Option<String> {
    let row = answer.list("doubts").iter().find(|row| row["kind"] == "older-than-change")?;
    close("all of it", row["area_m2"].as_f64().expect("a number"), ground_m2(RUN_ON), CLOSE);
    close("share", row["share_of_run_on"].as_f64().expect("a number"), 1.0, 1e-12);
    Some(row["message"].as_str().expect("text").to_owned())
}

fn read(answer: &Answer, file: &str) -> String {
    let text = std::fs::read_to_string(answer.out.join(file)).expect("it was written");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Says in the raster's metadata when it was surveyed or written.
fn dated(bench: &Bench, item: &str, domain: &str, date: &str) {
    let options = gdal::DatasetOptions {
        open_flags: gdal::GdalOpenFlags::GDAL_OF_UPDATE,
        ..gdal::DatasetOptions::default()
    };
    let mut file = Dataset::open_ex(bench.path("base.tif"), options).expect("it can be changed");
    file.set_metadata_item(item, date, domain).expect("it takes the item");
    file.close().expect("it is stored");
}

#[test]
fn an_older_survey_is_a_reason_on_screen_in_the_summary_and_in_both_reports() {
    let bench = bench_with(&ridge());
    let found = answer(&bench, &["--surveyed", "2016", "--ground-changed", "2019-06"]);
    let said = doubt(&found).expect("three years older");
    assert!(said.contains("2016") && said.contains("2019-06") && said.contains("100"), "{said}");
    assert!(!said.contains("maybe"), "{said}");
    assert_eq!(found.text("data_quality.grade"), "limited");
    assert_eq!(found.text("data_quality.because"), "older-than-change");
    for text in [found.stderr.split_whitespace().collect::<Vec<_>>().join(" "), read(&found, "report.txt")] {
        assert!(text.contains(&said), "{said}: {text}");
    }
    assert!(read(&found, "report.html").contains("surveyed in 2016, before the ground changed (2019-06)"));
}

#[test]
fn a_newer_survey_is_none_and_one_of_that_year_may_be() {
    let bench = bench_with(&ridge());
    assert_eq!(doubt(&answer(&bench, &["--surveyed", "2020", "--ground-changed", "2019-06"])), None);
    assert_eq!(doubt(&answer(&bench, &["--surveyed", "2016"])), None);
    let said = doubt(&answer(&bench, &["--surveyed", "2019", "--ground-changed", "2019-06"]));
    assert!(said.expect("it may be older").contains("maybe before"));
}

#[test]
fn a_raster_that_says_when_it_was_surveyed_or_written_is_believed() {
    let changed = ["--ground-changed", "2019-06-15"];
    let bench = bench_with(&ridge());
    assert_eq!(doubt(&answer(&bench, &changed)), None);
    answer(&bench, &changed).must_warn("survey-date-unknown", &["2019-06-15", "--surveyed"]);
    dated(&bench, "TIFFTAG_DATETIME", "", "2018:04:02 10:00:00");
    assert!(doubt(&answer(&bench, &changed)).expect("written before").contains("stored by 2018-04-02"));
    assert_eq!(answer(&bench, &changed).text("elevation.tiles.0.written"), "2018-04-02");
    dated(&bench, "TIFFTAG_DATETIME", "", "2021:04:02 10:00:00");
    answer(&bench, &changed).must_warn("survey-date-unknown", &["2019-06-15"]);
    dated(&bench, "ACQUISITIONDATETIME", "IMAGERY", "2017-05-01 00:00:00");
    assert!(doubt(&answer(&bench, &changed)).expect("surveyed before").contains("surveyed in 2017-05-01"));
    let typed = answer(&bench, &[&changed[..], &["--surveyed", "2020"]].concat());
    assert_eq!(doubt(&typed), None, "what is typed wins");
}

#[test]
fn what_is_no_date_is_refused_with_the_cause() {
    let bench = bench_with(&ridge());
    for option in ["--surveyed", "--ground-changed"] {
        for (date, cause) in [
            ("2019-02-29", "28 days"),
            ("06/30/2019", "no date"),
            ("2019-13", "12 months"),
            ("1066", "between 1900 and 2199"),
        ] {
            let run = bench.assess("base.tif", "base.geojson").lot("S").with(&[option, date]).run();
            run.refused(2, &[option, date, cause]);
        }
    }
    for (name, line) in [("a", "ground-changed = 2019-02-03"), ("b", "ground-changed = \"2019-02\"")] {
        let job = format!(
            "elevation = [\"base.tif\"]\nparcels = \"base.geojson\"\nlot = \"S\"\nsurveyed = 2018\n{line}\nout = \"{name}\"\n"
        );
        bench.write_text("job.toml", &job);
        let answer = bench.program(&["assess", "job.toml"]).out(name).run().usable();
        assert!(doubt(&answer).is_some(), "{line}");
    }
}

#[test]
fn a_date_that_cannot_be_is_refused_or_told() {
    let bench = bench_with(&ridge());
    for option in ["--surveyed", "--ground-changed"] {
        let run = bench.assess("base.tif", "base.geojson").lot("S").with(&[option, "2150-01"]).run();
        run.refused(2, &[option, "2150-01", "in the future"]);
    }
    let changed = ["--ground-changed", "2019-06-15"];
    dated(&bench, "ACQUISITIONDATETIME", "IMAGERY", "2150-05-01 00:00:00");
    let found = answer(&bench, &changed);
    found.must_warn("survey-date-in-future", &["base.tif", "2150-05-01"]);
    found.must_warn("survey-date-unknown", &["2019-06-15"]);
    answer(&bench, &[]).must_warn("survey-date-in-future", &["base.tif"]);
    dated(&bench, "TIFFTAG_DATETIME", "", "2018:04:02 10:00:00");
    let found = answer(&bench, &[&changed[..], &["--surveyed", "2020"]].concat());
    found.must_warn("survey-after-file", &["base.tif", "surveyed 2020", "stored 2018-04-02", "--surveyed"]);
    assert!(doubt(&found).expect("the file is older").contains("stored by 2018-04-02"));
}
