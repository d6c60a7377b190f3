//! What must be said of a part's drain.

use super::beyond::Beyond;
use super::{Entering, PartDrain};
use crate::interceptor::drain::{Arrangement, DrainOption, ReachVerdict, SizedReach, ThinCover, ThinStretch};
use crate::interceptor::profile::{Infeasible, Lower};
use crate::interceptor::{LinePart, without_outlet};
use crate::pipeline::for_drains::TooHigh;
use crate::pipeline::outlets::NotAgain;
use crate::pipeline::{PartOutlets, Settings};
use crate::warning::Warning;
use crate::wording::{metres, percent, span};

/// What a part without a drain mostly lacks.
const GIVE: &str = "give the rain and what runs off, and an outlet that is low enough (--inlets, --outlet)";

/// Places that lie so near to each other are one, m.
const SAME_M: f64 = 1e-6;

/// What must be said of a part's drain.
pub(super) fn findings(
    part: &LinePart,
    drain: Option<&PartDrain>,
    (outlets, too_high): (&PartOutlets, Option<&TooHigh>),
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
        let as_looked_for = outlets.proposed().and_then(|found| found.way.runs_out_m());
        warnings.extend(as_looked_for.map(|lengths_m| runs_out_over(part, lengths_m)));
        return warnings;
    };
    let Some(option) = drain.chosen() else { return vec![impossible(id, drain, settings)] };
    let mut warnings: Vec<Warning> = runs_out(part, drain, outlets).into_iter().collect();
    if let Err(cause) = &option.built {
        warnings.push(Warning::new(
            "drain-not-built",
            format!("part {id} of the line as {} can't be built: {cause}", option.arrangement.words()),
            "ask for more cover (--min-cover), another finish (--finish) or another arrangement (--arrangement)",
        ));
    }
    warnings.extend(velocity(id, option));
    let is_too_small = option.reaches.iter().any(|sized| sized.verdict == ReachVerdict::TooSmall);
    if option.held_by().is_some() || is_too_small {
        warnings.push(Warning::new(
            "drain-carries-part",
            format!(
                "part {id} of the line as {} keeps {} of its flow off the lot: {}",
                option.arrangement.words(),
                percent(option.share()),
                why_not(option)
            ),
            "see interception_line.parts.drain.options in summary.json for the other arrangements, and what each would need",
        ));
    }
    warnings.extend(thin_cover(part, option, too_high, settings));
    warnings.extend(thin_stretches(part, (drain, option), outlets, settings));
    warnings
}

/// A swale for which the setback leaves no room, and whose land it lies on too.
pub(super) fn swale_beyond_lot(
    part: &LinePart,
    drain: Option<&PartDrain>,
    outlets: &PartOutlets,
    entering: &Entering<'_>,
) -> Option<Warning> {
    let option = drain?.chosen()?;
    let widest = option.swale_leaves(part.setback)?;
    let bed = &option.swale.as_ref()?.bed;
    let beyond = Beyond::of(entering, part, (&outlets.proposed()?.way, bed));
    let place = if bed.cut().is_some() {
        let at = metres(widest.station.as_m(), 1);
        format!(
            " at {at} of its way, where it cuts through higher ground {} deep",
            metres(widest.depth.as_m(), 2)
        )
    } else {
        String::new()
    };
    Some(Warning::new(
        "swale-beyond-lot",
        format!(
            "the swale of part {} of the line is {} wide{place}, half to either side of a line {} inside the lot, {} more than there is room for: it lies on {} too",
            part.id,
            metres(widest.width.as_m(), 1),
            metres(part.setback.as_m(), 1),
            metres(widest.width.as_m() - 2.0 * part.setback.as_m(), 1),
            beyond.words()
        ),
        format!(
            "ask for a setback of half its width (--setback), for another arrangement, or for the written consent of {}",
            beyond.consent()
        ),
    ))
}

/// Someone who names an arrangement or gives prices expects a design.
fn not_designed(part: &LinePart, outlets: &PartOutlets, settings: &Settings) -> Option<Warning> {
    let asked = settings.drain.arrangement.is_some() || settings.drain.prices.is_some();
    let joins = outlets.joins.map(|into| into + 1);
    let (is_said, missing, remedy) = match (part.flow().is_some(), outlets.proposed().is_some(), joins) {
        (false, false, _) => (asked, "no storm is given, and no outlet by gravity is known".to_owned(), GIVE),
        (false, true, _) => (asked, "no storm is given".to_owned(), GIVE),
        // Nobody expects this one: the part has an outlet.
        (true, true, Some(into)) => (
            true,
            format!("its pipe joins that of part {into}, for which no drain is designed"),
            "see to that part's drain, or give this one an outlet of its own (--inlets, --outlet)",
        ),
        (true, ..) => (asked, "no outlet by gravity is known".to_owned(), GIVE),
    };
    is_said.then(|| {
        let text = format!("part {} of the line has no drain and no quantities: {missing}", part.id);
        Warning::new("drain-not-designed", text, remedy)
    })
}

fn impossible(id: usize, drain: &PartDrain, settings: &Settings) -> Warning {
    let named = settings.drain.arrangement;
    let what = named.map_or("any arrangement", Arrangement::words);
    let lacks = drain.lacking.iter().find(|(arrangement, _)| Some(*arrangement) == named);
    let why = lacks.map_or_else(
        || "the catalogue has no pipe for it, the trench is too shallow, its swale would lie beyond the lot line, or it would keep none of the water".to_owned(),
        |(_, lacks)| lacks.to_string(),
    );
    Warning::new(
        "drain-not-built",
        format!("part {id} of the line can't be built as {what}: {why}"),
        "give a catalogue with perforated pipe (--catalogue), more cover (--min-cover) or another arrangement (--arrangement)",
    )
}

/// Why an option doesn't carry all.
fn why_not(option: &DrainOption) -> String {
    let small = option.reaches.iter().find(|sized| sized.verdict == ReachVerdict::TooSmall);
    if let Some(sized) = small.filter(|_| option.carried_share() <= option.taken_shares[0]) {
        let at = span(sized.reach.from_m, sized.reach.to_m);
        return format!("from {at} of its way no pipe that may lie there carries it");
    }
    option.held_by().map_or_else(String::new, |held| format!("it is limited by {}", held.words()))
}

/// Where every pipe that carries the water runs too fast, or too slowly.
fn velocity(id: usize, option: &DrainOption) -> Option<Warning> {
    let wrong = |sized: &&SizedReach| matches!(sized.verdict, ReachVerdict::TooFast | ReachVerdict::TooSlow);
    let sized = option.reaches.iter().find(wrong)?;
    let (what, help) = if sized.verdict == ReachVerdict::TooFast {
        (
            "too fast",
            "a drop structure with a flatter grade, or pipe and bedding for that velocity: see the checklist",
        )
    } else {
        ("too slowly to keep clean", "a steeper grade (--min-grade, a lower outlet), or cleaning it often")
    };
    Some(Warning::new(
        "drain-velocity",
        format!(
            "from {} of the way of part {id} of the line the water runs {what} in every pipe that carries it",
            span(sized.reach.from_m, sized.reach.to_m)
        ),
        help,
    ))
}

/// Ground that is missing over a pipe, for which the way can't be laid deeper.
fn thin_cover(
    part: &LinePart,
    option: &DrainOption,
    too_high: Option<&TooHigh>,
    settings: &Settings,
) -> Option<Warning> {
    let ThinCover { station, over, short } = option.thin?;
    let why = match too_high.map(|pipe| &pipe.why) {
        Some(NotAgain::TooHigh(refused)) => not_lower(refused),
        Some(NotAgain::Worse) => ": laid lower, water of the line would come to a worse outlet".to_owned(),
        None => String::new(),
    };
    Some(Warning::new(
        "cover-less-than-asked",
        format!(
            "the pipe of part {} of the line has {} of ground over it at {} of its way, {} less than with the {} asked for{why}",
            part.id,
            metres(over.as_m(), 2),
            metres(station.as_m(), 1),
            metres(short.as_m(), 2),
            metres(settings.min_cover.as_m(), 2)
        ),
        "protect the pipe there, or see interception_line.parts.drain.options in summary.json for arrangements that keep their cover (cover_short)",
    ))
}

/// Less ground than this that is missing between two places of the profile is the checklist's alone, m: half the error of
/// common lidar. Ours.
const TOLD_M: f64 = 0.05;

/// Cover that runs out over a long way before a mouth in the open, as it is built.
fn runs_out(part: &LinePart, drain: &PartDrain, outlets: &PartOutlets) -> Option<Warning> {
    let way = &outlets.proposed()?.way;
    let as_looked_for = way.runs_out_m()?;
    let line = drain.chosen()?.built.as_ref().ok()?.line.as_ref();
    let at_mouth = drain.thin_stretches.last().filter(|thin| thin.to.as_m() > way.length.as_m() - SAME_M);
    let as_built = at_mouth.zip(line);
    let lengths_m = as_built.map(|(thin, line)| [(thin.to - thin.from).as_m(), line.beyond().as_m()]);
    Some(runs_out_over(part, lengths_m.unwrap_or(as_looked_for)))
}

fn runs_out_over(part: &LinePart, [cover_m, bare_m]: [f64; 2]) -> Warning {
    Warning::new(
        "cover-runs-out",
        format!(
            "before its mouth in the open the pipe of part {} of the line has less cover than asked for over {}, and its last {} lie in no trench and stand out of the ground: that falls hardly more than the pipe",
            part.id,
            metres(cover_m, 1),
            metres(bare_m, 1)
        ),
        "bank earth over it up to its guarded end piece (the bill has none of that), where mowers and wheels keep off, and see that the bank holds back no water; or give an outlet that lies lower",
    )
}

/// Ground that is missing over a pipe where the way as it is laid leaves it no more: before a mouth so near that it runs out along the
/// part itself, and between the places at which the profile is held to it. The end piece of a lead is the checklist's.
fn thin_stretches(
    part: &LinePart,
    (drain, option): (&PartDrain, &DrainOption),
    outlets: &PartOutlets,
    settings: &Settings,
) -> Option<Warning> {
    let way = &outlets.proposed()?.way;
    let (part_m, end_m) = (way.length.as_m() - way.lead_length.as_m(), way.length.as_m());
    let to_mouth = |thin: &ThinStretch| way.kind.is_open() && thin.to.as_m() > end_m - SAME_M;
    let is_end_piece = |thin: &ThinStretch| to_mouth(thin) && thin.from.as_m() > part_m - SAME_M;
    let is_told = |thin: &ThinStretch| {
        option.thin.is_some_and(|told| thin.from <= told.station && told.station <= thin.to)
    };
    let is_much = |thin: &ThinStretch| settings.min_cover.as_m() - thin.over.as_m() >= TOLD_M;
    let is_new = |thin: &&ThinStretch| is_much(thin) && !is_end_piece(thin) && !is_told(thin);
    let all: Vec<&ThinStretch> = drain.thin_stretches.iter().filter(is_new).collect();
    let least = all.iter().copied().reduce(|a, b| if b.over < a.over { b } else { a })?;
    let more = match all.len() {
        1 => String::new(),
        2 => ", and so over one other stretch".to_owned(),
        count => format!(", and so over {} other stretches", count - 1),
    };
    let why = if least.under_swale {
        ", where its lead runs back below its own swale"
    } else if to_mouth(least) {
        ", as it runs out to a mouth that near to the part"
    } else {
        ""
    };
    let least_over = if least.over.as_m() > 0.0 {
        format!("{} at the least", metres(least.over.as_m(), 2))
    } else {
        "none at the least".to_owned()
    };
    Some(Warning::new(
        "cover-less-than-asked",
        format!(
            "the pipe of part {} of the line has less ground over it than the {} asked for from {} of its way, {least_over}, at {}{why}{more}",
            part.id,
            metres(settings.min_cover.as_m(), 2),
            span(least.from.as_m(), least.to.as_m()),
            metres(least.station.as_m(), 1)
        ),
        "protect the pipe there, as the checklist says, make up ground over it, or name an outlet that lies lower or farther off",
    ))
}

/// Why a pipe isn't laid lower for its cover, and what would let it.
fn not_lower(refused: &Infeasible) -> String {
    let held = match refused.lower {
        Lower::Depth { station_m } => {
            format!("the greatest depth of trench at {} of its way", metres(station_m, 1))
        }
        Lower::Outlet => "the outlet's invert".to_owned(),
    };
    let remedies = refused.remedies();
    let mends = [
        remedies.greatest_cut_m.map(|m| format!("a trench of {}", metres(m, 2))),
        remedies.outlet_invert_m.map(|m| format!("an outlet at {}", metres(m, 2))),
        remedies.least_grade.map(|grade| format!("a least grade of {:.2} %", grade * 100.0)),
    ];
    let mends: Vec<String> = mends.into_iter().flatten().collect();
    let would =
        if mends.is_empty() { String::new() } else { format!("; {} would let it", mends.join(" or ")) };
    format!(
        ": laid with it, it would have to lie {} lower than {held} lets it{would}",
        metres(refused.shortfall_m, 2)
    )
}
