//! Shots that would settle most of what the repeats leave open, as `summary.json`, the map and the screen give
//! them.

use super::mark::Mark;
use super::rows::whose;
use super::said::Said;
use super::screen::Units;
use super::style;
use crate::certainty::Likelihood;
use crate::pipeline::{Assessment, Compared, WantedShot};
use crate::wording::percent;
use serde::Serialize;
use serde_json::json;

/// What would settle what is open.
#[derive(Debug, Clone, Serialize)]
pub struct SettlingRow {
    /// Parcels of which the repeats can't tell; nothing for land without one.
    pub open: Vec<Option<String>>,
    /// Shots, the most telling first.
    pub shots: Vec<WantedRow>,
    /// Cells that were looked at.
    pub looked_at: usize,
    /// In words.
    pub message: Said,
}

/// A shot that would tell much.
#[derive(Debug, Clone, Serialize)]
pub struct WantedRow {
    /// Its number.
    pub id: usize,
    /// East and north, in the working coordinate system and unit.
    pub at: [f64; 2],
    /// Elevation as given.
    pub given_m: f64,
    /// Parcel that it tells most of; nothing for land without one.
    pub parcel: Option<String>,
    /// Elevation that decides, as far as one by itself does.
    pub decides_m: f64,
    /// How often the parcel contributes where the ground lies above that, and below.
    pub above: SideRow,
    /// The same below.
    pub below: SideRow,
    /// Share of the doubt about the parcel that this shot and those before it take away.
    pub settles: f64,
    /// What the difference to an earlier shot decides, where that tells most.
    pub compared: Option<ComparedRow>,
    /// In words.
    pub message: Said,
}

/// What the difference to another shot decides.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct ComparedRow {
    /// Number of the other shot.
    pub with: usize,
    /// How much higher the ground is here than there as given.
    pub given_m: f64,
    /// The difference that decides.
    pub decides_m: f64,
    /// How often the parcel contributes where it is more.
    pub above: SideRow,
    /// How often where it is less.
    pub below: SideRow,
}

/// Surfaces on one side of a reading.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct SideRow {
    /// On which the parcel contributes.
    pub hits: usize,
    /// All.
    pub of: usize,
}

impl SettlingRow {
    pub(super) fn of(assessment: &Assessment<'_>) -> Option<Self> {
        let found = assessment.certainty.as_ref()?.settling.as_ref()?;
        let id =
            |place: &Option<usize>| place.map(|place| assessment.site.parcels.parcels()[place].id.clone());
        let row = |(shot, number): (&WantedShot, usize)| WantedRow::of(shot, number, id(&shot.parcel));
        let shots: Vec<WantedRow> = found.shots.iter().zip(1..).map(row).collect();
        Some(Self {
            open: found.open.iter().map(id).collect(),
            message: Said::of(|_| heading(&shots, found.looked_at)),
            shots,
            looked_at: found.looked_at,
        })
    }
}

impl WantedRow {
    fn of(shot: &WantedShot, id: usize, parcel: Option<String>) -> Self {
        let message = Said::of(|units| sentence(shot, id, &whose(parcel.as_deref()), units));
        Self {
            id,
            at: [shot.at.x, shot.at.y],
            given_m: shot.given_m,
            parcel,
            decides_m: shot.decides_m,
            above: SideRow::of(shot.above),
            below: SideRow::of(shot.below),
            settles: shot.settles,
            compared: shot.compared.map(ComparedRow::of),
            message,
        }
    }
}

impl ComparedRow {
    const fn of(found: Compared) -> Self {
        Self {
            with: found.with + 1,
            given_m: found.given_m,
            decides_m: found.decides_m,
            above: SideRow::of(found.above),
            below: SideRow::of(found.below),
        }
    }
}

impl SideRow {
    const fn of(found: Likelihood) -> Self {
        Self { hits: found.hits(), of: found.of() }
    }
}

/// A point for each shot.
pub(super) fn wanted_shots(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let Some(found) = assessment.certainty.as_ref().and_then(|found| found.settling.as_ref()) else {
        return Vec::new();
    };
    let Some(rows) = SettlingRow::of(assessment) else { return Vec::new() };
    let feature = |(row, shot): (&WantedRow, &WantedShot)| {
        let value = json!({
            "id": row.id,
            "elevation": null,
            "accuracy": null,
            "given_m": row.given_m,
            "decides_m": row.decides_m,
            "parcel": row.parcel,
            "above": row.above,
            "below": row.below,
            "settles": row.settles,
            "compared": row.compared,
            "title": format!("Level {} to take", row.id),
            "description": row.message.first(units),
        });
        Mark::point("wanted-shot", shot.at, style::WANTED, value)
    };
    rows.shots.iter().zip(&found.shots).map(feature).collect()
}

fn heading(shots: &[WantedRow], looked_at: usize) -> String {
    match shots {
        [] if looked_at == 0 => "No level taken on site is asked for: of no ground does the water go to the lot on one surface in ten and past it on another, so that what is open hangs on small shifts of much ground. A closer survey would tell.".to_owned(),
        [] => format!(
            "No single level taken on site tells much about what is open: none of {looked_at} places where the water divides, nor the difference of two, goes with it more than chance would have it, since it hangs on much ground at once. A closer survey would tell."
        ),
        [_] => "One level taken on site tells most about it (shots-wanted.geojson; add its elevation and give it back with --shots):".to_owned(),
        _ => format!(
            "{} levels taken on site tell most about it (shots-wanted.geojson; add their elevations and give them back with --shots):",
            shots.len()
        ),
    }
}

/// Where, what reading decides which way, and how much that settles.
fn sentence(shot: &WantedShot, id: usize, whose: &str, units: Units) -> String {
    let before = if id == 1 { "it takes away" } else { "with those before it takes away" };
    let settles = percent(shot.settles);
    let on = |side: Likelihood| format!("{} of {} surfaces", side.hits(), side.of());
    let at = format!("Level {id}, at {:.1} east, {:.1} north", shot.at.x, shot.at.y);
    if let Some(compared) = &shot.compared {
        let other = compared.with + 1;
        return format!(
            "{at}, against Level {other}: with the ground {} that of Level {other} or higher (given: {}) {whose} contributes on {}, lower on {}; {before} {settles} of the doubt about it.",
            against(compared.decides_m, units),
            against(compared.given_m, units),
            on(compared.above),
            on(compared.below),
        );
    }
    format!(
        "{at}: above {} (given: {}) {whose} contributes on {}, below on {}; {before} {settles} of the doubt about it.",
        units.level(shot.decides_m),
        units.level(shot.given_m),
        on(shot.above),
        on(shot.below),
    )
}

/// How much higher or lower, in words.
fn against(higher_m: f64, units: Units) -> String {
    let side = if higher_m < 0.0 { "below" } else { "above" };
    format!("{} {side}", units.depth(higher_m.abs()))
}
