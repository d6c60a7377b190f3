//! What a pipe must keep to.

use super::GroundPoint;
use super::outfall::{BANK_M, END_PIECE_M, OPEN_M, Outfall, RunOut};
use crate::units::{Grade, Length};

/// Limits or places that make no sense.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum LimitsError {
    /// A depth that can't be.
    #[error("the {what} of {found_m} m is not a finite number of 0 or more")]
    Depth {
        /// Which.
        what: &'static str,
        /// The number found.
        found_m: f64,
    },
    /// Grades in the wrong order.
    #[error("the least grade of {least} is above the greatest of {greatest}")]
    Grades {
        /// The least.
        least: f64,
        /// The greatest.
        greatest: f64,
    },
    /// Too few places, or one that doesn't lie beyond the one before.
    #[error("place {place} of the line is at {found_m} m: places must be finite, rise, and be two or more")]
    Places {
        /// Which, from 1.
        place: usize,
        /// Its station, or its level where that isn't finite.
        found_m: f64,
    },
}

/// Limits of a profile.
///
/// # Invariants
/// Depths are finite and 0 or more; the least grade is no more than the greatest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProfileLimits {
    least_depth_m: f64,
    below_m: f64,
    greatest_cut_m: f64,
    grades: [f64; 2],
    outfall: Outfall,
    run_out: RunOut,
    crown_m: f64,
    head_m: Option<f64>,
    under: Option<Under>,
}

/// A level that the invert lies no higher than from a place on: another pipe passes above, or comes in there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Under {
    /// The place along the line, m.
    pub station_m: f64,
    /// The level, m.
    pub level_m: f64,
}

impl ProfileLimits {
    /// From the depth of the invert below the ground at the least (cover, pipe, wall), what is dug below the invert
    /// (wall, bedding), the greatest depth of the trench, the least and the greatest grade, and where the pipe ends.
    ///
    /// # Errors
    /// [`LimitsError::Depth`], [`LimitsError::Grades`].
    pub fn new(
        least_depth: Length,
        below: Length,
        greatest_cut: Length,
        [least, greatest]: [Grade; 2],
        outfall: Outfall,
    ) -> Result<Self, LimitsError> {
        for (what, length) in
            [("least depth", least_depth), ("depth below the invert", below), ("greatest cut", greatest_cut)]
        {
            let found_m = length.as_m();
            if !(found_m.is_finite() && found_m >= 0.0) {
                return Err(LimitsError::Depth { what, found_m });
            }
        }
        if least.get() > greatest.get() {
            return Err(LimitsError::Grades { least: least.get(), greatest: greatest.get() });
        }
        if let Some(found_m) = outfall.invert_m()
            && !found_m.is_finite()
        {
            return Err(LimitsError::Depth { what: "outlet's invert", found_m });
        }
        Ok(Self {
            least_depth_m: least_depth.as_m(),
            below_m: below.as_m(),
            greatest_cut_m: greatest_cut.as_m(),
            grades: [least.get(), greatest.get()],
            outfall,
            run_out: RunOut::Short,
            crown_m: 0.0,
            head_m: None,
            under: None,
        })
    }

    /// The same for a pipe whose top lies so high over its invert: before a mouth in the open no more than [`END_PIECE_M`] of it may
    /// stand out of the ground.
    #[must_use]
    pub const fn with_crown(self, above_invert: Length) -> Self {
        Self { crown_m: above_invert.as_m(), ..self }
    }

    /// The same with another way for the depth to run out before a mouth in the open.
    #[must_use]
    pub const fn with_run_out(self, run_out: RunOut) -> Self {
        Self { run_out, ..self }
    }

    /// The longest piece of a lead over which the depth may run out: no more than 10 m of it in a bank.
    #[must_use]
    pub fn longest_run_out_m(&self, lead_m: f64) -> f64 {
        if self.crown_m > 0.0 { lead_m.min(BANK_M * self.least_depth_m / self.crown_m) } else { lead_m }
    }

    /// Length over which cover may run out before the pipe's end, m; 0 where it doesn't end in the open.
    #[must_use]
    pub const fn run_out_m(&self) -> f64 {
        match (self.outfall, self.run_out) {
            (Outfall::At(_) | Outfall::Free, _) => 0.0,
            (Outfall::Open(_), RunOut::Short) => OPEN_M,
            (Outfall::Open(_), RunOut::Long(length_m)) => length_m,
        }
    }

    /// Length of pipe that may stand out of the ground before its end, m.
    #[must_use]
    pub fn bare_m(&self) -> f64 {
        match (self.outfall, self.run_out) {
            (Outfall::At(_) | Outfall::Free, _) => 0.0,
            (Outfall::Open(_), RunOut::Short) => END_PIECE_M,
            (Outfall::Open(_), RunOut::Long(length_m)) => {
                END_PIECE_M.max(length_m * (self.crown_m / self.least_depth_m).clamp(0.0, 1.0))
            }
        }
    }

    /// The same with an upper end no higher than a level, m: another pipe comes in there.
    ///
    /// # Errors
    /// [`LimitsError::Depth`] for a level that is none.
    pub fn below_head(self, head_m: Option<f64>) -> Result<Self, LimitsError> {
        match head_m {
            Some(found_m) if !found_m.is_finite() => {
                Err(LimitsError::Depth { what: "level of the upper end", found_m })
            }
            _ => Ok(Self { head_m, ..self }),
        }
    }

    /// The same with an invert no higher than a level at a place.
    ///
    /// # Errors
    /// [`LimitsError::Depth`] for a level that is none.
    pub fn passing_under(self, under: Option<Under>) -> Result<Self, LimitsError> {
        match under {
            Some(Under { level_m: found_m, .. }) if !found_m.is_finite() => {
                Err(LimitsError::Depth { what: "level at a place", found_m })
            }
            _ => Ok(Self { under, ..self }),
        }
    }

    /// The level that the invert lies no higher than at a place, where there is one.
    #[must_use]
    pub const fn under(&self) -> Option<Under> {
        self.under
    }

    /// Level that the upper end lies no higher than, m, where there is one.
    #[must_use]
    pub const fn head_m(&self) -> Option<f64> {
        self.head_m
    }

    /// Depth of the invert below the ground, at the least.
    #[must_use]
    pub const fn least_depth_m(&self) -> f64 {
        self.least_depth_m
    }

    /// The same so far from the pipe's end, m.
    #[must_use]
    pub fn least_depth_at_m(&self, from_end_m: f64) -> f64 {
        let running_out_m = |over_m: f64| self.least_depth_m * (from_end_m / over_m).clamp(0.0, 1.0);
        match (self.outfall, self.run_out) {
            (Outfall::Open(_), RunOut::Short) => {
                let is_end_piece = from_end_m <= END_PIECE_M + 1e-9;
                let covered_m = if is_end_piece { 0.0 } else { self.crown_m.min(self.least_depth_m) };
                running_out_m(OPEN_M).max(covered_m)
            }
            (Outfall::Open(_), RunOut::Long(length_m)) => running_out_m(length_m),
            (Outfall::At(_) | Outfall::Free, _) => self.least_depth_m,
        }
    }

    /// What is dug below the invert.
    #[must_use]
    pub const fn below_m(&self) -> f64 {
        self.below_m
    }

    /// Depth of the trench, at the most.
    #[must_use]
    pub const fn greatest_cut_m(&self) -> f64 {
        self.greatest_cut_m
    }

    /// Least and greatest grade.
    #[must_use]
    pub const fn grades(&self) -> [f64; 2] {
        self.grades
    }

    /// Where the pipe ends.
    #[must_use]
    pub const fn outfall(&self) -> Outfall {
        self.outfall
    }

    /// The same for a pipe whose top lies so much higher over its invert: the cover stays.
    #[must_use]
    pub fn for_higher(self, higher: Length) -> Self {
        Self {
            least_depth_m: self.least_depth_m + higher.as_m(),
            crown_m: self.crown_m + higher.as_m(),
            ..self
        }
    }

    pub(super) const fn with_cut_m(self, greatest_cut_m: f64) -> Self {
        Self { greatest_cut_m, ..self }
    }

    pub(super) const fn with_depth_m(self, least_depth_m: f64) -> Self {
        Self { least_depth_m, ..self }
    }

    pub(super) const fn with_outfall(self, outfall: Outfall) -> Self {
        Self { outfall, ..self }
    }

    pub(super) const fn with_least_grade(self, least: f64) -> Self {
        Self { grades: [least, self.grades[1]], ..self }
    }
}

/// Places of a line: finite, rising, two or more.
pub(super) fn check_places(ground: &[GroundPoint]) -> Result<(), LimitsError> {
    let fault = |place: usize, found_m: f64| Err(LimitsError::Places { place: place + 1, found_m });
    if ground.len() < 2 {
        return fault(ground.len(), 0.0);
    }
    for (place, point) in ground.iter().enumerate() {
        if !point.ground_m.is_finite() {
            return fault(place, point.ground_m);
        }
        let rises = place == 0 || point.station_m > ground[place - 1].station_m;
        if !point.station_m.is_finite() || !rises {
            return fault(place, point.station_m);
        }
    }
    Ok(())
}
