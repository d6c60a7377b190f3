//! Outlines that later stages can trust.

use geo::algorithm::bool_ops::FillRule;
use geo::algorithm::validation::InvalidMultiPolygon;
use geo::orient::Direction;
use geo::{
    Area, BooleanOps, BoundingRect, Coord, CoordsIter, InteriorPoint, LineString, MapCoords, MultiPolygon,
    Orient, Point, Polygon, RemoveRepeatedPoints, Translate, Validation,
};

/// Width, in map units, of a spike that is no part of a lot.
const SPIKE: f64 = 1e-3;
/// Largest change of area, as a share, by which a repair still counts as the same lot.
const SAME_AREA: f64 = 0.001;

/// An outline that may be used.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Sound {
    /// Valid, outer rings counter-clockwise, holes clockwise.
    pub(crate) outline: MultiPolygon<f64>,
    /// Area as delivered, in square units.
    pub(crate) area: f64,
    /// What was repaired, if anything.
    pub(crate) repaired: Option<String>,
}

/// Checks an outline and repairs it if that doesn't change the lot; else gives the reason.
pub(crate) fn check(outline: &MultiPolygon<f64>) -> Result<Sound, String> {
    // Near the origin no digits are spent on the distance to it.
    let Some(origin) = outline.bounding_rect().map(geo::Rect::center) else {
        return Err("it has no points".to_owned());
    };
    if !outline.coords_iter().all(|c| c.x.is_finite() && c.y.is_finite()) {
        return Err("it has coordinates that the projection can't express".to_owned());
    }
    let near = outline.translate(-origin.x, -origin.y).remove_repeated_points();
    let area = delivered_area(&near);
    let (near, spikes) = without_spikes(&near);
    // A millionth of the box: what is thinner is a line.
    let size = near.bounding_rect().map_or(0.0, |r| r.width() * r.height());
    if area <= 1e-6 * size || area <= 0.0 {
        return Err("its area is zero".to_owned());
    }
    let (sound, repaired) = match near.check_validation() {
        Ok(()) => (near, (spikes > 0).then(|| "it has a spike without width".to_owned())),
        Err(fault) => {
            let fault = match (fault, near.0.len()) {
                (InvalidMultiPolygon::InvalidPolygon(_, inner), 1) => inner.to_string(),
                (whole, _) => whole.to_string(),
            };
            let mended = without_panic(|| near.union(&MultiPolygon::new(Vec::new())))
                .filter(Validation::is_valid)
                .ok_or_else(|| format!("{fault}, and the repair failed"))?;
            let change = (mended.unsigned_area() - area).abs() / area;
            if change > SAME_AREA {
                return Err(format!(
                    "{fault}, and a repair would change its area by {:.1} %",
                    change * 100.0
                ));
            }
            (mended, Some(fault))
        }
    };
    let outline = sound.orient(Direction::Default).translate(origin.x, origin.y);
    Ok(Sound { outline, area, repaired })
}

/// Leaves out corners at which a ring turns back on itself; gives their number.
fn without_spikes(outline: &MultiPolygon<f64>) -> (MultiPolygon<f64>, usize) {
    let mut removed = 0;
    let mut clean = |ring: &LineString<f64>| {
        let mut corners = ring.0.clone();
        corners.pop();
        let mut i = 0;
        while corners.len() > 3 && i < corners.len() {
            let n = corners.len();
            let (before, here, after) = (corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]);
            if turns_back(before, here, after) {
                corners.remove(i);
                removed += 1;
                // The corner before may now be the tip.
                i = i.saturating_sub(1);
            } else {
                i += 1;
            }
        }
        LineString::new(corners)
    };
    let polygons = outline
        .iter()
        .map(|p| Polygon::new(clean(p.exterior()), p.interiors().iter().map(&mut clean).collect()))
        .collect();
    (MultiPolygon::new(polygons), removed)
}

/// Whether the way from `before` over `here` to `after` goes forth and back along one line.
fn turns_back(before: Coord<f64>, here: Coord<f64>, after: Coord<f64>) -> bool {
    let (there, back) = (here - before, after - here);
    let longer = there.x.hypot(there.y).max(back.x.hypot(back.y));
    let (dot, cross) = (there.x * back.x + there.y * back.y, there.x * back.y - there.y * back.x);
    dot < 0.0 && cross.abs() < SPIKE * longer
}

/// Areas of the outer rings less those of their holes, by the shoelace formula, whether valid or not.
fn delivered_area(outline: &MultiPolygon<f64>) -> f64 {
    let ring = |r: &LineString<f64>| Polygon::new(r.clone(), Vec::new()).unsigned_area();
    outline.iter().map(|p| ring(p.exterior()) - p.interiors().iter().map(ring).sum::<f64>()).sum()
}

/// What the first outline doesn't share with the others; `None` if the library fails.
pub(crate) fn difference(from: &MultiPolygon<f64>, taken: &MultiPolygon<f64>) -> Option<MultiPolygon<f64>> {
    let origin = from.bounding_rect()?.center();
    let (a, b) = (from.translate(-origin.x, -origin.y), taken.translate(-origin.x, -origin.y));
    let rest = without_panic(|| a.difference_with_fill_rule(&b, FillRule::NonZero))?;
    let rest = if rest.is_valid() {
        rest
    } else {
        without_panic(|| rest.union(&MultiPolygon::new(Vec::new()))).filter(Validation::is_valid)?
    };
    Some(rest.orient(Direction::Default).translate(origin.x, origin.y))
}

/// The pieces that an outline shares with others: a point inside each, and its area; `None` if the library fails.
pub(crate) fn shared_pieces(
    outline: &MultiPolygon<f64>,
    others: &MultiPolygon<f64>,
) -> Option<Vec<(Point<f64>, f64)>> {
    let origin = outline.bounding_rect()?.center();
    let (a, b) = (outline.translate(-origin.x, -origin.y), others.translate(-origin.x, -origin.y));
    // All rings are oriented, so that places where two of the others meet or still overlap by a hair stay filled.
    let both = without_panic(|| a.intersection_with_fill_rule(&b, FillRule::NonZero))?;
    let piece =
        |p: &Polygon<f64>| Some((p.interior_point()?.translate(origin.x, origin.y), p.unsigned_area()));
    Some(both.iter().filter_map(piece).collect())
}

/// Polygon overlay has panicked on nearly collinear edges before; a lot must not stop the run.
fn without_panic<T>(work: impl FnOnce() -> T) -> Option<T> {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(work)).ok()
}

/// A text by which equal outlines are found: corners to a millimetre, in no order.
pub(crate) fn fingerprint(outline: &MultiPolygon<f64>, metres_per_unit: f64) -> Vec<(i64, i64)> {
    #[expect(clippy::cast_possible_truncation, reason = "millimetres on earth stay below 2^53")]
    let whole = |v: f64| (v * metres_per_unit * 1000.0).round() as i64;
    let mut corners: Vec<(i64, i64)> = outline.coords_iter().map(|c| (whole(c.x), whole(c.y))).collect();
    corners.sort_unstable();
    corners.dedup();
    corners
}

/// Moves an outline by a function of points; `None` if a point has no image.
pub(crate) fn moved<E>(
    outline: &MultiPolygon<f64>,
    image: impl Fn(f64, f64) -> Result<(f64, f64), E> + Copy,
) -> Option<MultiPolygon<f64>> {
    outline.try_map_coords(|c| image(c.x, c.y).map(|(x, y)| Coord { x, y })).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{coord, polygon};

    fn one(p: &Polygon<f64>) -> MultiPolygon<f64> {
        p.translate(500_000.0, 4_829_950.0).into()
    }

    // Areas: closed forms.
    #[test]
    fn a_spike_is_cut_off_because_it_has_no_area() {
        let spike =
            polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 60.), (x: 40., y: 30.), (x: 0., y: 30.)];
        let sound = check(&one(&spike)).unwrap();
        assert!((sound.area - 1200.0).abs() < 1e-6);
        assert!((sound.outline.unsigned_area() - 1200.0).abs() < 1e-3);
        assert!(sound.repaired.is_some());
    }

    #[test]
    fn a_bow_tie_is_refused_and_so_is_a_line() {
        let bow = polygon![(x: 0., y: 0.), (x: 40., y: 20.), (x: 40., y: 0.), (x: 0., y: 20.)];
        assert!(check(&one(&bow)).is_err());
        let line = polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 0., y: 0.)];
        assert_eq!(check(&one(&line)).unwrap_err(), "its area is zero");
    }

    #[test]
    fn holes_count_and_rings_are_turned_the_usual_way() {
        let clockwise = polygon!(
            exterior: [(x: 0., y: 0.), (x: 0., y: 10.), (x: 10., y: 10.), (x: 10., y: 0.)],
            interiors: [[(x: 2., y: 2.), (x: 4., y: 2.), (x: 4., y: 4.), (x: 2., y: 4.)]],
        );
        let sound = check(&one(&clockwise)).unwrap();
        assert!((sound.area - 96.0).abs() < 1e-9 && sound.repaired.is_none());
        assert!((sound.outline.signed_area() - 96.0).abs() < 1e-6);
    }

    #[test]
    fn nearly_collinear_edges_in_large_numbers_are_overlaid() {
        let origin = coord! { x: 6_489_123.37, y: 1_800_000.12 };
        let box_at = |y0: f64, y1: f64, e: f64| -> MultiPolygon<f64> {
            polygon![(x: 0., y: y0), (x: 131., y: y0 - e), (x: 131., y: y1), (x: 0., y: y1)]
                .translate(origin.x, origin.y)
                .into()
        };
        let (a, b) = (box_at(0.0, 98.0, 0.0), box_at(98.0, 164.0, 3e-9));
        let rest = difference(&a, &b).unwrap();
        assert!((rest.unsigned_area() - 131.0 * 98.0).abs() < 1e-3);
    }
}
