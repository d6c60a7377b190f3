//! The main ways that water takes onto the lot.

use super::crossings::Crossing;
use super::entries::{Descent, Entry};
use super::scene::Scene;

/// Entries that carry less than this share of the run-on get no path.
const LEAST_SHARE_OF_RUN_ON: f64 = 0.02;
/// Most paths drawn for one lot.
const MOST_PATHS: usize = 12;

/// One way, from its top down to the lot's cell that it enters.
#[derive(Debug, Clone, PartialEq)]
pub struct FlowPath {
    /// Place of the crossing in the list of crossings.
    pub crossing: usize,
    /// Cells, the highest first.
    pub cells: Vec<usize>,
    /// Area above each cell whose rain reaches the lot, m²; as long as `cells` without the last.
    pub area_m2: Vec<f64>,
}

/// For each crossing the way with the most water, and further ones that enter at least `apart` cells away.
#[must_use]
pub fn main_paths(
    scene: &Scene<'_>,
    descent: &Descent,
    crossings: &[Crossing],
    apart: usize,
) -> Vec<FlowPath> {
    let run_on_m2: f64 = descent.entries.iter().map(|e| e.area_m2).sum();
    let mut paths = Vec::new();
    for (place, crossing) in crossings.iter().enumerate() {
        let mut members: Vec<&Entry> =
            crossing.members.iter().map(|&i| &descent.entries[i]).filter(|e| e.from != e.into).collect();
        members.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2).then(a.from.cmp(&b.from)));
        let mut taken: Vec<usize> = Vec::new();
        for entry in members {
            let far = taken.iter().all(|&other| cells_apart(scene, other, entry.from) >= apart);
            let large = entry.area_m2 >= LEAST_SHARE_OF_RUN_ON * run_on_m2;
            if taken.is_empty() && crossing.area_m2 >= LEAST_SHARE_OF_RUN_ON * run_on_m2 || far && large {
                taken.push(entry.from);
                paths.push(trace_up(scene, descent, place, entry));
            }
        }
    }
    let carried = |path: &FlowPath| path.area_m2.last().copied().unwrap_or(0.0);
    paths.sort_by(|a, b| carried(b).total_cmp(&carried(a)).then(a.cells.cmp(&b.cells)));
    paths.truncate(MOST_PATHS);
    paths
}

fn cells_apart(scene: &Scene<'_>, a: usize, b: usize) -> usize {
    let shape = scene.lots.shape();
    let (a, b) = (shape.cell(a), shape.cell(b));
    a.row.abs_diff(b.row).max(a.col.abs_diff(b.col))
}

/// Upwards from an entry, always by the donor that brings the most.
fn trace_up(scene: &Scene<'_>, descent: &Descent, crossing: usize, entry: &Entry) -> FlowPath {
    let load = |cell: usize| scene.reach.place(cell).map_or(0.0, |place| descent.area_m2[place]);
    let mut cells = vec![entry.into, entry.from];
    let mut areas = vec![load(entry.from)];
    let mut at = entry.from;
    loop {
        let mut best: Option<(f64, usize)> = None;
        scene.field.for_each_donor(at, |donor| {
            let part = scene.field.receivers(donor).into_iter().find(|&(r, _)| r == at).map_or(0.0, |r| r.1);
            let brought = part * load(donor);
            if !scene.is_subject(donor) && brought > best.map_or(0.0, |b| b.0) {
                best = Some((brought, donor));
            }
        });
        let Some((_, donor)) = best else { break };
        cells.push(donor);
        areas.push(load(donor));
        at = donor;
    }
    cells.reverse();
    areas.reverse();
    FlowPath { crossing, cells, area_m2: areas }
}
