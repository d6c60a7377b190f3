//! Where trenches are so deep that rules ask for something.

use super::super::trench::Digging;
use super::cuts::Cut;
use super::line::{DrainLine, Leg};
use crate::units::Length;
use crate::warning::Warning;

/// Where the trenches are so deep that rules ask for something.
pub(super) fn deep_trenches(lines: &[DrainLine]) -> Vec<Warning> {
    let Some((number, leg, cut)) = deepest(lines) else { return Vec::new() };
    let found = leg.section.digging(cut.depth);
    let warn = |at: Digging, code, words: &str, help: &str| {
        let limit = at.from().filter(|_| found >= at)?;
        let legs = lines.iter().flat_map(DrainLine::legs);
        let length: Length = legs.map(|leg| leg.cuts.length_from(limit)).sum();
        let message = format!(
            "{:.1} m of trench are {:.1} m ({:.0} ft) deep or more, at the deepest {:.2} m (line {number}, station {:.1} m): {words}",
            length.as_m(),
            limit.as_m(),
            limit.as_ft(),
            cut.depth.as_m(),
            cut.station.as_m(),
        );
        Some(Warning::new(code, message, help))
    };
    let deep = warn(
        Digging::Deep,
        "trench-deep",
        "walls of that height can fall and bury somebody",
        "nobody goes in without a ladder close by and a look at the walls by somebody who knows soil; a shallower line needs less",
    );
    let protected = warn(
        Digging::Protected,
        "trench-protection",
        "its walls must be sloped, shored or shielded before anybody goes in",
        "follow the local rules (in the United States OSHA, 29 CFR 1926.652(a)(1), from memory), and have the protection priced: it is not in the bill",
    );
    deep.into_iter().chain(protected).collect()
}

/// The deepest place of all lines: the line's number from 1, the leg and the depth.
fn deepest(lines: &[DrainLine]) -> Option<(usize, &Leg, Cut)> {
    let legs = (1..).zip(lines).flat_map(|(number, line)| line.legs().iter().map(move |leg| (number, leg)));
    let all = legs.map(|(number, leg)| (number, leg, leg.cuts.deepest()));
    all.reduce(|deepest, next| if next.2.depth > deepest.2.depth { next } else { deepest })
}
