//! Where the line's parts may drain to: storm inlets, ditches and kerbs near by, places that the user names, open ground below the
//! pipe, each other's pipes, and as the last resort a chamber.

mod built;
mod built_pipe;
mod conflicts;
mod crossing;
mod downstream;
mod dug;
mod findings;
mod joins;
mod laid_again;
mod laying;
mod meetings;
mod net;
mod open;
mod other_ways;
mod places;
mod preference;
mod rank;
mod remedies;
mod shared;
mod under_swale;
mod water_findings;

pub(super) use built::BuiltWater;
pub use built::NoLarger;
pub use built_pipe::BuiltPipe;
pub use downstream::{Downstream, DownstreamEnd};
use dug::dug;
pub(super) use laid_again::{LaidLine, NotAgain};
pub(super) use laying::LaidWays;
pub use meetings::Meeting;
pub(super) use open::ComesBack;
pub(super) use places::INLET_REACH_M;
pub use places::Untried;
pub use preference::PassedOver;
pub(super) use rank::Rank;

use super::catchment::Routed;
use super::drain::{Drains, PartDrain};
use super::settings::Settings;
use crate::error::Error;
use crate::input::Site;
use crate::interceptor::catalogue::Catalogue;
use crate::interceptor::{
    Approach, DrainedEnd, FullPipes, InterceptionLine, InterceptorError, LaidWay, Land, LinePart, Obstacles,
    OutletKind, OutletLimits, OutletPlace, OutletVerdict, OutletWay, PipedWay, Receiving, Tailwater,
    Undercut, tailwaters, ways_to_outlets,
};
use crate::lots::LotLine;
use crate::units::{Flow, Grade, Length, Volume};
use crate::warning::Warned;
use geo::{BoundingRect, Coord, Intersects};
use std::cmp::Ordering;

/// A way to an outlet, and what stands on its lead.
#[derive(Debug, Clone)]
pub struct WayOut {
    /// The way.
    pub way: OutletWay,
    /// Flow that its pipe is sized for: that of the part and of the parts that join it; nothing without a storm.
    pub carried: Option<Flow>,
    /// Places in the set of parcels, the subject left out, that the lead runs over.
    pub parcels: Vec<usize>,
    /// What the lead runs through though no trench may be dug there, since there is no way around: a
    /// building, a septic field or a well, by its place among the obstacles.
    pub shut_by: Option<usize>,
    /// The hydraulic grade line with a free outfall, and with standing water where its level is known: of the pipe that the way is
    /// looked for with; of the way that is taken, and of one that was given up for it, of the pipes of the drain.
    pub tailwaters: Vec<Tailwater>,
    /// What the tightest of these pipes carries just full, and what comes to it; nothing without a storm.
    pub tightest: Option<[Flow; 2]>,
    /// Why standing water at the outlet is let drive water out of its pipes though larger ones were looked
    /// for; nothing where it doesn't.
    pub no_larger: Option<NoLarger>,
    /// The pipe of the drain that is designed on it; nothing before there is one.
    pub pipe: Option<BuiltPipe>,
    /// What a drain on it keeps; known where the part's own kept less than wanted, and this was among the
    /// next best ways.
    pub drain: Option<WayDrain>,
    /// Where the water goes that comes out in the open; nothing where it stays in a structure or a pipe.
    pub downstream: Option<Downstream>,
    /// Share of the water that comes back to the lot when it comes out in the open; nothing where it doesn't,
    /// or the ground isn't known.
    pub comes_back: Option<f64>,
}

/// The drain that is recommended, or named, on a way, as it was looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WayDrain {
    /// Share of the part's flow that it keeps off the lot; 0 where none can be built.
    pub share: f64,
    /// What is dug for it; nothing where none can be built.
    pub dug: Option<Volume>,
}

/// Where one part may drain to.
#[derive(Debug, Clone, Default)]
pub struct PartOutlets {
    /// The places.
    pub places: Vec<OutletPlace>,
    /// Ways there, those that serve first, by how good the outlet is and then by digging; then by how far
    /// they are from serving.
    pub ways: Vec<WayOut>,
    /// Place in the list of the part whose pipe it is to join.
    pub joins: Option<usize>,
    /// Numbers of the parts that drain into this one.
    pub joined: Vec<usize>,
    /// Inlets that were given and aren't tried.
    pub untried: Untried,
    /// Where part and proposed lead come nearer to something than they should.
    pub approaches: Vec<Approach>,
    /// Where their trench would cut the ground that carries something.
    pub undercuts: Vec<Undercut>,
    /// Where the proposed pipe crosses another part's, shares its trench, or lies under its swale.
    pub meetings: Vec<Meeting>,
}

impl PartOutlets {
    /// The way that is proposed; nothing where none serves, not even to a chamber.
    #[must_use]
    pub fn proposed(&self) -> Option<&WayOut> {
        self.ways.first().filter(|way| way.serves())
    }

    /// The place of the proposed way.
    #[must_use]
    pub fn place(&self) -> Option<&OutletPlace> {
        Some(&self.places[self.proposed()?.way.outlet])
    }

    /// The same where water runs there by itself and on.
    #[must_use]
    pub fn by_gravity(&self) -> Option<&WayOut> {
        self.proposed().filter(|found| found.way.verdict() == Some(OutletVerdict::Gravity))
    }
}

/// All that the search for outlets rests on.
pub(super) struct Search<'a> {
    pub(super) site: &'a Site,
    pub(super) routed: &'a Routed,
    pub(super) settings: &'a Settings,
    pub(super) catalogue: &'a Catalogue,
    pub(super) height: &'a dyn Fn(Coord) -> Option<f64>,
    pub(super) obstacles: &'a Obstacles,
    pub(super) lot_line: &'a LotLine,
    pub(super) channels: &'a [usize],
    pub(super) comes_back: ComesBack,
    pub(super) laid_ways: LaidWays,
}

impl Search<'_> {
    /// What stands beside the ways and the drains that are dug along them, and what must be said of it.
    pub(super) fn looked_beside(
        &self,
        line: &InterceptionLine,
        LaidLine { found, net }: LaidLine,
        drains: &Drains,
    ) -> Result<Warned<Vec<PartOutlets>>, Error> {
        let ways = LaidLine { found, net };
        let mut warnings = self.shared_ground(line, &ways.found, &ways.net)?;
        warnings.extend(self.pipes_cross(line, &ways)?);
        let mut found = ways.found;
        self.note_meetings(line, &mut found);
        warnings.extend(self.note_swales(line, &mut found, drains));
        for ((part, outlets), drain) in line.parts.iter().zip(&mut found).zip(&drains.parts) {
            self.look_beside(part, outlets, drain.as_ref());
            warnings.extend(self.findings(part, outlets));
        }
        Ok(Warned::new(found, warnings))
    }

    /// Looks for the ways of every part, in the order of the parts.
    pub(super) fn laid_line(&self, line: &InterceptionLine) -> Result<LaidLine, Error> {
        self.laid_ways.forget();
        let mut found = Vec::with_capacity(line.parts.len());
        for part in &line.parts {
            found.push(self.of_part(part)?);
        }
        let net = self.join(line, &mut found)?;
        Ok(LaidLine { found, net })
    }

    fn of_part(&self, part: &LinePart) -> Result<PartOutlets, Error> {
        let land = self.land();
        let places = self.places(part)?;
        let all = ways_to_outlets(part, &places, &land).map_err(InterceptorError::from)?;
        // The chamber stands at the lower end; at the upper one it would only lie deeper.
        let wanted = |way: &OutletWay| way.kind != OutletKind::Chamber || way.end == DrainedEnd::Lower;
        let flow = part.flow();
        let ways = all.into_iter().filter(wanted).map(|way| {
            let place = &places[way.outlet];
            self.beside(way, place, (flow, &[]))
        });
        let mut ways: Vec<WayOut> = ways.collect::<Result<_, _>>()?;
        ways.sort_by(order);
        let untried = self.untried(part, &places);
        Ok(PartOutlets { places, ways, untried, ..PartOutlets::default() })
    }

    fn land(&self) -> Land<'_> {
        Land {
            height: self.height,
            obstacles: self.obstacles,
            limits: OutletLimits {
                min_cover: self.settings.min_cover,
                max_depth: self.settings.max_depth,
                min_grade: self.settings.min_grade,
                step: Length::from_m(self.routed.ground.cell.longer_m().max(1.0)),
                metres_per_unit: self.site.crs.metres_per_unit(),
                head_m: None,
                under: None,
            },
        }
    }

    /// What a way's lead runs over, and what the water at its end does.
    fn beside(
        &self,
        way: OutletWay,
        place: &OutletPlace,
        (carried, joins): (Option<Flow>, &[Coord]),
    ) -> Result<WayOut, Error> {
        let parcels = &self.site.parcels;
        let over = way.lead.bounding_rect().map_or_else(Vec::new, |rect| {
            let (min, max) = (rect.min(), rect.max());
            let on = |place: &usize| {
                *place != parcels.subject() && parcels.parcels()[*place].outline.intersects(&way.lead)
            };
            parcels.within(min.x, min.y, max.x, max.y).into_iter().filter(on).collect()
        });
        let is_open = place.kind.is_open();
        let pipes = FullPipes::of_way(&way, carried);
        Ok(WayOut {
            parcels: over,
            shut_by: self.obstacles.shut_by(&way.lead),
            tailwaters: tailwaters(PipedWay { way: &way, course: None, pipes: &pipes, place, joins }),
            tightest: carried.and_then(|comes| Some([way.bore.full(flattest(&way)?)?, comes])),
            no_larger: None,
            pipe: None,
            drain: None,
            downstream: is_open.then(|| self.downstream(place.at)),
            comes_back: if is_open { self.comes_back(place.at)? } else { None },
            carried,
            way,
        })
    }

    /// What stands beside a part and its proposed lead.
    fn look_beside(&self, part: &LinePart, outlets: &mut PartOutlets, drain: Option<&PartDrain>) {
        let way = outlets.proposed().map(|found| &found.way);
        let approaches = self.obstacles.approaches(way.map_or(&part.path, |way| &way.path));
        outlets.undercuts = self.obstacles.undercuts(&dug(part, way, drain, self.settings));
        outlets.approaches = approaches;
    }
}

/// Whether standing water at an outlet drives water out of the line.
fn is_drowned(tailwaters: &[Tailwater]) -> bool {
    tailwaters.iter().any(|case| case.receiving != Receiving::Free && case.overflow.is_some())
}

/// The least grade of a way's pipe.
fn flattest(way: &OutletWay) -> Option<Grade> {
    let grades = way.profile()?.grades().iter().map(|reach| reach.grade);
    Grade::new(grades.reduce(f64::min)?).ok()
}

/// Order of the ways: those that serve, those that a building is in the way of last; among them by rank or verdict, none last, then by
/// digging or by what is missing.
pub(super) fn order(a: &WayOut, b: &WayOut) -> Ordering {
    let place = |found: &WayOut| {
        let rank = found.serves().then(|| found.rank());
        let verdict = found.way.verdict();
        (!found.serves(), rank, found.shut_by.is_some(), verdict.is_none(), verdict)
    };
    place(a).cmp(&place(b)).then(cost(a).total_cmp(&cost(b)))
}

fn cost(found: &WayOut) -> f64 {
    match &found.way.laid {
        LaidWay::Fits(profile) => profile.dug_m2(),
        LaidWay::DoesNotFit(refused) => refused.shortfall_m,
        LaidWay::GroundUnknown => found.way.length.as_m(),
    }
}
