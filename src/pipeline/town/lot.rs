//! What is said of one lot of a town.

use super::ScreenSettings;
use super::ponding::ponding;
use super::routed::RoutedTown;
use super::rules::Classed;
use crate::formula::rational::peak_flow;
use crate::input::Site;
use crate::lots::{Amount, Label, Leaving, Ledger, LotLines, Manner};
use crate::pipeline::completeness::{WITHOUT_ELEVATION_FLOOR, runs_inwards};
use crate::units::{Area, Flow};

/// Parcels that give less than this share of the run-on aren't counted: traces and slivers. Ours.
const LEAST_SHARE: f64 = 0.01;

/// One lot of a town.
#[derive(Debug, Clone, PartialEq)]
pub struct LotScreen {
    /// Its label.
    pub label: Label,
    /// Its place in the set of parcels.
    pub parcel: usize,
    /// Area of the whole polygon, m².
    pub area_m2: f64,
    /// Ground outside it whose rain comes onto it, m².
    pub run_on_m2: f64,
    /// Parcels that give at least a hundredth of that.
    pub contributors: usize,
    /// The parcel that gives most, and its share.
    pub largest: Option<(Label, f64)>,
    /// Run-on by how it crosses the lot line.
    pub crossed: Crossed,
    /// Where its own rain goes when it first leaves it.
    pub shedding: Shedding,
    /// Hollows on it that hold water until they spill.
    pub ponding: Ponding,
    /// Run-on of crossings whose catchment meets the edge of the data, m²: it is at least so much.
    pub edge_limited_m2: f64,
    /// Whether it lies at the edge of the data where the ground falls inwards: what enters there isn't known.
    pub is_at_edge: bool,
    /// Share of it that has no elevations.
    pub without_elevation: f64,
    /// Peak flow of the run-on; nothing without a storm.
    pub flow: Option<Flow>,
    /// Its class, with the reasons.
    pub classed: Classed,
}

/// Run-on by how it crosses the lot line.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Crossed {
    /// Crossings.
    pub count: usize,
    /// Spread over a width, m².
    pub sheet_m2: f64,
    /// Within a few metres each, m².
    pub concentrated_m2: f64,
    /// The largest of these, m².
    pub largest_concentrated_m2: f64,
    /// Along the lot line, weaving over it, m².
    pub along_m2: f64,
}

/// Where a lot's own rain goes when it first leaves it. The parts add up to its ground with elevations.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Shedding {
    /// Onto other parcels, m².
    pub parcels_m2: f64,
    /// The parcel that gets most, and how much, m².
    pub largest: Option<(Label, f64)>,
    /// Onto land without a parcel, m².
    pub unparcelled_m2: f64,
    /// Into storm inlets, m².
    pub inlets_m2: f64,
    /// Over the edge of the data, m².
    pub off_data_m2: f64,
}

/// Hollows on a lot.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Ponding {
    /// How many have a part on it.
    pub count: usize,
    /// Their area on it, m².
    pub area_m2: f64,
    /// Their greatest depth on it, m.
    pub depth_m: f64,
}

impl LotScreen {
    /// Whether nothing is missing to say how much comes onto it.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.edge_limited_m2 <= 0.0 && !self.is_at_edge && self.without_elevation <= WITHOUT_ELEVATION_FLOOR
    }
}

/// All lots that have ground with elevations, by label.
pub(super) fn lots(
    site: &Site,
    routed: &RoutedTown,
    ledger: &Ledger,
    lines: &[LotLines],
    settings: &ScreenSettings,
) -> Vec<LotScreen> {
    let at_edge = lots_at_edge(routed, lines.len());
    let ponds = ponding(routed, lines.len());
    let mut found = Vec::with_capacity(lines.len());
    for (place, lines) in lines.iter().enumerate() {
        let Some(label) = Label::of_place(place) else { continue };
        let shed: Amount = ledger.shed_by(label).map(|(_, amount)| amount).sum();
        if !shed.is_some() {
            continue;
        }
        let parcel = routed.ground.parcels[place];
        let area_m2 = site.parcels.parcels()[parcel].area_m2;
        let run_on_m2 = ledger.run_on(label).m2(routed.ground.cell);
        let (contributors, largest) = contributors(routed, ledger, label, run_on_m2);
        let flow = settings
            .storm
            .map(|storm| peak_flow(storm.coefficient, storm.intensity, Area::from_m2(run_on_m2)));
        let mut lot = LotScreen {
            label,
            parcel,
            area_m2,
            run_on_m2,
            contributors,
            largest,
            crossed: crossed(lines),
            shedding: shedding(routed, ledger, label),
            ponding: ponds[place],
            edge_limited_m2: lines.crossings.iter().filter(|c| !c.complete).map(|c| c.area_m2).sum::<f64>()
                + 0.0,
            is_at_edge: at_edge[place],
            without_elevation: (1.0 - shed.m2(routed.ground.cell) / area_m2).max(0.0),
            flow,
            classed: Classed::default(),
        };
        lot.classed = settings.rules.judge(&lot);
        found.push(lot);
    }
    found
}

/// How many parcels give a part worth naming, and the one that gives most.
fn contributors(
    routed: &RoutedTown,
    ledger: &Ledger,
    lot: Label,
    run_on_m2: f64,
) -> (usize, Option<(Label, f64)>) {
    let (mut count, mut largest): (usize, Option<(Label, f64)>) = (0, None);
    for (source, pair) in ledger.onto(lot).filter(|(source, _)| *source != Label::UNPARCELLED) {
        let share = pair.area.m2(routed.ground.cell) / run_on_m2;
        count += usize::from(share >= LEAST_SHARE);
        if share > largest.map_or(0.0, |(_, most)| most) {
            largest = Some((source, share));
        }
    }
    (count, largest)
}

fn crossed(lines: &LotLines) -> Crossed {
    let mut found = Crossed { count: lines.crossings.len(), ..Crossed::default() };
    for crossing in &lines.crossings {
        match crossing.manner {
            Manner::Sheet => found.sheet_m2 += crossing.area_m2,
            Manner::Along => found.along_m2 += crossing.area_m2,
            Manner::Concentrated => {
                found.concentrated_m2 += crossing.area_m2;
                found.largest_concentrated_m2 = found.largest_concentrated_m2.max(crossing.area_m2);
            }
        }
    }
    found
}

fn shedding(routed: &RoutedTown, ledger: &Ledger, lot: Label) -> Shedding {
    let mut found = Shedding::default();
    for (to, amount) in ledger.shed_by(lot) {
        let m2 = amount.m2(routed.ground.cell);
        match to {
            Leaving::Onto(Label::UNPARCELLED) => found.unparcelled_m2 += m2,
            Leaving::Onto(other) => {
                found.parcels_m2 += m2;
                if m2 > found.largest.map_or(0.0, |(_, most)| most) {
                    found.largest = Some((other, m2));
                }
            }
            Leaving::IntoInlet(_) => found.inlets_m2 += m2,
            Leaving::OffTheData => found.off_data_m2 += m2,
        }
    }
    found
}

/// Whether lots lie at the edge of the data where the ground falls inwards, by place.
fn lots_at_edge(routed: &RoutedTown, lots: usize) -> Vec<bool> {
    let ground = &routed.ground;
    let mut found = vec![false; lots];
    for cell in 0..ground.raw.shape().len() {
        let Some(side) = ground.edge_side(cell).filter(|_| routed.field.is_valid(cell)) else { continue };
        if routed.field.leaves(cell) || !runs_inwards(ground, &routed.field, side, cell) {
            continue;
        }
        for (label, _) in ground.lots.parts(cell) {
            if let Some(place) = label.place() {
                found[place] = true;
            }
        }
    }
    found
}
