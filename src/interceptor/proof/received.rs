//! What the taken water would have come to, and what it comes to from where it is let out.

use crate::flow::Course;
use crate::lots::{Label, Leaving, Scene};
use std::collections::{BTreeMap, BTreeSet};

/// A lot that less than this share of some water passes isn't looked at, summed over its cells.
const TRACE: f64 = 1e-4;

/// The taken water at one parcel, or at land without one.
///
/// Each drop counts once at a parcel, when it first comes there after the line: water that runs along a lot line and weaves
/// over it isn't counted each time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Received {
    /// The parcel.
    pub label: Label,
    /// What came there without the line, m².
    pub without_m2: f64,
    /// What comes there with it, m².
    pub with_m2: f64,
}

/// The taken water at a way off the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SinkReceived {
    /// The way.
    pub to: Leaving,
    /// What left there without the line, m².
    pub without_m2: f64,
    /// What leaves there with it, m².
    pub with_m2: f64,
}

/// Follows water down a course without a line.
#[derive(Clone, Copy)]
pub(super) struct Spread<'a> {
    pub(super) scene: &'a Scene<'a>,
    pub(super) course: &'a Course,
}

impl<'a> Spread<'a> {
    pub(super) const fn new(scene: &'a Scene<'a>, course: &'a Course) -> Self {
        Self { scene, course }
    }

    /// One unit of water at a cell.
    pub(super) fn unit_at(&self, cell: usize) -> Vec<f64> {
        let mut water = vec![0.0; self.course.cells().len()];
        if let Some(place) = self.course.place(cell) {
            water[place] = 1.0;
        }
        water
    }

    /// Hands water down until it comes to a cell where it is to stop, or leaves the ground; `at_end` hears of either.
    pub(super) fn follow(
        &self,
        mut water: Vec<f64>,
        mut stops: impl FnMut(usize, f64) -> bool,
        mut at_end: impl FnMut(usize, f64),
    ) {
        for (place, &cell) in self.course.cells().iter().enumerate() {
            let (cell, here) = (cell as usize, water[place]);
            if here <= 0.0 {
                continue;
            }
            if stops(cell, here) || self.scene.field.leaves(cell) {
                at_end(cell, here);
                continue;
            }
            for (to, share) in self.scene.field.receivers(cell) {
                if let Some(next) = self.course.place(to) {
                    water[next] += here * share;
                }
            }
        }
    }

    /// What of some water ever comes to a lot.
    pub(super) fn arriving(&self, water: Vec<f64>, label: Label) -> f64 {
        self.coming(water, |cell| self.scene.lots.label(cell) == label)
    }

    /// What of some water ever comes to some cells.
    pub(super) fn coming(&self, water: Vec<f64>, is_there: impl Fn(usize) -> bool) -> f64 {
        let mut sum = 0.0;
        self.follow(
            water,
            |cell, _| is_there(cell),
            |cell, amount| sum += if is_there(cell) { amount } else { 0.0 },
        );
        sum
    }

    /// By parcel, and by way off the ground: without the line from where it takes the water, with it from the outlets.
    pub(super) fn received(
        &self,
        removed_m2: &[f64],
        let_out: &[(usize, f64)],
    ) -> (Vec<Received>, Vec<SinkReceived>) {
        let mut with = vec![0.0; removed_m2.len()];
        for &(cell, amount) in let_out {
            if let Some(place) = self.course.place(cell) {
                with[place] += amount;
            }
        }
        let waters = [removed_m2.to_vec(), with];
        let mut sinks: BTreeMap<Leaving, [f64; 2]> = BTreeMap::new();
        for (side, water) in waters.iter().enumerate() {
            self.follow(
                water.clone(),
                |_, _| false,
                |cell, amount| {
                    sinks.entry(self.scene.leaving_at(cell)).or_default()[side] += amount;
                },
            );
        }
        let sinks =
            sinks.into_iter().map(|(to, [without_m2, with_m2])| SinkReceived { to, without_m2, with_m2 });
        let received = self.lots_touched(&waters).into_iter().map(|label| {
            let [without_m2, with_m2] = waters.each_ref().map(|water| self.arriving(water.clone(), label));
            Received { label, without_m2, with_m2 }
        });
        (received.collect(), sinks.collect())
    }

    /// Lots other than the subject that more than a trace of any of some waters passes.
    fn lots_touched(&self, waters: &[Vec<f64>; 2]) -> Vec<Label> {
        let mut found = BTreeSet::new();
        for water in waters {
            let mut passing: BTreeMap<Label, f64> = BTreeMap::new();
            let note = |cell: usize, amount: f64| {
                *passing.entry(self.scene.lots.label(cell)).or_default() += amount;
                false
            };
            self.follow(water.clone(), note, |_, _| {});
            let floor = TRACE * water.iter().sum::<f64>();
            found.extend(passing.into_iter().filter(|&(_, amount)| amount > floor).map(|(label, _)| label));
        }
        found.remove(&self.scene.subject);
        found.into_iter().collect()
    }
}
