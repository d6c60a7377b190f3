//! Where the line's parts may drain to, as `summary.json` and the table give it.

mod not_tried;
mod words;

pub(super) use not_tried::NotTried;
pub(super) use words::{outlet_name, why_words};

use super::rows::inlet;
use super::screen::Units;
use crate::interceptor::drain::DrainOption;
use crate::interceptor::profile::{GradeReach, Infeasible, Lower, Profile, Remedies};
use crate::interceptor::{DrainedEnd, LaidWay, OutletKind, OutletPlace, OutletVerdict, OutletWay, Tailwater};
use crate::pipeline::{Assessment, DownstreamEnd, PartOutlets, WayOut};
use crate::units::{Flow, Length};
use geo::LineString;
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
    /// Length of the straight way between the two.
    pub straight_m: f64,
    /// Corners of the lead.
    pub lead_bends: usize,
    /// Flow that its pipe is sized for: of the part, and of the parts that join it.
    pub carried_m3_s: Option<f64>,
    /// Inside diameter of that pipe.
    pub pipe_inside_m: f64,
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
    /// Where, and which limits contradict each other.
    pub refused: Option<Refused>,
    /// Length before a mouth in the open over which the pipe has less cover than asked for; nothing where the way doesn't end there.
    pub cover_gives_way_m: Option<f64>,
    /// Where its cover runs out before a mouth in the open over more than the usual length.
    pub runs_out: Option<RunsOut>,
    /// What would make it fit, each by itself.
    pub remedies: Option<OutletRemedies>,
    /// The hydraulic grade line with a free outfall, and with standing water where its level is known; empty where no pipe fits.
    pub tailwaters: Vec<Tailwater>,
    /// From the pipe's end in the chamber up to the ground over it, at the least.
    pub lift_m: Option<f64>,
    /// Where the water goes that comes out in the open.
    pub downstream: Option<DownstreamRow>,
    /// Share of the water that comes back to the lot when it comes out in the open; nothing where it doesn't,
    /// or the ground isn't known.
    pub comes_back_share: Option<f64>,
    /// Share of the part's flow that a drain on it keeps off the lot; known where that of the proposed way
    /// keeps less than wanted, and this is among the next best.
    pub drain_share: Option<f64>,
    /// What is dug for that drain.
    pub drain_dug_m3: Option<f64>,
    /// Other parcels that the lead runs over.
    pub parcels: Vec<String>,
    /// Whether the lead runs through a building, a septic field or a well that was given: then it doesn't
    /// serve.
    pub through_building: bool,
    /// Its name.
    pub through: Option<String>,
    /// Level of the pipe at both ends of the part, its drawn upper end first.
    #[serde(skip)]
    pub part_inverts_m: Option<[f64; 2]>,
}

/// The way of water that comes out in the open, over the present surface.
#[derive(Debug, Clone, Serialize)]
pub struct DownstreamRow {
    /// Other parcels that it runs over, in their order.
    pub parcels: Vec<String>,
    /// The inlet that it runs into; nothing where it leaves the ground that was read.
    pub inlet: Option<String>,
}

/// Where no pipe fits, and what holds it from above and from below.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Refused {
    /// Station of the way whose cover keeps the pipe from lying higher.
    pub cover_at_m: f64,
    /// What keeps it from lying lower: the greatest depth of the trench at a station, or the outlet.
    pub lower: Lower,
}

impl Refused {
    /// Where the limits contradict each other.
    fn words(&self, units: Units) -> String {
        let cover = units.length(self.cover_at_m);
        let lower = match self.lower {
            Lower::Outlet => "the outlet lies too high".to_owned(),
            Lower::Depth { station_m } => {
                format!("the trench at {} may go no deeper", units.length(station_m))
            }
        };
        format!(" (its cover at {cover} of the way holds it down, and {lower})")
    }
}

/// Lengths of pipe before a mouth in the open.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RunsOut {
    /// With less ground over it than asked for.
    pub cover_m: f64,
    /// Whose top stands out of the ground.
    pub bare_m: f64,
}

/// A longer lead is no remedy, m: a chamber costs less.
const LONGEST_LEAD_M: f64 = 300.0;

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
    /// Length of the lead, where the ground falls on as before its end.
    pub lead_m: Option<f64>,
}

impl OutletRemedies {
    fn of(found: &Remedies, way: &OutletWay) -> Self {
        let above_invert_m = way.bore.above_invert().as_m();
        let cover_m = found.least_depth_m.map(|depth_m| depth_m - above_invert_m);
        Self {
            min_cover_m: cover_m.filter(|cover_m| *cover_m > 0.0),
            max_depth_m: found.greatest_cut_m,
            outlet_invert_m: found.outlet_invert_m,
            min_grade: found.least_grade,
            lead_m: way.longer_lead_m().filter(|lead_m| *lead_m <= LONGEST_LEAD_M),
        }
    }

    /// In words, rounded to the side on which they serve.
    fn words(&self, units: Units) -> String {
        let up = |m: f64| (m * 100.0).ceil() / 100.0;
        let down = |m: f64| (m * 100.0).floor() / 100.0;
        let found = [
            self.min_cover_m.filter(|m| *m >= 0.05).map(|m| format!("a cover of {}", units.level(down(m)))),
            self.max_depth_m.map(|m| format!("a trench of {}", units.level(up(m)))),
            self.outlet_invert_m.map(|m| format!("an invert of {}", units.level(down(m)))),
            self.min_grade
                .filter(|g| *g >= 1e-4)
                .map(|g| format!("a least grade of {:.2} %", down(g * 100.0))),
            self.lead_m.map(|m| {
                format!("a lead of {}, if the ground falls on as before its end", units.length(m.ceil()))
            }),
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
        let part_inverts_m = profile.map(|profile| part_inverts_m(way, profile));
        let end_m = profile.and_then(|profile| profile.stations().last()).copied();
        let chamber = end_m.filter(|_| place.kind == OutletKind::Chamber);
        Self {
            kind: place.kind,
            id: place.id.clone(),
            invert_m: chamber.map_or(place.invert_m, |end| end.invert_m),
            end: way.end,
            length_m: way.length.as_m(),
            lead_m: way.lead_length.as_m(),
            straight_m: straight_m(assessment, &way.lead),
            lead_bends: way.lead.0.len().saturating_sub(2),
            carried_m3_s: found.carried.map(Flow::as_m3_per_s),
            pipe_inside_m: way.bore.inside.as_m(),
            drop_available_m: way.drop_available_m,
            drop_needed_m: way.drop_needed_m,
            verdict: way.verdict(),
            deepest_cut_m: profile.map(|profile| profile.deepest().cut_m),
            grades: profile.map_or_else(Vec::new, |profile| profile.grades().to_vec()),
            shortfall_m: refused.map(|refused| refused.shortfall_m),
            refused: refused.map(|found| Refused { cover_at_m: found.cover_at_m, lower: found.lower }),
            cover_gives_way_m: way.cover_gives_way_m(),
            runs_out: way.runs_out_m().map(|[cover_m, bare_m]| RunsOut { cover_m, bare_m }),
            remedies: refused.map(|refused| OutletRemedies::of(&refused.remedies(), way)),
            tailwaters: found.tailwaters.clone(),
            lift_m: chamber.map(|end| end.ground_m - end.invert_m),
            downstream: found.downstream.as_ref().map(|down| DownstreamRow {
                parcels: down.parcels.iter().map(|&place| parcels[place].id.clone()).collect(),
                inlet: match down.end {
                    DownstreamEnd::Inlet(place) => Some(inlet(assessment, place).id.clone()),
                    DownstreamEnd::Edge | DownstreamEnd::Unknown => None,
                },
            }),
            comes_back_share: found.comes_back,
            drain_share: found.drain.map(|drain| drain.share),
            drain_dug_m3: found.drain.and_then(|drain| Some(drain.dug?.as_m3())),
            parcels: found.parcels.iter().map(|&place| parcels[place].id.clone()).collect(),
            through_building: found.shut_by.is_some(),
            through: found.shut_by.map(|place| assessment.obstacles.all()[place].name.clone()),
            part_inverts_m,
        }
    }

    /// The same as the drain is built that drains there: its trench and, where that lies lower than the way was looked for with, its pipe.
    pub(super) fn built(self, way: &OutletWay, option: &DrainOption) -> Self {
        let deepest_cut_m = option.deepest_cut().map(Length::as_m).or(self.deepest_cut_m);
        let Some(profile) = way.profile().map(|of_way| option.profile(of_way)) else { return self };
        let end = profile.stations().last().filter(|_| self.lift_m.is_some());
        Self {
            deepest_cut_m,
            grades: profile.grades().to_vec(),
            part_inverts_m: Some(part_inverts_m(way, profile)),
            invert_m: end.map_or(self.invert_m, |end| end.invert_m),
            lift_m: end.map(|end| end.ground_m - end.invert_m),
            ..self
        }
    }
}

/// Inverts at the ends of the part, in the part's own direction, m.
fn part_inverts_m(way: &OutletWay, profile: &Profile) -> [f64; 2] {
    let end_m = way.length.as_m() - way.lead_length.as_m();
    let ends = [profile.invert_at(0.0), profile.invert_at(end_m)];
    if way.end == DrainedEnd::Lower { ends } else { [ends[1], ends[0]] }
}

fn straight_m(assessment: &Assessment<'_>, lead: &LineString) -> f64 {
    let (from, to) = (lead.0[0], lead.0[lead.0.len() - 1]);
    (to.x - from.x).hypot(to.y - from.y) * assessment.site.crs.metres_per_unit()
}
