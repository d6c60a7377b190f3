//! Places along a line at which the ground is looked at.

use super::part::Station;
use geo::{Coord, LineString};

/// Places closer than this are one, m.
const LEAST_STEP_M: f64 = 0.01;

/// Stations every step from the upper end on, at each corner, and at the lower end.
///
/// A step that ends less than a centimetre from a corner or the end is that corner or the end; so is a corner that near to another.
pub(super) fn stations_along(
    path: &LineString,
    metres_per_unit: f64,
    step_m: f64,
    ground: &dyn Fn(Coord) -> Option<f64>,
) -> Vec<Station> {
    let at = |station_m: f64, point: Coord| Station { station_m, point, ground_m: ground(point) };
    let mut stations: Vec<Station> = Vec::new();
    let (mut behind_m, mut next_m) = (0.0, step_m);
    for pair in path.0.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let length_m = (b.x - a.x).hypot(b.y - a.y) * metres_per_unit;
        if stations.last().is_none_or(|last| behind_m - last.station_m >= LEAST_STEP_M) {
            stations.push(at(behind_m, a));
        }
        while next_m < behind_m + length_m {
            let beside = (next_m - behind_m).min(behind_m + length_m - next_m);
            if beside >= LEAST_STEP_M {
                stations.push(at(next_m, a + (b - a) * ((next_m - behind_m) / length_m)));
            }
            next_m += step_m;
        }
        behind_m += length_m;
    }
    if stations.len() > 1 && stations.last().is_some_and(|last| behind_m - last.station_m < LEAST_STEP_M) {
        stations.pop();
    }
    stations.push(at(behind_m, path.0[path.0.len() - 1]));
    stations
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::line_string;
    use proptest::prelude::*;

    fn places(path: &LineString, step_m: f64) -> Vec<f64> {
        stations_along(path, 1.0, step_m, &|_| Some(0.0)).iter().map(|s| s.station_m).collect()
    }

    // Corners at 2.5 and 4 m of a line of 6.5 m.
    #[test]
    fn corners_are_stations() {
        let bent = line_string![(x: 0., y: 0.), (x: 2.5, y: 0.), (x: 2.5, y: 1.5), (x: 5., y: 1.5)];
        assert_eq!(places(&bent, 1.0), [0.0, 1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 6.5]);
        let stations = stations_along(&bent, 1.0, 1.0, &|_| None);
        assert_eq!((stations[3].point, stations[5].point), (bent.0[1], bent.0[2]));
    }

    proptest! {
        #[test]
        fn stations_rise_by_no_more_than_a_step_and_hold_every_corner(
            turns in prop::collection::vec((-9.0..9.0f64, -9.0..9.0f64), 1..9), step_m in 0.3..4.0f64,
        ) {
            let mut at = Coord { x: 0.0, y: 0.0 };
            let mut path = vec![at];
            for (x, y) in turns {
                at = Coord { x: at.x + x, y: at.y + y };
                path.push(at);
            }
            let path = LineString::new(path);
            let found = stations_along(&path, 1.0, step_m, &|_| Some(0.0));
            for pair in found.windows(2) {
                let rise = pair[1].station_m - pair[0].station_m;
                prop_assert!(rise > 0.0 && rise <= step_m + 2.0 * LEAST_STEP_M, "{}", rise);
            }
            for corner in &path.0 {
                let off = |s: &Station| (s.point.x - corner.x).hypot(s.point.y - corner.y);
                prop_assert!(found.iter().any(|s| off(s) < LEAST_STEP_M + 1e-9), "{:?}", corner);
            }
        }
    }
}
