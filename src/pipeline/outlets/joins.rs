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

impl Search<'_> {
    /// Leads parts into other parts' pipes where that digs less than ways of their own.
    ///
    /// # Method
    /// From the part with the least water on, each may join a part that has a way by gravity and joins none itself: at the head of
    /// that part's pipe, or at the place nearest to one of its own ends. The pipe that it joins is sized for the sum of the peaks,
    /// which is no less than their joined peak, and laid anew; both must keep their limits.
    pub(super) fn join(&self, line: &InterceptionLine, found: &mut [PartOutlets]) -> Result<(), Error> {
        let mut order: Vec<usize> = (0..line.parts.len()).collect();
        let area = |place: &usize| line.parts[*place].contributing_area.as_m2();
        order.sort_by(|a, b| area(a).total_cmp(&area(b)));
        let mut joins = vec![false; line.parts.len()];
        for place in order {
            if !found[place].joined.is_empty() {
                continue;
            }
            let mut best: Option<Join> = None;
            for into in (0..line.parts.len()).filter(|&into| into != place && !joins[into]) {
                for join in self.ways_into(line, found, place, into)? {
                    if best.as_ref().is_none_or(|best| cost(&join.way) < cost(&best.way)) {
                        best = Some(join);
                    }
                }
            }
            let Some(join) = best.filter(|join| is_better(join, &found[place], &found[join.into])) else {
                continue;
            };
            joins[place] = true;
            found[join.into].joined.push(line.parts[place].id);
            found[join.into].ways[0] = join.receiving;
            found[place].places.push(join.place);
            found[place].ways.insert(0, join.way);
        }
        Ok(())
    }

    /// Ways of a part into another's pipe that serve.
    fn ways_into(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        place: usize,
        into: usize,
    ) -> Result<Vec<Join>, Error> {
        let (part, other) = (&line.parts[place], &line.parts[into]);
        let Some(before) = found[into].by_gravity() else { return Ok(Vec::new()) };
        let carried = sum(before.carried, part.flow());
        let bore = self.bore_for(carried, before.way.bore);
        let to = (before.way.outlet, &found[into].places[before.way.outlet]);
        let receiving =
            way_to_outlet(other, to, before.way.end, bore, &self.land()).map_err(InterceptorError::from)?;
        if receiving.verdict() != Some(OutletVerdict::Gravity) {
            return Ok(Vec::new());
        }
        let receiving = self.beside(receiving, &found[into].places, carried);
        let outlet = found[place].places.len();
        let mut joins = Vec::new();
        for entry in self.entries(part, other, &receiving.way) {
            for end in [DrainedEnd::Lower, DrainedEnd::Upper] {
                let way = way_to_outlet(part, (outlet, &entry), end, Bore::of_part(part), &self.land())
                    .map_err(InterceptorError::from)?;
                let places = [&found[place].places[..], std::slice::from_ref(&entry)].concat();
                let way = self.beside(way, &places, part.flow());
                if way.serves() {
                    joins.push(Join { into, place: entry.clone(), way, receiving: receiving.clone() });
                }
            }
        }
        Ok(joins)
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

    /// The pipe for a flow; the one before where it isn't known. Where none of the catalogue carries it, the largest, which the bill and
    /// the sizing of the part say.
    fn bore_for(&self, flow: Option<Flow>, before: Bore) -> Bore {
        use crate::interceptor::pipe::PipeSizing;
        let sized = flow.map(|flow| smallest_pipe(flow, self.settings.min_grade, self.catalogue));
        sized.map_or(before, |sized| match sized {
            PipeSizing::Fits(pipe) | PipeSizing::NoneFits { best: pipe } => Bore::of(&pipe),
        })
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
