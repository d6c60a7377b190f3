//! What other programs may rely on: streams, fields, files, the job file.

use std::time::Duration;

use serde_json::Value;

use crate::common::answer::{Files, close};
use crate::common::bench::OUT;
use crate::common::scene::{base_bench, base_numbers};

/// Every path that `summary.json` must have, with the kinds of value that it may hold.
const FIELDS: &[(&str, &str)] = &[
    ("schema_version", "number"),
    ("program.name", "text"),
    ("program.version", "text"),
    ("status", "text"),
    ("warnings", "list"),
    ("warnings.0.code", "text"),
    ("warnings.0.message", "text"),
    ("warnings.0.help", "text"),
    ("lot.id", "text"),
    ("lot.area_m2", "number"),
    ("lot.sheds_to", "list"),
    ("lot.sheds_to.0.area_m2", "number"),
    ("run_on.area_m2", "number"),
    ("run_on.routing", "text"),
    ("run_on.edge_limited_area_m2", "number"),
    ("run_on.single_routing_area_m2", "number"),
    ("contributors.0.id", "text or null"),
    ("contributors.0.kind", "text"),
    ("contributors.0.area_m2", "number"),
    ("contributors.0.straight_area_m2", "number"),
    ("contributors.0.handed_over_area_m2", "number"),
    ("contributors.0.share_of_run_on", "number"),
    ("contributors.0.share_of_parcel", "number or null"),
    ("contributors.0.likelihood", "number or null"),
    ("contributors.0.verdict", "text or null"),
    ("crossings.0.id", "number"),
    ("crossings.0.ring", "number"),
    ("crossings.0.from_m", "number"),
    ("crossings.0.to_m", "number"),
    ("crossings.0.area_m2", "number"),
    ("crossings.0.share_of_run_on", "number"),
    ("crossings.0.complete", "boolean"),
    ("crossings.0.manner", "text"),
    ("crossings.0.width_80_m", "number"),
    ("crossings.0.flow_m3_s", "number or null"),
    ("crossings.0.contributors", "list"),
    ("crossings.0.contributors.0.area_m2", "number"),
    ("design", "object or null"),
    ("interception_line.parts", "list"),
    ("interception_line.parts.0.id", "number"),
    ("interception_line.parts.0.length_m", "number"),
    ("interception_line.outlet", "object or null"),
    ("interception_line.balance_m2", "object or null"),
    ("quantities", "list"),
    ("elevation.cell_m", "number"),
    ("elevation.crs", "text"),
    ("elevation.vertical_unit", "text"),
    ("elevation.vertical_unit_from", "text"),
    ("elevation.holes", "list"),
    ("provenance.inputs.0.path", "text"),
    ("provenance.inputs.0.sha256", "text"),
    ("provenance.settings", "object"),
    ("provenance.libraries", "object"),
];

fn kind(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(_) => "number",
        Value::String(_) => "text",
        Value::Array(_) => "list",
        Value::Object(_) => "object",
    }
}

#[test]
fn the_summary_has_every_field_of_the_contract() {
    let answer = base_bench().assess("base.tif", "base.geojson").lot("S").run().usable();
    let wrong: Vec<String> = FIELDS
        .iter()
        .filter_map(|(path, wanted)| {
            let found = answer.summary.pointer(&format!("/{}", path.replace('.', "/"))).map(kind);
            let right = found.is_some_and(|found| wanted.split(" or ").any(|kind| kind == found));
            (!right).then(|| format!("{path}: {} instead of {wanted}", found.unwrap_or("nothing")))
        })
        .collect();
    assert!(wrong.is_empty(), "summary.json:\n{}", wrong.join("\n"));
    assert_eq!(answer.at("schema_version"), 1);
    assert_eq!(answer.text("program.name"), "lotshed");
    assert_eq!(answer.text("run_on.routing"), "proportional");
    assert_eq!(answer.text("elevation.vertical_unit"), "metre");
}

#[test]
fn the_result_folder_holds_these_files_and_no_others() {
    let answer = base_bench().assess("base.tif", "base.geojson").lot("S").run().usable();
    let found = Files::of(&answer.out);
    let wanted = [
        "report.html",
        "report.txt",
        "summary.json",
        "map.geojson",
        "contributors.geojson",
        "crossings.geojson",
        "contributing-area.geojson",
        "flow-paths.geojson",
        "ponds.geojson",
        "interception-line.geojson",
        "profile.csv",
        "quantities.csv",
        "stakes.csv",
        "stakes.gpx",
        "stakes.kml",
        "drawing.dxf",
        "assessment.gpkg",
    ];
    let missing: Vec<&str> = wanted.into_iter().filter(|name| !found.0.contains_key(*name)).collect();
    assert!(missing.is_empty(), "missing: {missing:?}; there are {:?}", found.0.keys());
    let unknown: Vec<&String> = found.0.keys().filter(|name| !wanted.contains(&name.as_str())).collect();
    assert!(unknown.is_empty(), "without --rasters and --drawings nothing else is written: {unknown:?}");
}

#[test]
fn the_digest_of_an_input_is_its_sha_256() {
    use sha2::Digest;
    let bench = base_bench();
    let answer = bench.assess("base.tif", "base.geojson").lot("S").run().usable();
    for name in ["base.tif", "base.geojson"] {
        let bytes = std::fs::read(bench.path(name)).expect("the input is there");
        let digest = sha2::Sha256::digest(&bytes);
        let hex = |digit: u8| char::from_digit(u32::from(digit), 16).expect("four bits are a digit");
        let text: String = digest.iter().flat_map(|byte| [hex(byte >> 4), hex(byte & 15)]).collect();
        let row = answer.list("provenance.inputs").iter().find(|row| row["path"] == name);
        assert_eq!(row.expect("the input is listed as typed")["sha256"], text, "{name}");
    }
}

#[test]
fn json_puts_the_summary_and_nothing_else_on_standard_output() {
    let bench = base_bench();
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&["--json"]).run().usable();
    let printed: Value = serde_json::from_str(&answer.stdout).expect("standard output is one JSON value");
    assert_eq!(printed, answer.summary, "the summary printed is the summary written");
}

#[test]
fn a_refusal_under_json_prints_no_summary() {
    let bench = base_bench();
    let outcome = bench.assess("missing.tif", "base.geojson").lot("S").with(&["--json"]).run();
    outcome.refused(3, &["missing.tif"]);
    assert_eq!(outcome.stdout, "");
}

#[test]
fn without_json_standard_output_is_empty() {
    let answer = base_bench().assess("base.tif", "base.geojson").lot("S").run().usable();
    assert_eq!(answer.stdout, "");
    assert!(!answer.stderr.contains('\r'), "no progress bar where nobody watches:\n{}", answer.stderr);
    assert!(!answer.stderr.contains('\u{1b}'), "no colours where nobody watches:\n{}", answer.stderr);
}

#[test]
fn quiet_says_nothing() {
    let answer = base_bench().assess("base.tif", "base.geojson").lot("S").with(&["--quiet"]).run().usable();
    assert_eq!(answer.stderr, "");
}

#[test]
fn two_runs_give_the_same_bytes_wherever_they_go_to() {
    let bench = base_bench();
    let first = bench.assess("base.tif", "base.geojson").lot("S").with(&["--rasters", "--drawings"]).run();
    assert_eq!(first.code, Some(0), "{}", first.stderr);
    // Long enough for a clock's second to change.
    std::thread::sleep(Duration::from_millis(1100));
    let again = ["--rasters", "--drawings", "--threads", "3"];
    std::fs::rename(bench.path(OUT), bench.path("kept")).expect("the first result can be moved");
    let second = bench.assess("base.tif", "base.geojson").lot("S").with(&again).out("elsewhere").run();
    assert_eq!(second.code, Some(0), "{}", second.stderr);
    Files::of(&bench.path("kept")).same_as(&second.files(), "the second run");
}

#[test]
fn no_file_tells_the_time_of_day_or_where_it_was_written() {
    let bench = base_bench();
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&["--threads", "2"]).run().usable();
    for (name, bytes) in Files::of(&answer.out).0 {
        // A GeoPackage must have a date: this one is none.
        let text = String::from_utf8_lossy(&bytes).replace("1970-01-01T00:00:00.000Z", "");
        assert!(!text.contains(OUT), "{name} names the result folder");
        assert!(!has_time_of_day(&text), "{name} holds a time of day");
    }
    let settings = answer.at("provenance.settings").to_string();
    for word in ["threads", "\"out\"", "memory"] {
        assert!(!settings.contains(word), "provenance.settings must not hold {word}: {settings}");
    }
}

/// Two digits, colon, two digits, colon, two digits.
fn has_time_of_day(text: &str) -> bool {
    text.as_bytes().windows(8).any(|part| {
        part.iter().enumerate().all(|(place, byte)| match place {
            2 | 5 => *byte == b':',
            _ => byte.is_ascii_digit(),
        })
    })
}

/// A job for the base scene.
const JOB: &str = "elevation = [\"base.tif\"]\nparcels = \"base.geojson\"\nlot = \"S\"\nsetback = \"2ft\"\n\
                   elevation-unit = \"m\"\n";

#[test]
fn a_job_file_gives_the_same_bytes_as_the_same_flags() {
    let bench = base_bench();
    bench.write_text("job.toml", JOB);
    let by_file = bench.program(&["assess", "job.toml", "--out", OUT]).run();
    assert_eq!(by_file.code, Some(0), "{}", by_file.stderr);
    let flags = ["--setback", "2ft", "--elevation-unit", "m"];
    let by_flags = bench.assess("base.tif", "base.geojson").lot("S").with(&flags).out("flags").run();
    assert_eq!(by_flags.code, Some(0), "{}", by_flags.stderr);
    by_file.files().same_as(&by_flags.files(), "job file and flags");
}

#[test]
fn a_flag_wins_over_the_job_file() {
    let bench = base_bench();
    bench.write_text("job.toml", &JOB.replace("lot = \"S\"", "lot = \"N\""));
    let answer = bench.program(&["assess", "job.toml", "--lot", "S", "--out", OUT]).run().usable();
    assert_eq!(answer.text("lot.id"), "S");
    base_numbers(&answer);
}

#[test]
fn the_job_file_may_name_the_result_folder() {
    let bench = base_bench();
    bench.write_text("job.toml", &format!("{JOB}out = \"{OUT}\"\n"));
    base_numbers(&bench.program(&["assess", "job.toml"]).run().usable());
}

#[test]
fn an_unknown_key_of_a_job_file_is_wrong_usage() {
    let bench = base_bench();
    bench.write_text("job.toml", &format!("{JOB}set-back = \"3ft\"\n"));
    bench.program(&["assess", "job.toml", "--out", OUT]).run().refused(2, &["job.toml", "set-back"]);
}

#[test]
fn a_value_of_a_job_file_is_checked_like_a_flag() {
    let bench = base_bench();
    bench.write_text("job.toml", &JOB.replace("2ft", "2cubits"));
    bench.program(&["assess", "job.toml", "--out", OUT]).run().refused(2, &["setback", "cubits"]);
}

#[test]
fn lengths_take_feet_and_the_setting_is_kept_in_metres() {
    // 2 ft are 0.6096 m by definition of the international foot.
    let bench = base_bench();
    let feet = bench.assess("base.tif", "base.geojson").lot("S").with(&["--setback", "2ft"]).run().usable();
    let more = ["--setback", "0.6096"];
    let metres = bench.assess("base.tif", "base.geojson").lot("S").with(&more).out("metres").run().usable();
    let length = |answer: &crate::common::answer::Answer| answer.sum("interception_line.parts", "length_m");
    close("length_m", length(&feet), length(&metres), 1e-9);
    assert_eq!(feet.at("provenance.settings"), metres.at("provenance.settings"));
}
