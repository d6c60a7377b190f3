//! A drain as it was sized, in another flow.

use super::arrangement::Arrangement;
use super::basins::{Basin, usual_grate};
use super::error::DrainError;
use super::growth::Growth;
use super::kept::Kept;
use super::option::{ALL, DrainOption};
use super::part::{DrainPart, Joined, brought};
use super::reach::ReachPlace;
use super::room::{Room, Water};
use super::sizes::SizedReach;
use crate::units::Flow;
use serde::Serialize;

/// What keeps a drain from carrying all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limit {
    /// The water doesn't get in, or the swale is full: it passes over the part where it comes.
    Intake,
    /// A pipe is full: water comes out at the lowest place of the part.
    Pipe,
}

/// What a drain does to a flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loaded {
    /// How it is built.
    pub arrangement: Arrangement,
    /// The flow.
    pub flow: Flow,
    /// Share that gets in, by the lower and the upper end of what is published.
    pub taken_shares: [f64; 2],
    /// Share of what comes to them that the pipes carry.
    pub carried_share: f64,
    /// Share that is kept off the lot, by the lower and the upper end.
    pub kept_shares: [f64; 2],
}

impl Loaded {
    /// Share that the drain keeps off the lot: by the lower and the upper end of what gets in.
    #[must_use]
    pub fn shares(&self) -> [f64; 2] {
        self.kept_shares.map(|share| if share >= ALL { 1.0 } else { share })
    }

    /// Whether that is all of it, by the lower end.
    #[must_use]
    pub fn carries(&self) -> bool {
        self.shares()[0] >= 1.0
    }

    /// Flow that it leaves: by the lower and the upper end of what gets in.
    #[must_use]
    pub fn overflow(&self) -> [Flow; 2] {
        self.shares().map(|share| self.flow * (1.0 - share))
    }

    /// Where most of what it leaves is lost, by the lower end; nothing where it carries all.
    #[must_use]
    pub fn limit(&self) -> Option<Limit> {
        let (taken, kept) = (self.taken_shares[0], self.shares()[0]);
        let most = if taken - kept > 1.0 - taken { Limit::Pipe } else { Limit::Intake };
        (!self.carries()).then_some(most)
    }

    /// The same where pipes further down carry no more than a share of what it hands on.
    #[must_use]
    pub fn held_to(self, share: f64) -> Self {
        let room = handed_share(self.kept_shares) * share;
        let kept_shares = self.kept_shares.map(|kept| kept.min(room));
        Self { carried_share: self.carried_share.min(share), kept_shares, ..self }
    }
}

/// Share of a part's own water that its pipe hands on at the most, of those that it keeps by both ends.
#[must_use]
pub const fn handed_share(kept_shares: [f64; 2]) -> f64 {
    kept_shares[0].max(kept_shares[1])
}

/// Puts a sized drain into another flow of its part: pipes, trench, swale and basins stay as they are.
///
/// # Method
/// As in sizing, with the flow of `part`: what gets in by top and holes, what basins and swale take, and of each pipe the
/// full flow by what comes to its lower end. A swale carries what its V holds as it is shaped, to the brim, and no more
/// than the grates at its end let in.
///
/// # Valid range
/// More flow never raises a share.
///
/// # Errors
/// [`DrainError`] in practice never: the usual grate is fixed.
pub fn loaded(option: &DrainOption, part: &DrainPart<'_>) -> Result<Loaded, DrainError> {
    if part.flow <= Flow::ZERO {
        return Ok(Loaded {
            arrangement: option.arrangement,
            flow: part.flow,
            taken_shares: [1.0; 2],
            carried_share: 1.0,
            kept_shares: [1.0; 2],
        });
    }
    let found = InFlow::of(option, Coming::of(part))?;
    let kept_shares = [0, 1].map(|end| found.kept(part.growth, end).share());
    Ok(Loaded {
        arrangement: option.arrangement,
        flow: part.flow,
        taken_shares: found.taken_shares,
        carried_share: found.carried_share(),
        kept_shares,
    })
}

/// What of a flow of its part a sized drain keeps, place by place, where that comes in as it is told; by the lower end
/// of what gets in.
///
/// # Errors
/// As [`loaded`].
pub fn kept_of(option: &DrainOption, part: &DrainPart<'_>, comes: &Growth) -> Result<Kept, DrainError> {
    Ok(InFlow::of(option, Coming::of(part))?.kept(comes, 0))
}

/// A drain in a flow.
pub(super) struct InFlow<'a> {
    option: &'a DrainOption,
    pub(super) water: Coming<'a>,
    /// Station of each basin, what comes to it, and what it takes.
    basins: Vec<(f64, Flow, Flow)>,
    /// What the swale carries.
    swale: Flow,
    taken_shares: [f64; 2],
    /// Share of the water along the part that is in the pipe at the most.
    piped: f64,
}

/// What comes to a drain.
#[derive(Debug, Clone, Copy)]
pub(super) struct Coming<'a> {
    /// The part's own.
    pub(super) flow: Flow,
    /// How that grows, down the way.
    pub(super) growth: &'a Growth,
    /// Pipes of other parts that come in.
    pub(super) joined: &'a [Joined],
}

impl<'a> Coming<'a> {
    pub(super) const fn of(part: &DrainPart<'a>) -> Self {
        Self { flow: part.flow, growth: part.growth, joined: part.joined }
    }

    /// What other parts' pipes have brought down to a place.
    pub(super) fn brought(&self, down_to_m: f64) -> Flow {
        brought(self.joined, down_to_m)
    }
}

impl<'a> InFlow<'a> {
    pub(super) fn of(option: &'a DrainOption, water: Coming<'a>) -> Result<Self, DrainError> {
        let (flow, grate) = (water.flow, usual_grate()?);
        let in_trench = option.intake.as_ref().map(|intake| intake.shares_of(water.growth, flow));
        let basin = |basin: &Basin| {
            let arrives = basin.arrives * (flow / option.flow);
            (basin.station_m, arrives, if arrives < grate { arrives } else { grate })
        };
        let basins: Vec<_> = option.basins.iter().map(basin).collect();
        let swale = option.swale.as_ref().map_or(Flow::ZERO, |swale| {
            let (shaped, let_in) = (swale.shaped_capacity(), grate * f64::from(option.end_grates));
            if shaped < let_in { shaped } else { let_in }
        });
        let taken_shares = match option.arrangement {
            Arrangement::OnePipe | Arrangement::TwoPipes => in_trench.unwrap_or([0.0; 2]),
            Arrangement::Swale | Arrangement::SwaleOverDrain => {
                in_trench.unwrap_or([0.0; 2]).map(|taken| (taken + swale / flow).min(1.0))
            }
            Arrangement::Basins => [basins.iter().map(|basin| basin.2).sum::<Flow>() / flow; 2],
        };
        // Of the water along the part the pipe has what gets in, by the upper end, and else what it was sized for.
        let piped = match (&option.intake, in_trench) {
            (Some(intake), Some(now))
                if option.arrangement == Arrangement::SwaleOverDrain && intake.shares[1] > 0.0 =>
            {
                option.piped_share * now[1] / intake.shares[1]
            }
            _ => option.piped_share,
        };
        Ok(Self { option, water, basins, swale, taken_shares, piped })
    }

    /// What of the part's flow comes to the lower end of a reach.
    pub(super) fn own(&self, sized: &SizedReach) -> Flow {
        let (place, to_m) = (sized.reach.place, sized.reach.to_m);
        let by_basins = |to_m: f64| -> Flow {
            self.basins.iter().filter(|basin| basin.0 <= to_m + 1e-9).map(|basin| basin.2).sum()
        };
        match (self.option.arrangement, place) {
            (Arrangement::Basins, ReachPlace::Line) => by_basins(to_m),
            (Arrangement::Basins, ReachPlace::Lead) => by_basins(f64::INFINITY),
            (_, ReachPlace::Line) => self.water.flow * (self.water.growth.share_at(to_m) * self.piped),
            (_, ReachPlace::Lead) => self.water.flow,
        }
    }

    /// Share of what comes to them that its pipes carry.
    fn carried_share(&self) -> f64 {
        let share = |sized: &SizedReach| {
            let comes = self.own(sized) + self.water.brought(sized.reach.to_m);
            if sized.capacity >= comes { 1.0 } else { sized.capacity / comes }
        };
        self.option.reaches.iter().map(share).fold(1.0, f64::min)
    }

    fn kept(&self, comes: &Growth, end: usize) -> Kept {
        self.with_room(comes.length_m(), |room| Kept::of(comes, room, end))
    }

    /// What the swale carries.
    pub(super) const fn swale(&self) -> Flow {
        self.swale
    }

    /// What gets in along each reach, by the upper end, where its pipe has room for all of it.
    pub(super) fn gets_in_by_reach(&self) -> Vec<Flow> {
        let (growth, reaches) = (self.water.growth, &self.option.reaches);
        let mut found = vec![Flow::ZERO; reaches.len()];
        self.with_room(growth.length_m(), |room| {
            for piece in room.pieces(growth) {
                let around = reaches.iter().position(|sized| piece.middle_m() < sized.reach.to_m);
                if let Some(at) = around {
                    found[at] = found[at] + self.water.flow * room.lets_in(&piece, 1);
                }
            }
        });
        found
    }

    fn with_room<T>(&self, length_m: f64, of: impl FnOnce(&Room<'_>) -> T) -> T {
        let taken = |basin: &(f64, Flow, Flow)| (basin.0, basin.2 / basin.1);
        let water = Water {
            flow: self.water.flow,
            own: &|sized| self.own(sized),
            joined: &|down_to_m| self.water.brought(down_to_m),
            basins: self.basins.iter().map(taken).collect(),
            swale: self.swale,
        };
        of(&Room::of(self.option, &water, length_m))
    }
}
