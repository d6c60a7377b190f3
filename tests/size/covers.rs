//! Several covers: coefficient and curve number of each, then one answer.

use super::{CFS, INCH, figure, file, near, said, sheet, size};

const ROOF_AND_LAWN: [&str; 6] =
    ["--cover", "roof=1800ft2", "--cover", "lawn-good=6800ft2", "--soil-group", "C"];

/// The covers of FHWA HDS-2 (2002), example 5.5, as a table of the user's own.
const MEMPHIS: &str = "\
[sources]
book = \"HDS-2, example 5.5\"
[class.green]
description = \"park\"
coefficient = 0.20
from = [\"book\"]
[class.sealed]
description = \"streets and parking\"
coefficient = 0.95
from = [\"book\"]
[class.homes]
description = \"homes\"
coefficient = 0.40
from = [\"book\"]
";

// By hand, with C 0.85 for roofs and 0.21 for a lawn on heavy soil that falls 2 to 7 % (Marshall County, table 1):
// (0.85 x 1800 + 0.21 x 6800) / 8600 = 2958 / 8600 = 0.343 953; Q = 2958 ft2 x 4 / 43200 ft/s = 0.273 889 cfs.
#[test]
fn roof_and_lawn_have_one_coefficient() {
    let arguments =
        [&ROOF_AND_LAWN[..], &["--slope", "3%", "--intensity", "4in/h", "--grade", "1%"]].concat();
    let found = sheet(&arguments);
    near(figure(&found, "composite runoff coefficient"), 0.343_953, 1e-5);
    near(figure(&found, "peak flow"), 0.273_889 * CFS, 1e-5);
    near(found["drain"]["flow_m3_s"].as_f64().unwrap(), 0.273_889 * CFS, 1e-5);
    let text = said(&size(&arguments));
    assert!(text.contains("(0.85 x 1800 + 0.21 x 6800) / 8600 = 0.344, A in sq ft"), "{text}");
    assert!(text.contains("runoff coefficient of lawn-good on soil C that falls 3.00 %: 0.21"), "{text}");
    assert!(text.contains("source: Marshall County") && text.contains("example 5.5"), "{text}");
    // 1800 ft2 = 167.225 m2, 6800 ft2 = 631.741 m2, 8600 ft2 = 798.966 m2.
    let si = said(&size(&[&arguments[..], &["--units", "si"]].concat()));
    assert!(si.contains("(0.85 x 167.2 + 0.21 x 631.7) / 799.0 = 0.344, A in m2"), "{si}");
}

// The same lawn where it falls 1 % (0.16) and 8 % (0.30), and on sand (0.12 at 3 %); slope by fall over length too.
#[test]
fn slope_and_soil_choose_the_lawns_coefficient() {
    for (soil, slope, expected) in [
        ("C", &["--slope", "1%"][..], 0.16),
        ("D", &["--slope", "8%"], 0.30),
        ("B", &["--slope", "3%"], 0.12),
        ("C", &["--length", "100ft", "--fall", "3ft"], 0.21),
    ] {
        let lawn = ["--cover", "lawn-good=1ac", "--intensity", "4in/h", "--soil-group", soil];
        let found = sheet(&[&lawn[..], slope].concat());
        // An acre is 43560 ft2, so that 4 in/h on all of it are 4.033 33 cfs.
        near(figure(&found, "peak flow"), expected * 4.033_333 * CFS, 1e-5);
        assert!(!said(&size(&[&lawn[..], slope].concat())).contains("composite"), "one cover is no mixture");
    }
}

// Factor of 100 years: 1.25 (Dhakal and others 2013, table 3): 0.21 x 1.25 = 0.2625; 0.85 x 1.25 = 1.0625, at most 1. So
// (1 x 1800 + 0.2625 x 6800) ft2 = 3585 ft2, x 4 / 43200 = 0.331 944 cfs. Of 10 years: 1.
#[test]
fn rare_storms_raise_the_coefficients_of_the_table() {
    let storm = |years| {
        [&ROOF_AND_LAWN[..], &["--slope", "3%", "--intensity", "4in/h", "--return-period", years]].concat()
    };
    near(figure(&sheet(&storm("100")), "peak flow"), 0.331_944 * CFS, 1e-5);
    near(figure(&sheet(&storm("10")), "peak flow"), 0.273_889 * CFS, 1e-5);
    let ordinary = said(&size(&storm("10")));
    assert!(
        ordinary.contains("C = 0.21, for storms up to 10 years") && !ordinary.contains("Dhakal"),
        "{ordinary}"
    );
    let text = said(&size(&storm("100")));
    assert!(text.contains("C = 0.21 x 1.25 = 0.2625 in the 100-year storm"), "{text}");
    assert!(text.contains("C = 0.85 x 1.25 = 1.0625, of which no more than 1 counts"), "{text}");
    assert!(text.contains("Dhakal"), "{text}");
}

// FHWA HDS-2 (2002), example 5.5, read in the book: C 0.32, 3.3 m3/s at 85 mm/h. Unrounded: (0.20 x 21.8 + 0.95 x 1.5 + 0.40 x
// 20.4) / 43.7 = 13.945 / 43.7 = 0.319 11, and 13.945 ha x 85 mm/h / 360 = 3.292 57 m3/s.
#[test]
fn the_published_example_of_a_composite() {
    let folder = tempfile::tempdir().unwrap();
    let table = file(&folder, "memphis.toml", MEMPHIS);
    let covers = ["--cover", "green=21.8ha", "--cover", "sealed=1.5ha", "--cover", "homes=20.4ha"];
    let found = sheet(&[&covers[..], &["--cover-table", &table, "--intensity", "85mm/h"]].concat());
    let coefficient = figure(&found, "composite runoff coefficient");
    assert!((coefficient - 0.32).abs() < 0.005, "{coefficient}");
    near(coefficient, 0.319_11, 2e-5);
    let flow = figure(&found, "peak flow");
    assert!((flow - 3.3).abs() < 0.05, "{flow}");
    near(flow, 3.292_57, 1e-5);
    assert!(
        said(&size(&[&covers[..], &["--cover-table", &table, "--intensity", "85mm/h"]].concat()))
            .contains("source: HDS-2, example 5.5")
    );
}

// TR-55 (1986), equations 2-3 and 2-4, tables 2-2a: roof CN 98, S 0.204 082 in, Q 4.264 03 in of 4.5 in; lawn on C CN 74,
// S 3.513 514 in, Q 1.972 35 in. 4.264 03 / 12 x 1800 = 639.60 and 1.972 35 / 12 x 6800 = 1117.66, together 1757.27 cu ft. By a mean
// curve number of 79.02 it would be 1704.
#[test]
fn each_cover_sheds_by_its_own_curve_number() {
    let arguments = [&ROOF_AND_LAWN[..], &["--rain-depth", "4.5in"]].concat();
    let found = sheet(&arguments);
    near(figure(&found, "runoff depth of roof"), 4.264_03 * INCH, 2e-5);
    near(figure(&found, "runoff depth of lawn-good on soil C"), 1.972_35 * INCH, 2e-5);
    near(figure(&found, "runoff volume"), 1757.27 * CFS, 2e-5);
    let text = said(&size(&arguments));
    assert!(text.contains("V = 639.6 + 1117.7 = 1757.3 cu ft"), "{text}");
    assert!(text.contains("table 2-2a") && text.contains("example 10-5"), "{text}");
    assert!(!text.contains("peak flow"), "nothing was said of a peak's rain: {text}");
}

// A flow given, covers and a storm: a pipe and a volume.
#[test]
fn covers_may_give_the_volume_beside_a_flow_given() {
    let storm = ["--rain-depth", "4.5in", "--flow", "125gpm", "--grade", "1%"];
    let found = sheet(&[&ROOF_AND_LAWN[..], &storm].concat());
    near(figure(&found, "runoff volume"), 1757.27 * CFS, 2e-5);
    assert_eq!(found["drain"]["smooth_pipe"]["nominal_in"], 6.0);
}

// HDS-2 equation 2.5 with n 0.011 of paving (TR-55 table 3-1) over 30.48 m at 2 % in 101.6 mm/h; 20.328 ft/s for the shallow 50 ft (NEH
// 630.15, table 15-3). Lawn would take n 0.24.
#[test]
fn the_way_runs_over_the_largest_cover() {
    let way = ["--intensity", "4in/h", "--length", "150ft", "--slope", "2%", "--soil-group", "C"];
    let covers = ["--cover", "lawn-good=3000ft2", "--cover", "asphalt=5000ft2"];
    let found = sheet(&[&way[..], &covers].concat());
    let sheet_s = 60.0 * 6.9 / 101.6_f64.powf(0.4) * (0.011 * 30.48 / 0.02_f64.sqrt()).powf(0.6);
    near(
        figure(&found, "time of sheet flow, 100.0 ft (30.5 m) of asphalt, the largest cover"),
        sheet_s,
        1e-9,
    );
    let name = "time of shallow flow over paving, 50.0 ft (15.2 m) of asphalt, the largest cover";
    near(figure(&found, name), 50.0 / (20.328 * 0.02_f64.sqrt()), 1e-9);
    let one = sheet(&[&way[..], &["--cover", "lawn-good=3000ft2"]].concat());
    // L = 100 x s^0.5 / n = 58.9 ft, so n L / s^0.5 = 100 ft = 30.48 m.
    let sheet_s = 60.0 * 6.9 / 101.6_f64.powf(0.4) * 30.48_f64.powf(0.6);
    near(figure(&one, "time of sheet flow, 58.9 ft (18.0 m) of lawn-good"), sheet_s, 1e-9);
}

#[test]
fn a_cover_without_figures_for_times_is_taken_as_a_lawn_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let table = file(&folder, "memphis.toml", MEMPHIS);
    let covers = ["--cover", "green=1ac", "--cover-table", &table];
    let way = ["--intensity", "4in/h", "--length", "50ft", "--slope", "2%"];
    let text = said(&size(&[&covers[..], &way].concat()));
    assert!(text.contains("of green, taken as a lawn where the table has no times"), "{text}");
}

#[test]
fn the_table_is_printed_with_the_users_in_it() {
    let folder = tempfile::tempdir().unwrap();
    let table = file(&folder, "memphis.toml", MEMPHIS);
    let text = |arguments: &[&str]| {
        let output = size(arguments);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        String::from_utf8(output.stdout).expect("text")
    };
    let merged = text(&["--tables", "--cover-table", &table]);
    assert!(merged.contains("lawn-good") && merged.contains("streets and parking"), "{merged}");
    assert!(merged.contains("HDS-2, example 5.5"), "{merged}");
    assert!(!text(&["--tables"]).contains("streets and parking"));
}

// HDS-2 equations 5.30 and 5.31 by hand. The curve gives 1000 / (5 + 10)^0.8 = 114.585 mm/h in 5 min. Way: 150 ft of lawn at 0.5 %;
// its time t comes from the sheet, so the slow lawn has joined by 5 / t of it: (0.16 x 600 m2 x 5 / t + 0.82 x 400 m2) x i.
#[test]
fn a_small_fast_yard_may_give_more_than_all_of_the_ground() {
    let covers = ["--cover", "lawn-good=600m2", "--cover", "asphalt=400m2", "--soil-group", "C"];
    let way = ["--length", "150ft", "--slope", "0.5%", "--rain-curve", "1000/(t+10)^0.8 mm/h"];
    let found = sheet(&[&covers[..], &way].concat());
    let minutes = figure(&found, "time of concentration") / 60.0;
    assert!(minutes > 13.0, "{minutes}");
    let mm_per_h = 114.585;
    let early = (0.16 * 600.0 * 5.0 / minutes + 0.82 * 400.0) * mm_per_h / 3.6e6;
    near(figure(&found, "peak before all of the ground has joined in"), early, 1e-5);
    assert!(early > figure(&found, "peak flow"));
    let with_drain = sheet(&[&covers[..], &way, &["--grade", "1%"]].concat());
    near(with_drain["drain"]["flow_m3_s"].as_f64().unwrap(), early, 1e-5);
    // Where the way is the paving's, all of it has joined in only at its end.
    let paved = ["--cover", "lawn-good=300m2", "--cover", "asphalt=1ha", "--soil-group", "C"];
    let long = ["--length", "1700ft", "--slope", "1%", "--rain-curve", "1000/(t+10)^0.8 mm/h"];
    assert!(!said(&size(&[&paved[..], &long].concat())).contains("joined in"));
    // Steady rain waits for all of it.
    let steady = [&covers[..], &way[..4], &["--intensity", "100mm/h"]].concat();
    assert!(!said(&size(&steady)).contains("joined in"));
}

// The printed factors end at 100 years.
#[test]
fn a_storm_rarer_than_the_factors_is_said() {
    let rare = ["--slope", "3%", "--intensity", "4in/h", "--return-period", "500"];
    let text = said(&size(&[&ROOF_AND_LAWN[..], &rare].concat()));
    assert!(text.contains("return-period-beyond-factors") && text.contains("that of 100"), "{text}");
}
