//! How well parcels and raster share a datum and a foot.

use crate::crs::{CrsDefinition, CrsKind, Transform};
use crate::warning::Warning;

/// Accuracy in metres up to which a shift goes without saying.
const GOOD_M: f64 = 1.0;

/// All that must be said about the way from the parcels' system to the raster's, at a place of the former.
pub(crate) fn warnings(from: &CrsDefinition, raster: &CrsDefinition, x: f64, y: f64) -> Vec<Warning> {
    shift(from, raster, x, y).into_iter().chain(feet(from, raster)).collect()
}

/// A rough datum shift.
fn shift(from: &CrsDefinition, raster: &CrsDefinition, x: f64, y: f64) -> Option<Warning> {
    let way = Transform::new(from, raster).ok()?;
    let accuracy = way.accuracy_m(x, y).ok()?;
    if accuracy.is_some_and(|a| a <= GOOD_M) || keeps_numbers(from, raster, x, y).unwrap_or(false) {
        return None;
    }
    let name = way.operation_name(x, y).unwrap_or_default();
    let how_good =
        accuracy.map_or_else(|| "of unknown accuracy".to_owned(), |a| format!("accurate to {a} m"));
    Some(Warning::new(
        "datum-shift-rough",
        format!(
            "parcels are moved from {} to {} by an operation {how_good} ({name})",
            from.label(),
            raster.label()
        ),
        "bring both files to one datum with a tool that has the shift grids, then run again",
    ))
}

/// Two kinds of foot: two parts in a million, which is metres at the usual distance from a grid's origin.
fn feet(from: &CrsDefinition, raster: &CrsDefinition) -> Option<Warning> {
    let (CrsKind::Projected(a), CrsKind::Projected(b)) = (from.kind(), raster.kind()) else { return None };
    let ratio = a.metres / b.metres - 1.0;
    ((1e-7..1e-4).contains(&ratio.abs()) && (a.metres / 0.3048 - 1.0).abs() < 1e-3).then(|| {
        Warning::new(
            "feet-differ",
            format!(
                "parcels are in {} of {:.9} m, elevations in {} of {:.9} m",
                a.name, a.metres, b.name, b.metres
            ),
            "check both coordinate systems if lots and ground don't fit by some feet",
        )
    })
}

/// What goes without saying in a run but is worth knowing: two datums that are taken to be the same.
pub(crate) fn same_datum(from: &CrsDefinition, raster: &CrsDefinition, x: f64, y: f64) -> Option<Warning> {
    let accuracy = Transform::new(from, raster).ok()?.accuracy_m(x, y).ok()??;
    (accuracy > GOOD_M && keeps_numbers(from, raster, x, y)?).then(|| {
        Warning::new(
            "datum-taken-as-same",
            format!(
                "{} and {} are on datums that are taken to be the same, which is true to {accuracy} m",
                from.label(),
                raster.label()
            ),
            "nothing, if the parcels were made by the same convention, as they nearly always are",
        )
    })
}

/// Whether latitude and longitude keep their numbers from one datum to the other, by a registered operation. Between such
/// (NAD83 and WGS 84, say) the files were nearly always made by the same convention, which this undoes exactly.
fn keeps_numbers(from: &CrsDefinition, raster: &CrsDefinition, x: f64, y: f64) -> Option<bool> {
    let own = Transform::new(from, &from.geographic().ok()?).ok()?.point(x, y).ok()?;
    let other = Transform::new(from, &raster.geographic().ok()?).ok()?.point(x, y).ok()?;
    let registered = Transform::new(from, raster).ok()?.accuracy_m(x, y).ok()?.is_some();
    Some(registered && (own.0 - other.0).abs() < 1e-9 && (own.1 - other.1).abs() < 1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes(from: &str, raster: &str, x: f64, y: f64) -> Vec<&'static str> {
        let [from, raster] = [from, raster].map(|t| CrsDefinition::parse(t).unwrap());
        warnings(&from, &raster, x, y).iter().map(|w| w.code).collect()
    }

    // EPSG registry: NAD27 to NAD83 without its grids is good to some metres at best; NAD83 to WGS 84 (1) is null.
    #[test]
    fn a_shift_without_its_grid_is_pointed_out_and_a_null_shift_is_not() {
        assert_eq!(codes("EPSG:4267", "EPSG:26917", -81.0, 43.6), ["datum-shift-rough"]);
        assert!(codes("EPSG:4326", "EPSG:26917", -81.0, 43.6).is_empty());
        assert!(codes("EPSG:4269", "EPSG:26917", -81.0, 43.6).is_empty());
        let [lonlat, utm] = ["EPSG:4326", "EPSG:26917"].map(|t| CrsDefinition::parse(t).unwrap());
        assert!(same_datum(&lonlat, &utm, -81.0, 43.6).unwrap().message.contains("4 m"));
    }

    // EPSG:2269 is Oregon North in international feet; the same grid in survey feet.
    #[test]
    fn two_kinds_of_foot_are_pointed_out() {
        let survey = "+proj=lcc +lat_0=43.6666666666667 +lon_0=-120.5 +lat_1=46 +lat_2=44.3333333333333 \
                      +x_0=2500000 +y_0=0 +datum=NAD83 +units=us-ft +type=crs";
        assert!(codes(survey, "EPSG:2269", 7_600_000.0, 680_000.0).contains(&"feet-differ"));
        assert!(!codes("EPSG:2269", "EPSG:2269", 7_600_000.0, 680_000.0).contains(&"feet-differ"));
    }
}
