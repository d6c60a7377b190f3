//! The drains as they lie, in one storm: what each does to its water, and hands on.

use crate::interceptor::InterceptorError;
use crate::interceptor::drain::{
    DrainError, DrainOption, DrainPart, Joined, Loaded, handed_share, hands_on, kept_of, loaded, passes,
};
use crate::interceptor::quantities::End;
use crate::pipeline::PartOutlets;
use crate::pipeline::drain::{Drains, PartDrain, joined_with, receiving_first};
use crate::pipeline::shares::{Comes, TakenShare, onward_joints};
use crate::units::{Flow, Length};

/// The drains as they lie, in one storm.
pub(super) struct Laid<'a> {
    outlets: &'a [PartOutlets],
    drains: &'a Drains,
    flow_of: &'a dyn Fn(usize) -> Option<Flow>,
    /// What each hands on to the pipe that it joins.
    handed: Vec<Flow>,
}

impl<'a> Laid<'a> {
    /// With the flow of each part in the storm: what they hand on, from the ends of the tree down.
    pub(super) fn of(
        outlets: &'a [PartOutlets],
        drains: &'a Drains,
        flow_of: &'a dyn Fn(usize) -> Option<Flow>,
    ) -> Result<Self, InterceptorError> {
        let mut laid = Self { outlets, drains, flow_of, handed: vec![Flow::ZERO; outlets.len()] };
        for place in receiving_first(outlets).into_iter().rev() {
            let to_build = drains.parts[place].as_ref().and_then(PartDrain::to_build);
            if let Some(option) = to_build {
                laid.handed[place] = laid.handed_on(place, option, &laid.handed)?;
            }
        }
        Ok(laid)
    }

    /// What each arrangement of a part does to its flow. What it hands on to another part's pipe goes on as
    /// far as that one, from there down, and those after it carry.
    pub(super) fn loads(&self, place: usize, drain: &PartDrain) -> Result<Vec<Loaded>, InterceptorError> {
        let all = drain.options.iter().map(|costed| {
            let further = self.further(place, &costed.option)?;
            let load = self.with_part(place, &self.handed, |part| loaded(&costed.option, part))?;
            Ok(load.map(|load| load.held_to(further)))
        });
        // A part without a flow or a way has no drain.
        all.filter_map(Result::transpose).collect()
    }

    /// What the chosen arrangement takes of its water, place by place; nothing where it carries all.
    pub(super) fn taken(
        &self,
        place: usize,
        drain: &PartDrain,
        comes: Option<&Comes>,
    ) -> Result<Option<TakenShare>, InterceptorError> {
        let (Some(option), Some(comes)) = (drain.chosen(), comes) else { return Ok(None) };
        let further = self.further(place, option)?;
        let of = |part: &DrainPart<'_>| {
            let load = loaded(option, part)?;
            let room = handed_share(load.kept_shares) * further;
            let load = load.held_to(further);
            let kept = kept_of(option, part, comes.growth())?;
            let taken = || TakenShare::along(comes, kept, room, load.shares()[0]);
            Ok((!load.carries()).then(taken))
        };
        Ok(self.with_part(place, &self.handed, of)?.flatten())
    }

    /// Part of what an arrangement of a part hands on that the pipes carry which it joins.
    fn further(&self, place: usize, option: &DrainOption) -> Result<f64, InterceptorError> {
        let (mut further, mut handed, mut from) = (1.0_f64, self.handed.clone(), (place, option));
        for (into, at_m) in onward_joints(self.outlets, place) {
            handed[from.0] = self.handed_on(from.0, from.1, &handed)?;
            let Some(receiving) = self.drains.parts[into].as_ref().and_then(PartDrain::to_build) else {
                return Ok(0.0);
            };
            let through = self.with_part(into, &handed, |part| passes(receiving, part, at_m))?;
            further *= through.unwrap_or(1.0);
            from = (into, receiving);
        }
        Ok(further)
    }

    fn handed_on(
        &self,
        place: usize,
        option: &DrainOption,
        handed: &[Flow],
    ) -> Result<Flow, InterceptorError> {
        Ok(self.with_part(place, handed, |part| hands_on(option, part))?.unwrap_or(Flow::ZERO))
    }

    /// Something of a part in the storm, with what others hand on; nothing where it has no flow or no way.
    fn with_part<T>(
        &self,
        place: usize,
        handed: &[Flow],
        of: impl Fn(&DrainPart<'_>) -> Result<T, DrainError>,
    ) -> Result<Option<T>, InterceptorError> {
        let (Some(flow), Some(proposed)) = ((self.flow_of)(place), self.outlets[place].proposed()) else {
            return Ok(None);
        };
        let (Some(profile), Some(drain)) = (proposed.way.profile(), &self.drains.parts[place]) else {
            return Ok(None);
        };
        let joined: Vec<Joined> = joined_with(place, self.outlets, |other| (handed[other], Length::ZERO));
        // What the lower end meets has no part in the flow.
        let end = &End::Structure;
        let part = DrainPart {
            flow,
            growth: &drain.growth,
            way: &proposed.way,
            profile,
            joined: &joined,
            end,
            least_inside: Length::ZERO,
        };
        Ok(Some(of(&part)?))
    }
}
