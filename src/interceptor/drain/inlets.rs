//! What the top of its trench and its own holes let in, for every pipe that may be laid along a part.

use super::super::catalogue::PipeSize;
use super::super::trench::{PipeCount, StoneTrench};
use super::choice::Lets;
use super::error::DrainError;
use super::intake::{Intake, Stretch, intake, share_along};
use super::kinds::{rules, stone_trench};
use super::part::{DrainBasis, DrainPart};
use super::reach::{Reach, ReachPlace};
use super::sizes::SizedReach;
use super::swale::ground_at;
use crate::units::{Flow, Length, Share};

/// Share of the holes that is taken as open.
///
/// # Source
/// Texas DOT, Hydraulic Design Manual, chapter 10, for grates (second hand); for pipes common practice, no
/// source.
const OPEN: f64 = 0.5;

/// A pipe along the part, or two of it, in its trench.
#[derive(Debug)]
pub(super) struct Inlet {
    trench: StoneTrench,
    /// What a metre of the surface takes: lower and upper end.
    takes: [Flow; 2],
}

/// Height of a pipe's top over its invert.
pub(super) fn above_invert(pipe: &PipeSize) -> Length {
    (pipe.inside() + pipe.outside()) * 0.5
}

/// A piece of the part along which one pipe lies.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    from_m: f64,
    to_m: f64,
    /// Ground over the invert where it is least.
    over_invert: Length,
}

/// All pipes of a catalogue with holes, whose trench goes together.
pub(super) struct Inlets<'a> {
    all: Vec<Inlet>,
    /// What a metre of the narrowest trench takes, by the lower end.
    narrowest: Flow,
    part: &'a DrainPart<'a>,
    basis: &'a DrainBasis<'a>,
    open: Share,
}

impl<'a> Inlets<'a> {
    /// Works out what the trenches take.
    ///
    /// # Errors
    /// None in practice: the share of open holes is fixed.
    pub(super) fn of(
        part: &'a DrainPart<'_>,
        basis: &'a DrainBasis<'_>,
        pipes: PipeCount,
    ) -> Result<Self, DrainError> {
        let inlet = |pipe: &PipeSize| {
            let trench = stone_trench(pipe, pipes, basis).ok()?;
            let surface = trench.surface_width(trench.least_depth()) * Length::from_m(1.0);
            let range = basis.top.takes(surface);
            Some(Inlet { trench, takes: [range.least, range.most] })
        };
        let all: Vec<Inlet> = basis.catalogue.pipes().iter().filter_map(inlet).collect();
        let least = all.iter().map(|inlet| inlet.takes[0]).reduce(lesser);
        let narrowest = least.unwrap_or(Flow::ZERO);
        Ok(Self { all, narrowest, part, basis, open: Share::new(OPEN)? })
    }

    /// Each pipe.
    pub(super) fn all(&self) -> &[Inlet] {
        &self.all
    }

    /// That of a pipe.
    pub(super) fn get(&self, pipe: &PipeSize) -> Option<&Inlet> {
        self.all.iter().find(|inlet| inlet.trench.pipe() == pipe)
    }

    /// Pieces of the part, one for each reach along it, down to where the stone ends; without gaps.
    pub(super) fn pieces(&self, reaches: &[Reach], ends_m: f64) -> Vec<Piece> {
        let along: Vec<&Reach> = reaches.iter().filter(|reach| reach.place == ReachPlace::Line).collect();
        let mut from_m = 0.0;
        let mut found = Vec::with_capacity(along.len());
        for (i, reach) in along.iter().enumerate() {
            let to_m = if i + 1 == along.len() { ends_m } else { reach.to_m };
            found.push(Piece { from_m, to_m, over_invert: self.least_over_invert(from_m, to_m) });
            from_m = to_m;
        }
        found
    }

    /// What the holes of a pipe let in along a metre of a piece.
    ///
    /// # Method
    /// Half of them open, the water around the pipe up to the top of the stone over it where that is least,
    /// the pipe just full.
    fn holes(&self, inlet: &Inlet, piece: Piece) -> Flow {
        let least = rules(inlet.trench.pipes()).stone_above;
        let over_m = piece.over_invert.as_m()
            - above_invert(inlet.trench.pipe()).as_m()
            - self.basis.finish.thickness().as_m();
        let head = if over_m.is_finite() && over_m > least.as_m() { Length::from_m(over_m) } else { least };
        inlet.trench.inlet_capacity(Length::from_m(1.0), self.open, head)
    }

    /// Share of the part's water that the holes of a pipe let in along a piece, of what the top of the
    /// narrowest trench takes there by the lower end: all of one wall are held against the same water, since no
    /// pipe is worth being larger for its trench being wider. Beside it of what its own trench takes.
    pub(super) fn lets(&self, inlet: &Inlet, piece: Piece) -> Lets {
        let holes = self.holes(inlet, piece);
        let of = |top: Flow| self.along(piece, lesser(top, holes));
        Lets::Share { of_narrowest: of(self.narrowest), of_own: of(inlet.takes[0]) }
    }

    /// Share of the part's water that gets in at the most along pieces, by the upper end.
    pub(super) fn most(&self, inlet: &Inlet, pieces: &[Piece]) -> f64 {
        let most = |piece: &Piece| self.along(*piece, lesser(inlet.takes[1], self.holes(inlet, *piece)));
        pieces.iter().map(most).sum::<f64>().min(1.0)
    }

    fn along(&self, piece: Piece, most_per_m: Flow) -> f64 {
        share_along(self.part.growth, self.part.flow, (piece.from_m, piece.to_m), most_per_m)
    }

    /// Whether the water gets into the trench of a row of pipes.
    pub(super) fn gets_in(&self, sized: &[SizedReach], pieces: &[Piece]) -> Option<Intake> {
        let along = sized.iter().filter(|sized| sized.reach.place == ReachPlace::Line);
        let stretch = |(sized, piece): (&SizedReach, &Piece)| {
            let inlet = self.get(&sized.pipe)?;
            Some(Stretch {
                from_m: piece.from_m,
                to_m: piece.to_m,
                width: inlet.trench.surface_width(inlet.trench.least_depth()),
                takes: inlet.takes,
                holes: self.holes(inlet, *piece),
            })
        };
        let stretches = along.zip(pieces).map(stretch).collect::<Option<Vec<Stretch>>>()?;
        intake(stretches, [self.basis.top, self.basis.bare_stone], self.part.growth, self.part.flow)
    }

    /// Ground over the invert between two stations where it is least, m.
    fn least_over_invert(&self, from_m: f64, to_m: f64) -> Length {
        let stations = self.part.profile.stations();
        let ground: Vec<(f64, f64)> = stations.iter().map(|at| (at.station_m, at.ground_m)).collect();
        let over =
            |station_m: f64| Some(ground_at(&ground, station_m)? - self.part.profile.invert_at(station_m));
        let within = ground.iter().map(|at| at.0).filter(|m| *m > from_m && *m < to_m);
        let least_m = within.chain([from_m, to_m]).filter_map(over).fold(f64::INFINITY, f64::min);
        Length::from_m(least_m)
    }
}

fn lesser(a: Flow, b: Flow) -> Flow {
    if b < a { b } else { a }
}
