//! Head that a full pipe loses at its entrance, bends, joins and exit.

use super::full_pipe::FullPipes;
use super::outlet::OutletWay;
use geo::Coord;

/// Places nearer than this are one, m.
const SAME_M: f64 = 1e-6;

/// Loss at the entrance, in velocity heads: an edge that is neither rounded nor thin. Handbooks have 0.5;
/// from memory.
const ENTRANCE: f64 = 0.5;
/// Velocity that is lost where the pipe ends, in velocity heads: all of it.
const EXIT: f64 = 1.0;
/// Loss at a bend, in velocity heads for each degree (FHWA, Hydraulic Engineering Circular 22, bends of storm
/// drains; from memory).
const BEND_PER_DEGREE: f64 = 0.0033;
/// Loss where another pipe comes in by a wye, in velocity heads of the flow below it. Handbooks have 0.2 to
/// 0.6 for the run of a wye, most where the branch brings much; from memory.
const JOIN: f64 = 0.6;

/// Losses at the stations of a way, in their order, m.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct MinorLosses(Vec<f64>);

impl MinorLosses {
    /// In the full pipes of a way that others join at some places; none without a flow.
    ///
    /// # Method
    /// A number of velocity heads V² / 2g at each place, of the pipe that leads on from there. Along the line water stands still around the pipe, and in the lead it runs:
    /// at the line's end the level is higher by the entrance's loss and by the velocity that the water gets
    /// there and loses at the exit. In standing water at the exit the level is that water's.
    pub(super) fn of(way: &OutletWay, pipes: &FullPipes, joins: &[Coord]) -> Self {
        let mut at_m = vec![0.0; way.stations.len()];
        let mut lose = |at: Coord, heads: f64| {
            let Some(place) = way.place_nearest(at) else { return };
            let station_m = way.stations[place].station_m;
            if station_m >= pipes.begins_m() - SAME_M {
                at_m[place] += heads * pipes.at(station_m).head_m.unwrap_or(0.0);
            }
        };
        lose(way.lead.0[0], ENTRANCE + EXIT);
        for corner in way.path.0.windows(3) {
            lose(corner[1], BEND_PER_DEGREE * turn_degrees(corner[1] - corner[0], corner[2] - corner[1]));
        }
        for &at in joins {
            lose(at, JOIN);
        }
        Self(at_m)
    }

    #[cfg(test)]
    pub(super) const fn at(stations_m: Vec<f64>) -> Self {
        Self(stations_m)
    }

    /// At a station, by its place, m.
    pub(super) fn at_m(&self, place: usize) -> f64 {
        self.0.get(place).copied().unwrap_or(0.0)
    }

    /// Of the whole way, m.
    pub(super) fn total_m(&self) -> f64 {
        self.0.iter().sum()
    }
}

/// Angle between two directions, degrees; none where one has no length.
fn turn_degrees(before: Coord, behind: Coord) -> f64 {
    let cross = before.x * behind.y - before.y * behind.x;
    let along = before.x * behind.x + before.y * behind.y;
    if cross == 0.0 && along == 0.0 { 0.0 } else { cross.abs().atan2(along).to_degrees() }
}

#[cfg(test)]
mod tests {
    use super::super::bore::Bore;
    use super::super::outlet::{DrainedEnd, LaidWay, OutletKind};
    use super::super::part::Station;
    use super::super::profile::{Outfall, ProfileLimits};
    use super::*;
    use crate::units::{Flow, Grade, Length};
    use geo::line_string;

    /// A line 10 m east and a lead 10 m on, then 20 m north, in a pipe of 0.15 m, a station every 10 m.
    fn corner() -> OutletWay {
        let path = line_string![(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.)];
        let points = [(0.0, 0.0), (10.0, 0.0), (20.0, 0.0), (20.0, 10.0), (20.0, 20.0)];
        let station = |(&(x, y), station_m): (&(f64, f64), f64)| Station {
            station_m,
            point: Coord { x, y },
            ground_m: Some(10.0),
        };
        OutletWay {
            outlet: 0,
            end: DrainedEnd::Lower,
            kind: OutletKind::StormInlet,
            lead: line_string![(x: 10., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.)],
            is_shut: false,
            length: Length::from_m(40.0),
            lead_length: Length::from_m(30.0),
            drop_available_m: None,
            drop_needed_m: 0.4,
            stations: points.iter().zip([0.0, 10.0, 20.0, 30.0, 40.0]).map(station).collect(),
            bore: Bore { inside: Length::from_m(0.15), wall: Length::ZERO, roughness: None },
            is_enlarged: false,
            limits: ProfileLimits::new(
                Length::from_m(0.45),
                Length::from_m(0.1),
                Length::from_m(1.5),
                [Grade::new(0.01).unwrap(), Grade::new(0.2).unwrap()],
                Outfall::At(8.0),
            )
            .unwrap(),
            laid: LaidWay::GroundUnknown,
            path,
        }
    }

    // 0.15 m inside: A = pi / 4 x 0.0225 = 0.01767146 m2. 17.67146 L/s run at 1 m/s: V2 / 2g = 1 / 19.6133 =
    // 0.0509858 m. Entrance and exit 1.5 of it, 0.0764787, where the lead begins; a bend of 90 degrees 0.297,
    // 0.0151428; a wye 0.6, 0.0305915.
    #[test]
    fn losses_are_velocity_heads_by_hand() {
        let flow = Flow::from_m3_per_s(0.017_671_459);
        let of = |flow: Option<Flow>, joins: &[Coord]| {
            MinorLosses::of(&corner(), &FullPipes::of_way(&corner(), flow), joins)
        };
        let found = of(Some(flow), &[Coord { x: 20.0, y: 10.0 }]);
        for (place, expected) in [0.0, 0.076_478_7, 0.015_142_8, 0.030_591_5, 0.0].into_iter().enumerate() {
            assert!((found.at_m(place) - expected).abs() < 1e-6, "{place}: {found:?}");
        }
        assert!((found.total_m() - 0.122_213_0).abs() < 1e-6);
        assert!(of(None, &[]).total_m().abs() < 1e-12);
    }
}
