//! Elevations that are older than a change of the ground.

use super::super::settings::Settings;
use super::dates::{TileDates, believed};
use crate::input::ElevationFacts;
use crate::units::Date;
use crate::warning::{Warned, Warning};

/// Elevations that are, or may be, older than a change of the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Age {
    /// The oldest of the elevations: of then, or of before.
    pub dated: Date,
    /// What that date is of.
    pub by: DatedBy,
    /// When the ground changed.
    pub changed: Date,
}

/// What a date of elevations is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DatedBy {
    /// The survey.
    Survey,
    /// The file, which can't be older than its survey.
    File,
}

impl Age {
    /// Whether they are older whatever day was meant.
    #[must_use]
    pub fn is_certain(self) -> bool {
        self.dated.precedes(self.changed)
    }
}

/// Whether the elevations are older than a change that the user tells of; a warning where that isn't known, and where
/// a date of theirs can't be.
pub(super) fn age_of(facts: &ElevationFacts, settings: &Settings) -> Warned<Option<Age>> {
    let mut warnings = Vec::new();
    let tiles = believed(&facts.tiles, settings.surveyed, settings.today).unload(&mut warnings);
    let Some(changed) = settings.ground_changed else { return Warned::new(None, warnings) };
    let age = compared(&tiles, changed).unload(&mut warnings);
    Warned::new(age, warnings)
}

/// Dates of the survey and of the file, by tile, against that of a change.
///
/// # Method
/// The survey's date is what the user says, else what each raster says of its survey; the oldest counts. Of a
/// raster that says nothing else, one written before the change was surveyed before it. A month or a year that
/// holds the change counts as before it.
fn compared(tiles: &[TileDates], changed: Date) -> Warned<Option<Age>> {
    let of_tile = |tile: &TileDates| {
        let old_file = tile.written.filter(|written| written.precedes(changed));
        let of_survey = tile.surveyed.map(|dated| (DatedBy::Survey, dated));
        of_survey.or(old_file.map(|written| (DatedBy::File, written)))
    };
    let dates: Vec<_> = tiles.iter().map(of_tile).collect();
    let oldest = dates.iter().flatten().min_by_key(|(_, dated)| dated.first_day());
    let older = oldest.filter(|(_, dated)| dated.may_precede(changed));
    let age = older.map(|&(by, dated)| Age { dated, by, changed });
    let unknown = age.is_none() && dates.contains(&None);
    Warned::new(age, unknown.then(|| unknown_age(changed)).into_iter().collect())
}

fn unknown_age(changed: Date) -> Warning {
    Warning::new(
        "survey-date-unknown",
        format!(
            "the ground changed ({changed}), and when the elevations were surveyed is not known: they may not show it"
        ),
        "say when they were surveyed with --surveyed",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::{MaskKind, TileFacts};

    fn date(text: &str) -> Date {
        text.parse().expect("a date")
    }

    fn tiles(dates: &[(Option<&str>, Option<&str>)]) -> Vec<TileFacts> {
        let tile = |&(surveyed, written): &(Option<&str>, Option<&str>)| TileFacts {
            path: "ground.tif".to_owned(),
            driver: "GTiff".to_owned(),
            band_type: "Float32".to_owned(),
            rows: 1,
            cols: 1,
            nodata: None,
            scale: 1.0,
            offset: 0.0,
            mask: MaskKind::None,
            surveyed: surveyed.map(date),
            written: written.map(date),
        };
        dates.iter().map(tile).collect()
    }

    /// Against a change in May 2020, on a day in 2026.
    fn told(
        surveyed: Option<&str>,
        dates: &[(Option<&str>, Option<&str>)],
    ) -> (Option<Age>, Vec<&'static str>) {
        let mut warnings = Vec::new();
        let said = surveyed.map(date);
        let tiles = believed(&tiles(dates), said, Some(date("2026-11-28"))).unload(&mut warnings);
        let age = compared(&tiles, date("2020-05")).unload(&mut warnings);
        (age, warnings.iter().map(|warning| warning.code).collect())
    }

    fn found(surveyed: Option<&str>, dates: &[(Option<&str>, Option<&str>)]) -> (Option<Age>, bool) {
        let (age, codes) = told(surveyed, dates);
        (age, !codes.is_empty())
    }

    #[test]
    fn dates_that_cannot_be_are_told_and_not_believed() {
        let future = [(Some("2026-11-29"), None)];
        assert_eq!(told(None, &future), (None, vec!["survey-date-in-future", "survey-date-unknown"]));
        assert_eq!(told(None, &[(Some("2026-11-28"), None)]), (None, vec![]));
        // A file of 2018 holds no survey of 2021, whoever says so: it is older than the change.
        for (said, tile) in
            [(Some("2021"), (None, Some("2018-04-02"))), (None, (Some("2021-01-01"), Some("2018-04-02")))]
        {
            let (age, codes) = told(said, &[tile]);
            assert_eq!(codes, ["survey-after-file"]);
            assert_eq!(age.map(|age| (age.by, age.dated)), Some((DatedBy::File, date("2018-04-02"))));
        }
        assert_eq!(told(Some("2018"), &[(None, Some("2018-04-02"))]).1, Vec::<&str>::new());
    }

    #[test]
    fn the_oldest_elevations_count_and_what_is_typed_wins() {
        let of = |surveyed: Option<&str>, tiles: &[(Option<&str>, Option<&str>)]| {
            let (age, is_warned) = found(surveyed, tiles);
            (age.map(|age| (age.dated.to_string(), age.by, age.is_certain())), is_warned)
        };
        let survey = |text: &str, certain| Some((text.to_owned(), DatedBy::Survey, certain));
        assert_eq!(of(Some("2019"), &[(Some("2021"), None)]), (survey("2019", true), false));
        assert_eq!(of(Some("2020"), &[(None, None)]), (survey("2020", false), false));
        assert_eq!(of(Some("2021"), &[(Some("2019"), None)]), (None, false));
        let two = [(Some("2021-01-01"), None), (Some("2018-03-02"), None)];
        assert_eq!(of(None, &two), (survey("2018-03-02", true), false));
        assert_eq!(of(None, &two[..1]), (None, false));
    }

    // Written before the change, surveyed before it; written later says nothing.
    #[test]
    fn a_file_is_no_older_than_its_survey() {
        let (age, is_warned) = found(None, &[(None, Some("2017-11-12"))]);
        assert_eq!(age.map(|age| age.by), Some(DatedBy::File));
        assert!(!is_warned);
        assert_eq!(found(None, &[(None, Some("2022-11-12"))]), (None, true));
        assert_eq!(found(None, &[(None, None)]), (None, true));
        assert_eq!(found(None, &[(Some("2022"), None), (None, None)]), (None, true));
    }
}
