//! One way to build a part, worked out.

use super::super::catalogue::PipeSize;
use super::super::materials::{Fabric, Finish, Soil, Top, Wrap};
use super::super::outlet::OutletWay;
use super::super::profile::Profile;
use super::super::quantities::Leg;
use super::super::swale::SwaleRules;
use super::super::trench::{PipeCount, StoneTrench, TrenchRules};
use super::arrangement::Arrangement;
use super::basins::{Basin, grates_for, place_basins, usual_grate};
use super::build::{Built, NotBuilt, build};
use super::error::DrainError;
use super::growth::Growth;
use super::intake::{Intake, Surface, intake};
use super::reach::{Reach, ReachPlace, reaches};
use super::sizes::{LinePipe, ReachVerdict, SizedReach, VelocityLimits, carried_share, size};
use super::swale::{SwaleWay, swale_way};
use crate::formula::drain_grade::{SoilEntry, least_velocity};
use crate::units::{Flow, Grade, Length, Velocity};

/// Carried from this share on, all is: the rest is rounding.
const ALL: f64 = 1.0 - 1e-6;
/// Fastest water in plastic pipe, ft/s.
///
/// # Source
/// Code of Winchester, Indiana, table 4, after FHWA (second hand).
const FASTEST_FT_S: f64 = 15.0;

/// What a drain is designed from, beside its part.
#[derive(Debug, Clone, Copy)]
pub struct DrainBasis<'a> {
    /// Pipes to choose from.
    pub catalogue: &'a super::super::catalogue::Catalogue,
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
}

impl DrainPart<'_> {
    /// Length of the part, without the lead.
    pub(super) fn line_m(&self) -> f64 {
        self.way.length.as_m() - self.way.lead_length.as_m()
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
        self.carried_share().min(self.taken_shares[0])
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

/// Velocities of pipes into which soil can or can't get.
fn limits(entry: SoilEntry, basis: &DrainBasis<'_>) -> VelocityLimits {
    let fastest = Velocity::from_ft_per_s(FASTEST_FT_S);
    // What a soil bears counts where nothing keeps it from the pipe.
    let in_soil = basis.soil.drain_velocity().filter(|v| entry == SoilEntry::Possible && *v < fastest);
    VelocityLimits { least: least_velocity(entry), most_line: in_soil.unwrap_or(fastest), most_lead: fastest }
}

fn stone_limits(basis: &DrainBasis<'_>) -> VelocityLimits {
    let entry = match basis.finish.wrap() {
        Wrap::Full => SoilEntry::Kept,
        Wrap::Open => SoilEntry::Possible,
    };
    limits(entry, basis)
}

fn all_reaches(part: &DrainPart<'_>) -> Result<Vec<Reach>, DrainError> {
    Ok(reaches(part.profile, part.line_m(), &|m| part.growth.share_at(m), part.flow)?)
}

/// The trench of a pipe: its bed is as thick as the profile reckons with.
pub(super) fn stone_trench(
    pipe: &PipeSize,
    pipes: PipeCount,
    basis: &DrainBasis<'_>,
) -> Result<StoneTrench, super::super::trench::TrenchError> {
    StoneTrench::new(pipe, &rules(pipes), basis.finish, basis.fabric)
}

/// Measures of all trenches.
pub(super) const fn rules(pipes: PipeCount) -> TrenchRules {
    let usual = TrenchRules::usual(pipes);
    TrenchRules { stone_below: Length::from_m(super::super::outlet::BED_M), ..usual }
}

/// Whether the water gets into the trench of the part's first pipe, the narrowest.
fn gets_in(
    sized: &[SizedReach],
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Option<Intake>, DrainError> {
    let Some(first) = sized.iter().find(|sized| sized.reach.place == ReachPlace::Line) else {
        return Ok(None);
    };
    let Ok(trench) = stone_trench(&first.pipe, first.pipes, basis) else { return Ok(None) };
    let surface = Surface {
        trench: &trench,
        top: basis.top,
        bare_stone: basis.bare_stone,
        depth: trench.least_depth(),
    };
    let head = rules(first.pipes).stone_above;
    Ok(Some(intake(&surface, part.growth, part.flow, head)?))
}

fn stone(
    arrangement: Arrangement,
    pipes: PipeCount,
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Option<DrainOption>, DrainError> {
    let limits = stone_limits(basis);
    let Some(sized) = size(&all_reaches(part)?, basis.catalogue, &limits, LinePipe::Perforated(pipes)) else {
        return Ok(None);
    };
    let intake = gets_in(&sized, part, basis)?;
    let taken_shares = intake.as_ref().map_or([0.0; 2], |intake| intake.shares);
    Ok(Some(DrainOption {
        arrangement,
        flow: part.flow,
        reaches: sized,
        intake,
        swale: None,
        basins: Vec::new(),
        end_grates: 0,
        taken_shares,
        limits,
        built: Err(NotBuilt::NotYet),
    }))
}

fn swale(part: &DrainPart<'_>, basis: &DrainBasis<'_>) -> Result<Option<DrainOption>, DrainError> {
    let limits = limits(SoilEntry::Possible, basis);
    let lead: Vec<Reach> =
        all_reaches(part)?.into_iter().filter(|reach| reach.place == ReachPlace::Lead).collect();
    let Some(sized) = size(&lead, basis.catalogue, &limits, LinePipe::Solid) else { return Ok(None) };
    let swale = swale_way(part.way, part.flow, basis.min_grade, &basis.swale)?;
    Ok(Some(DrainOption {
        arrangement: Arrangement::Swale,
        flow: part.flow,
        end_grates: grates_for(part.flow, usual_grate()?),
        taken_shares: [swale.share_of(part.flow); 2],
        swale: Some(swale),
        reaches: sized,
        intake: None,
        basins: Vec::new(),
        limits,
        built: Err(NotBuilt::NotYet),
    }))
}

/// The pipe along the part carries at the most what gets into the trench, by the upper end; the swale what doesn't, by
/// the lower one; the lead all.
fn swale_over_drain(part: &DrainPart<'_>, basis: &DrainBasis<'_>) -> Result<Option<DrainOption>, DrainError> {
    let arrangement = Arrangement::SwaleOverDrain;
    let Some(mut option) = stone(arrangement, PipeCount::One, part, basis)? else { return Ok(None) };
    let most = option.taken_shares[1];
    let fewer: Vec<Reach> = all_reaches(part)?
        .into_iter()
        .map(|reach| match reach.place {
            ReachPlace::Line => Reach { flow: reach.flow * most, ..reach },
            ReachPlace::Lead => reach,
        })
        .collect();
    // A basin at the swale's end lets soil into the lead.
    option.limits = limits(SoilEntry::Possible, basis);
    let line = LinePipe::Perforated(PipeCount::One);
    let Some(sized) = size(&fewer, basis.catalogue, &option.limits, line) else { return Ok(None) };
    option.intake = gets_in(&sized, part, basis)?;
    option.reaches = sized;
    let taken = option.intake.as_ref().map_or([0.0; 2], |intake| intake.shares);
    let rest = part.flow * (1.0 - taken[0]);
    let swale = swale_way(part.way, rest, basis.min_grade, &basis.swale)?;
    let with_swale = |taken: f64| {
        let left = part.flow * (1.0 - taken);
        taken + (1.0 - taken) * swale.share_of(left)
    };
    option.taken_shares = taken.map(with_swale);
    option.swale = Some(swale);
    option.end_grates = grates_for(rest, usual_grate()?);
    Ok(Some(option))
}

/// Basins take what comes to them; the pipe carries what they take.
fn basins(part: &DrainPart<'_>, basis: &DrainBasis<'_>) -> Result<Option<DrainOption>, DrainError> {
    let limits = limits(SoilEntry::Possible, basis);
    let grate = usual_grate()?;
    let basins = place_basins(part.growth, part.flow, grate);
    let taken: Flow = basins.iter().map(|basin| basin.takes).sum();
    let up_to = |station_m: f64| -> f64 {
        let above = basins.iter().filter(|basin| basin.station_m <= station_m + 1e-9);
        above.map(|basin| basin.takes / part.flow).sum()
    };
    let all: Vec<Reach> = reaches(part.profile, part.line_m(), &up_to, part.flow)?
        .into_iter()
        .map(|reach| match reach.place {
            ReachPlace::Line => reach,
            ReachPlace::Lead => Reach { flow: taken, ..reach },
        })
        .collect();
    let Some(sized) = size(&all, basis.catalogue, &limits, LinePipe::Solid) else { return Ok(None) };
    let share = if part.flow > Flow::ZERO { taken / part.flow } else { 1.0 };
    Ok(Some(DrainOption {
        arrangement: Arrangement::Basins,
        flow: part.flow,
        reaches: sized,
        intake: None,
        swale: None,
        basins,
        end_grates: 0,
        taken_shares: [if share >= ALL { 1.0 } else { share }; 2],
        limits,
        built: Err(NotBuilt::NotYet),
    }))
}
