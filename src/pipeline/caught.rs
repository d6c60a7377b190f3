//! The water of the stretches that the line is to catch.

use super::catchment::Routed;
use super::settings::Settings;
use crate::interceptor::proof::InnerLot;
use crate::interceptor::{CaughtStretch, LineStorm};
use crate::lots::{LotDrainage, LotLine, Step, Stretch, TooManyLots, amount_within};
use crate::runoff::LotDesign;
use crate::units::Area;

/// The lot's ground behind the setback; nothing where that leaves nothing of it.
pub(super) fn inner_lot(
    routed: &Routed,
    line: &LotLine,
    settings: &Settings,
) -> Result<Option<InnerLot>, TooManyLots> {
    InnerLot::new(line, settings.setback, routed.ground.raw.shape(), routed.ground.georef)
}

/// The stretches with the area that enters over each.
pub(super) fn caught(drainage: &LotDrainage, line: &LotLine, stretches: Vec<Stretch>) -> Vec<CaughtStretch> {
    let lengths_m = line.ring_lengths_m();
    let one = |stretch: Stretch| {
        let area_m2 = amount_within(&stretch, &drainage.inflows, lengths_m[stretch.ring]);
        CaughtStretch { stretch, contributing_area: Area::from_m2(area_m2) }
    };
    stretches.into_iter().map(one).collect()
}

/// The steps of the water that enters over a stretch, with the part of each that does.
pub(super) fn steps_within(stretch: &Stretch, drainage: &LotDrainage, length_m: f64) -> Vec<(Step, f64)> {
    let entries = drainage.descent.entries.iter().zip(&drainage.inflows);
    let mut steps: Vec<(Step, f64)> = entries
        .filter(|(_, inflow)| inflow.amount > 0.0)
        .map(|(entry, inflow)| {
            let part = amount_within(stretch, &[*inflow], length_m) / inflow.amount;
            ((entry.from, entry.into), part.min(1.0))
        })
        .filter(|&(_, part)| part > 0.0)
        .collect();
    steps.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
    steps.dedup_by_key(|step| step.0);
    steps
}

/// The storm as the line needs it: the strip between lot line and line sheds as the run-on does, at once.
pub(super) fn line_storm<'a>(settings: &'a Settings, design: &LotDesign) -> Option<LineStorm<'a>> {
    Some(LineStorm {
        rain: settings.storm.rain.as_ref()?,
        strip_coefficient: design.coefficient,
        strip_time: settings.storm.least_time,
    })
}
