//! The drains of the parts, designed together: one hands water on to another.

use super::super::for_drains::TooHigh;
use super::super::shares::onward;
use super::brought::Brought;
use super::growth::growth;
use super::joints::{end_of, joined};
use super::{Entering, PartDrain, Standing, Yard, price};
use crate::error::Error;
use crate::interceptor::drain::{
    Arrangement, Costed, CutSwale, DrainBasis, DrainPart, Growth, Joined, Recommendation, ThinStretch,
    hands_on, option, recommend,
};
use crate::interceptor::quantities::End;
use crate::interceptor::{DrainedEnd, InterceptionLine, InterceptorError, LinePart, OutletWay};
use crate::pipeline::{PartOutlets, Settings};
use crate::units::{Flow, Length};

/// What a part's drain takes from those of others.
#[derive(PartialEq)]
pub(super) struct FromOthers {
    /// What comes in.
    pub(super) joined: Vec<Joined>,
    /// What its lower end meets.
    pub(super) end: End,
}

/// A part's drain, and what it was designed for.
struct Designed {
    from_others: FromOthers,
    drain: Option<PartDrain>,
}

/// Drains of the parts, each for what others' pipes hand on to it, and none with a pipe that is smaller than
/// one that comes into it further up.
///
/// # Method
/// Round by round until what is handed on stays as it is ([`Brought`]). In a round parts are designed after
/// those whose pipes they join, which they take their wye from; a drain for which nothing has changed since
/// the round before stays. Where a pipe then is called larger than the one that it goes on in, all is done
/// again with that one at least as large. What a pipe asks for only grows, by sizes of the catalogue, so that
/// it ends.
pub(super) fn designed(
    entering: &Entering<'_>,
    interception: &InterceptionLine,
    (outlets, too_high, standing): (&[PartOutlets], &[Option<TooHigh>], &[Standing]),
    (yard, basis): (&Yard, &DrainBasis<'_>),
    settings: &Settings,
) -> Result<Vec<Option<PartDrain>>, Error> {
    let count = interception.parts.len();
    let mut brought = Brought::whole(&interception.parts, outlets);
    let mut before: Vec<Option<Designed>> = (0..count).map(|_| None).collect();
    loop {
        let mut parts: Vec<Option<PartDrain>> = vec![None; count];
        for place in receiving_first(outlets) {
            let part = &interception.parts[place];
            let Some(end) = end_of(place, outlets, &parts) else { continue };
            let from_others = FromOthers { joined: joined(place, outlets, &brought), end };
            let same = before[place].as_ref().filter(|before| before.from_others == from_others);
            let drain = if let Some(same) = same {
                same.drain.clone()
            } else {
                let (growth, least_inside) = (growth(entering, place, part)?, standing[place].least_inside());
                let water = Water { growth, from_others: &from_others, least_inside };
                let laid = (&outlets[place], too_high[place].as_ref().map(|pipe| pipe.above_invert));
                let mut drain = part_drain(part, water, laid, (yard, basis), settings)?;
                if let (Some(drain), Some(proposed)) = (&mut drain, outlets[place].proposed()) {
                    drain.thin_stretches = thin_stretches(drain, &proposed.way, entering, settings);
                }
                drain
            };
            parts[place].clone_from(&drain);
            before[place] = Some(Designed { from_others, drain });
        }
        if !brought.changes(outlets, &parts) {
            return Ok(parts);
        }
    }
}

/// Places of the parts, each after the one whose pipe it joins.
pub(in crate::pipeline) fn receiving_first(outlets: &[PartOutlets]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..outlets.len()).collect();
    order.sort_by_key(|&place| onward(outlets, place).count());
    order
}

/// A part's water, what comes in beside it, and what its lower end meets.
pub(super) struct Water<'a> {
    pub(super) growth: Growth,
    pub(super) from_others: &'a FromOthers,
    /// No pipe is smaller inside.
    pub(super) least_inside: Length,
}

pub(super) fn part_drain(
    part: &LinePart,
    water: Water<'_>,
    (outlets, too_high): (&PartOutlets, Option<Length>),
    (yard, basis): (&Yard, &DrainBasis<'_>),
    settings: &Settings,
) -> Result<Option<PartDrain>, InterceptorError> {
    let (Some(flow), Some(proposed)) = (part.flow(), outlets.proposed()) else { return Ok(None) };
    let way = &proposed.way;
    let Some(profile) = way.profile() else { return Ok(None) };
    let Water { growth, from_others: FromOthers { joined, end }, least_inside } = water;
    let growth = if way.end == DrainedEnd::Upper { growth.reversed() } else { growth };
    let drained = DrainPart { flow, growth: &growth, way, profile, joined, end, least_inside };
    let (mut options, mut lacking) = (Vec::new(), Vec::new());
    for arrangement in Arrangement::ALL {
        match option(arrangement, &drained, basis)? {
            Ok(option) => options.push(Costed { price: price(&option, yard, settings)?, option }),
            Err(what) => lacking.push((arrangement, what)),
        }
    }
    let Recommendation { place: recommended, against } = recommend(&options, part.setback, too_high);
    let named = settings.drain.arrangement;
    let chosen = match named {
        Some(named) => options.iter().position(|costed| costed.option.arrangement == named),
        None => recommended,
    };
    let to_build = chosen.map(|place| &options[place].option).filter(|option| option.built.is_ok());
    let hands_on = to_build.map_or(Ok(Flow::ZERO), |option| hands_on(option, &drained))?;
    let (as_named, thin_stretches) = (vec![None; options.len()], Vec::new());
    Ok(Some(PartDrain {
        options,
        lacking,
        recommended,
        chosen,
        against,
        as_named,
        growth,
        hands_on,
        thin_stretches,
    }))
}

/// Where the chosen drain lies with less ground over it than asked for.
fn thin_stretches(
    drain: &PartDrain,
    way: &OutletWay,
    entering: &Entering<'_>,
    settings: &Settings,
) -> Vec<ThinStretch> {
    let ground = |station_m: f64| (entering.height)(way.place_at(station_m)?);
    let part_m = way.length.as_m() - way.lead_length.as_m();
    let stretches = drain.chosen().map(|option| {
        let swale = CutSwale::of(option, way, entering.line.metres_per_unit());
        let cut = |station_m: f64| {
            let swale = swale.as_ref().filter(|_| station_m > part_m)?;
            swale.level_before_end(way.place_at(station_m)?)
        };
        option.thin_stretches(way, settings.min_cover, &ground, &cut)
    });
    stretches.unwrap_or_default()
}
