//! Parts that drain into each other's pipes.

use super::laying::{LaidPart, NotLaid};
use super::net::{Joint, Net};
use super::places::REACH_M;
use super::{PartOutlets, Rank, Search, cost};
use crate::error::Error;
use crate::interceptor::{DrainedEnd, InterceptionLine, OutletWay};
use geo::{Coord, Distance, Euclidean, Point};

/// A net with one more joint, and the pipes of the tree that has it.
pub(super) struct Joined {
    pub(super) net: Net,
    pub(super) root: usize,
    pub(super) laid: Vec<LaidPart>,
}

/// What joining comes to, held against the ways as they are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gain {
    /// How good the outlet of the part's water is then.
    pub(super) rank: Rank,
    /// What all pipes of both trees dig more than now, m².
    pub(super) more_m2: f64,
}

impl Joined {
    /// What the joint of a part comes to; `before_m2` is what both trees dig now.
    pub(super) fn gain(&self, place: usize, before_m2: f64) -> Gain {
        // As good as the outlet, but no better than the way to the other pipe.
        let counts = |laid: &&LaidPart| laid.part == self.root || laid.part == place;
        let rank = self.laid.iter().filter(counts).map(|laid| laid.way.rank()).max();
        Gain {
            rank: rank.unwrap_or(Rank::MostComesBack),
            more_m2: self.laid.iter().map(|laid| cost(&laid.way)).sum::<f64>() - before_m2,
        }
    }
}

impl Search<'_> {
    /// Leads parts into other parts' pipes where that digs less than ways of their own, or where these end at
    /// worse outlets.
    ///
    /// # Method
    /// From the part with the least water on, each that joins no other yet may join any whose water ends at
    /// an outlet by gravity and that doesn't drain into it: at the head of that part's pipe, which may be
    /// laid lower for it, at the places of its way nearest to its own ends, or where none of these serves
    /// at the first one below at which the other pipe lies low enough. Several parts may join one, and one
    /// that is joined may join another. Each pipe is sized for the sum of the peaks that come to it, which is
    /// no less than their joined peak; all pipes down to the outlet are laid anew, and all must keep their
    /// limits. Of the ways to join the one with the best outlet counts, then that with the least digging.
    /// It is gone on until no part joins.
    pub(super) fn join(&self, line: &InterceptionLine, found: &mut [PartOutlets]) -> Result<Net, Error> {
        let mut order: Vec<usize> = (0..line.parts.len()).collect();
        let area = |place: &usize| line.parts[*place].contributing_area.as_m2();
        order.sort_by(|a, b| area(a).total_cmp(&area(b)));
        let mut net = Net::without_joints(found.len());
        let mut goes_on = true;
        while goes_on {
            goes_on = false;
            for &place in &order {
                if net.joint(place).is_some() {
                    continue;
                }
                if let Some(joined) = self.best_joint(line, found, &net, place)? {
                    write_back(line, found, &joined);
                    net = joined.net;
                    goes_on = true;
                }
            }
        }
        Ok(net)
    }

    /// The best way of a part into another's pipe, if it betters what there is.
    fn best_joint(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        net: &Net,
        place: usize,
    ) -> Result<Option<Joined>, Error> {
        let own_rank = found[place].proposed().map(super::WayOut::rank);
        let mut best: Option<(Gain, Joined)> = None;
        for into in 0..line.parts.len() {
            let root = net.root(into);
            let Some(end_rank) = found[root].by_gravity().map(super::WayOut::rank) else { continue };
            // Water that is driven out of the other pipe may stay in a larger one.
            let may_better = end_rank == Rank::Drowned || own_rank.is_none_or(|own| end_rank <= own);
            if root == place || !may_better {
                continue;
            }
            let before_m2 = net.cost(found, place) + net.cost(found, root);
            for joined in self.joints(line, found, net, (place, into))?.into_iter().flatten() {
                let gain = joined.gain(place, before_m2);
                let is_better =
                    own_rank.is_none_or(|own| gain.rank < own || (gain.rank == own && gain.more_m2 < 0.0));
                let key = |gain: &Gain| (gain.rank, gain.more_m2);
                if is_better && best.as_ref().is_none_or(|(best, _)| key(&gain) < key(best)) {
                    best = Some((gain, joined));
                }
            }
        }
        Ok(best.map(|(_, joined)| joined))
    }

    /// Ways of a part into another's pipe, with all pipes of the tree laid anew, or why they can't be.
    pub(super) fn joints(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        net: &Net,
        (place, into): (usize, usize),
    ) -> Result<Vec<Result<Joined, NotLaid>>, Error> {
        let mut joints = Vec::new();
        let Some(receiving) = found[into].proposed() else { return Ok(joints) };
        let entries = self.entries(line, place, &receiving.way);
        for end in [DrainedEnd::Lower, DrainedEnd::Upper] {
            let mut tried = Vec::new();
            for &at in &entries {
                tried.extend(self.joints_at(line, found, net, (place, Joint { into, at, end }))?);
            }
            if tried.iter().all(Result::is_err)
                && let Some(at) = self.lower_entry(line, found, (net, place), (into, end), &entries)?
            {
                tried.extend(self.joints_at(line, found, net, (place, Joint { into, at, end }))?);
            }
            joints.extend(tried);
        }
        Ok(joints)
    }

    /// The same at one place; at the head of the other pipe also with that laid lower.
    fn joints_at(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        net: &Net,
        (place, joint): (usize, Joint),
    ) -> Result<Vec<Result<Joined, NotLaid>>, Error> {
        let root = net.root(joint.into);
        let mut tried = vec![net.with(place, joint)];
        let receiving = found[joint.into].proposed();
        if receiving.is_some_and(|receiving| receiving.way.stations[0].point == joint.at) {
            tried.extend(self.lowered(line, found, &tried[0], place)?);
        }
        let lay = |net: Net| {
            let laid = self.lay_tree(line, found, &net, root)?;
            Ok(laid.map(|laid| Joined { net, root, laid }))
        };
        tried.into_iter().map(lay).collect()
    }

    /// The first place below the nearest entry at which another part's pipe lies low enough for the part's
    /// pipe, which falls on at the least grade.
    fn lower_entry(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        (net, place): (&Net, usize),
        (into, end): (usize, DrainedEnd),
        entries: &[Coord],
    ) -> Result<Option<Coord>, Error> {
        let Some(way) = found[into].proposed().map(|found| &found.way) else { return Ok(None) };
        let path = &line.parts[place].path.0;
        let from = if end == DrainedEnd::Lower { path[path.len() - 1] } else { path[0] };
        let away_m = |at: Coord| self.metres(from, at);
        let nearest = entries.iter().copied().min_by(|a, b| away_m(*a).total_cmp(&away_m(*b)));
        let Some((at, profile)) = nearest.zip(way.profile()) else { return Ok(None) };
        let joint = net.with(place, Joint { into, at, end });
        let arrives_m = self.arrival_m(line, found, &joint, place)?;
        let Some((arrives_m, nearest)) = arrives_m.zip(way.place_nearest(at)) else { return Ok(None) };
        let below = way.stations.iter().zip(profile.stations()).skip(nearest + 1);
        let is_low = |point: Coord, invert_m: f64| {
            let falls_m = self.settings.min_grade.get() * (away_m(point) - away_m(at));
            away_m(point) <= REACH_M && invert_m <= arrives_m - falls_m
        };
        let mut low = below.filter(|(station, laid)| is_low(station.point, laid.invert_m));
        Ok(low.next().map(|(station, _)| station.point))
    }

    /// The same joint with the head of the receiving pipe as low as the part's pipe arrives.
    pub(super) fn lowered(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        net: &Net,
        place: usize,
    ) -> Result<Option<Net>, Error> {
        let arrives_m = self.arrival_m(line, found, net, place)?;
        Ok(arrives_m.and_then(|arrives_m| net.with_head(place, arrives_m)))
    }

    /// Places of another part's pipe that a part may join: its head, and those nearest to the part's ends.
    fn entries(&self, line: &InterceptionLine, place: usize, way: &OutletWay) -> Vec<Coord> {
        let path = &line.parts[place].path;
        let scale = self.site.crs.metres_per_unit();
        let ends = [path.0[0], path.0[path.0.len() - 1]];
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
        let points = stations.into_iter().map(|station| way.stations[station].point);
        points.filter(|&at| away(at, ends[0]).min(away(at, ends[1])) <= REACH_M).collect()
    }
}

/// The pipes as they are laid now.
pub(super) fn write_back(line: &InterceptionLine, found: &mut [PartOutlets], joined: &Joined) {
    for laid in &joined.laid {
        let outlets = &mut found[laid.part];
        match &laid.entry {
            Some(entry) if outlets.joins.is_some() => {
                outlets.places[laid.way.way.outlet] = entry.clone();
                outlets.ways[0] = laid.way.clone();
            }
            Some(entry) => {
                outlets.places.push(entry.clone());
                outlets.ways.insert(0, laid.way.clone());
            }
            None => outlets.ways[0] = laid.way.clone(),
        }
        outlets.joins = joined.net.joint(laid.part).map(|joint| joint.into);
        outlets.joined = joined.net.joining(laid.part).map(|place| line.parts[place].id).collect();
    }
    debug_assert!(joined.laid.iter().any(|laid| laid.part == joined.root));
}
