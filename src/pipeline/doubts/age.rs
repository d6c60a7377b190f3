//! Elevations that are older than a change of the ground.

use super::super::settings::Settings;
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

/// Whether the elevations are older than a change that the user tells of; a warning where that isn't known.
pub(super) fn age_of(facts: &ElevationFacts, settings: &Settings) -> Warned<Option<Age>> {
    let Some(changed) = settings.ground_changed else { return Warned::clean(None) };
    let tiles = facts.tiles.iter().map(|tile| (tile.surveyed, tile.written));
    compared(settings.surveyed, tiles, changed)
}

/// Dates of the survey and of the file, by tile, against that of a change.
///
/// # Method
/// The survey's date is what the user says, else what each raster says of its survey; the oldest counts. Of a
/// raster that says nothing else, one written before the change was surveyed before it. A month or a year that
/// holds the change counts as before it.
fn compared(
    said: Option<Date>,
    tiles: impl Iterator<Item = (Option<Date>, Option<Date>)>,
    changed: Date,
) -> Warned<Option<Age>> {
    let of_survey = |dated: Date| (DatedBy::Survey, dated);
    let of_tile = |(surveyed, written): (Option<Date>, Option<Date>)| {
        let old_file = written.filter(|written| written.precedes(changed));
        surveyed.map(of_survey).or(old_file.map(|written| (DatedBy::File, written)))
    };
    let dates: Vec<_> = said.map_or_else(|| tiles.map(of_tile).collect(), |date| vec![Some(of_survey(date))]);
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

    fn found(surveyed: Option<&str>, tiles: &[(Option<&str>, Option<&str>)]) -> (Option<Age>, bool) {
        let date = |text: &str| text.parse::<Date>().expect("a date");
        let tiles = tiles.iter().map(|&(a, b)| (a.map(date), b.map(date)));
        let mut warnings = Vec::new();
        let age = compared(surveyed.map(date), tiles, date("2020-05")).unload(&mut warnings);
        (age, !warnings.is_empty())
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
