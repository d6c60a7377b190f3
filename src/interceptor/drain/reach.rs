//! Reaches of a drain: stretches of one grade, along the part and along its lead.

use super::super::profile::Profile;
use crate::units::{Flow, Grade, Length, OutOfRange};

/// A lead or a piece of one grade shorter than this is none, m.
const SHORTEST_M: f64 = 0.01;
/// Where the part itself ends at the outlet, so much of it before the structure is solid pipe, m. Common practice, no
/// source.
const TIE_M: f64 = 0.5;

/// Where a reach lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReachPlace {
    /// Along the part, where water comes in.
    Line,
    /// On the way to the outlet.
    Lead,
}

/// A stretch of one grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Where it lies.
    pub place: ReachPlace,
    /// Upper end, m from the head of the way.
    pub from_m: f64,
    /// Lower end.
    pub to_m: f64,
    /// Invert at the upper end, m.
    pub from_invert_m: f64,
    /// Invert at the lower end, m.
    pub to_invert_m: f64,
    /// Its grade.
    pub grade: Grade,
    /// Flow at its lower end, where it is greatest.
    pub flow: Flow,
    /// Its pipe is no smaller inside, whatever it carries.
    pub least_inside: Length,
    /// Its pipe is called no smaller, whatever it carries: as the largest that has come in.
    pub least_size: Length,
}

/// Reaches of a laid pipe, from its head.
///
/// # Method
/// The profile's grades, cut where the part ends and the lead begins; of each the flow at its lower end. The lead has the
/// whole flow. A part that ends at its outlet leaves its last half metre to the lead, at the most half of it: one solid
/// pipe ties it in.
///
/// # Errors
/// [`OutOfRange`] for a grade that isn't above 0.
pub fn reaches(
    profile: &Profile,
    line_m: f64,
    share_at: &dyn Fn(f64) -> f64,
    flow: Flow,
) -> Result<Vec<Reach>, OutOfRange> {
    let length_m = profile.grades().last().map_or(0.0, |laid| laid.to_m);
    let line_m = if length_m - line_m < SHORTEST_M { length_m - TIE_M.min(0.5 * length_m) } else { line_m };
    let mut found = Vec::new();
    for laid in profile.grades() {
        let middle_m = line_m.clamp(laid.from_m, laid.to_m);
        for (place, from_m, to_m) in
            [(ReachPlace::Line, laid.from_m, middle_m), (ReachPlace::Lead, middle_m, laid.to_m)]
        {
            if to_m - from_m < SHORTEST_M {
                continue;
            }
            let share = if place == ReachPlace::Lead { 1.0 } else { share_at(to_m) };
            found.push(Reach {
                place,
                from_m,
                to_m,
                from_invert_m: profile.invert_at(from_m),
                to_invert_m: profile.invert_at(to_m),
                grade: Grade::new(laid.grade)?,
                flow: flow * share,
                least_inside: Length::ZERO,
                least_size: Length::ZERO,
            });
        }
    }
    Ok(found)
}
