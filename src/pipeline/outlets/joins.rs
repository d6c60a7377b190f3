//! Parts that drain into each other's pipes.

use super::net::{Joint, LaidPart, Net};
use super::places::REACH_M;
use super::{PartOutlets, Rank, Search, cost};
use crate::error::Error;
use crate::interceptor::{DrainedEnd, InterceptionLine, OutletWay};
use geo::{Coord, Distance, Euclidean, Point};

/// A net with one more joint, and the pipes of the tree that has it.
struct Joined {
    net: Net,
    root: usize,
    laid: Vec<LaidPart>,
}

impl Search<'_> {
    /// Leads parts into other parts' pipes where that digs less than ways of their own, or where these end at
    /// worse outlets.
    ///
    /// # Method
    /// From the part with the least water on, each that joins no other yet may join any whose water ends at
    /// an outlet by gravity and that doesn't drain into it: at the head of that part's pipe, which may be
    /// laid lower for it, or at the place nearest to one of its own ends. Several parts may join one, and one
    /// that is joined may join another. Each pipe is sized for the sum of the peaks that come to it, which is
    /// no less than their joined peak; all pipes down to the outlet are laid anew, and all must keep their
    /// limits. Of the ways to join the one with the least digging counts. It is gone on until no part joins.
    pub(super) fn join(&self, line: &InterceptionLine, found: &mut [PartOutlets]) -> Result<(), Error> {
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
        Ok(())
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
        let mut best: Option<(Rank, f64, Joined)> = None;
        for into in 0..line.parts.len() {
            let root = net.root(into);
            let Some(end_rank) = found[root].by_gravity().map(super::WayOut::rank) else { continue };
            if root == place || own_rank.is_some_and(|own| end_rank > own) {
                continue;
            }
            let before_m2 = net.cost(found, place) + net.cost(found, root);
            for joined in self.joints(line, found, net, (place, into))? {
                let Some(rank) = joined.laid.iter().find(|laid| laid.part == root).map(|l| l.way.rank())
                else {
                    continue;
                };
                let more_m2 = joined.laid.iter().map(|laid| cost(&laid.way)).sum::<f64>() - before_m2;
                let is_better = own_rank.is_none_or(|own| rank < own || (rank == own && more_m2 < 0.0));
                let key = (rank, more_m2);
                if is_better && best.as_ref().is_none_or(|best| key < (best.0, best.1)) {
                    best = Some((rank, more_m2, joined));
                }
            }
        }
        Ok(best.map(|(_, _, joined)| joined))
    }

    /// Ways of a part into another's pipe that serve, with all pipes of the tree laid anew.
    fn joints(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        net: &Net,
        (place, into): (usize, usize),
    ) -> Result<Vec<Joined>, Error> {
        let mut joints = Vec::new();
        let Some(receiving) = found[into].proposed() else { return Ok(joints) };
        let root = net.root(into);
        let entries = self.entries(line, place, &receiving.way);
        for end in [DrainedEnd::Lower, DrainedEnd::Upper] {
            for &at in &entries {
                let joint = Joint { into, at, end };
                let mut tried = vec![net.with(place, joint)];
                if at == receiving.way.stations[0].point {
                    tried.extend(self.lowered(line, found, &tried[0], place)?);
                }
                for net in tried {
                    if let Some(laid) = self.lay_tree(line, found, &net, root)? {
                        joints.push(Joined { net, root, laid });
                    }
                }
            }
        }
        Ok(joints)
    }

    /// The same joint with the head of the receiving pipe as low as the part's pipe arrives.
    fn lowered(
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
fn write_back(line: &InterceptionLine, found: &mut [PartOutlets], joined: &Joined) {
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
