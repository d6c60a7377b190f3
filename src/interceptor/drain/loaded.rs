//! A drain as it was sized, in another flow.

use super::arrangement::Arrangement;
use super::basins::usual_grate;
use super::error::DrainError;
use super::option::{ALL, DrainOption};
use super::part::DrainPart;
use super::reach::ReachPlace;
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
}

impl Loaded {
    /// Share that the drain keeps off the lot: by the lower and the upper end of what gets in.
    #[must_use]
    pub fn shares(&self) -> [f64; 2] {
        self.taken_shares.map(|taken| {
            let share = kept_share(self.arrangement, taken, self.carried_share);
            if share >= ALL { 1.0 } else { share }
        })
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

    /// The same where a pipe further down carries no more than a share.
    #[must_use]
    pub const fn held_to(self, share: f64) -> Self {
        Self { carried_share: self.carried_share.min(share), ..self }
    }
}

/// Share of a flow that is kept off the lot. Pipes in stone, and those to which a swale runs, are held against the whole
/// flow, so that the lesser counts; a pipe between basins against what the basins take.
pub(super) fn kept_share(arrangement: Arrangement, taken: f64, carried: f64) -> f64 {
    if arrangement == Arrangement::Basins { taken * carried } else { taken.min(carried) }
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
    let flow = part.flow;
    if flow <= Flow::ZERO {
        return Ok(Loaded {
            arrangement: option.arrangement,
            flow,
            taken_shares: [1.0; 2],
            carried_share: 1.0,
        });
    }
    let grate = usual_grate()?;
    let in_trench = option.intake.as_ref().map(|intake| intake.shares_of(part.growth, flow));
    let basins: Vec<(f64, Flow)> = option
        .basins
        .iter()
        .map(|basin| {
            let arrives = basin.arrives * (flow / option.flow);
            (basin.station_m, if arrives < grate { arrives } else { grate })
        })
        .collect();
    let by_basins = |to_m: f64| -> Flow {
        basins.iter().filter(|basin| basin.0 <= to_m + 1e-9).map(|basin| basin.1).sum()
    };
    let swale = option.swale.as_ref().map_or(Flow::ZERO, |swale| {
        let (shaped, let_in) = (swale.shaped_capacity(), grate * f64::from(option.end_grates));
        if shaped < let_in { shaped } else { let_in }
    });
    let taken_shares = match option.arrangement {
        Arrangement::OnePipe | Arrangement::TwoPipes => in_trench.unwrap_or([0.0; 2]),
        Arrangement::Swale | Arrangement::SwaleOverDrain => {
            in_trench.unwrap_or([0.0; 2]).map(|taken| (taken + swale / flow).min(1.0))
        }
        Arrangement::Basins => [by_basins(f64::INFINITY) / flow; 2],
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
    let comes_to = |sized: &SizedReach| {
        let (place, to_m) = (sized.reach.place, sized.reach.to_m);
        let own = match (option.arrangement, place) {
            (Arrangement::Basins, ReachPlace::Line) => by_basins(to_m),
            (Arrangement::Basins, ReachPlace::Lead) => by_basins(f64::INFINITY),
            (_, ReachPlace::Line) => flow * (part.growth.share_at(to_m) * piped),
            (_, ReachPlace::Lead) => flow,
        };
        own + part.joined_flow(to_m)
    };
    let share = |sized: &SizedReach| {
        let comes = comes_to(sized);
        if sized.capacity >= comes { 1.0 } else { sized.capacity / comes }
    };
    let carried_share = option.reaches.iter().map(share).fold(1.0, f64::min);
    Ok(Loaded { arrangement: option.arrangement, flow, taken_shares, carried_share })
}
