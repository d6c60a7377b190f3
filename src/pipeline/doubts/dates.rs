//! What rasters say of their dates, as far as that can be.

use crate::input::TileFacts;
use crate::units::Date;
use crate::warning::{Warned, Warning, named};

/// Dates of one raster.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TileDates {
    /// Of its survey, if that is known.
    pub(super) surveyed: Option<Date>,
    /// When the file was written.
    pub(super) written: Option<Date>,
}

/// The dates of all rasters. One in the future is no date, and a survey after its file was written is none either: the
/// file's date is left, which the survey doesn't follow. Both are told.
pub(super) fn believed(
    tiles: &[TileFacts],
    said: Option<Date>,
    today: Option<Date>,
) -> Warned<Vec<TileDates>> {
    let is_future = |date: Date| today.is_some_and(|today| today.precedes(date));
    let (mut future, mut after) = (Vec::new(), Vec::new());
    let mut of_tile = |tile: &TileFacts| {
        let mut past = |date: Option<Date>, what: &str| {
            let is_none = date.filter(|&date| is_future(date));
            future.extend(is_none.map(|date| format!("{} ({what} {date})", tile.path)));
            date.filter(|&date| !is_future(date))
        };
        let written = past(tile.written, "stored on");
        let of_file = past(tile.surveyed, "surveyed on");
        let surveyed = said.or(of_file);
        let is_late = |surveyed: Date| written.is_some_and(|written| written.precedes(surveyed));
        if let (Some(late), Some(written)) = (surveyed.filter(|&date| is_late(date)), written) {
            after.push(format!("{} (surveyed {late}, stored {written})", tile.path));
        }
        TileDates { surveyed: surveyed.filter(|&date| !is_late(date)), written }
    };
    let dates = tiles.iter().map(&mut of_tile).collect();
    let warnings = [in_future(&future), after_file(&after, said)];
    Warned::new(dates, warnings.into_iter().flatten().collect())
}

fn in_future(tiles: &[String]) -> Option<Warning> {
    (!tiles.is_empty()).then(|| {
        Warning::new(
            "survey-date-in-future",
            format!("some rasters name a date in the future, which was not believed: {}", named(tiles)),
            "say when they were surveyed with --surveyed; check the machine's clock",
        )
    })
}

fn after_file(tiles: &[String], said: Option<Date>) -> Option<Warning> {
    let by = if said.is_some() { " by --surveyed" } else { "" };
    (!tiles.is_empty()).then(|| {
        Warning::new(
            "survey-after-file",
            format!(
                "the elevations were surveyed after their file was stored{by}, which can't be; the file's date was taken: {}",
                named(tiles)
            ),
            "check the date of the survey, and that these are the files of that survey",
        )
    })
}
