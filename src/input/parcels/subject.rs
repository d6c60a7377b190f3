//! Which lot is meant.

use super::read::{RawLot, RawLots};
use crate::crs::{CrsDefinition, Transform};
use crate::input::error::{InputError, InputKind};
use geo::{BoundingRect, Contains, Distance, Geodesic, Intersects, Point};
use std::path::Path;

/// Suggestions given for an id that isn't found.
const SUGGESTIONS: usize = 5;

/// The lots with this id.
pub(crate) fn by_id(path: &Path, all: &RawLots, id: &str) -> Result<Vec<usize>, InputError> {
    let lots = &all.lots;
    let found: Vec<usize> = (0..lots.len()).filter(|&i| lots[i].id == id).collect();
    if !found.is_empty() {
        return Ok(found);
    }
    let ids: Vec<&str> = lots.iter().map(|lot| lot.id.as_str()).collect();
    let hint = hint(&ids, id);
    Err(InputError::LotNotFound {
        subject: format!("lot {id}"),
        reason: format!(
            "none of the {} lots of {} has this id in the field {}; {hint}",
            lots.len(),
            path.display(),
            all.id_field
        ),
        help: "ids are compared as text; choose the field with --id-field, or point at the lot with --lot-at LON,LAT".to_owned(),
    })
}

/// Ids that are nearly the same, or the first ones.
pub(super) fn hint(ids: &[&str], id: &str) -> String {
    let mut near: Vec<(usize, &str)> = ids
        .iter()
        .map(|&other| (unlikeness(other, id), other))
        .filter(|(distance, _)| *distance <= 2.max(id.len() / 3))
        .collect();
    near.sort_unstable();
    near.dedup();
    if near.is_empty() {
        let some: Vec<&str> = ids.iter().take(SUGGESTIONS).copied().collect();
        return format!("the first ones are {}", some.join(", "));
    }
    let near: Vec<&str> = near.into_iter().take(SUGGESTIONS).map(|(_, id)| id).collect();
    format!("similar ones are {}", near.join(", "))
}

/// The lots that hold a place, or the nearest one in the message of the failure.
pub(crate) fn at(
    lots: &[RawLot],
    crs: &CrsDefinition,
    path: &Path,
    (lon, lat): (f64, f64),
) -> Result<Vec<usize>, InputError> {
    let trouble = |e| InputError::crs(path, InputKind::Parcels, e);
    let lonlat = CrsDefinition::lonlat().map_err(trouble)?;
    let place = Transform::new(&lonlat, crs).and_then(|t| t.point(lon, lat)).map_err(trouble)?;
    let point = Point::new(place.0, place.1);
    let holds = |lot: &RawLot| lot.outline.as_ref().is_some_and(|o| o.intersects(&point));
    let found: Vec<usize> = (0..lots.len()).filter(|&i| holds(&lots[i])).collect();
    if !found.is_empty() {
        // A place on a common line belongs to the lots whose inside it is, if there are such.
        let inside: Vec<usize> = found
            .iter()
            .copied()
            .filter(|&i| lots[i].outline.as_ref().is_some_and(|o| o.contains(&point)))
            .collect();
        return Ok(if inside.is_empty() { found } else { inside });
    }
    let back = Transform::new(crs, &lonlat).map_err(trouble)?;
    let nearest = lots
        .iter()
        .filter_map(|lot| Some((distance_m(lot, point, &back, (lon, lat))?, &lot.id)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let reason = match nearest {
        Some((metres, id)) => {
            format!("no lot of {} lies there; the nearest is {id}, {metres:.0} m away", path.display())
        }
        None => {
            format!("no lot of {} lies there, and none lies near the elevations", path.display())
        }
    };
    Err(InputError::LotNotFound {
        subject: format!("--lot-at {lon},{lat}"),
        reason,
        help: "give longitude before latitude, or name the lot with --lot".to_owned(),
    })
}

/// Metres from a place to the nearest point of a lot's outline.
fn distance_m(lot: &RawLot, point: Point<f64>, back: &Transform, from: (f64, f64)) -> Option<f64> {
    use geo::{Closest, ClosestPoint};
    let outline = lot.outline.as_ref()?;
    let near = match outline.closest_point(&point) {
        Closest::SinglePoint(p) | Closest::Intersection(p) => p,
        Closest::Indeterminate => outline.bounding_rect()?.center().into(),
    };
    let (lon, lat) = back.point(near.x(), near.y()).ok()?;
    Some(Geodesic.distance(Point::new(lon, lat), Point::new(from.0, from.1)))
}

/// Edits that lead from one text to the other, upper and lower case being the same.
fn unlikeness(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) =
        (a.to_lowercase().chars().collect(), b.to_lowercase().chars().collect());
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut corner = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let changed = corner + usize::from(x != y);
            corner = row[j + 1];
            row[j + 1] = changed.min(corner + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    // Levenshtein's own distance; kitten/sitting = 3 is the textbook pair.
    #[test]
    fn similar_ids_are_few_edits_apart() {
        assert_eq!(unlikeness("kitten", "sitting"), 3);
        assert_eq!(unlikeness("R-12-3", "r-12-3"), 0);
        assert_eq!(unlikeness("", "abc"), 3);
    }
}
