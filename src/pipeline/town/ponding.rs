//! Hollows by the lots that they lie on.

use super::lot::Ponding;
use super::routed::RoutedTown;
use crate::pipeline::lot_ponds::LEAST_POND_DEPTH_M;
use crate::terrain::ponds;
use std::collections::BTreeMap;

/// What each lot has of hollows that are deeper than the noise of elevation data, by place.
pub(super) fn ponding(routed: &RoutedTown, lots: usize) -> Vec<Ponding> {
    let ground = &routed.ground;
    let shape = ground.raw.shape();
    let mut found = vec![Ponding::default(); lots];
    for pond in ponds(&ground.raw, &routed.filled, ground.cell, LEAST_POND_DEPTH_M) {
        // Area and depth on each lot.
        let mut parts: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
        for cell in pond.cells() {
            let depth_m = pond.level_m - f64::from(*ground.raw.at(cell));
            for (label, share) in ground.lots.parts(shape.index(cell)) {
                if let Some(place) = label.place() {
                    let part = parts.entry(place).or_default();
                    part.0 += share * ground.cell.area_m2();
                    part.1 = part.1.max(depth_m);
                }
            }
        }
        for (place, (area_m2, depth_m)) in parts {
            let lot = &mut found[place];
            lot.count += 1;
            lot.area_m2 += area_m2;
            lot.depth_m = lot.depth_m.max(depth_m);
        }
    }
    found
}
