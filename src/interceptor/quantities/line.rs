//! A drain line as it is built: trenches one after the other, bends, and its end.

use super::super::catalogue::PipeSize;
use super::super::materials::Finish;
use super::super::trench::{SolidTrench, StoneTrench};
use super::cuts::Cuts;
use super::error::QuantityError;
use crate::units::{Length, OutOfRange};

/// How far stations may be apart and count as one, metres.
const SAME_M: f64 = 1e-6;

/// A trench's section.
#[derive(Debug, Clone, PartialEq)]
pub enum Section {
    /// Stone and perforated pipe.
    Stone(StoneTrench),
    /// A solid pipe, backfilled.
    Solid(SolidTrench),
}

impl Section {
    /// The pipe, or each of the two.
    #[must_use]
    pub const fn pipe(&self) -> &PipeSize {
        match self {
            Self::Stone(trench) => trench.pipe(),
            Self::Solid(trench) => trench.pipe(),
        }
    }

    /// How many there are.
    #[must_use]
    pub const fn pipes(&self) -> u32 {
        match self {
            Self::Stone(trench) => trench.pipes().count(),
            Self::Solid(_) => 1,
        }
    }

    /// Width of the trench's bottom.
    #[must_use]
    pub const fn width(&self) -> Length {
        match self {
            Self::Stone(trench) => trench.width(),
            Self::Solid(trench) => trench.width(),
        }
    }

    /// The finish.
    #[must_use]
    pub const fn finish(&self) -> &Finish {
        match self {
            Self::Stone(trench) => trench.finish(),
            Self::Solid(trench) => trench.finish(),
        }
    }

    /// Ground over the pipe's outside top in a trench of a depth that is dug as the section asks for.
    #[must_use]
    pub fn cover(&self, depth: Length) -> Length {
        match self {
            Self::Stone(trench) => trench.cover(depth),
            Self::Solid(trench) => trench.cover(depth),
        }
    }
}

/// A piece of a line with one section.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// Its section.
    pub section: Section,
    /// Its depths, by stations of the line in plan.
    pub cuts: Cuts,
}

impl Leg {
    /// Ground over the pipe's outside top at a station.
    #[must_use]
    pub fn cover_at(&self, station: Length) -> Length {
        let cut = self.cuts.at(station);
        self.section.cover(cut.depth - cut.under)
    }
}

/// What the lower end of a line meets.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// A basin, an inlet or a pipe that is cored.
    Structure,
    /// A chamber that stores the water or from which it is pumped; it comes with its own opening and seal.
    Chamber,
    /// The open. The trench ends where it no longer holds pipe and sod; what sticks out further isn't dug.
    Daylight,
    /// Another line, whose pipe takes it in by a wye of that pipe's size.
    Joins(Box<PipeSize>),
}

/// A drain line from its head to its lower end.
///
/// # Invariants
/// One leg or more; each begins where the one before ends, and is deep enough for its section everywhere; bends rise and lie
/// within the line.
#[derive(Debug, Clone, PartialEq)]
pub struct DrainLine {
    legs: Vec<Leg>,
    bends: Vec<Length>,
    end: End,
    beyond: Vec<PipeBeyond>,
    bends_beyond: u32,
}

/// Solid pipe that goes on beyond the end of the trench, to its mouth in the open.
#[derive(Debug, Clone, PartialEq)]
pub struct PipeBeyond {
    /// The pipe.
    pub pipe: PipeSize,
    /// How far, in plan.
    pub length: Length,
}

impl DrainLine {
    /// Checks a line.
    ///
    /// # Errors
    /// [`QuantityError`] for legs that don't follow each other or are too shallow, and bends outside the line.
    pub fn new(legs: Vec<Leg>, bends: Vec<Length>, end: End) -> Result<Self, QuantityError> {
        let (Some(first), Some(last)) = (legs.first(), legs.last()) else { return Err(QuantityError::NoLeg) };
        let (from_m, to_m) = (first.cuts.from().as_m(), last.cuts.to().as_m());
        for pair in legs.windows(2) {
            let (ends_m, begins_m) = (pair[0].cuts.to().as_m(), pair[1].cuts.from().as_m());
            if (ends_m - begins_m).abs() > SAME_M {
                return Err(QuantityError::Gap { ends_m, begins_m });
            }
        }
        for leg in &legs {
            for cut in leg.cuts.all() {
                let checked = match &leg.section {
                    Section::Stone(trench) => trench.check_depth(cut.depth - cut.under),
                    Section::Solid(trench) => trench.check_depth(cut.depth - cut.under),
                };
                let station_m = cut.station.as_m();
                checked.map_err(|cause| QuantityError::Shallow { station_m, cause })?;
            }
        }
        let mut before_m = from_m;
        for bend in &bends {
            let bend_m = bend.as_m();
            if !(bend_m > before_m && bend_m < to_m) {
                return Err(QuantityError::Bend { bend_m, from_m, to_m });
            }
            before_m = bend_m;
        }
        Ok(Self { legs, bends, end, beyond: Vec::new(), bends_beyond: 0 })
    }

    /// With what goes on beyond the end of the trench, and bends so often there.
    #[must_use]
    pub fn with_pipe_beyond(self, beyond: Vec<PipeBeyond>, bends: u32) -> Self {
        Self { beyond, bends_beyond: bends, ..self }
    }

    /// Bends of the pipe beyond the end of the trench.
    #[must_use]
    pub const fn bends_beyond(&self) -> u32 {
        self.bends_beyond
    }

    /// Solid pipe beyond the end of the trench, down the way.
    #[must_use]
    pub fn pipes_beyond(&self) -> &[PipeBeyond] {
        &self.beyond
    }

    /// Its length, in plan.
    #[must_use]
    pub fn beyond(&self) -> Length {
        self.beyond.iter().fold(Length::ZERO, |sum, piece| sum + piece.length)
    }

    /// Its trenches, head first.
    #[must_use]
    pub fn legs(&self) -> &[Leg] {
        &self.legs
    }

    /// Stations of its bends.
    #[must_use]
    pub fn bends(&self) -> &[Length] {
        &self.bends
    }

    /// What its lower end meets.
    #[must_use]
    pub const fn end(&self) -> &End {
        &self.end
    }

    /// Length of all legs in plan.
    #[must_use]
    pub fn length(&self) -> Length {
        self.legs.iter().map(|leg| leg.cuts.length()).sum()
    }

    /// Its last station.
    pub(super) fn foot(&self) -> Length {
        self.legs[self.legs.len() - 1].cuts.to()
    }

    /// The leg at a station: of two that meet there the upper one.
    pub(super) fn leg_at(&self, station: Length) -> &Leg {
        let last = self.legs.len() - 1;
        let found = self.legs.iter().position(|leg| station.as_m() <= leg.cuts.to().as_m() + SAME_M);
        &self.legs[found.unwrap_or(last)]
    }

    /// Stations of cleanouts: the head, every bend, and between these and the lower end as many at equal distances as leave
    /// no way in plan longer than the spacing.
    ///
    /// A structure or the open is a way in of its own, so that the lower end has none there. Where the line joins another it has
    /// one just above: the wye is no way in, whatever the other line has.
    ///
    /// # Errors
    /// [`OutOfRange`] for a spacing that isn't above 0, or so small that there would be more than 10 000.
    pub fn cleanouts(&self, spacing: Length) -> Result<Vec<Length>, OutOfRange> {
        let spacing_m = spacing.as_m();
        let least_m = self.length().as_m() / 10_000.0;
        if !(spacing_m.is_finite() && spacing_m > 0.0 && spacing_m >= least_m) {
            let (what, range) = ("spacing of cleanouts in m", "above 0, and a ten-thousandth of the line");
            return Err(OutOfRange { what, found: spacing_m, range });
        }
        let (head, foot) = (self.legs[0].cuts.from(), self.foot());
        let mut ways: Vec<Length> = vec![head];
        ways.extend(&self.bends);
        ways.push(foot);
        let mut found = Vec::new();
        for pair in ways.windows(2) {
            let way = pair[1] - pair[0];
            let pieces = whole_up(way.as_m() / spacing_m).max(1);
            found.extend((0..pieces).map(|i| pair[0] + way * (f64::from(i) / f64::from(pieces))));
        }
        if matches!(self.end, End::Joins(_)) {
            found.push(foot);
        }
        Ok(found)
    }
}

/// The whole number at or above; a billionth more than a whole number is rounding.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "pieces, loads and cleanouts of one site: clamped to what the number can hold"
)]
pub(in super::super) fn whole_up(value: f64) -> u32 {
    (value * (1.0 - 1e-9)).ceil().clamp(0.0, f64::from(u32::MAX)) as u32
}
