//! Buildings: water goes round them, and their roofs' water comes down beside them.
//!
//! A footprint's cells are raised above everything around. The water of each is let out at the nearest of the building's
//! downspouts, or without any at the lowest ground along the footprint on the building's own parcel. Ground that a footprint
//! encloses counts as its roof. All of it is worked out from a building's own surroundings, so that it doesn't depend on
//! the window.

use crate::grid::{Cell, CellSet, Direction, Georef, Grid, GridShape};
use crate::input::{Building, InputError, Patch, Site, Survey, Window};
use crate::lots::owner;
use crate::warning::{Warning, named};
use geo::{BoundingRect, Contains, Coord, MultiPolygon, Rect};

/// How far roofs stand above the highest ground beside them, m: about a storey. Water that is dammed up higher runs over.
const STOREY_M: f32 = 3.0;
/// Rows and columns around a footprint that are looked at.
const AROUND: usize = 2;

/// A building on the working grid, by cells of the survey.
#[derive(Debug, Clone)]
struct Footprint {
    roof: Vec<RoofCell>,
    /// Height that they are raised to, m.
    top_m: f32,
    /// Where the water comes down that no downspout takes.
    lowest: Lowest,
    /// Whether a downspout can't be used.
    has_useless: bool,
}

/// One cell of a roof.
#[derive(Debug, Clone, Copy)]
struct RoofCell {
    cell: Cell,
    /// Ground below it, where it is known.
    ground: f32,
    /// Where its water comes down; nothing where other roofs lie all around.
    drip: Option<Cell>,
}

/// The lowest free ground beside a roof.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lowest {
    /// Not asked for: downspouts take all water.
    Unused,
    /// On the parcel that most of the roof lies on.
    OnOwnParcel(Cell),
    /// No free ground of its own parcel lies beside it.
    Elsewhere(Cell),
    /// Other roofs lie all around.
    None,
}

impl Lowest {
    const fn cell(self) -> Option<Cell> {
        match self {
            Self::OnOwnParcel(cell) | Self::Elsewhere(cell) => Some(cell),
            Self::Unused | Self::None => None,
        }
    }
}

/// Roofs in a window.
#[derive(Debug, Clone, Default)]
pub struct Roofs {
    /// Cells with the ground below them (NaN where unknown), by cell.
    ground: Vec<(usize, f32)>,
    /// From a roof's cell to where its water comes down, in the window, by the buildings' order.
    drips: Vec<(usize, usize)>,
    /// Cells of roofs that the window cuts, and places where their water comes down: where they matter, the window is too
    /// small on these sides (north, east, south, west).
    cut: Vec<(usize, [bool; 4])>,
    /// Buildings beside which there is no free ground of their own parcel.
    elsewhere: Vec<String>,
    /// Buildings with other roofs all around.
    landlocked: Vec<String>,
    /// Buildings with downspouts that can't be used.
    useless: Vec<String>,
}

/// Ground of a window as water finds it: roofs raised.
pub(super) fn read_surface(site: &Site, window: Window) -> Result<(Grid<f32>, Roofs), InputError> {
    let mut surface = site.survey.read(window)?;
    let roofs = Roofs::raise(site, window, surface.values_mut())?;
    Ok((surface, roofs))
}

impl Roofs {
    /// From a roof's cell to where its water comes down.
    #[must_use]
    pub fn drips(&self) -> &[(usize, usize)] {
        &self.drips
    }

    /// Ground at a cell: below the roof where there is one.
    #[must_use]
    pub fn ground_at(&self, cell: usize, surface: f32) -> f32 {
        self.ground.binary_search_by_key(&cell, |roof| roof.0).map_or(surface, |place| self.ground[place].1)
    }

    /// Whether a roof covers the middle of a cell.
    #[must_use]
    pub fn covers(&self, cell: usize) -> bool {
        self.ground.binary_search_by_key(&cell, |roof| roof.0).is_ok()
    }

    /// Sides on which the window cuts roofs that matter, which `reaches` tells of a cell.
    pub(super) fn sides_beyond(&self, reaches: impl Fn(usize) -> bool) -> [bool; 4] {
        let mut sides = [false; 4];
        for (_, beyond) in self.cut.iter().filter(|(cell, _)| reaches(*cell)) {
            sides = std::array::from_fn(|side| sides[side] || beyond[side]);
        }
        sides
    }

    /// What must be said of buildings in the window.
    pub(super) fn warnings(&self) -> Vec<Warning> {
        let said = [
            (
                &self.elsewhere,
                "roof-drains-elsewhere",
                "no free ground of the own parcel lies beside some buildings, so their roofs' water comes down on other ground",
                "check the footprints against the lot lines",
            ),
            (
                &self.landlocked,
                "roof-without-ground",
                "other roofs lie all around some buildings, so their water runs over those",
                "check the footprints for doubles",
            ),
            (
                &self.useless,
                "downspout-useless",
                "some downspouts lead to no free ground below the eaves, so they were left out; their buildings",
                "check where they stand",
            ),
        ];
        said.into_iter()
            .filter(|(buildings, ..)| !buildings.is_empty())
            .map(|(buildings, code, message, help)| {
                Warning::new(code, format!("{message}: {}", named(buildings)), help)
            })
            .collect()
    }

    /// Raises the roofs of a window.
    fn raise(site: &Site, window: Window, surface: &mut [f32]) -> Result<Self, InputError> {
        let mut found = Self::default();
        let Some(buildings) = &site.beside.buildings else { return Ok(found) };
        let (low, high) = corners(&site.survey, window);
        for place in buildings.within(low.x, low.y, high.x, high.y) {
            let patch = &buildings.patches()[place];
            if let Some(footprint) = footprint(site, patch)? {
                let name = patch.says.id.as_ref().unwrap_or(&patch.feature);
                found.add(&footprint, name, window, surface);
            }
        }
        // Ground that two footprints claim is known by the first of them; the sort keeps their order.
        found.ground.sort_by_key(|roof| roof.0);
        found.ground.dedup_by_key(|roof| roof.0);
        Ok(found)
    }

    fn add(&mut self, footprint: &Footprint, name: &str, window: Window, surface: &mut [f32]) {
        let inside = |cell: Cell| place_in(window, cell);
        match footprint.lowest {
            Lowest::Elsewhere(_) => self.elsewhere.push(name.to_owned()),
            Lowest::None => self.landlocked.push(name.to_owned()),
            Lowest::OnOwnParcel(_) | Lowest::Unused => {}
        }
        if footprint.has_useless {
            self.useless.push(name.to_owned());
        }
        for &RoofCell { cell, ground, drip } in &footprint.roof {
            match (inside(cell), drip.map(|drip| (drip, inside(drip)))) {
                (Some(roof), Some((_, Some(drip)))) => self.drips.push((roof, drip)),
                (Some(roof), Some((drip, None))) => self.cut.push((roof, sides_of(window, drip))),
                // Water of a roof beyond the window comes down in it.
                (None, Some((_, Some(drip)))) => self.cut.push((drip, sides_of(window, cell))),
                (_, None) | (None, Some((_, None))) => {}
            }
            if let Some(roof) = inside(cell) {
                self.ground.push((roof, ground));
                surface[roof] = footprint.top_m;
            }
        }
    }
}

/// Sides of a window beyond which a cell lies: north, east, south, west.
fn sides_of(window: Window, cell: Cell) -> [bool; 4] {
    [
        cell.row < window.row,
        cell.col >= window.col + window.shape.cols,
        cell.row >= window.row + window.shape.rows,
        cell.col < window.col,
    ]
}

fn place_in(window: Window, cell: Cell) -> Option<usize> {
    let row = cell.row.checked_sub(window.row).filter(|&row| row < window.shape.rows)?;
    let col = cell.col.checked_sub(window.col).filter(|&col| col < window.shape.cols)?;
    Some(window.shape.index(Cell { row, col }))
}

/// Corners of a window in the working system.
#[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
fn corners(survey: &Survey, window: Window) -> (Coord, Coord) {
    let georef = survey.georef().part(Cell { row: window.row, col: window.col });
    let (rows, cols) = (window.shape.rows as f64, window.shape.cols as f64);
    (
        Coord { x: georef.west, y: georef.north - rows * georef.step_y },
        Coord { x: georef.west + cols * georef.step_x, y: georef.north },
    )
}

/// A building on the working grid; nothing where it covers the middle of no cell, or ground that isn't known.
fn footprint(site: &Site, patch: &Patch<Building>) -> Result<Option<Footprint>, InputError> {
    let Some(around) = Around::of(site, &patch.outline)? else { return Ok(None) };
    let ground = around.roof.iter().chain(&around.rim).map(|&i| around.heights[i]);
    let highest = ground.filter(|z| z.is_finite()).fold(f32::NEG_INFINITY, f32::max);
    if !highest.is_finite() {
        // A building in the middle of a large hole stays part of it.
        return Ok(None);
    }
    let top_m = highest + STOREY_M;
    let mut outlets = Vec::new();
    for &at in &patch.says.downspouts {
        outlets.extend(around.outlet(site, at, top_m)?.map(|cell| (at, cell)));
    }
    let lowest = if outlets.is_empty() { around.lowest(site) } else { Lowest::Unused };
    let drip = |index: usize| {
        let here = around.centre(index);
        let away = |at: Coord| (at.x - here.x).hypot(at.y - here.y);
        let nearest = outlets.iter().min_by(|a, b| away(a.0).total_cmp(&away(b.0)));
        nearest.map(|outlet| outlet.1).or(lowest.cell())
    };
    let cell = |&i: &usize| RoofCell { cell: around.in_survey(i), ground: around.heights[i], drip: drip(i) };
    Ok(Some(Footprint {
        roof: around.roof.iter().map(cell).collect(),
        top_m,
        lowest,
        has_useless: outlets.len() < patch.says.downspouts.len(),
    }))
}

/// A building with the ground around it.
struct Around {
    window: Window,
    georef: Georef,
    heights: Vec<f32>,
    /// Cells whose middle the footprint covers or encloses.
    roof: Vec<usize>,
    /// Cells that touch them.
    rim: Vec<usize>,
}

impl Around {
    /// Nothing when the footprint covers the middle of no cell.
    fn of(site: &Site, outline: &MultiPolygon<f64>) -> Result<Option<Self>, InputError> {
        let survey = &site.survey;
        let Some(window) = window_around(survey, outline) else { return Ok(None) };
        let georef = survey.georef().part(Cell { row: window.row, col: window.col });
        let shape = window.shape;
        let centre = |index: usize| {
            let (x, y) = georef.centre(shape.cell(index));
            Coord { x, y }
        };
        let mut is_roof = CellSet::none_of(shape.len());
        for index in (0..shape.len()).filter(|&index| outline.contains(&centre(index))) {
            is_roof.insert(index);
        }
        enclose(shape, &mut is_roof);
        let roof: Vec<usize> = (0..shape.len()).filter(|&i| is_roof.contains(i)).collect();
        if roof.is_empty() {
            return Ok(None);
        }
        let touches = |i: usize| {
            Direction::ALL
                .into_iter()
                .filter_map(|direction| shape.neighbour(shape.cell(i), direction))
                .any(|beside| is_roof.contains(shape.index(beside)))
        };
        let rim = (0..shape.len()).filter(|&i| !is_roof.contains(i) && touches(i)).collect();
        let heights = survey.read(window)?.into_values();
        Ok(Some(Self { window, georef, heights, roof, rim }))
    }

    /// The middle of a cell.
    fn centre(&self, index: usize) -> Coord {
        let (x, y) = self.georef.centre(self.window.shape.cell(index));
        Coord { x, y }
    }

    fn in_survey(&self, index: usize) -> Cell {
        let cell = self.window.shape.cell(index);
        Cell { row: cell.row + self.window.row, col: cell.col + self.window.col }
    }

    /// The lowest free cell beside the roof, on the parcel that most of the roof lies on if there is one there.
    fn lowest(&self, site: &Site) -> Lowest {
        let (low, high) = corners(&site.survey, self.window);
        let parcels: Vec<&MultiPolygon<f64>> = site
            .parcels
            .within(low.x, low.y, high.x, high.y)
            .into_iter()
            .map(|place| &site.parcels.parcels()[place].outline)
            .collect();
        let owner_of = |index: usize| owner(&parcels, self.centre(index));
        let own = most_common(self.roof.iter().map(|&i| owner_of(i)), parcels.len());
        let is_free = |&i: &usize| self.heights[i].is_finite() && !is_under_roof(site, self.centre(i));
        let free: Vec<usize> = self.rim.iter().copied().filter(is_free).collect();
        let lowest = |cells: &mut dyn Iterator<Item = usize>| {
            let found = cells.min_by(|&a, &b| self.heights[a].total_cmp(&self.heights[b]).then(a.cmp(&b)));
            found.map(|index| self.in_survey(index))
        };
        if let Some(cell) = lowest(&mut free.iter().copied().filter(|&i| owner_of(i) == own)) {
            return Lowest::OnOwnParcel(cell);
        }
        lowest(&mut free.iter().copied()).map_or(Lowest::None, Lowest::Elsewhere)
    }

    /// The free cell nearest to a downspout; nothing where none is near, or the ground there reaches the roof.
    fn outlet(&self, site: &Site, at: Coord, top_m: f32) -> Result<Option<Cell>, InputError> {
        let place = MultiPolygon::new(vec![Rect::new(at, at).to_polygon()]);
        let Some(window) = window_around(&site.survey, &place) else { return Ok(None) };
        let georef = site.survey.georef().part(Cell { row: window.row, col: window.col });
        let heights = site.survey.read(window)?;
        let away = |cell: Cell| {
            let (x, y) = georef.centre(cell);
            (x - at.x).hypot(y - at.y)
        };
        let is_free = |cell: &Cell| {
            let (x, y) = georef.centre(*cell);
            let in_survey = Cell { row: cell.row + window.row, col: cell.col + window.col };
            let own = place_in(self.window, in_survey).is_some_and(|i| self.roof.binary_search(&i).is_ok());
            *heights.at(*cell) < top_m && !own && !is_under_roof(site, Coord { x, y })
        };
        let cells = (0..window.shape.len()).map(|index| window.shape.cell(index));
        let nearest = cells.filter(is_free).min_by(|a, b| away(*a).total_cmp(&away(*b)));
        Ok(nearest.map(|cell| Cell { row: cell.row + window.row, col: cell.col + window.col }))
    }
}

/// The owner that comes up most; of equals the one listed first, land without a parcel last.
fn most_common(owners: impl Iterator<Item = Option<usize>>, parcels: usize) -> Option<usize> {
    let mut counts = vec![0_usize; parcels + 1];
    for owner in owners {
        counts[owner.unwrap_or(parcels)] += 1;
    }
    let most = (0..=parcels).rev().max_by_key(|&place| counts[place]).unwrap_or(parcels);
    (most < parcels).then_some(most)
}

fn is_under_roof(site: &Site, point: Coord) -> bool {
    let Some(buildings) = &site.beside.buildings else { return false };
    let near = buildings.within(point.x, point.y, point.x, point.y);
    near.into_iter().any(|place| buildings.patches()[place].outline.contains(&point))
}

/// Cells of the survey around an outline; nothing where it lies beside the survey.
fn window_around(survey: &Survey, outline: &MultiPolygon<f64>) -> Option<Window> {
    let rect = outline.bounding_rect()?;
    let georef = survey.georef();
    let (west, north) = georef.to_grid(rect.min().x, rect.max().y);
    let (east, south) = georef.to_grid(rect.max().x, rect.min().y);
    let whole = survey.shape();
    let (first_row, end_row) = span(north, south, whole.rows)?;
    let (first_col, end_col) = span(west, east, whole.cols)?;
    let shape = GridShape { rows: end_row - first_row, cols: end_col - first_col };
    Some(Window { row: first_row, col: first_col, shape })
}

/// First and end of a run of rows or columns with some around it.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "clamped to the survey"
)]
fn span(from: f64, to: f64, most: usize) -> Option<(usize, usize)> {
    let whole = most as f64;
    if to < 0.0 || from > whole {
        return None;
    }
    let first = (from.floor().clamp(0.0, whole) as usize).saturating_sub(AROUND);
    let end = (to.ceil().clamp(0.0, whole) as usize + AROUND).min(most);
    (end > first).then_some((first, end))
}

/// Adds the cells from which water can't reach the grid's rim, by any of eight neighbours, without crossing the set.
fn enclose(shape: GridShape, set: &mut CellSet) {
    let mut outside = CellSet::none_of(shape.len());
    let mut front: Vec<usize> = (0..shape.len())
        .filter(|&i| shape.is_rim(shape.cell(i)) && !set.contains(i) && outside.insert(i))
        .collect();
    while let Some(index) = front.pop() {
        for direction in Direction::ALL {
            let Some(beside) = shape.neighbour(shape.cell(index), direction) else { continue };
            let beside = shape.index(beside);
            if !set.contains(beside) && outside.insert(beside) {
                front.push(beside);
            }
        }
    }
    for index in (0..shape.len()).filter(|&i| !outside.contains(i)) {
        set.insert(index);
    }
}
