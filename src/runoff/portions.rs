//! Flows and volumes shared out to those who gave the water.

use super::design::Piece;
use super::ground_kind::GroundKind;
use super::streams::JoinedPeak;
use crate::formula::curve_number::runoff_depth;
use crate::formula::rational::peak_flow_of_shedding;
use crate::units::{Area, Flow, Length, Volume};
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
    pub(super) peak: &'a JoinedPeak,
    pub(super) depth: Option<Length>,
}

impl Portions<'_> {
    /// Adds the portions of pieces of ground.
    pub(super) fn add<'p, K: Ord>(
        &self,
        found: &mut BTreeMap<K, Portion>,
        pieces: impl IntoIterator<Item = &'p Piece>,
        key: impl Fn(&Piece) -> K,
    ) {
        for piece in pieces {
            add(found, key(piece), self.portion(piece, self.peak.has(piece.time)));
        }
    }

    fn portion(&self, piece: &Piece, has_joined: bool) -> Portion {
        let kind = &self.kinds[piece.kind];
        let in_peak = if has_joined { piece.area } else { Area::ZERO };
        let depth = self.depth.zip(kind.curve_number).map(|(rain, number)| runoff_depth(rain, number));
        Portion {
            area: piece.area,
            joined: in_peak,
            flow: peak_flow_of_shedding(self.peak.rain.intensity, in_peak * kind.shed_share()),
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
