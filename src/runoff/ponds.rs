//! Ponds on the way to the lot, in a named storm: each fills first and hands on what is left.

mod network;
mod order;
mod solve;
#[cfg(test)]
mod tests;

use crate::lots::{Arrival, Crossing, Entry, Label, Scene, origins_weighted};
use crate::terrain::Pond;
use crate::units::{Area, Length, OutOfRange, Volume};
use network::{Network, Rain};
use solve::{Solution, Solver};
use std::collections::BTreeMap;

/// What one pond does in a storm.
#[derive(Debug, Clone, PartialEq)]
pub struct PondInStorm {
    /// Number of the pond.
    pub id: u32,
    /// What it can hold of the water on its way to the lot.
    pub capacity: Volume,
    /// Area that drains into it when all ponds are full, outside the lot.
    pub catchment: Area,
    /// What comes into it.
    pub inflow: Volume,
    /// What goes on from it.
    pub passed: Volume,
    /// `passed` as a share of `inflow`.
    pub share_passed: f64,
    /// The depth of runoff everywhere above at which it begins to hand on water; none if no rain ever comes to it.
    pub starts_at: Option<Length>,
}

/// Whose water reaches the lot in a storm, and what stays in ponds.
#[derive(Debug, Clone, PartialEq)]
pub struct StormLedger {
    /// What reaches the lot.
    pub arriving: Volume,
    /// By lot where the rain fell, the largest first, ties by label; only lots that give something.
    pub contributions: Vec<(Label, Volume)>,
    /// By entry of the descent, in its order.
    pub entries: Vec<Volume>,
    /// Ponds on the way, in the order given.
    pub ponds: Vec<PondInStorm>,
    /// Share of each cell's runoff that reaches the lot in the storm.
    pub arrival: Arrival,
}

impl StormLedger {
    /// What enters by a crossing.
    #[must_use]
    pub fn through(&self, crossing: &Crossing) -> Volume {
        crossing.members.iter().filter_map(|&entry| self.entries.get(entry)).copied().sum()
    }
}

/// Ponds by place of the reach.
#[derive(Debug)]
struct PondCells {
    /// By place: number in the lists below and 1, or 0.
    of_place: Vec<u32>,
    /// Place of each pond in the list given.
    given: Vec<usize>,
    capacities_m3: Vec<f64>,
}

impl PondCells {
    /// A pond counts with its cells outside the lot whose water can reach it, and with as much of its volume as those
    /// are of all its cells: the rest of a pond with several ways out fills from elsewhere and runs elsewhere.
    fn of(scene: &Scene<'_>, arrival: &Arrival, ponds: &[Pond]) -> Self {
        let shape = scene.lots.shape();
        let mut found = Self {
            of_place: vec![0; scene.reach.cells().len()],
            given: Vec::new(),
            capacities_m3: Vec::new(),
        };
        let counts =
            |&(cell, place): &(usize, usize)| arrival.at_place(place) > 0.0 && !scene.is_subject(cell);
        for (number, pond) in ponds.iter().enumerate() {
            let cells = || pond.cells().map(|cell| shape.index(cell));
            let in_reach = || cells().filter_map(|cell| scene.reach.place(cell).map(|place| (cell, place)));
            let counted = in_reach().filter(counts).count();
            if counted == 0 {
                continue;
            }
            found.given.push(number);
            // What lies in part on the lot wets it as soon as it holds water at all.
            let reaches_lot = cells().any(|cell| scene.is_subject(cell));
            let held = if reaches_lot { 0.0 } else { part_of(counted, cells().count()) };
            found.capacities_m3.push(pond.volume_m3 * held);
            let mark = u32::try_from(found.given.len()).unwrap_or(u32::MAX);
            // The lot's own cells are marked too: a step to one of them doesn't lead out of the pond.
            for (_, place) in in_reach() {
                found.of_place[place] = mark;
            }
        }
        found
    }

    fn at(&self, place: usize) -> Option<usize> {
        (self.of_place[place] as usize).checked_sub(1)
    }
}

/// The ledger of a storm.
///
/// # Units
/// `runoff_m`: depth of runoff of a cell, metres, 0 or more.
///
/// # Method
/// Fill and spill: a pond that gets V and holds C hands on max(0, V - C), by all its ways out alike. Water that has
/// once reached the lot is not followed further, so ponds on it hold nothing back, nor do those that lie on it in part:
/// they wet it as soon as they hold water. No water seeps away or evaporates.
/// With room for nothing in the ponds the result is that of `arrival`, to the last bit.
///
/// # Source
/// Balance of volumes; no published figure enters.
///
/// # Errors
/// [`OutOfRange`] if a depth is negative or not finite.
pub fn storm_ledger(
    scene: &Scene<'_>,
    arrival: &Arrival,
    entries: &[Entry],
    ponds: &[Pond],
    runoff_m: impl Fn(usize) -> f64,
) -> Result<StormLedger, OutOfRange> {
    let runoff = Runoff::of(scene, runoff_m)?;
    let cells = PondCells::of(scene, arrival, ponds);
    let network = Network::of(scene, arrival, &cells, &runoff.outside_m3);
    let solver = Solver::of(&network);
    let solved = solver.solve(Rain::Storm);
    let passes = |from: usize, to: usize| {
        let pond_at = |cell: usize| scene.reach.place(cell).and_then(|place| cells.at(place));
        match pond_at(from) {
            Some(pond) if pond_at(to) != Some(pond) => solved.shares[pond],
            _ => 1.0,
        }
    };
    let in_storm = arrival.in_storm(scene, passes);
    let entries = runoff.through_entries(scene, arrival, &in_storm, entries, passes);
    Ok(StormLedger {
        // The sum of nothing is minus zero, which would show in the files.
        arriving: entries.iter().copied().sum::<Volume>() + Volume::ZERO,
        contributions: runoff.by_lot(scene, &in_storm),
        entries,
        ponds: reports(&solver, &solved, &cells, ponds),
        arrival: in_storm,
    })
}

/// Runoff of the cells of a reach, by place.
#[derive(Debug)]
struct Runoff {
    depth_m: Vec<f64>,
    /// Of the part outside the lot.
    outside_m3: Vec<f64>,
}

impl Runoff {
    fn of(scene: &Scene<'_>, runoff_m: impl Fn(usize) -> f64) -> Result<Self, OutOfRange> {
        let cells = scene.reach.cells();
        let mut found = Self { depth_m: Vec::with_capacity(cells.len()), outside_m3: Vec::new() };
        for &cell in cells {
            let depth_m = runoff_m(cell as usize);
            if !(depth_m.is_finite() && depth_m >= 0.0) {
                return Err(OutOfRange {
                    what: "depth of runoff, m",
                    found: depth_m,
                    range: "0 and above, finite",
                });
            }
            found.depth_m.push(depth_m);
            found.outside_m3.push(depth_m * scene.share_outside(cell as usize) * scene.cell.area_m2());
        }
        Ok(found)
    }

    /// What reaches the lot by lot where it fell, the largest first.
    fn by_lot(&self, scene: &Scene<'_>, in_storm: &Arrival) -> Vec<(Label, Volume)> {
        let depth_m = |cell: usize| scene.reach.place(cell).map_or(0.0, |place| self.depth_m[place]);
        let mut found: Vec<(Label, Volume)> = origins_weighted(scene, in_storm, depth_m)
            .into_iter()
            .map(|(label, m3)| (label, Volume::from_m3(m3)))
            .collect();
        found.sort_by(|a, b| b.1.as_m3().total_cmp(&a.1.as_m3()).then(a.0.cmp(&b.0)));
        found
    }

    /// What enters by each entry of the descent.
    fn through_entries(
        &self,
        scene: &Scene<'_>,
        arrival: &Arrival,
        in_storm: &Arrival,
        entries: &[Entry],
        passes: impl Fn(usize, usize) -> f64,
    ) -> Vec<Volume> {
        let steps = self.down(scene, arrival, passes);
        let sliver_m3 = |entry: &Entry| {
            let share = scene.lots.share(entry.into, entry.by);
            let place = scene.reach.place(entry.into);
            place.map_or(0.0, |place| {
                share * scene.cell.area_m2() * self.depth_m[place] * in_storm.at_place(place)
            })
        };
        let m3 = |entry: &Entry| {
            if entry.from == entry.into {
                sliver_m3(entry)
            } else {
                steps.get(&(entry.from, entry.into)).copied().unwrap_or(0.0)
            }
        };
        entries.iter().map(|entry| Volume::from_m3(m3(entry))).collect()
    }

    /// Carries the runoff down to the lot and gives what comes over each step onto it, m³.
    fn down(
        &self,
        scene: &Scene<'_>,
        arrival: &Arrival,
        passes: impl Fn(usize, usize) -> f64,
    ) -> BTreeMap<(usize, usize), f64> {
        let cells = scene.reach.cells();
        let mut loads_m3 = vec![0.0; cells.len()];
        let mut steps = BTreeMap::new();
        for (place, &cell) in cells.iter().enumerate() {
            let cell = cell as usize;
            if arrival.at_place(place) <= 0.0 || scene.is_subject(cell) {
                continue;
            }
            let load_m3 = loads_m3[place] + self.outside_m3[place];
            for (receiver, part) in scene.field.receivers(cell) {
                let handed_m3 = load_m3 * (part * passes(cell, receiver));
                if scene.is_subject(receiver) {
                    steps.insert((cell, receiver), handed_m3);
                } else if let Some(next) = scene.reach.place(receiver) {
                    loads_m3[next] += handed_m3;
                }
            }
        }
        steps
    }
}

fn reports(solver: &Solver<'_>, solved: &Solution, cells: &PondCells, ponds: &[Pond]) -> Vec<PondInStorm> {
    let catchments_m2 = solver.catchments_m2();
    (0..cells.given.len())
        .map(|number| {
            let inflow = Volume::from_m3(solved.inflows_m3[number]);
            PondInStorm {
                id: ponds[cells.given[number]].id,
                capacity: Volume::from_m3(cells.capacities_m3[number]),
                catchment: Area::from_m2(catchments_m2[number]),
                inflow,
                passed: inflow * solved.shares[number],
                share_passed: solved.shares[number],
                starts_at: solver.starts_at_m(number).map(Length::from_m),
            }
        })
        .collect()
}

/// One count as a part of another.
#[expect(clippy::cast_precision_loss, reason = "numbers of cells stay far below 2^52")]
fn part_of(some: usize, all: usize) -> f64 {
    some as f64 / all as f64
}
