//! One way to build a part, worked out.

use super::super::catalogue::Catalogue;
use super::super::materials::{Fabric, Finish, Soil, Top};
use super::super::outlet::OutletWay;
use super::super::profile::Profile;
use super::super::quantities::{End, Leg};
use super::super::swale::SwaleRules;
use super::super::trench::PipeCount;
use super::arrangement::Arrangement;
use super::basins::Basin;
use super::build::{Built, NotBuilt, build};
use super::error::DrainError;
use super::growth::Growth;
use super::intake::Intake;
use super::kinds::{basins, stone, swale, swale_over_drain};
use super::loaded::kept_share;
use super::reach::{Reach, ReachPlace};
use super::sizes::{ReachVerdict, SizedReach, VelocityLimits, carried_share};
use super::swale::SwaleWay;
use crate::units::{Flow, Grade, Length};

/// Carried from this share on, all is: the rest is rounding.
pub(super) const ALL: f64 = 1.0 - 1e-6;

/// What a drain is designed from, beside its part.
#[derive(Debug, Clone, Copy)]
pub struct DrainBasis<'a> {
    /// Pipes to choose from.
    pub catalogue: &'a Catalogue,
    /// Layers over the stone.
    pub finish: &'a Finish,
    /// Surface of the lead's trench.
    pub lead_finish: &'a Finish,
    /// What the finish takes in.
    pub top: &'a Top,
    /// What bare stone takes in.
    pub bare_stone: &'a Top,
    /// Fabric around the stone.
    pub fabric: &'a Fabric,
    /// The soil that is dug.
    pub soil: &'a Soil,
    /// What a swale must keep to.
    pub swale: SwaleRules,
    /// Least grade that was asked for.
    pub min_grade: Grade,
}

/// A part whose drain is designed.
#[derive(Debug, Clone, Copy)]
pub struct DrainPart<'a> {
    /// Its flow in the storm.
    pub flow: Flow,
    /// How its water grows, down the way.
    pub growth: &'a Growth,
    /// The way to its outlet.
    pub way: &'a OutletWay,
    /// The pipe there.
    pub profile: &'a Profile,
    /// Pipes of other parts that come in.
    pub joined: &'a [Joined],
    /// What its lower end meets.
    pub end: &'a End,
}

/// The pipe of another part that comes in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joined {
    /// Where, m down the way.
    pub station_m: f64,
    /// What it brings.
    pub flow: Flow,
}

impl DrainPart<'_> {
    /// Length of the part, without the lead.
    pub(super) fn line_m(&self) -> f64 {
        self.way.length.as_m() - self.way.lead_length.as_m()
    }

    /// What other parts' pipes have brought down to a place.
    pub(super) fn joined_flow(&self, down_to_m: f64) -> Flow {
        self.joined.iter().filter(|join| join.station_m <= down_to_m).map(|join| join.flow).sum()
    }
}

/// One way to build a part.
#[derive(Debug, Clone, PartialEq)]
pub struct DrainOption {
    /// Which.
    pub arrangement: Arrangement,
    /// The flow that it is to carry.
    pub flow: Flow,
    /// Pipes along the part and the lead, from the head; along the part none for a swale.
    pub reaches: Vec<SizedReach>,
    /// Whether the water gets into the trench; nothing without one.
    pub intake: Option<Intake>,
    /// The swale.
    pub swale: Option<SwaleWay>,
    /// Basins along the part.
    pub basins: Vec<Basin>,
    /// Grates of the basin at the end of a swale.
    pub end_grates: u32,
    /// Share of the water that gets in: by the lower and the upper end of what is published.
    pub taken_shares: [f64; 2],
    /// Share of the water along the part that its pipe was sized for; the rest runs in the swale over it.
    pub piped_share: f64,
    /// Velocities that its pipes were held against.
    pub limits: VelocityLimits,
    /// As it is built.
    pub built: Result<Built, NotBuilt>,
}

impl DrainOption {
    /// Share of what gets in, or runs in the swale, that pipes and swale carry.
    #[must_use]
    pub fn carried_share(&self) -> f64 {
        carried_share(&self.reaches)
    }

    /// Share of the part's flow that it keeps off the lot: by the lower end of what gets in.
    #[must_use]
    pub fn share(&self) -> f64 {
        kept_share(self.arrangement, self.taken_shares[0], self.carried_share())
    }

    /// Whether that is all of it, and every pipe keeps its velocities.
    #[must_use]
    pub fn carries(&self) -> bool {
        let serves = |sized: &SizedReach| sized.verdict == ReachVerdict::Carries;
        self.share() >= ALL && self.reaches.iter().all(serves)
    }

    /// Flow of the part at which the first of its pipes, or the swale without any, is full.
    #[must_use]
    pub fn capacity(&self) -> Flow {
        let of = |sized: &SizedReach| {
            let grown = sized.reach.flow / self.flow;
            Flow::from_m3_per_s(sized.capacity.as_m3_per_s() / grown)
        };
        let pipes = self.reaches.iter().filter(|sized| sized.reach.flow > Flow::ZERO).map(of);
        let swale = self.swale.filter(|_| self.arrangement == Arrangement::Swale).map(|swale| swale.capacity);
        let least = pipes.chain(swale).reduce(|a, b| if b < a { b } else { a });
        least.unwrap_or(Flow::ZERO)
    }

    /// Pipes along the part.
    pub fn line(&self) -> impl Iterator<Item = &SizedReach> {
        self.reaches.iter().filter(|sized| sized.reach.place == ReachPlace::Line)
    }

    /// Flow at a station of the way: in pipe, stone and swale together.
    #[must_use]
    pub fn flow_at(&self, growth: &Growth, station_m: f64) -> Flow {
        if self.arrangement != Arrangement::Basins {
            return self.flow * growth.share_at(station_m);
        }
        self.basins.iter().filter(|basin| basin.station_m <= station_m + 1e-9).map(|basin| basin.takes).sum()
    }

    /// The trench at a station: its depth, and the ground over the pipe; nothing where there is none.
    #[must_use]
    pub fn trench_at(&self, station_m: f64) -> Option<[Length; 2]> {
        let legs = self.built.as_ref().ok()?.line.as_ref()?.legs();
        let around =
            |leg: &&Leg| (leg.cuts.from().as_m() - 1e-6..=leg.cuts.to().as_m() + 1e-6).contains(&station_m);
        let leg = legs.iter().find(around)?;
        let depth = leg.cuts.depth_at(Length::from_m(station_m));
        Some([depth, leg.section.cover(depth)])
    }

    /// The pipe at a station.
    #[must_use]
    pub fn reach_at(&self, station_m: f64) -> Option<&SizedReach> {
        let around = |reach: &Reach| (reach.from_m - 1e-6..=reach.to_m + 1e-6).contains(&station_m);
        self.reaches.iter().find(|sized| around(&sized.reach))
    }

    /// The pipe that leaves: that of the lead, else the last of the part.
    #[must_use]
    pub fn outlet_reach(&self) -> Option<&SizedReach> {
        self.reaches.last()
    }
}

/// Works out one arrangement; `None` where the catalogue has no pipe for it.
///
/// # Method
/// See `docs/methods.md`, "Drain of a part".
///
/// # Errors
/// [`DrainError`] for numbers outside what formulas take.
pub fn option(
    arrangement: Arrangement,
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Option<DrainOption>, DrainError> {
    let found = match arrangement {
        Arrangement::OnePipe => stone(arrangement, PipeCount::One, part, basis)?,
        Arrangement::TwoPipes => stone(arrangement, PipeCount::Two, part, basis)?,
        Arrangement::Swale => swale(part, basis)?,
        Arrangement::SwaleOverDrain => swale_over_drain(part, basis)?,
        Arrangement::Basins => basins(part, basis)?,
    };
    Ok(found.map(|mut option| {
        option.built = build(&option, part, basis);
        option
    }))
}
