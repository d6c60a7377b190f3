//! What must be said of standing water at the outlet of a part.

use super::findings::place_words;
use super::{NoLarger, WayOut};
use crate::interceptor::{Backflow, LinePart, OutletPlace, Overflow, Receiving};
use crate::units::Flow;
use crate::warning::Warning;
use crate::wording::{metres, span};

/// A pipe that runs over by far though nothing stands at its outlet: how high the water would have to stand
/// is no level that there can be.
fn far_too_small(part: &LinePart, proposed: &WayOut) -> Option<Warning> {
    let free = proposed.tailwaters.iter().find(|case| case.receiving == Receiving::Free)?;
    let over = free.overflow.filter(Overflow::is_far)?;
    let [full, comes] = proposed.tightest?;
    let flow = |flow: Flow| format!("{:.1} L/s ({:.0} gpm)", flow.as_l_per_s(), flow.as_gal_per_min());
    Some(Warning::new(
        "line-overflows",
        format!(
            "the pipe of part {} of the line is far too small: at its tightest it is full at {}, and {} come; it runs over {} of its way, whatever stands at its outlet",
            part.id,
            flow(full),
            flow(comes),
            where_over(over)
        ),
        "have a larger pipe laid (--catalogue gives sizes of your own), two parts with an outlet each, or a swale",
    ))
}

/// Along a stretch, or at the one place at which a tight pipe is open.
fn where_over(over: Overflow) -> String {
    if over.to_m > over.from_m {
        format!("from {}", span(over.from_m, over.to_m))
    } else {
        format!("at {}", metres(over.at_m, 1))
    }
}

/// What came of larger pipes.
fn larger_words(receiving: Receiving, no_larger: Option<NoLarger>) -> &'static str {
    match no_larger.filter(|_| receiving != Receiving::Free) {
        Some(NoLarger::NoneHelps) => ", and so it would with larger pipes, up to twice the size",
        Some(NoLarger::WorseOtherwise) => {
            "; larger pipes out of which it wouldn't keep less of the water, lack cover or can't be built there"
        }
        None => "",
    }
}

const fn overflow_help(receiving: Receiving) -> &'static str {
    match receiving {
        Receiving::OtherPipe => {
            "see what is said of the part whose pipe it joins; else a larger or deeper pipe there, or an outlet of its own (--inlets, --outlet)"
        }
        Receiving::Free | Receiving::Given | Receiving::Rim => {
            "find out how high the water stands there in the storm (field tailwater); else a larger or deeper pipe, or another outlet"
        }
    }
}

/// Standing water at the outlet: above the pipe's end it slows it, above the ground over the line it comes
/// out.
pub(super) fn drowned(part: &LinePart, proposed: &WayOut, place: &OutletPlace) -> Vec<Warning> {
    let small = far_too_small(part, proposed);
    let is_small = small.is_some();
    let mut warnings: Vec<Warning> = small.into_iter().collect();
    for case in &proposed.tailwaters {
        if let Some(over) = case.overflow.filter(|_| !is_small) {
            let water = match (case.receiving, case.level_m) {
                (Receiving::Given, Some(level_m)) => {
                    format!("with water at {} in {}", metres(level_m, 2), place_words(place))
                }
                (Receiving::Rim, Some(level_m)) => {
                    format!("with {} full to its rim at {}", place_words(place), metres(level_m, 2))
                }
                (Receiving::OtherPipe, Some(level_m)) => {
                    let level = metres(level_m, 2);
                    format!(
                        "with the water in the pipe of part {}, which it joins, at {level} there",
                        place.id
                    )
                }
                _ => "even with a free outfall".to_owned(),
            };
            warnings.push(Warning::new(
                "line-overflows",
                format!(
                    "{water} the pipe of part {} of the line runs over {} of its way, up to {} above the ground{}",
                    part.id,
                    where_over(over),
                    metres(over.above_ground_m, 2),
                    larger_words(case.receiving, proposed.no_larger)
                ),
                overflow_help(case.receiving),
            ));
        }
        // Whether an inlet stands full to its rim isn't known; that it may is said where it overflows.
        if let (Receiving::Given, Backflow::InPipe | Backflow::Surface, Some(level_m)) =
            (case.receiving, case.backflow, case.level_m)
        {
            let end_m = proposed.way.profile().and_then(|profile| Some(profile.stations().last()?.invert_m));
            warnings.push(Warning::new(
                "outlet-drowned",
                format!(
                    "water in {} stands at {} in the storm, {} above the end of the pipe of part {} of the line",
                    place_words(place),
                    metres(level_m, 2),
                    metres(level_m - end_m.unwrap_or(level_m), 2),
                    part.id
                ),
                "the pipe then carries less than it says, and water may come back up it: have it checked, or name another outlet",
            ));
        }
    }
    warnings
}
