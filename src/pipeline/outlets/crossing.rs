//! Where pipes of two parts cross over each other's ground.

use super::WayOut;
use super::built_pipe::{Lies, looked_for};
use crate::interceptor::Station;
use geo::Coord;

/// Ground between two pipes that cross, at the least, m (6 in). Common practice, no source.
pub(super) const BETWEEN_M: f64 = 0.15;
/// Levels and stations that differ by less are one, m.
pub(super) const SAME_M: f64 = 1e-6;
/// Nearer to the end of a way a pipe joins the other, or ends beside it, m. Ours.
const AT_ITS_END_M: f64 = 1.0;
/// Where both begin within this, one begins a little farther down, m: two parts that meet at a crest. Ours.
const AT_BOTH_HEADS_M: f64 = 1.0;

/// Two ways that meet so near to a station of one of them touch each other there, m: what places on a plan
/// are known to.
const TOUCH_M: f64 = 0.01;
/// So far off a place where two ways touch it shows whether they cross, m. Ours.
const AROUND_M: f64 = 0.5;
/// Ways whose directions differ by less lie alike, radians. Ours.
const ALIKE: f64 = 1e-3;

/// A place of a way with its pipe.
#[derive(Debug, Clone, Copy)]
struct Place {
    station_m: f64,
    at: Coord,
    lies: Lies,
}

/// A pipe down its way.
pub(super) struct Pipe {
    places: Vec<Place>,
}

/// Where two pipes cross.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Crossing {
    /// Down either way, m.
    pub(super) stations_m: [f64; 2],
    /// The pipes there.
    pub(super) lie: [Lies; 2],
    /// Ground between the two; below 0 where they would meet, m.
    pub(super) between_m: f64,
}

/// Two pipes that come too near where they cross, at the first such place of the one.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_field_names, reason = "each has its unit")]
pub(super) struct Clash {
    pub(super) stations_m: [f64; 2],
    pub(super) between_m: f64,
    /// Level of the invert at the most of either pipe for it to pass below the other, m.
    pub(super) under_m: [f64; 2],
}

/// The first place where two parts' pipes cross too near to each other.
pub(super) fn clash(a: &WayOut, b: &WayOut) -> Option<Clash> {
    clash_of(&Pipe::of(a)?, &Pipe::of(b)?)
}

fn clash_of(one: &Pipe, other: &Pipe) -> Option<Clash> {
    let near = crossings(one, other).into_iter().find(|crossing| crossing.between_m < BETWEEN_M)?;
    let below = |upper: Lies, lower: Lies| upper.invert_m - upper.wall_m - BETWEEN_M - lower.top_m;
    let [a, b] = near.lie;
    Some(Clash {
        stations_m: near.stations_m,
        between_m: near.between_m,
        under_m: [below(b, a), below(a, b)],
    })
}

impl Pipe {
    /// Of a way, as it is built where that is known; nothing where no pipe fits.
    pub(super) fn of(found: &WayOut) -> Option<Self> {
        let way = &found.way;
        let as_looked_for = || Some(looked_for(way)?.into_iter().map(Some).collect());
        let lies = found.pipe.as_ref().map(|built| built.lies.clone()).or_else(as_looked_for)?;
        let place = |(station, lies): (&Station, Option<Lies>)| {
            Some(Place { station_m: station.station_m, at: station.point, lies: lies? })
        };
        Some(Self { places: way.stations.iter().zip(lies).filter_map(place).collect() })
    }

    fn end_m(&self) -> f64 {
        self.places.last().map_or(0.0, |place| place.station_m)
    }

    /// Direction from a place of it to that so far down, or up, its way, radians; nothing beyond its ends.
    fn direction(&self, from_m: f64, by_m: f64) -> Option<f64> {
        let (from, to) = (self.at(from_m)?, self.at(from_m + by_m)?);
        Some((to.y - from.y).atan2(to.x - from.x))
    }

    fn at(&self, station_m: f64) -> Option<Coord> {
        let piece = self
            .places
            .windows(2)
            .find(|piece| (piece[0].station_m - SAME_M..=piece[1].station_m + SAME_M).contains(&station_m))?;
        let share = (station_m - piece[0].station_m) / (piece[1].station_m - piece[0].station_m);
        Some(piece[0].at + (piece[1].at - piece[0].at) * share)
    }
}

/// Whether one of two ways that touch goes from the one side of the other to its other side: a head that lies
/// on the other's way begins beside it, and ways that lie alike from there on run beside each other.
fn passes([one, other]: [&Pipe; 2], [on_one, on_other]: [f64; 2]) -> bool {
    let around = |pipe: &Pipe, station_m: f64| {
        Some([pipe.direction(station_m, -AROUND_M)?, pipe.direction(station_m, AROUND_M)?])
    };
    let Some(([up, down], [others_up, others_down])) = around(one, on_one).zip(around(other, on_other))
    else {
        return false;
    };
    // Turned so that the one comes from direction 0.
    let turned = |direction: f64| (direction - up).rem_euclid(std::f64::consts::TAU);
    let side = |direction: f64| {
        let (at, down) = (turned(direction), turned(down));
        let alike = at.min(std::f64::consts::TAU - at).min((at - down).abs()) < ALIKE;
        (!alike).then_some(at < down)
    };
    side(others_up).zip(side(others_down)).is_some_and(|(from, to)| from != to)
}

/// Places where two ways cross, but for the ends of either and where both begin.
pub(super) fn crossings(one: &Pipe, other: &Pipe) -> Vec<Crossing> {
    let mut found = Vec::new();
    for a in one.places.windows(2) {
        for b in other.places.windows(2) {
            let Some(shares) = meeting([a[0].at, a[1].at], [b[0].at, b[1].at]) else { continue };
            let stations_m =
                [(a, shares[0]), (b, shares[1])].map(|(piece, share)| along(piece, share, |at| at.station_m));
            let ends_there = |pipe: &Pipe, station_m: f64| pipe.end_m() - station_m <= AT_ITS_END_M;
            let begin_there = stations_m.iter().all(|station_m| *station_m <= AT_BOTH_HEADS_M);
            if begin_there || ends_there(one, stations_m[0]) || ends_there(other, stations_m[1]) {
                continue;
            }
            let to_station_m = |(piece, share): (&[Place], f64)| {
                share.min(1.0 - share) * (piece[1].station_m - piece[0].station_m)
            };
            let touch = [(a, shares[0]), (b, shares[1])].into_iter().any(|at| to_station_m(at) <= TOUCH_M);
            if touch && !passes([one, other], stations_m) {
                continue;
            }
            let lie = [(a, shares[0]), (b, shares[1])].map(|(piece, share)| Lies {
                invert_m: along(piece, share, |at| at.lies.invert_m),
                // The larger of two that meet there.
                top_m: piece[0].lies.top_m.max(piece[1].lies.top_m),
                wall_m: piece[0].lies.wall_m.max(piece[1].lies.wall_m),
            });
            let [upper, lower] = if lie[0].invert_m >= lie[1].invert_m { lie } else { [lie[1], lie[0]] };
            let between_m = upper.invert_m - lower.invert_m - upper.wall_m - lower.top_m;
            found.push(Crossing { stations_m, lie, between_m });
        }
    }
    found
}

/// What holds at a share of a piece, straight between its ends.
fn along(piece: &[Place], share: f64, of: impl Fn(&Place) -> f64) -> f64 {
    let (from, to) = (of(&piece[0]), of(&piece[1]));
    (to - from).mul_add(share, from)
}

/// Shares of two straight pieces at which they cross; nothing where they don't, or lie alike.
fn meeting([from, to]: [Coord; 2], [start, end]: [Coord; 2]) -> Option<[f64; 2]> {
    let (one, other, apart) = (to - from, end - start, start - from);
    let across = |x: Coord, y: Coord| x.x * y.y - x.y * y.x;
    let turn = across(one, other);
    let shares = [across(apart, other) / turn, across(apart, one) / turn];
    shares.iter().all(|share| (0.0..1.0).contains(share)).then_some(shares)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A pipe of 100 mm with walls of 5 mm, straight from one place to another.
    fn pipe(from: (f64, f64), to: (f64, f64), inverts_m: [f64; 2]) -> Pipe {
        let (from, to) = (Coord::from(from), Coord::from(to));
        let length_m = (to.x - from.x).hypot(to.y - from.y);
        let places = vec![
            Place { station_m: 0.0, at: from, lies: lies(inverts_m[0]) },
            Place { station_m: length_m, at: to, lies: lies(inverts_m[1]) },
        ];
        Pipe { places }
    }

    fn lies(invert_m: f64) -> Lies {
        Lies { invert_m, top_m: 0.105, wall_m: 0.005 }
    }

    /// Over some corners, a station at each.
    fn bent(corners: &[(f64, f64)]) -> Pipe {
        let mut station_m = 0.0;
        let mut places: Vec<Place> = Vec::new();
        for &corner in corners {
            let at = Coord::from(corner);
            station_m += places.last().map_or(0.0, |last| (at.x - last.at.x).hypot(at.y - last.at.y));
            places.push(Place { station_m, at, lies: lies(5.0) });
        }
        Pipe { places }
    }

    // Two parts meet at a corner, one from the east and one from the south, and their leads go on to the
    // west: beside each other along one line, or fanned out, they touch there. Led the other way round they
    // cross. A third runs straight through.
    #[test]
    fn ways_that_touch_cross_where_one_passes_to_the_other_side() {
        let from_east = |to: (f64, f64)| bent(&[(10.0, 0.0), (0.0, 0.0), to]);
        let from_south = |to: (f64, f64)| bent(&[(0.0, -10.0), (0.0, 0.0), to]);
        let count = |one: Pipe, other: Pipe| [crossings(&one, &other).len(), crossings(&other, &one).len()];
        assert_eq!(count(from_east((-20.0, 0.0)), from_south((-20.0, 0.0))), [0, 0]);
        assert_eq!(count(from_east((-20.0, 5.0)), from_south((-20.0, 0.0))), [0, 0]);
        // 5 mm off it is the same.
        let beside = bent(&[(-5.0, 0.0), (0.0, 0.0), (0.005, 0.002), (-20.0, 0.001)]);
        assert_eq!(count(from_east((-20.0, 0.0)), beside), [0, 0]);
        assert_eq!(count(from_east((-20.0, -5.0)), from_south((-20.0, 0.0))), [1, 1]);
        assert_eq!(count(from_east((-20.0, 0.0)), bent(&[(0.0, -10.0), (0.0, 0.0), (0.0, 10.0)])), [1, 1]);
        // A head on the other's way begins beside it.
        assert_eq!(count(from_east((-20.0, 0.0)), bent(&[(-5.0, 0.0), (-5.0, 10.0)])), [0, 0]);
    }

    // The pipe that is built is 0.2 m high: 0.05 m of ground between the two are none any more, 0.05 m are
    // missing.
    #[test]
    fn the_larger_pipe_that_is_built_counts() {
        let east = pipe((0.0, 6.0), (10.0, 6.0), [5.1, 5.0]);
        let mut north = pipe((4.0, 0.0), (4.0, 10.0), [4.9, 4.9]);
        for place in &mut north.places {
            place.lies.top_m = 0.205;
        }
        let found = crossings(&east, &north);
        assert!((found[0].between_m + 0.05).abs() < 1e-9, "{found:?}");
    }

    // The one runs 10 m east and falls from 5.1 to 5.0, the other 10 m north at 4.9 throughout; they cross at (4, 6): 4 m
    // and 6 m down their ways, at 5.06 and 4.9. Between them 0.16 - 0.005 - 0.105 = 0.05 m.
    #[test]
    fn ground_between_two_pipes_is_that_between_bottom_and_top() {
        let east = pipe((0.0, 6.0), (10.0, 6.0), [5.1, 5.0]);
        let north = pipe((4.0, 0.0), (4.0, 10.0), [4.9, 4.9]);
        for (found, stations_m) in
            [(crossings(&east, &north), [4.0, 6.0]), (crossings(&north, &east), [6.0, 4.0])]
        {
            assert_eq!(found.len(), 1);
            assert!((found[0].between_m - 0.05).abs() < 1e-9, "{found:?}");
            let near = |i: usize| (found[0].stations_m[i] - stations_m[i]).abs() < 1e-9;
            assert!(near(0) && near(1), "{found:?}");
        }
    }

    // As above, 0.05 m apart where 0.15 are asked for. The northern one passes below at 5.06 - 0.005 - 0.15 - 0.105 = 4.8,
    // 0.1 m lower than it lies; the eastern one below it at 4.9 - 0.26 = 4.64. At 4.8 nothing clashes any more.
    #[test]
    fn a_clash_tells_how_low_either_must_lie() {
        let east = pipe((0.0, 6.0), (10.0, 6.0), [5.1, 5.0]);
        let at = |level_m: f64| pipe((4.0, 0.0), (4.0, 10.0), [level_m, level_m]);
        let found = clash_of(&east, &at(4.9)).expect("they are too near");
        assert!((found.under_m[0] - 4.64).abs() < 1e-9 && (found.under_m[1] - 4.8).abs() < 1e-9, "{found:?}");
        assert!((found.between_m - 0.05).abs() < 1e-9, "{found:?}");
        assert!(clash_of(&east, &at(4.8 - 1e-9)).is_none());
        assert!(clash_of(&east, &at(4.8 + 1e-6)).is_some());
    }

    #[test]
    fn a_pipe_that_ends_at_the_other_or_runs_beside_it_does_not_cross_it() {
        let north = pipe((4.0, 0.0), (4.0, 10.0), [4.9, 4.9]);
        assert!(crossings(&pipe((0.0, 6.0), (4.5, 6.0), [5.1, 5.0]), &north).is_empty(), "it joins");
        assert!(crossings(&pipe((0.0, 6.0), (3.9, 6.0), [5.1, 5.0]), &north).is_empty(), "it ends before");
        assert!(crossings(&pipe((5.0, 0.0), (5.0, 10.0), [5.1, 5.0]), &north).is_empty(), "beside");
        assert!(crossings(&north, &north).is_empty(), "on top of itself");
    }

    // Two parts that fall away from one crest at (5, 5): their first pieces cross 0.5 m from the one's head and 0.4 m
    // from the other's. 1.5 m down the one it is a crossing, though the other begins there.
    #[test]
    fn two_pipes_that_begin_at_one_place_do_not_cross_there() {
        let east = pipe((4.5, 5.0), (14.5, 5.0), [5.1, 5.0]);
        let west = pipe((5.0, 4.6), (5.0, 14.6), [5.1, 5.0]);
        assert!(crossings(&east, &west).is_empty() && crossings(&west, &east).is_empty());
        let along = pipe((3.5, 5.0), (13.5, 5.0), [5.1, 5.0]);
        let found = crossings(&along, &west);
        assert!(found.len() == 1 && (found[0].stations_m[0] - 1.5).abs() < 1e-9, "{found:?}");
    }
}
