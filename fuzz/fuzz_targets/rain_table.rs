//! The reader of rainfall tables: any bytes give a sound table or a refusal that fits on a line.

#![no_main]

use libfuzzer_sys::fuzz_target;
use lotshed::input::{RainTable, read_rain_table};
use lotshed::units::{Length, ReturnPeriod, Time};
use std::path::Path;

/// Room for the rounding of logarithms and powers.
const ROUNDING: f64 = 1e-9;
/// More than any message needs, however long the table's own words are.
const LONGEST_MESSAGE: usize = 500;

fuzz_target!(|bytes: &[u8]| {
    match read_rain_table(Path::new("fuzz"), bytes) {
        Ok(found) => {
            check_order(&found.value);
            check_between(&found.value);
            check_beyond(&found.value);
            // Warnings may name many rows and columns, but no line is broken.
            for warning in &found.warnings {
                assert!(!warning.message.contains(char::is_control), "{:?}", warning.message);
            }
        }
        Err(refused) => {
            let message = refused.to_string();
            assert!(message.starts_with("fuzz"));
            assert!(message.chars().count() <= LONGEST_MESSAGE, "{message}");
            assert!(!message.contains(char::is_control), "{message:?}");
            let lines = bytes.iter().filter(|&&byte| byte == b'\n').count() + 1;
            assert!(refused.line.is_none_or(|line| (1..=lines).contains(&line)), "{message}");
        }
    }
});

fn check_order(table: &RainTable) {
    let (durations, periods) = (table.durations(), table.periods());
    assert!(durations.len() >= 2 && !periods.is_empty());
    assert!(durations.windows(2).all(|pair| pair[0] < pair[1]));
    assert!(periods.windows(2).all(|pair| pair[0] < pair[1]));
    for row in 0..durations.len() {
        for column in 0..periods.len() {
            let depth = table.at(row, column).expect("it is in the table");
            assert!(depth.as_m() > 0.0 && depth.as_m().is_finite());
            assert!(row == 0 || table.at(row - 1, column) <= Some(depth));
            assert!(column == 0 || table.at(row, column - 1) <= Some(depth));
        }
    }
}

/// A table gives its own figures back, and between two of them neither less nor more than they are.
fn check_between(table: &RainTable) {
    let (durations, periods) = (table.durations(), table.periods());
    let depth = |duration: Time, period: ReturnPeriod| {
        let found = table.depth(duration, period).expect("it is in the table's range");
        let (depth, over) = (found.depth.as_m(), (found.intensity * duration).as_m());
        assert!((over / depth - 1.0).abs() <= ROUNDING);
        if let Some((lower, upper)) = found.bounds {
            assert!([lower, upper].iter().all(|bound| bound.as_m() > 0.0 && bound.as_m().is_finite()));
        }
        depth
    };
    let figure = |row, column| table.at(row, column).map_or(f64::NAN, Length::as_m);
    let within = |found: f64, low: f64, high: f64| {
        assert!(found >= low * (1.0 - ROUNDING) && found <= high * (1.0 + ROUNDING), "{low} {found} {high}");
    };
    for (row, &duration) in durations.iter().enumerate() {
        for (column, &period) in periods.iter().enumerate() {
            let own = figure(row, column);
            within(depth(duration, period), own, own);
            if let Some(&longer) = durations.get(row + 1) {
                let middle = Time::from_s((duration.as_s() * longer.as_s()).sqrt());
                within(depth(middle, period), own, figure(row + 1, column));
            }
            if let Some(rarer) = periods.get(column + 1) {
                let middle =
                    ReturnPeriod::new((period.get() * rarer.get()).sqrt()).expect("it is in the range");
                within(depth(duration, middle), own, figure(row, column + 1));
            }
        }
    }
    within(depth(durations[0] * 0.5, periods[0]), figure(0, 0) * 0.5, figure(0, 0) * 0.5);
}

/// Outside its range a table refuses.
fn check_beyond(table: &RainTable) {
    let (durations, periods) = (table.durations(), table.periods());
    let longest = durations[durations.len() - 1];
    for wrong in
        [Time::ZERO, Time::from_s(-1.0), Time::from_s(f64::NAN), Time::from_s(f64::INFINITY), longest * 1.01]
    {
        assert!(table.depth(wrong, periods[0]).is_err(), "{wrong:?}");
    }
    for factor in [0.99, 1.01] {
        let end = if factor < 1.0 { periods[0] } else { periods[periods.len() - 1] };
        if let Ok(wrong) = ReturnPeriod::new(end.get() * factor) {
            assert!(table.intensity(longest, wrong).is_err(), "{wrong:?}");
        }
    }
}
