//! The worked example of `docs/methods.md`: worked out here once more from its own rows, by the printed equations, and held
//! against what the program says of the demo. Every figure to its last printed digit.

use serde_json::Value;
use std::path::Path;
use std::process::Command;

/// Depths of the demo's 10-year rain by minutes, mm: `src/demo/files/rainfall.csv`.
const TEN_YEARS: [(f64, f64); 8] = [
    (5.0, 13.0),
    (10.0, 20.0),
    (15.0, 25.0),
    (30.0, 35.0),
    (60.0, 45.0),
    (120.0, 55.0),
    (360.0, 72.0),
    (1440.0, 101.0),
];
/// The 2-year, 24-hour rain, mm.
const TWO_YEAR_DAY: f64 = 66.0;

/// Covers in the order of the columns, with their printed coefficients.
const COVERS: [(&str, f64); 4] = [
    ("lawn-good on soil C, below 2 %", 0.16),
    ("lawn-good on soil C, 2 to 7 %", 0.21),
    ("lawn-good on soil C, above 7 %", 0.30),
    ("roof", 0.85),
];
/// Numbers of a row: crossing, m2 of each cover, sheet m, its fall %, shallow m, its fall %, min, mm/h, L/s.
type Row = [f64; 12];
/// Decimals printed in each column.
const DECIMALS: [u8; 12] = [0, 2, 2, 2, 2, 3, 4, 3, 4, 2, 1, 2];

/// L/s of areas in the rain of a time.
fn flow(areas_m2: [f64; 4], minutes: f64) -> f64 {
    let shedding_m2: f64 =
        areas_m2.into_iter().zip(COVERS).map(|(m2, (_, coefficient))| m2 * coefficient).sum();
    shedding_m2 * intensity(minutes) / 3600.0
}

/// Areas by cover, as a summary's list gives them.
fn areas(by_cover: &Value, figure: &str) -> [f64; 4] {
    COVERS.map(|(name, _)| {
        let all = by_cover.as_array().expect("covers");
        let row = all.iter().find(|row| row["cover"] == name).expect("the cover is there");
        row[figure].as_f64().expect("an area")
    })
}

fn document() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/methods.md");
    std::fs::read_to_string(path).expect("the document is there")
}

/// Figures of the text below the table, by the printed equations from the program's areas and times.
fn said_below(summary: &Value) -> Vec<String> {
    let number = |pointer: &str| summary.pointer(pointer).and_then(Value::as_f64).expect("a number");
    let all_min = number("/crossings/1/storm/time/concentration_min");
    let joined_m2 = areas(&summary["design"]["by_cover"], "joined_area_m2");
    let whole = flow(joined_m2, number("/design/storm/duration_min"));
    near("the whole", number("/design/flow_m3_s") * 1000.0, whole, 2);
    let composite = flow(areas(&summary["crossings"][1]["storm"]["by_cover"], "area_m2"), all_min);
    near("all of it in one time", number("/crossings/1/storm/composite_flow_m3_s") * 1000.0, composite, 2);
    let [flat, middle, steep, roof] = joined_m2;
    vec![
        format!("The slowest way takes {all_min:.2} min"),
        format!("in {:.1} mm/h", intensity(all_min)),
        format!("it would be {composite:.2} L/s (`composite_flow_m3_s`)"),
        format!("(0.16 × {flat:.2} + 0.21 × {middle:.2} + 0.30 × {steep:.2} + 0.85 × {roof:.2}) m²"),
        format!(
            "= {whole:.2} L/s, below the plain sum of {:.2} L/s",
            number("/design/upper_bound_m3_s") * 1000.0
        ),
    ]
}

fn rows() -> Vec<Row> {
    let text = document();
    let (_, after) = text.split_once("<!-- worked example -->").expect("the example starts");
    let (table, _) = after.split_once("<!-- /worked example -->").expect("the example ends");
    table
        .lines()
        .filter_map(|line| {
            let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
            let numbers: Vec<f64> = cells.iter().filter_map(|cell| cell.parse().ok()).collect();
            Row::try_from(numbers).ok()
        })
        .collect()
}

fn near(what: &str, found: f64, printed: f64, decimals: u8) {
    let half = 0.5 * 10.0_f64.powi(-i32::from(decimals));
    assert!((found - printed).abs() <= half * 1.02, "{what}: found {found}, printed {printed}");
}

/// TR-55 equation 3-3 and NEH Part 630, table 15-3, over a lawn.
fn minutes([_, _, _, _, _, sheet_m, sheet_fall, shallow_m, shallow_fall, ..]: Row) -> f64 {
    let ft = |m: f64| m / 0.3048;
    let sheet_h = 0.007 * (0.24 * ft(sheet_m)).powf(0.8)
        / ((TWO_YEAR_DAY / 25.4).sqrt() * (sheet_fall / 100.0).powf(0.4));
    let shallow_s =
        if shallow_m > 0.0 { ft(shallow_m) / (6.962 * (shallow_fall / 100.0).sqrt()) } else { 0.0 };
    sheet_h * 60.0 + shallow_s / 60.0
}

/// Straight in the logarithms of depth and duration.
fn intensity(minutes: f64) -> f64 {
    let pair = TEN_YEARS.windows(2).find(|pair| minutes <= pair[1].0).expect("within the table");
    let ((t0, d0), (t1, d1)) = (pair[0], pair[1]);
    d0 * (d1 / d0).powf((minutes / t0).ln() / (t1 / t0).ln()) / minutes * 60.0
}

#[test]
fn the_rows_follow_from_the_printed_equations() {
    let rows = rows();
    for row in &rows {
        let [number, flat, middle, steep, roof, .., printed_min, printed_mm_h, printed_l_s] = *row;
        let minutes = minutes(*row);
        near(&format!("time to crossing {number}"), minutes, printed_min, DECIMALS[9]);
        let rain = intensity(minutes);
        near(&format!("rain of crossing {number}"), rain, printed_mm_h, DECIMALS[10]);
        let flow = flow([flat, middle, steep, roof], minutes);
        near(&format!("flow of crossing {number}"), flow, printed_l_s, DECIMALS[11]);
    }
    assert_eq!(rows.len(), 2);
}

#[test]
fn the_rows_are_what_the_program_says_of_the_demo() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = Command::new(env!("CARGO_BIN_EXE_lotshed"))
        .args(["demo", "--quiet", "--json", "--out", "demo"])
        .current_dir(folder.path())
        .output()
        .expect("the program starts");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let summary: Value = serde_json::from_slice(&run.stdout).expect("JSON");
    let crossings = summary["crossings"].as_array().expect("crossings");
    let rows = rows();
    assert_eq!(rows.len(), crossings.len());
    for (row, crossing) in rows.iter().zip(crossings) {
        let number = |pointer: &str| crossing.pointer(pointer).and_then(Value::as_f64).unwrap_or(0.0);
        let partial = crossing.pointer("/storm/partial").and_then(Value::as_bool).unwrap_or(false);
        // Where a part of the ground gives the peak, its own time counts.
        let time =
            |of: &str| number(&format!("/storm/{}/{of}", if partial { "joined_time" } else { "time" }));
        let [flat, middle, steep, roof] = areas(&crossing["storm"]["by_cover"], "joined_area_m2");
        let found = [
            number("/id"),
            flat,
            middle,
            steep,
            roof,
            time("segments/0/length_m"),
            time("segments/0/grade") * 100.0,
            time("segments/1/length_m"),
            time("segments/1/grade") * 100.0,
            time("concentration_min"),
            number("/storm/intensity_mm_h"),
            number("/flow_m3_s") * 1000.0,
        ];
        for ((found, printed), decimals) in found.into_iter().zip(*row).zip(DECIMALS) {
            near(&format!("crossing {}", row[0]), found, printed, decimals);
        }
    }
    let prose = document();
    for said in said_below(&summary) {
        assert!(prose.contains(&said), "the example must say {said:?}");
    }
}
