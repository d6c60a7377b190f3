//! Other ways of a part: to another of its outlets, off another part's trench, or beside its pipe.

use super::conflicts::Conflict;
use super::crossing::BETWEEN_M;
use super::remedies::Remedy;
use super::shared::TRENCH_M;
use super::{LaidLine, WayOut};
use crate::interceptor::KeptOff;
use crate::units::Length;

/// A lead that keeps off a trench runs so much farther from it than one that shares it, m.
const OFF_M: f64 = 0.05;

/// The ways with another of a part; where two cross also with that which it has, and each of these, led off the
/// other's trench, or beside its pipe.
pub(super) fn other_ways(
    ways: &LaidLine,
    (part, other): (usize, usize),
    conflict: Conflict,
) -> Vec<(Remedy, LaidLine)> {
    let outlets = other_outlets(ways, part);
    let mut all: Vec<_> = outlets.iter().map(|way| (Remedy::OtherWay, way.clone())).collect();
    let Some((own, others)) = ways.found[part].proposed().zip(ways.found[other].proposed()) else {
        return all;
    };
    // Two trenches beside each other better nothing on one trench for both.
    if matches!(conflict, Conflict::Trench { .. }) {
        return all;
    }
    let outside_m = |found: &WayOut| (found.way.bore.above_invert() + found.way.bore.wall).as_m();
    let beside_m = 0.5 * (outside_m(own) + outside_m(others)) + BETWEEN_M;
    for (remedy, distance_m) in [(Remedy::OtherWay, TRENCH_M + OFF_M), (Remedy::SideBySide, beside_m)] {
        let off = KeptOff { way: others.way.path.clone(), distance: Length::from_m(distance_m) };
        let led = |from: &LaidLine| LaidLine {
            found: from.found.clone(),
            net: from.net.with_lead_off(part, off.clone()),
        };
        all.extend(std::iter::once(ways).chain(&outlets).map(|from| (remedy, led(from))));
    }
    all
}

/// The ways with each other one of a part that ends at an outlet of its own put first.
fn other_outlets(ways: &LaidLine, part: usize) -> Vec<LaidLine> {
    let outlets = &ways.found[part];
    let Some(rank) = outlets.proposed().map(WayOut::rank) else { return Vec::new() };
    if ways.net.joint(part).is_some() {
        return Vec::new();
    }
    let serving = outlets.ways.iter().enumerate().skip(1);
    let as_good = serving.filter(|(_, way)| way.serves() && way.rank() <= rank);
    let put_first = as_good.map(|(place, _)| {
        let mut other = ways.clone();
        other.found[part].ways[..=place].rotate_right(1);
        other.net = other.net.with_other_way(part);
        other
    });
    put_first.collect()
}
