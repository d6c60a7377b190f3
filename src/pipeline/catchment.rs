//! Ground around the lot, read and routed in a window that grows until its edge no longer matters.
//!
//! A window is large enough when no cell that can send water to the lot lies on a cut side, and when two fillings that
//! bracket the truth (edge as outlet; edge as wall but for its lowest cell) route the same water to the lot.

use super::completeness::EdgeSide;
use super::progress::{Phase, Progress};
use super::settings::Settings;
use super::way_out::level_of_way_out;
use crate::error::Error;
use crate::flow::{FlowField, Reach, Routing, directions, single_within};
use crate::grid::{Cell, CellSize, Direction, Georef, Grid, GridShape};
use crate::input::{HoleReport, Parcel, Site, Survey, Window, bridge_holes};
use crate::lots::{Arrival, CellLots, LEAST_SHARE, Label, Scene};
use crate::terrain::{Outlet, Rim, Side, fill};
use geo::{BoundingRect, MultiPolygon};

/// A window of ground with its lots.
#[derive(Debug)]
pub struct Ground {
    /// The window, in cells of the survey.
    pub window: Window,
    /// Whether each side is the edge of the data (`Open`) or cut out of them (`Closed`).
    pub data_edges: Rim,
    /// Elevations, m; NaN in holes that weren't bridged.
    pub raw: Grid<f32>,
    /// Place of the window.
    pub georef: Georef,
    /// Size of a cell.
    pub cell: CellSize,
    /// Holes that were bridged, and those that were left.
    pub holes: HoleReport,
    /// Whose cell is whose.
    pub lots: CellLots,
    /// Places in the set of parcels, by label.
    pub parcels: Vec<usize>,
    /// The subject lot.
    pub subject: Label,
}

/// Routed ground and what reaches the lot.
#[derive(Debug)]
pub struct Routed {
    /// The window.
    pub ground: Ground,
    /// The filled surface, m.
    pub filled: Grid<f32>,
    /// Where water goes under the routing asked for.
    pub field: FlowField,
    /// Cells that can send water to the lot.
    pub reach: Reach,
    /// Share of each that does.
    pub arrival: Arrival,
    /// The same under the other routing (single for proportional, proportional for single).
    pub other: Option<(FlowField, Reach, Arrival)>,
}

impl Ground {
    /// The edge of the data at which a cell lies, if it does.
    #[must_use]
    pub fn edge_side(&self, index: usize) -> Option<EdgeSide> {
        let shape = self.raw.shape();
        let cell = shape.cell(index);
        let sides = [
            (cell.row == 0, self.data_edges.north, EdgeSide::North),
            (cell.col + 1 == shape.cols, self.data_edges.east, EdgeSide::East),
            (cell.row + 1 == shape.rows, self.data_edges.south, EdgeSide::South),
            (cell.col == 0, self.data_edges.west, EdgeSide::West),
        ];
        let side = sides.into_iter().find(|&(on, side, _)| on && side == Side::Open).map(|(_, _, side)| side);
        side.or_else(|| self.touches_hole(cell).then_some(EdgeSide::Hole))
    }

    fn touches_hole(&self, cell: Cell) -> bool {
        let shape = self.raw.shape();
        Direction::ALL
            .into_iter()
            .filter_map(|direction| shape.neighbour(cell, direction))
            .any(|neighbour| self.raw.at(neighbour).is_nan())
    }

    /// Whether a cell lies on a side that was cut out of the data.
    fn on_cut_side(&self, index: usize) -> [bool; 4] {
        let shape = self.raw.shape();
        let cell = shape.cell(index);
        let cut = |on: bool, side: Side| on && side == Side::Closed;
        [
            cut(cell.row == 0, self.data_edges.north),
            cut(cell.col + 1 == shape.cols, self.data_edges.east),
            cut(cell.row + 1 == shape.rows, self.data_edges.south),
            cut(cell.col == 0, self.data_edges.west),
        ]
    }

    fn cut_sides(&self) -> [bool; 4] {
        [self.data_edges.north, self.data_edges.east, self.data_edges.south, self.data_edges.west]
            .map(|side| side == Side::Closed)
    }

    /// The scene on a field and a reach.
    #[must_use]
    pub fn scene<'a>(&'a self, field: &'a FlowField, reach: &'a Reach) -> Scene<'a> {
        Scene {
            field,
            reach,
            lots: &self.lots,
            cell: self.cell,
            subject: self.subject,
            least_share: LEAST_SHARE,
        }
    }

    /// Outlines by label.
    #[must_use]
    pub fn outlines<'a>(&self, site: &'a Site) -> Vec<&'a MultiPolygon<f64>> {
        self.parcels.iter().map(|&place| &site.parcels.parcels()[place].outline).collect()
    }
}

impl Routed {
    /// The scene of the routing asked for.
    #[must_use]
    pub fn scene(&self) -> Scene<'_> {
        self.ground.scene(&self.field, &self.reach)
    }

    /// Whether the lot covers the cell's centre.
    #[must_use]
    pub fn is_subject(&self, cell: usize) -> bool {
        self.ground.lots.label(cell) == self.ground.subject
    }
}

/// Reads and routes a window that is large enough.
pub(super) fn find_catchment(
    site: &Site,
    settings: &Settings,
    progress: &dyn Progress,
) -> Result<Routed, Error> {
    let mut window = first_window(site, settings);
    loop {
        progress.phase(Phase::Read, window.shape.len());
        let ground = read_ground(site, settings, window)?;
        let routed = route(ground, Filling::EdgeAsOutlet, settings.routing, progress)?;
        let touched = cut_sides_touched(&routed);
        let grow = if touched.contains(&true) {
            touched
        } else if routed.ground.cut_sides().contains(&true) {
            let walled = route_walled(site, &routed, settings.routing, progress)?;
            if same_water(&routed, &walled) { [false; 4] } else { routed.ground.cut_sides() }
        } else {
            [false; 4]
        };
        if !grow.contains(&true) {
            return Ok(routed);
        }
        window = grown(window, grow, site.survey.shape());
    }
}

/// The lot with a margin, inside the survey.
fn first_window(site: &Site, settings: &Settings) -> Window {
    let georef = site.survey.georef();
    let cell = site.survey.cell_size();
    let subject: &Parcel = &site.parcels.parcels()[site.parcels.subject()];
    let margin = [settings.first_margin.as_m() / cell.dx_m, settings.first_margin.as_m() / cell.dy_m];
    let corners = subject.outline.bounding_rect().map_or([(0.0, 0.0); 2], |rect| {
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

/// Half the window's size more on the sides that matter.
fn grown(window: Window, [north, east, south, west]: [bool; 4], whole: GridShape) -> Window {
    let more = (window.shape.rows.max(window.shape.cols) / 2).max(8);
    let add = |yes: bool| if yes { more } else { 0 };
    let row = window.row.saturating_sub(add(north));
    let col = window.col.saturating_sub(add(west));
    let end_row = (window.row + window.shape.rows + add(south)).min(whole.rows);
    let end_col = (window.col + window.shape.cols + add(east)).min(whole.cols);
    Window { row, col, shape: GridShape { rows: end_row - row, cols: end_col - col } }
}

fn read_ground(site: &Site, settings: &Settings, window: Window) -> Result<Ground, Error> {
    let survey: &Survey = &site.survey;
    let whole = survey.shape();
    let side = |at_edge: bool| if at_edge { Side::Open } else { Side::Closed };
    let data_edges = Rim {
        north: side(window.row == 0),
        east: side(window.col + window.shape.cols == whole.cols),
        south: side(window.row + window.shape.rows == whole.rows),
        west: side(window.col == 0),
    };
    let mut raw = survey.read(window)?;
    let holes = bridge_holes(&mut raw, survey.cell_size(), settings.bridge_holes, survey.frame(window));
    let georef = survey.georef().part(Cell { row: window.row, col: window.col });
    let (parcels, lots, subject) = label_cells(site, georef, window.shape)?;
    Ok(Ground { window, data_edges, raw, georef, cell: survey.cell_size(), holes, lots, parcels, subject })
}

fn label_cells(
    site: &Site,
    georef: Georef,
    shape: GridShape,
) -> Result<(Vec<usize>, CellLots, Label), Error> {
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    let (east, south) =
        (georef.west + shape.cols as f64 * georef.step_x, georef.north - shape.rows as f64 * georef.step_y);
    let parcels = site.parcels.within(georef.west, south, east, georef.north);
    let outlines: Vec<&MultiPolygon<f64>> =
        parcels.iter().map(|&place| &site.parcels.parcels()[place].outline).collect();
    let lots = CellLots::new(shape, georef, &outlines)?;
    let subject = parcels
        .iter()
        .position(|&place| place == site.parcels.subject())
        .and_then(Label::of_place)
        .unwrap_or(Label::UNPARCELLED);
    Ok((parcels, lots, subject))
}

/// What stands for the ground beyond the window.
#[derive(Debug, Clone, Copy)]
enum Filling<'a> {
    /// Water leaves over every edge.
    EdgeAsOutlet,
    /// Cut sides are walls, but for these outlets.
    EdgeAsWall(&'a [Outlet]),
}

fn route(
    ground: Ground,
    filling: Filling<'_>,
    routing: Routing,
    progress: &dyn Progress,
) -> Result<Routed, Error> {
    let cells = ground.raw.shape().len();
    progress.phase(Phase::Fill, cells);
    let (rim, outlets) = match filling {
        Filling::EdgeAsOutlet => (Rim::OPEN, &[][..]),
        Filling::EdgeAsWall(outlets) => (ground.data_edges, outlets),
    };
    let filled = fill(&ground.raw, &rim, outlets)?;
    progress.phase(Phase::Route, cells);
    let shape = ground.raw.shape();
    let is_outlet = |index: usize| {
        let cell = shape.cell(index);
        rim.lets_out(shape, cell) || outlets.iter().any(|o| o.cell == cell) || ground.touches_hole(cell)
    };
    let facets = directions(&filled, ground.cell, routing, is_outlet)?;
    progress.phase(Phase::Trace, cells);
    let reach = Reach::upstream_of(&facets, ground.lots.cells_of(ground.subject))?;
    let own = |field: FlowField, reach: Reach| {
        let arrival = Arrival::of(&ground.scene(&field, &reach));
        (field, reach, arrival)
    };
    let ((field, reach, arrival), other) = match routing {
        Routing::Steepest => (own(facets, reach), None),
        Routing::Proportional | Routing::Single => {
            let single = single_within(&facets, &reach, ground.cell);
            let single_reach = Reach::upstream_of(&single, ground.lots.cells_of(ground.subject))?;
            let (proportional, single) = (own(facets, reach), own(single, single_reach));
            if routing == Routing::Proportional {
                (proportional, Some(single))
            } else {
                (single, Some(proportional))
            }
        }
    };
    Ok(Routed { ground, filled, field, reach, arrival, other })
}

/// Sides that were cut out of the data and from which water may reach the lot.
fn cut_sides_touched(routed: &Routed) -> [bool; 4] {
    let ground = &routed.ground;
    let reaches = std::iter::once(&routed.reach).chain(routed.other.as_ref().map(|o| &o.1));
    let mut touched = [false; 4];
    let cut_holes = cells_at_cut_holes(ground);
    for &cell in reaches.flat_map(Reach::cells) {
        let here = ground.on_cut_side(cell as usize);
        for (seen, now) in touched.iter_mut().zip(here) {
            *seen |= now;
        }
        if cut_holes.binary_search(&(cell as usize)).is_ok() {
            return ground.cut_sides();
        }
    }
    touched
}

/// Cells beside holes that a cut side runs through: such holes may yet turn out to be small. Sorted.
fn cells_at_cut_holes(ground: &Ground) -> Vec<usize> {
    let shape = ground.raw.shape();
    let is_hole = |index: usize| ground.raw.values()[index].is_nan();
    let mut front: Vec<usize> =
        (0..shape.len()).filter(|&i| is_hole(i) && ground.on_cut_side(i).contains(&true)).collect();
    let mut seen: Vec<bool> = if front.is_empty() { Vec::new() } else { vec![false; shape.len()] };
    for &i in &front {
        seen[i] = true;
    }
    let mut beside = Vec::new();
    while let Some(index) = front.pop() {
        let around = Direction::ALL.into_iter().filter_map(|d| shape.neighbour(shape.cell(index), d));
        for next in around.map(|cell| shape.index(cell)) {
            if !std::mem::replace(&mut seen[next], true) {
                if is_hole(next) { front.push(next) } else { beside.push(next) }
            }
        }
    }
    beside.sort_unstable();
    beside
}

/// The same ground with its cut sides as walls, but for their lowest cell.
fn route_walled(
    site: &Site,
    routed: &Routed,
    routing: Routing,
    progress: &dyn Progress,
) -> Result<Routed, Error> {
    let ground = &routed.ground;
    let shape = ground.raw.shape();
    let lowest = (0..shape.len())
        .filter(|&i| ground.on_cut_side(i).contains(&true) && !ground.raw.values()[i].is_nan())
        .min_by(|&a, &b| ground.raw.values()[a].total_cmp(&ground.raw.values()[b]));
    let mut outlets = Vec::new();
    if let Some(index) = lowest {
        let cell = shape.cell(index);
        let in_survey = Cell { row: cell.row + ground.window.row, col: cell.col + ground.window.col };
        let level_m = level_of_way_out(&site.survey, in_survey)?.unwrap_or(ground.raw.values()[index]);
        outlets.push(Outlet { cell, level_m });
    }
    let copy = Ground {
        raw: ground.raw.clone(),
        holes: ground.holes.clone(),
        lots: ground.lots.clone(),
        parcels: ground.parcels.clone(),
        ..*ground
    };
    route(copy, Filling::EdgeAsWall(&outlets), routing, progress)
}

/// Whether the same cells send the same shares to the lot.
fn same_water(a: &Routed, b: &Routed) -> bool {
    let same = |x: (&Reach, &Arrival), y: (&Reach, &Arrival)| x.0.cells() == y.0.cells() && x.1 == y.1;
    let others = match (&a.other, &b.other) {
        (Some(x), Some(y)) => same((&x.1, &x.2), (&y.1, &y.2)),
        (None, None) => true,
        _ => false,
    };
    others && same((&a.reach, &a.arrival), (&b.reach, &b.arrival))
}

/// The same ground with a bank just beyond the edge of the data: the change of the run-on, as a share of it.
pub(super) fn change_by_bank(
    routed: &Routed,
    routing: Routing,
    bank_m: f32,
    progress: &dyn Progress,
) -> Result<f64, Error> {
    let ground = &routed.ground;
    let mut raw = ground.raw.clone();
    let mut banked = false;
    for index in 0..raw.shape().len() {
        if !raw.values()[index].is_nan() && ground.edge_side(index).is_some() && !routed.is_subject(index) {
            raw.values_mut()[index] += bank_m;
            banked = true;
        }
    }
    let area = |routed: &Routed| -> f64 {
        crate::lots::origins(&routed.scene(), &routed.arrival).iter().map(|&(_, m2)| m2).sum()
    };
    let before = area(routed);
    if !banked || before <= 0.0 {
        return Ok(0.0);
    }
    let copy = Ground {
        raw,
        holes: ground.holes.clone(),
        lots: ground.lots.clone(),
        parcels: ground.parcels.clone(),
        ..*ground
    };
    let after = route(copy, Filling::EdgeAsOutlet, routing, progress)?;
    Ok((area(&after) - before).abs() / before)
}
