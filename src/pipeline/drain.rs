//! The drains of the line's parts: how their water grows, the arrangements side by side, the one that is chosen, and the
//! bill of all of them.

mod beyond;
mod brought;
mod deep;
mod designed;
mod findings;
mod growth;
mod joints;
mod on_way;

use super::as_named::AsNamed;
use super::drowned::Standing;
use super::for_drains::TooHigh;
use super::outlets::PartOutlets;
use super::part_water::Feeding;
use super::settings::Settings;
use crate::error::Error;
use crate::input::Site;
use crate::interceptor::drain::{
    Against, Arrangement, Built, Costed, DrainBasis, DrainError, DrainOption, Growth, Lacking, ThinStretch,
};
use crate::interceptor::materials::{Fabric, Finish, Materials, Soil, Stone, Surface};
use crate::interceptor::quantities::{Beside, Bill, DrainLine, WorkSettings, Works, bill};
use crate::interceptor::swale::SwaleRules;
use crate::interceptor::{CaughtStretch, InterceptionLine, InterceptorError};
use crate::lots::{LotDrainage, LotLine};
use crate::units::Flow;
use crate::warning::{Warned, Warning};
use deep::deep;
use designed::designed;
pub(super) use designed::receiving_first;
use findings::{findings, swale_beyond_lot};
use geo::Coord;
pub(super) use joints::joined_with;
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
    /// Arrangements that can be worked out, in the order of [`Arrangement::ALL`].
    pub options: Vec<Costed>,
    /// The others, with what they lack.
    pub lacking: Vec<(Arrangement, Lacking)>,
    /// Place of the recommended one; nothing where none can be built on the lot.
    pub recommended: Option<usize>,
    /// Place of the one that is named, else recommended.
    pub chosen: Option<usize>,
    /// Why the others aren't recommended, in the order of the options; nothing of the recommended one and of those that can't be built.
    pub against: Vec<Option<Against>>,
    /// What each would do where it is named for all parts, in the order of the options; nothing where that isn't looked at.
    pub as_named: Vec<Option<AsNamed>>,
    /// How the part's water grows down its way.
    pub growth: Growth,
    /// What the chosen one hands on to the pipe that it joins, at the most; nothing where it can't be built.
    pub hands_on: Flow,
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
    pub(super) site: &'a Site,
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
        warnings.extend(swale_beyond_lot(part, drain.as_ref(), outlets, entering));
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
