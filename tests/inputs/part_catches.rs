//! What each part catches beside what it takes, what its stone holds, and sizes and sums in the plain report; rows of what
//! can't be built, and whose land a swale lies on.

use crate::common::answer::{Answer, close};
use crate::common::lots::{Lots, WGS84};
use crate::common::scene::ground_m2;
use crate::drain::{number, option, run, scene};
use crate::taken_shares;
use serde_json::Value;

const PART: &str = "interception_line.parts.0";

fn report(answer: &Answer, name: &str) -> String {
    std::fs::read_to_string(answer.out.join(name)).expect("the file is there")
}

/// In one line, as sentences are broken anywhere.
fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

// The run-on of S comes down 40 columns of 30 square units, of which the outer two pass beside the line, which ends 0.6 m inside S: of the
// share of the flow that the drain keeps as much of 1140 square units is caught.
#[test]
fn a_part_tells_what_it_catches_and_what_that_takes() {
    let bench = scene();
    bench.write_text("prices.csv", "item,unit,price EUR\nexcavation,m3,30\n");
    let words =
        ["--arrangement", "one-pipe", "--finish", "bare-stone", "--prices", "prices.csv", "--catch", "1"];
    let outcome = run(&bench, &words);
    let said = outcome.stderr.clone();
    let answer = outcome.usable();
    let catches = answer.at(&format!("{PART}.catches"));
    let one = option(&answer, "one-pipe");
    let share = number(one, "share");
    close("caught", number(catches, "run_on_m2"), share * ground_m2(1140.0), 5e-3);
    close(
        "share",
        number(catches, "share_of_run_on"),
        number(catches, "run_on_m2") / ground_m2(1200.0),
        1e-3,
    );
    close("kept", number(catches, "kept_m3_s"), share * answer.number(&format!("{PART}.flow_m3_s")), 1e-9);
    close("line", number(catches, "line_m"), answer.number(&format!("{PART}.length_m")), 1e-12);
    close("lead", number(catches, "lead_m"), answer.number(&format!("{PART}.outlet.lead_m")), 1e-12);
    close("dug", number(catches, "dug_m3"), number(one, "dug_m3"), 1e-12);
    assert!(catches["of_all"].is_null() && catches["price"].is_null(), "{catches}");
    assert!(said.contains("of the run-on, the rain of") && said.contains("of way to the outlet"), "{said}");
    let (text, page) = (plain(&report(&answer, "report.txt")), report(&answer, "report.html"));
    let lead = format!("{:.1} m", number(catches, "lead_m"));
    for found in [&text, &plain(&page)] {
        let takes = found.split("For that it takes ").nth(1).expect("what it takes");
        assert!(takes.split(" dug.").next().is_some_and(|takes| takes.contains(&lead)), "{takes}");
        // What the stone holds, and what runs through it.
        let voids = format!("The voids of its stone hold {:.1} m³", number(one, "stone_voids_m3"));
        assert!(found.contains(&voids) && found.contains("run through it"), "{voids}: {found}");
    }
    // Each pipe with its size, each item with its quantity, and the sum.
    for reach in one["reaches"].as_array().expect("reaches") {
        assert!(text.contains(reach["pipe"].as_str().expect("a name")), "{reach}: {text}");
    }
    for row in answer.list("quantities") {
        assert!(text.contains(&format!("- {}: ", row["item"].as_str().expect("a name"))), "{row}: {text}");
    }
    let total = format!("Total: {:.2} EUR", answer.number("bill.total"));
    assert!(text.contains(&total) && text.contains("Not in it:") && plain(&page).contains(&total), "{total}");
}

#[test]
fn parts_tell_their_share_of_what_all_do() {
    let bench = taken_shares::scene();
    let outcome = taken_shares::run(&bench, &taken_shares::STORM);
    let said = outcome.stderr.clone();
    let answer = outcome.usable();
    let rows: Vec<&Value> =
        answer.list("interception_line.parts").iter().map(|part| &part["catches"]).collect();
    assert_eq!(rows.len(), 2);
    let length = |row: &Value| number(row, "line_m") + number(row, "lead_m");
    let (all_m2, all_m): (f64, f64) =
        (rows.iter().map(|row| number(row, "run_on_m2")).sum(), rows.iter().map(|row| length(row)).sum());
    for (row, taken) in rows.iter().zip(answer.list("interception_line.proof.taken")) {
        close("as in the proof", number(row, "run_on_m2"), number(taken, "run_on_m2"), 1e-12);
        close(
            "of the catch",
            number(&row["of_all"], "run_on_share"),
            number(row, "run_on_m2") / all_m2,
            1e-12,
        );
        close("of the length", number(&row["of_all"], "length_share"), length(row) / all_m, 1e-12);
    }
    assert_eq!(said.matches("; of all parts ").count(), 2, "{said}");
    assert_eq!(plain(&report(&answer, "report.txt")).matches("Of all parts together").count(), 2);
}

// Pipe without holes is none for stone: the rows stand there with why.
#[test]
fn what_cannot_be_worked_out_keeps_its_row() {
    let bench = scene();
    let pipe = "[[pipe]]\nnominal_mm = 400\nnominal_in = 16\ninside_mm = 400\noutside_mm = 420\nwall = \"smooth\"\nmanning_n = 0.012\nsolid_n = 0.011\ninlet_cm2_per_m = 0\npiece_m = 3.0\npiece = \"stick\"\njoint = \"bell\"\nsource = \"made\"\n";
    bench.write_text("pipes.toml", &format!("only = true\n{pipe}"));
    let outcome = run(&bench, &["--catalogue", "pipes.toml"]);
    let said = outcome.stderr.clone();
    let answer = outcome.usable();
    let rows = answer.list(&format!("{PART}.drain.not_possible"));
    let names: Vec<&Value> = rows.iter().map(|row| &row["arrangement"]).collect();
    assert_eq!(names, ["one-pipe", "two-pipes", "swale-over-drain"]);
    let page = plain(&report(&answer, "report.html"));
    for row in rows {
        let why = row["why"].as_str().expect("a reason");
        assert!(why.contains("no pipe with holes"), "{why}");
        let name = row["arrangement"].as_str().expect("a name");
        assert!(page.contains(&format!("<td>{name}</td>")) && page.contains(why), "{name}: {why}");
        assert!(said.contains(&format!("{name} can't be built: {why}")), "{said}");
    }
}

// N lies above S; without it nobody's parcel does.
#[test]
fn a_swale_beyond_the_lot_line_names_whose_land_that_is() {
    let words = ["--arrangement", "swale", "--setback", "0.2m"];
    let bench = scene();
    let with = run(&bench, &words).usable();
    with.must_warn("swale-beyond-lot", &["it lies on parcel N too"]);
    with.must_warn("swale-beyond-lot", &["the written consent of the owner of that land"]);
    let mut lots = Lots::base();
    lots.lots.retain(|lot| lot.id == "S");
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    let without = run(&bench, &words).usable();
    without.must_warn("swale-beyond-lot", &["it lies on land without a parcel too"]);
    without.must_warn("swale-beyond-lot", &["whoever that land without a parcel belongs to"]);
    let said = without.warning("swale-beyond-lot").expect("it is warned");
    assert!(!said.contains("owner"), "{said}");
}
