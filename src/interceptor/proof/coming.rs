//! Which water comes to each part of a line by the routed ground, whoever's it is and wherever it entered the lot.

use super::fence::{Crossed, Fence};
use crate::grid::Georef;
use crate::lots::{Entry, LotLine, Scene};
use geo::LineString;

/// Water that comes to a part at a place of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Came {
    /// Metres along the part.
    pub station_m: f64,
    /// Ground whose rain it is, m².
    pub area_m2: f64,
}

/// The lot's ground with a line in it: what of the water in each cell comes to which part.
///
/// # Method
/// As in the proof: water comes to the part whose path it crosses first, and what that turns away comes to no other. From the
/// line up, each cell has the share of its water that does.
pub struct Coming<'a> {
    pub(super) scene: &'a Scene<'a>,
    pub(super) line: &'a LotLine,
    pub(super) fence: Fence,
    /// By part and cell of the scene, by its place in the order.
    shares: Vec<Vec<f64>>,
}

impl<'a> Coming<'a> {
    /// Follows water to the paths, which are in the coordinates of `georef`. The scene's cells are those that the lot's water
    /// can come to, donors first.
    #[must_use]
    pub fn new(scene: &'a Scene<'a>, georef: Georef, line: &'a LotLine, paths: &[&LineString]) -> Self {
        let fence = Fence::new(paths, line.metres_per_unit(), scene.field.shape(), georef);
        let mut found = Self { scene, line, fence, shares: Vec::new() };
        found.shares = (0..paths.len()).map(|part| found.shares_of(part)).collect();
        found
    }

    /// Receivers before donors.
    fn shares_of(&self, part: usize) -> Vec<f64> {
        let cells = self.scene.reach.cells();
        let mut shares = vec![0.0; cells.len()];
        for (place, &cell) in cells.iter().enumerate().rev() {
            let receivers = self.scene.field.receivers(cell as usize).into_iter();
            let coming = receivers.map(|(to, share)| share * self.over(&shares, part, cell as usize, to));
            shares[place] = coming.sum();
        }
        shares
    }

    /// Share of the water that goes from a cell to the next that comes to a part.
    #[must_use]
    pub fn over_step(&self, part: usize, from: usize, to: usize) -> f64 {
        self.over(&self.shares[part], part, from, to)
    }

    fn over(&self, shares: &[f64], part: usize, from: usize, to: usize) -> f64 {
        match self.fence.step_at_lot(self.scene, from, to) {
            Some(crossed) => share_at(crossed, part),
            None => self.scene.reach.place(to).map_or(0.0, |next| shares[next]),
        }
    }

    /// Whether a step crosses a part.
    #[must_use]
    pub fn crosses(&self, part: usize, from: usize, to: usize) -> bool {
        self.fence.step_at_lot(self.scene, from, to).is_some_and(|crossed| crossed.part == part)
    }

    /// Share of what enters at an entry that comes to a part.
    #[must_use]
    pub fn of_entry(&self, part: usize, entry: &Entry) -> f64 {
        self.crossed_at_entry(entry)
            .map_or_else(|| self.of_cell(part, entry.into), |crossed| share_at(crossed, part))
    }

    pub(super) fn crossed_at_entry(&self, entry: &Entry) -> Option<Crossed> {
        if entry.from == entry.into {
            self.fence.sliver(self.line, entry.into)
        } else {
            self.fence.step_at_lot(self.scene, entry.from, entry.into)
        }
    }

    /// Share of the rain on a cell that comes to a part.
    #[must_use]
    pub fn of_cell(&self, part: usize, cell: usize) -> f64 {
        self.scene.reach.place(cell).map_or(0.0, |place| self.shares[part][place])
    }

    /// Share of the water in a cell that comes to one of the parts.
    pub(super) fn of_any(&self, cell: usize) -> f64 {
        let place = self.scene.reach.place(cell);
        place.map_or(0.0, |place| self.shares.iter().map(|shares| shares[place]).sum())
    }

    /// Where water comes to a part: what enters at entries, with its area, and the rain on cells.
    #[must_use]
    pub fn came(
        &self,
        part: usize,
        entering: &[(Entry, f64)],
        on_cell_m2: impl Fn(usize) -> f64,
    ) -> Vec<Came> {
        let mut loads = vec![0.0; self.scene.reach.cells().len()];
        let mut came = Vec::new();
        let mut go = |loads: &mut Vec<f64>, crossed: Option<Crossed>, to: usize, area_m2: f64| match crossed {
            Some(at) if at.part == part => came.push(Came { station_m: at.station_m, area_m2 }),
            Some(_) => {}
            None => self.add(loads, to, area_m2),
        };
        for (entry, area_m2) in entering {
            go(&mut loads, self.crossed_at_entry(entry), entry.into, *area_m2);
        }
        for (place, &cell) in self.scene.reach.cells().iter().enumerate() {
            let cell = cell as usize;
            let load_m2 = loads[place] + on_cell_m2(cell);
            if load_m2 <= 0.0 {
                continue;
            }
            for (to, share) in self.scene.field.receivers(cell) {
                go(&mut loads, self.fence.step_at_lot(self.scene, cell, to), to, load_m2 * share);
            }
        }
        came
    }

    /// Water that passes each cell as it runs without a line, by the cell's place in the order, m² of ground: what has entered
    /// and the lot's own rain.
    #[must_use]
    pub fn passing_m2(&self, entries: &[Entry]) -> Vec<f64> {
        let mut loads = vec![0.0; self.scene.reach.cells().len()];
        for entry in entries {
            self.add(&mut loads, entry.into, entry.area_m2);
        }
        let cell_m2 = self.scene.cell.area_m2();
        for (place, &cell) in self.scene.reach.cells().iter().enumerate() {
            loads[place] += self.scene.lots.share(cell as usize, self.scene.subject) * cell_m2;
            for (to, share) in self.scene.field.receivers(cell as usize) {
                let load_m2 = loads[place];
                self.add(&mut loads, to, load_m2 * share);
            }
        }
        loads
    }

    fn add(&self, loads: &mut [f64], cell: usize, area_m2: f64) {
        if let Some(place) = self.scene.reach.place(cell) {
            loads[place] += area_m2;
        }
    }
}

fn share_at(crossed: Crossed, part: usize) -> f64 {
    if crossed.part == part { 1.0 } else { 0.0 }
}
