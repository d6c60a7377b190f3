//! Flows and volumes of one lot in the design storm.

use super::basis::{DesignBasis, Missing};
use super::graphical::{Catchment, GraphicalPeak, graphical_peak};
use super::ground_kind::GroundKind;
use super::limits::{area_beyond, little_runoff, number_below, years_beyond_factors};
use super::portions::{Portion, Portions};
use super::rain::Rain;
use super::streams::{GatheredWater, JoinedPeak, Stream};
use super::travel::{Concentration, WayPoint, concentrate};
use crate::formula::curve_number::weighted;
use crate::formula::hydrograph::Triangle;
use crate::lots::Label;
use crate::units::{Area, CurveNumber, Flow, Length, ReturnPeriod, RunoffCoefficient, Time, Volume};
use crate::warning::{Warned, Warning};
use std::collections::BTreeMap;

/// Ground of one kind on one lot whose rain enters over one crossing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// The lot it fell on.
    pub label: Label,
    /// Place in the list of kinds.
    pub kind: usize,
    /// Band of distance from the lot line: the places of [`Ways::near`], and beyond them.
    pub band: usize,
    /// Its area.
    pub area: Area,
}

/// Water of one crossing.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossingWater {
    /// Where its rain fell; together more than no area.
    pub pieces: Vec<Piece>,
    /// Its longest ways.
    pub ways: Ways,
}

/// The longest ways to one place.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ways {
    /// From slow ground; nothing where there is none away from the lot line.
    pub slow: Option<Vec<WayPoint>>,
    /// From fast ground, roofs and paving; nothing where there is none away from the lot line.
    pub fast: Option<Vec<WayPoint>>,
    /// From slow ground within each band of distance and those before it.
    pub near: Vec<Option<Vec<WayPoint>>>,
}

/// Ground that is tried by itself, in rain too short for the rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Early {
    /// Roofs and paving.
    Fast,
    /// All ground up to a band of distance.
    Near(usize),
}

impl Early {
    fn of(peak: &JoinedPeak) -> Self {
        peak.band.map_or(Self::Fast, Self::Near)
    }

    pub(super) fn has(self, kinds: &[GroundKind], piece: &Piece) -> bool {
        match self {
            Self::Fast => kinds[piece.kind].fast,
            Self::Near(band) => piece.band <= band,
        }
    }
}

/// What enters over a stretch of a crossing: this part of its water, by the ways that end there.
#[must_use]
pub fn part_of_crossing(
    basis: &DesignBasis,
    rain: &Rain,
    ways: &Ways,
    like: &CrossingDesign,
    part: f64,
) -> GatheredWater {
    let travel = basis.travel_basis(like.coefficient, like.curve_number);
    let stream = |shedding: Area, way: &Option<Vec<WayPoint>>| {
        let time = way.as_ref().map_or(basis.least_time, |way| concentrate(way, &travel, rain).value.time);
        Stream { shedding: shedding * part, time }
    };
    let [slow, fast] = like.streams.map(|stream| stream.shedding);
    let streams = [stream(slow, &ways.slow), stream(fast, &ways.fast)];
    GatheredWater {
        streams: streams.into_iter().filter(|stream| stream.shedding.as_m2() > 0.0).collect(),
        near: like.near.iter().zip(&ways.near).map(|(near, way)| vec![stream(near.shedding, way)]).collect(),
    }
}

/// Ground within one band of distance.
#[derive(Debug, Clone, PartialEq)]
pub struct NearWater {
    /// Sum of coefficient times area.
    pub shedding: Area,
    /// Its time of concentration; nothing where it lies at the lot line.
    pub concentration: Option<Concentration>,
    /// The same, or the least time.
    pub time: Time,
}

/// One crossing in the design storm.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossingDesign {
    /// Area whose rain enters.
    pub area: Area,
    /// Composite coefficient.
    pub coefficient: RunoffCoefficient,
    /// Mean curve number by area, for the lag method only; nothing when some ground has none.
    pub curve_number: Option<CurveNumber>,
    /// Time of concentration; nothing where all of it fell at the lot line.
    pub concentration: Option<Concentration>,
    /// That of fast ground; nothing where there is none away from the lot line.
    pub fast_concentration: Option<Concentration>,
    /// The peak; the parts joined are those of its late and of its early ground.
    pub peak: JoinedPeak,
    /// Runoff in the whole storm.
    pub volume: Option<Volume>,
    /// By the lot that the rain fell on; flows and volumes add up to the crossing's.
    pub by_lot: BTreeMap<Label, Portion>,
    /// By kind of ground; the same.
    pub by_kind: BTreeMap<usize, Portion>,
    /// The peak by the graphical method, where it is asked for and holds.
    pub graphical: Option<GraphicalPeak>,
    /// Its slow and its fast stream.
    pub streams: [Stream; 2],
    /// All ground within each band of distance.
    pub near: Vec<NearWater>,
}

/// The lot in the design storm.
#[derive(Debug, Clone, PartialEq)]
pub struct LotDesign {
    /// Kinds of ground.
    pub kinds: Vec<GroundKind>,
    /// One for each crossing.
    pub crossings: Vec<CrossingDesign>,
    /// Area of the run-on.
    pub area: Area,
    /// Its composite coefficient.
    pub coefficient: RunoffCoefficient,
    /// Peak of the whole run-on.
    pub peak: JoinedPeak,
    /// Sum of the crossings' own peaks: the peak can't be higher.
    pub bound: Flow,
    /// Runoff in the whole storm.
    pub volume: Option<Volume>,
    /// Rain that the volume is of.
    pub depth: Option<Length>,
    /// What a volume lacks, in words; empty where there is one.
    pub volume_needs: Vec<String>,
    /// Peak of the whole run-on by the graphical method, where it is asked for and holds.
    pub graphical: Option<GraphicalPeak>,
    /// The course of the flood: peak of the whole and runoff of the whole storm as a triangle; nothing without a volume.
    pub hydrograph: Option<Triangle>,
    /// By lot, at the peak of the whole.
    pub by_lot: BTreeMap<Label, Portion>,
    /// By kind of ground, at the peak of the whole.
    pub by_kind: BTreeMap<usize, Portion>,
}

/// What the storm gives, or what must be given first.
#[derive(Debug, Clone, PartialEq)]
pub enum Design {
    /// Worked out.
    Estimated(Box<LotDesign>),
    /// Nothing runs onto the lot.
    NoRunOn,
    /// Not worked out.
    NotEstimated {
        /// What is missing; at least one.
        needs: Vec<Missing>,
    },
}

impl Design {
    /// The flows, if there are any.
    #[must_use]
    pub fn flows(&self) -> Option<&LotDesign> {
        match self {
            Self::Estimated(design) => Some(design),
            Self::NoRunOn | Self::NotEstimated { .. } => None,
        }
    }
}

/// Flows and volumes of all crossings and of the whole run-on.
///
/// # Method
/// Rational method with composite coefficients; the rain of a crossing lasts as long as its time of concentration;
/// ground that is fast (roofs, paving) is tried by itself, with the time from its own farthest place, and so is slow ground
/// near the lot line, see [`GatheredWater::peak`]. Volumes are curve-number runoff of each
/// kind of ground, added up: curve numbers are never averaged.
#[must_use]
pub fn design(basis: &DesignBasis, kinds: Vec<GroundKind>, crossings: &[CrossingWater]) -> Warned<Design> {
    let mut warnings = Vec::new();
    let needs = basis.missing(&kinds, crossings);
    let Some(rain) = basis.rain.as_ref().filter(|_| needs.is_empty()) else {
        let warning = basis.rain.as_ref().and_then(|_| not_worked_out(&needs));
        return Warned::new(Design::NotEstimated { needs }, warning.into_iter().collect());
    };
    let depth = basis.depth();
    let each: Vec<CrossingDesign> = crossings
        .iter()
        .map(|water| one_crossing(basis, &kinds, water, rain).unload(&mut warnings))
        .collect();
    let mut water = GatheredWater::default();
    for crossing in &each {
        water.add(gathered(&crossing.streams, &crossing.near));
    }
    let Some(peak) = water.peak(rain) else { return Warned::clean(Design::NoRunOn) };
    let peak = late_and_early(peak.unload(&mut warnings));
    let early = Early::of(&peak);
    let area: Area = each.iter().map(|c| c.area).sum();
    let shedding: Area = water.streams.iter().map(|s| s.shedding).sum();
    let whole = Portions { kinds: &kinds, intensity: peak.rain.intensity, depth };
    let by_kind = whole.of_all(crossings, early, &peak.joined, |piece| piece.kind);
    let volume = total_volume(&by_kind);
    let time = each.iter().map(|crossing| crossing.time(basis)).fold(basis.least_time, longer);
    let graphical = basis.graphical.and_then(|asked| {
        let catchment = Catchment { area, volume, time };
        graphical_peak(asked, depth, catchment, " of the whole run-on").unload(&mut warnings)
    });
    let design = LotDesign {
        coefficient: composite(shedding, area),
        volume,
        volume_needs: volume_needs(&kinds, &by_kind, depth),
        hydrograph: volume.and_then(|volume| Triangle::new(peak.flow, volume)),
        graphical,
        bound: each.iter().map(|c| c.peak.flow).sum(),
        by_lot: whole.of_all(crossings, early, &peak.joined, |piece| piece.label),
        by_kind,
        crossings: each,
        area,
        peak,
        depth,
        kinds,
    };
    warnings.extend(beyond_methods(&design, rain.years()));
    warnings.extend(rain.day_warnings());
    warnings.sort_by(|a, b| (a.code, &a.message).cmp(&(b.code, &b.message)));
    warnings.dedup();
    Warned::new(Design::Estimated(Box::new(design)), warnings)
}

fn one_crossing(
    basis: &DesignBasis,
    kinds: &[GroundKind],
    water: &CrossingWater,
    rain: &Rain,
) -> Warned<CrossingDesign> {
    let mut warnings = Vec::new();
    let area: Area = water.pieces.iter().map(|p| p.area).sum();
    let all: Area = shedding(kinds, &water.pieces, |_| true);
    let coefficient = composite(all, area);
    let curve_number = mean_curve_number(kinds, &water.pieces);
    let travel = basis.travel_basis(coefficient, curve_number);
    let slow = water.ways.slow.as_ref().map(|way| concentrate(way, &travel, rain).unload(&mut warnings));
    // What is to be said of the method was said of the first.
    let fast_concentration = water.ways.fast.as_ref().map(|way| concentrate(way, &travel, rain).value);
    let time_of = |found: &Option<Concentration>| found.as_ref().map_or(basis.least_time, |found| found.time);
    let part = |is_fast: bool| shedding(kinds, &water.pieces, |piece| kinds[piece.kind].fast == is_fast);
    let streams = [
        Stream { shedding: part(false), time: time_of(&slow) },
        Stream { shedding: part(true), time: time_of(&fast_concentration) },
    ];
    let near: Vec<NearWater> = water
        .ways
        .near
        .iter()
        .enumerate()
        .map(|(band, way)| {
            let concentration = way.as_ref().map(|way| concentrate(way, &travel, rain).value);
            let is_near = |piece: &Piece| Early::Near(band).has(kinds, piece);
            let shedding = shedding(kinds, &water.pieces, is_near);
            NearWater { shedding, time: time_of(&concentration), concentration }
        })
        .collect();
    let peak = gathered(&streams, &near).peak(rain).expect("some ground sheds water");
    let peak = late_and_early(peak.unload(&mut warnings));
    let early = Early::of(&peak);
    let time = longer(streams[0].time, streams[1].time);
    let concentration = slow.or_else(|| fast_concentration.clone());
    let portions = Portions { kinds, intensity: peak.rain.intensity, depth: basis.depth() };
    let joined = [peak.joined[0], peak.joined[1]];
    let by_kind = portions.of(&water.pieces, early, joined, |piece| piece.kind);
    let volume = total_volume(&by_kind);
    // What is missing is said once, of the whole.
    let graphical = basis.graphical.and_then(|asked| {
        graphical_peak(asked, basis.depth(), Catchment { area, volume, time }, " of a crossing").value
    });
    let found = CrossingDesign {
        area,
        coefficient,
        curve_number,
        concentration,
        fast_concentration,
        volume,
        graphical,
        by_lot: portions.of(&water.pieces, early, joined, |piece| piece.label),
        by_kind,
        peak,
        streams,
        near,
    };
    Warned::new(found, warnings)
}

impl CrossingDesign {
    /// Ground that was tried by itself.
    #[must_use]
    pub fn early(&self) -> Early {
        Early::of(&self.peak)
    }

    /// Time of the ground that gives the peak where that is not all of it: of near ground, or of roofs and paving.
    #[must_use]
    pub fn early_concentration(&self) -> Option<&Concentration> {
        match self.early() {
            Early::Fast => self.fast_concentration.as_ref(),
            Early::Near(band) => self.near[band].concentration.as_ref(),
        }
    }

    /// Its time of concentration, or the least one.
    fn time(&self, basis: &DesignBasis) -> Time {
        self.concentration.as_ref().map_or(basis.least_time, |found| found.time)
    }
}

fn longer(a: Time, b: Time) -> Time {
    if b > a { b } else { a }
}

/// Water of a crossing as it joins.
fn gathered(streams: &[Stream; 2], near: &[NearWater]) -> GatheredWater {
    let near = near.iter().map(|water| vec![Stream { shedding: water.shedding, time: water.time }]);
    GatheredWater { streams: streams.to_vec(), near: near.collect() }
}

/// The peak with two parts joined for each crossing, of its late and its early ground: of what lies beyond near ground
/// nothing counts.
fn late_and_early(mut peak: JoinedPeak) -> JoinedPeak {
    if peak.band.is_some() {
        peak.joined = peak.joined.iter().flat_map(|&near| [0.0, near]).collect();
    }
    peak
}

/// Sum of coefficient times area of some of the ground.
fn shedding(kinds: &[GroundKind], pieces: &[Piece], counts: impl Fn(&Piece) -> bool) -> Area {
    let counting = pieces.iter().filter(|piece| counts(piece));
    counting.map(|piece| piece.area * kinds[piece.kind].shed_share()).sum()
}

/// Mean coefficient; both areas are above 0.
fn composite(shedding: Area, area: Area) -> RunoffCoefficient {
    // Rounding may take a mean of ones just above one.
    RunoffCoefficient::new((shedding / area).min(1.0)).expect("a mean of coefficients is one")
}

/// Mean curve number by area, for the lag method only; nothing when some ground has none.
fn mean_curve_number(kinds: &[GroundKind], pieces: &[Piece]) -> Option<CurveNumber> {
    let parts: Option<Vec<(CurveNumber, Area)>> =
        pieces.iter().map(|p| Some((kinds[p.kind].curve_number?, p.area))).collect();
    weighted(&parts?)
}

fn total_volume(by_kind: &BTreeMap<usize, Portion>) -> Option<Volume> {
    by_kind.values().map(|portion| portion.volume).sum()
}

/// What is missing for a volume, in words.
fn volume_needs(
    kinds: &[GroundKind],
    by_kind: &BTreeMap<usize, Portion>,
    depth: Option<Length>,
) -> Vec<String> {
    let no_depth = depth.is_none().then(|| "the rain of 24 hours".to_owned());
    let lacking = by_kind.keys().map(|&place| &kinds[place]).filter(|kind| kind.curve_number.is_none());
    no_depth.into_iter().chain(lacking.map(|kind| format!("a curve number of {}", kind.name))).collect()
}

/// A storm was given, and yet there are no flows.
fn not_worked_out(needs: &[Missing]) -> Option<Warning> {
    let first = needs.first()?;
    let all: Vec<String> = needs.iter().map(Missing::in_words).collect();
    Some(Warning::new(
        "flows-not-worked-out",
        format!("no flow is worked out: {}", all.join("; ")),
        first.remedy(),
    ))
}

/// Numbers outside the range of their method.
fn beyond_methods(design: &LotDesign, years: Option<ReturnPeriod>) -> Vec<Warning> {
    let kinds = || design.by_kind.keys().map(|&place| &design.kinds[place]);
    let of_table = kinds().any(|kind| kind.factor.is_some());
    let runoff = design.volume.map(|volume| volume / design.area);
    let numbers = kinds().filter_map(|kind| number_below(kind.curve_number?, &format!(" of {}", kind.name)));
    area_beyond(design.area)
        .into_iter()
        .chain(runoff.and_then(|runoff| little_runoff(runoff, "")))
        .chain(numbers.filter(|_| runoff.is_some()))
        .chain(years.filter(|_| of_table).and_then(years_beyond_factors))
        .collect()
}

#[cfg(test)]
mod tests;
