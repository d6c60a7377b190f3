//! A drain in words: its section, how it is tied in, and what must be added.

use super::screen::Units;
use super::words::pipe_name;
use crate::interceptor::LinePart;
use crate::interceptor::drain::{
    Arrangement, DrainOption, ReachPlace, ReachVerdict, SizedReach, usual_grate,
};
use crate::interceptor::quantities::{End, Section};
use crate::interceptor::swale::SwaleSizing;
use crate::interceptor::trench::PipeCount;
use crate::units::Flow;

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
    let width = stone_width_m(option).map_or(String::new(), |m| format!(" {} wide", units.length(m)));
    let swale = option.swale.map_or(String::new(), |swale| {
        format!(
            "grassed V {} deep and {} wide",
            units.depth(swale.depth.as_m()),
            units.length(swale.width.as_m())
        )
    });
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

fn stone_width_m(option: &DrainOption) -> Option<f64> {
    let line = option.built.as_ref().ok()?.line.as_ref()?;
    line.legs().iter().find_map(|leg| match &leg.section {
        Section::Stone(trench) => Some(trench.width().as_m()),
        Section::Solid(_) => None,
    })
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
pub(super) fn needs(part: &LinePart, option: &DrainOption, units: Units) -> Vec<String> {
    let mut found: Vec<String> = option.reaches.iter().filter_map(|sized| pipe_need(sized, units)).collect();
    found.extend(intake_needs(option, units));
    found.extend(swale_needs(part, option, units));
    if option.arrangement == Arrangement::Basins && option.taken_shares[0] < ALL {
        let passes = option.flow * (1.0 - option.taken_shares[0]);
        let passes = units.flow(passes.as_m3_per_s());
        found.push(format!(
            "{passes} pass the basins: a swale or bare stone between them, or a trench along the whole line"
        ));
    }
    found
}

fn pipe_need(sized: &SizedReach, units: Units) -> Option<String> {
    let reach = &sized.reach;
    let where_ = format!("from {} of its way", units.span(reach.from_m, reach.to_m));
    match sized.verdict {
        ReachVerdict::Carries => None,
        ReachVerdict::TooSmall => Some(format!(
            "{where_} pipes that carry {} at {:.2} %: the largest of the catalogue carries {}",
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

/// What would let the rest in.
fn intake_needs(option: &DrainOption, units: Units) -> Vec<String> {
    let Some(intake) = option.intake.as_ref().filter(|_| option.taken_shares[0] < ALL) else {
        return Vec::new();
    };
    let rest = option.flow * (1.0 - intake.shares[0]);
    let arrives = units.flow_along(intake.arrives_most.as_m3_per_s());
    let mut found = vec![if intake.stone_width.as_m() > WIDEST_STONE_M {
        format!("more than stone where most arrives: {arrives} are too much for any width of it")
    } else {
        format!(
            "stone up to the surface {} wide where most arrives ({arrives}), by the lower end of what clogged stone takes",
            units.length(intake.stone_width.as_m())
        )
    }];
    if option.swale.is_none() {
        found.push(format!("or a swale over it that carries {}", units.flow(rest.as_m3_per_s())));
    }
    let grate = usual_grate().unwrap_or(Flow::ZERO);
    if grate > Flow::ZERO {
        let count = (rest / grate).ceil().max(1.0);
        let plural = if count > 1.0 { "s" } else { "" };
        found.push(format!(
            "or basins in low places with {count:.0} grate{plural} of 12 in (30 cm), half clogged, in 3 in (8 cm) of water"
        ));
    }
    if intake.holes < intake.arrives_most {
        found.push(format!(
            "holes that let in more than {}: pipe with a larger inlet area, or two pipes",
            units.flow_along(intake.holes.as_m3_per_s())
        ));
    }
    found
}

fn swale_needs(part: &LinePart, option: &DrainOption, units: Units) -> Vec<String> {
    let Some(swale) = option.swale else { return Vec::new() };
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
    let half_m = 0.5 * swale.width.as_m();
    if half_m > part.setback.as_m() {
        found.push(format!(
            "a setback of {} or more: the swale is {} wide",
            units.length(half_m),
            units.length(swale.width.as_m())
        ));
    }
    found
}
