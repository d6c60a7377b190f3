//! The line: stretches that it is to catch, and the parts beside them, laid and sized for all water that comes to them.

use super::as_named::{SideBySide, tell_as_named};
use super::catchment::Routed;
use super::caught::{caught, line_storm};
use super::drain::{Drains, Entering};
use super::for_drains::{DrainedWays, drained_ways};
use super::low_points::{Drained, divided_at};
use super::outlets::{ComesBack, LaidWays, PartOutlets, Search};
use super::part_water::{Feeding, course_from_lot, feeding};
use super::settings::Settings;
use super::storm::Stormed;
use super::stretches::Choice;
use crate::error::Error;
use crate::flow::Course;
use crate::input::Site;
use crate::interceptor::proof::InnerLot;
use crate::interceptor::swale::SwaleRules;
use crate::interceptor::{
    CaughtStretch, InterceptionLine, InterceptorError, LineSettings, Obstacles, PartWater, low_point,
    propose, size_line,
};
use crate::lots::{LotDrainage, LotLine, Stretch};
use crate::units::Length;
use crate::warning::Warned;
use geo::Coord;

/// All that the line is proposed from.
#[derive(Clone, Copy)]
pub(super) struct Yard<'a> {
    pub(super) site: &'a Site,
    pub(super) routed: &'a Routed,
    pub(super) line: &'a LotLine,
    /// The lot's ground behind the setback; nothing where that leaves nothing of it.
    pub(super) inner: Option<&'a InnerLot>,
    pub(super) drainage: &'a LotDrainage,
    pub(super) settings: &'a Settings,
    /// Ground elevation.
    pub(super) height: &'a dyn Fn(Coord) -> Option<f64>,
    pub(super) obstacles: &'a Obstacles,
    /// Cells of ditches and kerbs that were given.
    pub(super) channels: &'a [usize],
}

/// The line, by part where it may drain to, and its drains.
pub(super) struct ProposedLine {
    pub(super) laid: Laid,
    pub(super) outlets: Vec<PartOutlets>,
    pub(super) drains: Drains,
}

/// What every trial of a line rests on.
struct Ground<'a> {
    /// What the line must keep to.
    options: LineSettings<'a>,
    /// Cells that the lot's water can come to.
    course: Course,
}

/// The line beside some stretches.
pub(super) struct Laid {
    /// The stretches, with the area that enters over each.
    pub(super) caught: Vec<CaughtStretch>,
    /// A part beside each.
    pub(super) interception: InterceptionLine,
    /// Where the water of each part comes from.
    pub(super) feeding: Vec<Feeding>,
    /// That water in the design storm.
    pub(super) waters: Vec<PartWater>,
}

impl Yard<'_> {
    /// Proposes it, with what its arrangements do where they are named.
    pub(super) fn line(&self, stormed: &mut Stormed) -> Result<Warned<ProposedLine>, Error> {
        self.line_beside(stormed, SideBySide::AsNamed)
    }

    /// The same with its arrangements side by side as asked for.
    pub(super) fn line_beside(
        &self,
        stormed: &mut Stormed,
        beside: SideBySide,
    ) -> Result<Warned<ProposedLine>, Error> {
        let mut warnings = Vec::new();
        let ground = self.ground()?;
        let search = self.search();
        let choice = Choice { yard: self, options: &ground.options, course: &ground.course };
        let stretches = choice.stretches()?.unload(&mut warnings);
        let stretches = self.halved(stretches, &ground.options, &mut |stretches| {
            Ok(search.laid_line(&self.laid(stretches, &ground, stormed)?.value.interception)?.found)
        })?;
        let mut laid = self.laid(stretches, &ground, stormed)?.unload(&mut warnings);
        let Laid { caught, interception, feeding, .. } = &mut laid;
        let entering = Entering {
            line: self.line,
            drainage: self.drainage,
            caught,
            feeding,
            site: self.site,
            height: self.height,
        };
        let ways = search.laid_line(interception)?;
        let ways = search.apart(interception, ways)?.0;
        let as_laid = interception.clone();
        let DrainedWays { outlets, mut drains } =
            drained_ways(&search, &entering, (interception, ways.clone()), self.settings)?
                .unload(&mut warnings);
        if beside == SideBySide::AsNamed {
            tell_as_named(&mut drains, self.settings, |settings| {
                let mut line = as_laid.clone();
                Ok(drained_ways(&search, &entering, (&mut line, ways.clone()), settings)?.value.drains)
            })?;
        }
        Ok(Warned::new(ProposedLine { laid, outlets, drains }, warnings))
    }

    fn ground(&self) -> Result<Ground<'_>, Error> {
        let options = line_settings(self.settings, self.routed.ground.cell.longer_m(), self.obstacles)?;
        Ok(Ground { options, course: course_from_lot(self.routed)? })
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
            laid_ways: LaidWays::default(),
        }
    }

    /// Lays the parts and sizes them.
    fn laid(
        &self,
        stretches: Vec<Stretch>,
        Ground { options, course }: &Ground<'_>,
        stormed: &mut Stormed,
    ) -> Result<Warned<Laid>, Error> {
        let Self { routed, line, drainage, settings, height, .. } = *self;
        let mut warnings = Vec::new();
        let caught = caught(drainage, line, stretches);
        let mut interception = propose(line, &caught, height, options)?.unload(&mut warnings);
        let feeding = feeding(routed, course, (line, drainage), (&interception, &caught), stormed, settings)?;
        let rain = stormed.design.flows().and_then(|flows| line_storm(settings, flows));
        let ground = (&stormed.ways, &stormed.covers);
        let waters: Vec<PartWater> = feeding.iter().map(|part| part.water(routed, ground, rain)).collect();
        size_line(&mut interception, &waters, rain, &settings.drain.catalogue, options)?
            .unload(&mut warnings);
        Ok(Warned::new(Laid { caught, interception, feeding, waters }, warnings))
    }

    /// The stretches, those divided at their low points that drain better so.
    fn halved(
        &self,
        stretches: Vec<Stretch>,
        options: &LineSettings<'_>,
        drained: &mut Drained<'_>,
    ) -> Result<Vec<Stretch>, Error> {
        let halve = |stretch: Stretch, at_m: f64| self.divided(stretch, &[at_m]);
        let mut found = Vec::with_capacity(stretches.len());
        for stretch in stretches {
            let low_m = low_point(self.line, &stretch, self.height, options);
            found.extend(divided_at(low_m, stretch, halve, drained)?);
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
        swale: SwaleRules::with(&settings.drain.materials)?,
        obstacles,
        past_inflow: Length::from_m(cell_m.max(1.0)),
    })
}
