//! How well parcels and raster share a datum and a foot.

use crate::crs::{CrsDefinition, LinearUnit, Transform};
use crate::warning::Warning;
use std::path::Path;

/// Accuracy in metres up to which a shift goes without saying.
const GOOD_M: f64 = 1.0;

/// Two files and their systems.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Beside<'a> {
    pub(crate) parcels: &'a CrsDefinition,
    pub(crate) parcels_path: &'a Path,
    pub(crate) raster: &'a CrsDefinition,
    pub(crate) raster_path: &'a Path,
}

impl Beside<'_> {
    /// All that must be said about the way from the parcels' system to the raster's, at a place of the former.
    pub(crate) fn warnings(&self, place: (f64, f64)) -> Vec<Warning> {
        self.shift(place).into_iter().chain(self.feet(place)).collect()
    }

    /// A rough datum shift.
    fn shift(&self, (x, y): (f64, f64)) -> Option<Warning> {
        let Self { parcels, raster, .. } = self;
        let way = Transform::new(parcels, raster).ok()?;
        let accuracy = way.accuracy_m(x, y).ok()?;
        if accuracy.is_some_and(|a| a <= GOOD_M) || keeps_numbers(parcels, raster, x, y).unwrap_or(false) {
            return None;
        }
        let name = way.operation_name(x, y).unwrap_or_default();
        let how_good =
            accuracy.map_or_else(|| "of unknown accuracy".to_owned(), |a| format!("accurate to {a} m"));
        Some(Warning::new(
            "datum-shift-rough",
            format!(
                "the lots of {} are moved from {} to {}, the system of {}, by an operation {how_good} ({name})",
                self.parcels_path.display(),
                parcels.label(),
                raster.label(),
                self.raster_path.display()
            ),
            "bring both files to one datum with a tool that has the shift grids, then run again",
        ))
    }

    /// The same projection in two kinds of foot: two parts in a million, which is metres at the usual distance from a
    /// grid's origin. Right if both files are labelled rightly, and that far off if not.
    fn feet(&self, (x, y): (f64, f64)) -> Option<Warning> {
        let (parcels, raster) = self.parcels.kinds_of_foot(self.raster)?;
        let off_m = x.hypot(y) * (parcels.metres - raster.metres).abs();
        let in_words = |unit: &LinearUnit| format!("the {} of {:.9} m", unit.name, unit.metres);
        Some(Warning::new(
            "feet-differ",
            format!(
                "{} and {} differ only by the kind of foot: {} against {}; each is read in its own",
                self.parcels_path.display(),
                self.raster_path.display(),
                in_words(&parcels),
                in_words(&raster)
            ),
            format!(
                "if one of them is labelled wrongly, the lots lie {off_m:.1} m off: assign the right system with \
                 --parcels-crs or --elevation-crs"
            ),
        ))
    }

    /// What goes without saying in a run but is worth knowing: two datums that are taken to be the same.
    pub(crate) fn same_datum(&self, (x, y): (f64, f64)) -> Option<Warning> {
        let Self { parcels, raster, .. } = self;
        let accuracy = Transform::new(parcels, raster).ok()?.accuracy_m(x, y).ok()??;
        (accuracy > GOOD_M && keeps_numbers(parcels, raster, x, y)?).then(|| {
            Warning::new(
                "datum-taken-as-same",
                format!(
                    "{} ({}) and {} ({}) are on datums that are taken to be the same, which is true to {accuracy} m",
                    self.parcels_path.display(),
                    parcels.label(),
                    self.raster_path.display(),
                    raster.label()
                ),
                "nothing, if the parcels were made by the same convention, as they nearly always are",
            )
        })
    }
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

    fn beside<'a>(parcels: &'a CrsDefinition, raster: &'a CrsDefinition) -> Beside<'a> {
        let (parcels_path, raster_path) = (Path::new("lots.gpkg"), Path::new("ground.tif"));
        Beside { parcels, parcels_path, raster, raster_path }
    }

    fn codes(from: &str, raster: &str, x: f64, y: f64) -> Vec<&'static str> {
        let [from, raster] = [from, raster].map(|t| CrsDefinition::parse(t).unwrap());
        beside(&from, &raster).warnings((x, y)).iter().map(|w| w.code).collect()
    }

    // EPSG registry: NAD27 to NAD83 without its grids is good to some metres at best; NAD83 to WGS 84 (1) is null.
    #[test]
    fn a_shift_without_its_grid_is_pointed_out_and_a_null_shift_is_not() {
        assert_eq!(codes("EPSG:4267", "EPSG:26917", -81.0, 43.6), ["datum-shift-rough"]);
        assert!(codes("EPSG:4326", "EPSG:26917", -81.0, 43.6).is_empty());
        assert!(codes("EPSG:4269", "EPSG:26917", -81.0, 43.6).is_empty());
        let [lonlat, utm] = ["EPSG:4326", "EPSG:26917"].map(|t| CrsDefinition::parse(t).unwrap());
        assert!(beside(&lonlat, &utm).same_datum((-81.0, 43.6)).unwrap().message.contains("4 m"));
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
