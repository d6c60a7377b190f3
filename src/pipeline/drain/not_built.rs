//! What isn't built, or finds no room, and what would let it.

use super::beyond::Land;
use super::{Entering, PartDrain};
use crate::interceptor::drain::{Arrangement, Beyond, DrainOption, NotBuilt};
use crate::interceptor::quantities::QuantityError;
use crate::interceptor::trench::TrenchError;
use crate::interceptor::{Bore, DugBy, Edge, LinePart};
use crate::pipeline::{PartOutlets, Settings};
use crate::units::Length;
use crate::warning::Warning;
use crate::wording::metres;

/// Of a part without a drain: whether even the trench of the pipe that it is sized for, else of 4 in, finds room beside its line.
pub(super) fn no_room(part: &LinePart) -> Option<Warning> {
    let width = Bore::of_part(part).trench_width();
    let worst = part.nearness.too_wide(&|piece| Some((Length::from_m(piece.from_m), width)))?;
    Some(Warning::new(
        "trench-beyond-lot",
        format!(
            "even the trench of one pipe, {} wide, half to either side of part {} of the line, finds no room at {} of it: {} is {} off",
            metres(width.as_m(), 2),
            part.id,
            metres(worst.station.as_m(), 1),
            worst.edge.words(),
            metres(worst.room.as_m(), 2)
        ),
        worst.setback.map_or_else(
            || {
                "agree with whose land or building it is on the room for it, or lead that water past by hand"
                    .to_owned()
            },
            |setback| {
                format!(
                    "ask for a setback of {} (--setback {:.2}m)",
                    metres(up_to_cm(setback.as_m()), 2),
                    up_to_cm(setback.as_m())
                )
            },
        ),
    ))
}

/// Trench or swale that are wider than there is room for: only one that is named is built so.
pub(super) fn beyond(
    part: &LinePart,
    drain: Option<&PartDrain>,
    outlets: &PartOutlets,
    entering: &Entering<'_>,
) -> Option<Warning> {
    let option = drain?.to_build()?;
    let Beyond { by, worst } = option.beyond?;
    let land = Land::of(entering, part, (&outlets.proposed()?.way, option));
    let code = match (worst.edge, by) {
        (Edge::LotLine, DugBy::Swale) => "swale-beyond-lot",
        (Edge::LotLine, DugBy::Trench) => "trench-beyond-lot",
        (Edge::Thing(_), _) => "works-meet-building",
    };
    let cut = option.swale.as_ref().filter(|_| by == DugBy::Swale).and_then(|swale| swale.bed.cut());
    let cuts = cut.map_or(String::new(), |cut| {
        format!(", where it cuts through higher ground {} deep,", metres(cut.depth.as_m(), 2))
    });
    let (edge, over) = (worst.edge.words(), metres(worst.over().as_m(), 2));
    let then = match worst.edge {
        Edge::LotLine => format!("it lies on {} too, {over} beyond that", land.words()),
        Edge::Thing(_) => format!("it would reach {over} into it"),
    };
    let setback = worst.setback.map_or(String::new(), |setback| {
        let setback_m = up_to_cm(setback.as_m());
        format!("a setback of {} (--setback {setback_m:.2}m), for ", metres(setback_m, 2))
    });
    let consent = match worst.edge {
        Edge::LotLine => format!(", or for the written consent of {}", land.consent()),
        Edge::Thing(_) => String::new(),
    };
    let help = format!("ask for {setback}another arrangement (--arrangement){consent}");
    Some(Warning::new(
        code,
        format!(
            "the {} of part {} of the line is {} wide at {} of its way{cuts} half to either side of the line, and {edge} is {} off: {then}",
            by.name(),
            part.id,
            metres(worst.width.as_m(), 2),
            metres(worst.station.as_m(), 1),
            metres(worst.room.as_m(), 2),
        ),
        help,
    ))
}

/// What would let a named arrangement be built, by what keeps it from that.
pub(super) fn what_would_build(cause: &NotBuilt, settings: &Settings) -> String {
    match cause {
        NotBuilt::Depth(QuantityError::Shallow { cause: TrenchError::Shallow { depth_m, least_m }, .. }) => {
            let cover_m = up_to_cm(settings.min_cover.as_m() + (least_m - depth_m));
            format!(
                "ask for {} of ground over the pipes (--min-cover {cover_m:.2}m) where the outlet lies low enough for that, for a thinner finish (--finish), or for another arrangement (--arrangement)",
                metres(cover_m, 2)
            )
        }
        NotBuilt::SwaleTooDeep { depth_m, .. } => format!(
            "allow a trench of {} (--max-depth {:.2}m), or ask for another arrangement (--arrangement)",
            metres(up_to_cm(*depth_m), 2),
            up_to_cm(*depth_m)
        ),
        NotBuilt::UnderSwale => {
            "name an outlet that lies lower (--outlet), or ask for another arrangement (--arrangement)".to_owned()
        }
        NotBuilt::Bare { .. } => {
            "name an outlet that lies lower or farther off (--outlet), or ask for another arrangement (--arrangement)"
                .to_owned()
        }
        NotBuilt::NoStone => {
            "ask for a thinner finish (--finish), name an outlet that lies lower (--outlet), or ask for another arrangement (--arrangement)"
                .to_owned()
        }
        NotBuilt::NotYet | NotBuilt::Section(_) | NotBuilt::Depth(_) => {
            "ask for another finish (--finish), another catalogue (--catalogue) or another arrangement (--arrangement)"
                .to_owned()
        }
    }
}

/// To the centimetre above: what is asked for must be enough.
fn up_to_cm(m: f64) -> f64 {
    (m * 100.0 - 1e-6).ceil() / 100.0
}

/// A part for which nothing can be built: why each arrangement can't, and the least setback with which one can.
pub(super) fn impossible(id: usize, drain: &PartDrain, settings: &Settings) -> Warning {
    let what = settings.drain.arrangement.map_or("any arrangement", Arrangement::words);
    // One that is named and stands among them is chosen, whatever keeps it from being built.
    let options =
        || drain.options.iter().map(|costed| &costed.option).filter(|_| settings.drain.arrangement.is_none());
    let why = |option: &DrainOption| {
        let words = option.arrangement.words();
        match (&option.built, option.beyond) {
            (Err(cause), _) => format!("{words}: {cause}"),
            (Ok(_), Some(Beyond { by, worst })) => format!(
                "{words}: its {} is {} wide at {} of its way, {} wider than there is room for beside {}",
                by.name(),
                metres(worst.width.as_m(), 2),
                metres(worst.station.as_m(), 1),
                metres(2.0 * worst.over().as_m(), 2),
                worst.edge.words()
            ),
            (Ok(_), None) => format!("{words}: it keeps none of the water"),
        }
    };
    let mut reasons: Vec<String> = options().map(why).collect();
    let named = settings.drain.arrangement;
    let lacking = drain.lacking.iter().filter(|(it, _)| named.is_none_or(|named| named == *it));
    reasons.extend(lacking.map(|(arrangement, what)| format!("{}: {what}", arrangement.words())));
    let fits = |option: &DrainOption| Some((option.beyond?.worst.setback?, option.arrangement));
    let with_setback = options().filter(|option| option.built.is_ok()).filter_map(fits);
    let least = with_setback.reduce(|a, b| if b.0 < a.0 { b } else { a });
    let help = least.map_or_else(
        || {
            "see interception_line.parts.drain.options in summary.json for what each needs; or agree with the neighbour on a line that serves both lots"
                .to_owned()
        },
        |(setback, arrangement)| {
            format!(
                "with a setback of {} (--setback {:.2}m) there is room for it as {}",
                metres(up_to_cm(setback.as_m()), 2),
                up_to_cm(setback.as_m()),
                arrangement.words()
            )
        },
    );
    Warning::new(
        "drain-not-built",
        format!("part {id} of the line can't be built as {what}: {}", reasons.join("; ")),
        help,
    )
}
