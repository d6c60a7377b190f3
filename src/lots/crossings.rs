//! Stretches of the lot line where water enters.

use super::arrival::{Arrival, Step};
use super::entries::Entry;
use super::grouping::{Entering, Group, Manner, group, wet_stretches};
use super::labels::Label;
use super::ledger::origins;
use super::line_places::LinePlaces;
use super::lot_line::LotLine;
use super::scene::Scene;
use super::sheds::Exit;
use super::stretch::{Inflow, Stretch};
use crate::grid::Georef;

/// A stretch of the lot line where water enters.
#[derive(Debug, Clone, PartialEq)]
pub struct Crossing {
    /// Ring of the lot line, outer rings first.
    pub ring: usize,
    /// Start, clockwise along the ring, m.
    pub from_m: f64,
    /// End; past the ring's length when the crossing lies over the start, m.
    pub to_m: f64,
    /// Area whose rain enters here, m².
    pub area_m2: f64,
    /// Whether none of its water comes from the edge of the data.
    pub complete: bool,
    /// How the water crosses.
    pub manner: Manner,
    /// Shortest width that carries 80 % of the water, m.
    pub width_80_m: f64,
    /// Where the rain fell, m² by lot, the largest first.
    pub origins: Vec<(Label, f64)>,
    /// Entries that belong to it (places in the list of entries).
    pub members: Vec<usize>,
}

/// The scene, the lot line, and what is known of the water that enters over it.
#[derive(Debug, Clone, Copy)]
pub struct Boundary<'a> {
    /// The routed ground.
    pub scene: &'a Scene<'a>,
    /// The lot line.
    pub line: &'a LotLine,
    /// Place of the window.
    pub georef: Georef,
    /// Water that enters.
    pub entries: &'a [Entry],
    /// Water that leaves.
    pub exits: &'a [Exit],
}

impl Boundary<'_> {
    /// Places along the lot line.
    pub(super) fn places(&self) -> LinePlaces<'_> {
        LinePlaces {
            line: self.line,
            georef: self.georef,
            shape: self.scene.lots.shape(),
            cell: self.scene.cell,
        }
    }

    /// Where along the lot line each entry lies, as inflow spread over the width of its cell.
    #[must_use]
    pub fn inflows(&self) -> Vec<Inflow> {
        let places = self.places();
        self.entries.iter().map(|entry| places.inflow(entry.from, entry.into, entry.area_m2)).collect()
    }

    /// Inflow-free gaps longer than this separate crossings; narrower flows are concentrated, m.
    #[must_use]
    pub fn gap_m(&self) -> f64 {
        self.places().gap_m()
    }

    /// All crossings, by ring and start.
    ///
    /// Slivers and traces don't make a crossing: they are booked to the one that lies nearest along the line.
    #[must_use]
    pub fn crossings(&self, inflows: &[Inflow], arrival: &Arrival) -> Vec<Crossing> {
        group(&self.places(), &self.entering(inflows), &self.passing_exits())
            .into_iter()
            .map(|group| self.crossing(group, arrival))
            .collect()
    }

    /// The stretches where water enters, by ring and start, each with all inflows that are booked to it.
    ///
    /// Slivers and traces make and join no stretches: they are booked to the one that lies nearest along the line.
    #[must_use]
    pub fn wet_stretches(&self, inflows: &[Inflow]) -> Vec<(Stretch, Vec<usize>)> {
        wet_stretches(&self.places(), &self.entering(inflows))
    }

    fn entering(&self, inflows: &[Inflow]) -> Vec<Entering> {
        let entering = |(&inflow, entry): (&Inflow, &Entry)| Entering {
            inflow,
            is_sliver: entry.from == entry.into,
            edge_cells: entry.edge_cells,
            beside_line_m: entry.beside_line_m,
        };
        inflows.iter().zip(self.entries).map(entering).collect()
    }

    fn crossing(&self, group: Group, arrival: &Arrival) -> Crossing {
        let Group { ring, from_m, to_m, area_m2, complete, manner, width_80_m, members } = group;
        let origins = self.origins_of(&members, arrival);
        Crossing { ring, from_m, to_m, area_m2, complete, manner, width_80_m, origins, members }
    }

    /// Water from outside that crosses the lot and leaves it again.
    fn passing_exits(&self) -> Vec<Inflow> {
        let places = self.places();
        self.exits
            .iter()
            .filter(|exit| exit.passing_m2 > 0.0)
            .map(|exit| places.at_line(exit.from, exit.passing_m2))
            .collect()
    }

    /// Where the rain that enters by one crossing fell: one more pass upwards that counts its steps only.
    fn origins_of(&self, places: &[usize], whole: &Arrival) -> Vec<(Label, f64)> {
        let part = whole.restricted(self.scene, &whole_steps(self.entries, places));
        let mut found = origins(self.scene, &part);
        found.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        found
    }
}

/// The steps of some entries, each once and as a whole, as [`Arrival::restricted`] takes them.
#[must_use]
pub fn whole_steps(entries: &[Entry], places: &[usize]) -> Vec<(Step, f64)> {
    let mut steps: Vec<(Step, f64)> =
        places.iter().map(|&i| ((entries[i].from, entries[i].into), 1.0)).collect();
    steps.sort_unstable_by_key(|step| step.0);
    steps.dedup_by_key(|step| step.0);
    steps
}
