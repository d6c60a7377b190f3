//! The whole raster, filled and routed to one receiver a cell.

use crate::error::Error;
use crate::flow::{FlowField, Reach, Routing, single_within};
use crate::grid::Grid;
use crate::input::Site;
use crate::lots::{Label, Ledger, Town};
use crate::pipeline::beyond::fill_open;
use crate::pipeline::catchment::facets;
use crate::pipeline::ground::Ground;
use crate::pipeline::progress::{Phase, Progress};
use geo::{Contains, Coord};

/// Routed ground of a town.
#[derive(Debug)]
pub struct RoutedTown {
    /// The raster.
    pub ground: Ground,
    /// The filled surface, m.
    pub filled: Grid<f32>,
    /// Where water goes, to one receiver a cell.
    pub field: FlowField,
    /// All cells, donors before receivers.
    pub order: Reach,
}

impl RoutedTown {
    /// Fills and routes the ground.
    pub(super) fn of(ground: Ground, progress: &dyn Progress) -> Result<Self, Error> {
        let cells = ground.raw.shape().len();
        progress.phase(Phase::Fill, cells);
        let filled = fill_open(&ground)?;
        progress.phase(Phase::Route, cells);
        let facets = facets(&ground, &ground.raw, &filled, Routing::Single)?;
        let all = Reach::upstream_of(&facets, 0..cells)?;
        let field = single_within(&facets, &all, ground.cell);
        drop((facets, all));
        let order = Reach::upstream_of(&field, 0..cells)?;
        Ok(Self { ground, filled, field, order })
    }

    /// As the ledger of all lots takes it.
    #[must_use]
    pub fn town(&self) -> Town<'_> {
        Town {
            field: &self.field,
            order: &self.order,
            lots: &self.ground.lots,
            inlets: self.ground.inlets.cells(),
            cell: self.ground.cell,
            georef: self.ground.georef,
        }
    }

    /// The ledger of all lots.
    pub(super) fn ledger(&self, site: &Site) -> Ledger {
        let owner = |point: Coord| {
            let places = site.parcels.within(point.x, point.y, point.x, point.y);
            let covers = |place: &usize| site.parcels.parcels()[*place].outline.contains(&point);
            let place = places.into_iter().find(covers)?;
            Label::of_place(self.ground.parcels.binary_search(&place).ok()?)
        };
        Ledger::of(&self.town(), |cell| self.ground.edge_side(cell).is_some(), owner)
    }
}
