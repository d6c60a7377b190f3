//! Areas that the table of the parcels states, against those of their outlines.

use super::fields;
use super::read::RawLots;
use crate::crs::{CrsDefinition, Transform};
use crate::units::Area;
use crate::warning::Warning;
use geo::GeodesicArea;
use std::path::Path;

/// Names, without separators, of fields whose unit their name tells, and that unit.
const NAMES: [(&str, Area); 14] = [
    ("acres", ACRE),
    ("acreage", ACRE),
    ("gisacres", ACRE),
    ("gisacre", ACRE),
    ("calcacres", ACRE),
    ("deedacres", ACRE),
    ("sqft", SQUARE_FOOT),
    ("areasqft", SQUARE_FOOT),
    ("lotsqft", SQUARE_FOOT),
    ("squarefeet", SQUARE_FOOT),
    ("aream2", Area::from_m2(1.0)),
    ("areasqm", Area::from_m2(1.0)),
    ("hectares", HECTARE),
    ("areaha", HECTARE),
];
const ACRE: Area = Area::from_m2(4_046.856_422_4);
const SQUARE_FOOT: Area = Area::from_m2(0.092_903_04);
const HECTARE: Area = Area::from_m2(10_000.0);
/// Fewest lots that tell a rule from chance.
const FEWEST: usize = 3;
/// Most lots that are measured.
const MOST: usize = 500;
/// Less is no lot's area but what fills an empty field (a county's table was seen to hold 1e-11 acres throughout).
const FILLER_M2: f64 = 1.0;
/// Deeds and surveys differ by less, in the middle of many lots.
const OFF: f64 = 0.05;

/// The first field that states areas, and its unit.
pub(super) fn stating_field(names: &[String]) -> Option<(usize, Area)> {
    names.iter().enumerate().find_map(|(place, name)| {
        let plain = fields::plain(name);
        NAMES.iter().find(|(known, _)| *known == plain).map(|(_, unit)| (place, *unit))
    })
}

/// Says so where the areas stated are others than those of the outlines, by more than deeds and surveys differ.
pub(crate) fn disagreement(path: &Path, crs: &CrsDefinition, lots: &RawLots) -> Option<Warning> {
    let field = lots.area_field.as_ref()?;
    let to_lonlat = CrsDefinition::lonlat().and_then(|lonlat| Transform::new(crs, &lonlat)).ok()?;
    let mut ratios: Vec<f64> = lots
        .lots
        .iter()
        .filter_map(|lot| {
            Some((lot.stated.filter(|stated| stated.as_m2() > FILLER_M2)?, lot.outline.as_ref()?))
        })
        .take(MOST)
        .filter_map(|(stated, outline)| {
            let on_globe = super::geometry::moved(outline, |x, y| to_lonlat.point(x, y))?;
            let true_m2 = on_globe.geodesic_area_unsigned();
            (true_m2 > 0.0).then(|| stated.as_m2() / true_m2)
        })
        .collect();
    if ratios.len() < FEWEST {
        return None;
    }
    ratios.sort_by(f64::total_cmp);
    let middle = ratios[ratios.len() / 2];
    let (times, way) = if middle > 1.0 { (middle, "larger") } else { (middle.recip(), "smaller") };
    (times > 1.0 + OFF).then(|| {
        Warning::new(
            "area-field-differs",
            format!(
                "{}: the areas that the field {field} states are {times:.2} times {way} than those of the outlines, in the \
                 middle of {} lots",
                path.display(),
                ratios.len()
            ),
            "check --parcels-crs (another unit or projection would change the outlines' areas), or disregard the field",
        )
    })
}
