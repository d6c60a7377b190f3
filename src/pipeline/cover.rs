//! Kinds of ground of the cells of a window.

use super::catchment::Routed;
use super::settings::Settings;
use crate::error::Error;
use crate::input::{PatchSet, Site};
use crate::lots::{CellCovers, CellLots, GroundKey};
use crate::runoff::{GroundKind, KnownCover, Lie};
use crate::units::SoilGroup;
use geo::MultiPolygon;
use std::collections::BTreeMap;

/// Class of the cover table that buildings are.
const ROOF: &str = "roof";

/// Covers and soils of a window, and the kinds of ground that they make.
#[derive(Debug)]
pub(super) struct Covers {
    /// By cell.
    pub(super) cells: CellCovers,
    known: Vec<KnownCover>,
    soils: Vec<SoilGroup>,
    kinds: Vec<GroundKind>,
    places: BTreeMap<GroundKey, usize>,
}

impl Covers {
    /// Reads what lies in the window; nothing where no file says anything.
    pub(super) fn of(site: &Site, routed: &Routed) -> Result<Self, Error> {
        let beside = &site.beside;
        let (mut outlines, mut cover_of, mut covers) = (Vec::new(), Vec::new(), Vec::<KnownCover>::new());
        if let Some(buildings) = &beside.buildings {
            covers.push(KnownCover { class: ROOF.to_owned(), coefficient: None, curve_number: None });
            for place in near(buildings, routed) {
                outlines.push(&buildings.patches()[place].outline);
                cover_of.push(0);
            }
        }
        if let Some(set) = &beside.covers {
            for place in near(set, routed) {
                let patch = &set.patches()[place];
                // Values were checked when the file was read.
                let Ok((class, coefficient, curve_number)) = patch.cover() else { continue };
                let known = KnownCover { class, coefficient, curve_number };
                outlines.push(&patch.outline);
                cover_of.push(covers.iter().position(|other| *other == known).unwrap_or(covers.len()));
                if cover_of.last() == Some(&covers.len()) {
                    covers.push(known);
                }
            }
        }
        let (mut grounds, mut soil_of, mut soils) = (Vec::new(), Vec::new(), Vec::new());
        if let Some(set) = &beside.soils {
            for place in near(set, routed) {
                let patch = &set.patches()[place];
                let Ok(group) = patch.soil() else { continue };
                grounds.push(&patch.outline);
                soil_of.push(soils.iter().position(|&other| other == group).unwrap_or(soils.len()));
                if soil_of.last() == Some(&soils.len()) {
                    soils.push(group);
                }
            }
        }
        let (shape, georef) = (routed.ground.raw.shape(), routed.ground.georef);
        // Two bytes a cell each, which ground without them needn't take.
        let by_cell = |outlines: &[&MultiPolygon<f64>]| {
            if outlines.is_empty() { Ok(None) } else { CellLots::new(shape, georef, outlines).map(Some) }
        };
        let cells = CellCovers { covers: by_cell(&outlines)?, cover_of, soils: by_cell(&grounds)?, soil_of };
        Ok(Self { cells, known: covers, soils, kinds: Vec::new(), places: BTreeMap::new() })
    }

    /// Place of a kind in the list, worked out when it first comes up.
    pub(super) fn place(&mut self, key: GroundKey, settings: &Settings, lie: Lie) -> Result<usize, Error> {
        if let Some(&place) = self.places.get(&key) {
            return Ok(place);
        }
        let cover = key.cover.map(|place| &self.known[place]);
        let soil = key.soil.map(|place| self.soils[place]);
        let kind = settings.ground.kind(cover, soil, lie)?;
        // Two covers may come to the same.
        let place = self.kinds.iter().position(|other| *other == kind).unwrap_or(self.kinds.len());
        if place == self.kinds.len() {
            self.kinds.push(kind);
        }
        self.places.insert(key, place);
        Ok(place)
    }

    /// The kinds that have come up.
    pub(super) fn kinds(&self) -> &[GroundKind] {
        &self.kinds
    }

    /// Kinds of a cell with their parts; none that hasn't come up.
    pub(super) fn parts(&self, cell: usize) -> impl Iterator<Item = (&GroundKind, f64)> + '_ {
        self.cells.parts(cell).filter_map(|(key, part)| Some((&self.kinds[*self.places.get(&key)?], part)))
    }
}

fn near(set: &PatchSet, routed: &Routed) -> Vec<usize> {
    let (shape, georef) = (routed.ground.raw.shape(), routed.ground.georef);
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    let (east, south) =
        (georef.west + shape.cols as f64 * georef.step_x, georef.north - shape.rows as f64 * georef.step_y);
    set.within(georef.west, south, east, georef.north)
}
