//! One grade for the data, by stated rules.

use super::super::completeness::Completeness;
use super::{Doubt, Reason};
use serde::Serialize;

/// How far the data carry the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Grade {
    /// No reason concerns more than a tenth of the run-on, and the catchment is known whole.
    Sound,
    /// One concerns up to half of it, or hollows, level ground or age more, or something isn't known.
    Limited,
    /// Another concerns more than half of it.
    Weak,
}

/// Largest share of the run-on on one doubt, up to which the grade is sound, and limited. Ours.
const LIMITS: [f64; 2] = [0.1, 0.5];

/// The grade and what it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quality {
    /// The grade.
    pub grade: Grade,
    /// Of the reasons that give the grade that on which most of the run-on hangs.
    pub largest: Option<Doubt>,
    /// Whether the repeats under elevation error were made: without them the error counts for nothing here.
    pub error_tested: bool,
}

impl Quality {
    /// Grades by the worst doubt, of equal ones the largest, which come first. Nothing is sound whose
    /// catchment isn't known whole, nor an answer of no run-on that there is a reason to doubt.
    pub(super) fn of(
        doubts: &[Doubt],
        run_on_m2: f64,
        completeness: &Completeness,
        error_tested: bool,
    ) -> Self {
        let worst = |worst: Doubt, next: &Doubt| if grade(next) > grade(&worst) { *next } else { worst };
        let largest = doubts.first().map(|first| doubts.iter().fold(*first, worst));
        let unknown = !completeness.is_complete() || (run_on_m2 <= 0.0 && largest.is_some());
        let least = if unknown { Grade::Limited } else { Grade::Sound };
        let grade = largest.as_ref().map_or(least, grade).max(least);
        Self { grade, largest, error_tested }
    }
}

/// The grade that one doubt gives. Where elevation error leaves open how much there is, but not who contributes, that
/// alone never makes it weak. Hollows, level ground and age alone never make it weak: what is open there is
/// whether something drains them, or whether what changed lies on the ways, not the lie of the ground.
fn grade(doubt: &Doubt) -> Grade {
    let whole = by_share(doubt.share);
    match doubt.reason {
        Reason::ElevationError(unsure) => by_share(unsure.open_share).max(whole.min(Grade::Limited)),
        Reason::Hollows { .. } | Reason::Flats | Reason::Older(_) => whole.min(Grade::Limited),
        _ => whole,
    }
}

fn by_share(share: Option<f64>) -> Grade {
    let share = share.unwrap_or(0.0);
    let [sound, limited] = LIMITS;
    if share > limited {
        Grade::Weak
    } else if share > sound {
        Grade::Limited
    } else {
        Grade::Sound
    }
}

#[cfg(test)]
mod tests {
    use super::super::Unsure;
    use super::*;
    use crate::certainty::Spread;

    fn doubt(reason: Reason, share: f64) -> Doubt {
        Doubt { reason, area_m2: 1000.0 * share, share: Some(share) }
    }

    fn graded(share: f64, completeness: &Completeness) -> Grade {
        let doubt = doubt(Reason::Bridged, share);
        Quality::of(&[doubt], 1000.0, completeness, false).grade
    }

    #[test]
    fn the_grade_goes_by_the_largest_share() {
        let whole = Completeness::default();
        for (share, grade) in [
            (0.02, Grade::Sound),
            (0.1, Grade::Sound),
            (0.101, Grade::Limited),
            (0.5, Grade::Limited),
            (0.501, Grade::Weak),
        ] {
            assert_eq!(graded(share, &whole), grade, "{share}");
        }
        assert_eq!(Quality::of(&[], 1000.0, &whole, false).grade, Grade::Sound);
    }

    #[test]
    fn level_ground_alone_limits_and_something_worse_is_named_before_it() {
        let doubts =
            [doubt(Reason::Flats, 0.9), doubt(Reason::BeyondTheEdge, 0.6), doubt(Reason::Bridged, 0.2)];
        let of = |doubts: &[Doubt]| Quality::of(doubts, 1000.0, &Completeness::default(), false);
        assert_eq!(of(&doubts[..1]).grade, Grade::Limited);
        let worse = of(&doubts);
        assert_eq!((worse.grade, worse.largest), (Grade::Weak, Some(doubts[1])));
        // Of two that limit the larger.
        assert_eq!(of(&[doubts[0], doubts[2]]).largest, Some(doubts[0]));
    }

    // More than half of the run-on may be there or not: weak only where more than half comes from parcels of which nobody
    // can tell.
    #[test]
    fn error_weakens_as_far_as_it_leaves_open_who_contributes() {
        let run_on = Spread { low: 100.0, middle: 500.0, high: 1000.0 };
        let of = |open: usize, open_share: f64, share: f64| {
            let unsure = Unsure {
                certain: 2,
                open,
                open_m2: 1000.0 * open_share,
                open_share: Some(open_share),
                run_on,
            };
            let doubt = doubt(Reason::ElevationError(unsure), share);
            Quality::of(&[doubt], 1000.0, &Completeness::default(), true).grade
        };
        assert_eq!(of(0, 0.0, 0.9), Grade::Limited);
        assert_eq!(of(1, 0.05, 0.9), Grade::Limited);
        assert_eq!(of(1, 0.6, 0.9), Grade::Weak);
        assert_eq!(of(0, 0.0, 0.05), Grade::Sound);
    }

    #[test]
    fn what_is_not_known_whole_is_not_sound() {
        let cut = Completeness { lot_at_edge_m: 5.0, ..Completeness::default() };
        assert_eq!(graded(0.02, &cut), Grade::Limited);
        assert_eq!(Quality::of(&[], 1000.0, &cut, true).grade, Grade::Limited);
        let doubt = Doubt { reason: Reason::RoutingsDiffer, area_m2: 30.0, share: None };
        assert_eq!(Quality::of(&[doubt], 0.0, &Completeness::default(), true).grade, Grade::Limited);
    }
}
