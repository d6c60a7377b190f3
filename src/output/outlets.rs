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
    pub remedies: Option<Remedies>,
    /// Other parcels that the lead runs over.
    pub parcels: Vec<String>,
    /// Whether the lead runs through a building that was given: then it doesn't serve.
    pub through_building: bool,
    /// Level of the pipe at both ends of the part, its drawn upper end first.
    #[serde(skip)]
    pub part_inverts_m: Option<[f64; 2]>,
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
            remedies: refused.map(|refused| refused.remedies),
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
        match self.verdict {
            None => "ground on the way is unknown".to_owned(),
            Some(OutletVerdict::TooDeep) => {
                let needs = self.remedies.and_then(|remedies| remedies.greatest_cut_m);
                let needs =
                    needs.map_or(String::new(), |m| format!("; a trench of {} would do", units.depth(m)));
                format!("too deep{short}{needs}")
            }
            Some(OutletVerdict::DoesNotReach) => {
                let needs = self.remedies.and_then(|remedies| remedies.outlet_invert_m);
                let needs =
                    needs.map_or(String::new(), |m| format!("; an invert of {} would do", units.level(m)));
                format!("does not reach{short}{needs}")
            }
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
