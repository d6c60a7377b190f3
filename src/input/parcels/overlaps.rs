//! Sharing out ground that several lots claim: the smaller lot keeps it.

use super::Parcel;
use super::geometry::{difference, shared_pieces};
use crate::input::extents::Extents;
use crate::warning::Warning;
use geo::{Area, BoundingRect, Intersects, MultiPolygon};
use std::collections::BTreeMap;

/// Overlaps up to this many square metres are rounding of the coordinates.
const NO_OVERLAP_M2: f64 = 0.01;

/// What sharing out came to.
#[derive(Debug, Default)]
struct Shared {
    pairs: usize,
    area_m2: f64,
    worst: Option<(f64, String, String)>,
    failed: Vec<(String, String)>,
}

/// Takes from each lot what smaller lots (ties: the lower id) also claim; a lot with nothing left gets an empty outline.
pub(crate) fn share_out(parcels: &mut [Parcel], metres_per_unit: f64) -> Vec<Warning> {
    let extents = Extents::of(parcels.iter().map(|parcel| &parcel.outline));
    let mut order: Vec<usize> = (0..parcels.len()).collect();
    order.sort_by(|&a, &b| {
        parcels[a]
            .area_m2
            .total_cmp(&parcels[b].area_m2)
            .then_with(|| parcels[a].id.cmp(&parcels[b].id))
            .then(a.cmp(&b))
    });
    let mut rank = vec![0; parcels.len()];
    for (place, &parcel) in order.iter().enumerate() {
        rank[parcel] = place;
    }
    let square = metres_per_unit * metres_per_unit;
    let mut shared = Shared::default();
    for &later in &order {
        let Some(rect) = parcels[later].outline.bounding_rect() else { continue };
        let mut earlier = extents.meeting(rect.min().x, rect.min().y, rect.max().x, rect.max().y);
        earlier.retain(|&other| rank[other] < rank[later]);
        earlier.sort_by_key(|&other| rank[other]);
        take(parcels, &earlier, later, square, &mut shared);
    }
    let mut warnings = report(&shared);
    let gone: Vec<String> = parcels.iter().filter(|p| p.outline.0.is_empty()).map(|p| p.id.clone()).collect();
    if !gone.is_empty() {
        warnings.push(Warning::new(
            "lot-covered",
            format!("smaller lots cover all of {}; left out", gone.join(", ")),
            "nothing, if these are outlines of a whole estate or of stacked lots",
        ));
    }
    warnings
}

/// Takes from one lot what those before it keep. All of these are laid over it at once: the streets of a town may be one
/// polygon that touches thousands.
fn take(parcels: &mut [Parcel], earlier: &[usize], loser: usize, square: f64, shared: &mut Shared) {
    let together = |which: &mut dyn Iterator<Item = usize>| -> MultiPolygon<f64> {
        MultiPolygon::new(which.flat_map(|k| parcels[k].outline.0.iter().cloned()).collect())
    };
    let near = together(&mut earlier.iter().copied());
    if near.0.is_empty() {
        return;
    }
    let failed = || (parcels[earlier[0]].id.clone(), parcels[loser].id.clone());
    let Some(pieces) = shared_pieces(&parcels[loser].outline, &near) else {
        shared.failed.push(failed());
        return;
    };
    // Slivers along common lines are no overlap, however many there are.
    let mut claims: BTreeMap<usize, f64> = BTreeMap::new();
    for (place, area) in pieces.into_iter().filter(|(_, area)| area * square > NO_OVERLAP_M2) {
        let keeper = earlier.iter().copied().find(|&k| parcels[k].outline.intersects(&place));
        if let Some(keeper) = keeper {
            *claims.entry(keeper).or_default() += area * square;
        }
    }
    if claims.is_empty() {
        return;
    }
    let Some(mut rest) = difference(&parcels[loser].outline, &together(&mut claims.keys().copied())) else {
        shared.failed.push(failed());
        return;
    };
    if rest.unsigned_area() * square <= NO_OVERLAP_M2 {
        rest.0.clear();
    }
    for (keeper, area_m2) in claims {
        shared.pairs += 1;
        shared.area_m2 += area_m2;
        if shared.worst.as_ref().is_none_or(|(worst, _, _)| area_m2 > *worst) {
            shared.worst = Some((area_m2, parcels[keeper].id.clone(), parcels[loser].id.clone()));
        }
    }
    parcels[loser].outline = rest;
}

fn report(shared: &Shared) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if let Some((area_m2, a, b)) = &shared.worst {
        warnings.push(Warning::new(
            "parcels-overlap",
            format!(
                "{} pairs of lots overlap by {:.2} m² in all, most of all {a} and {b} ({area_m2:.2} m²); the smaller lot of \
                 each pair keeps the ground",
                shared.pairs, shared.area_m2
            ),
            "correct the outlines if one of these lots matters to the result",
        ));
    }
    if let Some((a, b)) = shared.failed.first() {
        warnings.push(Warning::new(
            "overlay-failed",
            format!("{} lots could not be laid over their neighbours, first {b} over {a} and others; they stay as they are", shared.failed.len()),
            "correct the outlines of these lots",
        ));
    }
    warnings
}
