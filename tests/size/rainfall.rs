//! Rain from a table of the user's own.

use super::{CFS, figure, file, near, said, sheet, size};
use serde_json::Value;

/// Invented; rising as real ones do.
const TABLE: &str =
    "depth mm,2 yr,10 yr,25 yr\n5 min,9,13,15.5\n10 min,14,20,24\n15 min,17.5,25,30\n24 h,66,101,124\n";

fn table() -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = file(&folder, "rain.csv", TABLE);
    (folder, path)
}

fn codes(sheet: &Value) -> Vec<&str> {
    sheet["warnings"].as_array().expect("warnings").iter().filter_map(|w| w["code"].as_str()).collect()
}

// Log-log in depth: 20 mm x (25 / 20)^(ln 1.2 / ln 1.5) = 22.1109 mm in 12 min, that is 110.555 mm/h; the 10-year column where none is
// asked for. 25 years at 10 min: 24 mm, that is 144 mm/h.
#[test]
fn a_table_at_a_duration() {
    let (_folder, path) = table();
    let ten = ["--rainfall", &path, "--duration", "12min"];
    near(figure(&sheet(&ten), "rainfall intensity"), 110.555 / 3.6e6, 1e-5);
    let text = said(&size(&[&ten[..], &["--units", "si"]].concat()));
    let worked = "i = P / t = 22.11 mm / 12.00 min x 60 = 110.6 mm/h; 10-year rain, log-log in depth between 10 min and 15 min";
    assert!(text.contains(worked), "{text}");
    let rare = sheet(&["--rainfall", &path, "--duration", "10min", "--return-period", "25"]);
    near(figure(&rare, "rainfall intensity"), 144.0 / 3.6e6, 1e-9);
    assert!(codes(&rare).is_empty());
}

// Sheet by TR-55 equation 3-3 with the table's 2-year, 24-hour rain of 66 mm (as `assess` takes it), over 100 x 0.02^0.5 / 0.24 = 58.93 ft; the
// rest at 6.962 s^0.5 ft/s. About 11.9 min, between the table's 10 and 15 min.
#[test]
fn a_table_and_a_way_give_time_and_intensity_together() {
    let (_folder, path) = table();
    let arguments = ["--rainfall", &path, "--length", "150ft", "--slope", "2%"];
    let found = sheet(&arguments);
    let sheet_ft = 100.0 * 0.02_f64.sqrt() / 0.24;
    let p2_in = 66.0_f64 / 25.4;
    let sheet_min = 60.0 * 0.007 * (0.24 * sheet_ft).powf(0.8) / (p2_in.sqrt() * 0.02_f64.powf(0.4));
    let rest_min = (150.0 - sheet_ft) / (6.962 * 0.02_f64.sqrt()) / 60.0;
    let min = sheet_min + rest_min;
    assert!(min > 10.0 && min < 15.0, "{min}");
    near(figure(&found, "time of concentration"), 60.0 * min, 1e-9);
    let depth_mm = 20.0 * 1.25_f64.powf((min / 10.0).ln() / 1.5_f64.ln());
    near(figure(&found, "rainfall intensity"), depth_mm * 60.0 / min / 3.6e6, 1e-9);
    assert!(said(&size(&arguments)).contains("2-year, 24-hour rain"));
}

// By hand: 25 years raise 0.21 to 0.231 and 0.85 to 0.935 (factor 1.1); 24 mm in 10 min are 144 mm/h. (0.935 x 200 + 0.231 x 600) m2 x 144
// mm/h = 325.6 m2 x 4e-5 m/s = 0.013 024 m3/s. The 24-hour rain of 124 mm on CN 98 (S 5.183 67 mm): 117.9893 mm; CN 74 (S 89.243 24 mm):
// 57.6685 mm; together 0.117 989 3 x 200 + 0.057 668 5 x 600 = 58.1990 m3.
#[test]
fn a_table_gives_the_peak_and_the_storm_of_covers() {
    let (_folder, path) = table();
    let covers =
        ["--cover", "roof=200m2", "--cover", "lawn-good=600m2", "--soil-group", "C", "--slope", "3%"];
    let rain = ["--rainfall", &path, "--return-period", "25", "--duration", "10min"];
    let found = sheet(&[&covers[..], &rain].concat());
    near(figure(&found, "peak flow"), 0.013_024, 1e-9);
    near(figure(&found, "rain of the storm"), 0.124, 1e-9);
    near(figure(&found, "runoff volume"), 58.1990, 2e-5);
    let typed = sheet(&[&covers[..], &rain, &["--rain-depth", "4.5in"]].concat());
    near(figure(&typed, "rain of the storm"), 0.1143, 1e-9);
}

// TR-55: CN 75, S 84.6667 mm; (101 - 16.9333)^2 / (101 + 67.7333) = 41.883 87 mm over 1000 m2.
#[test]
fn a_table_gives_the_storm_of_a_curve_number() {
    let (_folder, path) = table();
    let ground = ["--curve-number", "75", "--area", "1000m2"];
    let found = sheet(&[&["--rainfall", &path][..], &ground].concat());
    near(figure(&found, "runoff volume"), 41.883_87, 1e-5);
    assert!(found["figures"].as_array().unwrap().iter().all(|f| f["name"] != "rainfall intensity"));
    // And beside a flow that is given.
    let drain = ["--rainfall", &path, "--flow", "125gpm", "--grade", "1%"];
    let found = sheet(&[&drain[..], &ground].concat());
    near(figure(&found, "flow to be carried"), 125.0 / 448.831 * CFS, 1e-5);
    near(figure(&found, "runoff volume"), 41.883_87, 1e-5);
}

// A gravel road of the user's with a coefficient of 0.5 and no curve number: 0.5 x 1000 m2 x 120 mm/h = 0.016 667 m3/s.
#[test]
fn a_volume_that_nobody_asked_for_is_left_out_with_a_warning() {
    let (folder, path) = table();
    let own = "[class.chips]\ndescription = \"chips\"\ncoefficient = 0.5\n";
    let covers = file(&folder, "own.toml", own);
    let arguments =
        ["--cover", "chips=1000m2", "--cover-table", &covers, "--rainfall", &path, "--duration", "10min"];
    let found = sheet(&arguments);
    near(figure(&found, "peak flow"), 0.5 * 0.1 / 3.0, 1e-9);
    assert_eq!(codes(&found), ["volume-left-out"]);
    assert!(said(&size(&arguments)).contains("no curve number for chips"));
}

// Said once, though intensity and depth are both read from between two columns.
#[test]
fn what_is_odd_about_the_table_is_said_once() {
    let (_folder, path) = table();
    let rain = ["--rainfall", &path, "--return-period", "20", "--duration", "10min"];
    let found = sheet(&[&rain[..], &["--cover", "roof=200m2"]].concat());
    assert_eq!(codes(&found), ["return-period-interpolated"]);
    let short = sheet(&["--rainfall", &path, "--duration", "4min"]);
    assert_eq!(codes(&short), ["duration-below-table"]);
    // The intensity of 5 min holds: 13 mm x 12.
    near(figure(&short, "rainfall intensity"), 156.0 / 3.6e6, 1e-9);
}
