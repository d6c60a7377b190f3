//! Flows and volumes of one lot in the design storm.

use super::basis::{DesignBasis, Missing};
use super::graphical::{Catchment, GraphicalPeak, graphical_peak};
use super::ground_kind::GroundKind;
use super::limits::{area_beyond, little_runoff, number_below, years_beyond_factors};
use super::portions::{Portion, Portions};
use super::rain::Rain;
use super::streams::{JoinedPeak, Stream, joined_peak};
use super::travel::{Concentration, TravelBasis, WayPoint, concentrate};
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
    /// From anywhere; nothing where all of the water fell at the lot line.
    pub all: Option<Vec<WayPoint>>,
    /// From fast ground, roofs and paving; nothing where there is none away from the lot line.
    pub fast: Option<Vec<WayPoint>>,
}

impl Ways {
    /// Times of concentration of all ground and of the fast ground.
    fn times(&self, travel: &TravelBasis, rain: &Rain) -> Warned<[Option<Concentration>; 2]> {
        let mut warnings = Vec::new();
        let all = self.all.as_ref().map(|way| concentrate(way, travel, rain).unload(&mut warnings));
        // What is to be said of the method was said of the first.
        let fast = self.fast.as_ref().map(|way| concentrate(way, travel, rain).value);
        Warned::new([all, fast], warnings)
    }
}

/// Times of the slow and of the fast water at another place of the lot line, over ground like a crossing's.
#[must_use]
pub fn stream_times(basis: &DesignBasis, rain: &Rain, ways: &Ways, like: &CrossingDesign) -> [Time; 2] {
    let travel = basis.travel_basis(like.coefficient, like.curve_number);
    let found = ways.times(&travel, rain).value;
    found.map(|time| time.map_or(basis.least_time, |found| found.time))
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
    /// The peak.
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
/// ground that is fast (roofs, paving) is tried by itself, with the time from its own farthest place, see [`joined_peak`]. Volumes are curve-number runoff of each
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
    let streams: Vec<Stream> = each.iter().flat_map(|crossing| crossing.streams).collect();
    let Some(peak) = joined_peak(&streams, rain) else { return Warned::clean(Design::NoRunOn) };
    let peak = peak.unload(&mut warnings);
    let area: Area = each.iter().map(|c| c.area).sum();
    let shedding: Area = streams.iter().map(|s| s.shedding).sum();
    let whole = Portions { kinds: &kinds, intensity: peak.rain.intensity, depth };
    let by_kind = whole.of_all(crossings, &peak.joined, |piece| piece.kind);
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
        by_lot: whole.of_all(crossings, &peak.joined, |piece| piece.label),
        by_kind,
        crossings: each,
        area,
        peak,
        depth,
        kinds,
    };
    warnings.extend(beyond_methods(&design, rain.years()));
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
    let [slow, fast] = [false, true].map(|fast| shedding(kinds, &water.pieces, fast));
    let area: Area = water.pieces.iter().map(|p| p.area).sum();
    let coefficient = composite(slow + fast, area);
    let curve_number = mean_curve_number(kinds, &water.pieces);
    let travel = basis.travel_basis(coefficient, curve_number);
    let [concentration, fast_concentration] = water.ways.times(&travel, rain).unload(&mut warnings);
    let time_of = |found: &Option<Concentration>| found.as_ref().map_or(basis.least_time, |found| found.time);
    let time = time_of(&concentration);
    let streams =
        [Stream { shedding: slow, time }, Stream { shedding: fast, time: time_of(&fast_concentration) }];
    let peak = joined_peak(&streams, rain).expect("some ground sheds water").unload(&mut warnings);
    let portions = Portions { kinds, intensity: peak.rain.intensity, depth: basis.depth() };
    let joined = [peak.joined[0], peak.joined[1]];
    let by_kind = portions.of(&water.pieces, joined, |piece| piece.kind);
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
        by_lot: portions.of(&water.pieces, joined, |piece| piece.label),
        by_kind,
        peak,
        streams,
    };
    Warned::new(found, warnings)
}

impl CrossingDesign {
    /// Its time of concentration, or the least one.
    fn time(&self, basis: &DesignBasis) -> Time {
        self.concentration.as_ref().map_or(basis.least_time, |found| found.time)
    }
}

fn longer(a: Time, b: Time) -> Time {
    if b > a { b } else { a }
}

/// Sum of coefficient times area of the fast ground, or of the rest.
fn shedding(kinds: &[GroundKind], pieces: &[Piece], fast: bool) -> Area {
    pieces
        .iter()
        .filter(|piece| kinds[piece.kind].fast == fast)
        .map(|piece| piece.area * kinds[piece.kind].shed_share())
        .sum()
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
