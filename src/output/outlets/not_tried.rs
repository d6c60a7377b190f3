//! Storm inlets that were given and have no way among a part's.

use super::super::screen::Units;
use crate::pipeline::Untried;
use serde::Serialize;

/// How many of them there are, by why.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NotTried {
    /// Farther from the part's ends than inlets are tried.
    pub beyond: usize,
    /// How far that is.
    pub reach_m: f64,
    /// How far the nearest of them is.
    pub nearest_beyond_m: Option<f64>,
    /// Within that, after the nearest that are tried, or on ground that isn't known.
    pub after_nearest: usize,
    /// Within that, without an invert or a depth.
    pub without_invert: usize,
}

impl NotTried {
    pub(in crate::output) const fn of(untried: &Untried) -> Self {
        Self {
            beyond: untried.beyond,
            reach_m: Untried::REACH_M,
            nearest_beyond_m: untried.nearest_beyond_m,
            after_nearest: untried.after_nearest,
            without_invert: untried.without_invert,
        }
    }

    /// In words, where there are any.
    pub(in crate::output) fn words(&self, units: Units) -> Option<String> {
        let nearest =
            self.nearest_beyond_m.map_or(String::new(), |m| format!(", the nearest {}", units.length(m)));
        let reasons = [
            (self.beyond, format!("farther than {} from its ends{nearest}", units.length(self.reach_m))),
            (self.after_nearest, "after the nearest that are tried, or on unknown ground".to_owned()),
            (self.without_invert, "without an invert or a depth".to_owned()),
        ];
        let reasons: Vec<String> = reasons
            .into_iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, why)| format!("{count} {why}"))
            .collect();
        (!reasons.is_empty())
            .then(|| format!("storm inlets not tried: {}; name one with --outlet", reasons.join("; ")))
    }
}
