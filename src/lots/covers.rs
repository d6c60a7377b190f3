//! What the ground of each cell is covered with, and whose covered ground gives the water.

use super::arrival::Arrival;
use super::labels::{CellLots, Label};
use super::scene::Scene;

/// A kind of ground: cover, soil and slope, by their places in lists of the caller's; nothing where they aren't known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct GroundKey {
    /// Cover.
    pub cover: Option<usize>,
    /// Soil.
    pub soil: Option<usize>,
    /// Slope.
    pub slope: Option<usize>,
}

/// Covers and soils of the cells of a window.
///
/// Areas are shared out by the exact part of a cell that a patch takes up; rasters of covers and soils count by the middle
/// of the cell.
#[derive(Debug)]
pub struct CellCovers {
    /// Patches of cover as if they were lots; nothing where there are none.
    pub covers: Option<CellLots>,
    /// Cover of each patch.
    pub cover_of: Vec<usize>,
    /// Cover of cells where no patch lies; nothing where there is none at all.
    pub below: Option<WholeCells>,
    /// Patches of soil; nothing where there are none.
    pub soils: Option<CellLots>,
    /// Soil of each patch.
    pub soil_of: Vec<usize>,
    /// Slope of cells; nothing where it doesn't matter.
    pub slopes: Option<WholeCells>,
}

/// Things that cells have as a whole, by their places in a list of the caller's. Two bytes a cell.
#[derive(Debug)]
pub struct WholeCells(Vec<u16>);

impl WholeCells {
    /// Most things that can be told apart.
    pub const MOST: usize = u16::MAX as usize;

    /// Cells without any.
    #[must_use]
    pub fn none_of(cells: usize) -> Self {
        Self(vec![0; cells])
    }

    /// Gives a cell its thing.
    ///
    /// # Panics
    /// For a place from [`Self::MOST`] on.
    pub fn set(&mut self, cell: usize, thing: usize) {
        self.0[cell] = u16::try_from(thing + 1).expect("there are fewer things");
    }

    fn get(&self, cell: usize) -> Option<usize> {
        usize::from(self.0[cell]).checked_sub(1)
    }
}

impl CellCovers {
    /// Kinds of ground of a cell with their parts, which add up to one.
    pub fn parts(&self, cell: usize) -> impl Iterator<Item = (GroundKey, f64)> + '_ {
        let (soil, slope) = (self.soil(cell), self.slope(cell));
        let covers = self.covers.as_ref();
        // Hairs are left out of the parts; what is there is the whole.
        let whole: f64 = covers.map_or(1.0, |covers| covers.parts(cell).map(|(_, share)| share).sum());
        let parts = covers.into_iter().flat_map(move |covers| covers.parts(cell));
        let key = move |label: Label| GroundKey { cover: self.cover(label, cell), soil, slope };
        parts
            .map(move |(label, share)| (key(label), share / whole))
            .chain(covers.is_none().then(|| (key(Label::UNPARCELLED), 1.0)))
    }

    /// Kind of ground in the middle of a cell.
    #[must_use]
    pub fn middle(&self, cell: usize) -> GroundKey {
        let label = self.covers.as_ref().map_or(Label::UNPARCELLED, |covers| covers.label(cell));
        GroundKey { cover: self.cover(label, cell), soil: self.soil(cell), slope: self.slope(cell) }
    }

    fn cover(&self, patch: Label, cell: usize) -> Option<usize> {
        patch.place().map(|place| self.cover_of[place]).or_else(|| self.below.as_ref()?.get(cell))
    }

    fn slope(&self, cell: usize) -> Option<usize> {
        self.slopes.as_ref()?.get(cell)
    }

    fn soil(&self, cell: usize) -> Option<usize> {
        self.soils.as_ref()?.label(cell).place().map(|place| self.soil_of[place])
    }
}

/// Rain that arrives from one kind of ground of a cell on one lot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Origin {
    /// The cell's place in the reach.
    pub place: usize,
    /// The lot.
    pub label: Label,
    /// The ground.
    pub key: GroundKey,
    /// Area whose rain arrives, m².
    pub area_m2: f64,
}

/// Where the rain fell that arrives by some steps, of which `part` are the shares: see [`Arrival::restricted`].
///
/// # Method
/// As for the origins by lot. In a cell that several lots and several covers share, each lot is taken to have as much of
/// each cover: exact where either has the cell to itself. Sums over kinds are the areas by lot.
pub fn origins_by_ground(
    scene: &Scene<'_>,
    part: &Arrival,
    covers: &CellCovers,
    mut each: impl FnMut(Origin),
) {
    for (place, &cell) in scene.reach.cells().iter().enumerate() {
        let cell = cell as usize;
        let arriving_m2 = part.at_place(place) * scene.cell.area_m2();
        if arriving_m2 <= 0.0 {
            continue;
        }
        for (label, lot_share) in scene.lots.parts(cell).filter(|&(label, _)| label != scene.subject) {
            for (key, share) in covers.parts(cell) {
                each(Origin { place, label, key, area_m2: arriving_m2 * lot_share * share });
            }
        }
    }
}
