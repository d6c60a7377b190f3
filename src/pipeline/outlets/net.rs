//! The line's pipes as trees: each part ends at an outlet of its own or in another part's pipe.

use super::{PartOutlets, Search, WayOut, cost};
use crate::error::Error;
use crate::interceptor::pipe::pipes_for;
use crate::interceptor::profile::{Infeasible, Under};
use crate::interceptor::{
    Bore, DrainedEnd, InterceptionLine, InterceptorError, LaidWay, LinePart, OutletKind, OutletPlace,
    OutletWay, way_to_outlet,
};
use crate::units::{Flow, Length, ManningN};
use geo::Coord;
use std::cell::RefCell;
use std::collections::HashMap;

/// Where a part comes into another's pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Joint {
    /// Place of that part in the list.
    pub(super) into: usize,
    /// Where, in the working coordinate system: a station of its way.
    pub(super) at: Coord,
    /// End of the joining part that drains.
    pub(super) end: DrainedEnd,
}

/// How the parts hang together.
///
/// # Invariants
/// No part drains into itself, over however many others.
#[derive(Debug, Clone)]
pub(super) struct Net {
    joints: Vec<Option<Joint>>,
    /// Level that a part's upper end lies no higher than, m: another's pipe comes in there.
    heads_m: Vec<Option<f64>>,
    /// Where a part's pipe passes below another, or takes it in: by its way as it was then.
    unders: Vec<Option<Under>>,
}

/// A part's pipe as it is laid in its tree.
#[derive(Debug, Clone)]
pub(super) struct LaidPart {
    pub(super) part: usize,
    /// Where it comes into another's pipe; nothing for the one with the outlet.
    pub(super) entry: Option<OutletPlace>,
    pub(super) way: WayOut,
}

/// A part's place, the outlet's, what it is, the end that drains; bits of the outlet's place and level and
/// of the pipe; of the level that the head lies no higher than, and of that at a place.
type WayKey = (usize, usize, OutletKind, DrainedEnd, [u64; 6], Option<u64>, Option<[u64; 2]>);

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

impl Net {
    pub(super) fn without_joints(parts: usize) -> Self {
        Self { joints: vec![None; parts], heads_m: vec![None; parts], unders: vec![None; parts] }
    }

    pub(super) fn joint(&self, part: usize) -> Option<Joint> {
        self.joints[part]
    }

    /// Parts that drain into a part's pipe at once, rising.
    pub(super) fn joining(&self, part: usize) -> impl Iterator<Item = usize> + '_ {
        let into = move |joint: &Option<Joint>| joint.is_some_and(|joint| joint.into == part);
        self.joints.iter().enumerate().filter(move |(_, joint)| into(joint)).map(|(place, _)| place)
    }

    /// The part at whose outlet a part's water ends.
    pub(super) fn root(&self, part: usize) -> usize {
        std::iter::successors(Some(part), |&at| Some(self.joints[at]?.into)).last().unwrap_or(part)
    }

    /// With one more joint, of a part that has none and into whose tree the other doesn't drain.
    pub(super) fn with(&self, part: usize, joint: Joint) -> Self {
        let mut net = self.clone();
        net.joints[part] = Some(joint);
        net.unders[part] = None;
        net
    }

    /// With a part's pipe no higher than a level at a place of its way; nothing where it is so already.
    pub(super) fn with_under(&self, part: usize, under: Under) -> Option<Self> {
        (self.unders[part] != Some(under)).then(|| {
            let mut net = self.clone();
            net.unders[part] = Some(under);
            net
        })
    }

    /// With another way for a part: no level holds for it any more.
    pub(super) fn with_other_way(&self, part: usize) -> Self {
        let mut net = self.clone();
        net.unders[part] = None;
        net
    }

    /// With the head of the pipe that a part joins no higher than a level; nothing where it is as low
    /// already, or the part joins none.
    pub(super) fn with_head(&self, part: usize, level_m: f64) -> Option<Self> {
        let into = self.joints[part]?.into;
        let is_low = self.heads_m[into].is_some_and(|head_m| head_m <= level_m);
        (!is_low).then(|| {
            let mut net = self.clone();
            net.heads_m[into] = Some(level_m);
            net
        })
    }

    /// A part and all that drain into it, each after the one that it drains into.
    fn tree(&self, root: usize) -> Vec<usize> {
        let mut found = vec![root];
        let mut next = 0;
        while let Some(&part) = found.get(next) {
            found.extend(self.joining(part));
            next += 1;
        }
        found
    }

    /// Digging for a part and all that drain into it, m², as their pipes lie.
    pub(super) fn cost(&self, found: &[PartOutlets], root: usize) -> f64 {
        self.tree(root).into_iter().filter_map(|part| found[part].proposed()).map(cost).sum()
    }
}

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
            if !way.serves() {
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
        let held = (net.heads_m[part], net.unders[part]);
        let joins: Vec<Coord> = net.joining(part).filter_map(|place| Some(net.joint(place)?.at)).collect();
        let mut smallest: Option<WayOut> = None;
        for bore in bores {
            let mut way = self.laid_way((part, own), outlet, end, (bore, held))?;
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
        (bore, (head_m, under)): (Bore, (Option<f64>, Option<Under>)),
    ) -> Result<OutletWay, Error> {
        let OutletPlace { kind, at, invert_m, .. } = outlet.1;
        let roughness = bore.roughness.map_or(0.0, ManningN::get);
        let [inside_m, wall_m] = [bore.inside, bore.wall].map(Length::as_m);
        let levels = [at.x, at.y, *invert_m, inside_m, wall_m, roughness].map(f64::to_bits);
        let under_bits = under.map(|under| [under.station_m, under.level_m].map(f64::to_bits));
        let key = (part, outlet.0, *kind, end, levels, head_m.map(f64::to_bits), under_bits);
        if let Some(way) = self.laid_ways.0.borrow().get(&key) {
            return Ok(way.clone());
        }
        let mut land = self.land();
        land.limits.head_m = head_m;
        land.limits.under = under;
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
