//! Flows and volumes shared out to those who gave the water.

use super::design::{CrossingWater, Early, Piece};
use super::ground_kind::GroundKind;
use crate::formula::curve_number::runoff_depth;
use crate::formula::rational::peak_flow_of_shedding;
use crate::units::{Area, Flow, Length, RainIntensity, Volume};
use std::collections::BTreeMap;

/// Flow and volume of one part of the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Portion {
    /// Its ground.
    pub area: Area,
    /// That of it whose water is in the peak.
    pub joined: Area,
    /// Its part of the peak.
    pub flow: Flow,
    /// Its runoff in the whole storm; nothing without a depth of rain and curve numbers.
    pub volume: Option<Volume>,
}

/// What portions are worked out from.
pub(super) struct Portions<'a> {
    pub(super) kinds: &'a [GroundKind],
    pub(super) intensity: RainIntensity,
    pub(super) depth: Option<Length>,
}

impl Portions<'_> {
    /// Portions of one crossing. `joined` is the part of the late and of the early ground that the peak has.
    pub(super) fn of<K: Ord>(
        &self,
        pieces: &[Piece],
        early: Early,
        joined: [f64; 2],
        key: impl Fn(&Piece) -> K,
    ) -> BTreeMap<K, Portion> {
        let mut found = BTreeMap::new();
        for piece in pieces {
            let joined = joined[usize::from(early.has(self.kinds, piece))];
            add(&mut found, key(piece), self.portion(piece, joined));
        }
        found
    }

    /// Portions of all crossings; `joined` has two numbers for each.
    pub(super) fn of_all<K: Ord>(
        &self,
        crossings: &[CrossingWater],
        early: Early,
        joined: &[f64],
        key: impl Fn(&Piece) -> K,
    ) -> BTreeMap<K, Portion> {
        let mut found = BTreeMap::new();
        for (water, joined) in crossings.iter().zip(joined.chunks_exact(2)) {
            for (key, portion) in self.of(&water.pieces, early, [joined[0], joined[1]], &key) {
                add(&mut found, key, portion);
            }
        }
        found
    }

    fn portion(&self, piece: &Piece, joined: f64) -> Portion {
        let kind = &self.kinds[piece.kind];
        let in_peak = piece.area * joined;
        let depth = self.depth.zip(kind.curve_number).map(|(rain, number)| runoff_depth(rain, number));
        Portion {
            area: piece.area,
            joined: in_peak,
            flow: peak_flow_of_shedding(self.intensity, in_peak * kind.shed_share()),
            volume: depth.map(|depth| depth * piece.area),
        }
    }
}

fn add<K: Ord>(found: &mut BTreeMap<K, Portion>, key: K, more: Portion) {
    let sum = found.entry(key).or_insert(Portion {
        area: Area::ZERO,
        joined: Area::ZERO,
        flow: Flow::ZERO,
        volume: Some(Volume::ZERO),
    });
    sum.area = sum.area + more.area;
    sum.joined = sum.joined + more.joined;
    sum.flow = sum.flow + more.flow;
    sum.volume = sum.volume.zip(more.volume).map(|(a, b)| a + b);
}
