//! Whole runs of `lotshed size`. Expected numbers are worked out by hand from published forms, named beside each.

mod covers;
mod graphical;
mod rainfall;
mod refusals;

use serde_json::Value;
use std::process::{Command, Output};

fn size(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lotshed"))
        .arg("size")
        .args(arguments)
        .output()
        .expect("the program starts")
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("text")
}

/// The figures of a run that must succeed, from its JSON.
fn sheet(arguments: &[&str]) -> Value {
    let output = size(&[arguments, &["--json"]].concat());
    assert_eq!(output.status.code(), Some(0), "{arguments:?}\n{}", said(&output));
    serde_json::from_slice(&output.stdout).expect("standard output holds nothing but JSON")
}

/// A figure in SI.
fn figure(sheet: &Value, name: &str) -> f64 {
    let figures = sheet["figures"].as_array().expect("figures");
    let found = figures.iter().find(|f| f["name"] == name);
    found.and_then(|f| f["value"].as_f64()).expect(name)
}

/// A file of a run's own.
fn file(folder: &tempfile::TempDir, name: &str, text: &str) -> String {
    let path = folder.path().join(name);
    std::fs::write(&path, text).expect("the folder can be written");
    path.to_str().expect("text").to_owned()
}

fn near(found: f64, expected: f64, relative: f64) {
    assert!((found / expected - 1.0).abs() < relative, "{found} is not {expected}");
}

const CFS: f64 = 0.028_316_846_592;
const INCH: f64 = 0.0254;

// Q = C i A exact in feet (hydrology checks 1.1): 0.35 x (4 / 43200) ft/s x 8600 ft2 = 0.278 704 cfs = 125.09 gpm.
#[test]
fn a_pad_on_the_tailgate() {
    let arguments = ["--area", "8600ft2", "--coefficient", "0.35", "--intensity", "4in/h"];
    near(figure(&sheet(&arguments), "peak flow"), 0.278_704 * CFS, 1e-5);
    let output = size(&arguments);
    let text = said(&output);
    assert!(output.stdout.is_empty(), "people's text goes to standard error");
    assert!(text.contains("peak flow: 125 gpm, 0.279 cfs (7.89 L/s)"), "{text}");
    assert!(text.contains("0.35 x 4.00 in/h x 0.1974 ac x 1.00833 = 0.2787 cfs"), "{text}");
    assert!(text.contains("equation 5.28") && text.contains("sanitary sewer"), "{text}");
    let si = said(&size(&[&arguments[..], &["--units", "si"]].concat()));
    assert!(si.contains("peak flow: 7.89 L/s (125 gpm, 0.279 cfs)"), "{si}");
}

// FHWA HDS-2 (2002), example 5.5: 0.32 x 85 mm/h x 43.7 ha / 360 = 3.3018 m3/s.
#[test]
fn the_published_example_of_the_rational_method() {
    let found = sheet(&["--area", "43.7ha", "--coefficient", "0.32", "--intensity", "85mm/h"]);
    near(figure(&found, "peak flow"), 3.3018, 2e-5);
}

// Course note of Texas Tech University, CE 3354: 56.6 / (17 + 8.6)^0.823 = 3.925 in/h (printed 3.92).
#[test]
fn a_curve_at_a_duration() {
    let found = sheet(&["--rain-curve", "56.6/(t+8.6)^0.823 in/h", "--duration", "17min"]);
    near(figure(&found, "rainfall intensity"), 3.925 * INCH / 3600.0, 2e-4);
}

// The time put into HDS-2 equation 2.5 with the intensity that goes with it must give itself: t = 6.9 / i^0.4 (n L /
// s^0.5)^0.6 for the sheet (100 s^0.5 / n = 58.93 ft, n 0.24), and the rest at 6.962 s^0.5 ft/s (NEH 630.15, table 15-3).
#[test]
fn a_way_and_a_curve_give_time_and_intensity_together() {
    let curve = ["--rain-curve", "56.6/(t+8.6)^0.823 in/h"];
    let by_fall = sheet(&[&curve[..], &["--length", "150ft", "--fall", "3ft"]].concat());
    let t_min = figure(&by_fall, "time of concentration") / 60.0;
    let i_mm_h = 25.4 * 56.6 / (t_min + 8.6).powf(0.823);
    let sheet_ft = 100.0 * 0.02_f64.sqrt() / 0.24;
    let sheet_min = 6.9 / i_mm_h.powf(0.4) * (0.24 * sheet_ft * 0.3048 / 0.02_f64.sqrt()).powf(0.6);
    let rest_min = (150.0 - sheet_ft) / (6.962 * 0.02_f64.sqrt()) / 60.0;
    near(t_min, sheet_min + rest_min, 1e-5);
    near(figure(&by_fall, "rainfall intensity"), i_mm_h / 3.6e6, 1e-5);
    let by_slope = sheet(&[&curve[..], &["--length", "150ft", "--slope", "1:50"]].concat());
    near(figure(&by_slope, "time of concentration") / 60.0, t_min, 1e-9);
}

// TR-55 (1986), table 2-1: 2.05 in at 4.5 in and CN 75; by its equation (4.5 - 0.66667)^2 / (4.5 + 2.66667)
// = 2.0504 in, over an acre 2.0504 / 12 x 43560 = 7443 cu ft = 210.76 m3.
#[test]
fn a_storm_gives_depth_and_volume() {
    let found = sheet(&["--rain-depth", "4.5in", "--curve-number", "75", "--area", "1ac"]);
    near(figure(&found, "runoff depth"), 2.0504 * INCH, 5e-5);
    near(figure(&found, "runoff volume"), 210.76, 1e-4);
}

// Manning in feet with 1.4859: 4 in carries 92.5 gpm at 1 % with n 0.012, so 92 gpm takes about 4 in, 125 gpm 6 in
// (users' page: 273 gpm for 6 in smooth, 182 for 6 in corrugated n 0.018; inside diameters differ by up to 5 %).
#[test]
fn flow_and_grade_give_pipes_in_every_notation_of_the_grade() {
    for grade in ["1%", "0.01", "1:100", "0.12in/ft", "1.2in/10ft"] {
        let found = sheet(&["--flow", "125gpm", "--grade", grade]);
        let drain = &found["drain"];
        assert_eq!(drain["smooth_pipe"]["verdict"], "fits");
        assert_eq!(drain["smooth_pipe"]["nominal_in"], 6.0, "{grade}");
        assert_eq!(drain["corrugated_pipe"]["nominal_in"], 6.0, "{grade}");
        assert_eq!(drain["pipes"].as_array().map(Vec::len), Some(14));
        let corrugated = drain["corrugated_pipe"]["capacity_m3_s"].as_f64().unwrap();
        near(corrugated / CFS * 448.831, 182.0, 0.005);
    }
    let text = said(&size(&["--flow", "125gpm", "--grade", "1/8in/ft"]));
    assert!(text.contains("1.04 % (0.125 in per ft, 1.25 in per 10 ft, 1:96)"), "{text}");
}

// V of 3:1 in closed form: y = (Q n / (1.82466 S^0.5))^(3/8) in SI; 0.02 m3/s, n 0.06, 1 %: 0.15197 m.
#[test]
fn the_flow_found_sizes_the_swale() {
    // 0.36 x 200 mm/h x 1 ha / 360 = 0.2 m3/s; a tenth of the area gives 0.02.
    let ground = ["--area", "1000m2", "--coefficient", "0.36", "--intensity", "200mm/h"];
    let found = sheet(&[&ground[..], &["--grade", "1%"]].concat());
    near(found["drain"]["flow_m3_s"].as_f64().unwrap(), 0.02, 1e-9);
    near(found["drain"]["swale"]["depth_m"].as_f64().unwrap(), 0.151_97, 1e-4);
}

// By hand: 3 ft in 150 ft is 2 %, 0.24 in per ft, 2.4 in per 10 ft, 1:50.
#[test]
fn a_fall_over_a_length_is_shown_in_every_notation() {
    let found = sheet(&["--length", "150ft", "--fall", "3ft"]);
    near(figure(&found, "slope of the ground"), 0.02, 1e-12);
    let text = said(&size(&["--slope", "2%"]));
    assert!(text.contains("2.00 % (0.240 in per ft, 2.40 in per 10 ft, 1:50)"), "{text}");
}

#[test]
fn where_a_method_ends_is_a_warning() {
    for (arguments, code) in [
        (
            &["--area", "81ha", "--coefficient", "0.3", "--intensity", "50mm/h"][..],
            "area-beyond-rational-method",
        ),
        (&["--rain-depth", "1.8in", "--curve-number", "75"], "runoff-below-method"),
        (&["--rain-depth", "15in", "--curve-number", "39"], "curve-number-below-method"),
        (&["--intensity", "4in/h", "--length", "10ft", "--slope", "5%"], "least-time-governs"),
        (&["--flow", "100cfs", "--grade", "1%"], "no-pipe-fits"),
    ] {
        let found = sheet(arguments);
        let codes: Vec<&Value> = found["warnings"].as_array().unwrap().iter().map(|w| &w["code"]).collect();
        assert_eq!(codes, [code], "{arguments:?}");
        assert!(said(&size(arguments)).contains(code));
    }
}

// Manning: flow goes as 1 / n, so that the same pipe without holes carries 0.012 / 0.011 as much. `assess` takes the catalogue's two
// figures likewise, the second on the lead, and says which.
#[test]
fn both_roughnesses_of_a_pipe_stand_on_the_sheet_with_their_source() {
    let found = sheet(&["--flow", "125gpm", "--grade", "1%"]);
    let pipes = found["drain"]["pipes"].as_array().expect("pipes");
    let number = |pipe: &Value, field: &str| pipe[field].as_f64().expect("a number");
    for pipe in pipes {
        let [n, solid] = ["manning_n", "solid_n"].map(|field| number(pipe, field));
        near(number(pipe, "solid_capacity_m3_s"), number(pipe, "capacity_m3_s") * n / solid, 1e-9);
    }
    let text = said(&size(&["--flow", "125gpm", "--grade", "1%"]));
    for words in [
        "6 in (150 mm) smooth pipe, perforated, just full",
        "solid n 0.011",
        "n 0.012 perforated: common practice",
    ] {
        assert!(text.contains(words), "{words} in {text}");
    }
}

// Files of one's own are written as ours: what is printed can be given back.
#[test]
fn the_built_in_files_are_printed_as_files_of_ones_own() {
    for (form, words) in [("catalogue", "[[pipe]]"), ("materials", "[stone.57]")] {
        let output = size(&["--tables", form]);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        let text = String::from_utf8(output.stdout).expect("text");
        assert!(text.contains(words) && text.contains("source = "), "{form}");
        assert!(text.parse::<toml::Table>().is_ok(), "{form}");
    }
    let help =
        Command::new(env!("CARGO_BIN_EXE_lotshed")).args(["assess", "--help"]).output().expect("it starts");
    let help = String::from_utf8(help.stdout).expect("text");
    let help = help.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(help.contains("size --tables materials") && help.contains("size --tables catalogue"), "{help}");
}
