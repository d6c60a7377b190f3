//! Where the line's parts may drain to, as `summary.json` and the table give it.

use super::screen::Units;
use crate::interceptor::profile::{GradeReach, Infeasible, Remedies};
use crate::interceptor::{DrainedEnd, LaidWay, OutletKind, OutletPlace, OutletVerdict};
use crate::pipeline::{Assessment, PartOutlets, WayOut};
use serde::Serialize;

/// A way of one part to one outlet.
#[derive(Debug, Clone, Serialize)]
pub struct Outlet {
    /// What the outlet is.
    pub kind: OutletKind,
    /// Its name.
    pub id: String,
    /// The lowest level at which a pipe may come in.
    pub invert_m: f64,
    /// Which end of the part drains.
    pub end: DrainedEnd,
    /// Length of part and lead.
    pub length_m: f64,
    /// Length of the lead from the part's end to the outlet.
    pub lead_m: f64,
    /// From the highest invert that the cover allows at the head down to the outlet; below 0 where that lies higher.
    pub drop_available_m: Option<f64>,
    /// Fall of the whole way at the least grade.
    pub drop_needed_m: f64,
    /// Whether water runs there by itself; nothing where ground on the way is unknown.
    pub verdict: Option<OutletVerdict>,
    /// Depth of the deepest trench.
    pub deepest_cut_m: Option<f64>,
    /// Grades of the pipe, down its way; empty where none fits.
    pub grades: Vec<GradeReach>,
    /// How much lower the pipe would have to lie than it may.
    pub shortfall_m: Option<f64>,
    /// What would make it fit, each by itself.
    pub remedies: Option<OutletRemedies>,
    /// Other parcels that the lead runs over.
    pub parcels: Vec<String>,
    /// Whether the lead runs through a building that was given: then it doesn't serve.
    pub through_building: bool,
    /// Level of the pipe at both ends of the part, its drawn upper end first.
    #[serde(skip)]
    pub part_inverts_m: Option<[f64; 2]>,
}

/// Each makes the same pipe fit by itself; nothing where none of its kind does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OutletRemedies {
    /// Ground over the pipe.
    pub min_cover_m: Option<f64>,
    /// Depth of the trench.
    pub max_depth_m: Option<f64>,
    /// Invert of the outlet.
    pub outlet_invert_m: Option<f64>,
    /// The steepest least grade that fits.
    pub min_grade: Option<f64>,
}

impl OutletRemedies {
    fn of(found: &Remedies, above_invert_m: f64) -> Self {
        let cover_m = found.least_depth_m.map(|depth_m| depth_m - above_invert_m);
        Self {
            min_cover_m: cover_m.filter(|cover_m| *cover_m > 0.0),
            max_depth_m: found.greatest_cut_m,
            outlet_invert_m: found.outlet_invert_m,
            min_grade: found.least_grade,
        }
    }

    /// In words, rounded to the side on which they serve.
    fn words(&self, units: Units) -> String {
        let up = |m: f64| (m * 100.0).ceil() / 100.0;
        let down = |m: f64| (m * 100.0).floor() / 100.0;
        let found = [
            self.max_depth_m.map(|m| format!("a trench of {}", units.level(up(m)))),
            self.outlet_invert_m.map(|m| format!("an invert of {}", units.level(down(m)))),
            self.min_grade
                .filter(|g| *g >= 1e-4)
                .map(|g| format!("a least grade of {:.2} %", down(g * 100.0))),
        ];
        let found: Vec<String> = found.into_iter().flatten().collect();
        if found.is_empty() { String::new() } else { format!("; {} would do", found.join(", or ")) }
    }
}

impl Outlet {
    /// All ways of a part.
    pub(super) fn all_of(assessment: &Assessment<'_>, outlets: &PartOutlets) -> Vec<Self> {
        outlets.ways.iter().map(|found| Self::of(assessment, found, &outlets.places)).collect()
    }

    /// The one that is proposed.
    pub(super) fn proposed(assessment: &Assessment<'_>, outlets: &PartOutlets) -> Option<Self> {
        outlets.proposed().map(|found| Self::of(assessment, found, &outlets.places))
    }

    fn of(assessment: &Assessment<'_>, found: &WayOut, places: &[OutletPlace]) -> Self {
        let way = &found.way;
        let place = &places[way.outlet];
        let refused: Option<&Infeasible> = match &way.laid {
            LaidWay::DoesNotFit(refused) => Some(refused),
            LaidWay::Fits(_) | LaidWay::GroundUnknown => None,
        };
        let parcels = assessment.site.parcels.parcels();
        let profile = way.profile();
        let part_inverts_m = profile.map(|profile| {
            let end_m = way.length.as_m() - way.lead_length.as_m();
            let ends = [profile.invert_at(0.0), profile.invert_at(end_m)];
            if way.end == DrainedEnd::Lower { ends } else { [ends[1], ends[0]] }
        });
        Self {
            kind: place.kind,
            id: place.id.clone(),
            invert_m: place.invert_m,
            end: way.end,
            length_m: way.length.as_m(),
            lead_m: way.lead_length.as_m(),
            drop_available_m: way.drop_available_m,
            drop_needed_m: way.drop_needed_m,
            verdict: way.verdict(),
            deepest_cut_m: profile.map(|profile| profile.deepest().cut_m),
            grades: profile.map_or_else(Vec::new, |profile| profile.grades().to_vec()),
            shortfall_m: refused.map(|refused| refused.shortfall_m),
            remedies: refused.map(|refused| OutletRemedies::of(&refused.remedies, way.above_invert.as_m())),
            parcels: found.parcels.iter().map(|&place| parcels[place].id.clone()).collect(),
            through_building: found.through_building,
            part_inverts_m,
        }
    }

    /// One line of the table.
    pub(super) fn words(&self, units: Units) -> String {
        let what = match self.kind {
            OutletKind::StormInlet => format!("storm inlet {}", self.id),
            OutletKind::NamedPlace => "the place named".to_owned(),
        };
        let end = match self.end {
            DrainedEnd::Lower => "from its lower end",
            DrainedEnd::Upper => "the other way round",
        };
        let way = format!(
            "{what}, {end}, {} with a lead of {}",
            units.length(self.length_m),
            units.length(self.lead_m)
        );
        format!("{way}: {}", self.verdict_words(units))
    }

    fn verdict_words(&self, units: Units) -> String {
        if self.through_building {
            return "the straight lead runs through a building".to_owned();
        }
        let short = self.shortfall_m.map_or(String::new(), |m| format!(", by {}", units.depth(m)));
        let would_do = self.remedies.map_or(String::new(), |remedies| remedies.words(units));
        match self.verdict {
            None => "ground on the way is unknown".to_owned(),
            Some(OutletVerdict::TooDeep) => format!("too deep{short}{would_do}"),
            Some(OutletVerdict::DoesNotReach) => format!("does not reach{short}{would_do}"),
            Some(OutletVerdict::Gravity) => {
                let grades: Vec<String> =
                    self.grades.iter().map(|reach| format!("{:.2} %", reach.grade * 100.0)).collect();
                let deepest =
                    self.deepest_cut_m.map_or(String::new(), |m| format!(", trench to {}", units.depth(m)));
                format!("by gravity at {}{deepest}", grades.join(", then "))
            }
        }
    }
}
