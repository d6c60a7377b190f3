//! Where pipes of parts come into each other.

use super::super::outlets::PartOutlets;
use super::PartDrain;
use super::brought::Brought;
use crate::interceptor::OutletKind;
use crate::interceptor::catalogue::PipeSize;
use crate::interceptor::drain::Joined;
use crate::interceptor::quantities::End;
use crate::units::{Flow, Length};

/// Pipes of other parts that come into a part's, with what they hand on.
pub(super) fn joined(part: usize, outlets: &[PartOutlets], brought: &Brought) -> Vec<Joined> {
    joined_with(part, outlets, |place| (brought.flow(place), brought.size(place)))
}

/// The same with a flow, and the size of the pipe where one is asked for, of each.
pub(in crate::pipeline) fn joined_with(
    part: usize,
    outlets: &[PartOutlets],
    of: impl Fn(usize) -> (Flow, Length),
) -> Vec<Joined> {
    let Some(way) = outlets[part].proposed().map(|found| &found.way) else { return Vec::new() };
    let join = |place: usize| {
        let (flow, size) = of(place);
        Some(Joined { station_m: way.station_nearest(outlets[place].place()?.at)?, flow, size })
    };
    (0..outlets.len()).filter(|&place| outlets[place].joins == Some(part)).filter_map(join).collect()
}

/// What a part's lower end meets; nothing where it joins a pipe that isn't designed.
pub(super) fn end_of(place: usize, outlets: &[PartOutlets], parts: &[Option<PartDrain>]) -> Option<End> {
    let Some(into) = outlets[place].joins else {
        return Some(match outlets[place].place().map(|place| place.kind) {
            Some(kind) if kind.is_open() => End::Daylight,
            Some(OutletKind::Chamber) => End::Chamber,
            _ => End::Structure,
        });
    };
    Some(End::Joins(Box::new(pipe_at(place, into, outlets, parts)?.clone())))
}

/// The pipe of another part where a part comes in.
fn pipe_at<'a>(
    place: usize,
    into: usize,
    outlets: &[PartOutlets],
    parts: &'a [Option<PartDrain>],
) -> Option<&'a PipeSize> {
    let (other, at) = (outlets[into].proposed()?, outlets[place].place()?.at);
    let reach = parts[into].as_ref()?.chosen()?.reach_at(other.way.station_nearest(at)?)?;
    Some(&reach.pipe)
}

/// Parts whose pipe is called larger than the one that it goes on in, with its size; those left out that
/// have asked for so much already.
pub(super) fn smaller_below(
    outlets: &[PartOutlets],
    parts: &[Option<PartDrain>],
    sizes: &[Length],
) -> Vec<(usize, Length)> {
    let larger = |place: usize| {
        let own = parts[place].as_ref()?.chosen()?.outlet_reach()?;
        let size = Length::from_mm(own.pipe.nominal_mm);
        let below = pipe_at(place, outlets[place].joins?, outlets, parts)?;
        (own.pipe.nominal_mm > below.nominal_mm && size > sizes[place]).then_some((place, size))
    };
    (0..parts.len()).filter_map(larger).collect()
}
