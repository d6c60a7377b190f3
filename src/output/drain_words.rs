//! A drain in words: its section, how it is tied in, and what must be added.

use super::screen::Units;
use super::words::pipe_name;
use crate::interceptor::LinePart;
use crate::interceptor::drain::{
    Against, Arrangement, Costed, DrainOption, Held, ReachPlace, ReachVerdict, SizedReach, SwaleBed,
};
use crate::interceptor::quantities::{DrainLine, End, Section};
use crate::interceptor::swale::SwaleSizing;
use crate::interceptor::trench::PipeCount;
use crate::units::Length;
use crate::wording::percent;

/// Gets in or is carried from this share on: the rest is rounding.
const ALL: f64 = 1.0 - 1e-6;

/// A strip of stone wider than this is none that anybody lays, m. Ours.
const WIDEST_STONE_M: f64 = 3.0;

/// Pipes along a place, one after the other, each named once.
fn pipes(option: &DrainOption, place: ReachPlace) -> String {
    let mut names: Vec<String> = Vec::new();
    for sized in option.reaches.iter().filter(|sized| sized.reach.place == place) {
        let name = pipe_name(&sized.pipe);
        if names.last() != Some(&name) {
            names.push(name);
        }
    }
    names.join(", then ")
}

/// Pipes, trench and swale of an arrangement.
pub(super) fn section_words(option: &DrainOption, units: Units) -> String {
    let line = pipes(option, ReachPlace::Line);
    let width = stone_width(option, units);
    let swale = option.swale.as_ref();
    let swale = swale.map_or(String::new(), |swale| format!("grassed V {}", bed_words(&swale.bed, units)));
    let what = match option.arrangement {
        Arrangement::OnePipe => format!("one perforated pipe, {line}, in stone{width}"),
        Arrangement::TwoPipes => {
            format!("two perforated pipes at one level, {line}, in stone{width}")
        }
        Arrangement::Swale => swale,
        Arrangement::SwaleOverDrain => format!("{swale}, over one perforated pipe, {line}, in stone{width}"),
        Arrangement::Basins => {
            let count = option.basins.len();
            let plural = if count == 1 { "" } else { "s" };
            format!("solid pipe, {line}, with {count} basin{plural}")
        }
    };
    let lead = pipes(option, ReachPlace::Lead);
    if lead.is_empty() { what } else { format!("{what}; to the outlet one solid pipe, {lead}") }
}

/// Depth and width of a swale as it is shaped, and where it is cut deeper through the ground.
pub(super) fn bed_words(bed: &SwaleBed, units: Units) -> String {
    let size = |depth: Length, width: Length| {
        format!("{} deep and {} wide", units.depth(depth.as_m()), units.length(width.as_m()))
    };
    let shaped = size(bed.shaped(), bed.shaped_width());
    bed.cut().map_or_else(
        || shaped.clone(),
        |cut| {
            format!(
                "{shaped}, cut through higher ground up to {} at {} of its way",
                size(cut.depth, cut.width),
                units.length(cut.station.as_m())
            )
        },
    )
}

/// Width of the stone trench, from the narrowest to the widest where larger pipes ask for more.
fn stone_width(option: &DrainOption, units: Units) -> String {
    let line = option.built.as_ref().ok().and_then(|built| built.line.as_ref());
    let legs = line.map_or(&[][..], DrainLine::legs);
    let widths = legs.iter().filter_map(|leg| match &leg.section {
        Section::Stone(trench) => Some(trench.width().as_m()),
        Section::Solid(_) => None,
    });
    let [least_m, most_m] =
        widths.fold([f64::INFINITY, 0.0], |[least, most]: [f64; 2], m| [least.min(m), most.max(m)]);
    if least_m > most_m {
        return String::new();
    }
    let [least, most] = [least_m, most_m].map(|m| units.length(m));
    if least == most { format!(" {least} wide") } else { format!(" {least} to {most} wide") }
}

/// The one pipe that leaves, and the hole for it; nothing where no pipe is laid.
pub(super) fn tie_in_words(option: &DrainOption, units: Units) -> Option<String> {
    let end = option.built.as_ref().ok()?.line.as_ref()?.end();
    let outlet = option.outlet_reach()?;
    let two = option.line().any(|sized| sized.pipes == PipeCount::Two);
    let joined = if two { "the two pipes are brought into one first; " } else { "" };
    let meets = match end {
        End::Structure => format!(
            "ties it in: the structure is cored for an outside diameter of {} and its seal",
            units.width(outlet.pipe.outside().as_m())
        ),
        End::Daylight => "comes out in the open, with a guard and stone below its end".to_owned(),
        End::Chamber => {
            "ends in the chamber, through the opening and seal that the chamber has for it".to_owned()
        }
        End::Joins(other) => format!("joins the other part's pipe by a wye of {}", pipe_name(other)),
    };
    Some(format!(
        "{joined}one solid pipe, {}, {meets}, and what leaves is what this one pipe carries, {}",
        pipe_name(&outlet.pipe),
        units.flow(outlet.capacity.as_m3_per_s())
    ))
}

/// What must be added for an arrangement to carry all, or heeded where it is built.
///
/// `all` are the arrangements beside which it stands: what one lacks another may have.
pub(super) fn needs(part: &LinePart, option: &DrainOption, all: &[Costed], units: Units) -> Vec<String> {
    let mut found: Vec<String> = option.reaches.iter().filter_map(|sized| pipe_need(sized, units)).collect();
    found.extend(stone_end_need(option, units));
    found.extend(intake_needs(part, option, all, units));
    found.extend(swale_needs(part, option, units));
    if option.arrangement == Arrangement::Basins && option.taken_shares[0] < ALL {
        let passes = option.flow * (1.0 - option.taken_shares[0]);
        let passes = units.flow(passes.as_m3_per_s());
        let others = that_keep_more(part, option, all, units);
        let none = if others.is_empty() { ", which no arrangement that can be built here does" } else { "" };
        found.push(format!(
            "something that takes the {passes} which pass between the basins or over them{none}"
        ));
        found.extend(others);
    }
    found
}

/// Why an arrangement isn't recommended.
pub(super) fn against_words(against: Against, setback: Length, units: Units) -> String {
    match against {
        Against::BeyondLot(widest) => format!(
            "its swale is {} wide, and there is room for {} with this setback: it would lie on land beyond the lot line too; a setback of {} leaves room for it",
            units.length(widest.width.as_m()),
            units.length(2.0 * setback.as_m()),
            units.length(up(0.5 * widest.width.as_m()))
        ),
        Against::Spread => {
            "less than four fifths of the water comes to the lawn dished to its basins".to_owned()
        }
        Against::Cover => "its pipe can't be laid with the cover asked for".to_owned(),
        Against::KeepsNothing => "it keeps nothing off the lot".to_owned(),
        Against::KeepsLess => "it keeps less off the lot".to_owned(),
        Against::Dearer => "it takes more digging, or costs more by the price list".to_owned(),
    }
}

/// To the tenth above: what is asked for must be enough.
fn up(m: f64) -> f64 {
    (m * 10.0 - 1e-9).ceil() / 10.0
}

/// Other arrangements of the part that can be built and would keep more off the lot.
fn that_keep_more(part: &LinePart, than: &DrainOption, all: &[Costed], units: Units) -> Vec<String> {
    let more = all.iter().map(|costed| &costed.option).filter(|other| keeps_more(other, than));
    more.map(|other| {
        let count = other.basins.len();
        let what = match other.arrangement {
            Arrangement::Basins => {
                format!("{count} basin{} on a solid pipe", if count == 1 { "" } else { "s" })
            }
            arrangement => arrangement.words().to_owned(),
        };
        let room = other.swale_leaves(part.setback).map_or(String::new(), |widest| {
            format!(" (with a setback of {} or more)", units.length(up(0.5 * widest.width.as_m())))
        });
        format!("{what} would keep {} off the lot{room}", share_words(other.share()))
    })
    .collect()
}

/// Whether another arrangement can be built, and keeps more off the lot.
fn keeps_more(other: &DrainOption, than: &DrainOption) -> bool {
    other.built.is_ok() && other.share() > than.share() + 1e-9
}

/// Rounded down: what is nearly all isn't all.
fn share_words(share: f64) -> String {
    percent((share * 1000.0).floor() / 1000.0)
}

/// Where stone ends before the part does.
fn stone_end_need(option: &DrainOption, units: Units) -> Option<String> {
    let end = option.stone_ends?;
    Some(format!(
        "more ground over the pipe from {} of its way to the part's end at {}, where stone isn't covered any more and ends: {} of the water comes beyond it and isn't counted as taken; a lower outlet, or ground made up there",
        units.length(end.at.as_m()),
        units.length(end.part.as_m()),
        percent(end.beyond_share)
    ))
}

fn pipe_need(sized: &SizedReach, units: Units) -> Option<String> {
    let reach = &sized.reach;
    let where_ = format!("from {} of its way", units.span(reach.from_m, reach.to_m));
    match sized.verdict {
        ReachVerdict::Carries => None,
        ReachVerdict::TooSmall => Some(format!(
            "{where_} pipes that carry {} at {:.2} %, if all of it got in: those that keep the most carry {}",
            units.flow(reach.flow.as_m3_per_s()),
            100.0 * reach.grade.get(),
            units.flow(sized.capacity.as_m3_per_s())
        )),
        ReachVerdict::TooSlow => Some(format!(
            "{where_} a steeper grade: just full the pipe runs {} only, too slowly to keep clean",
            units.velocity(sized.full_velocity.as_m_per_s())
        )),
        ReachVerdict::TooFast => Some(format!(
            "{where_} a flatter grade with a drop at its end, or pipe and bedding that bear {}",
            units.velocity(sized.velocity.as_m_per_s())
        )),
    }
}

/// What would let the rest in, with what each would do.
fn intake_needs(part: &LinePart, option: &DrainOption, all: &[Costed], units: Units) -> Vec<String> {
    let lacking = option.intake.as_ref().filter(|intake| intake.shares[0] < ALL);
    let Some(intake) = lacking.filter(|_| option.taken_shares[0] < ALL) else { return Vec::new() };
    if option.held_by() == Some(Held::StoneEnds) {
        // What comes to the stone gets in.
        return that_keep_more(part, option, all, units);
    }
    let arrives = units.flow_along(intake.arrives_most.as_m3_per_s());
    let takes = if intake.holes < intake.takes[0] {
        "the holes of its pipe let in"
    } else {
        "the top of its trench takes, by the lower end,"
    };
    let mut found =
        vec![format!("more to let the water in: {takes} {} of it", share_words(intake.shares[0]))];
    if intake.bare_share > intake.shares[0] && option.built.is_ok() {
        found.push(format!(
            "stone up to the surface of the same trench, kept clean, would take {}",
            share_words(intake.bare_share)
        ));
    }
    if intake.stone_width > intake.width {
        found.push(if intake.stone_width.as_m() > WIDEST_STONE_M {
            format!("no width of stone takes the {arrives} that arrive where most does")
        } else {
            format!(
                "where most arrives, {arrives}, stone must be {} wide to let all of it in",
                units.length(intake.stone_width.as_m())
            )
        });
    }
    if intake.holes < intake.arrives_most {
        let two = |other: &Costed| other.option.arrangement == Arrangement::TwoPipes;
        let may_be_two = option.arrangement == Arrangement::OnePipe
            && all.iter().any(|other| two(other) && keeps_more(&other.option, option));
        let or_two = if may_be_two { ", or two pipes" } else { "" };
        found.push(format!(
            "holes that let in more than {}: pipe with a larger inlet area{or_two}",
            units.flow_along(intake.holes.as_m3_per_s())
        ));
    }
    found.extend(that_keep_more(part, option, all, units));
    found
}

fn swale_needs(part: &LinePart, option: &DrainOption, units: Units) -> Vec<String> {
    let Some(swale) = &option.swale else { return Vec::new() };
    let mut found = Vec::new();
    match swale.sizing {
        SwaleSizing::Fits(_) => {}
        SwaleSizing::TooDeep(_) => {
            found.push("a wider swale: the water would be too deep in this one".to_owned());
        }
        SwaleSizing::TooFast(_) => {
            found.push("a lining that bears faster water than this grass, or checks".to_owned());
        }
        SwaleSizing::TooSteep(_) => {
            found.push("a lining of stone: the ground is steeper than grass is used for".to_owned());
        }
        SwaleSizing::TooFlat(_) => found.push(format!(
            "a bed graded to fall {:.2} %: the ground falls less towards the end that drains",
            100.0 * swale.rules.flattest.get()
        )),
    }
    if let Some(dip) = swale.dip {
        found.push(format!(
            "a bed that cuts through the ground: it dips {} below the end that drains",
            units.depth(dip.as_m())
        ));
    }
    found.extend(option.swale_leaves(part.setback).map(|widest| {
        let [half_m, wide_m] = [0.5, 1.0].map(|times| times * widest.width.as_m());
        let more = units.length(wide_m - 2.0 * part.setback.as_m());
        // Where the bed lies as deep everywhere there is no place to name.
        let place = swale.bed.cut().map_or(String::new(), |cut| {
            format!(
                " at {} of its way, where it cuts through higher ground",
                units.length(cut.station.as_m())
            )
        });
        format!(
            "a setback of {} or more: the swale is {} wide{place}, {more} wider than twice the setback",
            units.length(up(half_m)),
            units.length(wide_m)
        )
    }));
    found
}
