//! Parts that drain into each other's pipes.

use super::places::REACH_M;
use super::{PartOutlets, Search, WayOut, cost};
use crate::error::Error;
use crate::interceptor::pipe::smallest_pipe;
use crate::interceptor::{
    Bore, DrainedEnd, InterceptionLine, InterceptorError, LinePart, OutletKind, OutletPlace, OutletVerdict,
    OutletWay, way_to_outlet,
};
use crate::units::Flow;
use geo::{Coord, Distance, Euclidean, Point};

/// A part's way into another's pipe, and that one's way with the pipe for both.
struct Join {
    into: usize,
    place: OutletPlace,
    way: WayOut,
    receiving: WayOut,
}

/// A part that looks for a pipe to join.
struct Joiner<'a> {
    part: &'a LinePart,
    /// Place of the join in the list of its outlets.
    outlet: usize,
    into: usize,
}

/// The part that it joins.
struct Receiver<'a> {
    part: &'a LinePart,
    outlets: &'a PartOutlets,
    before: &'a WayOut,
    carried: Option<Flow>,
}

/// Deeper below another's pipe no way is looked for, m: no trench is so deep.
const DEEPER_M: f64 = 20.0;

impl Search<'_> {
    /// Leads parts into other parts' pipes where that digs less than ways of their own.
    ///
    /// # Method
    /// From the part with the least water on, each may join a part that has a way by gravity, joins none itself and takes no other: at the head of
    /// that part's pipe, which may be laid lower for it, or at the place nearest to one of its own ends. The pipe that it joins is sized for the sum of the peaks,
    /// which is no less than their joined peak, and laid anew; both must keep their limits.
    pub(super) fn join(&self, line: &InterceptionLine, found: &mut [PartOutlets]) -> Result<(), Error> {
        let mut order: Vec<usize> = (0..line.parts.len()).collect();
        let area = |place: &usize| line.parts[*place].contributing_area.as_m2();
        order.sort_by(|a, b| area(a).total_cmp(&area(b)));
        for place in order {
            if !found[place].joined.is_empty() {
                continue;
            }
            let mut best: Option<Join> = None;
            for into in (0..line.parts.len())
                .filter(|&into| into != place && found[into].joins.is_none() && found[into].joined.is_empty())
            {
                for join in self.ways_into(line, found, place, into)? {
                    if best.as_ref().is_none_or(|best| cost(&join.way) < cost(&best.way)) {
                        best = Some(join);
                    }
                }
            }
            let Some(join) = best.filter(|join| is_better(join, &found[place], &found[join.into])) else {
                continue;
            };
            found[place].joins = Some(join.into);
            found[join.into].joined.push(line.parts[place].id);
            found[join.into].ways[0] = join.receiving;
            found[place].places.push(join.place);
            found[place].ways.insert(0, join.way);
        }
        Ok(())
    }

    /// Ways of a part into another's pipe that serve, both laid anew.
    fn ways_into(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        place: usize,
        into: usize,
    ) -> Result<Vec<Join>, Error> {
        let Some(before) = found[into].by_gravity() else { return Ok(Vec::new()) };
        let (part, other) = (&line.parts[place], &line.parts[into]);
        let receiver = Receiver {
            part: other,
            outlets: &found[into],
            before,
            carried: sum(before.carried, part.flow()),
        };
        let joiner = Joiner { part, outlet: found[place].places.len(), into };
        let mut joins = Vec::new();
        let Some(receiving) = self.relaid(&receiver, None)? else { return Ok(joins) };
        for entry in self.entries(part, other, &receiving.way) {
            for end in [DrainedEnd::Lower, DrainedEnd::Upper] {
                joins.extend(self.joined(&joiner, entry.clone(), end, receiving.clone())?);
            }
        }
        for end in [DrainedEnd::Lower, DrainedEnd::Upper] {
            joins.extend(self.lowered_head(&joiner, &receiver, &receiving, end)?);
        }
        Ok(joins)
    }

    /// A part's way into another's head, which is laid as low as that way comes.
    fn lowered_head(
        &self,
        joiner: &Joiner<'_>,
        receiver: &Receiver<'_>,
        receiving: &WayOut,
        end: DrainedEnd,
    ) -> Result<Option<Join>, Error> {
        let Some(head) = self.entries(joiner.part, receiver.part, &receiving.way).into_iter().next() else {
            return Ok(None);
        };
        if head.at != receiving.way.stations[0].point {
            return Ok(None);
        }
        let anywhere = OutletPlace { invert_m: head.invert_m - DEEPER_M, ..head.clone() };
        let Some(first) = self.joined(joiner, anywhere, end, receiving.clone())? else { return Ok(None) };
        let arrives_m = first.way.way.profile().and_then(|profile| Some(profile.stations().last()?.invert_m));
        let Some(lowered) = self.relaid(receiver, arrives_m)? else { return Ok(None) };
        let starts_m = lowered.way.profile().map_or(head.invert_m, |profile| profile.stations()[0].invert_m);
        self.joined(joiner, OutletPlace { invert_m: starts_m, ..head }, end, lowered)
    }

    /// The receiving part's way with a pipe for both; nothing where it doesn't serve.
    fn relaid(&self, receiver: &Receiver<'_>, head_m: Option<f64>) -> Result<Option<WayOut>, Error> {
        let Receiver { part, outlets, before, carried } = receiver;
        let Some(bore) = self.bore_for(*carried, before.way.bore) else { return Ok(None) };
        let place = &outlets.places[before.way.outlet];
        let mut land = self.land();
        land.limits.head_m = head_m;
        let way = way_to_outlet(part, (before.way.outlet, place), before.way.end, bore, &land)
            .map_err(InterceptorError::from)?;
        let fits = way.verdict() == Some(OutletVerdict::Gravity);
        if !fits {
            return Ok(None);
        }
        self.beside(way, place, *carried).map(Some)
    }

    fn joined(
        &self,
        joiner: &Joiner<'_>,
        entry: OutletPlace,
        end: DrainedEnd,
        receiving: WayOut,
    ) -> Result<Option<Join>, Error> {
        let Joiner { part, outlet, into } = *joiner;
        let way = way_to_outlet(part, (outlet, &entry), end, Bore::of_part(part), &self.land())
            .map_err(InterceptorError::from)?;
        let way = self.beside(way, &entry, part.flow())?;
        Ok(way.serves().then_some(Join { into, place: entry, way, receiving }))
    }

    /// Places of another part's pipe that a part may join.
    fn entries(&self, part: &LinePart, other: &LinePart, way: &OutletWay) -> Vec<OutletPlace> {
        let Some(profile) = way.profile() else { return Vec::new() };
        let scale = self.site.crs.metres_per_unit();
        let ends = [part.path.0[0], part.path.0[part.path.0.len() - 1]];
        let away = |a: Coord, b: Coord| Euclidean.distance(Point::from(a), Point::from(b)) * scale;
        let mut stations = vec![0];
        for end in ends {
            let near = |&a: &usize, &b: &usize| {
                away(way.stations[a].point, end).total_cmp(&away(way.stations[b].point, end))
            };
            stations.extend((0..way.stations.len()).min_by(near));
        }
        stations.sort_unstable();
        stations.dedup();
        let entry = |station: usize| {
            let at = &way.stations[station];
            let nearest_m = away(at.point, ends[0]).min(away(at.point, ends[1]));
            (nearest_m <= REACH_M).then(|| OutletPlace {
                kind: OutletKind::OtherPart,
                id: other.id.to_string(),
                at: at.point,
                invert_m: profile.stations()[station].invert_m,
                rim_m: None,
                tailwater_m: None,
            })
        };
        stations.into_iter().filter_map(entry).collect()
    }

    /// The pipe for a flow; the one before where it isn't known; nothing where none of the catalogue carries it.
    fn bore_for(&self, flow: Option<Flow>, before: Bore) -> Option<Bore> {
        let Some(flow) = flow else { return Some(before) };
        smallest_pipe(flow, self.settings.min_grade, self.catalogue).fit().map(Bore::of)
    }
}

fn sum(a: Option<Flow>, b: Option<Flow>) -> Option<Flow> {
    a.zip(b).map(|(a, b)| a + b)
}

/// Whether a part's join digs less than its own way, the larger pipe of the other included; or its own way is a worse outlet.
fn is_better(join: &Join, own: &PartOutlets, other: &PartOutlets) -> bool {
    let Some(own) = own.proposed() else { return true };
    let more = cost(&join.receiving) - other.proposed().map_or(0.0, cost);
    own.rank() > join.receiving.rank()
        || (own.rank() == join.receiving.rank() && cost(&join.way) + more < cost(own))
}
