//! One way to build a part, worked out.

use super::super::materials::Stone;
use super::super::profile::Profile;
use super::super::quantities::{Leg, Section, take_off};
use super::super::trench::PipeCount;
use super::arrangement::Arrangement;
use super::basins::{Basin, usual_grate};
use super::bed::BedPlace;
use super::build::{Built, NotBuilt, build};
use super::cover::ThinCover;
use super::error::DrainError;
use super::growth::Growth;
use super::intake::Intake;
use super::kept::Kept;
use super::kinds::{basins, stone, swale};
use super::lacking::Lacking;
use super::over_drain::swale_over_drain;
use super::part::{DrainBasis, DrainPart, Joined, SAME_M, StoneEnd, brought};
use super::reach::{Reach, ReachPlace};
use super::sizes::{ReachVerdict, SizedReach, VelocityLimits, carried_share};
use super::swale::SwaleWay;
use crate::units::{Flow, Length, Volume};

/// Carried from this share on, all is: the rest is rounding.
pub(super) const ALL: f64 = 1.0 - 1e-6;
/// A reach that has less of the part's water has none.
const LEAST_SHARE: f64 = 1e-9;

/// Where an arrangement's pipe lies.
#[derive(Debug, Clone, PartialEq)]
pub enum Course {
    /// As the way to the outlet has it.
    Way,
    /// Lower, below a swale's bed, which is the ground of this profile along the part.
    UnderSwale(Profile),
    /// No pipe keeps its limits below the swale's bed.
    NoneUnderSwale,
}

/// One way to build a part.
#[derive(Debug, Clone, PartialEq)]
pub struct DrainOption {
    /// Which.
    pub arrangement: Arrangement,
    /// The part's own flow that it is to carry.
    pub flow: Flow,
    /// Pipes of other parts that come in.
    pub joined: Vec<Joined>,
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
    /// Where its stone ends before the part does, since the ground doesn't cover it any more; nothing where it doesn't.
    pub stone_ends: Option<StoneEnd>,
    /// Where its pipe lies.
    pub course: Course,
    /// Share of the water that gets in: by the lower and the upper end of what is published.
    pub taken_shares: [f64; 2],
    /// Share of the part's flow that it keeps off the lot, the same.
    pub kept_shares: [f64; 2],
    /// Share of the water along the part that its pipe was sized for; the rest runs in the swale over it.
    pub piped_share: f64,
    /// Velocities that its pipes were held against.
    pub limits: VelocityLimits,
    /// Where its pipes lack cover on the way as it is laid; nothing where they don't.
    pub thin: Option<ThinCover>,
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
    pub const fn share(&self) -> f64 {
        self.kept_shares[0]
    }

    /// What of its water it keeps, place by place down the way, where that comes as it is told: by the lower
    /// (0) or the upper (1) end of what gets in.
    #[must_use]
    pub fn kept(&self, growth: &Growth, end: usize) -> Kept {
        Kept::of(growth, &self.room(growth.length_m()), end)
    }

    /// Whether that is all of it, and every pipe keeps its velocities.
    #[must_use]
    pub fn carries(&self) -> bool {
        let serves = |sized: &SizedReach| sized.verdict == ReachVerdict::Carries;
        self.share() >= ALL && self.reaches.iter().all(serves)
    }

    /// Flow of the part at which the first of its pipes, beside what joins it, or the swale without any, is full; with basins
    /// no more than their grates let in.
    #[must_use]
    pub fn capacity(&self) -> Flow {
        let of = |sized: &SizedReach| {
            let joined = brought(&self.joined, sized.reach.to_m).as_m3_per_s();
            let own = (sized.reach.flow.as_m3_per_s() - joined) / self.flow.as_m3_per_s();
            let left = (sized.capacity.as_m3_per_s() - joined).max(0.0);
            // A reach with none of the part's own water doesn't limit it.
            (own > LEAST_SHARE).then(|| Flow::from_m3_per_s(left / own))
        };
        let pipes = self.reaches.iter().filter_map(of);
        let count = u32::try_from(self.basins.len()).unwrap_or(u32::MAX);
        let grates = usual_grate().ok().filter(|_| self.arrangement == Arrangement::Basins);
        let grates = grates.map(|grate| grate * f64::from(count));
        let swale = self.swale.as_ref().filter(|_| self.arrangement == Arrangement::Swale);
        let swale = swale.map(|swale| swale.capacity);
        let least = pipes.chain(swale).chain(grates).reduce(|a, b| if b < a { b } else { a });
        least.unwrap_or(Flow::ZERO)
    }

    /// Ground, or the bed of a swale over it, and pipe along the way, whose own profile is given.
    #[must_use]
    pub const fn profile<'a>(&'a self, of_way: &'a Profile) -> &'a Profile {
        match &self.course {
            Course::UnderSwale(profile) => profile,
            Course::Way | Course::NoneUnderSwale => of_way,
        }
    }

    /// Pipes along the part.
    pub fn line(&self) -> impl Iterator<Item = &SizedReach> {
        self.reaches.iter().filter(|sized| sized.reach.place == ReachPlace::Line)
    }

    /// Flow at a station of the way: in pipe, stone and swale together, with what other parts' pipes have brought.
    #[must_use]
    pub fn flow_at(&self, growth: &Growth, station_m: f64) -> Flow {
        let joined = brought(&self.joined, station_m + SAME_M);
        if self.arrangement != Arrangement::Basins {
            return self.flow * growth.share_at(station_m) + joined;
        }
        let above = self.basins.iter().filter(|basin| basin.station_m <= station_m + SAME_M);
        above.map(|basin| basin.takes).chain([joined]).sum()
    }

    /// The trench at a station: its depth, and the ground over the pipe; nothing where there is none.
    #[must_use]
    pub fn trench_at(&self, station_m: f64) -> Option<[Length; 2]> {
        let legs = self.built.as_ref().ok()?.line.as_ref()?.legs();
        let around =
            |leg: &&Leg| (leg.cuts.from().as_m() - 1e-6..=leg.cuts.to().as_m() + 1e-6).contains(&station_m);
        let leg = legs.iter().find(around)?;
        let station = Length::from_m(station_m);
        Some([leg.cuts.depth_at(station), leg.cover_at(station)])
    }

    /// Width of the trench's bottom at a station, the wider of two that meet; nothing where there is none.
    #[must_use]
    pub fn width_at(&self, station_m: f64) -> Option<Length> {
        let legs = self.built.as_ref().ok()?.line.as_ref()?.legs();
        let around =
            |leg: &&Leg| (leg.cuts.from().as_m() - 1e-6..=leg.cuts.to().as_m() + 1e-6).contains(&station_m);
        let widths = legs.iter().filter(around).map(|leg| leg.section.width());
        widths.reduce(|a, b| if b > a { b } else { a })
    }

    /// Depth of its deepest trench; nothing where none is built.
    #[must_use]
    pub fn deepest_cut(&self) -> Option<Length> {
        let legs = self.built.as_ref().ok()?.line.as_ref()?.legs();
        let depths = legs.iter().flat_map(|leg| leg.cuts.all()).map(|cut| cut.depth);
        depths.reduce(|a, b| if b > a { b } else { a })
    }

    /// Whether its pipe lies there without a trench, at its mouth.
    #[must_use]
    pub fn is_beyond_trench(&self, station_m: f64) -> bool {
        let line = self.built.as_ref().ok().and_then(|built| built.line.as_ref());
        line.and_then(|line| line.legs().last()).is_some_and(|leg| station_m > leg.cuts.to().as_m() + 1e-6)
    }

    /// The pipe at a station.
    #[must_use]
    pub fn reach_at(&self, station_m: f64) -> Option<&SizedReach> {
        let around = |reach: &Reach| (reach.from_m - 1e-6..=reach.to_m + 1e-6).contains(&station_m);
        self.reaches.iter().find(|sized| around(&sized.reach))
    }

    /// Water that the voids of its stone hold, those below the pipe with the rest; nothing without stone. It isn't counted as carried.
    #[must_use]
    pub fn stone_voids(&self, stone: &Stone) -> Option<Volume> {
        let line = self.built.as_ref().ok()?.line.as_ref()?;
        let found = take_off(line).storage(stone);
        (found > Volume::ZERO).then_some(found)
    }

    /// Flow in the stone when it stands full, by the lower and the upper end of what is published: that of the reach along the part
    /// where it is least, at its shallowest place; nothing without stone. It isn't counted as carried.
    #[must_use]
    pub fn stone_flow(&self, stone: &Stone) -> Option<[Flow; 2]> {
        let legs = self.built.as_ref().ok()?.line.as_ref()?.legs();
        let of = |sized: &SizedReach| {
            let reach = &sized.reach;
            let around = |leg: &&Leg| {
                leg.cuts.from().as_m() <= reach.from_m + 1e-6 && reach.to_m <= leg.cuts.to().as_m() + 1e-6
            };
            let leg = legs.iter().find(around)?;
            let Section::Stone(trench) = &leg.section else { return None };
            let within = leg.cuts.all().iter().map(|cut| cut.station.as_m());
            let within = within.filter(|m| *m > reach.from_m && *m < reach.to_m);
            let depths =
                within.chain([reach.from_m, reach.to_m]).map(|m| leg.cuts.depth_at(Length::from_m(m)));
            let least = depths.reduce(|a, b| if b < a { b } else { a })?;
            let range = trench.stone_capacity(least, stone, reach.grade);
            Some([range.least, range.most])
        };
        self.line().filter_map(of).reduce(|a, b| if b[0] < a[0] { b } else { a })
    }

    /// The widest place of its swale, half of which lies to either side of the line, where that is wider than a
    /// setback leaves room for.
    #[must_use]
    pub fn swale_leaves(&self, setback: Length) -> Option<BedPlace> {
        let widest = self.swale.as_ref().map(|swale| swale.bed.deepest());
        widest.filter(|widest| widest.width > setback * 2.0)
    }

    /// The pipe that leaves: that of the lead, else the last of the part.
    #[must_use]
    pub fn outlet_reach(&self) -> Option<&SizedReach> {
        self.reaches.last()
    }
}

/// Works out one arrangement, or says what it lacks.
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
) -> Result<Result<DrainOption, Lacking>, DrainError> {
    let found = match arrangement {
        Arrangement::OnePipe => stone(arrangement, PipeCount::One, part, basis)?,
        Arrangement::TwoPipes => stone(arrangement, PipeCount::Two, part, basis)?,
        Arrangement::Swale => swale(part, basis)?,
        Arrangement::SwaleOverDrain => swale_over_drain(part, basis)?,
        Arrangement::Basins => basins(part, basis)?,
    };
    Ok(found.map(|mut option| {
        option.kept_shares = [0, 1].map(|end| option.kept(part.growth, end).share());
        option.thin = option.least_covered(part.way);
        option.built = build(&option, part, basis);
        option
    }))
}
