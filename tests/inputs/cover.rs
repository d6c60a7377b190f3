//! Covers and soils on the scene with the ridge: closed forms of what each piece of ground sheds.
//!
//! 1200 square units drain onto S: 800 of N (40 wide, 20 high), 400 above it. Ground falls just under 2 %.

use crate::common::answer::{Answer, Who, close};
use crate::common::bench::Bench;
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::scene::{CLOSE, bench_with, ground_m2, ridge};
use serde_json::{Value, json};

/// Writes rectangles (west, south, east, north, properties) as GeoJSON.
fn write(bench: &Bench, name: &str, patches: &[([f64; 4], Value)]) {
    let lots = Lots::of(patches.iter().map(|([w, s, e, n], _)| lot("-", *w, *s, *e, *n)).collect());
    let mut text = lots.geojson(WGS84);
    for (feature, (_, properties)) in
        text["features"].as_array_mut().expect("features").iter_mut().zip(patches)
    {
        feature["properties"] = properties.clone();
    }
    bench.write_json(name, &text);
}

const RAIN: [&str; 6] = ["--intensity", "100mm/h", "--rain-depth", "100mm", "--soil-group", "C"];

fn run(bench: &Bench, more: &[&str]) -> Answer {
    let words: Vec<&str> = RAIN.iter().chain(more).copied().collect();
    bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable()
}

/// Rational method over square units with their coefficients.
fn flow(parts: &[(f64, f64)]) -> f64 {
    parts.iter().map(|&(units, c)| c * ground_m2(units)).sum::<f64>() * 100.0 / 3.6e6
}

/// Runoff of 100 mm over square units with their curve numbers (TR-55 equation 2-3 in mm).
fn volume(parts: &[(f64, f64)]) -> f64 {
    let depth = |number: f64| {
        let s = 25400.0 / number - 254.0;
        (100.0 - 0.2 * s).powi(2) / (100.0 + 0.8 * s) / 1000.0
    };
    parts.iter().map(|&(units, number)| depth(number) * ground_m2(units)).sum()
}

fn area_of(answer: &Answer, cover: &str) -> f64 {
    let rows = answer.list("design.by_cover");
    let row = rows.iter().find(|row| row["cover"] == cover).expect("the cover is listed");
    row["area_m2"].as_f64().expect("an area")
}

// Asphalt (HDS-2 and county code: C 0.82; CN 98) on the western half of N, 200 units of poor lawn with figures of their own,
// and good lawn on heavy soil below 2 % (C 0.16, CN 74) everywhere else.
#[test]
fn each_cover_sheds_by_its_own_figures() {
    let bench = bench_with(&ridge());
    write(
        &bench,
        "cover.geojson",
        &[
            ([20.0, 40.0, 40.0, 60.0], json!({"class": "asphalt"})),
            ([40.0, 50.0, 60.0, 60.0], json!({"class": "lawn-poor", "coefficient": 0.5, "curve_number": 90})),
        ],
    );
    let answer = run(&bench, &["--cover", "cover.geojson", "--default-cover", "lawn-good"]);
    let all = [(400.0, 0.82), (200.0, 0.5), (600.0, 0.16)];
    close("flow", answer.number("design.flow_m3_s"), flow(&all), CLOSE);
    let of_n = [(400.0, 0.82), (200.0, 0.5), (200.0, 0.16)];
    close("flow of N", answer.share(Who::Lot("N"), "flow_m3_s"), flow(&of_n), CLOSE);
    close(
        "volume",
        answer.number("design.volume_m3"),
        volume(&[(400.0, 98.0), (200.0, 90.0), (600.0, 74.0)]),
        CLOSE,
    );
    close("asphalt", area_of(&answer, "asphalt"), ground_m2(400.0), CLOSE);
    close("sum of areas", answer.sum("design.by_cover", "area_m2"), answer.number("run_on.area_m2"), 1e-9);
    close(
        "sum of flows",
        answer.sum("design.by_cover", "flow_m3_s"),
        answer.number("design.flow_m3_s"),
        1e-9,
    );
}

// Without a class the ground is as unknown as any other, but for the figures that it has.
#[test]
fn figures_without_a_class_will_do() {
    let bench = bench_with(&ridge());
    let patches = [
        ([20.0, 40.0, 40.0, 60.0], json!({"coefficient": 0.6, "curve_number": 90})),
        ([40.0, 40.0, 60.0, 60.0], json!({"coefficient": 0.4})),
    ];
    write(&bench, "cover.geojson", &patches);
    let words = ["--cover", "cover.geojson", "--coefficient", "0.2", "--curve-number", "74"];
    let answer = run(&bench, &words);
    close(
        "flow",
        answer.number("design.flow_m3_s"),
        flow(&[(400.0, 0.6), (400.0, 0.4), (400.0, 0.2)]),
        CLOSE,
    );
    close("volume", answer.number("design.volume_m3"), volume(&[(400.0, 90.0), (800.0, 74.0)]), CLOSE);
    assert!(area_of(&answer, "ground with figures of its own") > 0.0);
}

#[test]
fn a_house_takes_its_ground_from_the_cover_below_it() {
    let bench = bench_with(&ridge());
    write(&bench, "cover.geojson", &[([20.0, 40.0, 40.0, 60.0], json!({"class": "asphalt"}))]);
    write(&bench, "houses.geojson", &[([24.0, 44.0, 34.0, 54.0], json!({"id": "house"}))]);
    let words = ["--cover", "cover.geojson", "--buildings", "houses.geojson", "--default-cover", "lawn-good"];
    let answer = run(&bench, &words);
    close("roof", area_of(&answer, "roof"), ground_m2(100.0), CLOSE);
    close("asphalt", area_of(&answer, "asphalt"), ground_m2(300.0), CLOSE);
    let all = [(100.0, 0.85), (300.0, 0.82), (800.0, 0.16)];
    close("flow", answer.number("design.flow_m3_s"), flow(&all), CLOSE);
}

// Good lawn: C 0.07 and CN 39 on group A, C 0.16 and CN 80 on group D.
#[test]
fn soils_choose_the_figures() {
    let bench = bench_with(&ridge());
    let halves =
        [([0.0, 0.0, 40.0, 80.0], json!({"group": "A"})), ([40.0, 0.0, 80.0, 80.0], json!({"group": "d"}))];
    write(&bench, "soils.geojson", &halves);
    let answer = run(&bench, &["--soils", "soils.geojson", "--default-cover", "lawn-good"]);
    close("flow", answer.number("design.flow_m3_s"), flow(&[(600.0, 0.07), (600.0, 0.16)]), CLOSE);
    close("volume", answer.number("design.volume_m3"), volume(&[(600.0, 39.0), (600.0, 80.0)]), CLOSE);
}

// The east half has a polygon without a group: the default, C, counts there, whose coefficient is that of D.
#[test]
fn soils_of_no_group_are_ground_that_no_file_covers() {
    let bench = bench_with(&ridge());
    let halves =
        [([0.0, 0.0, 40.0, 80.0], json!({"group": "A"})), ([40.0, 0.0, 80.0, 80.0], json!({"group": null}))];
    write(&bench, "soils.geojson", &halves);
    let answer = run(&bench, &["--soils", "soils.geojson", "--default-cover", "lawn-good"]);
    answer.must_warn("patches-empty", &["feature 2"]);
    close("flow", answer.number("design.flow_m3_s"), flow(&[(600.0, 0.07), (600.0, 0.16)]), CLOSE);
}

#[test]
fn a_table_of_the_users_own_adds_classes() {
    let bench = bench_with(&ridge());
    bench.write_text(
        "own.toml",
        "[sources]\nown = \"measured\"\n[class.clinker]\ndescription = \"clinker\"\ncoefficient = 0.4\nfrom = [\"own\"]\n",
    );
    let answer = run(&bench, &["--cover-table", "own.toml", "--default-cover", "clinker"]);
    close("flow", answer.number("design.flow_m3_s"), flow(&[(1200.0, 0.4)]), CLOSE);
    assert!(answer.at("design.volume_m3").is_null(), "it has no curve number");
    assert_eq!(answer.text("design.by_cover.0.coefficient_from"), "measured");
    let listed = answer.list("provenance.inputs");
    assert!(listed.iter().any(|file| file["path"] == "own.toml"), "{listed:?}");
}

// Table 3 of Dhakal and others (2013): 1.25 for 100 years; what the user typed stays as it is.
#[test]
fn coefficients_of_the_table_are_raised_for_rare_storms() {
    let bench = bench_with(&ridge());
    let rare = run(&bench, &["--default-cover", "lawn-good", "--return-period", "100"]);
    close("raised", rare.number("design.flow_m3_s"), flow(&[(1200.0, 0.16 * 1.25)]), CLOSE);
    let typed = run(&bench, &["--coefficient", "0.16", "--return-period", "100", "--overwrite"]);
    close("typed", typed.number("design.flow_m3_s"), flow(&[(1200.0, 0.16)]), CLOSE);
}

#[test]
fn what_a_file_says_wrongly_is_refused_with_its_place() {
    let bench = bench_with(&ridge());
    write(&bench, "unknown.geojson", &[([20.0, 40.0, 40.0, 60.0], json!({"class": "astroturf"}))]);
    write(&bench, "empty.geojson", &[([20.0, 40.0, 40.0, 60.0], json!({"class": ""}))]);
    write(
        &bench,
        "number.geojson",
        &[([20.0, 40.0, 40.0, 60.0], json!({"class": "roof", "coefficient": 1.5}))],
    );
    write(&bench, "group.geojson", &[([20.0, 40.0, 40.0, 60.0], json!({"group": "B/D"}))]);
    for (words, code, said) in [
        (["--cover", "unknown.geojson"], 3, vec!["unknown.geojson", "feature 1", "astroturf", "lawn-good"]),
        (["--cover", "empty.geojson"], 3, vec!["feature 1", "class"]),
        (["--cover", "number.geojson"], 3, vec!["feature 1", "coefficient", "1.5"]),
        (["--soils", "group.geojson"], 3, vec!["feature 1", "B/D"]),
        (["--soils", "unknown.geojson"], 3, vec!["group"]),
        (["--default-cover", "astroturf"], 2, vec!["--default-cover", "lawn-good"]),
        (["--soil-group", "E"], 2, vec!["--soil-group"]),
        (["--cover-table", "nowhere.toml"], 3, vec!["nowhere.toml"]),
    ] {
        bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().refused(code, &said);
    }
}

// The options that help with parcels don't reach a file beside them.
#[test]
fn the_remedy_for_a_side_file_names_no_option_of_the_parcels() {
    let bench = bench_with(&ridge());
    bench.write_json(
        "lines.geojson",
        &json!({"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {},
            "geometry": {"type": "LineString", "coordinates": [[-81.0, 43.6], [-81.0, 43.7]]}}]}),
    );
    let run = bench.assess("base.tif", "base.geojson").lot("S").with(&["--buildings", "lines.geojson"]).run();
    run.refused(3, &["lines.geojson", "--buildings-layer, a layer of polygons"]);
    assert!(!run.stderr.contains("--parcels-layer"), "{}", run.stderr);
}
