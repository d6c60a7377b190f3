//! What doesn't fit together, or has no part in an answer, is refused by name.

use super::{file, said, size};

fn refused(arguments: &[&str], named: &str) {
    let output = size(arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}\n{}", said(&output));
    assert!(said(&output).contains(named), "{arguments:?}\n{}", said(&output));
    assert!(output.stdout.is_empty());
}

#[test]
fn wrong_usage_is_refused_and_names_what_is_missing() {
    let curve = "56.6/(t+8.6)^0.823 in/h";
    for (arguments, named) in [
        (&[][..], "nothing to work out"),
        (&["--units", "si"], "nothing to work out"),
        (&["--area", "1ac"], "--coefficient"),
        (&["--area", "1ac", "--coefficient", "0.3"], "--intensity"),
        (&["--area", "1ac", "--intensity", "4in/h"], "--coefficient is missing"),
        (&["--coefficient", "0.3", "--intensity", "4in/h"], "--area is missing"),
        (&["--area", "0ft2", "--coefficient", "0.3", "--intensity", "4in/h"], "--area: give more than 0"),
        (&["--area", "-5ft2", "--coefficient", "0.3", "--intensity", "4in/h"], "--area"),
        (&["--area", "1ac", "--coefficient", "1.3", "--intensity", "4in/h"], "--coefficient"),
        (&["--area", "1ac", "--coefficient", "0.3", "--intensity", "4"], "in/h"),
        (&["--area", "1ac", "--coefficient", "0.3", "--intensity", "0in/h"], "--intensity: give more"),
        (&["--intensity", "4in/h", "--rain-curve", curve], "two ways"),
        (&["--intensity", "4in/h", "--duration", "5min"], "--duration"),
        (&["--rain-curve", curve], "--duration is missing"),
        (&["--rain-curve", curve, "--duration", "0min"], "--duration: give more"),
        (&["--rain-curve", curve, "--duration", "9min", "--length", "9m", "--fall", "1m"], "two ways"),
        (&["--duration", "9min"], "--rain-curve or --rainfall is missing"),
        (&["--length", "150ft"], "--fall or --slope is missing"),
        (&["--fall", "3ft"], "--length is missing"),
        (&["--length", "150ft", "--slope", "2%"], "--intensity, --rain-curve or --rainfall is missing"),
        (&["--intensity", "4in/h"], "--area and --coefficient, or --cover, are missing"),
        (&["--flow", "9gpm", "--grade", "1%", "--area", "1ac"], "--area has no use"),
        (&["--length", "150ft", "--fall", "3ft", "--slope", "2%"], "two ways"),
        (&["--intensity", "4in/h", "--length", "3ft", "--fall", "30ft"], "--fall by --length"),
        (
            &["--area", "1ac", "--coefficient", "0.3", "--intensity", "4in/h", "--least-time", "10min"],
            "--least-time",
        ),
        (&["--flow", "125gpm"], "--grade is missing"),
        (&["--flow", "125", "--grade", "1%"], "gpm, cfs"),
        (&["--flow", "0gpm", "--grade", "1%"], "--flow: give more"),
        (&["--flow", "9gpm", "--grade", "1%", "--coefficient", "0.3", "--area", "1ac"], "two ways"),
        (&["--flow", "9gpm", "--grade", "1%", "--intensity", "4in/h"], "two ways"),
        (&["--flow", "9gpm", "--grade", "0%"], "above 0"),
        (&["--flow", "9gpm", "--grade", "1"], "no grade of a drain"),
        (&["--flow", "9gpm", "--grade", "steep"], "1/8in/ft"),
        (&["--rain-depth", "4in"], "--curve-number or --cover is missing"),
        (&["--curve-number", "75"], "--rain-depth is missing"),
        (&["--rain-depth", "4in", "--curve-number", "101"], "--curve-number"),
    ] {
        refused(arguments, named);
    }
}

const LAWN: [&str; 2] = ["--cover", "lawn-good=1ac"];
const ROOF: [&str; 2] = ["--cover", "roof=1ac"];
const RAIN: [&str; 2] = ["--intensity", "4in/h"];

#[test]
fn covers_are_refused_where_something_is_missing_or_said_twice() {
    for (covers, more, named) in [
        (&ROOF[..], &[][..], "--intensity, --rain-curve or --rainfall is missing (for the flow of --cover)"),
        (&ROOF, &["--slope", "2%"], "--rain-depth (for its volume)"),
        (&["--cover", "roof"], &RAIN, "as roof=1800ft2"),
        (&["--cover", "roof=0ft2"], &RAIN, "more than 0"),
        (&["--cover", "roof=-5ft2"], &RAIN, "--cover"),
        (&["--cover", "roof=5acres"], &RAIN, "m2, ft2, ac, ha"),
        (&["--cover", "ruf=1ac"], &RAIN, "no cover class \"ruf\""),
        (&["--cover", "roof=1ac", "--cover", "roof=2ac"], &RAIN, "given twice"),
        (
            &LAWN,
            &RAIN,
            "--soil-group is missing, and --slope, or --length with --fall: the runoff coefficient",
        ),
        (&LAWN, &["--intensity", "4in/h", "--slope", "2%"], "--soil-group is missing"),
        (
            &LAWN,
            &["--intensity", "4in/h", "--soil-group", "C"],
            "--slope is missing, or --length with --fall",
        ),
        (&LAWN, &["--rain-depth", "4in"], "--soil-group is missing: the curve number of lawn-good"),
        (&LAWN, &["--rain-depth", "4in", "--soil-group", "E"], "A, B, C or D"),
        (&["--cover", "gravel-road=1ac"], &RAIN, "no runoff coefficient for gravel-road"),
        (&ROOF, &["--intensity", "4in/h", "--area", "1ac"], "--cover and --area say"),
        (&ROOF, &["--intensity", "4in/h", "--coefficient", "0.3"], "--cover and --coefficient say"),
        (&ROOF, &["--rain-depth", "4in", "--curve-number", "75"], "--cover and --curve-number say"),
        (&ROOF, &["--flow", "9gpm", "--grade", "1%"], "--cover has no use beside --flow"),
        (&ROOF, &["--flow", "9gpm", "--grade", "1%", "--intensity", "4in/h"], "two ways"),
        (&ROOF, &["--intensity", "4in/h", "--soil-group", "C"], "--soil-group has no use"),
        (&ROOF, &["--rain-depth", "4in", "--soil-group", "C"], "--soil-group has no use"),
        (&ROOF, &["--rain-depth", "4in", "--return-period", "25"], "--return-period has no use"),
        (&ROOF, &["--intensity", "4in/h", "--least-time", "9min"], "--least-time"),
        (&ROOF, &["--rain-depth", "4in", "--length", "9ft", "--slope", "2%"], "--rainfall is missing"),
    ] {
        refused(&[covers, more].concat(), named);
    }
}

#[test]
fn options_that_belong_to_covers_have_no_use_alone() {
    let folder = tempfile::tempdir().unwrap();
    let table = file(&folder, "own.toml", "");
    let flow = ["--area", "1ac", "--coefficient", "0.3", "--intensity", "4in/h"];
    for (more, named) in [
        (&["--soil-group", "C"][..], "--soil-group has no use without --cover"),
        (&["--cover-table", &table], "--cover-table has no use without --cover"),
        (&["--return-period", "25"], "a --coefficient stays as typed"),
    ] {
        refused(&[&flow[..], more].concat(), named);
    }
    refused(&["--slope", "2%", "--return-period", "0"], "--return-period");
    for more in [&["--quiet"][..], &["--json"], &["--units", "si"], &["--slope", "2%"], &ROOF] {
        refused(&[&["--tables"][..], more].concat(), "--tables prints a table and nothing else");
    }
}

// A number missing from the user's cover table; its curve number is asked for.
#[test]
fn a_curve_number_that_the_table_lacks_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let own = "[class.chips]\ndescription = \"chips\"\ncoefficient = 0.5\n";
    let table = file(&folder, "own.toml", own);
    let chips = ["--cover", "chips=1ac", "--cover-table", &table];
    refused(&[&chips[..], &["--rain-depth", "4in"]].concat(), "no curve number for chips");
    let missing = size(&["--cover", "roof=1ac", "--intensity", "4in/h", "--cover-table", "nowhere.toml"]);
    assert_eq!(missing.status.code(), Some(3), "{}", said(&missing));
}

#[test]
fn a_rainfall_table_is_refused_where_something_is_missing_or_said_twice() {
    let folder = tempfile::tempdir().unwrap();
    let rain = file(&folder, "rain.csv", "depth mm,2 yr,10 yr\n10 min,14,20\n60 min,30,45\n");
    for (more, named) in [
        (&[][..], "--rainfall: --duration is missing"),
        (&["--intensity", "4in/h"], "--intensity and --rainfall say the same in two ways"),
        (&["--intensity", "4in/h", "--rain-curve", "9/(t+1)^1 in/h"], "in three ways"),
        (&["--duration", "2h"], "--duration: the rainfall table reaches"),
        (&["--duration", "10min", "--return-period", "50"], "--return-period: the rainfall table has"),
        (&["--duration", "10min", "--length", "9ft", "--slope", "2%"], "how long the rain lasts in two ways"),
        (&["--duration", "10min", "--area", "1ac"], "--coefficient is missing"),
        (&["--duration", "10min", "--flow", "9gpm", "--grade", "1%"], "two ways"),
        (&["--area", "1ac", "--coefficient", "0.3"], "--duration is missing"),
        (&["--cover", "roof=1ac"], "for a volume alone: --rain-depth"),
        (&["--curve-number", "75"], "the rainfall table has no 24-hour rain"),
        (&["--curve-number", "75", "--rain-depth", "4in"], "--rainfall: --duration is missing"),
    ] {
        refused(&[&["--rainfall", &rain][..], more].concat(), named);
    }
}
