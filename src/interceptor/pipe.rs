//! The smallest pipe that carries a flow.

use super::catalogue::{Catalogue, PipeSize, PipeWall};
use crate::formula::circular_pipe::{full_flow, full_velocity};
use crate::units::{Flow, Grade, Velocity};
use serde::Serialize;

/// A pipe with what it carries at a grade.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RatedPipe {
    /// The pipe.
    #[serde(flatten)]
    pub size: PipeSize,
    /// Flow when just full.
    #[serde(rename = "capacity_m3_s")]
    pub capacity: Flow,
    /// Mean velocity when just full.
    #[serde(rename = "full_velocity_m_s")]
    pub full_velocity: Velocity,
}

/// Which pipe carries a flow.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "verdict", rename_all = "kebab-case")]
pub enum PipeSizing {
    /// The smallest that does.
    Fits(RatedPipe),
    /// None does.
    NoneFits {
        /// The one that carries most.
        best: RatedPipe,
    },
}

impl PipeSizing {
    /// The pipe that fits, when one does.
    #[must_use]
    pub const fn fit(&self) -> Option<&RatedPipe> {
        match self {
            Self::Fits(pipe) => Some(pipe),
            Self::NoneFits { .. } => None,
        }
    }
}

/// The smallest pipe of the catalogue that carries a flow when just full and not under pressure.
///
/// # Method
/// Manning's equation, [`full_flow`]; the smallest by inside diameter whose full flow is at least the flow asked for.
#[must_use]
pub fn smallest_pipe(flow: Flow, grade: Grade, catalogue: &Catalogue) -> PipeSizing {
    choose(flow, grade, &catalogue.pipes()[0], catalogue.pipes().iter())
}

/// All pipes of the catalogue that do, the smallest first; of equal ones inside the first.
#[must_use]
pub fn pipes_for(flow: Flow, grade: Grade, catalogue: &Catalogue) -> Vec<RatedPipe> {
    let rated = catalogue.pipes().iter().map(|pipe| rate(pipe, grade));
    rated.filter(|rated| rated.capacity >= flow).collect()
}

/// The same as [`smallest_pipe`] among pipes of one kind of wall; `None` when the catalogue has none of it.
#[must_use]
pub fn smallest_pipe_of(
    wall: PipeWall,
    flow: Flow,
    grade: Grade,
    catalogue: &Catalogue,
) -> Option<PipeSizing> {
    let mut pipes = catalogue.pipes().iter().filter(|p| p.wall == wall);
    let first = pipes.clone().next()?;
    Some(choose(flow, grade, first, &mut pipes))
}

fn choose<'a>(
    flow: Flow,
    grade: Grade,
    first: &'a PipeSize,
    pipes: impl Iterator<Item = &'a PipeSize>,
) -> PipeSizing {
    let capacity = |pipe: &PipeSize| full_flow(pipe.inside(), pipe.manning_n, grade);
    let mut best = first;
    for pipe in pipes {
        if capacity(pipe) >= flow {
            return PipeSizing::Fits(rate(pipe, grade));
        }
        if capacity(pipe) > capacity(best) {
            best = pipe;
        }
    }
    PipeSizing::NoneFits { best: rate(best, grade) }
}

fn rate(pipe: &PipeSize, grade: Grade) -> RatedPipe {
    RatedPipe {
        size: pipe.clone(),
        capacity: full_flow(pipe.inside(), pipe.manning_n, grade),
        full_velocity: full_velocity(pipe.inside(), pipe.manning_n, grade),
    }
}

#[cfg(test)]
mod tests {
    use super::super::catalogue::{PipeJoint, PipePiece};
    use super::*;
    use crate::units::{Length, ManningN};
    use proptest::prelude::*;

    fn grade(value: f64) -> Grade {
        Grade::new(value).unwrap()
    }

    fn pipe(inside_in: f64, n: f64) -> PipeSize {
        PipeSize {
            nominal_mm: inside_in * 25.0,
            nominal_in: inside_in,
            label: n.to_string().replace('.', "-"),
            inside_mm: Length::from_in(inside_in).as_mm(),
            outside_mm: Length::from_in(inside_in).as_mm() + 6.0,
            wall: PipeWall::Smooth,
            manning_n: ManningN::new(n).unwrap(),
            solid_n: ManningN::new(n).unwrap(),
            inlet_cm2_per_m: 20.0,
            piece_m: 3.0,
            piece: PipePiece::Stick,
            joint: PipeJoint::Bell,
            source: "test".to_owned(),
        }
    }

    // Closed form, Manning with 1.486, worked out apart from this program: at 1 %, 4 in n 0.012 carries 92.5 gpm,
    // 6 in n 0.012 272.8 gpm, 4 in n 0.015 74.0 gpm.
    #[test]
    fn the_smallest_that_carries_the_flow_is_taken() {
        let catalogue = Catalogue::new(vec![pipe(6.0, 0.012), pipe(4.0, 0.015), pipe(4.0, 0.012)]).unwrap();
        let choice = |gpm| smallest_pipe(Flow::from_gal_per_min(gpm), grade(0.01), &catalogue);
        let size = |gpm| choice(gpm).fit().map(|p| p.size.nominal_in.round());
        assert_eq!(size(92.0), Some(4.0));
        assert_eq!(size(93.0), Some(6.0));
        assert_eq!(size(272.0), Some(6.0));
        assert_eq!(size(274.0), None);
        // The one that carries most, with what it carries.
        let PipeSizing::NoneFits { best } = choice(274.0) else { panic!("fits") };
        assert!((best.capacity.as_gal_per_min() - 272.8).abs() < 0.1);
        let only_rough = Catalogue::new(vec![pipe(4.0, 0.015)]).unwrap();
        assert!(smallest_pipe(Flow::from_gal_per_min(74.5), grade(0.01), &only_rough).fit().is_none());
    }

    #[test]
    fn a_wall_that_the_catalogue_lacks_gives_nothing() {
        let catalogue = Catalogue::new(vec![pipe(4.0, 0.012)]).unwrap();
        let of = |wall| smallest_pipe_of(wall, Flow::ZERO, grade(0.01), &catalogue);
        assert!(of(PipeWall::Corrugated).is_none());
        assert!(of(PipeWall::Smooth).unwrap().fit().is_some());
    }

    proptest! {
        #[test]
        fn no_smaller_pipe_would_do_and_the_chosen_one_does(gpm in 0.0..3000.0f64, s in 0.002..0.1f64) {
            let catalogue = Catalogue::ordinary().unwrap();
            let flow = Flow::from_gal_per_min(gpm);
            let carries = |p: &PipeSize| full_flow(p.inside(), p.manning_n, grade(s)) >= flow;
            match smallest_pipe(flow, grade(s), &catalogue) {
                PipeSizing::Fits(chosen) => {
                    prop_assert!(carries(&chosen.size));
                    prop_assert!(catalogue.pipes().iter()
                        .filter(|p| p.inside_mm < chosen.size.inside_mm).all(|p| !carries(p)));
                }
                PipeSizing::NoneFits { .. } => prop_assert!(!catalogue.pipes().iter().any(carries)),
            }
        }

        #[test]
        fn more_flow_never_takes_a_smaller_pipe_and_more_grade_never_a_larger(
            gpm in 0.0..1000.0f64, s in 0.002..0.05f64, more in 1.0..3.0f64,
        ) {
            let catalogue = Catalogue::ordinary().unwrap();
            let inside = |gpm, s| smallest_pipe(Flow::from_gal_per_min(gpm), grade(s), &catalogue)
                .fit().map_or(f64::INFINITY, |p| p.size.inside_mm);
            prop_assert!(inside(gpm * more, s) >= inside(gpm, s));
            prop_assert!(inside(gpm, s * more) <= inside(gpm, s));
        }
    }
}
