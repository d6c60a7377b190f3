//! What isn't built, or finds no room, and what would let it.

use super::PartDrain;
use crate::interceptor::drain::{Arrangement, Beyond, DrainOption, NotBuilt};
use crate::interceptor::quantities::QuantityError;
use crate::interceptor::trench::TrenchError;
use crate::interceptor::{Bore, DugBy, Edge, LinePart};
use crate::pipeline::Settings;
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
pub(super) fn beyond(id: usize, option: &DrainOption, Beyond { by, worst }: &Beyond) -> Warning {
    let code = match (worst.edge, by) {
        (Edge::LotLine, DugBy::Swale) => "swale-beyond-lot",
        (Edge::LotLine, DugBy::Trench) => "trench-beyond-lot",
        (Edge::Thing(_), _) => "works-meet-building",
    };
    let cut = option.swale.as_ref().filter(|_| *by == DugBy::Swale).and_then(|swale| swale.bed.cut());
    let cuts = cut.map_or(String::new(), |cut| {
        format!(", where it cuts through higher ground {} deep,", metres(cut.depth.as_m(), 2))
    });
    let (edge, over) = (worst.edge.words(), metres(worst.over().as_m(), 2));
    let then = match worst.edge {
        Edge::LotLine => format!("it lies {over} beyond it, on land that isn't the lot's"),
        Edge::Thing(_) => format!("it would reach {over} into it"),
    };
    let help = worst.setback.map_or_else(
        || "ask for another arrangement, or agree with whose land or building it is on the room for it".to_owned(),
        |setback| {
            format!(
                "ask for a setback of {} (--setback {:.2}m), for another arrangement, or for the written consent of whose land it is",
                metres(up_to_cm(setback.as_m()), 2),
                up_to_cm(setback.as_m())
            )
        },
    );
    Warning::new(
        code,
        format!(
            "the {} of part {id} of the line is {} wide at {} of its way{cuts} half to either side of the line, and {edge} is {} off: {then}",
            by.name(),
            metres(worst.width.as_m(), 2),
            metres(worst.station.as_m(), 1),
            metres(worst.room.as_m(), 2),
        ),
        help,
    )
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
    let options = || drain.options.iter().map(|costed| &costed.option);
    let why = |option: &DrainOption| {
        let words = option.arrangement.words();
        match (&option.built, option.beyond) {
            (Err(cause), _) => Some(format!("{words}: {cause}")),
            (Ok(_), Some(Beyond { by, worst })) => Some(format!(
                "{words}: its {} is {} wide at {} of its way, {} wider than there is room for beside {}",
                by.name(),
                metres(worst.width.as_m(), 2),
                metres(worst.station.as_m(), 1),
                metres(2.0 * worst.over().as_m(), 2),
                worst.edge.words()
            )),
            (Ok(_), None) => None,
        }
    };
    let mut reasons: Vec<String> = options().filter_map(why).collect();
    let has = |arrangement: &Arrangement| options().any(|option| option.arrangement == *arrangement);
    let lacking: Vec<&str> =
        Arrangement::ALL.iter().filter(|arrangement| !has(arrangement)).map(|it| it.words()).collect();
    if !lacking.is_empty() {
        reasons.push(format!("{}: no pipe of the catalogue, or no course, serves it", lacking.join(", ")));
    }
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
