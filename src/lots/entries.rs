//! Water on its way down to the lot: where it enters, whose it was, and how it came.
//!
//! One pass downwards (donors before receivers) carries for every cell the rain of the ground above it that will reach
//! the lot. Each step from a cell outside into a cell of the lot is an [`Entry`].

use super::arrival::{Arrival, entering_share};
use super::labels::Label;
use super::scene::Scene;

/// One step of water onto the lot, or the sliver of a cell that lies across the lot line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entry {
    /// The cell that the water comes from (for a sliver: the lot's cell it lies in).
    pub from: usize,
    /// The lot's cell that it enters.
    pub into: usize,
    /// Area whose rain enters here, m².
    pub area_m2: f64,
    /// The lot that hands it over.
    pub by: Label,
    /// Of `area_m2`, what fell on `by` and crosses no other lot line before.
    pub straight_m2: f64,
    /// Number of cells' worth of water from cells at the edge of the data.
    pub edge_cells: f64,
    /// Mean way that the water has run within two cells of the lot line, m.
    pub beside_line_m: f64,
}

/// What is carried down.
#[derive(Debug, Clone, Copy, Default)]
struct Load {
    area_m2: f64,
    straight_m2: f64,
    edge_cells: f32,
    /// Area times way beside the line.
    beside_m3: f64,
}

/// Everything that comes down to the lot.
#[derive(Debug, Clone, PartialEq)]
pub struct Descent {
    /// Where it enters, in the order of the reach.
    pub entries: Vec<Entry>,
    /// For each place of the reach, the area whose rain passes the cell on its way to the lot, m².
    pub area_m2: Vec<f64>,
}

/// Follows the water down to the lot.
///
/// `touches_edge` says which cells lie at the edge of the data; `hands_over` names the lot just outside the line at a
/// step from a shared cell.
#[must_use]
pub fn descend(
    scene: &Scene<'_>,
    arrival: &Arrival,
    touches_edge: impl Fn(usize) -> bool,
    hands_over: impl Fn(usize, usize) -> Label,
) -> Descent {
    let cells = scene.reach.cells();
    let mut loads = vec![Load::default(); cells.len()];
    let mut found = Vec::new();
    let mut passing = vec![0.0; cells.len()];
    let cell_m2 = scene.cell.area_m2();
    for (place, &cell) in cells.iter().enumerate() {
        let cell = cell as usize;
        if arrival.at_place(place) <= 0.0 {
            continue;
        }
        if scene.is_subject(cell) {
            found.extend(slivers(scene, arrival.at_place(place), cell));
            continue;
        }
        let label = scene.lots.label(cell);
        let mut load = loads[place];
        load.area_m2 += scene.share_outside(cell) * cell_m2;
        load.straight_m2 += scene.lots.share(cell, label) * cell_m2;
        if touches_edge(cell) {
            load.edge_cells += 1.0;
        }
        passing[place] = load.area_m2 * arrival.at_place(place);
        let beside = is_beside_line(scene, cell);
        for (receiver, part) in scene.field.receivers(cell) {
            let step_m = if beside { scene.step_length(cell, receiver) } else { 0.0 };
            let handed = load.part(part, step_m);
            if scene.is_subject(receiver) {
                let by = if scene.lots.is_shared(cell) || scene.lots.is_shared(receiver) {
                    hands_over(cell, receiver)
                } else {
                    label
                };
                found.push(handed.enter(cell, receiver, by, by == label));
            } else if let Some(next) = scene.reach.place(receiver).filter(|&p| arrival.at_place(p) > 0.0) {
                loads[next].add(handed, scene.lots.label(receiver) == label);
            }
        }
        pass_on_slivers(scene, arrival, cell, &mut loads);
    }
    Descent { entries: found, area_m2: passing }
}

impl Load {
    fn part(self, part: f64, step_m: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "a count that is only compared with a floor")]
        let edge_cells = (f64::from(self.edge_cells) * part) as f32;
        Self {
            area_m2: self.area_m2 * part,
            straight_m2: self.straight_m2 * part,
            edge_cells,
            beside_m3: (self.beside_m3 + self.area_m2 * step_m) * part,
        }
    }

    fn add(&mut self, other: Self, same_lot: bool) {
        self.area_m2 += other.area_m2;
        self.edge_cells += other.edge_cells;
        self.beside_m3 += other.beside_m3;
        if same_lot {
            self.straight_m2 += other.straight_m2;
        }
    }

    fn enter(self, from: usize, into: usize, by: Label, own_line: bool) -> Entry {
        Entry {
            from,
            into,
            area_m2: self.area_m2,
            by,
            straight_m2: if own_line { self.straight_m2 } else { 0.0 },
            edge_cells: f64::from(self.edge_cells),
            beside_line_m: if self.area_m2 > 0.0 { self.beside_m3 / self.area_m2 } else { 0.0 },
        }
    }
}

/// The parts of a cell that aren't its own lot's reach their lot in the next cell, if that is theirs: still straight.
fn pass_on_slivers(scene: &Scene<'_>, arrival: &Arrival, cell: usize, loads: &mut [Load]) {
    if !scene.lots.is_shared(cell) {
        return;
    }
    let own = scene.lots.label(cell);
    for (label, share) in scene.lots.parts(cell).filter(|&(l, _)| l != own && l != scene.subject) {
        for (receiver, part) in scene.field.receivers(cell) {
            if scene.lots.label(receiver) != label {
                continue;
            }
            if let Some(next) = scene.reach.place(receiver).filter(|&p| arrival.at_place(p) > 0.0) {
                loads[next].straight_m2 += share * part * scene.cell.area_m2();
            }
        }
    }
}

/// The parts of a cell of the lot that lie across the lot line, each an entry of its own.
fn slivers<'a>(scene: &'a Scene<'_>, arriving: f64, cell: usize) -> impl Iterator<Item = Entry> + 'a {
    let outside = scene.share_outside(cell);
    let at_once: f64 = scene
        .field
        .receivers(cell)
        .into_iter()
        .filter(|&(receiver, _)| scene.is_subject(receiver))
        .map(|(receiver, part)| part * entering_share(outside, scene.share_outside(receiver)))
        .sum();
    scene.lots.parts(cell).filter(|&(label, _)| label != scene.subject).map(move |(label, share)| {
        let area_m2 = share * scene.cell.area_m2();
        Entry {
            from: cell,
            into: cell,
            area_m2: area_m2 * arriving,
            by: label,
            straight_m2: area_m2 * at_once.min(arriving),
            edge_cells: 0.0,
            beside_line_m: 0.0,
        }
    })
}

/// Whether a cell lies within two cells of one of the lot's.
fn is_beside_line(scene: &Scene<'_>, cell: usize) -> bool {
    let shape = scene.lots.shape();
    let at = shape.cell(cell);
    let rows = at.row.saturating_sub(2)..(at.row + 3).min(shape.rows);
    rows.into_iter().any(|row| {
        (at.col.saturating_sub(2)..(at.col + 3).min(shape.cols))
            .any(|col| scene.is_subject(row * shape.cols + col))
    })
}
