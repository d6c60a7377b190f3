//! Rainfall tables against figures of the United States' national service.
//!
//! Source: NOAA Atlas 14, Precipitation-Frequency Atlas of the United States; point answers of its data server for Fort
//! Myers, Florida (volume 9 version 2) and Irving, Texas (volume 11 version 2), both quoted second-hand. Figures at
//! 12 minutes are arithmetic on the quoted ones: 1.20 + 2/5 x 0.27 in, and 1.20 x (1.47 / 1.20)^(ln 1.2 / ln 1.5) in.
//!
//! Figures between marks `24-hr` and `60-day` of Fort Myers are left out here, as those of Irving between `60-min` and
//! `24-hr` are not quoted.

mod cases;

use cases::Cases;
use lotshed::input::{RainSeries, RainTable, RainUnit, read_rain_table};
use lotshed::units::{ReturnPeriod, Time};
use lotshed::warning::Warned;
use std::path::Path;

const YEARS: [f64; 10] = [1.0, 2.0, 5.0, 10.0, 25.0, 50.0, 100.0, 200.0, 500.0, 1000.0];

const FORT_MYERS: [(&str, &str); 10] = [
    ("5-min", "0.553,0.620,0.731,0.822,0.950,1.05,1.15,1.25,1.38,1.48"),
    ("10-min", "0.810,0.908,1.07,1.20,1.39,1.54,1.68,1.83,2.02,2.17"),
    ("15-min", "0.988,1.11,1.30,1.47,1.70,1.87,2.05,2.23,2.47,2.65"),
    ("30-min", "1.60,1.79,2.11,2.37,2.74,3.02,3.31,3.60,3.99,4.28"),
    ("60-min", "2.14,2.38,2.79,3.13,3.62,4.00,4.38,4.78,5.32,5.74"),
    ("2-hr", "2.69,2.98,3.47,3.90,4.49,4.97,5.46,5.97,6.66,7.20"),
    ("3-hr", "2.92,3.25,3.81,4.30,4.99,5.54,6.11,6.71,7.53,8.17"),
    ("6-hr", "3.23,3.70,4.50,5.18,6.16,6.94,7.75,8.60,9.76,10.7"),
    ("12-hr", "3.49,4.18,5.35,6.36,7.79,8.94,10.1,11.3,13.0,14.3"),
    ("24-hr", "4.01,4.76,6.09,7.28,9.05,10.5,12.1,13.7,16.1,18.0"),
];

const IRVING: [(&str, &str); 6] = [
    ("5-min", "0.421,0.489,0.601,0.693,0.818,0.912,1.01,1.10,1.24,1.34"),
    ("10-min", "0.674,0.783,0.964,1.11,1.31,1.47,1.62,1.77,1.96,2.11"),
    ("15-min", "0.840,0.975,1.20,1.38,1.63,1.82,2.00,2.20,2.45,2.64"),
    ("30-min", "1.17,1.35,1.66,1.91,2.25,2.50,2.76,3.03,3.38,3.66"),
    ("60-min", "1.52,1.76,2.17,2.50,2.95,3.29,3.63,4.00,4.50,4.90"),
    ("24-hr", "3.29,3.95,5.00,5.89,7.17,8.19,9.27,10.4,12.1,13.5"),
];

/// A file as the service lays it out.
fn file(volume: &str, place: (&str, &str), header: &str, rows: &[(&str, &str)]) -> String {
    let (latitude, longitude) = place;
    let rows: String = rows.iter().flat_map(|(label, figures)| [*label, ":, ", *figures, "\n"]).collect();
    format!(
        "Point precipitation frequency estimates (inches)\nNOAA Atlas 14 {volume}\n\
         Data type: Precipitation depth\nTime series type: {}\nLocation name (ESRI Maps): None\n\
         Station Name: None\nLatitude: {latitude} Degree\nLongitude: {longitude} Degree\n\
         Elevation (USGS): None None\n\n\nPRECIPITATION FREQUENCY ESTIMATES\n{header}\n{rows}\n\
         Date/time (GMT):  Sun Jun  7 07:54:20 2026\n",
        if header.contains("AEP") { "Annual maximum" } else { "Partial duration" },
    )
}

const PARTIAL: &str = "by duration for ARI (years):, 1,2,5,10,25,50,100,200,500,1000";

#[expect(clippy::unwrap_used, reason = "the quoted answer is sound")]
fn fort_myers() -> Warned<RainTable> {
    let text = file("Volume 9 Version 2", ("26.6", "-81.9"), PARTIAL, &FORT_MYERS);
    read_rain_table(Path::new("fort-myers.csv"), text.as_bytes()).unwrap()
}

#[expect(clippy::unwrap_used, reason = "the return periods are in range")]
fn t(years: f64) -> ReturnPeriod {
    ReturnPeriod::new(years).unwrap()
}

#[test]
fn fort_myers_as_the_service_answers() {
    let mut cases = Cases::default();
    let Warned { value: table, warnings } = fort_myers();
    assert_eq!(warnings.iter().map(|w| w.code).collect::<Vec<_>>(), ["rain-table-short"]);
    assert_eq!((table.source().unit, table.source().series), (RainUnit::In, RainSeries::PartialDuration));
    assert!(table.source().says.contains(&"NOAA Atlas 14 Volume 9 Version 2".to_owned()));
    assert_eq!(table.periods().iter().map(|p| p.get()).collect::<Vec<_>>(), YEARS);
    let inches = |minutes: f64, years: f64| {
        let found = table.depth(Time::from_min(minutes), t(years)).unwrap();
        assert!(found.warnings.is_empty());
        (found.depth.as_in(), found.intensity.as_in_per_h())
    };
    cases.near("24 h, 100 yr, in", inches(1440.0, 100.0).0, 12.1, 1e-9);
    cases.near("15 min, 10 yr, in", inches(15.0, 10.0).0, 1.47, 1e-9);
    for (minutes, printed) in [(5.0, 9.864), (10.0, 7.20), (15.0, 5.88), (30.0, 4.74), (60.0, 3.13)] {
        cases.near(&format!("{minutes} min, 10 yr, in/h"), inches(minutes, 10.0).1, printed, 1e-9);
    }
    // Log-log; the straight line would give 6.540.
    cases.near("12 min, 10 yr, in/h", inches(12.0, 10.0).1, 6.573, 0.0005);
    assert_eq!(cases.0, 8);
}

#[test]
fn all_figures_of_both_stations_come_back() {
    let mut cases = Cases::default();
    let irving = file("Volume 11 Version 2", ("32.8687", "-96.9737"), PARTIAL, &IRVING);
    let irving = read_rain_table(Path::new("irving.csv"), irving.as_bytes()).unwrap().value;
    for (name, table, rows) in
        [("Fort Myers", fort_myers().value, &FORT_MYERS[..]), ("Irving", irving, &IRVING[..])]
    {
        for (row, (label, figures)) in rows.iter().enumerate() {
            for (column, printed) in figures.split(',').enumerate() {
                let found = table.at(row, column).unwrap().as_in();
                cases.near(&format!("{name}, {label}"), found, printed.parse().unwrap(), 1e-12);
            }
        }
    }
    assert_eq!(cases.0, 160);
}

#[test]
fn annual_maximum_headers_give_2_to_1000_years() {
    let header = "by duration for AEP:, '1/2,'1/5,'1/10,'1/25,'1/50,'1/100,'1/200,'1/500,'1/1000";
    // The annual series has no 1-year column; the figures only fill the places.
    let rows: Vec<(&str, &str)> =
        FORT_MYERS.iter().map(|(label, figures)| (*label, figures.split_once(',').unwrap().1)).collect();
    let text = file("Volume 9 Version 2", ("26.6", "-81.9"), header, &rows);
    let table = read_rain_table(Path::new("annual.csv"), text.as_bytes()).unwrap().value;
    assert_eq!(table.source().series, RainSeries::AnnualMaximum);
    assert_eq!(table.periods().iter().map(|p| p.get()).collect::<Vec<_>>(), YEARS[1..]);
}

#[test]
fn without_its_header_the_file_is_refused() {
    let text = file("Volume 9 Version 2", ("26.6", "-81.9"), PARTIAL, &FORT_MYERS).replace(PARTIAL, "");
    let error = read_rain_table(Path::new("headless.csv"), text.as_bytes()).unwrap_err();
    assert!(error.to_string().starts_with("headless.csv: no rainfall table was found"), "{error}");
}

/// More rain, or as much, in a longer or rarer storm; less intensity in a longer one.
#[test]
fn between_its_figures_rain_rises_as_it_must() {
    let table = fort_myers().value;
    let mut compared = 0;
    for years in [1.0, 1.7, 2.0, 10.0, 33.0, 100.0, 999.0] {
        let at = |minutes: f64| table.depth(Time::from_min(minutes), t(years)).unwrap();
        for minute in 1..1440_u32 {
            let (now, next) = (at(f64::from(minute)), at(f64::from(minute + 1)));
            assert!(next.depth >= now.depth, "{minute} min, {years} yr");
            assert!(next.intensity.as_m_per_s() <= now.intensity.as_m_per_s() * (1.0 + 1e-12));
            compared += 1;
        }
    }
    for minutes in [3.0, 5.0, 12.0, 60.0, 500.0, 1440.0] {
        let at = |years: f64| table.depth(Time::from_min(minutes), t(years)).unwrap().depth;
        for year in 1..1000_u32 {
            assert!(at(f64::from(year + 1)) >= at(f64::from(year)), "{minutes} min, {year} yr");
            compared += 1;
        }
    }
    assert_eq!(compared, 7 * 1439 + 6 * 999);
}
