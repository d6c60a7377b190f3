//! The page in a real browser without a window: Debian's chromium, which `.ci/setup` installs.

use super::{Shown, read};
use scraper::{Html, Selector};
use serde_json::Value;
use std::path::Path;
use std::process::Command;

/// CSS pixels in a millimetre: 96 in an inch.
const PX_PER_MM: f64 = 96.0 / 25.4;
/// Margins of a printed page, mm: those of the page's style.
const MARGINS_MM: [f64; 2] = [15.0, 13.0];
/// Width and height of paper, mm.
const A4: [f64; 2] = [210.0, 297.0];
const LETTER: [f64; 2] = [215.9, 279.4];

/// What the measuring script found.
fn look(page: &str, width_px: f64, tallest_px: f64) -> Value {
    let folder = tempfile::tempdir().expect("a folder");
    let script = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/page/look.js"));
    // "</script>" within a script's text would end it.
    let text = serde_json::to_string(page).expect("a text").replace("</", "<\\/");
    let outer = format!(
        "<!DOCTYPE html><meta charset=utf-8><body><script>const PAGE={text},WIDTH={width_px:.0},TALLEST={tallest_px:.0};{script}</script>"
    );
    let path = folder.path().join("outer.html");
    std::fs::write(&path, outer).expect("the file can be written");
    let output = Command::new("chromium")
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--virtual-time-budget=8000",
            "--window-size=1600,1200",
        ])
        .arg(format!("--user-data-dir={}", folder.path().join("profile").display()))
        .arg("--dump-dom")
        .arg(format!("file://{}", path.display()))
        .output()
        .expect("chromium starts: .ci/setup installs it");
    let dom = Html::parse_document(&String::from_utf8_lossy(&output.stdout));
    let found = Selector::parse("pre#found").expect("a selector");
    let found =
        dom.select(&found).next().unwrap_or_else(|| panic!("{}", String::from_utf8_lossy(&output.stderr)));
    serde_json::from_str(&found.text().collect::<String>()).expect("JSON")
}

fn nothing_wrong(found: &Value, what: &str) {
    for fault in ["errors", "blocked", "wide", "faint", "tall"] {
        let faults = found[fault].as_array().expect("a list");
        assert!(faults.is_empty(), "{what}, {fault}: {faults:?}");
    }
    assert!(found["texts"].as_u64().expect("a count") > 100, "{found}");
    assert!(found["figures"].as_u64().expect("a count") > 2, "{found}");
}

#[test]
fn on_a_phone_and_a_desk_nothing_runs_over_nothing_is_faint_and_nothing_is_fetched() {
    let page = Shown::demo("us").page();
    for width_px in [360.0, 1200.0] {
        nothing_wrong(&look(&page, width_px, 0.0), &format!("{width_px} px"));
    }
}

/// The page with its printed looks on the screen, as wide as the paper between its margins.
fn printed(page: &str, [width_mm, height_mm]: [f64; 2]) -> Value {
    let looks = page.replace("@media print", "@media screen");
    assert_ne!(looks, page);
    let [width_mm, height_mm] = [width_mm - 2.0 * MARGINS_MM[0], height_mm - 2.0 * MARGINS_MM[1]];
    look(&looks, width_mm * PX_PER_MM, height_mm * PX_PER_MM)
}

#[test]
fn on_paper_no_figure_is_taller_than_a_page_and_the_first_page_is_one() {
    let page = Shown::demo("us").page();
    assert!(page.contains(&format!("@page {{ margin: {:.0}mm {:.0}mm; }}", MARGINS_MM[1], MARGINS_MM[0])));
    for (paper, name) in [(A4, "A4"), (LETTER, "Letter")] {
        nothing_wrong(&printed(&page, paper), name);
    }
}

/// The script finds what it looks for: each fault is put into a page.
#[test]
fn faults_are_found() {
    let page = Shown::demo("si").page();
    let with = |mark: &str| page.replace("<main>", &format!("<main>{mark}"));
    let count = |found: &Value, fault: &str| found[fault].as_array().expect("a list").len();
    let found = look(
        &with(
            "<p style='width:2000px'>wide</p><p style='color:#bbb'>faint</p><figure style='height:9999px'></figure><img src='https://example.org/x.png'><script>nosuch()</script>",
        ),
        360.0,
        900.0,
    );
    for fault in ["wide", "faint", "tall", "blocked", "errors"] {
        assert!(count(&found, fault) > 0, "{fault}: {found}");
    }
}
