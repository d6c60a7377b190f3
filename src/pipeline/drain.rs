//! The drains of the line's parts: how their water grows, the arrangements side by side, the one that is chosen, and the
//! bill of all of them.

mod findings;
mod growth;

use super::outlets::PartOutlets;
use super::settings::Settings;
use crate::error::Error;
use crate::interceptor::drain::{
    Arrangement, Built, Costed, DrainBasis, DrainError, DrainOption, DrainPart, Growth, option, recommended,
};
use crate::interceptor::materials::{Fabric, Finish, Materials, Soil, Stone, Surface};
use crate::interceptor::quantities::{Beside, Bill, DrainLine, WorkSettings, Works, bill};
use crate::interceptor::swale::SwaleRules;
use crate::interceptor::{CaughtStretch, DrainedEnd, InterceptionLine, InterceptorError, LinePart};
use crate::lots::{LotDrainage, LotLine};
use crate::warning::{Warned, Warning};
use findings::findings;
use growth::growth;

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
    /// Place of the recommended one; nothing where none can be built.
    pub recommended: Option<usize>,
    /// Place of the one that is named, else recommended.
    pub chosen: Option<usize>,
    /// How the part's water grows down its way.
    pub growth: Growth,
}

impl PartDrain {
    /// The one that is named, else recommended.
    #[must_use]
    pub fn chosen(&self) -> Option<&DrainOption> {
        Some(&self.options.get(self.chosen?)?.option)
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
        let materials = Materials::built_in();
        let drain = &settings.drain;
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
            swale: SwaleRules::usual()?,
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
            soil: &self.soil,
            swale: self.swale,
            min_grade: settings.min_grade,
        })
    }

    fn works<'a>(&'a self, lines: &'a [DrainLine], beside: &'a [Beside]) -> Works<'a> {
        let settings = WorkSettings::usual();
        Works { lines, beside, soil: &self.soil, stone: &self.stone, settings }
    }
}

/// Designs the drains of all parts.
pub(super) fn drains(
    line: &LotLine,
    drainage: &LotDrainage,
    caught: &[CaughtStretch],
    interception: &InterceptionLine,
    outlets: &[PartOutlets],
    settings: &Settings,
) -> Result<Warned<Drains>, Error> {
    let mut warnings = Vec::new();
    let yard = Yard::of(settings, &mut warnings)?;
    // Said of drains only.
    let of_fabric = std::mem::take(&mut warnings);
    let basis = yard.basis(settings)?;
    let mut parts = Vec::with_capacity(interception.parts.len());
    for ((part, caught), outlets) in interception.parts.iter().zip(caught).zip(outlets) {
        let growth = growth(line, drainage, caught, part)?;
        let found = part_drain(part, growth, outlets, &yard, &basis, settings)?;
        warnings.extend(findings(part, found.as_ref(), outlets, settings));
        parts.push(found);
    }
    let bill = whole_bill(&parts, &yard, settings)?.map(|found| found.unload(&mut warnings));
    let fabric_needed =
        parts.iter().flatten().filter_map(PartDrain::chosen).any(|o| o.arrangement.has_stone());
    if fabric_needed {
        warnings.extend(of_fabric);
    }
    Ok(Warned::new(Drains { parts, bill }, warnings))
}

fn part_drain(
    part: &LinePart,
    growth: Growth,
    outlets: &PartOutlets,
    yard: &Yard,
    basis: &DrainBasis<'_>,
    settings: &Settings,
) -> Result<Option<PartDrain>, InterceptorError> {
    let (Some(flow), Some(proposed)) = (part.flow(), outlets.proposed()) else { return Ok(None) };
    let way = &proposed.way;
    let Some(profile) = way.profile() else { return Ok(None) };
    let growth = if way.end == DrainedEnd::Upper { growth.reversed() } else { growth };
    let drained = DrainPart { flow, growth: &growth, way, profile };
    let mut options = Vec::new();
    for arrangement in Arrangement::ALL {
        let Some(option) = option(arrangement, &drained, basis)? else { continue };
        let price = price(&option, yard, settings)?;
        options.push(Costed { option, price });
    }
    let recommended = recommended(&options);
    let named = settings.drain.arrangement;
    let chosen = match named {
        Some(named) => options.iter().position(|costed| costed.option.arrangement == named),
        None => recommended,
    };
    Ok(Some(PartDrain { options, recommended, chosen, growth }))
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
