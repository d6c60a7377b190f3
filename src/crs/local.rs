//! A metric grid of our own, for data whose own system distorts lengths.

use super::{CrsDefinition, CrsError, Transform};

/// A transverse Mercator centred on a place, on the datum of `base`, in metres, with scale 1 at the centre.
///
/// The centre is rounded to a hundredth of a degree, so that neighbouring lots get the same grid; the scale is wrong by
/// less than one in ten million a kilometre away.
///
/// # Errors
/// [`CrsError`] if `base` has no geographic system underneath or the place lies outside it.
pub fn local_transverse_mercator(base: &CrsDefinition, x: f64, y: f64) -> Result<CrsDefinition, CrsError> {
    let geographic = base.geographic()?;
    let reference = geographic.reference()?;
    let (lon, lat) = Transform::new(base, &geographic)?.point(x, y)?;
    // The projection's angles are in the unit of the geographic system, which may be grads.
    let to_degrees = reference.angular_units().to_degrees();
    let [lon, lat] = [lon, lat].map(|angle| (angle * to_degrees * 100.0).round() / 100.0);
    let text = |reason: gdal::errors::GdalError| CrsError::NotUnderstood {
        text: geographic.label().to_owned(),
        reason: reason.to_string(),
    };
    let wkt = format!(
        "PROJCS[\"local transverse Mercator at {lat:.2}, {lon:.2} ({datum})\",{geogcs},\
         PROJECTION[\"Transverse_Mercator\"],PARAMETER[\"latitude_of_origin\",{lat_unit:?}],\
         PARAMETER[\"central_meridian\",{lon_unit:?}],PARAMETER[\"scale_factor\",1],\
         PARAMETER[\"false_easting\",0],PARAMETER[\"false_northing\",0],UNIT[\"metre\",1]]",
        datum = reference.name().unwrap_or_default(),
        geogcs = reference.to_wkt().map_err(text)?,
        lat_unit = lat / to_degrees,
        lon_unit = lon / to_degrees,
    );
    CrsDefinition::parse(&wkt)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::crs::point_scale;

    #[test]
    fn the_centre_is_the_origin_and_true_to_scale() {
        let crs =
            local_transverse_mercator(&CrsDefinition::parse("EPSG:4269").unwrap(), -80.998, 43.6212).unwrap();
        let there = Transform::new(&CrsDefinition::parse("EPSG:4269").unwrap(), &crs).unwrap();
        let (x, y) = there.point(-81.0, 43.62).unwrap();
        assert!(x.abs() < 1e-6 && y.abs() < 1e-6, "{x} {y}");
        let scale = point_scale(&crs, 1.0, 100.0, 100.0).unwrap();
        assert!((scale.mean() - 1.0).abs() < 1e-9, "{scale:?}");
    }

    // NTF (Paris) counts grads from the Paris meridian: both must survive.
    #[test]
    fn grads_from_paris_are_understood() {
        let base = CrsDefinition::parse("EPSG:4807").unwrap();
        let crs = local_transverse_mercator(&base, 0.5, 50.0).unwrap();
        let (x, y) = Transform::new(&base, &crs).unwrap().point(0.5, 50.0).unwrap();
        assert!(x.hypot(y) < 1_000.0, "{x} {y}");
    }
}
