//! Swales that are cut over another part's lead: the ground that is left over its pipe.

use super::meetings::Meeting;
use super::{PartOutlets, Search};
use crate::interceptor::drain::{CutSwale, DrainOption};
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
        let (asked, metres_per_unit) = (self.settings.min_cover, self.site.crs.metres_per_unit());
        let options: Vec<Option<&DrainOption>> =
            drains.parts.iter().map(|drain| drain.as_ref()?.to_build()).collect();
        let leads: Vec<Vec<Lead>> = (0..found.len()).map(|part| lead(&found[part], options[part])).collect();
        for (a, option) in options.iter().enumerate() {
            let way = found[a].proposed().map(|found| &found.way);
            let Some(swale) =
                way.zip(*option).and_then(|(way, option)| CutSwale::of(option, way, metres_per_unit))
            else {
                continue;
            };
            for b in (0..found.len()).filter(|b| *b != a) {
                let least = least_cover(&swale, &leads[b]);
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
fn least_cover(swale: &CutSwale, lead: &[Lead]) -> Option<Least> {
    let under = |place: &Lead| {
        let level_m = swale.level_over(place.at).filter(|level_m| *level_m < place.ground_m - LEVEL_M)?;
        Some(Least { station_m: place.station_m, cover_m: level_m - place.top_m })
    };
    lead.iter().filter_map(under).reduce(|a, b| if b.cover_m < a.cover_m { b } else { a })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A V of 3:1, 0.3 m deep in level ground at 10, along y = 5.
    fn swale_along() -> CutSwale {
        CutSwale::straight([Coord { x: 0.0, y: 5.0 }, Coord { x: 10.0, y: 5.0 }], 9.7, 0.9)
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
        let found = |more_m| least_cover(&swale_along(), &lead_across(more_m)).expect("it crosses");
        assert!(found(0.0).cover_m.abs() < 1e-9 && (found(0.0).station_m - 25.0).abs() < 1e-9);
        assert!((found(0.3).cover_m - 0.3).abs() < 1e-9);
        let level_m = swale_along().level_over(Coord { x: 4.0, y: 5.6 }).expect("in it");
        assert!((level_m - 9.9).abs() < 1e-9, "{level_m}");
    }

    #[test]
    fn a_lead_beside_a_swale_or_past_its_end_is_not_under_it() {
        let past: Vec<Lead> = lead_across(0.0)
            .into_iter()
            .map(|lead| Lead { at: Coord { x: 11.0, ..lead.at }, ..lead })
            .collect();
        assert!(least_cover(&swale_along(), &past).is_none());
        let ends_before: Vec<Lead> = lead_across(0.0).into_iter().filter(|lead| lead.at.y < 4.0).collect();
        assert!(least_cover(&swale_along(), &ends_before).is_none());
    }
}
