//! Where the water of one parcel goes: how much of it passes each cell, on its way to the lot and away from it.

use super::arrival::Arrival;
use super::labels::Label;
use super::scene::Scene;
use super::sheds::Leaving;
use crate::flow::{Course, FlowError};

/// Water of one parcel, as area of it whose rain passes.
#[derive(Debug)]
pub struct ParcelWater {
    /// The cells that it comes by, donors before receivers.
    pub course: Course,
    /// By place of the course, what passes on its way to the lot, m².
    pub coming_m2: Vec<f64>,
    /// By place of the course, what passes and never reaches the lot, m².
    pub going_m2: Vec<f64>,
    /// Steps onto the lot: cell before the lot line, area, m².
    pub enters: Vec<(usize, f64)>,
    /// Where what never reaches the lot leaves the parcel for the first time: its last cell there, where to, area, m².
    pub leaves: Vec<(usize, Leaving, f64)>,
    /// Where what never reaches the lot leaves the ground: cell, area, m².
    pub ends: Vec<(usize, f64)>,
}

/// What is carried down: all of it, and what hasn't left the parcel yet.
#[derive(Debug, Clone, Copy, Default)]
struct Carried {
    all_m2: f64,
    at_home_m2: f64,
}

impl ParcelWater {
    /// Follows the water of a parcel, of the cells whose middle it covers.
    ///
    /// # Errors
    /// [`FlowError::Cycle`] if the field has a cycle.
    pub fn of(scene: &Scene<'_>, arrival: &Arrival, label: Label) -> Result<Self, FlowError> {
        let cells = (0..scene.lots.shape().len()).filter(|&cell| scene.lots.label(cell) == label);
        let course = Course::downstream_of(scene.field, cells.filter(|&cell| scene.field.is_valid(cell)))?;
        let count = course.cells().len();
        let mut found = Self {
            course,
            coming_m2: vec![0.0; count],
            going_m2: vec![0.0; count],
            enters: Vec::new(),
            leaves: Vec::new(),
            ends: Vec::new(),
        };
        found.follow(scene, arrival, label);
        Ok(found)
    }

    fn follow(&mut self, scene: &Scene<'_>, arrival: &Arrival, label: Label) {
        let reaching = |cell: usize| {
            if scene.is_subject(cell) {
                return 1.0;
            }
            scene.reach.place(cell).map_or(0.0, |place| arrival.at_place(place))
        };
        let mut carried = vec![Carried::default(); self.coming_m2.len()];
        for place in 0..carried.len() {
            let cell = self.course.cells()[place] as usize;
            // What has come to the lot has arrived, wherever it runs from there.
            if scene.is_subject(cell) {
                continue;
            }
            if scene.lots.label(cell) == label {
                let own_m2 = scene.lots.share(cell, label) * scene.cell.area_m2();
                carried[place].all_m2 += own_m2;
                carried[place].at_home_m2 += own_m2;
            }
            let here = carried[place];
            let share = reaching(cell);
            self.coming_m2[place] = here.all_m2 * share;
            self.going_m2[place] = here.all_m2 * (1.0 - share);
            if scene.field.leaves(cell) {
                self.ends.push((cell, here.all_m2));
                self.leave(cell, scene.leaving_at(cell), here.at_home_m2);
            }
            for (to, part) in scene.field.receivers(cell) {
                if scene.is_subject(to) {
                    self.enters.push((cell, here.all_m2 * part));
                    continue;
                }
                let stays = scene.lots.label(to) == label;
                if !stays {
                    let away_m2 = here.at_home_m2 * part * (1.0 - reaching(to));
                    self.leave(cell, Leaving::Onto(scene.lots.label(to)), away_m2);
                }
                if let Some(next) = self.course.place(to) {
                    carried[next].all_m2 += here.all_m2 * part;
                    carried[next].at_home_m2 += if stays { here.at_home_m2 * part } else { 0.0 };
                }
            }
        }
        self.enters.retain(|enter| enter.1 > 0.0);
        self.ends.retain(|end| end.1 > 0.0);
    }

    fn leave(&mut self, cell: usize, to: Leaving, area_m2: f64) {
        if area_m2 > 0.0 {
            self.leaves.push((cell, to, area_m2));
        }
    }
}
