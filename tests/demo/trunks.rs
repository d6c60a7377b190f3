//! What parts hand on to each other, and the arrangements side by side, by the program as it is run.

use super::told::{Demo, Result};
use serde_json::Value;

const ARRANGEMENTS: [&str; 5] = ["one-pipe", "two-pipes", "swale", "swale-over-drain", "basins"];

fn parts(result: &Result) -> Vec<Value> {
    result.summary()["interception_line"]["parts"].as_array().expect("a list").clone()
}

fn option<'a>(part: &'a Value, arrangement: &str) -> Option<&'a Value> {
    part["drain"]["options"].as_array()?.iter().find(|option| option["arrangement"] == arrangement)
}

fn float(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

// Each row of the table is what one gets by naming it, or tells that beside it.
#[test]
fn the_table_of_arrangements_says_what_naming_one_gives() {
    let demo = Demo::written();
    let table = parts(&demo.assess("Alder 4", &["--catch", "0.9"]));
    let mut marked = 0;
    for name in ARRANGEMENTS {
        let named = parts(&demo.assess("Alder 4", &["--catch", "0.9", "--arrangement", name]));
        assert_eq!(named.len(), table.len());
        for (row, named) in table.iter().zip(&named) {
            let Some(row) = option(row, name) else { continue };
            assert_eq!(named["drain"]["arrangement"], name);
            let got = option(named, name).expect("it is chosen");
            let told = &row["as_named"];
            marked += usize::from(!told.is_null());
            let [share, built] = if told.is_null() {
                [&row["share"], &Value::Bool(row["not_built"].is_null())]
            } else {
                [&told["share"], &told["can_be_built"]]
            };
            assert!(
                (float(share) - float(&got["share"])).abs() <= 5e-4,
                "{name}: {share} in the table, {got}"
            );
            assert_eq!(built.as_bool(), Some(got["not_built"].is_null()), "{name}");
            // What is dug, to the tenth of a cubic metre that is printed.
            let dug = if told.is_null() { &row["dug_m3"] } else { &told["dug_m3"] };
            match dug.as_f64().zip(got["dug_m3"].as_f64()) {
                Some((dug, got)) => assert!((dug - got).abs() <= 0.05, "{name}: {dug} in the table, {got}"),
                None => assert_eq!(dug.is_null(), got["dug_m3"].is_null(), "{name}"),
            }
        }
    }
    // At the least one stands on another way when it is named, or the test shows nothing.
    assert!(marked > 0);
}

// Under sod a trench takes a small part of what comes. One part of the drain hands that on, by the upper
// end, and the other's lead is sized for its own water and so much: its flow, and no drop of the rest.
#[test]
fn a_trunk_is_sized_for_what_gets_in_further_up() {
    let demo = Demo::written();
    // At 92 % a line of two parts, of which one joins the other.
    let line = ["--catch", "0.92", "--arrangement", "one-pipe", "--finish", "unirrigated-lawn"];
    let found = parts(&demo.assess("Alder 2", &line));
    let joins = |part: &&Value| part["outlet"]["kind"] == "other-part";
    let (above, below) =
        (found.iter().find(joins).expect("one joins"), found.iter().find(|part| !joins(part)));
    let below = below.expect("the other doesn't");
    let [a, b] = [above, below].map(|part| option(part, "one-pipe").expect("it is named"));
    let gets_in = float(&a["taken_share"][1]) * float(&above["flow_m3_s"]);
    assert!(float(&a["taken_share"][1]) < 0.9, "it lets all in: {}", a["taken_share"]);
    let lead = float(&b["outlet_reach"]["flow_m3_s"]);
    let expected = float(&below["flow_m3_s"]) + gets_in;
    assert!((lead / expected - 1.0).abs() < 1e-6, "{lead} instead of {expected}");
    // The storm's row that it is designed for says the same as the design.
    for part in &found {
        let rows = part["drain"]["storms"]["rows"].as_array().expect("rows");
        let design = rows.iter().find(|row| row["is_design"] == true).expect("one");
        let loads = design["arrangements"].as_array().expect("a list");
        let load = loads.iter().find(|load| load["arrangement"] == "one-pipe").expect("it is there");
        let share = float(&option(part, "one-pipe").expect("it is named")["share"]);
        assert!((float(&load["share"][0]) - share).abs() < 1e-6, "{load} after {share}");
    }
}

// Of other arrangements only those are advised that the table says can be built and keep more.
#[test]
fn needs_name_nothing_that_the_table_refuses() {
    let demo = Demo::written();
    let words = [
        ("one-pipe", "one perforated pipe in stone"),
        ("two-pipes", "two perforated pipes in stone"),
        ("swale", "grassed swale"),
        ("swale-over-drain", "swale over a perforated pipe in stone"),
    ];
    let mut advised = 0;
    for lot in ["Alder 4", "Linden 4"] {
        for part in parts(&demo.assess(lot, &[])) {
            let Some(options) = part["drain"]["options"].as_array() else { continue };
            for one in options {
                for need in one["needs"].as_array().expect("a list") {
                    let need = need.as_str().expect("words");
                    assert!(!need.contains("a swale or bare stone"), "{need}");
                    let Some((what, _)) = need.split_once(" would keep ") else { continue };
                    advised += 1;
                    let by_words = words.iter().find(|(_, words)| *words == what);
                    let name =
                        if what.ends_with(" on a solid pipe") { "basins" } else { by_words.expect(what).0 };
                    let other = options.iter().find(|other| other["arrangement"] == name).expect(name);
                    assert!(other["not_built"].is_null(), "{what}: {}", other["not_built"]);
                    assert!(float(&other["share"]) > float(&one["share"]), "{what} keeps no more");
                }
            }
        }
    }
    assert!(advised > 0);
}

// Open ground that is nearer than the outlet which is taken is passed by for the parcels below it, and that is said.
#[test]
fn a_nearer_outlet_that_is_passed_by_has_its_reason() {
    let demo = Demo::written();
    let mut told = 0;
    for part in parts(&demo.assess("Linden 1", &[])) {
        let taken = &part["outlet"];
        if taken["kind"] != "storm-inlet" {
            continue;
        }
        let is_passed = |way: &&Value| {
            way["kind"] == "daylight"
                && way["verdict"] == "gravity"
                && float(&way["length_m"]) < float(&taken["length_m"])
        };
        let ways = part["outlets"].as_array().expect("a list");
        let length = |way: &&Value| float(&way["length_m"]);
        let Some(nearest) = ways.iter().filter(is_passed).min_by(|a, b| length(a).total_cmp(&length(b)))
        else {
            continue;
        };
        let below = nearest["downstream"]["parcels"].as_array().expect("a list");
        assert!(!below.is_empty(), "its water runs over no other parcel: {nearest}");
        let because = part["outlet_because"].as_str().expect("a reason");
        let name = format!(
            "the nearer daylight {}, from which the water runs over",
            nearest["id"].as_str().expect("a name")
        );
        assert!(because.contains(&name), "{because}");
        told += 1;
    }
    assert!(told > 0);
}
