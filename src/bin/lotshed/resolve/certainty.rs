//! Options of the repeats under elevation error.

use super::number;
use crate::args::AssessOptions;
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

/// What the repeats are asked; nothing if they aren't wanted.
pub(super) fn certainty(options: &AssessOptions) -> Result<Warned<Option<CertaintySettings>>, Failure> {
    if options.elevation_rmse.is_none() && !options.certainty {
        return match without_repeats(options) {
            Some(name) => Err(Failure::usage(format!(
                "--elevation-rmse or --certainty is missing: --{name} is of the repeats that they start"
            ))),
            None => Ok(Warned::clean(None)),
        };
    }
    let mut warnings = Vec::new();
    if options.elevation_rmse.is_none() {
        warnings.push(Warning::new(
            "elevation-error-assumed",
            format!("the error of the elevations is not known: an RMSE of {ASSUMED_RMSE_M:.2} m was assumed"),
            "give the error that the survey states with --elevation-rmse",
        ));
    }
    let rmse = number("elevation-rmse", options.elevation_rmse.as_ref(), Length::from_m(ASSUMED_RMSE_M))?;
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
