//! One realisation: an erroneous surface, from sinks to ledger.

use super::super::beyond::sides_reached;
use super::super::catchment::facets_from;
use super::super::ground::Ground;
use super::drawing::Drawing;
use super::met::{CrossingPlace, Met, met};
use super::part::Part;
use super::reaching::Reaching;
use super::shifts::Shifts;
use crate::error::Error;
use crate::flow::{Reach, Routing, single_within};
use crate::grid::{Georef, Grid};
use crate::input::Site;
use crate::lots::{Arrival, Boundary, CellLots, LotLine, Scene, descend, origins};
use crate::terrain::{Rim, fill};
use geo::MultiPolygon;

/// What is asked of every realisation.
pub(super) struct Asked<'a> {
    pub(super) site: &'a Site,
    pub(super) line: &'a LotLine,
    /// Where those of the surface as given are.
    pub(super) crossings: &'a [CrossingPlace],
    pub(super) routing: Routing,
    /// Contributors of the surface as given, by place in the set of parcels; nothing for land without one.
    pub(super) given: Vec<Option<usize>>,
    /// What counts as contributing, m².
    pub(super) floor_m2: f64,
}

/// What one realisation gives.
pub(super) struct Outcome {
    /// Place of its range among the model's.
    pub(super) range: usize,
    pub(super) run_on_m2: f64,
    /// Area by parcel, as its place in the set of parcels; nothing for land without one. Rising.
    pub(super) areas: Vec<(Option<usize>, f64)>,
    /// By crossing of the surface as given: what enters there.
    pub(super) crossings: Vec<Met>,
    /// Whether its catchment comes near a side cut out of the data.
    pub(super) is_cut: bool,
}

/// Where a realisation is followed.
#[derive(Clone, Copy)]
pub(super) enum Extent<'a> {
    /// On the whole window.
    Window(&'a Ground),
    /// On a part of it, if the outcome is that of the window.
    Part(&'a Part),
}

impl<'a> Extent<'a> {
    const fn ground(self) -> &'a Ground {
        match self {
            Self::Window(ground) => ground,
            Self::Part(part) => part.ground(),
        }
    }

    /// Place in the window of one of its cells.
    fn in_window(self, cell: usize) -> usize {
        match self {
            Self::Window(_) => cell,
            Self::Part(part) => part.in_window(cell),
        }
    }
}

/// An erroneous surface of a window.
pub(super) struct Drawn {
    pub(super) surface: Grid<f32>,
    /// How far the parcels are off, east and north, m.
    pub(super) shift_m: (f64, f64),
    /// Place of the error's range among the model's.
    pub(super) range: usize,
}

impl Asked<'_> {
    /// The two realisations of a pair of fields.
    pub(super) fn pair(
        &self,
        (ground, part): (&Ground, Option<&Part>),
        shifts: &Shifts,
        drawing: &Drawing<'_>,
        pair: usize,
        reaching: &mut Reaching,
    ) -> Result<[Outcome; 2], Error> {
        let (fields, range) = (drawing.source.pair(pair as u64), drawing.range);
        let mut one = |second: bool| {
            let realisation = 2 * pair as u64 + u64::from(second);
            let surface = drawing.surface(ground, &fields, second, realisation);
            let shift_m = shifts.at(realisation);
            self.outcome((ground, part), &Drawn { surface, shift_m, range }, reaching)
        };
        Ok([one(false)?, one(true)?])
    }

    /// What one surface gives: on the part where that is enough, else on the window.
    fn outcome(
        &self,
        (ground, part): (&Ground, Option<&Part>),
        drawn: &Drawn,
        reaching: &mut Reaching,
    ) -> Result<Outcome, Error> {
        if let Some(part) = part.filter(|part| part.holds(drawn.shift_m))
            && let Some(outcome) = self.followed(Extent::Part(part), drawn, reaching)?
        {
            return Ok(outcome);
        }
        let outcome = self.followed(Extent::Window(ground), drawn, reaching)?;
        Ok(outcome.expect("a window always has an outcome"))
    }

    /// From sinks to ledger; nothing where a part isn't enough.
    pub(super) fn followed(
        &self,
        extent: Extent<'_>,
        drawn: &Drawn,
        reaching: &mut Reaching,
    ) -> Result<Option<Outcome>, Error> {
        let ground = extent.ground();
        let of_part = match extent {
            Extent::Window(_) => None,
            Extent::Part(part) => Some(part.of_surface(&drawn.surface)),
        };
        let raw = of_part.as_ref().unwrap_or(&drawn.surface);
        let georef = shifted(ground.georef, drawn.shift_m, self.site.crs.metres_per_unit());
        let outlines = ground.outlines(self.site);
        let moved = moved_lots(ground, georef, &outlines)?;
        let lots = moved.as_ref().unwrap_or(&ground.lots);
        let filled = fill(raw, &Rim::OPEN, &ground.inlets.outlets(raw))?;
        let subject = || lots.cells_of(ground.subject);
        let field = facets_from(lowest(&filled, subject()), ground, raw, &filled, self.routing)?;
        let mut reach = Reach::upstream_of(&field, subject())?;
        let is_cut = match extent {
            Extent::Window(ground) => sides_reached(ground, &reach).contains(&true),
            Extent::Part(part) if part.settles(&drawn.surface, raw, &filled, &reach)? => false,
            Extent::Part(_) => return Ok(None),
        };
        drop(filled);
        let field = if self.routing == Routing::Single {
            let single = single_within(&field, &reach, ground.cell);
            reach = Reach::upstream_of(&single, subject())?;
            single
        } else {
            field
        };
        let scene = Scene { lots, ..ground.scene(&field, &reach) };
        let arrival = Arrival::of(&scene);
        reaching.add(&scene, &reach, arrival.shares(), |cell| extent.in_window(cell));
        let areas = areas(&scene, &arrival, ground);
        let run_on_m2 = areas.iter().map(|&(_, area)| area).sum::<f64>() + 0.0;
        let crossings = self.crossings_met(&scene, &arrival, georef);
        Ok(Some(Outcome { range: drawn.range, run_on_m2, areas, crossings, is_cut }))
    }

    /// What enters where the crossings of the surface as given are.
    fn crossings_met(&self, scene: &Scene<'_>, arrival: &Arrival, georef: Georef) -> Vec<Met> {
        let descent = descend(scene, arrival, |_| false, |from, _| scene.lots.label(from));
        let entries = &descent.entries;
        let boundary = Boundary { scene, line: self.line, georef, entries, exits: &[] };
        let inflows = boundary.inflows();
        let stretches = boundary.wet_stretches(&inflows);
        met(self.crossings, &stretches, &inflows, &self.line.ring_lengths_m(), boundary.gap_m())
    }
}

/// The lowest of some cells' levels, m; no bound where one has none.
fn lowest(filled: &Grid<f32>, cells: impl Iterator<Item = usize>) -> f32 {
    let levels = cells.map(|cell| filled.values()[cell]);
    levels.filter(|level| !level.is_nan()).reduce(f32::min).unwrap_or(f32::NEG_INFINITY)
}

/// Labels of the parcels where they are moved to; nothing if they stay.
fn moved_lots(
    ground: &Ground,
    georef: Georef,
    outlines: &[&MultiPolygon<f64>],
) -> Result<Option<CellLots>, Error> {
    if georef == ground.georef {
        return Ok(None);
    }
    Ok(Some(CellLots::new(ground.raw.shape(), georef, outlines)?))
}

/// The window's place as parcels see it that are off by a shift.
fn shifted(georef: Georef, (east_m, north_m): (f64, f64), metres_per_unit: f64) -> Georef {
    Georef {
        west: georef.west - east_m / metres_per_unit,
        north: georef.north - north_m / metres_per_unit,
        ..georef
    }
}

fn areas(scene: &Scene<'_>, arrival: &Arrival, ground: &Ground) -> Vec<(Option<usize>, f64)> {
    let place = |label: crate::lots::Label| label.place().map(|place| ground.parcels[place]);
    let mut areas: Vec<(Option<usize>, f64)> =
        origins(scene, arrival).into_iter().map(|(label, area)| (place(label), area)).collect();
    areas.sort_unstable_by_key(|&(place, _)| place);
    areas
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parcels_that_are_moved_east_and_north_see_the_window_west_and_south() {
        let georef = Georef { west: 10.0, north: 20.0, step_x: 1.0, step_y: 1.0 };
        let moved = shifted(georef, (1.0, 2.0), 0.5);
        assert_eq!((moved.west, moved.north), (8.0, 16.0));
    }
}
