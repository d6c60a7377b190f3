//! Options of the repeats under elevation error.

use super::number;
use crate::args::{AssessOptions, QualityName};
use crate::failure::Failure;
use lotshed::certainty::ErrorModel;
use lotshed::pipeline::CertaintySettings;
use lotshed::units::Length;
use lotshed::warning::{Warned, Warning};

/// Error that is assumed when none is given, m: what common lidar surveys promise (RMSE of quality levels 1
/// and 2 of the USGS lidar base specification, from memory).
const ASSUMED_RMSE_M: f64 = 0.10;
/// Error of parcels, m, when none is given. Ours.
const PARCEL_ERROR_M: f64 = 1.0;
/// Errors beyond this are a mistyped unit, m.
const LARGEST_M: f64 = 100.0;

/// Largest error (RMSE on open ground) of a survey of a level, m: quality levels of the USGS lidar base
/// specification (its page on topographic data quality levels has the table; figures from memory).
const fn rmse_m(level: QualityName) -> f64 {
    match level {
        QualityName::Ql0 => 0.05,
        QualityName::Ql1 | QualityName::Ql2 => 0.10,
        QualityName::Ql3 => 0.20,
    }
}

/// What the repeats are asked; nothing if they aren't wanted.
pub(super) fn certainty(options: &AssessOptions) -> Result<Warned<Option<CertaintySettings>>, Failure> {
    let is_stated = options.elevation_rmse.is_some() || options.elevation_quality.is_some();
    if !is_stated && !options.certainty {
        return match without_repeats(options) {
            Some(name) => Err(Failure::usage(format!(
                "--elevation-rmse, --elevation-quality or --certainty is missing: --{name} is of the repeats that they start"
            ))),
            None => Ok(Warned::clean(None)),
        };
    }
    let mut warnings = Vec::new();
    if !is_stated {
        warnings.push(Warning::new(
            "elevation-error-assumed",
            format!("the error of the elevations is not known: an RMSE of {ASSUMED_RMSE_M:.2} m was assumed"),
            "give the error that the survey states with --elevation-rmse, or its quality level with --elevation-quality",
        ));
    }
    let unstated_m = options.elevation_quality.map_or(ASSUMED_RMSE_M, rmse_m);
    let rmse = number("elevation-rmse", options.elevation_rmse.as_ref(), Length::from_m(unstated_m))?;
    let parcels = number("parcel-error", options.parcel_error.as_ref(), Length::from_m(PARCEL_ERROR_M))?;
    for (name, error) in [("elevation-rmse", rmse), ("parcel-error", parcels)] {
        if error.as_m() > LARGEST_M {
            return Err(Failure::usage(format!(
                "--{name}: {:.0} m is no likely error, the most is {LARGEST_M:.0} m",
                error.as_m()
            )));
        }
    }
    if rmse.as_m() <= 0.0 {
        return Err(Failure::usage("--elevation-rmse: an error is above 0".to_owned()));
    }
    let mut settings = CertaintySettings::of(ErrorModel::new(rmse, parcels));
    if let Some(count) = options.realisations {
        settings.realisations = count as usize;
    }
    settings.seed = options.seed.unwrap_or(settings.seed);
    Ok(Warned::new(Some(settings), warnings))
}

/// An option of the repeats that is given though they aren't wanted.
fn without_repeats(options: &AssessOptions) -> Option<&'static str> {
    let given = [
        ("realisations", options.realisations.is_some()),
        ("seed", options.seed.is_some()),
        ("parcel-error", options.parcel_error.is_some()),
        ("shots", options.shots.is_some()),
    ];
    given.into_iter().find(|&(_, is_given)| is_given).map(|(name, _)| name)
}
