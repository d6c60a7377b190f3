//! The drains of the line's parts: how their water grows, the arrangements side by side, the one that is chosen, and the
//! bill of all of them.

use super::outlets::PartOutlets;
use super::settings::Settings;
use crate::error::Error;
use crate::interceptor::drain::{
    Arrangement, Built, Costed, DrainBasis, DrainError, DrainOption, DrainPart, Growth, ReachVerdict, option,
    recommended,
};
use crate::interceptor::materials::{Fabric, Finish, Materials, Soil, Stone, Surface};
use crate::interceptor::profile::ProfileStation;
use crate::interceptor::quantities::{Beside, Bill, DrainLine, WorkSettings, Works, bill};
use crate::interceptor::swale::SwaleRules;
use crate::interceptor::{
    CaughtStretch, DrainedEnd, InterceptionLine, InterceptorError, LinePart, without_outlet,
};
use crate::lots::{LotDrainage, LotLine, Stretch, amount_within};
use crate::warning::{Warned, Warning};

/// Fines of soil of which nothing is known, in percent: those of the finest class of fabric.
const FINES_UNKNOWN: f64 = 51.0;
/// Finish of the lead's trench where the line's is bare stone: the lawn's own sod.
const LEAD_FINISH: &str = "unirrigated-lawn";
/// What takes most water in.
const BARE_STONE: &str = "bare-stone";
/// Less cover than asked for by no more than this is rounding, m.
const COVER_NOISE_M: f64 = 1e-3;

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

/// How a part's water grows from its drawn upper end.
///
/// # Method
/// Each station of the part takes what has entered up to the place of the lot line next to it, by area; what enters beyond
/// the line's ends comes to its first and its last metres. The strip between the two sheds evenly.
fn growth(
    line: &LotLine,
    drainage: &LotDrainage,
    caught: &CaughtStretch,
    part: &LinePart,
) -> Result<Growth, InterceptorError> {
    let stretch = &caught.stretch;
    let Some(ring) = line.ring(stretch.ring) else {
        let rings = line.rings().len();
        return Err(InterceptorError::NoSuchRing { ring: stretch.ring, rings });
    };
    let (length_m, around_m) = (stretch.length_m(), ring.length_m());
    let along = |place_m: f64| {
        let past_m = ring.wrap_m(place_m - stretch.from_m);
        // A place before the start has gone nearly all around.
        if past_m > length_m + 0.5 * (around_m - length_m) { 0.0 } else { past_m.min(length_m) }
    };
    let places: Vec<f64> = part.stations.iter().map(|station| along(ring.nearest(station.point).0)).collect();
    let clockwise = places.first() <= places.last();
    let entered = |to_m: f64| {
        let up_to = Stretch { to_m: stretch.from_m + to_m, members: Vec::new(), ..stretch.clone() };
        amount_within(&up_to, &drainage.inflows, around_m)
    };
    let whole_m2 = entered(length_m);
    let (caught_m2, strip_m2) = (part.contributing_area.as_m2(), part.strip_area.as_m2());
    let line_m = part.length.as_m();
    let mut so_far = 0.0_f64;
    let last = places.len() - 1;
    let shares = places.iter().zip(&part.stations).enumerate().map(|(i, (&place_m, station))| {
        let before = if whole_m2 > 0.0 { entered(place_m) / whole_m2 } else { station.station_m / line_m };
        let share = if clockwise { before } else { 1.0 - before };
        let all = caught_m2 + strip_m2;
        let with_strip =
            if all > 0.0 { (share * caught_m2 + station.station_m / line_m * strip_m2) / all } else { share };
        so_far = so_far.max(with_strip.clamp(0.0, 1.0));
        // What enters beyond the ends comes in at them.
        let share = if i == 0 {
            0.0
        } else if i == last {
            1.0
        } else {
            so_far
        };
        (station.station_m, share)
    });
    Ok(Growth::new(shares.collect())?)
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

/// What must be said of a part's drain.
fn findings(
    part: &LinePart,
    drain: Option<&PartDrain>,
    outlets: &PartOutlets,
    settings: &Settings,
) -> Vec<Warning> {
    let id = part.id;
    let Some(drain) = drain else {
        let mut warnings = without_outlet(part, settings.min_grade);
        if outlets.proposed().is_some() {
            // It only lacks a storm.
            warnings.retain(|warning| warning.code == "no-pipe-fits");
        }
        warnings.extend(not_designed(part, outlets, settings));
        return warnings;
    };
    let Some(option) = drain.chosen() else { return vec![impossible(id, settings)] };
    let mut warnings = Vec::new();
    if let Err(cause) = &option.built {
        warnings.push(Warning::new(
            "drain-not-built",
            format!("part {id} of the line as {} can't be built: {cause}", option.arrangement.words()),
            "ask for more cover (--min-cover), another finish (--finish) or another arrangement (--arrangement)",
        ));
    }
    if !option.carries() {
        warnings.push(Warning::new(
            "drain-carries-part",
            format!(
                "part {id} of the line as {} keeps {:.0} % of its flow off the lot: {}",
                option.arrangement.words(),
                (option.share() * 100.0).floor(),
                why_not(option)
            ),
            "see interception_line.parts.drain.options in summary.json for the other arrangements, and what each would need",
        ));
    }
    warnings.extend(thin_cover(part, option, outlets, settings));
    warnings
}

/// Someone who names an arrangement or gives prices expects a design.
fn not_designed(part: &LinePart, outlets: &PartOutlets, settings: &Settings) -> Option<Warning> {
    let asked = settings.drain.arrangement.is_some() || settings.drain.prices.is_some();
    let missing = match (part.flow().is_some(), outlets.proposed().is_some()) {
        (false, false) => "no storm is given, and no outlet by gravity is known",
        (false, true) => "no storm is given",
        (true, _) => "no outlet by gravity is known",
    };
    asked.then(|| {
        Warning::new(
            "drain-not-designed",
            format!("part {} of the line has no drain and no quantities: {missing}", part.id),
            "give the rain and what runs off, and an outlet that is low enough (--inlets, --outlet)",
        )
    })
}

fn impossible(id: usize, settings: &Settings) -> Warning {
    let what = settings.drain.arrangement.map_or("any arrangement", Arrangement::words);
    Warning::new(
        "drain-not-built",
        format!(
            "part {id} of the line can't be built as {what}: the catalogue has no pipe for it, or the trench is too shallow"
        ),
        "give a catalogue with perforated pipe (--catalogue), more cover (--min-cover) or another arrangement (--arrangement)",
    )
}

/// Why an option doesn't carry all.
fn why_not(option: &DrainOption) -> String {
    let wrong = option.reaches.iter().find(|sized| sized.verdict != ReachVerdict::Carries);
    if let Some(sized) = wrong.filter(|_| option.carried_share() <= option.taken_shares[0]) {
        let what = match sized.verdict {
            ReachVerdict::TooSmall | ReachVerdict::Carries => "no pipe of the catalogue carries it",
            ReachVerdict::TooSlow => "every pipe runs too slowly there to keep clean",
            ReachVerdict::TooFast => "every pipe runs too fast there",
        };
        return format!("from {:.1} to {:.1} m of its way {what}", sized.reach.from_m, sized.reach.to_m);
    }
    match option.arrangement {
        Arrangement::OnePipe | Arrangement::TwoPipes => {
            "the rest doesn't get through the top of the trench in time, by the lower end of what that takes"
                .to_owned()
        }
        Arrangement::Swale => "the ground or the rules of the swale don't let more through".to_owned(),
        Arrangement::SwaleOverDrain => {
            "the rest neither gets into the trench nor is carried by the swale over it".to_owned()
        }
        Arrangement::Basins => "the rest passes between the basins, or over their grates".to_owned(),
    }
}

/// Cover over the pipes that were chosen, where it is less than asked for: the profile was laid for another size.
fn thin_cover(
    part: &LinePart,
    option: &DrainOption,
    outlets: &PartOutlets,
    settings: &Settings,
) -> Option<Warning> {
    let profile = outlets.proposed()?.way.profile()?;
    let cover = |at: &ProfileStation| {
        let over = option.reach_at(at.station_m)?;
        let above_m = 0.5 * (over.pipe.outside().as_m() + over.pipe.inside().as_m());
        Some(at.ground_m - at.invert_m - above_m)
    };
    let least_m = profile.stations().iter().filter_map(cover).fold(f64::INFINITY, f64::min);
    (least_m < settings.min_cover.as_m() - COVER_NOISE_M).then(|| {
        Warning::new(
            "cover-less-than-asked",
            format!(
                "the pipe of part {} of the line has {least_m:.2} m of ground over it, less than the {:.2} m asked for",
                part.id,
                settings.min_cover.as_m()
            ),
            "ask for that much more cover (--min-cover), or protect the pipe there",
        )
    })
}
