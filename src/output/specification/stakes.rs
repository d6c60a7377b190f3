//! Levels at stakes, and how exactly to keep to them.

use super::super::screen::Units;
use super::{Built, Topic};
use crate::interceptor::drain::{CoursePlace, stakes};
use crate::units::Length;

/// Stakes are no farther apart, m (25 ft). Common practice, no source.
pub(in crate::output) const STAKES_M: f64 = 7.62;

/// Invert at a stake may be off by so much, mm (3/8 in). Common practice, no source.
const TOLERANCE_MM: f64 = 10.0;

/// A line for each stake, and how exactly to keep to it.
pub(super) fn stake_lines(built: &Built<'_>) -> Vec<Topic> {
    let units = built.units;
    let found = stakes(built.option, built.way, Length::from_m(STAKES_M));
    if found.is_empty() {
        return Vec::new();
    }
    let mut lines: Vec<Topic> = found.iter().map(|stake| ("stake", stake_words(stake, units))).collect();
    let rises = if built.option.reaches.is_empty() {
        "nowhere does the bed rise down the way"
    } else {
        "nowhere does pipe or bed rise down the way"
    };
    lines.push((
        "tolerance",
        format!(
            "at each stake pipe and bed within {} of the level given, in between no farther off; {rises}; never flatter than the grade given",
            units.tolerance(TOLERANCE_MM)
        ),
    ));
    lines
}

fn stake_words(stake: &CoursePlace, units: Units) -> String {
    let mut words = vec![format!("ground {}", units.level(stake.ground_m))];
    if let Some(bed_m) = stake.swale_bed_m {
        words.push(format!(
            "bed of the swale {}, {} below the ground",
            units.level(bed_m),
            units.level(stake.ground_m - bed_m)
        ));
    }
    if let Some(invert_m) = stake.invert_m {
        words.push(format!("invert {}", units.level(invert_m)));
    }
    if let Some((bottom_m, cut_m)) = stake.bottom_m.zip(stake.cut_from_ground_m()) {
        words.push(format!("dig to {}, {} below the ground", units.level(bottom_m), units.level(cut_m)));
    }
    format!("at {} of the way: {}", units.length(stake.station_m), words.join("; "))
}
