//! The chambers that the line's parts end in, in the design storm.

use super::caught::line_storm;
use super::outlets::PartOutlets;
use super::settings::Settings;
use super::shares::onward;
use crate::interceptor::{Chamber, InterceptionLine, OutletKind, PartWater};
use crate::runoff::LotDesign;
use crate::units::{Area, Flow};

/// By part; nothing where it doesn't end in one, or without a storm.
pub(super) fn chambers(
    interception: &InterceptionLine,
    waters: &[PartWater],
    outlets: &[PartOutlets],
    design: Option<&LotDesign>,
    settings: &Settings,
) -> Vec<Option<Chamber>> {
    let storm = design.and_then(|flows| line_storm(settings, flows));
    let shedding = |place: usize| -> Option<Area> {
        let strip = interception.parts[place].strip_area * storm?.strip_coefficient.get();
        Some(waters[place].streams.iter().map(|stream| stream.shedding).sum::<Area>() + strip)
    };
    let of = |place: usize| {
        outlets.get(place)?.place().filter(|at| at.kind == OutletKind::Chamber)?;
        let storm = storm?;
        let peak = interception.parts[place].peak.as_ref()?;
        // What other parts' pipes bring comes in as well.
        let comes = |part: &usize| *part == place || onward(outlets, *part).last() == Some(place);
        let all: Vec<usize> = (0..interception.parts.len()).filter(comes).collect();
        let ground = all.iter().filter_map(|&place| shedding(place)).sum();
        let flow: Flow = all.iter().filter_map(|&place| interception.parts[place].flow()).sum();
        Some(Chamber::of(ground, flow, storm.rain, peak.rain.intensity, settings.storm.least_time))
    };
    (0..interception.parts.len()).map(of).collect()
}
