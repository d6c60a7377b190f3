//! The profile that is laid.

use super::{GroundPoint, ProfileLimits};
use serde::Serialize;

/// A place of the profile.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ProfileStation {
    /// Along the line, m.
    pub station_m: f64,
    /// Level of the ground, m.
    pub ground_m: f64,
    /// Level of the pipe's invert, m.
    pub invert_m: f64,
    /// Depth of the trench, m.
    pub cut_m: f64,
}

/// A stretch of one grade.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GradeReach {
    /// Upper end along the line, m.
    pub from_m: f64,
    /// Lower end, m.
    pub to_m: f64,
    /// Invert at the upper end, m.
    pub from_invert_m: f64,
    /// Invert at the lower end, m.
    pub to_invert_m: f64,
    /// Fall by length.
    pub grade: f64,
}

/// A pipe below the ground.
///
/// # Invariants
/// Stations are the places of the ground, in their order; inverts never rise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Profile {
    stations: Vec<ProfileStation>,
    grades: Vec<GradeReach>,
}

impl Profile {
    /// From places and inverts where the grade changes, the ends included.
    pub(super) fn of(ground: &[GroundPoint], limits: &ProfileLimits, breaks: &[(usize, f64)]) -> Self {
        let grades: Vec<GradeReach> = breaks
            .windows(2)
            .map(|pair| {
                let [(from, from_invert_m), (to, to_invert_m)] = [pair[0], pair[1]];
                let (from_m, to_m) = (ground[from].station_m, ground[to].station_m);
                let grade = (from_invert_m - to_invert_m) / (to_m - from_m);
                GradeReach { from_m, to_m, from_invert_m, to_invert_m, grade }
            })
            .collect();
        let station = |point: &GroundPoint| {
            let invert_m = invert_at(&grades, point.station_m);
            ProfileStation {
                station_m: point.station_m,
                ground_m: point.ground_m,
                invert_m,
                cut_m: point.ground_m - invert_m + limits.below_m(),
            }
        };
        Self { stations: ground.iter().map(station).collect(), grades }
    }

    /// The stations.
    #[must_use]
    pub fn stations(&self) -> &[ProfileStation] {
        &self.stations
    }

    /// The grades, from the upper end.
    #[must_use]
    pub fn grades(&self) -> &[GradeReach] {
        &self.grades
    }

    /// Level of the invert at a place along the line, m; that of the nearer end beyond its ends.
    #[must_use]
    pub fn invert_at(&self, station_m: f64) -> f64 {
        invert_at(&self.grades, station_m)
    }

    /// Level of the ground at a place along the line, m: straight between stations, and that of the nearer end beyond
    /// them.
    #[must_use]
    pub fn ground_at(&self, station_m: f64) -> f64 {
        let after = self.stations.partition_point(|at| at.station_m < station_m);
        let to = self.stations[after.min(self.stations.len() - 1)];
        let from = self.stations[after.saturating_sub(1)];
        let run_m = to.station_m - from.station_m;
        let share = if run_m > 0.0 { ((station_m - from.station_m) / run_m).clamp(0.0, 1.0) } else { 1.0 };
        from.ground_m + (to.ground_m - from.ground_m) * share
    }

    /// The station with the deepest trench.
    #[must_use]
    pub fn deepest(&self) -> ProfileStation {
        let deeper = |a: ProfileStation, b: ProfileStation| if b.cut_m > a.cut_m { b } else { a };
        self.stations.iter().copied().fold(self.stations[0], deeper)
    }

    /// Fall from end to end, m.
    #[must_use]
    pub fn fall_m(&self) -> f64 {
        self.stations[0].invert_m - self.stations[self.stations.len() - 1].invert_m
    }

    /// Area of the trench's long side, from the ground to the bottom, m².
    #[must_use]
    pub fn dug_m2(&self) -> f64 {
        let pairs = self.stations.windows(2);
        pairs.map(|p| 0.5 * (p[0].cut_m + p[1].cut_m) * (p[1].station_m - p[0].station_m)).sum()
    }
}

fn invert_at(grades: &[GradeReach], station_m: f64) -> f64 {
    let reach = grades.iter().find(|reach| station_m <= reach.to_m).unwrap_or(&grades[grades.len() - 1]);
    if station_m <= reach.from_m {
        return reach.from_invert_m;
    }
    let part = ((station_m - reach.from_m) / (reach.to_m - reach.from_m)).min(1.0);
    reach.from_invert_m + (reach.to_invert_m - reach.from_invert_m) * part
}
