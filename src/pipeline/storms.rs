//! The drains in storms of other return periods: which they carry.

mod laid;

use super::catchment::Routed;
use super::drain::Drains;
use super::outlets::PartOutlets;
use super::part_water::Feeding;
use super::settings::Settings;
use super::shares::{Comes, TakenShare};
use super::storm::Stormed;
use super::ways::OtherRain;
use crate::error::Error;
use crate::formula::frequency_factor::YEARS;
use crate::interceptor::drain::Loaded;
use crate::interceptor::{InterceptionLine, LinePart, LineStorm, part_peak};
use crate::runoff::{DesignBasis, GroundKind, JoinedPeak, LotDesign, Rain, Source, Stream};
use crate::units::{Flow, ReturnPeriod, RunoffCoefficient};
use crate::warning::{Warned, Warning};
use laid::Laid;

/// Return periods nearer than this are one: tables print them rounded.
const SAME: f64 = 0.005;

/// One part's drain in one storm.
#[derive(Debug, Clone, PartialEq)]
pub struct StormRow {
    /// Return period of the rain, where it is known.
    pub years: Option<ReturnPeriod>,
    /// Whether it is the storm that things are sized for.
    pub is_design: bool,
    /// Peak of the part in it.
    pub peak: JoinedPeak,
    /// What each arrangement does to it, in the order of the drain's options.
    pub loads: Vec<Loaded>,
}

/// One part's drain in all storms.
#[derive(Debug, Clone, PartialEq)]
pub struct PartStorms {
    /// The storms, by rising return period.
    pub rows: Vec<StormRow>,
    /// Whether some ground has a coefficient that was typed or given: it is the same in every storm.
    pub fixed_coefficients: bool,
    /// What of the part's water is taken place by place in the first storm that the chosen drain doesn't carry
    /// whole; nothing where it carries all, or none is chosen.
    pub(super) not_carried: Option<TakenShare>,
}

impl PartStorms {
    /// The last storm up to which an arrangement carries all, by its place among the options; nothing where it carries none.
    #[must_use]
    pub fn largest_carried(&self, option: usize) -> Option<&StormRow> {
        self.rows.iter().take_while(|row| row.loads[option].carries()).last()
    }
}

/// What the water of a part is found from.
pub(super) struct Flowing<'a> {
    pub(super) routed: &'a Routed,
    pub(super) feeding: &'a [Feeding],
    pub(super) stormed: &'a Stormed,
}

/// A storm other than the design's.
struct Other {
    storm: DesignBasis,
    rain: OtherRain,
    /// Mean coefficient of the run-on in it.
    coefficient: RunoffCoefficient,
}

/// Puts all drains into the storms of the rainfall table; into the design storm alone without one.
///
/// # Method
/// Drains stay as they are sized. A part's flow in another storm is the joined peak of the same water, with that storm's rain
/// and coefficients, in the times of that rain. `docs/methods.md`, "Storms that a drain carries".
pub(super) fn storms(
    flowing: &Flowing<'_>,
    interception: &InterceptionLine,
    (outlets, comes): (&[PartOutlets], &[Option<Comes>]),
    drains: &Drains,
    settings: &Settings,
) -> Result<Warned<Vec<Option<PartStorms>>>, Error> {
    let mut warnings = Vec::new();
    let mut found: Vec<Option<PartStorms>> = vec![None; interception.parts.len()];
    let Some(design) = flowing.stormed.design.flows().filter(|_| drains.parts.iter().any(Option::is_some))
    else {
        return Ok(Warned::clean(found));
    };
    let others = others(flowing, design, settings)?;
    let peaks: Vec<Vec<JoinedPeak>> = interception
        .parts
        .iter()
        .zip(flowing.feeding)
        .map(|(part, feeding)| flowing.peaks(part, feeding, &others, &mut warnings))
        .collect();
    let fixed_coefficients = has_fixed(design);
    for (place, found) in found.iter_mut().enumerate() {
        let Some(drain) = &drains.parts[place] else { continue };
        let mut rows = Vec::new();
        for storm in 0..=others.len() {
            let flow_of = |part: usize| -> Option<Flow> {
                match storm.checked_sub(1) {
                    None => interception.parts[part].flow(),
                    Some(other) => peaks[part].get(other).map(|peak| peak.flow),
                }
            };
            let laid = Laid::of(outlets, drains, &flow_of)?;
            let (years, peak) = match storm.checked_sub(1) {
                None => (
                    settings.storm.rain.as_ref().and_then(Rain::years),
                    interception.parts[place].peak.clone(),
                ),
                Some(other) => (
                    others[other].storm.rain.as_ref().and_then(Rain::years),
                    peaks[place].get(other).cloned(),
                ),
            };
            let Some(peak) = peak else { continue };
            let loads = laid.loads(place, drain)?;
            let taken = laid.taken(place, drain, comes[place].as_ref())?;
            rows.push((StormRow { years, is_design: storm == 0, peak, loads }, taken));
        }
        let rank = |row: &StormRow| row.years.map_or(0.0, ReturnPeriod::get);
        rows.sort_by(|(a, _), (b, _)| rank(a).total_cmp(&rank(b)));
        let (rows, taken): (Vec<StormRow>, Vec<Option<TakenShare>>) = rows.into_iter().unzip();
        let not_carried = taken.into_iter().flatten().next();
        *found = Some(PartStorms { rows, fixed_coefficients, not_carried });
    }
    Ok(Warned::new(found, warnings))
}

/// Storms of the table other than the design's, of return periods for which the factors of coefficients are printed.
fn others(flowing: &Flowing<'_>, design: &LotDesign, settings: &Settings) -> Result<Vec<Other>, Error> {
    let Some((Source::Table(table), Some(own))) =
        settings.storm.rain.as_ref().map(|rain| (rain.source(), rain.years()))
    else {
        return Ok(Vec::new());
    };
    let holds = |years: &&ReturnPeriod| {
        let t = years.get();
        (YEARS[0]..=YEARS[1]).contains(&t) && (t / own.get() - 1.0).abs() > SAME
    };
    let mut found = Vec::new();
    for &years in table.periods().iter().filter(holds) {
        // The table has the return periods that it lists.
        let Ok(rain) = Rain::table(table.as_ref().clone(), years) else { continue };
        let storm = DesignBasis { rain: Some(rain), ..settings.storm.clone() };
        let kinds = flowing.stormed.covers.kinds_in(Some(years), settings)?;
        let times = flowing.stormed.ways.times_in(&kinds, &storm);
        let coefficient = mean_coefficient(design, &kinds);
        found.push(Other { storm, rain: OtherRain { kinds, times }, coefficient });
    }
    Ok(found)
}

/// Mean coefficient of the run-on.
fn mean_coefficient(design: &LotDesign, kinds: &[GroundKind]) -> RunoffCoefficient {
    let shedding = |(&kind, portion): (&usize, &crate::runoff::Portion)| {
        portion.area * kinds[kind].coefficient.map_or(0.0, f64::from)
    };
    let sum: crate::units::Area = design.by_kind.iter().map(shedding).sum();
    // Rounding may take a mean of ones just above one.
    RunoffCoefficient::new((sum / design.area).min(1.0)).unwrap_or(design.coefficient)
}

/// Whether some of the run-on's ground sheds the same share in every storm.
fn has_fixed(design: &LotDesign) -> bool {
    design.by_kind.keys().any(|&kind| design.kinds[kind].factor.is_none())
}

impl Flowing<'_> {
    /// Peaks of a part in other storms.
    fn peaks(
        &self,
        part: &LinePart,
        feeding: &Feeding,
        others: &[Other],
        warnings: &mut Vec<Warning>,
    ) -> Vec<JoinedPeak> {
        if others.is_empty() {
            return Vec::new();
        }
        let Stormed { ways, covers, .. } = self.stormed;
        let storms: Vec<_> = others.iter().map(|o| (&o.rain, &o.storm, o.coefficient)).collect();
        let streams = feeding.streams_in(self.routed, (ways, covers), &storms);
        let peak = |(other, streams): (&Other, Vec<Stream>)| {
            let rain = other.storm.rain.as_ref()?;
            let strip_time = other.storm.least_time;
            let storm = LineStorm { rain, strip_coefficient: other.coefficient, strip_time };
            Some(part_peak(&streams, part.strip_area, storm)?.unload(warnings))
        };
        others.iter().zip(streams).map_while(peak).collect()
    }
}
