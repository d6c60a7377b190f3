//! The way as a chain of reaches.

use super::{Area, LEAST_GRADE, Length, RainIntensity, ShallowFlow, SheetLimit, SheetRoughness, Time};
use super::{TravelBasis, WayPoint};
use crate::formula::manning::velocity as channel_velocity;
use crate::formula::{shallow_flow, sheet_flow};
use crate::units::{Grade, ManningN, Velocity};
use serde::Serialize;

/// Where water runs in a channel, and in what kind: a stand-in for sections that nobody has measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ChannelFlow {
    /// Area above, from which on there is a channel.
    #[serde(rename = "from_m2")]
    pub from: Area,
    /// Hydraulic radius when it runs full.
    #[serde(rename = "radius_m")]
    pub radius: Length,
    /// Roughness.
    pub n: ManningN,
}

impl ChannelFlow {
    /// A small ditch with grass: hydraulic radius 0.15 m, n 0.05. Common practice, no source: a real channel has its own.
    ///
    /// # Panics
    /// Never: 0.05 is a roughness.
    #[must_use]
    pub fn usual(from: Area) -> Self {
        Self { from, radius: Length::from_m(0.15), n: ManningN::new(0.05).expect("0.05 is a roughness") }
    }
}

/// How a reach flows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SegmentKind {
    /// A thin sheet.
    Sheet {
        /// Mean roughness.
        n: SheetRoughness,
        /// The formula.
        rule: SheetRule,
        /// What ends it.
        limit: SheetLimit,
    },
    /// Gathered, without a channel.
    Shallow(ShallowFlow),
    /// In a channel.
    Channel(ChannelFlow),
}

/// The formula of a sheet's time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetRule {
    /// By the 2-year, 24-hour rain (NRCS).
    TwoYearDay,
    /// By the intensity of the design rain (kinematic wave).
    Intensity,
}

/// One reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// How it flows.
    pub kind: SegmentKind,
    /// Its length.
    pub length: Length,
    /// Fall by length that counts: of a sheet its mean one, else the even one that takes as long.
    pub grade: Grade,
    /// Whether the ground falls less, on more than half of it, and the least grade counts there.
    pub raised: bool,
    /// Time through it.
    pub time: Time,
}

impl Segment {
    /// Mean velocity.
    #[must_use]
    pub fn velocity(&self) -> Velocity {
        Velocity::from_m_per_s(self.length.as_m() / self.time.as_s())
    }
}

/// All reaches from the top; lengths add up to the way's.
pub(super) fn segments(way: &[WayPoint], basis: &TravelBasis, intensity: RainIntensity) -> Vec<Segment> {
    let (Some(first), Some(last)) = (way.first(), way.last()) else { return Vec::new() };
    if last.at_m <= first.at_m {
        return Vec::new();
    }
    let (sheet, sheet_end_m) = sheet(way, basis, intensity);
    let mut found = vec![sheet];
    let mut gathered: Option<Gathered> = None;
    for pair in way.windows(2).filter(|pair| pair[1].at_m > sheet_end_m) {
        let step = Gathered::step(&pair[0], pair[1].at_m - pair[0].at_m.max(sheet_end_m), basis);
        gathered = match gathered {
            Some(so_far) if so_far.kind == step.kind => Some(so_far.and(step)),
            Some(whole) => {
                found.push(whole.segment());
                Some(step)
            }
            None => Some(step),
        };
    }
    found.extend(gathered.map(Gathered::segment));
    found
}

/// Water that has gathered, over some steps of one kind.
#[derive(Clone, Copy)]
struct Gathered {
    kind: SegmentKind,
    length_m: f64,
    time_s: f64,
    /// Sum of length over the root of the fall.
    slowness_m: f64,
    /// Length on which the least grade counts.
    raised_m: f64,
}

impl Gathered {
    fn step(from: &WayPoint, length_m: f64, basis: &TravelBasis) -> Self {
        let Pace { kind, grade, raised, velocity } = pace(from, basis);
        Self {
            kind,
            length_m,
            time_s: length_m / velocity.as_m_per_s(),
            slowness_m: length_m / grade.get().sqrt(),
            raised_m: if raised { length_m } else { 0.0 },
        }
    }

    fn and(self, next: Self) -> Self {
        Self {
            kind: self.kind,
            length_m: self.length_m + next.length_m,
            time_s: self.time_s + next.time_s,
            slowness_m: self.slowness_m + next.slowness_m,
            raised_m: self.raised_m + next.raised_m,
        }
    }

    /// As a reach of the even grade that takes as long.
    fn segment(self) -> Segment {
        let grade = (self.length_m / self.slowness_m).powi(2);
        Segment {
            kind: self.kind,
            length: Length::from_m(self.length_m),
            grade: Grade::new(grade.clamp(LEAST_GRADE, 1.0)).unwrap_or_else(|_| least_grade()),
            raised: 2.0 * self.raised_m > self.length_m,
            time: Time::from_s(self.time_s),
        }
    }
}

/// How water that has gathered runs on from a place.
pub(super) struct Pace {
    kind: SegmentKind,
    grade: Grade,
    raised: bool,
    pub(super) velocity: Velocity,
}

/// Shallow flow over the ground there; in a channel where there is one, unless the ground is faster.
pub(super) fn pace(from: &WayPoint, basis: &TravelBasis) -> Pace {
    let (grade, raised) = grade_of(from.fall, 1.0);
    let over = from.surface.shallow;
    let shallow = shallow_flow::velocity(over, grade);
    let channel = basis.channel.filter(|channel| from.upstream_m2 >= channel.from.as_m2());
    let in_channel = channel.map(|channel| (channel, channel_velocity(channel.n, channel.radius, grade)));
    let (kind, velocity) = match in_channel {
        Some((channel, velocity)) if velocity >= shallow => (SegmentKind::Channel(channel), velocity),
        _ => (SegmentKind::Shallow(over), shallow),
    };
    Pace { kind, grade, raised, velocity }
}

/// The sheet at the top: as long as the shorter of both published limits allows.
pub(super) fn sheet(way: &[WayPoint], basis: &TravelBasis, intensity: RainIntensity) -> (Segment, f64) {
    let (start_m, whole_m) = (way[0].at_m, way[way.len() - 1].at_m);
    let fixed_m = sheet_flow::longest_fixed().as_m();
    let first_end_m = whole_m.min(start_m + fixed_m);
    let end_m = sheet_end(way, start_m, first_end_m);
    let limit = if end_m < first_end_m {
        SheetLimit::ByRoughness
    } else if first_end_m < whole_m {
        SheetLimit::Fixed
    } else {
        SheetLimit::WholeWay
    };
    let n = roughness(way, start_m, end_m);
    let (grade, raised) = fall(way, start_m, end_m);
    let length = Length::from_m(end_m - start_m);
    let (rule, time) = match basis.two_year_day {
        Some(rain) => (SheetRule::TwoYearDay, sheet_flow::travel_time(n, length, rain, grade)),
        None => (SheetRule::Intensity, sheet_flow::travel_time_at(n, length, grade, intensity)),
    };
    (Segment { kind: SegmentKind::Sheet { n, rule, limit }, length, grade, raised, time }, end_m)
}

/// End of the longest sheet that is no longer than its own roughness and fall allow. One pass down the way: it is asked
/// of the ways of all cells.
fn sheet_end(way: &[WayPoint], start_m: f64, first_end_m: f64) -> f64 {
    /// How closely the end is found, m.
    const CLOSELY_M: f64 = 1e-9;
    // The step after the last place down to which the sheet holds, where there is one.
    let mut open: Option<SheetStep<'_>> = None;
    let mut rough_m = 0.0;
    for pair in way.windows(2).take_while(|pair| pair[0].at_m < first_end_m) {
        let step = SheetStep { top: &way[0], from: &pair[0], to: &pair[1], rough_m };
        if step.holds_to(pair[1].at_m.min(first_end_m)) {
            open = None;
        } else if open.is_none() {
            open = Some(step);
        }
        rough_m += pair[0].surface.sheet.get() * (pair[1].at_m - pair[0].at_m);
    }
    let Some(step) = open else { return first_end_m };
    let (mut end_m, mut too_long_m) = (step.from.at_m.max(start_m), step.to.at_m.min(first_end_m));
    while too_long_m - end_m > CLOSELY_M {
        let middle_m = f64::midpoint(end_m, too_long_m);
        if step.holds_to(middle_m) {
            end_m = middle_m;
        } else {
            too_long_m = middle_m;
        }
    }
    end_m
}

/// A step of the way on which a sheet may end.
struct SheetStep<'a> {
    top: &'a WayPoint,
    from: &'a WayPoint,
    to: &'a WayPoint,
    /// Sum of roughness times length from the top to the step.
    rough_m: f64,
}

impl SheetStep<'_> {
    /// Whether a sheet that ends on the step is no longer than its roughness and fall allow.
    fn holds_to(&self, end_m: f64) -> bool {
        let (length_m, along_m) = (end_m - self.top.at_m, end_m - self.from.at_m);
        let part = along_m / (self.to.at_m - self.from.at_m);
        let level_m = self.from.level_m + (self.to.level_m - self.from.level_m) * part;
        let n = (self.rough_m + self.from.surface.sheet.get() * along_m) / length_m;
        let n = SheetRoughness::new(n).unwrap_or(self.top.surface.sheet);
        let (grade, _) = grade_of(self.top.level_m - level_m, length_m);
        length_m <= sheet_flow::longest_by_roughness(n, grade).as_m()
    }
}

/// Level at a place of the way, between the points beside it.
pub(super) fn level_at(way: &[WayPoint], at_m: f64) -> f64 {
    let after = way.partition_point(|p| p.at_m <= at_m).clamp(1, way.len() - 1);
    let (a, b) = (way[after - 1], way[after]);
    a.level_m + (b.level_m - a.level_m) * ((at_m - a.at_m) / (b.at_m - a.at_m)).clamp(0.0, 1.0)
}

/// Mean fall between two places, and whether it was raised to the least.
pub(super) fn fall(way: &[WayPoint], from_m: f64, to_m: f64) -> (Grade, bool) {
    grade_of(level_at(way, from_m) - level_at(way, to_m), to_m - from_m)
}

/// Grade of a reach, and whether it was raised to the least.
pub(super) fn grade_of(fall_m: f64, length_m: f64) -> (Grade, bool) {
    let usable = Grade::new((fall_m / length_m).min(1.0)).ok().filter(|g| g.get() >= LEAST_GRADE);
    usable.map_or_else(|| (least_grade(), true), |grade| (grade, false))
}

fn least_grade() -> Grade {
    Grade::new(LEAST_GRADE).expect("0.1 % is a grade")
}

/// Mean roughness between two places, by length.
fn roughness(way: &[WayPoint], from_m: f64, to_m: f64) -> SheetRoughness {
    let reaching = way.windows(2).take_while(|pair| pair[0].at_m < to_m);
    let parts = reaching.map(|pair| {
        let length = (pair[1].at_m.min(to_m) - pair[0].at_m.max(from_m)).max(0.0);
        (length, pair[0].surface.sheet.get() * length)
    });
    let (length, sum) = parts.fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
    SheetRoughness::new(sum / length).unwrap_or(way[0].surface.sheet)
}
