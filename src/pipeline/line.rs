//! The line of a lot: the stretches that it catches, its parts, and where these drain to.

use super::catchment::Routed;
use super::caught::line_storm;
use super::given_up::without_given_up;
use super::low_points::divided_at;
use super::outlets::{ComesBack, PartOutlets, Search};
use super::settings::Settings;
use super::storm::Stormed;
use crate::error::Error;
use crate::input::Site;
use crate::interceptor::swale::SwaleRules;
use crate::interceptor::{
    CaughtStretch, InterceptionLine, InterceptorError, LineSettings, Obstacles, crests, low_point, propose,
};
use crate::lots::{Joining, LotDrainage, LotLine, Stretch, shortest_catching};
use crate::units::Length;
use crate::warning::{Warned, Warning};
use geo::Coord;

/// All that the line is proposed from.
pub(super) struct Yard<'a> {
    pub(super) site: &'a Site,
    pub(super) routed: &'a Routed,
    pub(super) line: &'a LotLine,
    pub(super) drainage: &'a LotDrainage,
    pub(super) stormed: &'a Stormed,
    pub(super) settings: &'a Settings,
    pub(super) height: &'a dyn Fn(Coord) -> Option<f64>,
    pub(super) obstacles: &'a Obstacles,
    pub(super) channels: &'a [usize],
}

/// The line with its water and its outlets, in the order of its parts.
pub(super) struct ProposedLine {
    pub(super) caught: Vec<CaughtStretch>,
    pub(super) interception: InterceptionLine,
    pub(super) outlets: Vec<PartOutlets>,
}

impl Yard<'_> {
    /// Proposes it.
    pub(super) fn line(&self) -> Result<Warned<ProposedLine>, Error> {
        let mut warnings = Vec::new();
        let options = line_settings(self.settings, self.routed.ground.cell.longer_m(), self.obstacles)?;
        let search = self.search();
        let stretches = self.stretches(&options, &mut warnings);
        let stretches = self.halved(stretches, &options, &search)?;
        let caught = self.caught(stretches);
        let interception = self.parts(&caught, &options)?.unload(&mut warnings);
        let outlets = search.outlets(&interception)?.unload(&mut warnings);
        Ok(Warned::new(ProposedLine { caught, interception, outlets }, warnings))
    }

    fn search(&self) -> Search<'_> {
        Search {
            site: self.site,
            routed: self.routed,
            settings: self.settings,
            catalogue: &self.settings.drain.catalogue,
            height: self.height,
            obstacles: self.obstacles,
            lot_line: self.line,
            channels: self.channels,
            comes_back: ComesBack::default(),
        }
    }

    fn caught(&self, stretches: Vec<Stretch>) -> Vec<CaughtStretch> {
        self.stormed.caught(self.routed, self.drainage, self.line, stretches)
    }

    fn parts(
        &self,
        caught: &[CaughtStretch],
        options: &LineSettings<'_>,
    ) -> Result<Warned<InterceptionLine>, InterceptorError> {
        let rain = self.stormed.design.flows().and_then(|flows| line_storm(self.settings, flows));
        propose(self.line, caught, self.height, rain, &self.settings.drain.catalogue, options)
    }

    /// The stretches that the line is to catch, without those beside which it can't be dug, divided where water runs off both ways.
    fn stretches(&self, options: &LineSettings<'_>, warnings: &mut Vec<Warning>) -> Vec<Stretch> {
        let cell_m = self.routed.ground.cell.longer_m();
        let joining = Joining { gap_m: (3.0 * cell_m).max(3.0), dust_m: (3.0 * cell_m).max(3.0) };
        let lengths_m = self.line.ring_lengths_m();
        let inflows = &self.drainage.inflows;
        let whole = shortest_catching(self.settings.catch.get(), inflows, &lengths_m, joining);
        let kept = |stretch| without_given_up(self.line, self.drainage, stretch, options).unload(warnings);
        let divided = |stretch: Stretch| {
            let cuts = crests(self.line, &stretch, self.height, options);
            self.divided(stretch, &cuts)
        };
        whole.into_iter().flat_map(kept).flat_map(divided).collect()
    }

    /// The stretches, those divided at their low points that drain better so.
    fn halved(
        &self,
        stretches: Vec<Stretch>,
        options: &LineSettings<'_>,
        search: &Search<'_>,
    ) -> Result<Vec<Stretch>, Error> {
        let drained = |stretches: Vec<Stretch>| {
            let caught = self.caught(stretches);
            search.ways(&self.parts(&caught, options)?.value)
        };
        let halve = |stretch: Stretch, at_m: f64| self.divided(stretch, &[at_m]);
        let mut found = Vec::with_capacity(stretches.len());
        for stretch in stretches {
            let low_m = low_point(self.line, &stretch, self.height, options);
            found.extend(divided_at(low_m, stretch, halve, &drained)?);
        }
        Ok(found)
    }

    fn divided(&self, stretch: Stretch, at_m: &[f64]) -> Vec<Stretch> {
        let length_m = self.line.ring_lengths_m()[stretch.ring];
        stretch.divided(at_m, &self.drainage.inflows, length_m)
    }
}

/// What the line must keep to; it goes on a metre, or a cell, past the last inflow.
fn line_settings<'a>(
    settings: &Settings,
    cell_m: f64,
    obstacles: &'a Obstacles,
) -> Result<LineSettings<'a>, InterceptorError> {
    Ok(LineSettings {
        setback: settings.setback,
        cell: Length::from_m(cell_m),
        min_grade: settings.min_grade,
        swale: SwaleRules::usual()?,
        obstacles,
        past_inflow: Length::from_m(cell_m.max(1.0)),
    })
}
