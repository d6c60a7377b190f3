//! Pipes of two parts that meet, or run in one trench: one joined into the other, laid lower, or led elsewhere.

use super::conflicts::Conflict;
use super::joins::{Joined, write_back};
use super::laid_again::worse_off;
use super::laying::NotLaid;
use super::net::{Joint, Net};
use super::other_ways::other_ways;
use super::shared::TRENCH_M;
use super::{LaidLine, PartOutlets, Search, WayOut, cost};
use crate::error::Error;
use crate::interceptor::profile::Under;
use crate::interceptor::{InterceptionLine, OutletWay};
use crate::wording::metres;

/// Levels are told to this, m.
const LEAST_TOLD_M: f64 = 0.01;

/// What may be done about it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Remedy {
    /// The one comes into the other where they meet.
    Join,
    /// The one passes below the other.
    Lower,
    /// Another way of the one.
    OtherWay,
    /// The one beside the other, in one trench.
    SideBySide,
}

/// Why a remedy doesn't serve.
#[derive(Debug, Clone)]
enum Refused {
    NotLaid(NotLaid),
    /// Water would end at a worse outlet.
    Worse,
    /// Pipes would still come too near to each other.
    StillMeets,
    /// One pipe would be dug deeper by more than a second trench takes.
    DigsMore,
    /// There is none.
    None,
}

impl Refused {
    fn words(&self) -> String {
        match self {
            Self::NotLaid(NotLaid::TooHigh(why)) if why.shortfall_m < LEAST_TOLD_M => {
                format!("it would have to lie less than {} lower than it may", metres(LEAST_TOLD_M, 2))
            }
            Self::NotLaid(NotLaid::TooHigh(why)) => {
                format!("it would have to lie {} lower than it may", metres(why.shortfall_m, 2))
            }
            Self::NotLaid(NotLaid::TooMuch) => "no pipe of the catalogue carries the water".to_owned(),
            Self::NotLaid(NotLaid::NoWay) => "something stands in the way".to_owned(),
            Self::Worse => "water would end at a worse outlet".to_owned(),
            Self::StillMeets => "pipes would meet all the same".to_owned(),
            Self::DigsMore => "it digs more than a second trench".to_owned(),
            Self::None => "there is none as good".to_owned(),
        }
    }
}

/// Remedies that were tried, each with the ways that it leads to or why it doesn't serve.
type Tried = Vec<(Remedy, Result<LaidLine, Refused>)>;

impl Search<'_> {
    /// The ways with as few conflicts as there must be, and whether any was changed.
    ///
    /// # Method
    /// For each two parts whose pipes cross with too little ground between them, or run in one trench: either is
    /// joined into the other where they meet, the other laid lower for it where it must be; else one is laid
    /// below the other; else one takes another of its ways, or its lead is led around the other's trench; else beside
    /// the other's pipe. Of those of a kind the one that digs least. None
    /// counts that leads any water to a worse outlet, that leaves as many pairs in conflict, or that leaves as
    /// many that cross; so it ends, and pipes that cross again and again are one conflict.
    pub(in crate::pipeline) fn apart(
        &self,
        line: &InterceptionLine,
        mut ways: LaidLine,
    ) -> Result<(LaidLine, bool), Error> {
        let mut is_changed = false;
        'again: loop {
            for (pair, conflict) in self.conflicts(&ways.found) {
                if let Some(better) = self.remedy(line, &ways, pair, conflict)? {
                    ways = better;
                    is_changed = true;
                    continue 'again;
                }
            }
            return Ok((ways, is_changed));
        }
    }

    /// Why nothing was found for two parts whose pipes cross.
    pub(super) fn refused(
        &self,
        line: &InterceptionLine,
        ways: &LaidLine,
        pair: [usize; 2],
    ) -> Result<String, Error> {
        let Some(conflict) = self.conflict(&ways.found, pair) else { return Ok(String::new()) };
        let tried = self.tried(line, ways, pair, conflict)?;
        let why = |remedy: Remedy, what: &str| {
            let of_kind = tried.iter().filter(|(kind, _)| *kind == remedy);
            let missing = |why: &&Refused| match why {
                Refused::NotLaid(NotLaid::TooHigh(why)) => why.shortfall_m,
                _ => f64::INFINITY,
            };
            let refused = of_kind.filter_map(|(_, tried)| tried.as_ref().err());
            let nearest = refused.min_by(|a, b| missing(a).total_cmp(&missing(b)));
            format!("{what}: {}", nearest.unwrap_or(&Refused::None).words())
        };
        let all = [
            why(Remedy::Join, "joined there"),
            why(Remedy::Lower, "one below the other"),
            why(Remedy::OtherWay, "another way"),
            why(Remedy::SideBySide, "beside each other"),
        ];
        Ok(all.join("; "))
    }

    fn remedy(
        &self,
        line: &InterceptionLine,
        ways: &LaidLine,
        pair: [usize; 2],
        conflict: Conflict,
    ) -> Result<Option<LaidLine>, Error> {
        let digs = |ways: &LaidLine| dug_m2(&ways.found);
        let tried = self.tried(line, ways, pair, conflict)?;
        let served = tried.into_iter().filter_map(|(remedy, tried)| Some((remedy, tried.ok()?)));
        let best = served.min_by(|a, b| a.0.cmp(&b.0).then(digs(&a.1).total_cmp(&digs(&b.1))));
        Ok(best.map(|(_, ways)| ways))
    }

    fn tried(
        &self,
        line: &InterceptionLine,
        ways: &LaidLine,
        [a, b]: [usize; 2],
        conflict: Conflict,
    ) -> Result<Tried, Error> {
        let mut tried = Tried::new();
        let sides = [(0, a, b), (1, b, a)];
        for (mine, part, other) in sides {
            for net in self.nets_joined(line, ways, (part, other), (conflict, 1 - mine))? {
                tried.push((Remedy::Join, self.weighed(line, ways, (net, part, other), conflict)?));
            }
            if let Conflict::Clash { stations_m, under_m } = conflict {
                let under = Under { station_m: stations_m[mine], level_m: under_m[mine] };
                if let Some(net) = ways.net.with_under(part, under) {
                    tried.push((Remedy::Lower, self.weighed(line, ways, (net, part, other), conflict)?));
                }
            }
        }
        // Other ways are many, and come last.
        if tried.iter().any(|(_, tried)| tried.is_ok()) {
            return Ok(tried);
        }
        for (_, part, other) in sides {
            for (remedy, other_way) in other_ways(ways, (part, other), conflict) {
                let net = other_way.net.clone();
                let trial = (ways, other_way.clone());
                let mut weighed = self.weighed_from(line, trial, (net, part, other), conflict)?;
                // Longer, it may arrive too low for the pipe that it joins as that lies.
                if let Err(Refused::NotLaid(NotLaid::TooHigh(_))) = &weighed
                    && let Some(net) = self.joint_lowered(line, &other_way, part)?
                {
                    weighed = self.weighed_from(line, (ways, other_way), (net, part, other), conflict)?;
                }
                tried.push((remedy, weighed));
            }
        }
        Ok(tried)
    }

    /// Nets in which a part comes into another's pipe where the two meet; with that as it lies, and lower.
    fn nets_joined(
        &self,
        line: &InterceptionLine,
        LaidLine { found, net }: &LaidLine,
        (part, into): (usize, usize),
        (conflict, theirs): (Conflict, usize),
    ) -> Result<Vec<Net>, Error> {
        let by_gravity = found[net.root(into)].by_gravity().is_some();
        let mut onward = std::iter::successors(Some(into), |&at| Some(net.joint(at)?.into));
        if !by_gravity || onward.any(|at| at == part) {
            return Ok(Vec::new());
        }
        let Some((own, receiving)) = found[part].proposed().zip(found[into].proposed()) else {
            return Ok(Vec::new());
        };
        let at = match conflict {
            Conflict::Clash { stations_m, .. } => below(&receiving.way, stations_m[theirs]),
            Conflict::Trench { .. } => self.first_shared(own, receiving),
        };
        let Some(station) = at else { return Ok(Vec::new()) };
        let there = receiving.way.stations[station];
        let plain = net.with(part, Joint { into, at: there.point, end: own.way.end });
        let arrives_m = self.arrival_m(line, found, &plain, part)?;
        let lowered = arrives_m
            .and_then(|level_m| plain.with_under(into, Under { station_m: there.station_m, level_m }));
        Ok(std::iter::once(plain).chain(lowered).collect())
    }

    /// A net with the pipe that a part joins as low at the joint as the part's pipe arrives; nothing where it
    /// joins none.
    fn joint_lowered(
        &self,
        line: &InterceptionLine,
        LaidLine { found, net }: &LaidLine,
        part: usize,
    ) -> Result<Option<Net>, Error> {
        let Some(joint) = net.joint(part) else { return Ok(None) };
        let Some(receiving) = found[joint.into].proposed().map(|found| &found.way) else { return Ok(None) };
        let Some(level_m) = self.arrival_m(line, found, net, part)? else { return Ok(None) };
        if receiving.stations[0].point == joint.at {
            return Ok(net.with_head(part, level_m));
        }
        let there = receiving.station_nearest(joint.at);
        Ok(there.and_then(|station_m| net.with_under(joint.into, Under { station_m, level_m })))
    }

    /// The first station of a way that lies in the trench of another's lead, by its place in the list.
    fn first_shared(&self, own: &WayOut, receiving: &WayOut) -> Option<usize> {
        let near = |&station: &usize| {
            let at = receiving.way.stations[station].point;
            let away = own.way.stations.iter().map(|own| self.metres(own.point, at));
            away.fold(f64::INFINITY, f64::min) <= TRENCH_M
        };
        (0..receiving.way.stations.len()).find(near)
    }

    fn weighed(
        &self,
        line: &InterceptionLine,
        ways: &LaidLine,
        (net, part, other): (Net, usize, usize),
        conflict: Conflict,
    ) -> Result<Result<LaidLine, Refused>, Error> {
        self.weighed_from(line, (ways, ways.clone()), (net, part, other), conflict)
    }

    /// The trees of two parts laid by a net, if that betters what there is.
    fn weighed_from(
        &self,
        line: &InterceptionLine,
        (before, mut after): (&LaidLine, LaidLine),
        (net, part, other): (Net, usize, usize),
        conflict: Conflict,
    ) -> Result<Result<LaidLine, Refused>, Error> {
        // The tree that a part leaves is laid for less.
        let mut roots = vec![net.root(part), net.root(other), net.root(before.net.root(part))];
        roots.sort_unstable();
        roots.dedup();
        for root in roots {
            match self.lay_tree(line, &after.found, &net, root)? {
                Ok(laid) => {
                    write_back(line, &mut after.found, &Joined { net: net.clone(), root, laid });
                }
                Err(why) => return Ok(Err(Refused::NotLaid(why))),
            }
        }
        after.net = net;
        if worse_off(&before.found, &after.found) {
            return Ok(Err(Refused::Worse));
        }
        if self.how_many(&after.found) >= self.how_many(&before.found) {
            return Ok(Err(Refused::StillMeets));
        }
        if let Conflict::Trench { shared_m } = conflict {
            let second_m2 = found_mean_cut_m(&before.found[part]) * shared_m;
            if dug_m2(&after.found) - dug_m2(&before.found) > second_m2 {
                return Ok(Err(Refused::DigsMore));
            }
        }
        Ok(Ok(after))
    }
}

/// The first station at or below a place along a way.
fn below(way: &OutletWay, station_m: f64) -> Option<usize> {
    (0..way.stations.len()).find(|&station| way.stations[station].station_m >= station_m)
}

fn dug_m2(found: &[PartOutlets]) -> f64 {
    found.iter().filter_map(PartOutlets::proposed).map(cost).sum()
}

fn found_mean_cut_m(outlets: &PartOutlets) -> f64 {
    outlets.proposed().map_or(0.0, |found| cost(found) / found.way.length.as_m())
}
