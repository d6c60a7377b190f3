//! Pipes of two parts that cross over each other's ground: told where they would meet.

use super::shared::CROSSING_M;
use super::{LaidLine, PartOutlets, Search, WayOut};
use crate::error::Error;
use crate::interceptor::InterceptionLine;
use crate::warning::Warning;
use crate::wording::metres;
use geo::Coord;

/// Ground between two pipes that cross, at the least, m (6 in). Common practice, no source.
pub(super) const BETWEEN_M: f64 = 0.15;
/// Levels that differ by less are one, m.
const SAME_M: f64 = 1e-6;
/// Nearer to the end of a way a pipe joins the other, or ends beside it, m. Ours.
const AT_ITS_END_M: f64 = 1.0;
/// Where both begin within this, one begins a little farther down, m: two parts that meet at a crest. Ours.
const AT_BOTH_HEADS_M: f64 = 1.0;

/// A place of a way with its pipe.
#[derive(Debug, Clone, Copy)]
struct Place {
    station_m: f64,
    at: Coord,
    invert_m: f64,
}

/// A pipe down its way.
struct Pipe {
    places: Vec<Place>,
    /// From its invert up to its top, m.
    top_m: f64,
    /// From its bottom up to its invert, m.
    wall_m: f64,
}

/// Where two pipes cross.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_field_names, reason = "each has its unit")]
struct Crossing {
    /// Down either way, m.
    stations_m: [f64; 2],
    /// Inverts there, m.
    levels_m: [f64; 2],
    /// Ground between the two; below 0 where they would meet, m.
    between_m: f64,
}

/// Where a part's proposed pipe meets that of another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Meeting {
    /// One passes over the other.
    Crosses {
        /// Number of the other part.
        other: usize,
        /// Down this part's way, m.
        station_m: f64,
        /// Inverts there, m: this part's, and the other's.
        inverts_m: [f64; 2],
        /// Ground between bottom and top, m; below 0 where they would meet.
        between_m: f64,
    },
    /// Both lie within a trench's width.
    Beside {
        /// Number of the other part.
        other: usize,
        /// Over which length, m.
        length_m: f64,
    },
    /// The other's swale leaves less ground over this part's lead than is asked for.
    UnderSwale {
        /// Number of the other part.
        other: usize,
        /// Down this part's way, m.
        station_m: f64,
        /// Ground over the pipe there; below 0 where the swale comes below its top, m.
        cover_m: f64,
    },
}

impl Meeting {
    /// Whether two pipes cross with less ground between them than 0.15 m.
    #[must_use]
    pub fn is_too_near(&self) -> bool {
        matches!(self, Self::Crosses { between_m, .. } if *between_m < BETWEEN_M - SAME_M)
    }
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
    let below = |upper: &Pipe, level_m: f64, lower: &Pipe| level_m - upper.wall_m - BETWEEN_M - lower.top_m;
    let [level_a, level_b] = near.levels_m;
    Some(Clash {
        stations_m: near.stations_m,
        between_m: near.between_m,
        under_m: [below(other, level_b, one), below(one, level_a, other)],
    })
}

impl Search<'_> {
    /// Says of which parts the pipes cross with too little ground between them, and why nothing was found for it.
    pub(super) fn pipes_cross(
        &self,
        line: &InterceptionLine,
        ways: &LaidLine,
    ) -> Result<Vec<Warning>, Error> {
        let mut warnings = Vec::new();
        for a in 0..ways.found.len() {
            for b in a + 1..ways.found.len() {
                let both = ways.found[a].proposed().zip(ways.found[b].proposed());
                let Some(clash) = both.and_then(|(a, b)| clash(a, b)) else { continue };
                let refused = self.refused(line, ways, [a, b])?;
                warnings.push(told(clash, [line.parts[a].id, line.parts[b].id], &refused));
            }
        }
        Ok(warnings)
    }

    /// Notes where proposed pipes cross, or lie in one trench.
    pub(super) fn note_meetings(&self, line: &InterceptionLine, found: &mut [PartOutlets]) {
        for a in 0..found.len() {
            for b in a + 1..found.len() {
                let Some((one, other)) = found[a].proposed().zip(found[b].proposed()) else { continue };
                let pipes = Pipe::of(one).zip(Pipe::of(other));
                let crossed = pipes.map_or_else(Vec::new, |(one, other)| crossings(&one, &other));
                let length_m = Some(self.shared_m(one, other)).filter(|m| *m > CROSSING_M);
                for (mine, place, other) in [(0, a, line.parts[b].id), (1, b, line.parts[a].id)] {
                    let meets = crossed.iter().map(|crossing| Meeting::Crosses {
                        other,
                        station_m: crossing.stations_m[mine],
                        inverts_m: [crossing.levels_m[mine], crossing.levels_m[1 - mine]],
                        between_m: crossing.between_m,
                    });
                    found[place].meetings.extend(meets);
                    found[place]
                        .meetings
                        .extend(length_m.map(|length_m| Meeting::Beside { other, length_m }));
                }
            }
        }
    }
}

fn told(clash: Clash, [a, b]: [usize; 2], refused: &str) -> Warning {
    let [at_a, at_b] = clash.stations_m.map(|station_m| metres(station_m, 1));
    let between = if clash.between_m > 0.0 {
        format!("with {} of ground between them", metres(clash.between_m, 2))
    } else {
        format!("at one level: {} are missing for them to pass each other", metres(-clash.between_m, 2))
    };
    Warning::new(
        "pipes-cross",
        format!(
            "the pipe of part {a} of the line crosses that of part {b}, at {at_a} of its way and {at_b} of the other's, {between}; {refused}"
        ),
        "allow a deeper trench (--max-depth), a flatter grade (--min-grade) or less cover (--min-cover), or give another outlet (--outlet)",
    )
}

impl Pipe {
    /// Of a way; nothing where no pipe fits.
    fn of(found: &WayOut) -> Option<Self> {
        let way = &found.way;
        let laid = way.profile()?.stations();
        let places = way.stations.iter().zip(laid).map(|(station, laid)| Place {
            station_m: station.station_m,
            at: station.point,
            invert_m: laid.invert_m,
        });
        let top_m = way.bore.above_invert().as_m();
        Some(Self { places: places.collect(), top_m, wall_m: way.bore.wall.as_m() })
    }

    fn end_m(&self) -> f64 {
        self.places.last().map_or(0.0, |place| place.station_m)
    }
}

/// Places where two ways cross, but for the ends of either and where both begin.
fn crossings(one: &Pipe, other: &Pipe) -> Vec<Crossing> {
    let mut found = Vec::new();
    for a in one.places.windows(2) {
        for b in other.places.windows(2) {
            let Some([on_one, on_other]) = meeting([a[0].at, a[1].at], [b[0].at, b[1].at]) else { continue };
            let along = |from: f64, to: f64, share: f64| (to - from).mul_add(share, from);
            let stations_m = [
                along(a[0].station_m, a[1].station_m, on_one),
                along(b[0].station_m, b[1].station_m, on_other),
            ];
            let ends_there = |pipe: &Pipe, station_m: f64| pipe.end_m() - station_m <= AT_ITS_END_M;
            let begin_there = stations_m.iter().all(|station_m| *station_m <= AT_BOTH_HEADS_M);
            if begin_there || ends_there(one, stations_m[0]) || ends_there(other, stations_m[1]) {
                continue;
            }
            let levels_m =
                [along(a[0].invert_m, a[1].invert_m, on_one), along(b[0].invert_m, b[1].invert_m, on_other)];
            let (upper, lower, fall_m) = if levels_m[0] >= levels_m[1] {
                (one, other, levels_m[0] - levels_m[1])
            } else {
                (other, one, levels_m[1] - levels_m[0])
            };
            found.push(Crossing { stations_m, levels_m, between_m: fall_m - upper.wall_m - lower.top_m });
        }
    }
    found
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
            Place { station_m: 0.0, at: from, invert_m: inverts_m[0] },
            Place { station_m: length_m, at: to, invert_m: inverts_m[1] },
        ];
        Pipe { places, top_m: 0.105, wall_m: 0.005 }
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
