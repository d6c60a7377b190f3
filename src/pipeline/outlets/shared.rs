//! Leads of two parts over the same ground: told, with why one pipe isn't laid for both.

use super::laying::NotLaid;
use super::net::Net;
use super::{PartOutlets, Rank, Search, WayOut};
use crate::error::Error;
use crate::interceptor::InterceptionLine;
use crate::warning::Warning;
use crate::wording::metres;
use geo::{Coord, Distance, Euclidean, LineString, Point};

/// Pipes nearer to each other lie in one trench, m: about as wide as that of a small pipe. Common practice,
/// no source.
pub(super) const TRENCH_M: f64 = 0.6;
/// Leads that come nearer over no more than so much are taken to meet or cross, m. Ours.
pub(super) const CROSSING_M: f64 = 3.0;
/// Distance of the places of a lead that are looked at, at the most, m.
const STEP_M: f64 = 0.25;

/// Why two parts with leads over the same ground have a pipe each.
#[derive(Debug, Clone, PartialEq)]
enum Apart {
    /// They are parts of one tree already.
    OneTree,
    /// One pipe for both can't be laid.
    NotLaid(NotLaid),
    /// Standing water at the outlet would drive the water of both out of the line.
    RunsOver,
    /// The water would end at a worse outlet.
    Worse,
    /// It digs so much more, m².
    DigsMore(f64),
    /// Neither ends at an outlet by gravity.
    NoOutlet,
}

impl Apart {
    /// The more it tells what would help the earlier.
    fn order(&self) -> (u8, f64) {
        match self {
            Self::OneTree => (0, 0.0),
            Self::DigsMore(more_m2) => (1, *more_m2),
            Self::RunsOver => (2, 0.0),
            Self::NotLaid(NotLaid::TooHigh(refused)) => (3, refused.shortfall_m),
            Self::Worse => (4, 0.0),
            Self::NotLaid(NotLaid::TooMuch) => (5, 0.0),
            Self::NotLaid(NotLaid::NoWay) => (6, 0.0),
            Self::NoOutlet => (7, 0.0),
        }
    }

    fn words(&self) -> String {
        match self {
            Self::OneTree => {
                "both drain to one outlet, and the one comes into the other's pipe only below".to_owned()
            }
            Self::DigsMore(more_m2) => {
                format!("one pipe for both would be dug deeper, by {more_m2:.1} m² along it")
            }
            Self::RunsOver => {
                "with water standing at the outlet one pipe for both would run over, whatever its size"
                    .to_owned()
            }
            Self::NotLaid(NotLaid::TooHigh(refused)) => format!(
                "one pipe for both, which is larger, would have to lie {} lower than it may",
                metres(refused.shortfall_m, 2)
            ),
            Self::Worse => "the water of both would end at a worse outlet".to_owned(),
            Self::NotLaid(NotLaid::TooMuch) => {
                "no pipe of the catalogue carries the water of both".to_owned()
            }
            Self::NotLaid(NotLaid::NoWay) => {
                "something stands in the way from the one to the other".to_owned()
            }
            Self::NoOutlet => "neither drains by gravity".to_owned(),
        }
    }
}

impl Search<'_> {
    /// Says of which parts the leads run in one trench, and why.
    pub(super) fn shared_ground(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        net: &Net,
    ) -> Result<Vec<Warning>, Error> {
        let mut warnings = Vec::new();
        for a in 0..found.len() {
            for b in a + 1..found.len() {
                let ways = found[a].proposed().zip(found[b].proposed());
                let Some(shared_m) = ways.map(|(a, b)| self.shared_m(a, b)).filter(|m| *m > CROSSING_M)
                else {
                    continue;
                };
                let apart = self.why_two(line, found, net, [a, b])?;
                warnings.push(Warning::new(
                    "leads-share-ground",
                    format!(
                        "the pipes of parts {} and {} of the line, each with its lead, run within {} of each other over {}: {}",
                        line.parts[a].id,
                        line.parts[b].id,
                        metres(TRENCH_M, 2),
                        metres(shared_m, 1),
                        apart.words()
                    ),
                    "have both laid in one trench, wide enough for two pipes side by side; the bill has a trench for each. A lower outlet or a flatter grade (--min-grade) may let one pipe serve both",
                ));
            }
        }
        Ok(warnings)
    }

    /// Length over which the lead of one way runs in the trench of the other, m.
    pub(super) fn shared_m(&self, a: &WayOut, b: &WayOut) -> f64 {
        let beside = |lead: &LineString, path: &LineString| {
            let scale = self.site.crs.metres_per_unit();
            let near = |at: Coord| Euclidean.distance(&Point::from(at), path) * scale <= TRENCH_M;
            let mut shared_m = 0.0;
            for leg in lead.0.windows(2) {
                let length_m = self.metres(leg[0], leg[1]);
                let step_m = length_m / (length_m / STEP_M).ceil();
                let mut at_m = 0.5 * step_m;
                while at_m < length_m {
                    shared_m +=
                        if near(leg[0] + (leg[1] - leg[0]) * (at_m / length_m)) { step_m } else { 0.0 };
                    at_m += step_m;
                }
            }
            shared_m
        };
        beside(&a.way.lead, &b.way.path).max(beside(&b.way.lead, &a.way.path))
    }

    /// Why two parts have a pipe each.
    fn why_two(
        &self,
        line: &InterceptionLine,
        found: &[PartOutlets],
        net: &Net,
        [a, b]: [usize; 2],
    ) -> Result<Apart, Error> {
        let (root_a, root_b) = (net.root(a), net.root(b));
        if root_a == root_b {
            return Ok(Apart::OneTree);
        }
        let mut reasons = vec![Apart::NoOutlet];
        for (place, into) in [(root_a, b), (root_b, a)] {
            let root = net.root(into);
            if found[root].by_gravity().is_none() {
                continue;
            }
            let own_rank = found[place].proposed().map(WayOut::rank);
            let before_m2 = net.cost(found, place) + net.cost(found, root);
            for joint in self.joints(line, found, net, (place, into))? {
                reasons.push(match joint.map(|joined| joined.gain(place, before_m2)) {
                    Err(why) => Apart::NotLaid(why),
                    Ok(gain) if own_rank.is_some_and(|own| gain.rank <= own) => Apart::DigsMore(gain.more_m2),
                    Ok(gain) if gain.rank == Rank::Drowned => Apart::RunsOver,
                    Ok(_) => Apart::Worse,
                });
            }
        }
        let first = |a: Apart, b: Apart| {
            let (x, y) = (a.order(), b.order());
            if x.0.cmp(&y.0).then(x.1.total_cmp(&y.1)).is_le() { a } else { b }
        };
        Ok(reasons.into_iter().reduce(first).unwrap_or(Apart::NoOutlet))
    }
}
