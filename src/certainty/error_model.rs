//! What the error of an elevation raster is taken to be.

use crate::units::Length;
use serde::Serialize;

/// Share of the variance in the short-range part: half of the RMSE. From memory of lidar practice, a short
/// part of 2 to 3 cm beside a long part of 3 to 5 cm; no source at hand.
pub const SHORT_SHARE: f64 = 0.25;
/// Standard error of a level that is taken on site and states none: of a builder's level or a corrected satellite
/// position. Ours, of common practice.
pub const SHOT_ACCURACY: Length = Length::from_m(0.03);
/// Range of the short part: noise of single returns and of gridding, a few steps wide. Ours.
pub const SHORT_RANGE: Length = Length::from_m(2.0);
/// Ranges of the long part that are tried in turn. Uncorrelated noise is not the worst case (Oksanen and
/// Sarjakoski 2005, Computers & Geosciences), and which range is depends on the ground, so that several are
/// tried.
const LONG_RANGES_M: [f64; 4] = [0.0, 5.0, 20.0, 60.0];

/// The error of an elevation raster, and of the parcels' place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ErrorModel {
    /// Root mean square error of the elevations.
    #[serde(rename = "elevation_rmse_m")]
    pub rmse: Length,
    /// Ranges of the long part, each as likely as the others; 0 is uncorrelated noise.
    #[serde(rename = "ranges_m")]
    pub ranges: Vec<Length>,
    /// Standard error of the parcels' place, along each axis.
    #[serde(rename = "parcel_error_m")]
    pub parcels: Length,
}

impl ErrorModel {
    /// An error with the usual ranges.
    #[must_use]
    pub fn new(rmse: Length, parcels: Length) -> Self {
        Self { rmse, ranges: LONG_RANGES_M.map(Length::from_m).to_vec(), parcels }
    }
}

/// Correlation of the errors of two points, by what lies between them.
///
/// # Units
/// Both lengths in one unit.
///
/// # Method
/// White noise smoothed by a Gaussian of standard deviation l: exp(-d²/4l²). The range is the distance at
/// which 5 % are left, 2 l sqrt(ln 20) = 3.46 l. At range 0 points are alike only with themselves.
#[must_use]
pub fn correlation(apart: f64, range: f64) -> f64 {
    if apart == 0.0 {
        return 1.0;
    }
    if range <= 0.0 {
        return 0.0;
    }
    (-(20.0_f64.ln()) * (apart / range).powi(2)).exp()
}
