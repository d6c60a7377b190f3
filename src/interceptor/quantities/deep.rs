//! Where trenches are so deep that rules ask for something.

use super::super::digging::Digging;
use super::cuts::Cut;
use super::line::DrainLine;
use crate::units::Length;
use crate::warning::Warning;
use crate::wording::metres;

/// Where the trenches are so deep that rules ask for something.
pub(super) fn deep_trenches(lines: &[DrainLine]) -> Vec<Warning> {
    let Some((number, cut)) = deepest(lines) else { return Vec::new() };
    let found = Digging::to(cut.depth);
    let warn = |at: Digging| {
        let (limit, [code, words, help]) = at.from().filter(|_| found >= at).zip(at.caution())?;
        let legs = lines.iter().flat_map(DrainLine::legs);
        let length: Length = legs.map(|leg| leg.cuts.length_from(limit)).sum();
        let message = format!(
            "{} of trench are {} deep or more, at the deepest {} (line {number}, station {}): {words}",
            metres(length.as_m(), 1),
            metres(limit.as_m(), 1),
            metres(cut.depth.as_m(), 2),
            metres(cut.station.as_m(), 1),
        );
        Some(Warning::new(code, message, help))
    };
    [Digging::Deep, Digging::Protected].into_iter().filter_map(warn).collect()
}

/// The deepest place of all lines: the line's number from 1, and the depth.
fn deepest(lines: &[DrainLine]) -> Option<(usize, Cut)> {
    let cuts = (1..)
        .zip(lines)
        .flat_map(|(number, line)| line.legs().iter().map(move |leg| (number, leg.cuts.deepest())));
    cuts.reduce(|deepest, next| if next.1.depth > deepest.1.depth { next } else { deepest })
}
