//! Swales that are cut over another part's lead: the ground that is left over its pipe.

use super::meetings::Meeting;
use super::{PartOutlets, Search};
use crate::interceptor::drain::{DrainOption, course};
use crate::interceptor::{Bore, InterceptionLine};
use crate::pipeline::drain::Drains;
use crate::units::Length;
use crate::warning::Warning;
use crate::wording::metres;
use geo::Coord;

/// A lead is looked at at places no farther apart than this, m. Ours.
const STEP_M: f64 = 0.25;
/// Less is as good as nothing, m: what a stake's level may be off by. Ours.
const LEVEL_M: f64 = 0.01;

/// A place of a swale.
#[derive(Debug, Clone, Copy, PartialEq)]
struct SwalePlace {
    at: Coord,
    bed_m: f64,
    /// From its middle to its edge at the ground, m, and rise of its sides by length.
    half_width_m: f64,
    side: f64,
}

/// A place of a lead.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Lead {
    station_m: f64,
    at: Coord,
    ground_m: f64,
    /// Top of the pipe, m.
    top_m: f64,
}

/// Where the ground over a pipe is least below a swale.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Least {
    station_m: f64,
    cover_m: f64,
}

impl Search<'_> {
    /// Notes where the swale of one part leaves less ground over another's lead than is asked for, and says so.
    ///
    /// # Method
    /// The V's level over the pipe is that of its bed at the nearest place of its middle, and its side's
    /// beside that.
    pub(super) fn note_swales(
        &self,
        line: &InterceptionLine,
        found: &mut [PartOutlets],
        drains: &Drains,
    ) -> Vec<Warning> {
        let mut warnings = Vec::new();
        let asked = self.settings.min_cover;
        let options: Vec<Option<&DrainOption>> =
            drains.parts.iter().map(|drain| drain.as_ref()?.to_build()).collect();
        let leads: Vec<Vec<Lead>> = (0..found.len()).map(|part| lead(&found[part], options[part])).collect();
        for (a, option) in options.iter().enumerate() {
            let swale = option.map_or_else(Vec::new, |option| swale(&found[a], option));
            for b in (0..found.len()).filter(|b| *b != a) {
                let least = least_cover(&swale, &leads[b], self.site.crs.metres_per_unit());
                let Some(least) = least.filter(|least| least.cover_m < asked.as_m() - LEVEL_M) else {
                    continue;
                };
                let Least { station_m, cover_m } = least;
                found[b].meetings.push(Meeting::UnderSwale { other: line.parts[a].id, station_m, cover_m });
                warnings.push(told(least, [line.parts[a].id, line.parts[b].id], asked));
            }
        }
        warnings
    }
}

fn told(least: Least, [swale, lead]: [usize; 2], asked: Length) -> Warning {
    let left = if least.cover_m > 0.0 {
        format!("leaves {} of ground over its pipe", metres(least.cover_m, 2))
    } else {
        format!("comes {} below the top of its pipe", metres(-least.cover_m, 2))
    };
    Warning::new(
        "swale-over-pipe",
        format!(
            "the swale of part {swale} of the line crosses the lead of part {lead}, at {} of its way, and {left} instead of {}",
            metres(least.station_m, 1),
            metres(asked.as_m(), 2)
        ),
        "ask for more ground over the pipes (--min-cover) or another arrangement (--arrangement), or name another outlet (--outlet)",
    )
}

fn swale(outlets: &PartOutlets, option: &DrainOption) -> Vec<SwalePlace> {
    let (Some(found), Some(swale)) = (outlets.proposed(), &option.swale) else { return Vec::new() };
    let places = course(option, &found.way);
    let beds = found.way.stations.iter().zip(&places).filter_map(|(station, place)| {
        let bed_m = place.swale_bed_m?;
        let depth = Length::from_m(place.ground_m - bed_m);
        let half_width_m = 0.5 * swale.bed.width_at(depth).as_m();
        let side = depth.as_m() / half_width_m;
        Some(SwalePlace { at: station.point, bed_m, half_width_m, side })
    });
    beds.collect()
}

/// Places of a lead with the pipe that is built there, else with that of the way.
fn lead(outlets: &PartOutlets, option: Option<&DrainOption>) -> Vec<Lead> {
    let Some((way, lawn)) = outlets.proposed().and_then(|found| Some((&found.way, found.way.profile()?)))
    else {
        return Vec::new();
    };
    let laid = option.map_or(lawn, |option| option.profile(lawn));
    let bore = option.and_then(DrainOption::highest_pipe).map_or(way.bore, Bore::of_size);
    let (to_m, length_m) = (way.length.as_m(), way.lead_length.as_m());
    let steps = (length_m / STEP_M).ceil().max(1.0);
    let stations =
        std::iter::successors(Some(0.0), |step| Some(step + 1.0)).take_while(|step| *step <= steps);
    let at = |step: f64| {
        let station_m = to_m - length_m * (1.0 - step / steps);
        let top_m = laid.invert_at(station_m) + bore.above_invert().as_m();
        Some(Lead { station_m, at: way.place_at(station_m)?, ground_m: lawn.ground_at(station_m), top_m })
    };
    stations.filter_map(at).collect()
}

/// The least ground between a swale and a lead below it; nothing where it isn't cut there.
fn least_cover(swale: &[SwalePlace], lead: &[Lead], metres_per_unit: f64) -> Option<Least> {
    let under = |place: &Lead| {
        let levels = swale.windows(2).filter_map(|piece| level_over(piece, place.at, metres_per_unit));
        let level_m = levels.reduce(f64::min).filter(|level_m| *level_m < place.ground_m - LEVEL_M)?;
        Some(Least { station_m: place.station_m, cover_m: level_m - place.top_m })
    };
    lead.iter().filter_map(under).reduce(|a, b| if b.cover_m < a.cover_m { b } else { a })
}

/// Level of a straight piece of a swale over a place; nothing beside it.
fn level_over(piece: &[SwalePlace], at: Coord, metres_per_unit: f64) -> Option<f64> {
    let (from, to) = (piece[0], piece[1]);
    let (run, off) = (to.at - from.at, at - from.at);
    let square = run.x * run.x + run.y * run.y;
    let share = if square > 0.0 { ((off.x * run.x + off.y * run.y) / square).clamp(0.0, 1.0) } else { 0.0 };
    let nearest = from.at + run * share;
    let away_m = (at.x - nearest.x).hypot(at.y - nearest.y) * metres_per_unit;
    let along = |a: f64, b: f64| (b - a).mul_add(share, a);
    let inside = away_m < along(from.half_width_m, to.half_width_m);
    inside.then(|| along(from.bed_m, to.bed_m) + away_m * along(from.side, to.side))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A V of 3:1, 0.3 m deep in level ground at 10, along y = 5.
    fn swale_along() -> Vec<SwalePlace> {
        let bed =
            |x: f64| SwalePlace { at: Coord { x, y: 5.0 }, bed_m: 9.7, half_width_m: 0.9, side: 1.0 / 3.0 };
        vec![bed(0.0), bed(10.0)]
    }

    /// A lead along x = 4 from y = 0 to 10, its top 0.3 m below the ground but for some more.
    fn lead_across(more_m: f64) -> Vec<Lead> {
        let at = |step: u32| {
            let y = f64::from(step) * 0.25;
            Lead { station_m: 20.0 + y, at: Coord { x: 4.0, y }, ground_m: 10.0, top_m: 9.7 - more_m }
        };
        (0..=40).map(at).collect()
    }

    // A pipe with 0.3 m of ground over it has none left under the middle of the V; one 0.3 m deeper has 0.3 m.
    // Under the side, 0.6 m off the middle, the V is 0.3 - 0.6 / 3 = 0.1 m deep.
    #[test]
    fn the_ground_over_a_pipe_counts_from_the_swale_over_it() {
        let found = |more_m| least_cover(&swale_along(), &lead_across(more_m), 1.0).expect("it crosses");
        assert!(found(0.0).cover_m.abs() < 1e-9 && (found(0.0).station_m - 25.0).abs() < 1e-9);
        assert!((found(0.3).cover_m - 0.3).abs() < 1e-9);
        let level_m = level_over(&swale_along(), Coord { x: 4.0, y: 5.6 }, 1.0).expect("in it");
        assert!((level_m - 9.9).abs() < 1e-9, "{level_m}");
    }

    #[test]
    fn a_lead_beside_a_swale_or_past_its_end_is_not_under_it() {
        let past: Vec<Lead> = lead_across(0.0)
            .into_iter()
            .map(|lead| Lead { at: Coord { x: 11.0, ..lead.at }, ..lead })
            .collect();
        assert!(least_cover(&swale_along(), &past, 1.0).is_none());
        let ends_before: Vec<Lead> = lead_across(0.0).into_iter().filter(|lead| lead.at.y < 4.0).collect();
        assert!(least_cover(&swale_along(), &ends_before, 1.0).is_none());
        assert!(least_cover(&[], &lead_across(0.0), 1.0).is_none());
    }
}
