//! With `--units us` every measure on the screen and in the checklist has US units first, and SI in brackets;
//! and the other way round.

use super::drain::{number, option, scene};
use crate::common::answer::Answer;
use crate::common::bench::Bench;
use crate::common::lots::At;
use crate::common::scene::{NORTH, WEST};

const SI: [&str; 11] = ["m", "m²", "m³", "mm", "cm", "km", "L/s", "mm/h", "m/s", "m2", "m3"];
const US: [&str; 12] = ["ft", "in", "sq", "cu", "gpm", "cfs", "ft/s", "in/h", "ft2", "yd3", "short", "miles"];

/// A text without what stands in brackets.
fn outside_brackets(line: &str) -> String {
    let mut depth = 0;
    let mut kept = String::new();
    for letter in line.chars() {
        match letter {
            '(' => depth += 1,
            ')' => depth -= 1,
            _ if depth == 0 => kept.push(letter),
            _ => {}
        }
    }
    kept
}

/// Measures in these units, of all lines: a number, and one of the units.
fn measures(text: &str, units: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for line in text.lines() {
        let outside = outside_brackets(line);
        let words: Vec<&str> = outside.split_whitespace().collect();
        for pair in words.windows(2) {
            let unit = pair[1].trim_end_matches([',', ';', ':', '.']);
            if units.contains(&unit) && pair[0].ends_with(|c: char| c.is_ascii_digit()) {
                found.push(format!("{} {unit}: {line}", pair[0]));
            }
        }
    }
    found
}

/// What is said of one arrangement: the table without warnings, and the checklist. Sizes of pipe are trade
/// names in inches, an opening of fabric is told in millimetres everywhere, and stone by its number.
fn said(bench: &Bench, units: &str, arrangement: &str) -> String {
    let words = ["--inlets", "inlets.csv", "--intensity", "100mm/h", "--coefficient", "0.35", "--overwrite"];
    let outcome = bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&words)
        .with(&["--units", units, "--arrangement", arrangement])
        .run();
    let table =
        outcome.stderr.lines().skip_while(|line| !line.starts_with("Lot S")).collect::<Vec<_>>().join("\n");
    let answer = outcome.usable();
    let list = std::fs::read_to_string(answer.out.join("specification.txt")).expect("the file is there");
    let list: Vec<&str> = list.lines().filter(|line| !line.starts_with("[ ] fabric")).collect();
    assert!(table.len() > 2000 && list.len() > 20, "{table}");
    // "4 in (100 mm) smooth" is a pipe's name.
    format!("{table}\n{}", list.join("\n")).replace(" in (", " nominal (")
}

#[test]
fn the_units_asked_for_stand_first_everywhere() {
    let bench = scene();
    for arrangement in ["one-pipe", "swale-over-drain", "basins"] {
        let us = said(&bench, "us", arrangement);
        assert_eq!(measures(&us, &SI), Vec::<String>::new());
        assert!(measures(&us, &US).len() > 40, "{us}");
        let si = said(&bench, "si", arrangement);
        assert_eq!(measures(&si, &US), Vec::<String>::new());
        assert!(measures(&si, &SI).len() > 40, "{si}");
    }
}

fn run(bench: &Bench, words: &[&str]) -> (String, Answer) {
    let storm = ["--inlets", "inlets.csv", "--intensity", "100mm/h", "--coefficient", "0.35", "--overwrite"];
    let outcome = bench.assess("base.tif", "base.geojson").lot("S").with(&storm).with(words).run();
    (outcome.stderr.clone(), outcome.usable())
}

// The files are SI whatever the screen has.
#[test]
fn the_summary_does_not_go_with_the_units() {
    let bench = scene();
    let (_, us) = run(&bench, &["--units", "us", "--arrangement", "one-pipe"]);
    let read = |answer: &Answer| std::fs::read(answer.out.join("summary.json")).expect("the file is there");
    let before = read(&us);
    let (_, si) = run(&bench, &["--units", "si", "--arrangement", "one-pipe"]);
    assert!(before == read(&si), "summary.json is the same");
    assert!(option(&si, "one-pipe")["section"].as_str().expect("words").contains("m (1."));
}

#[test]
fn an_id_that_begins_with_its_kind_is_named_once() {
    let bench = scene();
    let At { x, y } = At { x: WEST + 66.5, y: NORTH - 55.5 };
    bench.write_text("inlets.csv", &format!("id,x,y,invert\ninlet 7,{x},{y},97.5\n"));
    let (screen, answer) = run(&bench, &[]);
    assert!(screen.contains("storm inlet 7") && !screen.contains("inlet inlet"), "{screen}");
    assert_eq!(answer.text("interception_line.parts.0.outlet.id"), "inlet 7");
}

// Every amount of money has its currency, where the list names one.
#[test]
fn prices_have_their_currency() {
    let bench = scene();
    // A list that prices every item of the arrangement, so that arrangements have a price.
    let (_, plain) = run(&bench, &["--arrangement", "one-pipe"]);
    let list = |currency: &str| {
        let rows = plain.list("quantities").iter().filter(|row| row["item"] != "truckload");
        let lines = rows.map(|row| {
            let words = [&row["item"], &row["unit"]].map(|word| word.as_str().expect("a word"));
            format!("{},{},10", words[0], words[1])
        });
        let head = format!("item,unit,price{currency}");
        format!("{}\n", std::iter::once(head).chain(lines).collect::<Vec<_>>().join("\n"))
    };
    bench.write_text("prices.csv", &list(" EUR"));
    let (screen, answer) = run(&bench, &["--arrangement", "one-pipe", "--prices", "prices.csv"]);
    assert!(number(option(&answer, "one-pipe"), "price") > 0.0);
    let money: Vec<&str> = screen.lines().filter(|line| line.contains("by the price list")).collect();
    assert!(
        !money.is_empty() && money.iter().all(|line| line.contains(" EUR by the price list")),
        "{screen}"
    );
    assert!(screen.lines().any(|line| line.starts_with("  Total: ") && line.ends_with(" EUR")), "{screen}");
    bench.write_text("prices.csv", &list(""));
    let (screen, _) = run(&bench, &["--arrangement", "one-pipe", "--prices", "prices.csv"]);
    assert!(
        screen.lines().any(|line| line.starts_with("  Total: ") && line.ends_with(char::is_numeric)),
        "{screen}"
    );
}

// One share, one wording: to a tenth in the warning as on the screen.
#[test]
fn a_share_reads_the_same_in_every_place() {
    let bench = scene();
    let (screen, answer) = run(&bench, &["--arrangement", "one-pipe", "--finish", "irrigated-lawn"]);
    let share = number(option(&answer, "one-pipe"), "share");
    let words = format!("{:.1} %", share * 100.0);
    answer.must_warn("drain-carries-part", &[&format!("keeps {words} of its flow")]);
    assert!(screen.contains(&format!("carries {words}")), "{words}: {screen}");
    assert!(screen.contains(&format!("part 1 can carry {words} of what crosses it")), "{words}: {screen}");
}

// What stands on the map in words goes with the units, as the screen does; its numbers are SI either way.
#[test]
fn the_map_says_the_units_asked_for_first() {
    let bench = scene();
    for (units, other) in [("us", &SI[..]), ("si", &US[..])] {
        let (_, answer) = run(&bench, &["--units", units, "--arrangement", "one-pipe"]);
        let map = answer.geojson("map.geojson");
        let mut words = 0;
        for feature in map["features"].as_array().expect("features") {
            for field in ["title", "description"] {
                let Some(text) = feature["properties"][field].as_str() else { continue };
                let text = text.replace(" in (", " nominal (");
                assert_eq!(measures(&text, other), Vec::<String>::new(), "{units}");
                words += measures(&text, &[&SI[..], &US[..]].concat()).len();
            }
        }
        assert!(words > 5, "{words} measures on the map");
    }
}
