//! The longest way that water takes to a stretch of the lot line: the one that sets the time of concentration.

use super::arrival::Arrival;
use super::entries::Entry;
use super::scene::Scene;
use crate::flow::FlowField;
use crate::grid::Georef;
use geo::{Coord, LineString, Simplify};

/// The cells of the longest way, the highest first; the last is the lot's cell that it enters.
#[derive(Debug, Clone, PartialEq)]
pub struct LongestWay {
    /// Cells.
    pub cells: Vec<usize>,
    /// Way from the top to each cell, m; 0 for the first.
    pub chainage_m: Vec<f64>,
}

impl LongestWay {
    /// Length of the whole way, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.chainage_m.last().copied().unwrap_or(0.0)
    }
}

/// Routed ground that ways are looked for on.
#[derive(Debug, Clone, Copy)]
pub struct WayField<'a> {
    /// The ground.
    pub scene: Scene<'a>,
    /// Shares that reach the lot on it.
    pub arrival: &'a Arrival,
}

impl WayField<'_> {
    /// The receiver that hands most of a cell's water on to the lot, with its place in the reach; of equal ones the first.
    fn main_arriving(&self, cell: usize) -> Option<(usize, usize)> {
        let arriving = |(to, part): (usize, f64)| {
            let place = self.scene.reach.place(to)?;
            let share = if self.scene.is_subject(to) { 1.0 } else { self.arrival.at_place(place) };
            Some((part * share, (to, place)))
        };
        let receivers = self.scene.field.receivers(cell).into_iter().filter_map(arriving);
        let most = receivers.reduce(|a, b| if b.0 > a.0 { b } else { a })?;
        (most.0 > 0.0).then_some(most.1)
    }

    /// Whether water of the cell at a place of the reach goes on to the lot.
    fn is_passed(&self, place: usize) -> bool {
        self.arrival.at_place(place) > 0.0 && !self.scene.is_subject(self.scene.reach.cells()[place] as usize)
    }
}

/// What longest ways are looked for on, and where they end.
///
/// # Method
/// Ways follow the larger part of each cell's water. They are looked for on each of `fields`, and the first counts: give the
/// single routing first, whose ways keep to the fall; the larger part of a proportional one runs aside of it, as the steepest
/// of eight does. Where the first way is shorter than seven tenths of a later one, that one counts: of a group's water the first
/// routing may have no more than a trace. Of all ways that end in a group the longest is
/// taken; ties go to the entry that comes first. Its length is that of the way with its stair steps straightened out
/// (Douglas and Peucker, within a cell and a half: they run up to that far aside): along the steps it would be up to 8 % too long.
#[derive(Debug, Clone, Copy)]
pub struct WaySearch<'a> {
    /// Routed ground.
    pub fields: &'a [WayField<'a>],
    /// Where water enters the lot.
    pub entries: &'a [Entry],
    /// Places in `entries` of those that a way may end in, for each way that is looked for.
    pub groups: &'a [Vec<usize>],
    /// Place of the grid.
    pub georef: Georef,
    /// True length of its unit.
    pub metres_per_unit: f64,
}

impl<'a> WaySearch<'a> {
    /// For each group the longest way that ends in one of its entries; nothing where none starts where it may, or water
    /// enters from slivers of the lot's own cells only.
    ///
    /// `starts` says where a way may start: everywhere, or on ground of one kind.
    #[must_use]
    pub fn longest(&self, starts: impl Fn(usize) -> bool) -> Vec<Option<LongestWay>> {
        let above: Vec<Above> = self.fields.iter().map(|field| Above::of(field, &starts)).collect();
        self.in_groups(&above, |_| true)
    }

    /// The same for each of a number of bands: a way may start in its band and in all before it.
    ///
    /// `band` gives the band of a cell, nothing where no way may start; `wanted` says of a band and a group whether its way
    /// is to be made.
    ///
    /// # Cost
    /// One pass over the reach, and for each band the cells that a longer way comes by than before.
    #[must_use]
    pub fn longest_by_band(
        &self,
        bands: usize,
        band: impl Fn(usize) -> Option<usize>,
        wanted: impl Fn(usize, usize) -> bool,
    ) -> Vec<Vec<Option<LongestWay>>> {
        let starts: Vec<Vec<Vec<u32>>> =
            self.fields.iter().map(|field| starts_by_band(field, bands, &band)).collect();
        let mut above: Vec<Above> = self.fields.iter().map(|field| Above::none(&field.scene)).collect();
        let mut found = Vec::with_capacity(bands);
        for band in 0..bands {
            for ((field, above), starts) in self.fields.iter().zip(&mut above).zip(&starts) {
                starts[band].iter().for_each(|&place| above.open(field, place as usize));
            }
            found.push(self.in_groups(&above, |group| wanted(band, group)));
        }
        found
    }

    fn in_groups(&self, above: &[Above], wanted: impl Fn(usize) -> bool) -> Vec<Option<LongestWay>> {
        let one = |(place, group): (usize, &Vec<usize>)| {
            if !wanted(place) {
                return None;
            }
            self.with_most_of_its_water(above, group).or_else(|| self.ending_where_most_enters(above, group))
        };
        self.groups.iter().enumerate().map(one).collect()
    }

    /// The longest way of those that most of the water of their last cell outside takes.
    fn with_most_of_its_water(&self, above: &[Above], group: &[usize]) -> Option<LongestWay> {
        let ways = self.fields.iter().zip(above).filter_map(|(WayField { scene, .. }, above)| {
            // Where most of the cell's water doesn't enter, the long way to it belongs to another place.
            let enters =
                |cell: usize| main_receiver(scene.field, cell).is_some_and(|to| scene.is_subject(to));
            let length = |e: &Entry| Some(above.at(scene, e.from)? + scene.step_length(e.from, e.into));
            let far = self
                .steps(group)
                .filter(|e| enters(e.from))
                .filter_map(|e| Some((length(e)?, e)))
                .reduce(|a, b| if b.0 > a.0 { b } else { a })?;
            self.way(scene, above, far.1)
        });
        ways.reduce(|first, later| if first.length_m() < SHORT * later.length_m() { later } else { first })
    }

    /// Where no cell sends most of its water in, the way ends at the one that sends the most.
    fn ending_where_most_enters(&self, above: &[Above], group: &[usize]) -> Option<LongestWay> {
        let most = self.steps(group).reduce(|a, b| if b.area_m2 > a.area_m2 { b } else { a })?;
        self.way(&self.fields.last()?.scene, above.last()?, most)
    }

    fn steps(&self, group: &[usize]) -> impl Iterator<Item = &'a Entry> {
        let entries = self.entries;
        group.iter().map(move |&i| &entries[i]).filter(|e| e.from != e.into)
    }

    fn way(&self, scene: &Scene<'_>, above: &Above, entry: &Entry) -> Option<LongestWay> {
        let measure = Measure { scene, georef: self.georef, metres_per_unit: self.metres_per_unit };
        Some(measure.way(up_from(scene, above, entry)?))
    }
}

/// Of two routings' ways the first isn't taken where it is shorter than this share of the other.
const SHORT: f64 = 0.7;

/// The receiver of the larger part; of equal parts the first.
fn main_receiver(field: &FlowField, cell: usize) -> Option<usize> {
    let parts = field.receivers(cell).into_iter();
    parts.reduce(|a, b| if b.1 > a.1 { b } else { a }).map(|(receiver, _)| receiver)
}

/// Metres of the way that most of each cell's arriving water takes down to the lot. Four bytes a cell.
#[derive(Debug)]
pub struct DownLengths(Vec<f32>);

impl DownLengths {
    /// Follows the larger part of the water that reaches the lot: a cell may send most of its water elsewhere.
    #[must_use]
    pub fn of(field: &WayField<'_>) -> Self {
        let scene = &field.scene;
        let mut down = vec![f32::INFINITY; scene.reach.cells().len()];
        for (place, &cell) in scene.reach.cells().iter().enumerate().rev() {
            let cell = cell as usize;
            if scene.is_subject(cell) {
                down[place] = 0.0;
                continue;
            }
            let Some((receiver, next)) = field.main_arriving(cell) else { continue };
            #[expect(clippy::cast_possible_truncation, reason = "seven digits of a length are enough")]
            let step = scene.step_length(cell, receiver) as f32;
            down[place] = down[next] + step;
        }
        Self(down)
    }

    /// Length from a cell; endless where none of its water arrives.
    #[must_use]
    pub fn at(&self, scene: &Scene<'_>, cell: usize) -> f64 {
        scene.reach.place(cell).map_or(f64::INFINITY, |place| f64::from(self.0[place]))
    }
}

/// Metres of the longest main way above each cell of the reach, below 0 where none comes by. Four bytes a cell.
struct Above(Vec<f32>);

/// No way comes by.
const NONE: f32 = -1.0;

impl Above {
    fn none(scene: &Scene<'_>) -> Self {
        Self(vec![NONE; scene.reach.cells().len()])
    }

    /// Of ways that start wherever they may.
    fn of(field: &WayField<'_>, starts: impl Fn(usize) -> bool) -> Self {
        let mut above = Self::none(&field.scene);
        for (place, &cell) in field.scene.reach.cells().iter().enumerate() {
            if !field.is_passed(place) {
                continue;
            }
            if above.0[place] < 0.0 && starts(cell as usize) {
                above.0[place] = 0.0;
            }
            above.hand_down(field, place);
        }
        above
    }

    /// Lets ways start in one cell more.
    fn open(&mut self, field: &WayField<'_>, start: usize) {
        let mut next = (self.0[start] < 0.0 && field.is_passed(start)).then_some(start);
        if next.is_some() {
            self.0[start] = 0.0;
        }
        while let Some(place) = next {
            next = self.hand_down(field, place).filter(|&place| field.is_passed(place));
        }
    }

    /// Lengthens the way at the receiver of most of a cell's water; gives the receiver's place if that was shorter before.
    fn hand_down(&mut self, field: &WayField<'_>, place: usize) -> Option<usize> {
        if self.0[place] < 0.0 {
            return None;
        }
        let scene = &field.scene;
        let cell = scene.reach.cells()[place] as usize;
        let receiver = main_receiver(scene.field, cell)?;
        let next = scene.reach.place(receiver)?;
        #[expect(clippy::cast_possible_truncation, reason = "seven digits of a length are enough to compare")]
        let length = self.0[place] + scene.step_length(cell, receiver) as f32;
        (length > self.0[next]).then(|| {
            self.0[next] = length;
            next
        })
    }

    fn at(&self, scene: &Scene<'_>, cell: usize) -> Option<f64> {
        let length = scene.reach.place(cell).map_or(NONE, |place| self.0[place]);
        (length >= 0.0).then(|| f64::from(length))
    }
}

/// Places in the reach of the cells of each band.
fn starts_by_band(
    field: &WayField<'_>,
    bands: usize,
    band: impl Fn(usize) -> Option<usize>,
) -> Vec<Vec<u32>> {
    let mut found = vec![Vec::new(); bands];
    for (place, &cell) in (0_u32..).zip(field.scene.reach.cells()) {
        if let Some(starts) = band(cell as usize).and_then(|band| found.get_mut(band)) {
            starts.push(place);
        }
    }
    found
}

/// Cells of the longest way above an entry, the highest first; nothing where none comes by.
fn up_from(scene: &Scene<'_>, above: &Above, entry: &Entry) -> Option<Vec<usize>> {
    let mut cells = vec![entry.into, entry.from];
    let mut at = entry.from;
    while above.at(scene, at)? > 0.0 {
        let mut best: Option<(f64, usize)> = None;
        scene.field.for_each_donor(at, |donor| {
            if scene.is_subject(donor) || main_receiver(scene.field, donor) != Some(at) {
                return;
            }
            let Some(up) = above.at(scene, donor) else { return };
            let length = up + scene.step_length(donor, at);
            if best.is_none_or(|b| length > b.0) {
                best = Some((length, donor));
            }
        });
        let Some((_, donor)) = best else { break };
        cells.push(donor);
        at = donor;
    }
    cells.reverse();
    Some(cells)
}

struct Measure<'a> {
    scene: &'a Scene<'a>,
    georef: Georef,
    metres_per_unit: f64,
}

impl Measure<'_> {
    /// Chainages along the straightened way: cells between two of its corners keep their share of the steps.
    fn way(&self, cells: Vec<usize>) -> LongestWay {
        let shape = self.scene.lots.shape();
        let points: Vec<Coord> = cells
            .iter()
            .map(|&cell| {
                let (x, y) = self.georef.centre(shape.cell(cell));
                Coord { x, y }
            })
            .collect();
        let tolerance = 1.5 * self.georef.step_x.abs().max(self.georef.step_y.abs());
        let straight = LineString::new(points.clone()).simplify(tolerance);
        let mut chainage_m = vec![0.0];
        let mut corner = 0;
        for pair in straight.0.windows(2) {
            let end = (corner + 1..points.len()).find(|&i| points[i] == pair[1]).unwrap_or(points.len() - 1);
            let length_m = (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y) * self.metres_per_unit;
            let steps: Vec<f64> =
                cells[corner..=end].windows(2).map(|w| self.scene.step_length(w[0], w[1])).collect();
            let all: f64 = steps.iter().sum();
            let start_m = chainage_m.last().copied().unwrap_or(0.0);
            let mut run = 0.0;
            for step in steps {
                run += step;
                chainage_m.push(start_m + length_m * run / all);
            }
            corner = end;
        }
        LongestWay { cells, chainage_m }
    }
}
