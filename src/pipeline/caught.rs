//! The water of the stretches that the line is to catch.

use super::settings::Settings;
use super::storm::Stormed;
use super::ways::WayFinder;
use crate::error::Error;
use crate::interceptor::{CaughtStretch, LineStorm};
use crate::lots::{Inflow, LotDrainage, LotLine, Stretch, amount_within};
use crate::runoff::{LotDesign, part_of_crossing};
use crate::units::Area;

impl Stormed {
    /// The water of each stretch: of each crossing the part that enters over it, in the times of the ways that end there.
    pub(super) fn caught(
        &mut self,
        finder: &WayFinder<'_>,
        line: &LotLine,
        stretches: Vec<Stretch>,
    ) -> Result<Vec<CaughtStretch>, Error> {
        let WayFinder { drainage, settings, .. } = finder;
        let lengths_m = line.ring_lengths_m();
        let mut caught: Vec<CaughtStretch> = stretches
            .into_iter()
            .map(|stretch| {
                let area_m2 = amount_within(&stretch, &drainage.inflows, lengths_m[stretch.ring]);
                CaughtStretch { stretch, contributing_area: Area::from_m2(area_m2), streams: Vec::new() }
            })
            .collect();
        let (Some(flows), Some(rain)) = (self.design.flows(), &settings.storm.rain) else {
            return Ok(caught);
        };
        let shares = shares(&caught, drainage, &lengths_m);
        let groups: Vec<Vec<usize>> = shares.iter().map(|share| share.members.clone()).collect();
        let sorts: Vec<_> = shares.iter().map(|share| self.sorts[share.crossing].clone()).collect();
        let found = finder.ways(&mut self.covers, self.lie, &groups, &sorts, self.bands.as_ref())?;
        for (share, found) in shares.iter().zip(&found) {
            let like = &flows.crossings[share.crossing];
            let part = share.area_m2 / like.area.as_m2();
            caught[share.stretch].streams.extend(part_of_crossing(rain, &found.ways, like, part));
        }
        Ok(caught)
    }
}

/// What a stretch has of a crossing.
struct ShareOfCrossing {
    stretch: usize,
    crossing: usize,
    area_m2: f64,
    /// Entries of the crossing whose middle lies in the stretch; those that only reach into it where there is none.
    members: Vec<usize>,
}

fn shares(caught: &[CaughtStretch], drainage: &LotDrainage, lengths_m: &[f64]) -> Vec<ShareOfCrossing> {
    let mut found = Vec::new();
    for (stretch, CaughtStretch { stretch: at, .. }) in caught.iter().enumerate() {
        let length_m = lengths_m[at.ring];
        let within = |inflow: &Inflow| amount_within(at, &[*inflow], length_m);
        for (crossing, members) in drainage.crossings.iter().map(|crossing| &crossing.members).enumerate() {
            let area_m2: f64 = members.iter().map(|&i| within(&drainage.inflows[i])).sum();
            if area_m2 <= 0.0 {
                continue;
            }
            let lies_in = |least: f64| -> Vec<usize> {
                let all = members.iter().copied();
                all.filter(|&i| within(&drainage.inflows[i]) > least * drainage.inflows[i].amount).collect()
            };
            let inside = lies_in(0.5);
            let members = if inside.is_empty() { lies_in(0.0) } else { inside };
            found.push(ShareOfCrossing { stretch, crossing, area_m2, members });
        }
    }
    found
}

/// The storm as the line needs it: the strip between lot line and line sheds as the run-on does, at once.
pub(super) fn line_storm<'a>(settings: &'a Settings, design: &LotDesign) -> Option<LineStorm<'a>> {
    Some(LineStorm {
        rain: settings.storm.rain.as_ref()?,
        strip_coefficient: design.coefficient,
        strip_time: settings.storm.least_time,
    })
}
