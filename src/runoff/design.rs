//! Flows and volumes of one lot in the design storm.

use super::basis::{DesignBasis, Missing};
use super::graphical::{Catchment, GraphicalPeak, graphical_peak};
use super::ground_kind::GroundKind;
use super::limits::{area_beyond, little_runoff, number_below, years_beyond_factors};
use super::portions::{Portion, Portions};
use super::rain::Rain;
use super::streams::{JoinedPeak, Stream, joined_peak};
use super::travel::{Concentration, Way, concentrate};
use crate::formula::hydrograph::Triangle;
use crate::formula::rational::peak_flow;
use crate::lots::Label;
use crate::units::{Area, Flow, Length, ReturnPeriod, RunoffCoefficient, Time, Volume};
use crate::warning::{Warned, Warning};
use std::collections::BTreeMap;
use std::fmt;

/// Ground of one kind on one lot whose rain enters over one crossing and takes the same time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// The lot it fell on.
    pub label: Label,
    /// Place in the list of kinds.
    pub kind: usize,
    /// Time that its water takes.
    pub time: Time,
    /// Its area.
    pub area: Area,
}

impl Piece {
    /// Its water.
    #[must_use]
    pub fn stream(&self, kinds: &[GroundKind]) -> Stream {
        Stream { shedding: self.area * kinds[self.kind].shed_share(), time: self.time }
    }
}

/// Water of one crossing.
pub struct CrossingWater<'a> {
    /// Where its rain fell; together more than no area.
    pub pieces: Vec<Piece>,
    /// The way that takes longest of those that take no longer than a time; nothing where all such ground lies at the lot
    /// line.
    pub longest: &'a dyn Fn(Time) -> Option<Way>,
}

impl fmt::Debug for CrossingWater<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("CrossingWater").field("pieces", &self.pieces).finish_non_exhaustive()
    }
}

/// One crossing in the design storm.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossingDesign {
    /// Area whose rain enters.
    pub area: Area,
    /// Composite coefficient.
    pub coefficient: RunoffCoefficient,
    /// Time of concentration: that of the water which takes longest; nothing where all of it falls at the lot line.
    pub concentration: Option<Concentration>,
    /// The peak.
    pub peak: JoinedPeak,
    /// Of the ground that has joined in the peak the time of that whose water takes longest; nothing where it lies at the
    /// lot line.
    pub joined_concentration: Option<Concentration>,
    /// Runoff in the whole storm.
    pub volume: Option<Volume>,
    /// By the lot that the rain fell on; flows and volumes add up to the crossing's.
    pub by_lot: BTreeMap<Label, Portion>,
    /// By kind of ground; the same.
    pub by_kind: BTreeMap<usize, Portion>,
    /// The peak by the graphical method, where it is asked for and holds.
    pub graphical: Option<GraphicalPeak>,
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
    /// By lot and kind of ground, at the peak of the whole.
    pub by_lot_and_kind: BTreeMap<(Label, usize), Portion>,
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
/// Rational method with composite coefficients. Each piece of ground has the time that its own water takes, and the rain of
/// each time is tried on all that has joined by then, see [`joined_peak`]. Volumes are curve-number runoff of each kind of ground, added up:
/// curve numbers are never averaged.
#[must_use]
pub fn design(
    basis: &DesignBasis,
    kinds: Vec<GroundKind>,
    crossings: &[CrossingWater<'_>],
) -> Warned<Design> {
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
    let pieces = || crossings.iter().flat_map(|water| &water.pieces);
    let streams: Vec<Stream> = pieces().map(|piece| piece.stream(&kinds)).collect();
    let Some(peak) = joined_peak(&streams, rain) else { return Warned::clean(Design::NoRunOn) };
    let peak = peak.unload(&mut warnings);
    let area: Area = each.iter().map(|c| c.area).sum();
    let shedding: Area = streams.iter().map(|s| s.shedding).sum();
    let portions = Portions { kinds: &kinds, peak: &peak, depth };
    let mut by_lot = BTreeMap::new();
    let mut by_kind = BTreeMap::new();
    let mut by_lot_and_kind = BTreeMap::new();
    portions.add(&mut by_lot, pieces(), |piece| piece.label);
    portions.add(&mut by_kind, pieces(), |piece| piece.kind);
    portions.add(&mut by_lot_and_kind, pieces(), |piece| (piece.label, piece.kind));
    let volume = total_volume(&by_kind);
    let time = each.iter().map(|crossing| crossing.time(basis)).fold(basis.least_time, longer);
    let graphical = basis.graphical.and_then(|asked| {
        let catchment = Catchment { area, volume, time };
        graphical_peak(asked, depth, catchment, " of the whole run-on").unload(&mut warnings)
    });
    let design = LotDesign {
        coefficient: mean_coefficient(shedding, area),
        volume,
        volume_needs: volume_needs(&kinds, &by_kind, depth),
        hydrograph: volume.and_then(|volume| Triangle::new(peak.flow, volume)),
        graphical,
        bound: each.iter().map(|c| c.peak.flow).sum(),
        by_lot,
        by_kind,
        by_lot_and_kind,
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
    water: &CrossingWater<'_>,
    rain: &Rain,
) -> Warned<CrossingDesign> {
    let mut warnings = Vec::new();
    let pieces = &water.pieces;
    let area: Area = pieces.iter().map(|p| p.area).sum();
    let streams: Vec<Stream> = pieces.iter().map(|piece| piece.stream(kinds)).collect();
    let shedding: Area = streams.iter().map(|stream| stream.shedding).sum();
    let peak = joined_peak(&streams, rain).expect("some ground sheds water").unload(&mut warnings);
    let portions = Portions { kinds, peak: &peak, depth: basis.depth() };
    let (mut by_lot, mut by_kind) = (BTreeMap::new(), BTreeMap::new());
    portions.add(&mut by_lot, pieces, |piece| piece.label);
    portions.add(&mut by_kind, pieces, |piece| piece.kind);
    let concentration = |within: Time| {
        let way = (water.longest)(within)?;
        Some(concentrate(&way.points, &basis.travel_basis(way.coefficient, way.curve_number), rain))
    };
    let last = pieces.iter().map(|piece| piece.time).fold(Time::ZERO, longer);
    let mut found = CrossingDesign {
        area,
        coefficient: mean_coefficient(shedding, area),
        concentration: concentration(last).map(|found| found.unload(&mut warnings)),
        // What is to be said of the method was said of the longest.
        joined_concentration: concentration(peak.time).map(|found| found.value),
        volume: total_volume(&by_kind),
        graphical: None,
        by_lot,
        by_kind,
        peak,
    };
    let catchment = Catchment { area, volume: found.volume, time: found.time(basis) };
    // What is missing is said once, of the whole.
    found.graphical = basis
        .graphical
        .and_then(|asked| graphical_peak(asked, basis.depth(), catchment, " of a crossing").value);
    Warned::new(found, warnings)
}

impl CrossingDesign {
    /// All of its ground in the rain of its time of concentration: the rational method with one time for all.
    #[must_use]
    pub fn composite_flow(&self) -> Flow {
        let intensity =
            self.concentration.as_ref().map_or(self.peak.rain.intensity, |found| found.rain.intensity);
        peak_flow(self.coefficient, intensity, self.area)
    }

    /// Its time of concentration, or the least one.
    fn time(&self, basis: &DesignBasis) -> Time {
        self.concentration.as_ref().map_or(basis.least_time, |found| found.time)
    }
}

/// Mean coefficient; both areas are above 0.
fn mean_coefficient(shedding: Area, area: Area) -> RunoffCoefficient {
    // Rounding may take a mean of ones just above one.
    RunoffCoefficient::new((shedding / area).min(1.0)).expect("a mean of coefficients is one")
}

fn longer(a: Time, b: Time) -> Time {
    if b > a { b } else { a }
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
