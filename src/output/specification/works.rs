//! What a part is built of: trench, pipe, stone, joints, ends, swale and basins.

use super::super::besides::ChamberRow;
use super::super::drain_words::bed_words;
use super::super::screen::Units;
use super::super::words::pipe_name;
use super::{Built, Topic};
use crate::interceptor::Receiving;
use crate::interceptor::catalogue::{PipeJoint, PipeSize};
use crate::interceptor::drain::{DrainOption, ReachPlace, ReachVerdict, SizedReach, StoneEnd, ThinStretch};
use crate::interceptor::materials::{Surface, Wrap};
use crate::interceptor::quantities::{DrainLine, End, Section, WorkSettings};
use crate::interceptor::trench::{StoneTrench, TrenchRules};
use crate::pipeline::Assessment;
use crate::units::Length;
use crate::wording::percent;

/// Side of a grate, in, and how wide the lawn is dished to it, m (10 ft): as the basins are reckoned with.
const GRATE_IN: f64 = 12.0;

const DISH_M: f64 = 3.048;

pub(super) fn grade(sized: &SizedReach, units: Units) -> String {
    let reach = &sized.reach;
    let lead = if reach.place == ReachPlace::Lead { " (on the way to the outlet)" } else { "" };
    format!(
        "from {} of the way{lead}: {:.2} %, invert from {} at a steady fall",
        units.span(reach.from_m, reach.to_m),
        100.0 * reach.grade.get(),
        units.levels(reach.from_invert_m, "to", reach.to_invert_m)
    )
}

/// A line for each pipe in stone, with where it lies if there are several.
pub(super) fn perforated(option: &DrainOption, units: Units) -> Vec<Topic> {
    if !option.arrangement.has_stone() {
        return Vec::new();
    }
    let mut pipes: Vec<(&PipeSize, [f64; 2])> = Vec::new();
    for sized in option.line() {
        let (from_m, to_m) = (sized.reach.from_m, sized.reach.to_m);
        match pipes.last_mut() {
            Some((pipe, span)) if **pipe == sized.pipe => span[1] = to_m,
            _ => pipes.push((&sized.pipe, [from_m, to_m])),
        }
    }
    let several = pipes.len() > 1;
    let words = |(pipe, span): &(&PipeSize, [f64; 2])| {
        format!(
            "{}{}, perforated, with holes of {} or more, rows of holes down; wall, size and holes read off the print on the pipe before it is laid; outside {}",
            place_of(*span, several, units),
            pipe_name(pipe),
            units.open_area(pipe.inlet_cm2_per_m),
            units.width(pipe.outside().as_m())
        )
    };
    pipes.iter().map(|pipe| ("pipe", words(pipe))).collect()
}

/// "from .. to .. of the way: " where there are several of a kind.
fn place_of([from_m, to_m]: [f64; 2], several: bool, units: Units) -> String {
    if several { format!("from {} of the way: ", units.span(from_m, to_m)) } else { String::new() }
}

/// The stone trenches of a drain, each with where it lies, m: one where all are of one width.
pub(super) fn stone_trenches(option: &DrainOption) -> Vec<(&StoneTrench, [f64; 2])> {
    let line = option.built.as_ref().ok().and_then(|built| built.line.as_ref());
    let mut found: Vec<(&StoneTrench, [f64; 2])> = Vec::new();
    for leg in line.map_or(&[][..], DrainLine::legs) {
        let Section::Stone(trench) = &leg.section else { continue };
        let (from_m, to_m) = (leg.cuts.from().as_m(), leg.cuts.to().as_m());
        match found.last_mut() {
            Some((before, span)) if before.width() == trench.width() => span[1] = to_m,
            _ => found.push((trench, [from_m, to_m])),
        }
    }
    found
}

/// Trench, stone, fabric and finish.
pub(super) fn stone(
    trenches: &[(&StoneTrench, [f64; 2])],
    option: &DrainOption,
    assessment: &Assessment<'_>,
    units: Units,
) -> Vec<Topic> {
    let [(trench, _), ..] = trenches else { return Vec::new() };
    let several = trenches.len() > 1;
    let name = &assessment.settings.drain.stone;
    let fabric = trench.fabric();
    let wrap = match trench.finish().wrap() {
        Wrap::Full => format!(
            "all round the stone, lapped on top by {} or the trench's width",
            units.width(fabric.overlap().as_m())
        ),
        Wrap::Open => "on bottom and both sides; none over the stone, where it would clog".to_owned(),
    };
    let fines = if assessment.settings.drain.fines.is_none() {
        " (the soil's fines are unknown: fabric for the finest soils; have the soil looked at)"
    } else {
        ""
    };
    let dug = |(trench, span): &(&StoneTrench, [f64; 2])| {
        (
            "trench",
            format!(
                "{}{} wide at its bottom, {} of stone under the pipe and {} or more over it",
                place_of(*span, several, units),
                units.width(trench.width().as_m()),
                units.width(
                    trench.bottom_below_invert().as_m()
                        - 0.5 * (trench.pipe().outside().as_m() - trench.pipe().inside().as_m())
                ),
                units.width(TrenchRules::usual(trench.pipes()).stone_above.as_m())
            ),
        )
    };
    let of_all = [
        (
            "stone",
            format!(
                "size {name} (AASHTO M 43 / ASTM D448), washed: a handful in a jar of water leaves it clear; the delivery ticket names the size"
            ),
        ),
        (
            "fabric",
            format!(
                "nonwoven, for soil with {}{fines}: opening up to {:.2} mm, permittivity {}/s or more (AASHTO M 288), {wrap}{}; no sock on the pipe besides",
                fabric.name(),
                fabric.opening().as_mm(),
                fabric.permittivity_per_s(),
                protects(option, assessment, units).unwrap_or_default()
            ),
        ),
        ("finish", trench.finish().description().to_owned()),
    ];
    trenches.iter().map(dug).chain(of_all).chain(upkeep(trench, option)).collect()
}

/// Fabric on which it hangs that the soil bears the water's velocity in the pipe.
fn protects(option: &DrainOption, assessment: &Assessment<'_>, units: Units) -> Option<String> {
    let drain = &assessment.settings.drain;
    let soil = drain.materials.soil(&drain.trench_soil).ok()?;
    let bears_m_s = soil.drain_velocity()?.as_m_per_s();
    let runs_m_s = option.line().map(|sized| sized.velocity.as_m_per_s()).fold(0.0, f64::max);
    (runs_m_s > bears_m_s).then(|| {
        format!(
            ", without a hole or a gap: water in the pipe runs at up to {}, and {} bears no more than {} bare",
            units.velocity(runs_m_s),
            soil.description(),
            units.velocity(bears_m_s)
        )
    })
}

/// Stone at the surface works as long as it is clean.
fn upkeep(trench: &StoneTrench, option: &DrainOption) -> Option<Topic> {
    let intake = option.intake.as_ref().filter(|_| trench.finish().surface() == Surface::Stone)?;
    let clogged = intake.clogged_share.map_or(String::new(), |share| {
        format!(": clogged, it takes {} of the design storm's water", percent(share))
    });
    Some((
        "upkeep",
        format!(
            "leaves raked off and no bare soil left above it; where water stands on the stone its top is taken up and renewed{clogged}"
        ),
    ))
}

/// Stone that ends before the part does.
pub(super) fn stone_end(end: StoneEnd, units: Units) -> String {
    format!(
        "it ends at {} of the way, before the part does at {}: the ground doesn't cover it beyond; from there the pipe is solid, and {} of the water that comes beyond isn't counted as taken",
        units.length(end.at.as_m()),
        units.length(end.part.as_m()),
        percent(end.beyond_share)
    )
}

pub(super) fn joints(option: &DrainOption) -> Option<Topic> {
    let first = option.reaches.first()?;
    let how = match first.pipe.joint {
        PipeJoint::Bell => "sockets pushed home, pointing up the way",
        PipeJoint::Coupling => "couplings over the outside, snapped home",
    };
    Some((
        "joints",
        format!("{how}: nothing of a joint, a fitting or a screw stands in the bore; solid pipe is tight"),
    ))
}

pub(super) fn cover(line: &DrainLine, built: &Built<'_>) -> String {
    let Built { drain, assessment, units, .. } = *built;
    let mouth = if line.beyond() > Length::ZERO {
        let in_one = matches!(line.pipes_beyond(), [piece] if piece.length <= piece.pipe.piece_length());
        format!(
            ", less towards the mouth; the last {} are an end piece without a trench: solid, rigid pipe {}, laid on stone, ground made up around it, a guard on its mouth; stone and ground for that are not in the quantities",
            units.length(line.beyond().as_m()),
            if in_one {
                "in one length"
            } else {
                "whose joints are held together, so that none is pulled apart"
            }
        )
    } else {
        String::new()
    };
    let but = if drain.thin_stretches.is_empty() { "" } else { ", but where less is said below" };
    format!(
        "{} of ground or more over the pipe{but}{mouth}",
        units.level(assessment.settings.min_cover.as_m())
    )
}

/// Where the water of the storm comes out of the line, whatever the outlet does.
pub(super) fn runs_over(built: &Built<'_>) -> Option<Topic> {
    let free = built.outlets.proposed()?.tailwaters.iter().find(|case| case.receiving == Receiving::Free)?;
    let over = free.overflow?;
    let place = if over.to_m > over.from_m {
        format!("from {}", built.units.span(over.from_m, over.to_m))
    } else {
        format!("at {}", built.units.length(over.at_m))
    };
    Some((
        "runs over",
        format!(
            "in the design storm the water stands over the ground {place} of the way, even with a free outfall: not laid there before a larger pipe, a deeper one or another outlet is agreed on, or its owner takes that water there"
        ),
    ))
}

/// Stretches whose pipe lies with less ground over it than asked for.
pub(super) fn thin_cover(built: &Built<'_>) -> Option<Topic> {
    let Built { drain, assessment, units, .. } = *built;
    let stretch = |thin: &ThinStretch| {
        let over = if thin.over.as_m() > 0.0 {
            format!("{} at the least", units.level(thin.over.as_m()))
        } else {
            format!("none at {}", units.length(thin.station.as_m()))
        };
        format!("from {}, {over}", units.span(thin.from.as_m(), thin.to.as_m()))
    };
    let stretches: Vec<String> = drain.thin_stretches.iter().map(stretch).collect();
    (!stretches.is_empty()).then(|| {
        (
            "thin cover",
            format!(
                "less than {} of ground over the pipe {}: rigid pipe there, and the ground made up over it, or nothing but planting that keeps wheels, mowers and spades off",
                units.level(assessment.settings.min_cover.as_m()),
                stretches.join("; ")
            ),
        )
    })
}

/// Pipes in which the water of the storm is faster than they, or the soil around them, bear.
pub(super) fn too_fast(option: &DrainOption, units: Units) -> Vec<Topic> {
    let is_fast = |sized: &&SizedReach| sized.verdict == ReachVerdict::TooFast;
    let words = |sized: &SizedReach| {
        format!(
            "from {} of the way the water of the storm runs {}, and no more than {} is reckoned safe: not laid there before a drop structure with a flatter grade, or pipe with tight joints, anchors and bedding that its maker names for that velocity, is agreed on",
            units.span(sized.reach.from_m, sized.reach.to_m),
            units.velocity(sized.velocity.as_m_per_s()),
            units.velocity(option.limits.most.as_m_per_s())
        )
    };
    option.reaches.iter().filter(is_fast).map(|sized| ("too fast", words(sized))).collect()
}

pub(super) fn cleanouts(option: &DrainOption, units: Units) -> Option<Topic> {
    let line = option.built.as_ref().ok()?.line.as_ref()?;
    let stations = line.cleanouts(WorkSettings::usual().cleanout_spacing).ok()?;
    let places: Vec<f64> = stations.iter().map(|station| station.as_m()).collect();
    Some(("cleanouts", format!("at {} of the way, each with a cap at the ground", units.stations(&places))))
}

pub(super) fn chamber_holds(built: &Built<'_>) -> Option<Topic> {
    let found = built.assessment.chambers.get(built.part.id - 1)?.as_ref()?;
    Some(("room", ChamberRow::of(found).words(built.units)))
}

pub(super) fn swale_and_basins(built: &Built<'_>) -> Vec<Topic> {
    let Built { option, units, .. } = *built;
    let mut found = Vec::new();
    if let Some(swale) = &option.swale {
        let over_trench = if option.arrangement.has_stone() {
            "; depth and cover of the trench under it are counted from its bed"
        } else {
            ""
        };
        found.push(("swale", format!("a V with sides of {}:1, {}, its bed to the stakes, even between them: no place holds water a day after rain; grass stands before water is let in, or the bed is covered with matting until it does{over_trench}", swale.rules.shape.side(), bed_words(&swale.bed, units))));
    }
    let places: Vec<f64> = option.basins.iter().map(|basin| basin.station_m).collect();
    let square = units.width(Length::from_in(GRATE_IN).as_m());
    if !places.is_empty() {
        found.push((
            "basins",
            format!(
                "at {} of the way, each with a grate {square} square, below the lawn around it, which is dished to it over {}",
                units.stations(&places),
                units.length(DISH_M)
            ),
        ));
    }
    if option.end_grates > 0 {
        let plural = if option.end_grates == 1 { "" } else { "s" };
        found.push((
            "basins",
            format!(
                "where the part ends, at {} of the way: {} grate{plural} {square} square at the level of the swale's bed",
                units.length(built.way.length.as_m() - built.way.lead_length.as_m()),
                option.end_grates
            ),
        ));
    }
    found
}

/// How the lower end is made.
pub(super) fn end_check(end: &End, text: &str) -> (&'static str, String) {
    match end {
        End::Daylight => {
            ("outlet", format!("{text}; the end cut flush with the slope, nothing washed out below it"))
        }
        End::Chamber => (
            "chamber",
            format!(
                "{text}; storage, pump, power, alarm and the way of the pumped water are another design, and none of them is in the quantities: without them the chamber fills and the line stands full"
            ),
        ),
        End::Joins(_) => (
            "junction",
            format!("{text}; the wye points down the water's way, no saddle on a perforated pipe"),
        ),
        End::Structure => (
            "structure",
            format!(
                "{text}; cored by a round bit, not broken in; the pipe flush with the inside, the seal seen from both sides"
            ),
        ),
    }
}
