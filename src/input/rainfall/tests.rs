//! Every refusal names its place; invented figures throughout.

use super::{LARGEST_TABLE_BYTES, open_rain_table, read_rain_table};
use super::{RainColumn, RainFault, RainLayout, RainRow, RainSeries, RainSource, RainTable, RainUnit};
use crate::input::{ExitClass, InputError};
use crate::units::{Length, ReturnPeriod, Time};
use approx::assert_relative_eq;
use std::path::Path;

mod layouts;

const PLAIN: &str = "depth mm,2 yr,10 yr\n5 min,6,9\n1 h,20,30\n24 h,60,90\n";

/// The line and the fault.
fn refused(text: &str) -> (Option<usize>, RainFault) {
    let error = read_rain_table(Path::new("invented.csv"), text.as_bytes()).expect_err(text);
    assert!(error.to_string().starts_with("invented.csv"), "{error}");
    (error.line, error.fault)
}

fn read(text: &str) -> RainTable {
    read_rain_table(Path::new("invented.csv"), text.as_bytes()).unwrap().value
}

fn years(years: f64) -> ReturnPeriod {
    ReturnPeriod::new(years).unwrap()
}

/// The plain table with one piece of text exchanged.
fn with(old: &str, new: &str) -> String {
    assert!(PLAIN.contains(old), "{old}");
    PLAIN.replacen(old, new, 1)
}

#[test]
fn the_sound_table_is_read() {
    let table = read(PLAIN);
    assert_eq!((table.durations().len(), table.periods().len()), (3, 2));
    assert_relative_eq!(table.at(1, 1).unwrap().as_mm(), 30.0);
    assert_eq!(table.at(3, 0), None);
    assert_eq!(table.source().layout, RainLayout::Plain);
}

#[test]
fn nothing_and_nonsense_are_refused() {
    assert_eq!(refused("").1, RainFault::Empty);
    assert_eq!(refused(" \r\n \n").1, RainFault::Empty);
    assert!(
        matches!(refused("dear neighbour,\nplease find\n").1, RainFault::NoTable { begins } if begins.contains("neighbour"))
    );
    let semicolons = "dauer;1 EY;50%\n5 min;3,2;4,1\n";
    assert!(matches!(refused(semicolons), (Some(2), RainFault::DecimalComma { text }) if text == "3,2"));
    assert!(matches!(refused("\0\0\0").1, RainFault::NoTable { .. }));
    let long = "a".repeat(20_000);
    assert!(matches!(refused(&long), (Some(1), RainFault::NoTable { .. })));
    let huge = vec![b' '; LARGEST_TABLE_BYTES + 1];
    let error = read_rain_table(Path::new("x"), &huge).unwrap_err();
    assert!(matches!(error.fault, RainFault::TooLarge { .. }));
}

#[test]
fn an_answer_without_figures_says_what_the_service_said() {
    let (_, fault) = refused("Error 3.0: Selected location is not within a project area\n");
    assert!(matches!(fault, RainFault::OutsideCoverage { says } if says.contains("not within")));
}

#[test]
fn figures_that_cannot_be_read_name_line_row_and_column() {
    let place = |row: &str, column: &str| (row.to_owned(), column.to_owned());
    let (line, fault) = refused(&with("20,30", "20,"));
    let (row, column) = place("1 h", "10 yr");
    assert_eq!((line, fault), (Some(3), RainFault::Missing { row, column }));
    let (row, column) = place("1 h", "10 yr");
    assert_eq!(refused(&with("20,30", "20")), (Some(3), RainFault::Missing { row, column }));
    let (row, column) = place("1 h", "2 yr");
    assert_eq!(refused(&with("20,30", "-99.9,30")), (Some(3), RainFault::Missing { row, column }));
    let (row, column) = place("24 h", "10 yr");
    let text = "9e1".to_owned();
    assert_eq!(refused(&with("60,90", "60,9e1")), (Some(4), RainFault::NotANumber { row, column, text }));
    for cut in ["90.", "NaN", "inf", "+90", "0x5", "9 0"] {
        assert!(
            matches!(refused(&with("60,90", &format!("60,{cut}"))).1, RainFault::NotANumber { .. }),
            "{cut}"
        );
    }
    assert!(matches!(refused(&with("60,90", "0,90")), (Some(4), RainFault::NotPositive { .. })));
    assert!(matches!(refused(&with("60,90", "-6,90")), (Some(4), RainFault::NotPositive { .. })));
    let (line, fault) = refused(&with("60,90", "60,90,99"));
    assert_eq!(line, Some(4));
    assert_eq!(fault, RainFault::TooManyCells { row: "24 h".to_owned(), found: 3, expected: 2 });
}

#[test]
fn decimal_commas_are_told() {
    let (line, fault) = refused("depth mm,2 yr,10 yr\n5 min,6,5,9,1\n1 h,20,0,30,2\n");
    assert_eq!((line, fault), (Some(2), RainFault::DecimalComma { text: "6,5".to_owned() }));
    let (line, fault) = refused("depth mm;2 yr;10 yr\n5 min;6;9\n1 h;20,5;30\n");
    assert_eq!((line, fault), (Some(3), RainFault::DecimalComma { text: "20,5".to_owned() }));
}

#[test]
fn depths_that_fall_are_refused_with_both_figures() {
    let (line, fault) = refused(&with("60,90", "19.5,90"));
    let RainFault::FallsWithDuration { column, row, found, before_row, before } = fault else {
        panic!("{fault}")
    };
    assert_eq!((line, column.as_str(), row.as_str(), before_row.as_str()), (Some(4), "2 yr", "24 h", "1 h"));
    assert!(found.starts_with("19.50 mm") && before.starts_with("20.00 mm"));
    let (line, fault) = refused(&with("20,30", "20,19"));
    assert_eq!(line, Some(3));
    assert!(matches!(fault, RainFault::FallsWithPeriod { row, .. } if row == "1 h"));
    // As much is allowed.
    read(&with("20,30", "30,30").replace("60,90", "30,30"));
}

#[test]
fn durations_and_return_periods_must_rise() {
    for (text, line) in
        [("1 h,20,30\n1 h,21,31", 4), ("1 h,20,30\n60 min,21,31", 4), ("1 h,20,30\n4 min,21,31", 4)]
    {
        let (found, fault) = refused(&with("1 h,20,30", text));
        assert!(matches!(fault, RainFault::DurationOrder { .. }), "{fault}");
        assert_eq!(found, Some(line));
    }
    assert!(matches!(refused(&with("2 yr,10 yr", "10 yr,10 yr")).1, RainFault::PeriodOrder { .. }));
    assert!(matches!(refused(&with("2 yr,10 yr", "10 yr,2 yr")), (Some(_), RainFault::PeriodOrder { .. })));
    // Looking up takes these for the same, and gave the rain of the upper row and of the left column for both.
    let close = with("1 h,20,30", "1 h,20,30\n60.0000000001 min,21,31");
    assert!(matches!(refused(&close), (Some(4), RainFault::DurationOrder { .. })));
    let close = with("2 yr,10 yr", "2 yr,2.000000000001 yr");
    assert!(matches!(refused(&close).1, RainFault::PeriodOrder { .. }));
    assert!(matches!(refused(&with("1 h", "1 fortnight")), (Some(3), RainFault::Duration { .. })));
    assert!(matches!(refused(&with("1 h", "0 h")), (Some(3), RainFault::Duration { .. })));
    assert!(matches!(refused(&with("10 yr", "soon")), (Some(1), RainFault::Header { .. })));
    assert!(matches!(refused(&with("10 yr", "20000")), (Some(1), RainFault::Header { .. })));
    assert!(matches!(refused("depth mm\n5 min\n").1, RainFault::Header { .. }));
    assert!(matches!(refused("depth mm\n5 min,6\n").1, RainFault::Header { .. }));
    assert_eq!(refused("depth mm,2\n5 min,6\n").1, RainFault::TooFewRows { found: 1 });
}

#[test]
fn a_table_cut_within_its_last_figure_is_noted() {
    let codes = |text: &str| -> Vec<&str> {
        let found = read_rain_table(Path::new("x"), text.as_bytes()).unwrap();
        assert!(found.warnings.iter().all(|warning| warning.is_note() && warning.message.contains("line 3")));
        found.warnings.iter().map(|warning| warning.code).collect()
    };
    // The last figure was 250; nothing else of the table tells.
    assert_eq!(codes("depth mm,2\n1 h,20\n24 h,25"), ["rain-table-unended"]);
    for whole in ["\n", "\r\n", "\n# after a service's table\n", "\n\n"] {
        assert_eq!(codes(&format!("depth mm,2\n1 h,20\n24 h,250{whole}")), [""; 0]);
    }
    assert!(matches!(
        refused(PLAIN.trim_end_matches("0\n")),
        (Some(4), RainFault::FallsWithDuration { .. } | RainFault::FallsWithPeriod { .. })
    ));
}

#[test]
fn wrong_units_are_found_out() {
    for head in ["depth", "depth cm", "depth mm/h", "intensity mm", "intensity"] {
        assert!(matches!(refused(&with("depth mm", head)), (Some(1), RainFault::Unit { .. })), "{head}");
    }
    // 90 mm taken for 90 in; 9 in are beyond 5 minutes' record as well.
    assert!(matches!(refused(&with("depth mm", "depth in")), (Some(2), RainFault::Implausible { .. })));
    let day = "depth mm,2\n1 h,90\n24 h,2600\n";
    assert!(matches!(refused(day).1, RainFault::RisesTooFast { .. } | RainFault::Implausible { .. }));
    assert!(matches!(
        refused("depth mm,2\n12 h,1500\n24 h,2600\n"),
        (Some(3), RainFault::Implausible { .. })
    ));
    assert!(matches!(refused("depth mm,2\n1 h,0.5\n24 h,0.9\n"), (Some(3), RainFault::Implausible { .. })));
    // Depths taken for intensities: 24 h would bring 24 x 90 mm, 1 h only 30.
    assert!(matches!(
        refused(&with("depth mm", "intensity mm/h")),
        (Some(3), RainFault::RisesTooFast { .. })
    ));
    // Intensities taken for depths.
    let text = "depth mm,2\n5 min,72\n1 h,20\n24 h,2.5\n";
    assert!(matches!(refused(text), (Some(3), RainFault::FallsWithDuration { .. })));
    // Inches taken for millimetres may be true somewhere: a warning.
    let text = "depth mm,2\n1 h,2.4\n24 h,4.8\n";
    let found = read_rain_table(Path::new("x"), text.as_bytes()).unwrap();
    assert_eq!(found.warnings[0].code, "rain-unit-doubtful");
}

#[test]
fn intensities_become_depths_and_coarse_ones_are_left_out() {
    let table = read("intensity in/h,2\n30 min,2.00\n1 h,1.50\n");
    // Half an hour at 2 in/h is an inch.
    assert_relative_eq!(table.at(0, 0).unwrap().as_in(), 1.0, max_relative = 1e-12);
    let coarse = "intensity mm/h,2,10\n30 min,28,40\n1 h,18,25\n24 h,2,3\n96 h,0,1\n";
    let found = read_rain_table(Path::new("x"), coarse.as_bytes()).unwrap();
    assert_eq!(found.value.durations().len(), 2);
    assert_eq!(found.warnings[0].code, "rain-rows-left-out");
    assert!(found.warnings[0].message.contains("row 24 h (line 4)"), "{}", found.warnings[0].message);
    // A zero that rounding can't explain: 18 mm/h over an hour leave at least 8 mm/h over two.
    let zero = "intensity mm/h,2,10\n30 min,28,40\n1 h,18,25\n2 h,0,15\n";
    assert!(matches!(refused(zero), (Some(4), RainFault::NotPositive { .. })));
    assert!(matches!(refused("intensity mm/h,2\n1 h,4\n2 h,2\n"), (Some(2), RainFault::TooCoarse { .. })));
    // 2 h x 8.5 < 1 h x 17.4, which rounding explains: 8.5 may be 8.55 and 17.4 less by as much.
    let lifted = "intensity mm/h,2\n30 min,20.0\n1 h,17.4\n2 h,8.7\n3 h,5.8\n4 h,4.3\n";
    let found = read_rain_table(Path::new("x"), lifted.as_bytes()).unwrap();
    assert_eq!(found.warnings[0].code, "rain-rounding");
    assert_relative_eq!(found.value.at(4, 0).unwrap().as_mm(), 17.4, max_relative = 1e-9);
}

#[test]
fn a_table_made_by_hand_is_checked_the_same_way() {
    let source = RainSource {
        layout: RainLayout::Plain,
        unit: RainUnit::Mm,
        series: RainSeries::NotStated,
        says: Vec::new(),
    };
    let columns = [RainColumn { label: "2".to_owned(), period: years(2.0) }];
    let row = |minutes: f64, mm: &[f64]| RainRow {
        label: format!("{minutes} min"),
        line: None,
        duration: Time::from_min(minutes),
        depths: mm.iter().map(|&d| Length::from_mm(d)).collect(),
    };
    let make = |rows: &[RainRow]| RainTable::new(source.clone(), &columns, rows);
    assert!(make(&[row(5.0, &[6.0]), row(60.0, &[20.0])]).is_ok());
    assert!(matches!(make(&[row(5.0, &[6.0]), row(60.0, &[f64::NAN])]), Err(RainFault::NotPositive { .. })));
    assert!(matches!(make(&[row(5.0, &[6.0]), row(60.0, &[])]), Err(RainFault::Missing { .. })));
    assert!(matches!(make(&[row(5.0, &[6.0]), row(60.0, &[5.0])]), Err(RainFault::FallsWithDuration { .. })));
}

#[test]
fn a_file_is_opened_or_refused_as_input() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("rain.csv");
    assert!(matches!(open_rain_table(&path), Err(InputError::NotFound { .. })));
    std::fs::write(&path, PLAIN).unwrap();
    assert_eq!(open_rain_table(&path).unwrap().value, read(PLAIN));
    std::fs::write(&path, with("20,30", "20,")).unwrap();
    let error = open_rain_table(&path).unwrap_err();
    assert_eq!(error.exit_class(), ExitClass::Unreadable);
    assert!(error.to_string().ends_with("rain.csv, line 3: no figure in row 1 h, column 10 yr"), "{error}");
    assert_eq!((error.code_text().as_str(), error.help_text().is_empty()), ("rain-table", false));
    std::fs::write(&path, vec![b'\n'; LARGEST_TABLE_BYTES + 1]).unwrap();
    assert!(
        matches!(open_rain_table(&path), Err(InputError::RainTable(e)) if matches!(e.fault, RainFault::TooLarge { .. }))
    );
    assert!(matches!(open_rain_table(folder.path()), Err(InputError::Unreadable { .. })));
}
