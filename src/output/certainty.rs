//! How sure the answer is, as `summary.json` gives it.

use super::screen::Units;
use super::wanted_shots::SettlingRow;
use crate::certainty::{GroundToError, Likelihood, Spread, Verdict};
use crate::lots::Label;
use crate::pipeline::{Assessment, Certainty, CrossingCertainty, ParcelCertainty};
use serde::Serialize;

/// Repeats under elevation error.
#[derive(Debug, Clone, Serialize)]
pub struct CertaintyRow {
    /// Root mean square error of the elevations.
    pub elevation_rmse_m: f64,
    /// Standard error of the parcels' place along each axis.
    pub parcel_error_m: f64,
    /// Ranges of the error, each as likely as the others.
    pub ranges_m: Vec<f64>,
    /// Which sample was drawn.
    pub seed: u64,
    /// Equally plausible surfaces that were looked at.
    pub realisations: usize,
    /// Of these, whose catchment goes on beyond the ground that was looked at.
    pub cut_realisations: usize,
    /// Of these, whose first move of the lots took the lot off the elevations, so that another was drawn.
    pub off_data_realisations: usize,
    /// A parcel or crossing counts with more than this.
    pub floor_m2: f64,
    /// "does not" up to the first, "contributes" from the second, on the surfaces of every range.
    pub verdict_limits: [f64; 2],
    /// Run-on area: nine in ten surfaces lie between.
    pub run_on_area_m2: Spread,
    /// The likeliest first.
    pub parcels: Vec<ParcelRow>,
    /// By crossing, in their order.
    pub crossings: Vec<CrossingSure>,
    /// Whether likelihoods come true as often as they say on such ground; nothing where there is too little of it.
    pub calibration: Option<CalibrationRow>,
    /// What would settle what is open; nothing where nothing is.
    pub settling: Option<SettlingRow>,
}

/// The ground's fall and roughness against its error, and what that means for the likelihoods.
#[derive(Debug, Clone, Serialize)]
pub struct CalibrationRow {
    /// Fall and roughness.
    #[serde(flatten)]
    pub ground: GroundToError,
    /// Whether likelihoods come true as often as they say on such ground; else nothing is claimed of them.
    pub calibrated: bool,
    /// In words.
    pub message: String,
}

/// How sure one contributor is.
#[derive(Debug, Clone, Serialize)]
pub struct ParcelRow {
    /// The lot, or nothing.
    pub id: Option<String>,
    /// Surfaces on which it gives more than the floor.
    pub hits: usize,
    /// The same as a share of all.
    pub likelihood: f64,
    /// Its 95 % interval.
    pub likelihood_interval: [f64; 2],
    /// By range of the error.
    pub likelihood_by_range: Vec<f64>,
    /// What is to be said of it.
    pub verdict: Verdict,
    /// Area of it whose rain reaches the lot.
    pub area_m2: Spread,
    /// That of the run-on.
    pub share_of_run_on: Spread,
}

/// How sure one crossing is.
#[derive(Debug, Clone, Serialize)]
pub struct CrossingSure {
    /// Number of the crossing.
    pub id: usize,
    /// Surfaces on which more than the floor enters there.
    pub hits: usize,
    /// The same as a share of all.
    pub likelihood: f64,
    /// Its 95 % interval.
    pub likelihood_interval: [f64; 2],
    /// What enters there.
    pub area_m2: Spread,
    /// Where its water enters on average on the surface as given: metres clockwise from the ring's start.
    pub middle_m: f64,
    /// How far the middle of its water lies from there, clockwise.
    pub wander_m: Option<Spread>,
}

impl CertaintyRow {
    pub(super) fn of(assessment: &Assessment<'_>) -> Option<Self> {
        let found = assessment.certainty.as_ref()?;
        let model = &found.settings.model;
        Some(Self {
            elevation_rmse_m: model.rmse.as_m(),
            parcel_error_m: model.parcels.as_m(),
            ranges_m: model.ranges.iter().map(|range| range.as_m()).collect(),
            seed: found.settings.seed,
            realisations: found.realisations,
            cut_realisations: found.cut,
            off_data_realisations: found.off_data.all(),
            floor_m2: found.floor_m2,
            verdict_limits: Verdict::LIMITS,
            run_on_area_m2: found.run_on,
            parcels: found.parcels.iter().map(|row| parcel_row(assessment, row)).collect(),
            crossings: found.crossings.iter().zip(1..).map(crossing_row).collect(),
            calibration: found.ground.map(CalibrationRow::of),
            settling: SettlingRow::of(assessment),
        })
    }
}

impl CalibrationRow {
    /// What is to be said of likelihoods on such ground.
    #[must_use]
    pub fn of(ground: GroundToError) -> Self {
        let calibrated = ground.is_calibrated();
        let GroundToError { fall_in_errors, roughness_in_errors } = ground;
        let measured = format!(
            "the ground falls {} times the error in a cell, and is {} times as rough as such an error alone",
            times(fall_in_errors),
            times(roughness_in_errors)
        );
        let message = if calibrated {
            format!("On invented ground like this ({measured}) likelihoods came true as often as they said.")
        } else {
            format!(
                "These likelihoods and ranges are not calibrated: {measured}. On ground so gentle and smooth against its \
                 survey they can be off to either side, and ranges hold on fewer than nine in ten; \"cannot tell\" may \
                 only mean that this survey can't. A closer one could."
            )
        };
        Self { ground, calibrated, message }
    }
}

/// How sure one contributor of the surface as given is.
pub(super) struct Sure {
    pub(super) likelihood: f64,
    pub(super) verdict: Verdict,
    hits: Likelihood,
    floor_m2: f64,
}

impl Sure {
    /// Verdict and what it rests on.
    pub(super) fn sentence(&self, units: Units) -> String {
        let verdict = match self.verdict {
            Verdict::Contributes => "It contributes",
            Verdict::DoesNot => "It does not contribute",
            Verdict::CannotTell => "The elevations cannot tell whether it contributes",
        };
        format!(
            "{verdict}: more than {} of it drains onto the lot on {} of {} equally plausible surfaces.",
            units.area(self.floor_m2),
            self.hits.hits(),
            self.hits.of()
        )
    }
}

/// Likelihood and verdict of a contributor; nothing without repeats.
pub(super) fn of_contributor(assessment: &Assessment<'_>, label: Label) -> Option<Sure> {
    let found: &Certainty = assessment.certainty.as_ref()?;
    let place = label.place().map(|place| assessment.routed.ground.parcels[place]);
    let row = found.parcel(place).expect("each contributor of the given surface has a row");
    let (hits, floor_m2) = (row.likelihood, found.floor_m2);
    Some(Sure { likelihood: hits.share(), verdict: row.verdict, hits, floor_m2 })
}

/// Two digits, down to a hundredth.
fn times(of_error: f64) -> String {
    match of_error {
        few if few < 0.005 => "less than 0.01".to_owned(),
        few if few < 0.95 => format!("{few:.2}"),
        some if some < 9.5 => format!("{some:.1}"),
        many => format!("{many:.0}"),
    }
}

fn parcel_row(assessment: &Assessment<'_>, row: &ParcelCertainty) -> ParcelRow {
    ParcelRow {
        id: row.place.map(|place| assessment.site.parcels.parcels()[place].id.clone()),
        hits: row.likelihood.hits(),
        likelihood: row.likelihood.share(),
        likelihood_interval: row.likelihood.interval(),
        likelihood_by_range: row.by_range.iter().map(|found: &Likelihood| found.share()).collect(),
        verdict: row.verdict,
        area_m2: row.area,
        share_of_run_on: row.share,
    }
}

fn crossing_row((row, id): (&CrossingCertainty, usize)) -> CrossingSure {
    CrossingSure {
        id,
        hits: row.likelihood.hits(),
        likelihood: row.likelihood.share(),
        likelihood_interval: row.likelihood.interval(),
        area_m2: row.area,
        middle_m: row.middle_m,
        wander_m: row.wander,
    }
}
