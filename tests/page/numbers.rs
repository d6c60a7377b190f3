//! Every figure of the page's tables equals the summary's after rounding: both are read, and neither is taken from the
//! other. Feet, square feet and gallons are the exact ones: 0.3048 m, 231 cubic inches of 0.0254 m.

use super::Shown;
use scraper::{ElementRef, Html, Selector};
use serde_json::Value;

const FT2: f64 = 0.3048 * 0.3048;
const GPM: f64 = 231.0 * 0.0254 * 0.0254 * 0.0254 / 60.0;
const CFS: f64 = 0.3048 * 0.3048 * 0.3048;

fn all<'a>(inside: ElementRef<'a>, selector: &str) -> Vec<ElementRef<'a>> {
    let selector = Selector::parse(selector).expect("a selector");
    inside.select(&selector).collect()
}

/// Rows of a table as the texts of their cells.
fn rows(page: &Html, table: &str) -> Vec<Vec<String>> {
    let cells = |row: ElementRef<'_>| all(row, "td").iter().map(|cell| text(*cell)).collect();
    all(page.root_element(), &format!("table.{table} tbody tr")).into_iter().map(cells).collect()
}

fn text(element: ElementRef<'_>) -> String {
    element.text().collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Numbers of a text with the units behind them.
fn measures(text: &str) -> Vec<(f64, String)> {
    let plain = text.replace(',', "").replace(['(', ')'], " ");
    let words: Vec<&str> = plain.split_whitespace().collect();
    let number =
        |place: usize| Some((words[place].parse::<f64>().ok()?, (*words.get(place + 1)?).to_owned()));
    (0..words.len()).filter_map(number).collect()
}

/// The figure in SI that a measure stands for, with half of its last printed digit.
fn figures(printed: &str, factors: &[(&str, f64)]) -> Vec<(f64, f64)> {
    let found = measures(printed);
    assert_eq!(found.len(), factors.len(), "{printed}");
    found
        .iter()
        .map(|(number, unit)| {
            let (_, factor) =
                factors.iter().find(|(name, _)| name == unit).unwrap_or_else(|| panic!("{unit}: {printed}"));
            let digits = printed.replace(',', "");
            let written =
                digits.split_whitespace().find(|word| word.trim_matches(['(', ')']).parse() == Ok(*number));
            let decimals = written
                .and_then(|word| word.trim_matches(['(', ')']).split_once('.'))
                .map_or(0, |(_, after)| after.len());
            let half = 0.5 * 10.0_f64.powi(-i32::try_from(decimals).expect("few"));
            (number * factor, half * factor)
        })
        .collect()
}

/// Both systems of a printed measure hold the value, each to its last digit.
fn holds(printed: &str, value: f64, factors: &[(&str, f64)]) {
    for (figure, half) in figures(printed, factors) {
        assert!((figure - value).abs() <= half * 1.001, "{printed} isn't {value}");
    }
}

const AREA: [(&str, f64); 2] = [("m²", 1.0), ("sq", FT2)];
const FLOW: [(&str, f64); 3] = [("L/s", 1e-3), ("gpm", GPM), ("cfs", CFS)];
const LENGTH: [(&str, f64); 2] = [("m", 1.0), ("ft", 0.3048)];

/// A printed share is the summary's, to a tenth.
fn percent(printed: &str, share: f64) {
    let number: f64 = printed.trim_end_matches(['%', ' ']).parse().unwrap_or_else(|_| panic!("{printed}"));
    // What isn't all never reads as all.
    let shown = if share < 0.9999 { (share * 100.0).min(99.9) } else { share * 100.0 };
    assert!((number - shown).abs() <= 0.0501, "{printed} isn't {share}");
}

fn number(value: &Value, field: &str) -> f64 {
    value[field].as_f64().unwrap_or_else(|| panic!("{field}: {value}"))
}

fn each_table(units: &str) {
    let shown = Shown::demo(units);
    let (page, summary) = (Html::parse_document(&shown.page()), shown.summary());
    contributors(&rows(&page, "whose"), &summary);
    crossings(&rows(&page, "crossings"), &summary);
    reaches(&page, &summary);
    bill(&rows(&page, "bill"), &summary);
    let words = text(page.root_element());
    let line = &summary["interception_line"];
    let [before, caught, left] = ["before", "caught", "left"].map(|field| number(&line["balance_m2"], field));
    for share in [caught / before, left / before] {
        assert!(words.contains(&format!("{:.1} %", share * 100.0)), "{share}");
    }
}

fn contributors(rows: &[Vec<String>], summary: &Value) {
    let expected = summary["contributors"].as_array().expect("contributors");
    assert_eq!(rows.len(), expected.len());
    for (place, (row, expected)) in rows.iter().zip(expected).enumerate() {
        assert_eq!(row[0], (place + 1).to_string());
        let id =
            expected["id"].as_str().map_or("land without a parcel".to_owned(), |id| format!("parcel {id}"));
        assert_eq!(row[1], id);
        percent(&row[2], number(expected, "share_of_run_on"));
        holds(&row[3], number(expected, "area_m2"), &AREA);
        holds(&row[4], number(expected, "flow_m3_s"), &FLOW);
        holds(&row[5], number(expected, "handed_over_area_m2"), &AREA);
    }
}

fn crossings(rows: &[Vec<String>], summary: &Value) {
    let expected = summary["crossings"].as_array().expect("crossings");
    assert_eq!(rows.len(), expected.len());
    for (row, expected) in rows.iter().zip(expected) {
        assert_eq!(row[0], expected["id"].to_string());
        percent(&row[2], number(expected, "share_of_run_on"));
        holds(&row[4], number(expected, "width_80_m"), &LENGTH);
        holds(&row[5], number(expected, "flow_m3_s"), &FLOW);
    }
}

fn reaches(page: &Html, summary: &Value) {
    let tables = all(page.root_element(), "table.reaches");
    let parts = summary["interception_line"]["parts"].as_array().expect("parts");
    assert_eq!(tables.len(), parts.len());
    for (table, part) in tables.into_iter().zip(parts) {
        let drain = &part["drain"];
        let options = drain["options"].as_array().expect("options");
        let chosen =
            options.iter().find(|o| o["arrangement"] == drain["arrangement"]).expect("one is chosen");
        let expected = chosen["reaches"].as_array().expect("reaches");
        let rows = all(table, "tbody tr");
        assert_eq!(rows.len(), expected.len());
        for (row, expected) in rows.into_iter().zip(expected) {
            let cells: Vec<String> = all(row, "td").into_iter().map(text).collect();
            let grade: f64 = cells[2].trim_end_matches([' ', '%']).parse().expect("a grade");
            assert!((grade - 100.0 * number(expected, "grade")).abs() <= 0.005_01, "{cells:?}");
            holds(&cells[3], number(expected, "flow_m3_s"), &FLOW);
            holds(&cells[4], number(expected, "capacity_m3_s"), &FLOW);
            holds(&cells[5], number(expected, "velocity_m_s"), &[("m/s", 1.0), ("ft/s", 0.3048)]);
        }
    }
}

fn bill(rows: &[Vec<String>], summary: &Value) {
    let factors = [("m3", 1.0), ("m2", 1.0), ("m", 1.0), ("each", 1.0), ("t", 1.0)];
    let us = [("yd3", 27.0 * CFS), ("ft2", FT2), ("ft", 0.3048), ("short ton", 0.907_184_74)];
    let expected = summary["quantities"].as_array().expect("rows");
    assert_eq!(rows.len(), expected.len());
    for (row, expected) in rows.iter().zip(expected) {
        assert_eq!(row[0], expected["item"].as_str().expect("a name"));
        let (printed, unit) = (&row[1], row[2].as_str());
        let factor =
            factors.iter().chain(&us).find(|(name, _)| *name == unit).unwrap_or_else(|| panic!("{unit}")).1;
        let quantity: f64 = printed.parse().expect("a number");
        let half = if unit == "each" { 0.5 } else { 0.05 };
        assert!(
            (quantity * factor - number(expected, "quantity")).abs() <= half * factor * 1.001,
            "{row:?} {expected}"
        );
    }
}

#[test]
fn si_figures_are_those_of_the_summary() {
    each_table("si");
}

#[test]
fn us_figures_are_those_of_the_summary() {
    each_table("us");
}
