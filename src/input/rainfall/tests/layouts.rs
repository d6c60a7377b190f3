//! The national layouts with invented figures, and looking up between figures.

use super::super::{RainFault, RainLayout, RainLookupError, RainSeries, read_rain_table};
use super::{PLAIN, read, refused, years};
use crate::units::Time;
use approx::assert_relative_eq;
use std::path::Path;

const ESTIMATES: &str = "Point precipitation frequency estimates (inches)\n\
    NOAA Atlas 14 Volume 99 Version 1\n\
    Data type: Precipitation depth\n\
    Time series type: Partial duration\n\
    Project area: Nowhere, in particular\n\
    Latitude: 1.0 Degree\n\
    \n\n\
    PRECIPITATION FREQUENCY ESTIMATES\n\
    by duration for ARI (years):, 1,2,10\n\
    5-min:, 0.250,0.300,0.400\n\
    60-min:, 1.00,1.20,1.60\n\
    60-day:, 10.0,12.0,16.0\n\
    \n\
    Date/time (GMT):  Mon Jan  1 00:00:00 2001\n";

fn bounds(title: &str, figures: [&str; 3]) -> String {
    let [five, sixty, days] = figures;
    format!(
        "\nPRECIPITATION FREQUENCY ESTIMATES - {title} BOUND OF THE 90% CONFIDENCE INTERVAL\n\
         by duration for ARI (years):, 1,2,10\n5-min:, {five}\n60-min:, {sixty}\n60-day:, {days}\n"
    )
}

#[test]
fn point_estimates_with_and_without_quotes_marks_and_carriage_returns() {
    let table = read(ESTIMATES);
    assert_eq!(table.source().layout, RainLayout::PointFrequency);
    assert_eq!(table.source().series, RainSeries::PartialDuration);
    assert_eq!(table.source().says[4], "Project area: Nowhere, in particular");
    assert_relative_eq!(table.at(1, 2).unwrap().as_in(), 1.6, max_relative = 1e-12);
    assert_eq!(read(&ESTIMATES.replace('\n', "\r\n")), table);
    assert_eq!(read(&format!("\u{feff}{ESTIMATES}")), table);
    let quoted = ESTIMATES.replace("60-min:, 1.00,1.20,1.60", "\"60-min:\",\"1.00\",\"1.20\",\"1.60\"");
    assert_eq!(read(&quoted), table);
    let quoted = ESTIMATES
        .replace("by duration for ARI (years):, 1,2,10", "\"by duration for ARI (years):\",\"1\",2,10");
    assert_eq!(read(&quoted), table);
}

#[test]
fn annual_series_keep_the_chance_of_a_year() {
    let text = ESTIMATES
        .replace("Partial duration", "Annual maximum")
        .replace("by duration for ARI (years):, 1,2,10", "by duration for AEP:, '1/2,'1/5,'1/10");
    let table = read(&text);
    assert_eq!(table.source().series, RainSeries::AnnualMaximum);
    let found: Vec<f64> = table.periods().iter().map(|p| p.get()).collect();
    assert_eq!(found, [2.0, 5.0, 10.0]);
    let mixed =
        ESTIMATES.replace("by duration for ARI (years):, 1,2,10", "by duration for AEP:, '1/2,'1/5,'1/10");
    assert!(matches!(refused(&mixed), (Some(10), RainFault::Header { .. })));
    assert!(matches!(refused(&text.replace("'1/5", "'1:5")), (Some(10), RainFault::Header { .. })));
    assert!(matches!(
        refused(&ESTIMATES.replace("ARI (years)", "size")),
        (Some(10), RainFault::Header { .. })
    ));
}

#[test]
fn bounds_are_kept_beside_the_estimates() {
    let lower = bounds("LOWER", ["0.20,0.25,0.30", "0.80,0.95,1.20", "8.0,9.0,8.9"]);
    let upper = bounds("UPPER", ["0.30,0.40,0.60", "1.30,1.50,2.10", "12.0,15.0,20.0"]);
    let table = read(&format!("{ESTIMATES}{upper}{lower}"));
    let rain = table.depth(Time::from_min(60.0), years(10.0)).unwrap();
    let (low, high) = rain.bounds.unwrap();
    assert_relative_eq!(low.as_in(), 1.20, max_relative = 1e-12);
    assert_relative_eq!(high.as_in(), 2.10, max_relative = 1e-12);
    assert_eq!(read(ESTIMATES).depth(Time::from_min(60.0), years(10.0)).unwrap().bounds, None);
    assert!(matches!(refused(&format!("{ESTIMATES}{upper}")).1, RainFault::BoundsDiffer { which: "lower" }));
    let other = upper.replace("60-min", "30-min");
    assert!(matches!(
        refused(&format!("{ESTIMATES}{other}{lower}")).1,
        RainFault::BoundsDiffer { which: "upper" }
    ));
    let other = lower.replace("1,2,10", "1,2,25");
    assert!(matches!(refused(&format!("{ESTIMATES}{upper}{other}")).1, RainFault::Header { .. }));
    assert!(matches!(refused(&format!("{ESTIMATES}{ESTIMATES}")).1, RainFault::Header { .. }));
}

#[test]
fn cut_files_are_refused_wherever_they_are_cut() {
    let end = ESTIMATES.find("\n\nDate").unwrap();
    let begin = ESTIMATES.find("by duration").unwrap();
    let (mut whole, mut short) = (0, 0);
    for cut in begin..=end {
        match read_rain_table(Path::new("x"), &ESTIMATES.as_bytes()[..cut]) {
            Ok(found) => {
                // Only between two lines, and then it is said.
                assert!(ESTIMATES[..cut].ends_with('\n'), "cut at {cut} was read");
                assert_eq!(found.warnings.iter().filter(|w| w.code == "rain-table-short").count(), 1);
                short += 1;
            }
            Err(error) => {
                assert!(!error.to_string().is_empty());
                whole += 1;
            }
        }
    }
    assert_eq!((whole, short), (end - begin, 1));
    let found = read_rain_table(Path::new("x"), &ESTIMATES.as_bytes()[..=end]).unwrap();
    assert!(found.warnings.is_empty());
}

#[test]
fn point_estimates_in_the_wrong_unit_are_refused() {
    let with_day = |unit: &str, day: &str| {
        ESTIMATES
            .replace("(inches)", unit)
            .replace("1,2,10\n", "1,2,100\n")
            .replace("60-day", &format!("24-hr:, {day}\n60-day"))
    };
    // 8 in of rain under a title that says mm.
    assert!(matches!(
        refused(&with_day("(millimeters)", "2.4,3.1,8.0")),
        (Some(13), RainFault::Implausible { .. })
    ));
    assert_eq!(read(&with_day("(inches)", "2.4,3.1,8.0")).periods().len(), 3);
}

#[test]
fn tables_that_end_early_are_read_with_a_warning() {
    for whole in [AUSTRALIAN, CANADIAN] {
        let day = whole.lines().find(|line| line.trim_start().starts_with("24 h")).unwrap();
        let codes = |text: &str| -> Vec<&str> {
            let found = read_rain_table(Path::new("x"), text.as_bytes()).unwrap();
            found.warnings.iter().map(|warning| warning.code).collect()
        };
        assert_eq!(codes(whole), [""; 0]);
        assert_eq!(codes(&whole.replace(&format!("{day}\n"), "")), ["rain-table-short"]);
    }
}

#[test]
fn units_of_point_estimates_must_agree_with_their_kind() {
    let refuses = |old: &str, new: &str, line: usize| {
        let (found, fault) = refused(&ESTIMATES.replace(old, new));
        assert!(matches!(fault, RainFault::Unit { .. }), "{fault}");
        assert_eq!(found, Some(line));
    };
    refuses("(inches)", "(cubits)", 1);
    refuses("(inches)", "", 1);
    refuses("(inches)", "(inches/hour)", 3);
    refuses("Precipitation depth", "Precipitation intensity", 3);
    refuses("Precipitation depth", "Snow", 3);
    let (line, fault) = refused(&ESTIMATES.replace("1.00,1.20,1.60", "1,00,1,20,1,60"));
    assert_eq!((line, fault), (Some(12), RainFault::DecimalComma { text: "1,00".to_owned() }));
}

const AUSTRALIAN: &str = "Copyright notice,,\nIssued:,1 January 2001,\n\n,,Annual Exceedance Probability (AEP)\n\
    Duration,Duration in min,63.2%,50%#,20%*,1%\n5 min,5,6.0,7.0,10.0,18.0\n1 hour,60,20,22,33,60\n\
    24 hour,1440,60.5,70,100,190\n";

#[test]
fn australian_chances_become_return_periods() {
    let table = read(AUSTRALIAN);
    assert_eq!(table.source().layout, RainLayout::Australian);
    assert_eq!(table.source().series, RainSeries::AnnualMaximum);
    let found: Vec<f64> = table.periods().iter().map(|p| p.get()).collect();
    for (found, percent) in found.iter().zip([63.2, 50.0, 20.0, 1.0]) {
        assert_relative_eq!(*found, 100.0 / percent, max_relative = 1e-12);
    }
    assert_relative_eq!(table.at(2, 0).unwrap().as_mm(), 60.5, max_relative = 1e-12);
    assert!(matches!(
        refused(&AUSTRALIAN.replace("1 hour,60", "1 hour,6")),
        (Some(7), RainFault::Duration { .. })
    ));
    assert!(matches!(refused(&AUSTRALIAN.replace("20%*", "5EY")), (Some(5), RainFault::Header { .. })));
    assert!(matches!(refused(AUSTRALIAN.trim_end()), (Some(8), RainFault::CutOff { .. })));
    assert!(matches!(
        refused(&AUSTRALIAN.replace("60.5,70,", "60.5,,")),
        (Some(8), RainFault::Missing { .. })
    ));
}

const CANADIAN: &str = "Environment / Environnement\nGumbel - Method of moments/M\u{e9}thode des moments\n\
    NOWHERE  XX  0000000\n\nTable 1 : Annual Maximum (mm)\n 1943 11.7 14.2 -99.9\n\n\
    Table 2a : Return Period Rainfall Amounts (mm)\n\n\
    Duration/Dur\u{e9}e      2      5    100  #Years\n                yr/ans yr/ans yr/ans  Ann\u{e9}es\n\
    \x20  5 min    7.2    9.9   17.4    60\n    1 h      20.5   30.0   55.1    60\n   24 h      50.0   70.0  110.0    61\n\n\
    Table 2b : Return Period Rainfall Rates (mm/h)\n   5 min   86.4  118.8  208.8\n";

#[test]
fn canadian_amounts_are_read_in_either_encoding() {
    let table = read(CANADIAN);
    assert_eq!(table.source().layout, RainLayout::Canadian);
    let found: Vec<f64> = table.periods().iter().map(|p| p.get()).collect();
    assert_eq!(found, [2.0, 5.0, 100.0]);
    assert_eq!(table.durations().len(), 3);
    assert_relative_eq!(table.at(1, 2).unwrap().as_mm(), 55.1, max_relative = 1e-12);
    let latin: Vec<u8> = CANADIAN.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect();
    assert_eq!(read_rain_table(Path::new("x"), &latin).unwrap().value, table);
    assert!(matches!(refused(&CANADIAN.replace("20.5", "-99.9")), (Some(13), RainFault::Missing { .. })));
    assert!(matches!(refused(&CANADIAN.replace("20.5", "20,5")), (Some(13), RainFault::DecimalComma { .. })));
    assert!(matches!(
        refused(&CANADIAN.replace("Amounts (mm)", "Amounts")),
        (Some(8), RainFault::Unit { .. })
    ));
    assert!(matches!(refused(&CANADIAN.replace("2      5    100", "")), (Some(8), RainFault::Header { .. })));
    let cut = &CANADIAN[..CANADIAN.find("110.0").unwrap() + 3];
    assert!(matches!(refused(cut), (Some(14), RainFault::CutOff { .. } | RainFault::NotANumber { .. })));
}

#[test]
fn between_figures_the_logarithms_are_straight_and_outside_it_is_said() {
    let table = read(PLAIN);
    let at = |minutes: f64, t: f64| table.depth(Time::from_min(minutes), years(t));
    // On a figure: exactly that figure, and no warning.
    let exact = at(60.0, 10.0).unwrap();
    assert_relative_eq!(exact.depth.as_mm(), 30.0, max_relative = 1e-12);
    assert!(exact.warnings.is_empty());
    assert_eq!(exact.how, "as the table has it for 60 min");
    // sqrt(5 x 60) min is halfway in the logarithm, and so is sqrt(6 x 20) mm.
    let between = at(300.0_f64.sqrt(), 2.0).unwrap();
    assert_relative_eq!(between.depth.as_mm(), 120.0_f64.sqrt(), max_relative = 1e-12);
    assert_eq!(between.how, "log-log in depth between 5 min and 60 min");
    let rarer = at(60.0, 20.0_f64.sqrt()).unwrap();
    assert_relative_eq!(rarer.depth.as_mm(), 600.0_f64.sqrt(), max_relative = 1e-12);
    assert_eq!(rarer.warnings[0].code, "return-period-interpolated");
    // Below 5 min: 6 mm in 5 min is 72 mm/h.
    let short = at(1.0, 2.0).unwrap();
    assert_relative_eq!(short.intensity.as_mm_per_h(), 72.0, max_relative = 1e-12);
    assert_eq!(short.warnings[0].code, "duration-below-table");
    assert!(matches!(at(1441.0, 2.0), Err(RainLookupError::Duration { .. })));
    assert!(matches!(at(f64::NAN, 2.0), Err(RainLookupError::NoDuration { .. })));
    assert!(matches!(at(0.0, 2.0), Err(RainLookupError::NoDuration { .. })));
    let error = at(60.0, 25.0).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the rainfall table has return periods from 2 to 10 years; 25 lies outside"
    );
    assert!(matches!(at(60.0, 1.0), Err(RainLookupError::Period { .. })));
}

#[test]
fn a_table_may_say_what_place_it_is_for() {
    let placed = ESTIMATES.replace("Degree\n", "Degree\nLongitude: -2.5 Degree\n");
    assert_eq!(read(&placed).place(), Some((-2.5, 1.0)));
    assert_eq!(read(ESTIMATES).place(), None, "half a place is none");
    assert_eq!(read(PLAIN).place(), None);
}

// 63.2 % a year is once in 1 / 0.632 = 1.582278 years, which every message prints as 1.58.
#[test]
fn a_return_period_may_be_typed_as_it_is_printed() {
    let text = "depth mm,1.582278,5\n5 min,6,10\n60 min,20,30\n";
    let table = read_rain_table(Path::new("x"), text.as_bytes()).unwrap().value;
    let found = table.depth(Time::from_min(5.0), crate::units::ReturnPeriod::new(1.58).unwrap()).unwrap();
    assert_relative_eq!(found.depth.as_mm(), 6.0, max_relative = 1e-12);
    assert!(found.warnings.is_empty());
}
