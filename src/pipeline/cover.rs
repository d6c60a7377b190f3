//! Kinds of ground of the cells of a window.

use super::catchment::Routed;
use super::settings::Settings;
use crate::error::Error;
use crate::grid::Cell;
use crate::input::{CodeRaster, CoverSource, PatchSet, Site, StatedCover};
use crate::lots::{CellCovers, CellLots, GroundKey, TooManyLots, WholeCells};
use crate::runoff::{CoverTable, CoverTableError, GroundKind, Lie, SlopeClass};
use crate::terrain::slope_around;
use crate::units::{ReturnPeriod, SoilGroup};
use geo::MultiPolygon;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Class of the cover table that buildings are.
const ROOF: &str = "roof";
/// Cells whose codes are read at a time.
const CHUNK: usize = 1 << 16;

/// Covers and soils of a window, and the kinds of ground that they make.
#[derive(Debug)]
pub(super) struct Covers {
    /// By cell.
    pub(super) cells: CellCovers,
    known: Vec<Known>,
    soils: Vec<SoilGroup>,
    kinds: Vec<GroundKind>,
    places: BTreeMap<GroundKey, usize>,
    /// Return period of the design storm, if known.
    years: Option<ReturnPeriod>,
    /// The raster of covers, and its codes in the window that stand for nothing.
    unnamed: Option<(String, BTreeSet<i32>)>,
}

/// A cover that came up.
#[derive(Debug, Clone, PartialEq)]
enum Known {
    Stated(StatedCover),
    /// A code of a raster that no table gives a class: no fault before water runs off it.
    Unnamed,
}

/// Patches that lie in a window, with what they are.
struct Laid<'a, T> {
    outlines: Vec<&'a MultiPolygon<f64>>,
    /// Place of each patch's thing in the list of things.
    thing_of: Vec<usize>,
    things: Vec<T>,
}

impl<T> Default for Laid<'_, T> {
    fn default() -> Self {
        Self { outlines: Vec::new(), thing_of: Vec::new(), things: Vec::new() }
    }
}

impl<'a, T: PartialEq> Laid<'a, T> {
    fn lay<U>(&mut self, set: &'a PatchSet<U>, routed: &Routed, thing: impl Fn(&U) -> T) {
        for place in near(set, routed) {
            let patch = &set.patches()[place];
            let place = self.place(thing(&patch.says));
            self.outlines.push(&patch.outline);
            self.thing_of.push(place);
        }
    }

    /// Place of a thing in the list, added when it first comes up.
    fn place(&mut self, thing: T) -> usize {
        let found = self.things.iter().position(|other| *other == thing);
        found.unwrap_or_else(|| {
            self.things.push(thing);
            self.things.len() - 1
        })
    }

    /// Two bytes a cell, which ground without patches needn't take.
    fn by_cell(&self, routed: &Routed) -> Result<Option<CellLots>, TooManyLots> {
        if self.outlines.is_empty() {
            return Ok(None);
        }
        CellLots::new(routed.ground.raw.shape(), routed.ground.georef, &self.outlines).map(Some)
    }
}

impl Covers {
    /// Reads what lies in the window; nothing where no file says anything.
    pub(super) fn of(site: &Site, routed: &Routed, settings: &Settings) -> Result<Self, Error> {
        let table = &settings.ground.table;
        let (mut covers, mut soils) = (Laid::<Known>::default(), Laid::default());
        let roof = StatedCover::of_class(ROOF);
        let (mut below, mut unnamed) = (None, None);
        if let Some(buildings) = &site.beside.buildings {
            covers.lay(buildings, routed, |_| Known::Stated(roof.clone()));
        }
        match &site.beside.cover {
            Some(CoverSource::Patches(set)) => {
                covers.lay(set, routed, |cover| Known::Stated(cover.clone()));
            }
            Some(CoverSource::Codes(raster)) => {
                let found = Coded::read(raster, site, routed, table, &mut covers)?;
                below = Some(found.cells);
                unnamed = Some((raster.path().display().to_string(), found.unnamed));
            }
            None => {}
        }
        if let Some(set) = &site.beside.soils {
            soils.lay(set, routed, |&group| group);
        }
        let cells = CellCovers {
            covers: covers.by_cell(routed)?,
            cover_of: covers.thing_of,
            below,
            soils: soils.by_cell(routed)?,
            soil_of: soils.thing_of,
            slopes: (settings.ground.default_cover.is_some() || site.beside.cover.is_some())
                .then(|| slopes(routed)),
        };
        let (known, soils) = (covers.things, soils.things);
        let years = settings.storm.years().and_then(|years| ReturnPeriod::new(years).ok());
        Ok(Self { cells, known, soils, kinds: Vec::new(), places: BTreeMap::new(), years, unnamed })
    }

    /// Place of a kind in the list, worked out when it first comes up.
    pub(super) fn place(&mut self, key: GroundKey, settings: &Settings) -> Result<usize, Error> {
        if let Some(&place) = self.places.get(&key) {
            return Ok(place);
        }
        let kind = self.kind(key, settings)?;
        // Two covers may come to the same.
        let place = self.kinds.iter().position(|other| *other == kind).unwrap_or(self.kinds.len());
        if place == self.kinds.len() {
            self.kinds.push(kind);
        }
        self.places.insert(key, place);
        Ok(place)
    }

    fn kind(&self, key: GroundKey, settings: &Settings) -> Result<GroundKind, Error> {
        self.kind_in(key, self.years, settings)
    }

    fn kind_in(
        &self,
        key: GroundKey,
        years: Option<ReturnPeriod>,
        settings: &Settings,
    ) -> Result<GroundKind, Error> {
        let cover = match key.cover.map(|place| &self.known[place]) {
            Some(Known::Unnamed) => return Err(self.unnamed_codes().into()),
            Some(Known::Stated(cover)) => Some(cover),
            None => None,
        };
        let soil = key.soil.map(|place| self.soils[place]);
        let slope = key.slope.map_or(SlopeClass::Flat, |place| SlopeClass::ALL[place]);
        let mut kind = settings.ground.kind(cover, soil, Lie { slope, years })?;
        if key.slope.is_some() && settings.ground.hangs_on_slope(cover, soil) {
            kind.name = format!("{}, {}", kind.name, slope.words());
        }
        Ok(kind)
    }

    fn unnamed_codes(&self) -> CoverTableError {
        let (path, codes) = self.unnamed.clone().unwrap_or_default();
        let codes: Vec<String> = codes.iter().map(i32::to_string).collect();
        CoverTableError::Codes { path, codes: codes.join(", ") }
    }

    /// Place of a kind that has come up.
    pub(super) fn known_place(&self, key: GroundKey) -> Option<usize> {
        self.places.get(&key).copied()
    }

    /// The kinds that have come up, in the same places, as they shed in a storm of another return period.
    ///
    /// Kinds that are one in one storm are in all: coefficients are raised by one factor.
    pub(super) fn kinds_in(
        &self,
        years: Option<ReturnPeriod>,
        settings: &Settings,
    ) -> Result<Vec<GroundKind>, Error> {
        let mut kinds = self.kinds.clone();
        for (&key, &place) in &self.places {
            kinds[place] = self.kind_in(key, years, settings)?;
        }
        Ok(kinds)
    }

    /// The kinds that have come up.
    pub(super) fn kinds(&self) -> &[GroundKind] {
        &self.kinds
    }

    /// A kind that has come up.
    pub(super) fn known(&self, key: GroundKey) -> Option<&GroundKind> {
        self.places.get(&key).map(|&place| &self.kinds[place])
    }

    /// Kinds of a cell with their parts; none that hasn't come up.
    pub(super) fn parts(&self, cell: usize) -> impl Iterator<Item = (&GroundKind, f64)> + '_ {
        self.cells.parts(cell).filter_map(|(key, part)| Some((self.known(key)?, part)))
    }
}

/// What a raster of covers says of the cells whose water may reach the lot.
struct Coded {
    cells: WholeCells,
    unnamed: BTreeSet<i32>,
}

impl Coded {
    fn read(
        raster: &CodeRaster,
        site: &Site,
        routed: &Routed,
        table: &CoverTable,
        covers: &mut Laid<'_, Known>,
    ) -> Result<Self, Error> {
        let shape = routed.ground.raw.shape();
        let mut found = Self { cells: WholeCells::none_of(shape.len()), unnamed: BTreeSet::new() };
        for cells in reaching(routed).chunks(CHUNK) {
            let places: Vec<(f64, f64)> =
                cells.iter().map(|&cell| routed.ground.georef.centre(shape.cell(cell))).collect();
            let codes = raster.codes(&places, site.crs.definition())?;
            for (&cell, code) in cells.iter().zip(codes).filter_map(|(cell, code)| Some((cell, code?))) {
                let class = table.class_of_code(code);
                if class.is_none() {
                    found.unnamed.insert(code);
                }
                let cover = class.map_or(Known::Unnamed, |class| Known::Stated(StatedCover::of_class(class)));
                found.cells.set(cell, covers.place(cover));
            }
        }
        Ok(found)
    }
}

/// Slopes of the cells whose water may reach the lot, by their places among the classes. Ground below roofs counts; where too little
/// ground is known it counts as flat.
fn slopes(routed: &Routed) -> WholeCells {
    let ground = &routed.ground;
    let shape = ground.raw.shape();
    let height = |cell: Cell| {
        let z = f64::from(ground.roofs.ground_at(shape.index(cell), *ground.raw.at(cell)));
        z.is_finite().then_some(z)
    };
    let class = |cell: usize| {
        let slope = slope_around(shape, ground.cell, shape.cell(cell), height);
        SlopeClass::of(slope.unwrap_or(0.0))
    };
    let cells = reaching(routed);
    let classes: Vec<SlopeClass> = cells.par_iter().map(|&cell| class(cell)).collect();
    let mut found = WholeCells::none_of(shape.len());
    for (cell, class) in cells.into_iter().zip(classes) {
        found.set(cell, class.place());
    }
    found
}

/// Cells whose water may reach the lot under either routing, in rising order.
fn reaching(routed: &Routed) -> Vec<usize> {
    let other = routed.other.as_ref().map_or(&[][..], |(_, reach, _)| reach.cells());
    let mut cells: Vec<usize> = routed.reach.cells().iter().chain(other).map(|&cell| cell as usize).collect();
    cells.sort_unstable();
    cells.dedup();
    cells
}

fn near<T>(set: &PatchSet<T>, routed: &Routed) -> Vec<usize> {
    let (shape, georef) = (routed.ground.raw.shape(), routed.ground.georef);
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    let (east, south) =
        (georef.west + shape.cols as f64 * georef.step_x, georef.north - shape.rows as f64 * georef.step_y);
    set.within(georef.west, south, east, georef.north)
}
