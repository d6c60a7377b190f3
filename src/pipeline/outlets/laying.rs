//! The pipes of a tree laid from its outlet up.

use super::net::Net;
use super::{PartOutlets, Search, WayOut};
use crate::error::Error;
use crate::interceptor::pipe::pipes_for;
use crate::interceptor::profile::Infeasible;
use crate::interceptor::{
    Bore, DrainedEnd, InterceptionLine, InterceptorError, LaidWay, LinePart, OutletKind, OutletPlace,
    OutletWay, way_to_outlet,
};
use crate::units::{Flow, Length, ManningN};
use geo::Coord;
use std::cell::RefCell;
use std::collections::HashMap;

/// A part's pipe as it is laid in its tree.
#[derive(Debug, Clone)]
pub(super) struct LaidPart {
    pub(super) part: usize,
    /// Where it comes into another's pipe; nothing for the one with the outlet.
    pub(super) entry: Option<OutletPlace>,
    pub(super) way: WayOut,
}

/// A part's place, the outlet's, what it is, the end that drains; bits of the outlet's place and level and
/// of the pipe; of the level that the head lies no higher than, and of that at a place; of the pipes that
/// its lead keeps off.
type WayKey = (usize, usize, OutletKind, DrainedEnd, [u64; 6], Option<u64>, Option<[u64; 2]>, Vec<[u64; 2]>);

/// Ways of one line's parts as they were laid.
#[derive(Debug, Default)]
pub(in crate::pipeline) struct LaidWays(RefCell<HashMap<WayKey, OutletWay>>);

impl LaidWays {
    /// Before another line.
    pub(super) fn forget(&self) {
        self.0.borrow_mut().clear();
    }
}

/// Deeper below another's pipe no way is looked for, m: no trench is so deep.
const DEEPER_M: f64 = 20.0;
/// A station farther from a joint isn't the one that it was meant for, m.
const SAME_M: f64 = 0.01;

/// Why a tree can't be laid.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum NotLaid {
    /// A pipe would have to lie lower than it may.
    TooHigh(Box<Infeasible>),
    /// No pipe of the catalogue carries the water.
    TooMuch,
    /// Something stands in the way of a lead, or ground isn't known.
    NoWay,
}

impl Search<'_> {
    /// Lays the pipes of a tree from its outlet up, each for all the water that comes to it; or says why one
    /// doesn't serve.
    pub(super) fn lay_tree(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        net: &Net,
        root: usize,
    ) -> Result<Result<Vec<LaidPart>, NotLaid>, Error> {
        let mut laid: Vec<LaidPart> = Vec::new();
        for part in net.tree(root) {
            let ends = match net.joint(part) {
                None => found[part].proposed().map(|own| {
                    let place = found[part].places[own.way.outlet].clone();
                    (own.way.outlet, place, own.way.end)
                }),
                Some(joint) => laid.iter().find(|laid| laid.part == joint.into).and_then(|receiving| {
                    let entry = entry(line.parts[joint.into].id, &receiving.way.way, joint.at)?;
                    Some((place_of_entry(&found[part]), entry, joint.end))
                }),
            };
            let Some((outlet, place, end)) = ends else { return Ok(Err(NotLaid::NoWay)) };
            let Some(way) = self.lay_part(line, net, part, (outlet, &place), end)? else {
                return Ok(Err(NotLaid::TooMuch));
            };
            // Without a way past the trenches it would run straight through them.
            let is_shut = way.way.is_shut && !net.kept_off[part].is_empty();
            if is_shut || !way.serves() {
                return Ok(Err(match way.way.laid {
                    LaidWay::DoesNotFit(refused) => NotLaid::TooHigh(Box::new(refused)),
                    LaidWay::Fits(_) | LaidWay::GroundUnknown => NotLaid::NoWay,
                }));
            }
            laid.push(LaidPart { part, entry: net.joint(part).map(|_| place), way });
        }
        Ok(Ok(laid))
    }

    /// The level at which a part's pipe would arrive where it joins another's, were that one low enough, m.
    pub(super) fn arrival_m(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        net: &Net,
        part: usize,
    ) -> Result<Option<f64>, Error> {
        let Some((joint, own)) = net.joint(part).zip(line.parts[part].from_ground_m()) else {
            return Ok(None);
        };
        let place = other_part(line.parts[joint.into].id, joint.at, own - DEEPER_M);
        let outlet = (place_of_entry(&found[part]), &place);
        let way = self.lay_part(line, net, part, outlet, joint.end)?.filter(WayOut::serves);
        Ok(way.and_then(|found| Some(found.way.profile()?.stations().last()?.invert_m)))
    }

    /// A part's way with a pipe for its own water and all that comes to it; nothing where no pipe of the
    /// catalogue carries that.
    ///
    /// # Method
    /// The smallest pipe that carries it at the least grade. Where others' water comes to it and standing
    /// water at the outlet would drive it out of the line, the smallest of the larger ones with which it
    /// doesn't; a larger pipe uses up less level.
    fn lay_part(
        &self,
        line: &InterceptionLine,
        net: &Net,
        part: usize,
        outlet: (usize, &OutletPlace),
        end: DrainedEnd,
    ) -> Result<Option<WayOut>, Error> {
        let own = &line.parts[part];
        let carried = net.tree(part).into_iter().map(|part| line.parts[part].flow());
        let carried = carried.reduce(sum).flatten();
        let alone = net.joining(part).next().is_none();
        let bores = if alone { vec![Bore::of_part(own)] } else { self.bores_for(carried, own) };
        let joins: Vec<Coord> = net.joining(part).filter_map(|place| Some(net.joint(place)?.at)).collect();
        let mut smallest: Option<WayOut> = None;
        for bore in bores {
            let mut way = self.laid_way((part, own), outlet, end, (bore, net))?;
            way.is_enlarged = smallest.is_some();
            let way = self.beside(way, outlet.1, (carried, &joins))?;
            if smallest.is_some() && !way.serves() {
                break;
            }
            if !(way.serves() && way.is_drowned()) {
                return Ok(Some(way));
            }
            smallest.get_or_insert(way);
        }
        Ok(smallest)
    }

    /// The way of a part to a place, laid once: many trees have the same.
    fn laid_way(
        &self,
        (part, own): (usize, &LinePart),
        outlet: (usize, &OutletPlace),
        end: DrainedEnd,
        (bore, net): (Bore, &Net),
    ) -> Result<OutletWay, Error> {
        let OutletPlace { kind, at, invert_m, .. } = outlet.1;
        let (head_m, under, trenches) = (net.heads_m[part], net.unders[part], &net.kept_off[part]);
        let roughness = bore.roughness.map_or(0.0, ManningN::get);
        let [inside_m, wall_m] = [bore.inside, bore.wall].map(Length::as_m);
        let levels = [at.x, at.y, *invert_m, inside_m, wall_m, roughness].map(f64::to_bits);
        let under_bits = under.map(|under| [under.station_m, under.level_m].map(f64::to_bits));
        let off = trenches.iter().flat_map(|off| {
            let corners = off.way.0.iter().map(|at| [at.x, at.y]);
            corners.chain([[off.distance.as_m(), 0.0]]).map(|of| of.map(f64::to_bits))
        });
        let head_bits = head_m.map(f64::to_bits);
        let key = (part, outlet.0, *kind, end, levels, head_bits, under_bits, off.collect());
        if let Some(way) = self.laid_ways.0.borrow().get(&key) {
            return Ok(way.clone());
        }
        let mut land = self.land();
        land.limits.head_m = head_m;
        land.limits.under = under;
        let off_trenches;
        if !trenches.is_empty() {
            off_trenches = self.obstacles.off_trenches(trenches);
            land.obstacles = &off_trenches;
        }
        let way = way_to_outlet(own, outlet, end, bore, &land).map_err(InterceptorError::from)?;
        self.laid_ways.0.borrow_mut().insert(key, way.clone());
        Ok(way)
    }

    /// Pipes for a part that carry a flow, the smallest first, none lower than that of its drain where its
    /// way is laid for that; its own where the flow isn't known; none where none of the catalogue carries it.
    fn bores_for(&self, flow: Option<Flow>, part: &LinePart) -> Vec<Bore> {
        let own = Bore::of_part(part);
        let Some(flow) = flow else { return vec![own] };
        let carry = pipes_for(flow, self.settings.min_grade, self.catalogue);
        let carry = carry.iter().map(Bore::of);
        if part.drain_pipe.is_none() {
            return carry.collect();
        }
        let is_higher = |bore: &Bore| bore.above_invert() > own.above_invert();
        std::iter::once(own).chain(carry.filter(is_higher)).collect()
    }
}

/// Where the place at which a part joins another stands in the list of its outlets: at the end.
fn place_of_entry(outlets: &PartOutlets) -> usize {
    outlets.places.len() - usize::from(outlets.joins.is_some())
}

/// A place of another part's pipe; nothing where its way doesn't come by there.
fn entry(id: usize, way: &OutletWay, at: Coord) -> Option<OutletPlace> {
    let away = |place: usize| (way.stations[place].point.x - at.x).hypot(way.stations[place].point.y - at.y);
    let station = (0..way.stations.len()).min_by(|&a, &b| away(a).total_cmp(&away(b)))?;
    let invert_m = way.profile()?.stations().get(station)?.invert_m;
    (away(station) <= SAME_M).then(|| other_part(id, at, invert_m))
}

fn other_part(id: usize, at: Coord, invert_m: f64) -> OutletPlace {
    OutletPlace {
        kind: OutletKind::OtherPart,
        id: id.to_string(),
        at,
        invert_m,
        rim_m: None,
        tailwater_m: None,
    }
}

fn sum(a: Option<Flow>, b: Option<Flow>) -> Option<Flow> {
    a.zip(b).map(|(a, b)| a + b)
}
