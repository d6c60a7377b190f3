//! Reasons to doubt the answer, and one statement on the data, as `summary.json` gives them.

use super::said::Said;
use super::screen::Units;
use crate::pipeline::{Assessment, DatedBy, Doubt, Grade, Quality, Reason, Unsure};
use crate::wording::percent;
use serde::Serialize;

/// One reason to doubt the answer.
#[derive(Debug, Clone, Serialize)]
pub struct DoubtRow {
    /// What kind of reason.
    pub kind: DoubtKind,
    /// Run-on that hangs on it. The same ground may count for several.
    pub area_m2: f64,
    /// That as a share of the run-on; nothing without run-on.
    pub share_of_run_on: Option<f64>,
    /// In words.
    pub message: Said,
}

/// Kinds of reasons.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DoubtKind {
    /// Contributors of which the repeats can't tell.
    ElevationError,
    /// The two routings disagree.
    RoutingsDiffer,
    /// The catchment meets the edge of the data.
    BeyondTheEdge,
    /// Ways over bridged holes.
    Bridged,
    /// Ways through hollows.
    Hollows,
    /// Ways through hollows behind a bank without a known pipe.
    Banks,
    /// Ways over level ground.
    Flats,
    /// Ways over level ground between rounded elevations.
    Treads,
    /// Ways over a step along a straight line of the raster.
    Seams,
    /// Ground in cells that are routed as another parcel's.
    CoarseCells,
    /// Ground that was surveyed before it changed.
    OlderThanChange,
}

/// One statement on the data.
#[derive(Debug, Clone, Serialize)]
pub struct DataQuality {
    /// The grade.
    pub grade: Grade,
    /// Share of the run-on that hangs on the reason that gives the grade; nothing without run-on.
    pub doubted_share: Option<f64>,
    /// That reason, if there is one.
    pub because: Option<DoubtKind>,
    /// Whether the repeats under elevation error were made.
    pub error_tested: bool,
    /// In words.
    pub message: Said,
}

/// All reasons, the largest effect first.
pub(super) fn doubt_rows(assessment: &Assessment<'_>) -> Vec<DoubtRow> {
    let row = |doubt: &Doubt| DoubtRow {
        kind: kind(doubt.reason),
        area_m2: doubt.area_m2,
        share_of_run_on: doubt.share,
        message: Said::of(|units| sentence(doubt, units)),
    };
    assessment.doubts.iter().map(row).collect()
}

impl DataQuality {
    pub(super) fn of(assessment: &Assessment<'_>) -> Self {
        let quality = &assessment.quality;
        let has_run_on = assessment.drainage.run_on_m2 > 0.0;
        Self {
            grade: quality.grade,
            doubted_share: has_run_on.then(|| quality.largest.and_then(|doubt| doubt.share).unwrap_or(0.0)),
            because: quality.largest.map(|doubt| kind(doubt.reason)),
            error_tested: quality.error_tested,
            message: Said::of(|units| statement(quality, assessment.completeness.is_complete(), units)),
        }
    }
}

const fn kind(reason: Reason) -> DoubtKind {
    match reason {
        Reason::ElevationError(_) => DoubtKind::ElevationError,
        Reason::RoutingsDiffer => DoubtKind::RoutingsDiffer,
        Reason::BeyondTheEdge => DoubtKind::BeyondTheEdge,
        Reason::Bridged => DoubtKind::Bridged,
        Reason::Hollows { .. } => DoubtKind::Hollows,
        Reason::Banks { .. } => DoubtKind::Banks,
        Reason::Flats => DoubtKind::Flats,
        Reason::Treads { .. } => DoubtKind::Treads,
        Reason::Seams { .. } => DoubtKind::Seams,
        Reason::CoarseCells { .. } => DoubtKind::CoarseCells,
        Reason::Older(_) => DoubtKind::OlderThanChange,
    }
}

/// What was found, how much hangs on it, and what to make of it.
fn sentence(doubt: &Doubt, units: Units) -> String {
    let much = amount(doubt, units);
    match doubt.reason {
        Reason::ElevationError(unsure) => format!(
            "{much} hangs on the likely error of the elevations and of the lots' place: {}, and nine in ten surfaces give a run-on from {} to {}.",
            verdicts(&unsure),
            units.area(unsure.run_on.low),
            units.area(unsure.run_on.high)
        ),
        Reason::RoutingsDiffer => format!(
            "{much} is booked to other ground by the other routing: small unevenness decides where it goes."
        ),
        Reason::BeyondTheEdge => {
            format!("{much} hangs on ground beyond the edge of the data: it may be more.")
        }
        Reason::Bridged => {
            format!("{much} runs over gaps in the elevations that were bridged from their rims.")
        }
        Reason::Hollows { deepest_m } => format!(
            "{much} passes hollows, the deepest {} deep: it goes on to the lot only once they are full.",
            units.depth(deepest_m)
        ),
        Reason::Banks { deepest_m, away_m } => format!(
            "{much} stands behind a bank, up to {} deep, with lower ground {} away: a pipe through the \
             bank, of which nothing is known here, would lead it elsewhere; look for one.",
            units.depth(deepest_m),
            units.length(away_m)
        ),
        Reason::Flats => format!(
            "{much} crosses level ground, over which its way follows from a rule and not from a fall."
        ),
        Reason::Treads { step_m } => format!(
            "{much} crosses level treads of elevations that come in steps of {}: the fall \
             between steps isn't known.",
            units.depth(step_m)
        ),
        Reason::Seams { step_m } => format!(
            "{much} crosses a step of up to {} along a straight line of the raster, as where two surveys meet: \
             it may be a wall, or no ground at all.",
            units.depth(step_m)
        ),
        Reason::CoarseCells { cell_m } => format!(
            "{much} lies in cells of {} across a lot line that are routed as a neighbour's: the cells are \
             large for these lots.",
            units.length(cell_m)
        ),
        Reason::Older(age) => {
            let dated = match age.by {
                DatedBy::Survey => "surveyed in",
                DatedBy::File => "stored by",
            };
            let may = if age.is_certain() {
                "before the ground changed"
            } else {
                "maybe before the ground changed"
            };
            format!(
                "{much} follows elevations that were {dated} {}, {may} ({}): where it was built on, graded or dug since, \
                 water takes another way; take levels there (--shots), or newer elevations.",
                age.dated, age.changed
            )
        }
    }
}

/// Of how many contributors the repeats are certain.
fn verdicts(unsure: &Unsure) -> String {
    let certain = match unsure.certain {
        0 => "of none it is certain that it contributes".to_owned(),
        1 => "that one contributor contributes is certain".to_owned(),
        n => format!("that {n} contributors contribute is certain"),
    };
    match unsure.open {
        0 => format!("who contributes isn't open ({certain}), but how much is"),
        1 => format!("of one contributor it can't be told whether it contributes, {certain}"),
        n => format!("of {n} contributors it can't be told whether they contribute, {certain}"),
    }
}

/// Area and share, as the start of a sentence.
fn amount(doubt: &Doubt, units: Units) -> String {
    doubt.share.map_or_else(
        || format!("Water of {}", units.area(doubt.area_m2)),
        |share| format!("{} of the run-on, {},", percent(share), units.area(doubt.area_m2)),
    )
}

/// One or two sentences on the data.
fn statement(quality: &Quality, is_complete: bool, units: Units) -> String {
    let grade = match quality.grade {
        Grade::Sound => "The data carry the answer well",
        Grade::Limited => "The data carry the answer with limits",
        Grade::Weak => "The data carry the answer weakly",
    };
    let largest = quality.largest.map_or_else(
        || "no reason to doubt concerns 1 % of the run-on or more".to_owned(),
        |doubt| {
            let share = doubt.share.map_or_else(
                || units.area(doubt.area_m2),
                |share| format!("{} of the run-on", percent(share)),
            );
            format!("{share} {}", concern(doubt))
        },
    );
    let cut = if is_complete { "" } else { ", and the catchment isn't known whole" };
    let tested =
        if quality.error_tested { "" } else { " Elevation error was not tested (--certainty does)." };
    format!("{grade}: {largest}{cut}.{tested}")
}

/// After a share of the run-on: what makes it doubtful, in few words.
fn concern(doubt: Doubt) -> &'static str {
    match doubt.reason {
        Reason::ElevationError(unsure) => match unsure.open {
            0 => "may be more or less by elevation error, which doesn't leave open who contributes",
            _ if unsure.open_m2 >= doubt.area_m2 => {
                "comes from contributors that elevation error leaves open"
            }
            _ => {
                "hangs on elevation error, which leaves open how much there is and of some whether they contribute"
            }
        },
        Reason::RoutingsDiffer => "is booked elsewhere by the other routing",
        Reason::BeyondTheEdge => "hangs on ground beyond the edge of the data",
        Reason::Bridged => "runs over bridged gaps in the elevations",
        Reason::Hollows { .. } => "passes hollows that must fill first",
        Reason::Banks { .. } => "stands behind a bank that a pipe may lead through",
        Reason::Flats => "crosses level ground",
        Reason::Treads { .. } => "crosses level treads of rounded elevations",
        Reason::Seams { .. } => "crosses a step along a straight line of the raster",
        Reason::CoarseCells { .. } => "lies in cells that are large for the lots",
        Reason::Older(_) => "follows elevations that are older than a change of the ground",
    }
}
