//! What is worth a word about the coordinate systems of two files that are otherwise fine.

use super::error::{InputError, InputKind};
use super::raster::Sources;
use super::site::Opened;
use crate::crs::{CrsDefinition, LinearUnit, Transform};
use crate::warning::{Warned, Warning};
use std::path::Path;

/// Metres below which a datum shift's accuracy is good enough for a lot line.
const GOOD_SHIFT_M: f64 = 1.0;

/// A declared system as it will be used: where its numbers contradict its code, the numbers count and the code goes.
pub(super) fn honest(
    path: &Path,
    kind: InputKind,
    crs: CrsDefinition,
) -> Result<Warned<CrsDefinition>, InputError> {
    let differences = crs.contradictions();
    if differences.is_empty() {
        return Ok(Warned::new(crs, Vec::new()));
    }
    let readings: Vec<String> = differences
        .iter()
        .map(|d| format!("{} {} in the file, {} in the registry", d.what, d.first, d.second))
        .collect();
    let warning = Warning::new(
        "crs-keys-disagree",
        format!(
            "{} names {} but describes something else ({}); the file's own numbers are used",
            path.display(),
            crs.label(),
            readings.join("; ")
        ),
        format!("pass {} {} to use what is registered under the code", kind.crs_option(), crs.label()),
    );
    let bare = crs.without_code().map_err(|e| InputError::crs(path, kind, e))?;
    Ok(Warned::new(bare, vec![warning]))
}

/// What may be wrong between the parcels' system and the raster's, told at a place in the parcels' system.
pub(super) fn between(opened: &Opened, sources: &Sources, place: (f64, f64)) -> Vec<Warning> {
    let notes = [feet(opened, sources, place), datum(opened, sources, place)];
    notes.into_iter().flatten().collect()
}

/// The same projection in the two kinds of foot: right if both are labelled rightly, and feet apart if not.
fn feet(opened: &Opened, sources: &Sources, (x, y): (f64, f64)) -> Option<Warning> {
    let (parcels, raster) = opened.crs.kinds_of_foot(&sources.grid.crs)?;
    let apart_m = x.hypot(y) * (parcels.metres - raster.metres).abs();
    let name = |unit: &LinearUnit| format!("the {} ({} m)", unit.name, unit.metres);
    Some(Warning::new(
        "kinds-of-foot",
        format!(
            "{} and {} differ only by the kind of foot: {} against {}; each is read in its own",
            opened.layer.path.display(),
            sources.path.display(),
            name(&parcels),
            name(&raster)
        ),
        format!(
            "if one of them is labelled wrongly, the lots lie {apart_m:.1} m off: assign the right system with \
             --parcels-crs or --elevation-crs"
        ),
    ))
}

/// What the registry knows about the way from the parcels' datum to the raster's.
fn datum(opened: &Opened, sources: &Sources, (x, y): (f64, f64)) -> Option<Warning> {
    let (from, raster) = (&opened.crs, &sources.grid.crs);
    let way = Transform::new(from, raster).ok()?;
    let accuracy = way.accuracy_m(x, y).ok()?;
    if accuracy.is_some_and(|a| a <= GOOD_SHIFT_M) || is_null_shift(from, raster, x, y).unwrap_or(false) {
        return None;
    }
    let name = way.operation_name(x, y).unwrap_or_default();
    let how_good =
        accuracy.map_or_else(|| "of unknown accuracy".to_owned(), |a| format!("accurate to {a} m"));
    Some(Warning::new(
        "datum-shift-rough",
        format!(
            "the parcels of {} are moved from {} to the {} of {} by an operation {how_good} ({name})",
            opened.layer.path.display(),
            from.label(),
            raster.label(),
            sources.path.display()
        ),
        "bring both files to one datum with a tool that has the shift grids, then run again",
    ))
}

/// Whether both datums are taken to be the same: latitude and longitude keep their numbers. Between such (NAD83 and
/// WGS 84, say) the files were nearly always made by the same convention, which this undoes exactly.
fn is_null_shift(from: &CrsDefinition, raster: &CrsDefinition, x: f64, y: f64) -> Option<bool> {
    let own = Transform::new(from, &from.geographic().ok()?).ok()?.point(x, y).ok()?;
    let other = Transform::new(from, &raster.geographic().ok()?).ok()?.point(x, y).ok()?;
    let ballpark = Transform::new(from, raster).ok()?.accuracy_m(x, y).ok()?.is_none();
    Some(!ballpark && (own.0 - other.0).abs() < 1e-9 && (own.1 - other.1).abs() < 1e-9)
}

/// What goes without saying in a run but is worth knowing: two datums that are taken to be the same.
pub(super) fn same_datum(
    from: &CrsDefinition,
    raster: &CrsDefinition,
    (x, y): (f64, f64),
) -> Option<Warning> {
    let accuracy = Transform::new(from, raster).ok()?.accuracy_m(x, y).ok()??;
    (accuracy > GOOD_SHIFT_M && is_null_shift(from, raster, x, y)?).then(|| {
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

#[cfg(test)]
mod tests {
    use super::*;

    // EPSG registry: NAD27 to NAD83 without its grids moves lots; NAD83 to WGS 84 (1) is null, good to 4 m.
    #[test]
    fn null_shifts_are_told_from_shifts() {
        let [utm, nad27, wgs84, nad83] = ["EPSG:26917", "EPSG:4267", "EPSG:4326", "EPSG:4269"]
            .map(|text| CrsDefinition::parse(text).unwrap());
        let place = (-81.0, 43.6);
        assert_eq!(is_null_shift(&nad27, &utm, place.0, place.1), Some(false));
        assert_eq!(is_null_shift(&wgs84, &utm, place.0, place.1), Some(true));
        assert_eq!(is_null_shift(&nad83, &utm, place.0, place.1), Some(true));
        assert!(same_datum(&wgs84, &utm, place).unwrap().message.contains("4 m"));
    }
}
