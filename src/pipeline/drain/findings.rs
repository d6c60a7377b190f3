//! What must be said of a part's drain.

use super::PartDrain;
use crate::interceptor::drain::{Arrangement, DrainOption, ReachVerdict};
use crate::interceptor::profile::ProfileStation;
use crate::interceptor::{LinePart, without_outlet};
use crate::pipeline::{PartOutlets, Settings};
use crate::warning::Warning;
use crate::wording::{metres, percent, span};

/// What a part without a drain mostly lacks.
const GIVE: &str = "give the rain and what runs off, and an outlet that is low enough (--inlets, --outlet)";
/// Less cover than asked for by no more than this is rounding, m.
const COVER_NOISE_M: f64 = 1e-3;

/// What must be said of a part's drain.
pub(super) fn findings(
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
                "part {id} of the line as {} keeps {} of its flow off the lot: {}",
                option.arrangement.words(),
                percent(option.share()),
                why_not(option)
            ),
            "see interception_line.parts.drain.options in summary.json for the other arrangements, and what each would need",
        ));
    }
    warnings.extend(thin_cover(part, option, outlets, settings));
    if let Some(widest) = option.swale_leaves(part.setback) {
        let cuts = option.swale.as_ref().is_some_and(|swale| swale.bed.cut().is_some());
        let place = if cuts {
            let at = metres(widest.station.as_m(), 1);
            format!(
                " at {at} of its way, where it cuts through higher ground {} deep",
                metres(widest.depth.as_m(), 2)
            )
        } else {
            String::new()
        };
        warnings.push(Warning::new(
            "swale-beyond-lot",
            format!(
                "the swale of part {id} of the line is {} wide{place}, half to either side of a line {} inside the lot, {} more than there is room for: it lies on the neighbour's land too",
                metres(widest.width.as_m(), 1),
                metres(part.setback.as_m(), 1),
                metres(widest.width.as_m() - 2.0 * part.setback.as_m(), 1)
            ),
            "ask for a setback of half its width (--setback), for another arrangement, or for the neighbour's written consent",
        ));
    }
    warnings
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

fn impossible(id: usize, settings: &Settings) -> Warning {
    let what = settings.drain.arrangement.map_or("any arrangement", Arrangement::words);
    Warning::new(
        "drain-not-built",
        format!(
            "part {id} of the line can't be built as {what}: the catalogue has no pipe for it, the trench is too shallow, or its swale would lie on the neighbour's land"
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
        return format!("from {} of its way {what}", span(sized.reach.from_m, sized.reach.to_m));
    }
    option.held_by().map_or_else(String::new, |held| format!("it is limited by {}", held.words()))
}

/// Cover over the pipes that were chosen, where it is less than asked for: the profile was laid for another size.
fn thin_cover(
    part: &LinePart,
    option: &DrainOption,
    outlets: &PartOutlets,
    settings: &Settings,
) -> Option<Warning> {
    let way = &outlets.proposed()?.way;
    let profile = option.profile(way.profile()?);
    // Before a mouth in the open cover runs out, as it must.
    let judged_m = way.length.as_m() - way.limits.run_out_m();
    let cover = |at: &ProfileStation| {
        let over = option.reach_at(at.station_m)?;
        let above_m = 0.5 * (over.pipe.outside().as_m() + over.pipe.inside().as_m());
        Some(at.ground_m - at.invert_m - above_m)
    };
    let judged = profile.stations().iter().filter(|at| at.station_m <= judged_m);
    let least_m = judged.filter_map(cover).fold(f64::INFINITY, f64::min);
    (least_m < settings.min_cover.as_m() - COVER_NOISE_M).then(|| {
        Warning::new(
            "cover-less-than-asked",
            format!(
                "the pipe of part {} of the line has {} of ground over it, less than the {} asked for",
                part.id,
                metres(least_m, 2),
                metres(settings.min_cover.as_m(), 2)
            ),
            "ask for that much more cover (--min-cover), or protect the pipe there",
        )
    })
}
