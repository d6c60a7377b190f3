//! Which part of the survey is read.

use super::outlets::INLET_REACH_M;
use super::settings::Settings;
use super::why::asked_for;
use crate::grid::GridShape;
use crate::input::{Site, Window};
use geo::{BoundingRect, Coord, Rect};

/// A named outlet no farther than this from the lot is read with it, m: its water is followed downstream. Ours.
const OUTLET_WITHIN_M: f64 = 300.0;

/// The lot, an outlet that is named near it, and the inlets that its line may drain to, with a margin, inside the survey.
pub(super) fn first_window(site: &Site, settings: &Settings) -> Window {
    let georef = site.survey.georef();
    let cell = site.survey.cell_size();
    let subject = site.parcels.subject_lot();
    let margin = [settings.first_margin.as_m() / cell.dx_m, settings.first_margin.as_m() / cell.dy_m];
    let around = subject.outline.bounding_rect();
    let around = around.map(|rect| {
        with_explained(with_inlets(with_outlet(rect, site, settings), rect, site), site, settings)
    });
    let corners = around.map_or([(0.0, 0.0); 2], |rect| {
        [georef.to_grid(rect.min().x, rect.max().y), georef.to_grid(rect.max().x, rect.min().y)]
    });
    let shape = site.survey.shape();
    let clamp = |value: f64, most: usize| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "clamped to the survey"
        )]
        let cell = value.clamp(0.0, most as f64) as usize;
        cell
    };
    let (west, east) = (
        clamp((corners[0].0 - margin[0]).floor(), shape.cols - 1),
        clamp((corners[1].0 + margin[0]).ceil(), shape.cols),
    );
    let (north, south) = (
        clamp((corners[0].1 - margin[1]).floor(), shape.rows - 1),
        clamp((corners[1].1 + margin[1]).ceil(), shape.rows),
    );
    let shape = GridShape { rows: (south - north).max(1), cols: (east - west).max(1) };
    Window { row: north, col: west, shape }
}

/// A rectangle made to hold the named outlet, if that lies near it. One that has no place is refused later.
pub(super) fn with_outlet(lot: Rect, site: &Site, settings: &Settings) -> Rect {
    let at = settings.outlet.and_then(|named| site.crs.from_lonlat(named.lon, named.lat).ok());
    let Some((x, y)) = at else { return lot };
    let reach = OUTLET_WITHIN_M / site.crs.metres_per_unit();
    let (min, max) = (lot.min(), lot.max());
    let is_near = x > min.x - reach && x < max.x + reach && y > min.y - reach && y < max.y + reach;
    if !is_near {
        return lot;
    }
    holding(lot, Coord { x, y })
}

/// A rectangle made to hold the storm inlets that the lot's line may drain to.
fn with_inlets(around: Rect, lot: Rect, site: &Site) -> Rect {
    let reach = INLET_REACH_M / site.crs.metres_per_unit();
    let away = |at: Coord| {
        let over = |v: f64, low: f64, high: f64| (low - v).max(v - high).max(0.0);
        over(at.x, lot.min().x, lot.max().x).hypot(over(at.y, lot.min().y, lot.max().y))
    };
    let inlets = site.beside.inlets.iter().filter(|inlet| inlet.invert.is_some() && away(inlet.at) <= reach);
    inlets.fold(around, |rect, inlet| holding(rect, inlet.at))
}

/// A rectangle made to hold the parcels that are to be explained. An id that no parcel has is refused later.
fn with_explained(around: Rect, site: &Site, settings: &Settings) -> Rect {
    let places = asked_for(site, settings).unwrap_or_default();
    let rects = places.iter().filter_map(|&place| site.parcels.parcels()[place].outline.bounding_rect());
    rects.fold(around, |rect, parcel| holding(holding(rect, parcel.min()), parcel.max()))
}

fn holding(rect: Rect, at: Coord) -> Rect {
    let (min, max) = (rect.min(), rect.max());
    Rect::new(
        Coord { x: min.x.min(at.x), y: min.y.min(at.y) },
        Coord { x: max.x.max(at.x), y: max.y.max(at.y) },
    )
}

/// Half the window's size more on the sides that matter: north, east, south, west.
pub(super) fn grown(window: Window, [north, east, south, west]: [bool; 4], whole: GridShape) -> Window {
    let more = (window.shape.rows.max(window.shape.cols) / 2).max(8);
    let add = |yes: bool| if yes { more } else { 0 };
    let row = window.row.saturating_sub(add(north));
    let col = window.col.saturating_sub(add(west));
    let end_row = (window.row + window.shape.rows + add(south)).min(whole.rows);
    let end_col = (window.col + window.shape.cols + add(east)).min(whole.cols);
    Window { row, col, shape: GridShape { rows: end_row - row, cols: end_col - col } }
}
