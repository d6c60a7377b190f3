//! Depths of rain by duration and return period, checked once.

use super::error::{Placed, RainFault};
use super::lookup::{DepthGrid, rises};
use crate::units::{Length, ReturnPeriod, Time};
use serde::Serialize;

/// Room for rounding where depths of two durations are compared.
const ROUNDING: f64 = 1.05;
/// A day's rain of a 100-year storm below this is no place's of the United States, m.
const LEAST_RARE_DAY_M: f64 = 0.025;

/// What a table counts in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum RainUnit {
    /// Depths in millimetres.
    #[serde(rename = "mm")]
    Mm,
    /// Depths in inches.
    #[serde(rename = "in")]
    In,
    /// Intensities in millimetres per hour.
    #[serde(rename = "mm/h")]
    MmPerH,
    /// Intensities in inches per hour.
    #[serde(rename = "in/h")]
    InPerH,
}

impl RainUnit {
    /// Name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::In => "in",
            Self::MmPerH => "mm/h",
            Self::InPerH => "in/h",
        }
    }

    /// Whether figures are intensities.
    #[must_use]
    pub const fn is_intensity(self) -> bool {
        matches!(self, Self::MmPerH | Self::InPerH)
    }

    /// Depth that a figure stands for at a duration.
    #[must_use]
    pub fn depth(self, figure: f64, duration: Time) -> Length {
        match self {
            Self::Mm => Length::from_mm(figure),
            Self::In => Length::from_in(figure),
            Self::MmPerH => Length::from_mm(figure * duration.as_h()),
            Self::InPerH => Length::from_in(figure * duration.as_h()),
        }
    }
}

/// Which storms were counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RainSeries {
    /// All large storms; the return period is the mean time between them.
    PartialDuration,
    /// The largest of each year; the return period is 1 over the chance of a year to have a larger one.
    AnnualMaximum,
    /// The table doesn't say.
    NotStated,
}

impl RainSeries {
    /// What a return period means in it.
    #[must_use]
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::PartialDuration => "partial duration series: mean number of years between storms as large",
            Self::AnnualMaximum => {
                "annual maximum series: 1 over the chance that a year has a larger storm; not converted to the time between storms"
            }
            Self::NotStated => "the table does not say which storms were counted",
        }
    }
}

/// How a table was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RainLayout {
    /// Point precipitation frequency estimates, United States.
    PointFrequency,
    /// Intensity, frequency and duration by annual exceedance probability, Australia.
    Australian,
    /// Station tables of amounts by return period, Canada.
    Canadian,
    /// Our own.
    Plain,
}

impl RainLayout {
    /// The last duration of a whole table, where the layout has one.
    pub(super) const fn usual_end(self) -> Option<Time> {
        match self {
            Self::PointFrequency => Some(Time::from_h(60.0 * 24.0)),
            // Some services' tables go on to a week, but each goes on to a day.
            Self::Australian | Self::Canadian => Some(Time::from_h(24.0)),
            Self::Plain => None,
        }
    }
}

/// What a table says of itself.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RainSource {
    /// How it was written.
    pub layout: RainLayout,
    /// Its unit.
    pub unit: RainUnit,
    /// Which storms were counted.
    pub series: RainSeries,
    /// Title, volume, station, place: lines of its head, as they stand there.
    pub says: Vec<String>,
}

/// One return period of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct RainColumn {
    /// Its label in the table.
    pub label: String,
    /// The return period.
    pub period: ReturnPeriod,
}

/// One duration of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct RainRow {
    /// Its label in the table.
    pub label: String,
    /// Its line in the file, from 1, if it has one.
    pub line: Option<usize>,
    /// The duration.
    pub duration: Time,
    /// Depths, one for each return period.
    pub depths: Vec<Length>,
}

/// Depths of rain by duration and return period.
///
/// # Invariants
/// At least two durations and one return period, both rising; depths are positive and never fall with either.
#[derive(Debug, Clone, PartialEq)]
pub struct RainTable {
    pub(super) source: RainSource,
    pub(super) mean: DepthGrid,
    /// Lower and upper bound of the 90 % interval.
    pub(super) bounds: Option<Box<[DepthGrid; 2]>>,
}

impl RainTable {
    /// Checks a table.
    ///
    /// # Errors
    /// [`RainFault`] with the row, the column and both values, for figures that are missing or not positive, durations
    /// or return periods that don't rise, depths that fall, rise faster than rain can, or are beyond anything on Earth.
    pub fn new(source: RainSource, columns: &[RainColumn], rows: &[RainRow]) -> Result<Self, RainFault> {
        Self::checked(source, columns, rows).map_err(|placed| placed.fault)
    }

    pub(super) fn checked(
        source: RainSource,
        columns: &[RainColumn],
        rows: &[RainRow],
    ) -> Result<Self, Placed> {
        check_columns(columns)?;
        check_rows(columns, rows)?;
        for (column, head) in columns.iter().enumerate() {
            for pair in rows.windows(2) {
                check_over_duration(head, column, &pair[0], &pair[1])?;
            }
        }
        for row in rows {
            check_over_periods(columns, row)?;
        }
        check_plausible(&source, columns, rows)?;
        Ok(Self { source, mean: DepthGrid::of(columns, rows), bounds: None })
    }

    /// Bounds on the durations and return periods of the table. They may fall with the return period, so only their
    /// sign is checked.
    pub(super) fn grid_of_bounds(
        &self,
        which: &'static str,
        columns: &[RainColumn],
        rows: &[RainRow],
    ) -> Result<DepthGrid, Placed> {
        if !self.durations().iter().copied().eq(rows.iter().map(|row| row.duration)) {
            return Err(RainFault::BoundsDiffer { which }.of_file());
        }
        check_rows(columns, rows)?;
        Ok(DepthGrid::of(columns, rows))
    }

    /// Longitude and latitude of the place that it is for, where its head has them.
    #[must_use]
    pub fn place(&self) -> Option<(f64, f64)> {
        let number = |name: &str| {
            let line = self.source.says.iter().find(|line| line.to_ascii_lowercase().starts_with(name))?;
            let mut words = line.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
            words.find_map(|word| word.parse::<f64>().ok())
        };
        number("longitude")
            .zip(number("latitude"))
            .filter(|(lon, lat)| lon.abs() <= 360.0 && lat.abs() <= 90.0)
    }

    /// What the table says of itself.
    #[must_use]
    pub const fn source(&self) -> &RainSource {
        &self.source
    }

    /// Durations, rising.
    #[must_use]
    pub fn durations(&self) -> &[Time] {
        &self.mean.durations
    }

    /// Return periods, rising.
    #[must_use]
    pub fn periods(&self) -> &[ReturnPeriod] {
        &self.mean.periods
    }

    /// Depth by place of the duration, then of the return period, if the table has them.
    #[must_use]
    pub fn at(&self, duration: usize, period: usize) -> Option<Length> {
        self.mean.depths.get(duration)?.get(period).copied()
    }
}

fn check_columns(columns: &[RainColumn]) -> Result<(), Placed> {
    if columns.is_empty() {
        return Err(RainFault::Header { reason: "it names no return period".to_owned() }.of_file());
    }
    match columns.windows(2).find(|pair| !rises(pair[0].period.get(), pair[1].period.get())) {
        Some(pair) => {
            Err(RainFault::PeriodOrder { column: pair[1].label.clone(), before: pair[0].label.clone() }
                .of_file())
        }
        None => Ok(()),
    }
}

fn placed(fault: RainFault, row: &RainRow) -> Placed {
    Placed { line: row.line, fault }
}

fn check_rows(columns: &[RainColumn], rows: &[RainRow]) -> Result<(), Placed> {
    if rows.len() < 2 {
        return Err(RainFault::TooFewRows { found: rows.len() }.of_file());
    }
    if let Some(pair) = rows.windows(2).find(|pair| !rises(pair[0].duration.as_s(), pair[1].duration.as_s()))
    {
        let fault = RainFault::DurationOrder { row: pair[1].label.clone(), before: pair[0].label.clone() };
        return Err(placed(fault, &pair[1]));
    }
    for row in rows {
        if row.depths.len() > columns.len() {
            let (found, expected) = (row.depths.len(), columns.len());
            return Err(placed(RainFault::TooManyCells { row: row.label.clone(), found, expected }, row));
        }
        if let Some(missing) = columns.get(row.depths.len()) {
            let fault = RainFault::Missing { row: row.label.clone(), column: missing.label.clone() };
            return Err(placed(fault, row));
        }
        for (head, depth) in columns.iter().zip(&row.depths) {
            if !(depth.as_m().is_finite() && depth.as_m() > 0.0) {
                let found = depth.as_mm();
                let fault =
                    RainFault::NotPositive { row: row.label.clone(), column: head.label.clone(), found };
                return Err(placed(fault, row));
            }
        }
    }
    Ok(())
}

fn check_over_duration(
    head: &RainColumn,
    column: usize,
    above: &RainRow,
    row: &RainRow,
) -> Result<(), Placed> {
    let (before_m, found_m) = (above.depths[column].as_m(), row.depths[column].as_m());
    let labels =
        || (head.label.clone(), row.label.clone(), in_both(found_m), above.label.clone(), in_both(before_m));
    if found_m < before_m {
        let (column, row_label, found, before_row, before) = labels();
        let fault = RainFault::FallsWithDuration { column, row: row_label, found, before_row, before };
        return Err(placed(fault, row));
    }
    // A long time is covered by so many short ones, none of which brings more than the largest short one.
    let spans = (row.duration / above.duration - 1e-9).ceil();
    if found_m > spans * before_m * ROUNDING {
        let (column, row_label, found, before_row, before) = labels();
        let fault = RainFault::RisesTooFast { column, row: row_label, found, before_row, before };
        return Err(placed(fault, row));
    }
    Ok(())
}

fn check_over_periods(columns: &[RainColumn], row: &RainRow) -> Result<(), Placed> {
    for (heads, depths) in columns.windows(2).zip(row.depths.windows(2)) {
        if depths[1] < depths[0] {
            let fault = RainFault::FallsWithPeriod {
                row: row.label.clone(),
                column: heads[1].label.clone(),
                found: in_both(depths[1].as_m()),
                before_column: heads[0].label.clone(),
                before: in_both(depths[0].as_m()),
            };
            return Err(placed(fault, row));
        }
    }
    Ok(())
}

/// Records for 24 hours lie below 2 m and for 5 minutes below 0.1 m (World Meteorological Organization; from memory). Where
/// the United States are driest, a day brings about 40 mm once in 100 years (their national service; from memory).
fn check_plausible(source: &RainSource, columns: &[RainColumn], rows: &[RainRow]) -> Result<(), Placed> {
    let rarest = columns.len() - 1;
    let refuse = |row: &RainRow, reason| {
        let fault = RainFault::Implausible {
            row: row.label.clone(),
            column: columns[rarest].label.clone(),
            found: in_both(row.depths[rarest].as_m()),
            reason,
            unit: source.unit.name(),
        };
        Err(placed(fault, row))
    };
    for row in rows {
        let (minutes, depth_m) = (row.duration.as_min(), row.depths[rarest].as_m());
        if minutes <= 5.0 && depth_m > 0.1 {
            return refuse(row, "more than ever fell in 5 minutes");
        }
        if minutes <= 1440.0 && depth_m > 2.5 {
            return refuse(row, "more than ever fell in 24 hours");
        }
        let is_rare = source.layout == RainLayout::PointFrequency && columns[rarest].period.get() >= 100.0;
        if is_rare && (minutes - 1440.0).abs() < 0.5 && depth_m < LEAST_RARE_DAY_M {
            return refuse(row, "less than any place in the United States has in 24 hours");
        }
    }
    match rows.last() {
        Some(last) if last.depths[rarest].as_mm() < 1.0 => refuse(last, "less than 1 mm at most"),
        _ => Ok(()),
    }
}

/// A depth in both units.
fn in_both(depth_m: f64) -> String {
    let depth = Length::from_m(depth_m);
    format!("{:.2} mm ({:.3} in)", depth.as_mm(), depth.as_in())
}
