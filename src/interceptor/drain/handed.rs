//! What a drain hands on to the pipe that it joins, and what of what others hand on to it goes through.

use super::error::DrainError;
use super::growth::Growth;
use super::loaded::{Coming, InFlow};
use super::option::DrainOption;
use super::part::DrainPart;
use super::reach::ReachPlace;
use super::room::room_for;
use crate::units::Flow;

/// Flow that a sized drain hands on at its lower end in a flow of its part: what gets into its pipes, by the
/// upper end of what is published, with what other parts bring, as far as its pipes carry it.
///
/// # Method
/// Down the way: what is in the pipe above a reach, what joins and what gets in along it are in the pipe as
/// far as that has room. What doesn't get into a trench, or its full pipe turns away, runs in the swale over
/// it into the lead, as far as the swale carries it. What a full pipe turns away is handed on nowhere.
///
/// # Valid range
/// More that is brought never hands on less.
///
/// # Errors
/// As [`super::loaded()`].
pub fn hands_on(option: &DrainOption, part: &DrainPart<'_>) -> Result<Flow, DrainError> {
    let water = Coming::of(part);
    let own = OwnWater::of(option, water)?;
    let (mut inside, mut turned_away, mut brought) = (Flow::ZERO, Flow::ZERO, Flow::ZERO);
    for (at, sized) in option.reaches.iter().enumerate() {
        let joined = water.brought(sized.reach.to_m);
        let mut comes = inside + (joined - brought) + own.gets_in[at];
        if own.lead == Some(at) {
            comes = comes + lesser(own.swale, own.stays_out + turned_away);
        }
        inside = lesser(comes, sized.capacity);
        turned_away = turned_away + (comes - inside);
        brought = joined;
    }
    Ok(inside)
}

/// Part of what other parts bring from a place down that goes through a sized drain's pipes in a flow of its
/// part.
///
/// # Method
/// Of each reach below what its own water leaves: of that as much is in it as gets in, by the upper end, and as
/// has room there beside what others bring ([`super::Kept`]).
///
/// # Errors
/// As [`super::loaded()`].
pub fn passes(option: &DrainOption, part: &DrainPart<'_>, from_m: f64) -> Result<f64, DrainError> {
    passes_of(option, Coming::of(part), from_m)
}

impl DrainOption {
    /// The same in the flow that it is designed for, which grows so down the way.
    ///
    /// # Errors
    /// As [`super::loaded()`].
    pub fn passes(&self, growth: &Growth, from_m: f64) -> Result<f64, DrainError> {
        passes_of(self, Coming { flow: self.flow, growth, joined: &self.joined }, from_m)
    }
}

fn passes_of(option: &DrainOption, water: Coming<'_>, from_m: f64) -> Result<f64, DrainError> {
    let own = OwnWater::of(option, water)?;
    let (mut inside, mut least) = (Flow::ZERO, 1.0_f64);
    for (at, sized) in option.reaches.iter().enumerate() {
        let joined = water.brought(sized.reach.to_m);
        let room = water.flow * room_for(sized.capacity, [own.asks[at], joined], water.flow);
        let mut comes = inside + own.gets_in[at];
        if own.lead == Some(at) {
            comes = comes + lesser(own.swale, own.stays_out);
        }
        inside = if water.flow > Flow::ZERO { lesser(comes, room) } else { Flow::ZERO };
        if sized.reach.to_m >= from_m && joined > Flow::ZERO {
            let left = sized.capacity - inside;
            least = least.min(if left >= joined { 1.0 } else { left / joined });
        }
    }
    Ok(least)
}

/// The part's own water on its ways into the pipes.
struct OwnWater {
    /// What gets in through the top of the trench and its holes, or by basins, along each reach.
    gets_in: Vec<Flow>,
    /// What each reach is held against.
    asks: Vec<Flow>,
    /// What doesn't get in, where a swale may take it.
    stays_out: Flow,
    /// What the swale carries.
    swale: Flow,
    /// Place of the first reach of the lead.
    lead: Option<usize>,
}

impl OwnWater {
    fn of(option: &DrainOption, water: Coming<'_>) -> Result<Self, DrainError> {
        let none = vec![Flow::ZERO; option.reaches.len()];
        let lead = option.reaches.iter().position(|sized| sized.reach.place == ReachPlace::Lead);
        let mut found =
            Self { gets_in: none.clone(), asks: none, stays_out: Flow::ZERO, swale: Flow::ZERO, lead };
        if water.flow > Flow::ZERO {
            let drain = InFlow::of(option, water)?;
            found.gets_in = drain.gets_in_by_reach();
            found.asks = option.reaches.iter().map(|sized| drain.own(sized)).collect();
            let all: Flow = found.gets_in.iter().copied().sum();
            found.stays_out = if all < water.flow { water.flow - all } else { Flow::ZERO };
            // The grates at its end are for what it was shaped for; what a full pipe turns away may be more.
            let by_rules = option.swale.as_ref().map_or(Flow::ZERO, |swale| swale.capacity);
            found.swale = if by_rules > drain.swale() { by_rules } else { drain.swale() };
        }
        Ok(found)
    }
}

fn lesser(a: Flow, b: Flow) -> Flow {
    if b < a { b } else { a }
}
