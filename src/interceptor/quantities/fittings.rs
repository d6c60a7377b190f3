//! Pipes and what joins them.

use super::super::catalogue::{PipeJoint, PipeSize};
use super::error::QuantityError;
use super::item::Item;
use super::line::{DrainLine, End, Leg, Section, whole_up};
use crate::units::Length;
use std::collections::BTreeMap;

/// Lengths in plan and counts, by item.
#[derive(Debug, Default)]
pub(super) struct Fittings {
    pub(super) lengths: BTreeMap<Item, Length>,
    pub(super) counts: BTreeMap<Item, u32>,
}

impl Fittings {
    /// Adds those of a line.
    ///
    /// # Method
    /// Couplings: one at every joint of whole pieces within a leg and between legs, where the pipe has no sockets. Fittings at a change
    /// of the number of pipes (a wye), of their size (a reducer), at bends and cleanouts, for each pipe that lies there; at a join one
    /// pipe is left.
    pub(super) fn add(&mut self, line: &DrainLine, spacing: Length) -> Result<(), QuantityError> {
        let last = line.legs().len() - 1;
        for (place, leg) in line.legs().iter().enumerate() {
            self.pipes(leg, if place == last { line.beyond() } else { Length::ZERO });
        }
        for pair in line.legs().windows(2) {
            self.transition(&pair[0].section, &pair[1].section);
        }
        for &bend in line.bends() {
            let section = &line.leg_at(bend).section;
            self.count(Item::Bend(section.pipe().key()), section.pipes());
        }
        let last_section = &line.legs()[last].section;
        self.count(Item::Bend(last_section.pipe().key()), line.bends_beyond());
        for station in line.cleanouts(spacing)? {
            let leg = line.leg_at(station);
            let pipes = if station < line.foot() { leg.section.pipes() } else { 1 };
            let key = leg.section.pipe().key();
            self.count(Item::Cleanout(key.clone()), pipes);
            let cover = leg.cover_at(station);
            self.length(Item::Riser(key), cover * f64::from(pipes));
        }
        self.end(line);
        Ok(())
    }

    /// Pipe of a leg; of the last one with what goes on to its mouth.
    fn pipes(&mut self, leg: &Leg, beyond: Length) {
        let (pipe, pipes) = (leg.section.pipe(), leg.section.pipes());
        let item = match leg.section {
            Section::Stone(_) => Item::PerforatedPipe(pipe.key()),
            Section::Solid(_) => Item::SolidPipe(pipe.key()),
        };
        let length = leg.cuts.length() + beyond;
        self.length(item, length * f64::from(pipes));
        if pipe.joint == PipeJoint::Coupling {
            let pieces = whole_up(length / pipe.piece_length());
            self.count(Item::Coupling(pipe.key()), pipes * pieces.saturating_sub(1));
        }
    }

    /// From one leg to the next.
    fn transition(&mut self, above: &Section, below: &Section) {
        let (from, to) = (above.pipe(), below.pipe());
        // A wye lies where two pipes are: its size is theirs.
        if above.pipes() != below.pipes() {
            let two = if above.pipes() > below.pipes() { from } else { to };
            self.count(Item::Wye(two.key()), 1);
        }
        if from.key() != to.key() {
            self.reduce(from, to, above.pipes().min(below.pipes()));
        } else if above.pipes() == below.pipes() && from.joint == PipeJoint::Coupling {
            self.count(Item::Coupling(from.key()), above.pipes());
        }
    }

    fn end(&mut self, line: &DrainLine) {
        let section = &line.legs()[line.legs().len() - 1].section;
        let pipe = section.pipe();
        let key = pipe.key();
        // Whatever it meets, it is met by one pipe.
        self.count(Item::Wye(key.clone()), section.pipes() - 1);
        match line.end() {
            End::Structure => self.count(Item::TieIn(key), 1),
            // What a chamber has is bought with it.
            End::Chamber => {}
            End::Daylight => self.count(Item::OutletGuard(key), 1),
            End::Joins(other) => {
                self.count(Item::Wye(other.key()), 1);
                if other.key() != key {
                    self.reduce(pipe, other, 1);
                }
            }
        }
    }

    fn reduce(&mut self, from: &PipeSize, to: &PipeSize, more: u32) {
        self.count(Item::Reducer { from: from.key(), to: to.key() }, more);
    }

    fn count(&mut self, item: Item, more: u32) {
        if more > 0 {
            *self.counts.entry(item).or_default() += more;
        }
    }

    fn length(&mut self, item: Item, more: Length) {
        let sum = self.lengths.entry(item).or_default();
        *sum = *sum + more;
    }
}
