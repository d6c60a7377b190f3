//! Sizes from typed numbers: the formulas of the stages without map, lots or files.
//!
//! Takes a [`Question`] of checked numbers, gives a [`Sheet`]: for each figure its value, the equation with the numbers
//! put in, and the source. Not a stage. Touches no files, prints nothing.

mod covers;
mod drain;
mod figure;
mod graphical;
mod question;
mod runoff;
mod storm_rain;
mod text;
mod time;

pub use drain::{Drain, PipeRow};
pub use figure::{Figure, Value, Worked};
pub use question::{
    Covered, FlowQuestion, GraphicalQuestion, Question, RainQuestion, StormGround, StormQuestion, Way,
    WayGround,
};
pub use storm_rain::StormRain;
pub use text::sheet_text;

use crate::interceptor::catalogue::CatalogueError;
use crate::output::CAUTIONS;
use crate::units::OutOfRange;
use crate::warning::Warning;
use serde::Serialize;

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

impl Sheet {
    /// Puts findings of the files that the question comes from before its own.
    pub fn warn_first(&mut self, found: Vec<Warning>) {
        let own = std::mem::take(&mut self.warnings);
        self.warn(found.into_iter().chain(own));
    }

    /// Says each warning once, though two figures may rest on the same look at a table.
    fn warn(&mut self, found: impl IntoIterator<Item = Warning>) {
        for warning in found {
            if !self.warnings.contains(&warning) {
                self.warnings.push(warning);
            }
        }
    }
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
    let rain = question.rain.as_ref().map(|rain| time::peak_rain(&mut sheet, rain, question.least_time));
    let time = rain.as_ref().and_then(|rain| rain.time);
    let flow = match (&question.flow, rain) {
        (Some(FlowQuestion::Given(flow)), _) => Some(*flow),
        (Some(FlowQuestion::Rational(coefficient, area)), Some(rain)) => {
            Some(runoff::peak(&mut sheet, *coefficient, rain.intensity, *area))
        }
        (Some(FlowQuestion::Covers(covers, years)), Some(rain)) => {
            let all = covers::composite(&mut sheet, covers, *years)?;
            let flow = runoff::peak(&mut sheet, all.coefficient, rain.intensity, all.area);
            // Where the way runs over fast ground nothing is known of the time of the slow.
            let early = rain.down.filter(|_| all.way_is_slow).and_then(|(rain, time)| {
                covers::early_peak(&mut sheet, rain, all.shedding, time, question.least_time)
            });
            Some(early.unwrap_or(flow))
        }
        _ => None,
    };
    if let Some(storm) = &question.storm {
        let shed = runoff::storm(&mut sheet, storm);
        let time = question.graphical.and_then(|asked| asked.time).or(time);
        if let (Some(asked), Some(shed), Some(time)) = (question.graphical, shed, time) {
            graphical::peak(&mut sheet, asked.basis, storm.rain.depth(), shed, time);
        }
    }
    if let Some(grade) = question.grade {
        sheet.drain = Some(drain::drain(&mut sheet, flow, grade)?);
    }
    Ok(sheet)
}

#[cfg(test)]
mod tests;
