//! The drains of the line's parts: how their water grows, the arrangements side by side, the one that is chosen, and the
//! bill of all of them.

mod deep;
mod findings;
mod growth;
mod joints;
mod on_way;

use super::drowned::Standing;
use super::for_drains::TooHigh;
use super::outlets::PartOutlets;
use super::part_water::Feeding;
use super::settings::Settings;
use super::shares::onward;
use crate::error::Error;
use crate::interceptor::drain::{
    Against, Arrangement, Built, Costed, DrainBasis, DrainError, DrainOption, DrainPart, Growth, Joined,
    ThinStretch, against, option, recommended,
};
use crate::interceptor::materials::{Fabric, Finish, Materials, Soil, Stone, Surface};
use crate::interceptor::quantities::{Beside, Bill, DrainLine, End, WorkSettings, Works, bill};
use crate::interceptor::swale::SwaleRules;
use crate::interceptor::{
    CaughtStretch, DrainedEnd, InterceptionLine, InterceptorError, LinePart, OutletWay,
};
use crate::lots::{LotDrainage, LotLine};
use crate::units::Length;
use crate::warning::{Warned, Warning};
use deep::deep;
use findings::findings;
use geo::Coord;
use growth::growth;
pub(super) use joints::joined;
use joints::{end_of, joined_with, smaller_below};
pub(super) use on_way::drain_on_way;

/// Fines of soil of which nothing is known, in percent: those of the finest class of fabric.
const FINES_UNKNOWN: f64 = 51.0;
/// Finish of the lead's trench where the line's is bare stone: the lawn's own sod.
const LEAD_FINISH: &str = "unirrigated-lawn";
/// What takes most water in.
const BARE_STONE: &str = "bare-stone";

/// The drain of one part.
#[derive(Debug, Clone)]
pub struct PartDrain {
    /// Arrangements that the catalogue has pipe for, in the order of [`Arrangement::ALL`].
    pub options: Vec<Costed>,
    /// Place of the recommended one; nothing where none can be built on the lot.
    pub recommended: Option<usize>,
    /// Place of the one that is named, else recommended.
    pub chosen: Option<usize>,
    /// Why the others aren't recommended, in the order of the options; nothing of the recommended one and of those that can't be built.
    pub against: Vec<Option<Against>>,
    /// How the part's water grows down its way.
    pub growth: Growth,
    /// Where the pipe of the chosen one, as it is built, has less ground over it than asked for.
    pub thin_stretches: Vec<ThinStretch>,
}

impl PartDrain {
    /// The one that is named, else recommended.
    #[must_use]
    pub fn chosen(&self) -> Option<&DrainOption> {
        Some(&self.costed()?.option)
    }

    /// The one that is named, else recommended, with its digging and price.
    #[must_use]
    pub fn costed(&self) -> Option<&Costed> {
        self.options.get(self.chosen?)
    }

    /// The same where it can be built.
    #[must_use]
    pub fn to_build(&self) -> Option<&DrainOption> {
        self.chosen().filter(|option| option.built.is_ok())
    }
}

/// All drains.
#[derive(Debug, Clone, Default)]
pub struct Drains {
    /// By part of the line; nothing for a part without a flow or without an outlet by gravity.
    pub parts: Vec<Option<PartDrain>>,
    /// What all of them take; nothing where none is designed.
    pub bill: Option<Bill>,
}

/// Materials of all drains.
struct Yard {
    materials: Materials,
    finish: Finish,
    lead_finish: Finish,
    fabric: Fabric,
    soil: Soil,
    stone: Stone,
    swale: SwaleRules,
}

impl Yard {
    fn of(settings: &Settings, warnings: &mut Vec<Warning>) -> Result<Self, InterceptorError> {
        let drain = &settings.drain;
        let materials = drain.materials.clone();
        let finish = materials.finish(&drain.finish)?.clone();
        let lead_finish = match finish.surface() {
            Surface::Stone => materials.finish(LEAD_FINISH)?.clone(),
            _ => finish.clone(),
        };
        let fines = drain.fines.map_or(FINES_UNKNOWN, |share| 100.0 * share.get());
        let fabric = materials.fabric_for(fines)?.unload(warnings).clone();
        Ok(Self {
            finish,
            lead_finish,
            fabric,
            soil: materials.soil(&drain.trench_soil)?.clone(),
            stone: materials.stone(&drain.stone)?.clone(),
            swale: SwaleRules::with(&materials)?,
            materials,
        })
    }

    fn basis<'a>(&'a self, settings: &'a Settings) -> Result<DrainBasis<'a>, InterceptorError> {
        Ok(DrainBasis {
            catalogue: &settings.drain.catalogue,
            finish: &self.finish,
            lead_finish: &self.lead_finish,
            top: self.materials.top(self.finish.top())?,
            bare_stone: self.materials.top(BARE_STONE)?,
            fabric: &self.fabric,
            swale: self.swale,
            min_grade: settings.min_grade,
        })
    }

    fn works<'a>(&'a self, lines: &'a [DrainLine], beside: &'a [Beside]) -> Works<'a> {
        let settings = WorkSettings::usual();
        Works { lines, beside, soil: &self.soil, stone: &self.stone, settings }
    }
}

/// Where the water of the parts comes in.
pub(super) struct Entering<'a> {
    pub(super) line: &'a LotLine,
    pub(super) drainage: &'a LotDrainage,
    pub(super) caught: &'a [CaughtStretch],
    pub(super) feeding: &'a [Feeding],
    /// Level of the ground at a place, m.
    pub(super) height: &'a dyn Fn(Coord) -> Option<f64>,
}

/// Designs the drains of all parts; of each the pipe may be given that its way can't be laid for, and one
/// that none of its pipes is smaller than.
pub(super) fn drains(
    entering: &Entering<'_>,
    interception: &InterceptionLine,
    (outlets, too_high, standing): (&[PartOutlets], &[Option<TooHigh>], &[Standing]),
    settings: &Settings,
) -> Result<Warned<Drains>, Error> {
    let mut warnings = Vec::new();
    let yard = Yard::of(settings, &mut warnings)?;
    // Said of drains only.
    let of_fabric = std::mem::take(&mut warnings);
    let basis = yard.basis(settings)?;
    let parts = designed(entering, interception, (outlets, too_high, standing), (&yard, &basis), settings)?;
    for (((part, drain), outlets), too_high) in
        interception.parts.iter().zip(&parts).zip(outlets).zip(too_high)
    {
        warnings.extend(findings(part, drain.as_ref(), (outlets, too_high.as_ref()), settings));
        let built = drain.as_ref().and_then(PartDrain::to_build);
        warnings.extend(deep(part, built, outlets));
    }
    let bill = whole_bill(&parts, &yard, settings)?.map(|found| found.unload(&mut warnings));
    let fabric_needed =
        parts.iter().flatten().filter_map(PartDrain::chosen).any(|o| o.arrangement.has_stone());
    if fabric_needed {
        warnings.extend(of_fabric);
    }
    Ok(Warned::new(Drains { parts, bill }, warnings))
}

/// Drains of the parts, none with a pipe that is smaller than one that comes into it further up.
///
/// # Method
/// Parts are designed after those whose pipes they join, which they take their wye from; what they bring
/// asks for no more than its flow at first. Where a pipe comes out larger than the one that it goes on in, all
/// are designed again with that one at least as large. What a pipe asks for only grows, by sizes of the
/// catalogue, so that it ends.
fn designed(
    entering: &Entering<'_>,
    interception: &InterceptionLine,
    (outlets, too_high, standing): (&[PartOutlets], &[Option<TooHigh>], &[Standing]),
    (yard, basis): (&Yard, &DrainBasis<'_>),
    settings: &Settings,
) -> Result<Vec<Option<PartDrain>>, Error> {
    let mut sizes = vec![Length::ZERO; interception.parts.len()];
    loop {
        let mut parts: Vec<Option<PartDrain>> = vec![None; interception.parts.len()];
        for place in receiving_first(outlets) {
            let part = &interception.parts[place];
            let Some(end) = end_of(place, outlets, &parts) else { continue };
            let flow_of = |place: usize| interception.parts[place].flow();
            let joined = joined_with(place, outlets, &flow_of, &sizes);
            let (growth, least_inside) = (growth(entering, place, part)?, standing[place].least_inside());
            let water = Water { growth, joined: &joined, end: &end, least_inside };
            let laid = (&outlets[place], too_high[place].as_ref().map(|pipe| pipe.above_invert));
            let mut drain = part_drain(part, water, laid, (yard, basis), settings)?;
            if let (Some(drain), Some(proposed)) = (&mut drain, outlets[place].proposed()) {
                drain.thin_stretches = thin_stretches(drain, &proposed.way, entering.height, settings);
            }
            parts[place] = drain;
        }
        let larger = smaller_below(outlets, &parts, &sizes);
        if larger.is_empty() {
            return Ok(parts);
        }
        for (place, size) in larger {
            sizes[place] = size;
        }
    }
}

/// A part's water, what comes in beside it, and what its lower end meets.
struct Water<'a> {
    growth: Growth,
    joined: &'a [Joined],
    end: &'a End,
    /// No pipe is smaller inside.
    least_inside: Length,
}

/// Places of the parts, each after the one whose pipe it joins.
fn receiving_first(outlets: &[PartOutlets]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..outlets.len()).collect();
    order.sort_by_key(|&place| onward(outlets, place).count());
    order
}

fn part_drain(
    part: &LinePart,
    water: Water<'_>,
    (outlets, too_high): (&PartOutlets, Option<Length>),
    (yard, basis): (&Yard, &DrainBasis<'_>),
    settings: &Settings,
) -> Result<Option<PartDrain>, InterceptorError> {
    let (Some(flow), Some(proposed)) = (part.flow(), outlets.proposed()) else { return Ok(None) };
    let way = &proposed.way;
    let Some(profile) = way.profile() else { return Ok(None) };
    let Water { growth, joined, end, least_inside } = water;
    let growth = if way.end == DrainedEnd::Upper { growth.reversed() } else { growth };
    let drained = DrainPart { flow, growth: &growth, way, profile, joined, end, least_inside };
    let mut options = Vec::new();
    for arrangement in Arrangement::ALL {
        let Some(option) = option(arrangement, &drained, basis)? else { continue };
        let price = price(&option, yard, settings)?;
        options.push(Costed { option, price });
    }
    let recommended = recommended(&options, part.setback, too_high);
    let against =
        (0..options.len()).map(|place| against(&options, place, (part.setback, too_high))).collect();
    let named = settings.drain.arrangement;
    let chosen = match named {
        Some(named) => options.iter().position(|costed| costed.option.arrangement == named),
        None => recommended,
    };
    Ok(Some(PartDrain { options, recommended, chosen, against, growth, thin_stretches: Vec::new() }))
}

/// Where the chosen drain lies with less ground over it than asked for.
fn thin_stretches(
    drain: &PartDrain,
    way: &OutletWay,
    height: &dyn Fn(Coord) -> Option<f64>,
    settings: &Settings,
) -> Vec<ThinStretch> {
    let ground = |station_m: f64| height(way.place_at(station_m)?);
    let stretches = drain.chosen().map(|option| option.thin_stretches(way, settings.min_cover, &ground));
    stretches.unwrap_or_default()
}

/// Price of an arrangement, where every item has one.
fn price(option: &DrainOption, yard: &Yard, settings: &Settings) -> Result<Option<f64>, InterceptorError> {
    let (Some(prices), Ok(Built { line, beside })) = (&settings.drain.prices, &option.built) else {
        return Ok(None);
    };
    let (lines, beside): (Vec<DrainLine>, _) = (line.iter().cloned().collect(), [*beside]);
    let found = bill(&yard.works(&lines, &beside), Some(prices)).map_err(DrainError::from)?;
    let is_whole = !found.warnings.iter().any(|warning| warning.code == "prices-missing");
    Ok(found.value.total().filter(|_| is_whole))
}

/// The bill of all chosen arrangements. What it says of deep trenches is said of each part already.
fn whole_bill(
    parts: &[Option<PartDrain>],
    yard: &Yard,
    settings: &Settings,
) -> Result<Option<Warned<Bill>>, InterceptorError> {
    let built: Vec<&Built> =
        parts.iter().flatten().filter_map(|part| part.chosen()?.built.as_ref().ok()).collect();
    if built.is_empty() {
        return Ok(None);
    }
    let lines: Vec<DrainLine> = built.iter().filter_map(|built| built.line.clone()).collect();
    let beside: Vec<Beside> = built.iter().map(|built| built.beside).collect();
    let mut found =
        bill(&yard.works(&lines, &beside), settings.drain.prices.as_ref()).map_err(DrainError::from)?;
    found.warnings.retain(|warning| !["trench-deep", "trench-protection"].contains(&warning.code));
    Ok(Some(found))
}
