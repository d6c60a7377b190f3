//! The design rain: how hard it rains for how long.

use crate::formula::intensity_curve::IntensityCurve;
use crate::input::{DepthCourse, RainLookupError, RainTable};
use crate::units::{Length, RainIntensity, ReturnPeriod, Time};
use crate::warning::{Warned, Warning};
use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};

/// Where intensities come from.
#[derive(Debug, Clone, PartialEq)]
pub enum Source {
    /// One intensity for every duration, given by the user.
    Steady(RainIntensity),
    /// A curve over duration, given by the user for one return period.
    Curve(IntensityCurve),
    /// A table of depths by duration and return period.
    Table(Box<RainTable>),
}

/// The rain that things are sized for.
#[derive(Debug, Clone, PartialEq)]
pub struct Rain {
    source: Source,
    years: Option<ReturnPeriod>,
    /// The table's column, read over and over.
    course: Option<DepthCourse>,
}

/// Rain of one duration.
#[derive(Debug, Clone, PartialEq)]
pub struct RainAt {
    /// How long it lasts; nothing for an intensity that holds for every duration.
    pub duration: Option<Time>,
    /// Its mean intensity.
    pub intensity: RainIntensity,
    /// How it was found, in words.
    pub how: String,
}

impl Rain {
    /// One intensity, whatever the duration.
    #[must_use]
    pub const fn steady(intensity: RainIntensity, years: Option<ReturnPeriod>) -> Self {
        Self { source: Source::Steady(intensity), years, course: None }
    }

    /// A curve over duration.
    #[must_use]
    pub const fn curve(curve: IntensityCurve, years: Option<ReturnPeriod>) -> Self {
        Self { source: Source::Curve(curve), years, course: None }
    }

    /// A column of a table.
    ///
    /// # Errors
    /// [`RainLookupError`] when the return period lies outside the table.
    pub fn table(table: RainTable, years: ReturnPeriod) -> Result<Self, RainLookupError> {
        let course = Some(table.course(years)?);
        Ok(Self { source: Source::Table(Box::new(table)), years: Some(years), course })
    }

    /// Mean number of years between storms as large, when known.
    #[must_use]
    pub const fn years(&self) -> Option<ReturnPeriod> {
        self.years
    }

    /// Whether rain that lasts longer is weaker.
    #[must_use]
    pub const fn falls_with_duration(&self) -> bool {
        !matches!(self.source, Source::Steady(_))
    }

    /// The longest rain of which something is known: that of a table's last duration, any of a curve as long
    /// as its depth doesn't fall; nothing where one intensity stands for every duration.
    #[must_use]
    pub fn longest(&self) -> Option<Time> {
        match &self.source {
            Source::Steady(_) => None,
            Source::Curve(curve) => Some(curve.depth_falls_from().unwrap_or(Time::from_s(f64::INFINITY))),
            Source::Table(table) => Some(longest(table)),
        }
    }

    /// Where the intensities come from.
    #[must_use]
    pub const fn source(&self) -> &Source {
        &self.source
    }
}

impl Rain {
    /// Rain that lasts `duration`.
    ///
    /// Below and above the table's durations its first and last intensity hold, with a warning.
    #[must_use]
    pub fn at(&self, duration: Time) -> Warned<RainAt> {
        match &self.source {
            Source::Steady(intensity) => {
                let how = "given by the user for every duration".to_owned();
                Warned::clean(RainAt { duration: None, intensity: *intensity, how })
            }
            Source::Curve(curve) => {
                let how = format!("by the curve {}", curve.words());
                let rain = RainAt { duration: Some(duration), intensity: curve.intensity(duration), how };
                Warned::new(
                    rain,
                    curve.depth_falls_from().filter(|from| duration > *from).map(falls).into_iter().collect(),
                )
            }
            Source::Table(table) => self.of_table(table, duration),
        }
    }

    /// The intensity alone of rain that lasts `duration`.
    #[must_use]
    pub fn intensity(&self, duration: Time) -> RainIntensity {
        match (&self.source, &self.course) {
            (Source::Table(_), Some(course)) => course.intensity(duration),
            (Source::Steady(intensity), _) => *intensity,
            (Source::Curve(curve), _) => curve.intensity(duration),
            (Source::Table(_), None) => self.at(duration).value.intensity,
        }
    }

    fn of_table(&self, table: &RainTable, duration: Time) -> Warned<RainAt> {
        let longest = longest(table);
        let beyond = duration.as_s() > longest.as_s();
        let asked = if beyond { longest } else { duration };
        // `Rain::table` has seen to it that there is a return period, and that the table has it.
        let found =
            self.years.and_then(|years| table.depth(asked, years).ok()).expect("the table was asked before");
        let mut warnings = found.warnings;
        if beyond {
            warnings.push(Warning::new(
                "duration-beyond-table",
                format!(
                    "a storm lasts as long as water takes, longer than the {:.1} h at which the rainfall table ends, whose intensity is used",
                    longest.as_h()
                ),
                "give a table with longer durations",
            ));
        }
        let intensity = self.course.as_ref().map_or(found.intensity, |course| course.intensity(duration));
        let how = if intensity.as_m_per_s() > found.intensity.as_m_per_s() * (1.0 + ROUNDING) {
            format!("{}; longer rain is stronger by the table's rounding, and counts", found.how)
        } else {
            found.how
        };
        let rain = RainAt { duration: Some(duration), intensity, how };
        Warned::new(rain, warnings)
    }

    /// Whether it is looked up in a table.
    #[must_use]
    pub const fn is_by_table(&self) -> bool {
        matches!(self.source, Source::Table(_))
    }

    /// Longitude and latitude of the place that a table is for, where it says it.
    #[must_use]
    pub fn place(&self) -> Option<(f64, f64)> {
        match &self.source {
            Source::Table(table) => table.place(),
            Source::Steady(_) | Source::Curve(_) => None,
        }
    }

    /// Where the intensities come from, in words.
    #[must_use]
    pub fn words(&self) -> String {
        match &self.source {
            Source::Steady(intensity) => format!("{} mm/h for every duration", intensity.as_mm_per_h()),
            Source::Curve(curve) => curve.words(),
            Source::Table(table) => {
                let source = table.source();
                let says = if source.says.is_empty() {
                    String::new()
                } else {
                    format!(": {}", source.says.join("; "))
                };
                format!("rainfall table ({}){says}", source.series.meaning())
            }
        }
    }

    /// Depth of the 24-hour rain of the design's return period, if there is a table.
    #[must_use]
    pub fn day_depth(&self) -> Option<Length> {
        self.depth(self.years?)
    }

    /// Depth of the 2-year, 24-hour rain, if the table has it.
    #[must_use]
    pub fn two_year_day(&self) -> Option<Length> {
        self.depth(ReturnPeriod::new(2.0).ok()?)
    }

    /// What must be said of how the depths of a day were looked up.
    #[must_use]
    pub fn day_warnings(&self) -> Vec<Warning> {
        let Source::Table(table) = &self.source else { return Vec::new() };
        let asked = [self.years, ReturnPeriod::new(2.0).ok()].into_iter().flatten();
        asked
            .filter_map(|years| table.depth(Time::from_h(24.0), years).ok())
            .flat_map(|found| found.warnings)
            .collect()
    }

    fn depth(&self, years: ReturnPeriod) -> Option<Length> {
        let Source::Table(table) = &self.source else { return None };
        table.depth(Time::from_h(24.0), years).ok().map(|found| found.depth)
    }
}

/// Intensities that differ by no more than this are the same.
const ROUNDING: f64 = 1e-9;

/// A curve is used where longer rain is less in all.
fn falls(from: Time) -> Warning {
    Warning::new(
        "rain-curve-falls",
        format!(
            "by the rainfall curve, rain of more than {:.1} min brings less the longer it lasts",
            from.as_min()
        ),
        "check the curve's exponent, its unit, and the durations that it was made for",
    )
}

/// The longest duration of a table, which has some.
fn longest(table: &RainTable) -> Time {
    table.durations().last().copied().unwrap_or(Time::ZERO)
}

impl Serialize for Rain {
    /// As the record of settings shows it.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_struct("Rain", 2)?;
        map.serialize_field("source", &self.words())?;
        map.serialize_field("return_period_years", &self.years)?;
        map.end()
    }
}
