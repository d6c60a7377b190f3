//! Depth and intensity between the figures of a table.

use super::table::{RainColumn, RainRow, RainTable};
use super::text::{in_words, shortest};
use crate::units::{Length, RainIntensity, ReturnPeriod, Time};
use crate::warning::Warning;
use miette::Diagnostic;

/// Durations, and return periods, that differ by no more than this part are the same.
const SAME: f64 = 1e-9;

/// Whether the second of two durations or return periods is larger by more than looking up takes for the same, so that
/// both can be asked for.
pub(super) fn rises(before: f64, next: f64) -> bool {
    next > before * (1.0 + 2.0 * SAME)
}

/// Rain that a table can't tell.
#[derive(Debug, Clone, PartialEq, thiserror::Error, Diagnostic)]
pub enum RainLookupError {
    /// Longer than the longest duration.
    #[error("the rainfall table reaches from {shortest} to {longest}; {asked} is longer")]
    #[diagnostic(code("duration-beyond-table"), help("give a table with longer durations"))]
    Duration {
        /// Shortest duration of the table.
        shortest: String,
        /// Longest duration of the table.
        longest: String,
        /// Duration asked for.
        asked: String,
    },
    /// Not a duration.
    #[error("a storm of {seconds} s has no depth")]
    #[diagnostic(code("duration-unusable"), help("give a duration above 0"))]
    NoDuration {
        /// The number given.
        seconds: f64,
    },
    /// More frequent or rarer than the table's return periods.
    #[error("the rainfall table has return periods from {least} to {most} years; {asked} lies outside")]
    #[diagnostic(code("return-period-beyond-table"), help("choose a return period that the table covers"))]
    Period {
        /// Shortest return period of the table.
        least: String,
        /// Longest return period of the table.
        most: String,
        /// Return period asked for.
        asked: String,
    },
}

/// Rain of one duration and return period.
#[derive(Debug, Clone, PartialEq)]
pub struct Interpolated {
    /// Depth.
    pub depth: Length,
    /// Mean intensity over the duration.
    pub intensity: RainIntensity,
    /// Lower and upper bound of the 90 % interval of the depth, if the table has them.
    pub bounds: Option<(Length, Length)>,
    /// How it was found, in words.
    pub how: String,
    /// What must be known of it.
    pub warnings: Vec<Warning>,
}

/// Depths on durations and return periods.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct DepthGrid {
    pub(super) durations: Vec<Time>,
    pub(super) periods: Vec<ReturnPeriod>,
    pub(super) depths: Vec<Vec<Length>>,
}

/// A place between two rows or columns, or on one of them.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Between {
    low: usize,
    high: usize,
    /// 0 at the lower one, 1 at the higher one.
    part: f64,
}

impl Between {
    /// Where the logarithm of `value` lies among rising `marks`.
    fn find(marks: &[f64], value: f64) -> Self {
        if let Some(at) = marks.iter().position(|mark| (mark / value - 1.0).abs() <= SAME) {
            return Self { low: at, high: at, part: 0.0 };
        }
        let last = marks.len() - 1;
        let high = marks.iter().position(|&mark| mark > value).unwrap_or(last).max(1).min(last);
        let low = high.saturating_sub(1);
        let part =
            if low == high { 0.0 } else { (value / marks[low]).ln() / (marks[high] / marks[low]).ln() };
        Self { low, high, part: part.clamp(0.0, 1.0) }
    }

    fn is_exact(self) -> bool {
        self.low == self.high
    }

    /// Straight in the logarithm of the figures.
    fn join(self, low: f64, high: f64) -> f64 {
        if self.is_exact() { low } else { low * (high / low).powf(self.part) }
    }
}

impl DepthGrid {
    pub(super) fn of(columns: &[RainColumn], rows: &[RainRow]) -> Self {
        Self {
            durations: rows.iter().map(|row| row.duration).collect(),
            periods: columns.iter().map(|column| column.period).collect(),
            depths: rows.iter().map(|row| row.depths.clone()).collect(),
        }
    }

    fn at(&self, duration: Between, period: Between) -> Length {
        let row = |row: usize| {
            let depths = &self.depths[row];
            period.join(depths[period.low].as_m(), depths[period.high].as_m())
        };
        Length::from_m(duration.join(row(duration.low), row(duration.high)))
    }
}

/// Depths of one return period by duration: a column to be read many times.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthCourse {
    seconds: Vec<f64>,
    depths_m: Vec<f64>,
    /// The largest intensity of each row and those below it, m/s.
    strongest: Vec<f64>,
}

impl DepthCourse {
    fn new(seconds: Vec<f64>, depths_m: Vec<f64>) -> Self {
        let mut strongest: Vec<f64> = depths_m.iter().zip(&seconds).map(|(m, s)| m / s).collect();
        for row in (1..strongest.len()).rev() {
            strongest[row - 1] = strongest[row - 1].max(strongest[row]);
        }
        Self { seconds, depths_m, strongest }
    }

    /// Mean intensity, as [`RainTable::intensity`] gives it; beyond the longest duration that of the longest.
    ///
    /// Never less than that of longer rain: rounding may make the intensities of a table rise with duration by a little, and
    /// the strongest part of a long rain is no weaker than all of it.
    #[must_use]
    pub fn intensity(&self, duration: Time) -> RainIntensity {
        let (first, last) = (self.seconds[0], self.seconds[self.seconds.len() - 1]);
        let asked = duration.as_s().clamp(first, last);
        let between = Between::find(&self.seconds, asked);
        let depth_m = between.join(self.depths_m[between.low], self.depths_m[between.high]);
        let longer = self.strongest[between.high];
        RainIntensity::from_m_per_s((depth_m / asked).max(longer))
    }
}

impl RainTable {
    /// Depth and intensity of a storm.
    ///
    /// # Method
    /// Between durations, the logarithm of the depth is straight in the logarithm of the duration; between return
    /// periods in that of the return period. Shorter than the shortest duration, its intensity is kept.
    ///
    /// # Valid range
    /// Up to the longest duration and within the return periods of the table. More rain with a longer duration or
    /// return period, or as much.
    ///
    /// # Warnings
    /// `return-period-interpolated`, `duration-below-table`.
    ///
    /// # Errors
    /// [`RainLookupError`] outside the range.
    ///
    /// # Example
    /// ```
    /// use lotshed::input::read_rain_table;
    /// use lotshed::units::{ReturnPeriod, Time};
    /// let text = b"depth mm,2 yr,8 yr\n10 min,8,16\n40 min,16,32\n";
    /// let table = read_rain_table("invented.csv".as_ref(), text).unwrap().value;
    /// // Halfway in the logarithms: 20 min lies between 10 and 40 as 4 yr between 2 and 8.
    /// let rain = table.depth(Time::from_min(20.0), ReturnPeriod::new(4.0).unwrap()).unwrap();
    /// assert!((rain.depth.as_mm() - 16.0).abs() < 1e-9);
    /// assert!((rain.intensity.as_mm_per_h() - 48.0).abs() < 1e-9);
    /// assert_eq!(rain.warnings[0].code, "return-period-interpolated");
    /// ```
    pub fn depth(&self, duration: Time, period: ReturnPeriod) -> Result<Interpolated, RainLookupError> {
        let mut warnings = Vec::new();
        let column = self.column(period, &mut warnings)?;
        let row = self.row(duration, &mut warnings)?;
        let shortest = self.mean.durations[0];
        let scale = if duration < shortest { duration / shortest } else { 1.0 };
        let read = |grid: &DepthGrid| grid.at(row, column) * scale;
        let depth = read(&self.mean);
        Ok(Interpolated {
            depth,
            intensity: depth / duration,
            bounds: self.bounds.as_deref().map(|[lower, upper]| (read(lower), read(upper))),
            how: self.how(row, column, scale < 1.0),
            warnings,
        })
    }

    /// Intensity of a storm: [`RainTable::depth`] over its duration.
    ///
    /// # Errors
    /// As [`RainTable::depth`].
    pub fn intensity(&self, duration: Time, period: ReturnPeriod) -> Result<RainIntensity, RainLookupError> {
        self.depth(duration, period).map(|found| found.intensity)
    }

    /// Depths of a return period by duration.
    ///
    /// # Errors
    /// [`RainLookupError`] for a return period outside the table.
    pub fn course(&self, period: ReturnPeriod) -> Result<DepthCourse, RainLookupError> {
        let column = self.column(period, &mut Vec::new())?;
        let on_row = |row: usize| self.mean.at(Between { low: row, high: row, part: 0.0 }, column).as_m();
        Ok(DepthCourse::new(
            self.mean.durations.iter().map(|duration| duration.as_s()).collect(),
            (0..self.mean.durations.len()).map(on_row).collect(),
        ))
    }

    fn column(&self, period: ReturnPeriod, warnings: &mut Vec<Warning>) -> Result<Between, RainLookupError> {
        let years: Vec<f64> = self.mean.periods.iter().map(|p| p.get()).collect();
        let (least, most) = (years[0], years[years.len() - 1]);
        // As the messages print it: 1.58 stands for 1.5820, the storm of 63.2 % a year.
        let is_printed_alike = |years: &f64| shortest(*years) == shortest(period.get());
        let asked = years.iter().copied().find(is_printed_alike).unwrap_or(period.get());
        if asked < least * (1.0 - SAME) || asked > most * (1.0 + SAME) {
            return Err(RainLookupError::Period {
                least: shortest(least),
                most: shortest(most),
                asked: shortest(asked),
            });
        }
        let found = Between::find(&years, asked);
        if !found.is_exact() {
            warnings.push(Warning::new(
                "return-period-interpolated",
                format!(
                    "the rainfall table has no {}-year storm; it was put between those of {} and {} years",
                    shortest(asked),
                    shortest(years[found.low]),
                    shortest(years[found.high])
                ),
                "choose a return period that the table has",
            ));
        }
        Ok(found)
    }

    fn row(&self, duration: Time, warnings: &mut Vec<Warning>) -> Result<Between, RainLookupError> {
        let seconds: Vec<f64> = self.mean.durations.iter().map(|d| d.as_s()).collect();
        let asked = duration.as_s();
        if !(asked.is_finite() && asked > 0.0) {
            return Err(RainLookupError::NoDuration { seconds: asked });
        }
        let (first, last) = (self.mean.durations[0], self.mean.durations[seconds.len() - 1]);
        if asked > last.as_s() * (1.0 + SAME) {
            return Err(RainLookupError::Duration {
                shortest: in_words(first),
                longest: in_words(last),
                asked: in_words(duration),
            });
        }
        if asked < first.as_s() * (1.0 - SAME) {
            warnings.push(Warning::new(
                "duration-below-table",
                format!(
                    "the rainfall table begins at {}; its intensity is taken for shorter storms as well",
                    in_words(first)
                ),
                "shorter storms are fiercer still; give a table with shorter durations if it matters",
            ));
            return Ok(Between { low: 0, high: 0, part: 0.0 });
        }
        Ok(Between::find(&seconds, asked))
    }

    fn how(&self, row: Between, column: Between, is_short: bool) -> String {
        let name = |at: usize| in_words(self.mean.durations[at]);
        let years = |at: usize| shortest(self.mean.periods[at].get());
        let over_time = if is_short {
            format!("intensity of the shortest duration, {}", name(0))
        } else if row.is_exact() {
            format!("as the table has it for {}", name(row.low))
        } else {
            format!("log-log in depth between {} and {}", name(row.low), name(row.high))
        };
        if column.is_exact() {
            over_time
        } else {
            format!(
                "{over_time}; log-log in depth between {} and {} years",
                years(column.low),
                years(column.high)
            )
        }
    }
}
