//! Stakes: where they stand, and the levels at each.

use super::super::error::OutputError;
use super::super::geometry::Writer;
use super::super::specification::STAKES_M;
use crate::interceptor::drain::{CoursePlace, stakes as stakes_of};
use crate::interceptor::{LinePart, Station};
use crate::pipeline::Assessment;
use crate::units::Length;
use geo::Coord;

/// A stake of a part's way to its outlet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stake {
    /// Number of the part.
    pub(super) part: usize,
    /// Number within the part, from the head.
    pub(super) number: usize,
    /// From the head, m.
    pub(super) station_m: f64,
    /// In the working coordinate system, in its unit.
    pub(super) at: Coord,
    /// The same in metres.
    pub(super) metres: Coord,
    /// Longitude and latitude, degrees.
    pub(super) lonlat: Coord,
    /// Levels there.
    pub(super) levels: Levels,
}

/// Levels at a stake, m; nothing of what isn't built there.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
#[expect(clippy::struct_field_names, reason = "the unit")]
pub(super) struct Levels {
    pub(super) ground_m: Option<f64>,
    pub(super) invert_m: Option<f64>,
    pub(super) bottom_m: Option<f64>,
    /// From the ground, on which the stake stands, down to the bottom of the trench, else to the bed of the swale.
    pub(super) cut_from_ground_m: Option<f64>,
    pub(super) swale_bed_m: Option<f64>,
}

impl Stake {
    /// As it is written on the stake.
    pub(super) fn name(&self) -> String {
        format!("{}-{:02}", self.part, self.number)
    }

    /// The levels in words.
    pub(super) fn words(&self) -> String {
        let Levels { ground_m, invert_m, bottom_m, cut_from_ground_m, swale_bed_m } = self.levels;
        let all = [
            ("ground", ground_m),
            ("bed of the swale", swale_bed_m),
            ("invert", invert_m),
            ("dig to", bottom_m),
            ("cut from the ground", cut_from_ground_m),
        ];
        let known = all.into_iter().filter_map(|(name, m)| Some(format!("{name} {:.2} m", m?)));
        std::iter::once(format!("at {:.1} m", self.station_m)).chain(known).collect::<Vec<_>>().join(", ")
    }
}

/// The stakes of all parts, those of the checklist; of a part without a drain along the line alone, with the ground.
pub(super) fn stakes(assessment: &Assessment<'_>) -> Result<Vec<Stake>, OutputError> {
    let (writer, unit_m) = (Writer::new(&assessment.site.crs), assessment.site.crs.map_unit_m());
    let mut all = Vec::new();
    for (place, part) in assessment.interception.parts.iter().enumerate() {
        for ((station_m, at, levels), number) in part_stakes(assessment, place, part).into_iter().zip(1..) {
            let (metres, lonlat) = (at * unit_m, writer.place(at)?);
            all.push(Stake { part: part.id, number, station_m, at, metres, lonlat, levels });
        }
    }
    Ok(all)
}

fn part_stakes(assessment: &Assessment<'_>, place: usize, part: &LinePart) -> Vec<(f64, Coord, Levels)> {
    let way = assessment.outlets[place].proposed().map(|found| &found.way);
    let option = assessment.drains.parts[place].as_ref().and_then(|drain| drain.to_build());
    let Some((way, option)) = way.zip(option) else { return along(&part.stations) };
    let found = stakes_of(option, way, Length::from_m(STAKES_M));
    found.iter().filter_map(|at| Some((at.station_m, way.place_at(at.station_m)?, Levels::of(at)))).collect()
}

/// Stations of a line no farther apart than stakes are.
fn along(stations: &[Station]) -> Vec<(f64, Coord, Levels)> {
    let mut found: Vec<(f64, Coord, Levels)> = Vec::new();
    for (place, station) in stations.iter().enumerate() {
        let next_m = stations.get(place + 1).map(|next| next.station_m);
        let is_due = |before: &(f64, Coord, Levels)| next_m.is_none_or(|m| m - before.0 > STAKES_M);
        if found.last().is_none_or(is_due) {
            let levels = Levels { ground_m: station.ground_m, ..Levels::default() };
            found.push((station.station_m, station.point, levels));
        }
    }
    found
}

impl Levels {
    fn of(at: &CoursePlace) -> Self {
        Self {
            ground_m: Some(at.ground_m),
            invert_m: at.invert_m,
            bottom_m: at.bottom_m,
            cut_from_ground_m: at.cut_from_ground_m(),
            swale_bed_m: at.swale_bed_m,
        }
    }
}

const HEAD: [&str; 12] = [
    "line",
    "stake",
    "station_m",
    "lon",
    "lat",
    "east_m",
    "north_m",
    "ground_m",
    "invert_m",
    "bottom_m",
    "cut_from_ground_m",
    "swale_bed_m",
];

/// `stakes.csv`; only its head where there is no line.
pub(super) fn stakes_csv(stakes: &[Stake]) -> Result<String, OutputError> {
    let fault = |cause: String| OutputError::Table { what: "stakes.csv", cause };
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(HEAD).map_err(|cause| fault(cause.to_string()))?;
    for stake in stakes {
        let Levels { ground_m, invert_m, bottom_m, cut_from_ground_m, swale_bed_m } = stake.levels;
        let places = [
            stake.part.to_string(),
            stake.name(),
            format!("{:.3}", stake.station_m),
            format!("{:.7}", stake.lonlat.x),
            format!("{:.7}", stake.lonlat.y),
            format!("{:.3}", stake.metres.x),
            format!("{:.3}", stake.metres.y),
        ];
        let levels = [ground_m, invert_m, bottom_m, cut_from_ground_m, swale_bed_m];
        let levels = levels.map(|m| m.map_or_else(String::new, |m| format!("{m:.3}")));
        table.write_record(places.iter().chain(&levels)).map_err(|cause| fault(cause.to_string()))?;
    }
    let bytes = table.into_inner().map_err(|cause| fault(cause.to_string()))?;
    String::from_utf8(bytes).map_err(|cause| fault(cause.to_string()))
}
