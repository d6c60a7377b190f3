//! How long a unit of the map is on the ground.

use super::{CrsDefinition, CrsError, Transform};
use geo::line_measures::metric_spaces::GeodesicMeasure;
use geo::{Distance, Point};

/// Half the length, in metres, of the lines that are measured: long enough for 1e-9, short enough to be local.
const HALF_M: f64 = 25.0;

/// Share by which lengths of these lines may be off.
const MEASURED_TO: f64 = 1e-8;

/// True ground lengths of one unit of a projected system at a place.
///
/// # Units
/// Metres per unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointScale {
    /// Along the first axis.
    pub along_x: f64,
    /// Along the second axis.
    pub along_y: f64,
    /// How unequal the two diagonals are (0 where the axes stay at right angles), as a share.
    pub skew: f64,
}

impl PointScale {
    /// Mean of both directions (geometric, so that areas come out right).
    #[must_use]
    pub fn mean(self) -> f64 {
        (self.along_x * self.along_y).sqrt()
    }
}

/// Measures the point scale on the ellipsoid of the system itself, so that no datum shift comes in.
///
/// # Method
/// Geodesics of 50 m between points that lie 25 m to each side along both axes and both diagonals.
///
/// # Source
/// Karney (2013), Algorithms for geodesics, J. Geodesy 87, through the geo library.
///
/// # Errors
/// [`CrsError`] if the points have no place on the ellipsoid.
pub fn point_scale(
    crs: &CrsDefinition,
    metres_per_unit: f64,
    x: f64,
    y: f64,
) -> Result<PointScale, CrsError> {
    let geographic = crs.geographic()?;
    let to_ground = Transform::new(crs, &geographic)?;
    let reference = geographic.reference()?;
    let ellipsoid = || -> Option<(f64, f64)> {
        let (major, minor) = (reference.semi_major().ok()?, reference.semi_minor().ok()?);
        Some((major, (major - minor) / major))
    };
    let (major, flattening) = ellipsoid().ok_or_else(|| CrsError::NotUnderstood {
        text: crs.label().to_owned(),
        reason: "its ellipsoid is unknown".to_owned(),
    })?;
    let to_degrees = reference.angular_units().to_degrees();
    // Geo 0.33 names this argument the inverse flattening but hands it on as the flattening; the tests below would show
    // if a later release mended that.
    let geodesic = GeodesicMeasure::new(major, flattening);
    let half = HALF_M / metres_per_unit;
    let ground = |dx: f64, dy: f64| -> Result<f64, CrsError> {
        let ends = [(x - dx * half, y - dy * half), (x + dx * half, y + dy * half)];
        let [a, b] = [to_ground.point(ends[0].0, ends[0].1)?, to_ground.point(ends[1].0, ends[1].1)?];
        let point = |(lon, lat): (f64, f64)| Point::new(lon * to_degrees, lat * to_degrees);
        Ok(geodesic.distance(point(a), point(b)))
    };
    let (east, north) = (ground(1.0, 0.0)?, ground(0.0, 1.0)?);
    let (rising, falling) = (ground(1.0, 1.0)?, ground(1.0, -1.0)?);
    let (along_x, along_y) = evened(east / (2.0 * half), north / (2.0 * half));
    Ok(PointScale { along_x, along_y, skew: ((rising - falling) / (rising + falling)).abs() })
}

/// Both lengths, made one where they differ by no more than they are measured to: in a conformal system they are equal, and
/// a square cell must be square to the last digit, or two equal falls would part by rounding, differently from lot to lot.
fn evened(along_x: f64, along_y: f64) -> (f64, f64) {
    if (along_x / along_y - 1.0).abs() > MEASURED_TO {
        return (along_x, along_y);
    }
    let mean = (along_x * along_y).sqrt();
    (mean, mean)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale(code: &str, unit: f64, x: f64, y: f64) -> PointScale {
        point_scale(&CrsDefinition::parse(code).unwrap(), unit, x, y).unwrap()
    }

    // Closed form: on the central meridian of UTM the point scale is 0.9996 (Snyder 1987, USGS PP 1395, p. 57-58).
    #[test]
    fn utm_on_its_central_meridian_is_0_9996() {
        let k = scale("EPSG:26917", 1.0, 500_000.0, 4_829_950.0);
        assert!((k.along_x - 1.0 / 0.9996).abs() < 1e-8, "{k:?}");
        assert!((k.along_y - 1.0 / 0.9996).abs() < 1e-8, "{k:?}");
        assert!(k.skew < 1e-8);
    }

    // UTM is conformal: both axes have one scale, at every place of the zone.
    #[test]
    fn a_conformal_system_has_one_scale_to_the_last_digit() {
        for (x, y) in [(500_000.0, 4_829_950.0), (431_237.5, 4_700_011.0), (700_123.0, 5_300_456.0)] {
            let k = scale("EPSG:26917", 1.0, x, y);
            assert_eq!(k.along_x.to_bits(), k.along_y.to_bits(), "{k:?}");
        }
    }

    // Closed form: spherical Mercator on the ellipsoid stretches by sqrt(1 - e2 sin2(lat)) / cos(lat) along the
    // parallel and (1 - e2 sin2(lat))^1.5 / ((1 - e2) cos(lat)) along the meridian (EPSG guidance note 7-2, method 1024).
    #[test]
    fn web_mercator_is_half_as_long_as_it_says_at_60_degrees() {
        let lat = 60f64.to_radians();
        let y = 6_378_137.0 * (std::f64::consts::FRAC_PI_4 + lat / 2.0).tan().ln();
        let k = scale("EPSG:3857", 1.0, 1_000_000.0, y);
        let e2 = 0.006_694_379_990_141_3;
        let w = 1.0 - e2 * lat.sin().powi(2);
        assert!((k.along_x - lat.cos() / w.sqrt()).abs() < 1e-7, "{k:?}");
        assert!((k.along_y - lat.cos() * (1.0 - e2) / w.powf(1.5)).abs() < 1e-7, "{k:?}");
    }
}
