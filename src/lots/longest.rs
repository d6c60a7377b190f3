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

/// For each group of entries the longest way that ends in one of them; nothing where none starts where it may, or water
/// enters from slivers of the lot's own cells only.
///
/// `starts` says where a way may start: everywhere, or on ground of one kind.
///
/// # Method
/// Ways follow the larger part of each cell's water. They are looked for on the first of `fields` on which water enters
/// in the group from a cell outside: give the single routing first, whose ways keep to the fall; the larger part of a
/// proportional one runs aside of it, as the steepest of eight does. Of all ways that end in a group the longest is
/// taken; ties go to the entry that comes first. Its length is that of the way with its stair steps straightened out
/// (Douglas and Peucker, within a cell and a half: they run up to that far aside): along the steps it would be up to 8 % too long.
#[must_use]
pub fn longest_ways(
    fields: &[WayField<'_>],
    entries: &[Entry],
    groups: &[Vec<usize>],
    starts: impl Fn(usize) -> bool,
    georef: Georef,
    metres_per_unit: f64,
) -> Vec<Option<LongestWay>> {
    let above: Vec<Above> =
        fields.iter().map(|field| lengths_above(&field.scene, field.arrival, &starts)).collect();
    let steps = |group: &[usize]| -> Vec<&Entry> {
        group.iter().map(|&i| &entries[i]).filter(|e| e.from != e.into).collect()
    };
    let way = |scene: &Scene<'_>, above: &Above, entry: &Entry| {
        Some(Measure { scene, georef, metres_per_unit }.way(up_from(scene, above, entry)?))
    };
    let one = |group: &[usize]| {
        fields.iter().zip(&above).find_map(|(WayField { scene, .. }, above)| {
            // Where most of the cell's water doesn't enter, the long way to it belongs to another place.
            let enters =
                |cell: usize| main_receiver(scene.field, cell).is_some_and(|to| scene.is_subject(to));
            let length = |e: &Entry| Some(above.at(scene, e.from)? + scene.step_length(e.from, e.into));
            let far = steps(group)
                .into_iter()
                .filter(|e| enters(e.from))
                .filter_map(|e| Some((length(e)?, e)))
                .reduce(|a, b| if b.0 > a.0 { b } else { a })?;
            way(scene, above, far.1)
        })
    };
    // Where no cell sends most of its water in, the way ends at the one that sends the most.
    let to_the_largest = |group: &[usize]| {
        let most = steps(group).into_iter().reduce(|a, b| if b.area_m2 > a.area_m2 { b } else { a })?;
        way(&fields.last()?.scene, above.last()?, most)
    };
    groups.iter().map(|group| one(group).or_else(|| to_the_largest(group))).collect()
}

/// The receiver of the larger part; of equal parts the first.
fn main_receiver(field: &FlowField, cell: usize) -> Option<usize> {
    let parts = field.receivers(cell).into_iter();
    parts.reduce(|a, b| if b.1 > a.1 { b } else { a }).map(|(receiver, _)| receiver)
}

/// Metres of the main way from each cell of a reach down to the lot. Four bytes a cell.
#[derive(Debug)]
pub struct DownLengths(Vec<f32>);

impl DownLengths {
    /// Follows the larger part of each cell's water.
    #[must_use]
    pub fn of(scene: &Scene<'_>) -> Self {
        let mut down = vec![f32::INFINITY; scene.reach.cells().len()];
        for (place, &cell) in scene.reach.cells().iter().enumerate().rev() {
            let cell = cell as usize;
            if scene.is_subject(cell) {
                down[place] = 0.0;
                continue;
            }
            let Some(receiver) = main_receiver(scene.field, cell) else { continue };
            let beyond = scene.reach.place(receiver).map_or(f32::INFINITY, |next| down[next]);
            #[expect(clippy::cast_possible_truncation, reason = "seven digits of a length are enough")]
            let step = scene.step_length(cell, receiver) as f32;
            down[place] = beyond + step;
        }
        Self(down)
    }

    /// Length from a cell; endless where most of its water goes elsewhere.
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
    fn at(&self, scene: &Scene<'_>, cell: usize) -> Option<f64> {
        let length = scene.reach.place(cell).map_or(NONE, |place| self.0[place]);
        (length >= 0.0).then(|| f64::from(length))
    }
}

fn lengths_above(scene: &Scene<'_>, arrival: &Arrival, starts: impl Fn(usize) -> bool) -> Above {
    let mut above = vec![NONE; scene.reach.cells().len()];
    for (place, &cell) in scene.reach.cells().iter().enumerate() {
        let cell = cell as usize;
        if arrival.at_place(place) <= 0.0 || scene.is_subject(cell) {
            continue;
        }
        if above[place] < 0.0 && starts(cell) {
            above[place] = 0.0;
        }
        let Some(receiver) = main_receiver(scene.field, cell).filter(|_| above[place] >= 0.0) else {
            continue;
        };
        if let Some(next) = scene.reach.place(receiver) {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "seven digits of a length are enough to compare"
            )]
            let length = above[place] + scene.step_length(cell, receiver) as f32;
            above[next] = above[next].max(length);
        }
    }
    Above(above)
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
