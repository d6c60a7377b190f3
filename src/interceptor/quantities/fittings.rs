//! Pipes and what joins them.

use super::super::catalogue::{PipeJoint, PipeSize};
use super::error::QuantityError;
use super::item::Item;
use super::line::{DrainLine, End, Leg, PipeBeyond, Section, whole_up};
use crate::units::Length;
use std::collections::BTreeMap;

/// Lengths in plan and counts, by item.
#[derive(Debug, Default)]
pub(super) struct Fittings {
    pub(super) lengths: BTreeMap<Item, Length>,
    pub(super) counts: BTreeMap<Item, u32>,
}

/// Pipe of one size and kind, side by side.
#[derive(Debug, Clone, Copy)]
struct Run<'a> {
    pipe: &'a PipeSize,
    pipes: u32,
    is_solid: bool,
    length: Length,
}

impl<'a> Run<'a> {
    fn of(leg: &'a Leg) -> Self {
        Self {
            pipe: leg.section.pipe(),
            pipes: leg.section.pipes(),
            is_solid: matches!(leg.section, Section::Solid(_)),
            length: leg.cuts.length(),
        }
    }
}

/// Runs of a line from its head to its mouth: of each leg one, and what goes on beyond the trench, with the last leg where it is the same.
fn runs(line: &DrainLine) -> Vec<Run<'_>> {
    let mut runs: Vec<Run<'_>> = line.legs().iter().map(Run::of).collect();
    for PipeBeyond { pipe, length } in line.pipes_beyond() {
        match runs.last_mut() {
            Some(last) if last.is_solid && last.pipes == 1 && last.pipe.key() == pipe.key() => {
                last.length = last.length + *length;
            }
            _ => runs.push(Run { pipe, pipes: 1, is_solid: true, length: *length }),
        }
    }
    runs
}

impl Fittings {
    /// Adds those of a line.
    ///
    /// # Method
    /// Couplings: one at every joint of whole pieces within a leg and between legs, where the pipe has no sockets. Fittings at a change
    /// of the number of pipes (a wye), of their size (a reducer), at bends and cleanouts, for each pipe that lies there; at a join one
    /// pipe is left.
    pub(super) fn add(&mut self, line: &DrainLine, spacing: Length) -> Result<(), QuantityError> {
        let runs = runs(line);
        for run in &runs {
            self.pipes(run);
        }
        for pair in runs.windows(2) {
            self.transition(&pair[0], &pair[1]);
        }
        for &bend in line.bends() {
            let section = &line.leg_at(bend).section;
            self.count(Item::Bend(section.pipe().key()), section.pipes());
        }
        if let Some(last) = runs.last() {
            self.count(Item::Bend(last.pipe.key()), line.bends_beyond());
            self.end(line.end(), last);
        }
        for station in line.cleanouts(spacing)? {
            let leg = line.leg_at(station);
            let pipes = if station < line.foot() { leg.section.pipes() } else { 1 };
            let key = leg.section.pipe().key();
            self.count(Item::Cleanout(key.clone()), pipes);
            let cover = leg.cover_at(station);
            self.length(Item::Riser(key), cover * f64::from(pipes));
        }
        Ok(())
    }

    fn pipes(&mut self, run: &Run<'_>) {
        let Run { pipe, pipes, length, .. } = *run;
        let item = if run.is_solid { Item::SolidPipe(pipe.key()) } else { Item::PerforatedPipe(pipe.key()) };
        self.length(item, length * f64::from(pipes));
        if pipe.joint == PipeJoint::Coupling {
            let pieces = whole_up(length / pipe.piece_length());
            self.count(Item::Coupling(pipe.key()), pipes * pieces.saturating_sub(1));
        }
    }

    /// From one run to the next.
    fn transition(&mut self, above: &Run<'_>, below: &Run<'_>) {
        let (from, to) = (above.pipe, below.pipe);
        // A wye lies where two pipes are: its size is theirs.
        if above.pipes != below.pipes {
            let two = if above.pipes > below.pipes { from } else { to };
            self.count(Item::Wye(two.key()), 1);
        }
        if from.key() != to.key() {
            self.reduce(from, to, above.pipes.min(below.pipes));
        } else if above.pipes == below.pipes && from.joint == PipeJoint::Coupling {
            self.count(Item::Coupling(from.key()), above.pipes);
        }
    }

    fn end(&mut self, end: &End, last: &Run<'_>) {
        let pipe = last.pipe;
        let key = pipe.key();
        // Whatever it meets, it is met by one pipe.
        self.count(Item::Wye(key.clone()), last.pipes - 1);
        match end {
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
