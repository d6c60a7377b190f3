//! What may be asked.

use crate::runoff::{GraphicalBasis, GroundBasis, Rain, Surface};
use crate::units::{
    Area, CurveNumber, Flow, Grade, Length, RainIntensity, ReturnPeriod, RunoffCoefficient, Time,
};

use super::storm_rain::StormRain;

/// Ground that water runs down: how long, how steep, over what.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Along the water's way.
    pub length: Length,
    /// Fall by length.
    pub grade: Grade,
    /// What it runs over.
    pub over: WayGround,
}

/// What a way runs over.
#[derive(Debug, Clone, PartialEq)]
pub struct WayGround {
    /// As the sheet names it.
    pub name: String,
    /// For the formulas.
    pub surface: Surface,
}

impl WayGround {
    /// What stands for ground of which no cover is known.
    #[must_use]
    pub fn lawn() -> Self {
        Self { name: "lawn".to_owned(), surface: GroundBasis::default().bare_kind().surface }
    }
}

/// The rain of the peak.
#[derive(Debug, Clone, PartialEq)]
pub enum RainQuestion {
    /// One intensity; with a way, its time of concentration is given too.
    Steady(RainIntensity, Option<Way>),
    /// Rain of a curve or a table that lasts so long.
    Lasting(Rain, Time),
    /// Rain of a curve or a table that lasts as long as water takes down the way.
    Down(Rain, Way),
}

/// Ground of one cover, with a figure of the cover table.
#[derive(Debug, Clone, PartialEq)]
pub struct Covered<T> {
    /// As the sheet names it.
    pub name: String,
    /// How much of it.
    pub area: Area,
    /// The figure.
    pub figure: T,
    /// Where the figure is from.
    pub source: String,
    /// Whether its water is off it at once.
    pub fast: bool,
}

/// What the flow is.
#[derive(Debug, Clone, PartialEq)]
pub enum FlowQuestion {
    /// Given.
    Given(Flow),
    /// To be worked out by the rational method, if the rain is given as well.
    Rational(RunoffCoefficient, Area),
    /// The same with the coefficients of several covers, raised for a storm rarer than they are for.
    Covers(Vec<Covered<RunoffCoefficient>>, Option<ReturnPeriod>),
}

/// Ground that a storm falls on.
#[derive(Debug, Clone, PartialEq)]
pub enum StormGround {
    /// Of one curve number; with an area, for the volume.
    Number(CurveNumber, Option<Area>),
    /// Several covers, each by its own curve number.
    Covers(Vec<Covered<CurveNumber>>),
}

/// A storm's runoff.
#[derive(Debug, Clone, PartialEq)]
pub struct StormQuestion {
    /// Its rain.
    pub rain: StormRain,
    /// What it falls on.
    pub ground: StormGround,
}

/// A peak by the graphical method.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GraphicalQuestion {
    /// How the rain of a day is spread, and ponds.
    pub basis: GraphicalBasis,
    /// Time of concentration where it was typed; else that of the peak's rain.
    pub time: Option<Time>,
}

/// All that may be asked at once.
#[derive(Debug, Clone, PartialEq)]
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
    /// The peak of the storm by the graphical method.
    pub graphical: Option<GraphicalQuestion>,
}
