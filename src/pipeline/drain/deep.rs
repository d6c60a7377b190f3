//! Trenches so deep that they ask for care.

use crate::interceptor::drain::DrainOption;
use crate::interceptor::profile::Profile;
use crate::interceptor::quantities::DrainLine;
use crate::interceptor::{Digging, LinePart};
use crate::pipeline::PartOutlets;
use crate::units::Length;
use crate::warning::Warning;
use crate::wording::metres;

/// The deepest place of a part's trench that asks for care, and how much of the way does: of the trench that is
/// built, else of that with which its way was looked for.
pub(super) fn deep(part: &LinePart, built: Option<&DrainOption>, outlets: &PartOutlets) -> Option<Warning> {
    let trench = built.map_or_else(|| of_way(outlets), of_drain);
    let deepest = trench.iter().copied().reduce(|a, b| if b.1 > a.1 { b } else { a })?;
    let asks = Digging::to(Length::from_m(deepest.1));
    let [code, words, help] = asks.caution()?;
    let is_deep = |cut_m: f64| Digging::to(Length::from_m(cut_m)) >= asks;
    let over = trench.windows(2).filter(|pair| is_deep(pair[0].1.max(pair[1].1)));
    let over_m: f64 = over.map(|pair| pair[1].0 - pair[0].0).sum();
    let message = format!(
        "the trench of part {} of the line is {} deep at {} of its way, and {} or deeper over {}: {words}",
        part.id,
        metres(deepest.1, 2),
        metres(deepest.0, 1),
        metres(asks.from().map_or(0.0, Length::as_m), 2),
        metres(over_m, 1)
    );
    Some(Warning::new(code, message, help))
}

/// Stations and depths of a trench, m.
type Depths = Vec<(f64, f64)>;

fn of_drain(option: &DrainOption) -> Depths {
    let line = option.built.as_ref().ok().and_then(|built| built.line.as_ref());
    let cuts = line.into_iter().flat_map(DrainLine::legs).flat_map(|leg| leg.cuts.all());
    cuts.map(|cut| (cut.station.as_m(), cut.depth.as_m())).collect()
}

fn of_way(outlets: &PartOutlets) -> Depths {
    let profile = outlets.proposed().and_then(|found| found.way.profile());
    let stations = profile.into_iter().flat_map(Profile::stations);
    stations.map(|at| (at.station_m, at.cut_m)).collect()
}
