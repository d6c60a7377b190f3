//! The line and its parts.

use super::catalogue::PipeSize;
use super::pipe::PipeSizing;
use super::swale::{SwaleRules, SwaleSizing};
use crate::runoff::JoinedPeak;
use crate::units::{Area, Flow, Grade, Length};
use geo::{Coord, LineString, Polygon};
use serde::Serialize;

/// A place of the profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Metres along the part.
    pub station_m: f64,
    /// The place, in the working coordinate system.
    pub point: Coord,
    /// Ground there in metres; `None` where it is unknown.
    pub ground_m: Option<f64>,
}

/// What carries a part's flow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sizing {
    /// Grade at which the pipes are rated: the least grade asked for, also where the ground falls more, which is on
    /// the safe side.
    pub grade: Grade,
    /// The smallest pipe of the catalogue.
    pub pipe: PipeSizing,
    /// The smallest smooth one; `None` when the catalogue has none.
    pub smooth_pipe: Option<PipeSizing>,
    /// The smallest corrugated one; `None` when the catalogue has none.
    pub corrugated_pipe: Option<PipeSizing>,
    /// A grassed swale, which follows the ground.
    pub swale: SwaleSizing,
    /// What the swale was held against.
    #[serde(skip)]
    pub swale_rules: SwaleRules,
}

/// How much of a stretch's water meets the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Coverage {
    /// Line and stretch are about equally long: what enters over the stretch meets the line.
    Whole,
    /// The line is much shorter: water can pass its ends, and the part's area and flow are "at most".
    AtMost,
}

/// Shorter than this share of its stretch a line can be passed. Corners of the lot take up to a tenth at the usual
/// setback.
const LEAST_COVER: f64 = 0.9;
/// A difference below this is none, metres: as long as the shortest line.
const COVER_SLACK_M: f64 = 1.0;

/// One part of the line.
///
/// # Invariants
/// The path has two or more points; stations rise from 0 to its length; where the ground is known at both ends it
/// doesn't rise from the first to the last.
#[derive(Debug, Clone, PartialEq)]
pub struct LinePart {
    /// Number of the part, from 1, in the order of the stretches.
    pub id: usize,
    /// Ring of the lot line beside which it runs.
    pub ring: usize,
    /// Start of the stretch that it catches, metres clockwise.
    pub from_m: f64,
    /// End of that stretch; past the ring's length when it lies over the start.
    pub to_m: f64,
    /// Distance from the lot line that it keeps.
    pub setback: Length,
    /// The line, in the working coordinate system, downhill end last.
    pub path: LineString,
    /// True length.
    pub length: Length,
    /// Ground along the line.
    pub stations: Vec<Station>,
    /// Step between stations: as long as a cell, and no less than a metre. Beside corners and at the end they lie nearer.
    pub station_step: Length,
    /// Place of the highest station in the list; `None` where no ground is known.
    pub highest: Option<usize>,
    /// Place of the lowest station in the list.
    pub lowest: Option<usize>,
    /// Area outside the lot whose water enters over the stretch; of what reaches the line it is the most, see
    /// [`Self::coverage`].
    pub contributing_area: Area,
    /// The ground between lot line and line, in the working coordinate system.
    pub strip: Polygon,
    /// Its area, whose water the line catches too.
    pub strip_area: Area,
    /// Area outside the lot whose water enters over other places of the lot line and comes to the part over the lot.
    pub other_run_on: Area,
    /// Ground of the lot outside the strip whose water comes to the part.
    pub own_ground: Area,
    /// Peak of all these areas in the design storm; `None` when there is none.
    pub peak: Option<JoinedPeak>,
    /// What carries it; `None` without a flow.
    pub sizing: Option<Sizing>,
    /// Pipe of its drain that its way is laid for; `None` where the drain keeps its cover on a way that is
    /// laid for the smallest one of [`Self::sizing`].
    pub drain_pipe: Option<PipeSize>,
}

impl LinePart {
    /// Length of the stretch that it runs beside.
    #[must_use]
    pub fn stretch_length(&self) -> Length {
        Length::from_m(self.to_m - self.from_m)
    }

    /// Whether all that enters over the stretch meets the line.
    #[must_use]
    pub fn coverage(&self) -> Coverage {
        let (line_m, stretch_m) = (self.length.as_m(), self.stretch_length().as_m());
        if line_m < LEAST_COVER * stretch_m && stretch_m - line_m > COVER_SLACK_M {
            Coverage::AtMost
        } else {
            Coverage::Whole
        }
    }

    /// Flow that it is sized for.
    #[must_use]
    pub fn flow(&self) -> Option<Flow> {
        self.peak.as_ref().map(|peak| peak.flow)
    }

    /// Ground at the upper end, metres.
    #[must_use]
    pub fn from_ground_m(&self) -> Option<f64> {
        self.stations.first()?.ground_m
    }

    /// Ground at the lower end, metres.
    #[must_use]
    pub fn to_ground_m(&self) -> Option<f64> {
        self.stations.last()?.ground_m
    }

    /// Fall of the ground from end to end by length.
    #[must_use]
    pub fn ground_grade(&self) -> Option<f64> {
        Some((self.from_ground_m()? - self.to_ground_m()?) / self.length.as_m())
    }
}

/// The line that intercepts the run-on.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct InterceptionLine {
    /// Its parts, in the order of the stretches.
    pub parts: Vec<LinePart>,
}

impl InterceptionLine {
    /// True length of all parts.
    #[must_use]
    pub fn length(&self) -> Length {
        self.parts.iter().map(|p| p.length).sum()
    }
}
