//! Sizes from typed numbers: the formulas of the stages without map, lots or files.
//!
//! Takes a [`Question`] of checked numbers, gives a [`Sheet`]: for each figure its value, the equation with the numbers
//! put in, and the source. Not a stage. Touches no files, prints nothing.

mod drain;
mod figure;
mod runoff;
mod text;
mod time;

pub use drain::{Drain, PipeRow};
pub use figure::{Figure, Value, Worked};
pub use text::sheet_text;

use crate::formula::intensity_curve::IntensityCurve;
use crate::interceptor::catalogue::CatalogueError;
use crate::output::CAUTIONS;
use crate::units::{
    Area, CurveNumber, Flow, Grade, Length, OutOfRange, RainIntensity, RunoffCoefficient, Time,
};
use crate::warning::Warning;
use serde::Serialize;

/// Ground that water runs down: how long, how steep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// Along the water's way.
    pub length: Length,
    /// Fall by length.
    pub grade: Grade,
}

/// The rain of the peak.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RainQuestion {
    /// One intensity; with a way, its time of concentration is given too.
    Steady(RainIntensity, Option<Way>),
    /// A curve, for rain that lasts so long.
    Lasting(IntensityCurve, Time),
    /// A curve, for rain that lasts as long as water takes down the way.
    Down(IntensityCurve, Way),
}

/// What the flow is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FlowQuestion {
    /// Given.
    Given(Flow),
    /// To be worked out by the rational method, if the rain is given as well.
    Rational(RunoffCoefficient, Area),
}

/// A storm's runoff.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StormQuestion {
    /// Depth of rain.
    pub rain: Length,
    /// How the ground takes it in.
    pub number: CurveNumber,
    /// Ground that it falls on, for the volume.
    pub area: Option<Area>,
}

/// All that may be asked at once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Question {
    /// The slope of the ground, to be shown in the notations of the trade.
    pub slope: Option<Grade>,
    /// The rain.
    pub rain: Option<RainQuestion>,
    /// Least time of concentration.
    pub least_time: Time,
    /// The flow.
    pub flow: Option<FlowQuestion>,
    /// Grade that a drain is laid at.
    pub grade: Option<Grade>,
    /// The storm.
    pub storm: Option<StormQuestion>,
}

/// A question that can't be answered.
#[derive(Debug, thiserror::Error)]
pub enum SizingError {
    /// Numbers that no formula takes.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// The catalogue of sizes.
    #[error(transparent)]
    Catalogue(#[from] CatalogueError),
}

/// The answers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// Each figure, in the order in which one rests on the other.
    pub figures: Vec<Figure>,
    /// Pipes and swale; nothing without a grade.
    pub drain: Option<Drain>,
    /// Where a method is used beyond what it is meant for.
    pub warnings: Vec<Warning>,
    /// What every sizing must be read with.
    pub cautions: [&'static str; 2],
}

/// Answers a question.
///
/// # Errors
/// [`SizingError`] when a formula doesn't take the numbers.
pub fn size(question: &Question) -> Result<Sheet, SizingError> {
    let mut sheet = Sheet {
        figures: Vec::new(),
        drain: None,
        warnings: Vec::new(),
        cautions: [CAUTIONS[3], CAUTIONS[4]],
    };
    if let Some(slope) = question.slope {
        sheet.figures.push(Figure::plain("slope of the ground", Value::Grade(slope)));
    }
    let rain = question.rain.map(|rain| time::intensity(&mut sheet, &rain, question.least_time));
    let flow = match (question.flow, rain) {
        (Some(FlowQuestion::Given(flow)), _) => Some(flow),
        (Some(FlowQuestion::Rational(coefficient, area)), Some(rain)) => {
            Some(runoff::peak(&mut sheet, coefficient, rain, area))
        }
        _ => None,
    };
    if let Some(storm) = &question.storm {
        runoff::storm(&mut sheet, storm);
    }
    if let Some(grade) = question.grade {
        sheet.drain = Some(drain::drain(&mut sheet, flow, grade)?);
    }
    Ok(sheet)
}

#[cfg(test)]
mod tests;
