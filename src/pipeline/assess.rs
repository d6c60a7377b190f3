//! One lot, from its files to everything that is said of it.

use super::beyond_setback::beyond_setback;
use super::catchment::{Catchment, Routed, find_catchment};
use super::caught::inner_lot;
use super::chambers::chambers;
use super::channels::channels;
use super::completeness::{Completeness, completeness};
use super::doubts::{Doubt, Quality, doubts};
use super::drain::Drains;
use super::findings::{ground_warnings, rain_elsewhere, roof_water_inside, routings_differ};
use super::ground::Ground;
use super::ground_water::ground_waters;
use super::inlet_access::{InletAccess, inlet_access};
use super::inlets;
use super::laid::{Laid, ProposedLine, Yard};
use super::lot_ponds::{LotPond, ponds_of};
use super::obstacles::obstacles;
use super::outlets::PartOutlets;
use super::overflow::{Overflows, overflows};
use super::progress::{Phase, Progress};
use super::proof::{LineProof, line_proof};
use super::repeats::{Certainty, repeats};
use super::settings::Settings;
use super::shares::comings;
use super::storm::{Spilling, Stormed, storm};
use super::storms::{Flowing, PartStorms, storms};
use super::why::{Explanation, explanations};
use super::wider_setback::{WiderSetback, wider_setbacks};
use crate::error::Error;
use crate::grid::Cell;
use crate::input::Site;
use crate::interceptor::{Chamber, GroundWater, InterceptionLine, Obstacles};
use crate::lots::{Label, LongestWay, LotDrainage, LotLine, Outlines, drainage, origins};
use crate::runoff::Design;
use crate::warning::{Warned, Warning};
use geo::Coord;

/// Everything that is said of one lot.
#[derive(Debug)]
pub struct Assessment<'a> {
    /// The inputs.
    pub site: &'a Site,
    /// What was asked.
    pub settings: Settings,
    /// Routed ground.
    pub routed: Routed,
    /// The lot line.
    pub line: LotLine,
    /// The ledger and the crossings.
    pub drainage: LotDrainage,
    /// Area by lot under the other routing; empty if there is none.
    pub other_routing: Vec<(Label, f64)>,
    /// Whether the data reach far enough.
    pub completeness: Completeness,
    /// How sure the answer is under elevation error; nothing if it wasn't asked.
    pub certainty: Option<Certainty>,
    /// Other reasons to doubt it, those on which most of the run-on hangs first.
    pub doubts: Vec<Doubt>,
    /// How far the data carry the answer.
    pub quality: Quality,
    /// Ponds on the lot and on ground that drains onto it, the largest first.
    pub ponds: Vec<LotPond>,
    /// Flows in the design storm, or what is missing to say them.
    pub design: Design,
    /// The way to each crossing that takes longest, which sets its time; nothing where all of its rain falls at the lot line.
    pub ways: Vec<Option<LongestWay>>,
    /// Ponds in the design storm.
    pub spilling: Spilling,
    /// The line that intercepts the run-on.
    pub interception: InterceptionLine,
    /// Where each of its parts may drain to, in their order.
    pub outlets: Vec<PartOutlets>,
    /// The water followed once more with the line in place; nothing without a line.
    pub proof: Option<LineProof>,
    /// Whether surface water gets to the storm inlets near the lot, the nearest first.
    pub inlet_access: Vec<InletAccess>,
    /// The drains of its parts, and the bill of all of them.
    pub drains: Drains,
    /// By part, the ground water that its stone may meet besides; nothing without stone.
    pub ground_water: Vec<Option<GroundWater>>,
    /// By part, the chamber that it ends in; nothing where it doesn't, or without a storm.
    pub chambers: Vec<Option<Chamber>>,
    /// By part, its drain in storms of other return periods; nothing for a part without one.
    pub storms: Vec<Option<PartStorms>>,
    /// By part, where water runs that it doesn't take.
    pub overflows: Vec<Overflows>,
    /// What the line is kept clear of.
    pub obstacles: Obstacles,
    /// What the line would catch with wider setbacks, where it misses the wanted share.
    pub wider_setbacks: Vec<WiderSetback>,
    /// Why water of the parcels that were asked for comes to the lot, or doesn't.
    pub explanations: Vec<Explanation>,
}

/// Assesses one lot.
///
/// # Errors
/// One variant per stage.
pub fn assess<'a>(
    site: &'a Site,
    settings: &Settings,
    progress: &dyn Progress,
) -> Result<Warned<Assessment<'a>>, Error> {
    let mut warnings = Vec::new();
    let Catchment { routed, bank_change_m2 } = find_catchment(site, settings, progress)?;
    let line = LotLine::new(&site.parcels.subject_lot().outline, site.crs.metres_per_unit())?;
    let (drainage, other_routing) = (trace(site, &routed, &line), by_other_routing(&routed));
    let completeness = completeness(&routed, &drainage, site.parcels.subject_lot().area_m2, bank_change_m2);
    let certainty = repeats(site, &routed, &line, &drainage, settings, progress)?.unload(&mut warnings);
    let (doubts, quality) =
        doubts(&routed, &drainage, &other_routing, &completeness, certainty.as_ref(), (site, settings))
            .unload(&mut warnings);
    progress.phase(Phase::Design, 0);
    let (ponds, explanations) = (ponds_of(&routed), explanations(site, &routed, &drainage, settings)?);
    let mut stormed = storm(site, &routed, &drainage, &ponds, settings)?.unload(&mut warnings);
    let (obstacles, channels) = (obstacles(site, settings), channels(site, &routed));
    let inner = inner_lot(&routed, &line, settings)?;
    let yard = Yard {
        site,
        routed: &routed,
        line: &line,
        inner: inner.as_ref(),
        drainage: &drainage,
        settings,
        height: &|point: Coord<f64>| height_at(&routed.ground, point),
        obstacles: &obstacles,
        channels: &channels,
    };
    let ProposedLine { laid: Laid { interception, feeding, waters, .. }, outlets, drains } =
        yard.line(&mut stormed)?.unload(&mut warnings);
    let comes = comings(&routed, (&line, &drainage), &interception, &outlets)?;
    let proof = line_proof(
        site,
        &routed,
        (&line, inner.as_ref(), &drainage),
        (&interception, &outlets, &drains),
        &comes,
        (&channels, settings),
    )?
    .unload(&mut warnings);
    warnings.extend(beyond_setback(&yard, proof.as_ref())?);
    let flowing = Flowing { routed: &routed, feeding: &feeding, stormed: &stormed };
    let storms =
        storms(&flowing, &interception, (&outlets, &comes), &drains, settings)?.unload(&mut warnings);
    let overflows = overflows(site, &routed, &interception, (proof.as_ref(), &storms))?;
    let (ground_water, inlet_access) =
        (ground_waters(&routed, &interception, &drains, settings)?, inlet_access(site, &routed)?);
    let chambers = chambers(&interception, &waters, &outlets, stormed.design.flows(), settings);
    let wider_setbacks =
        wider_setbacks(&yard, &mut stormed, (&interception, &drains), proof.as_ref())?.unload(&mut warnings);
    let Stormed { design, spilling, longest: ways, .. } = stormed;
    warnings.extend(of_the_ground(site, &routed, (&drainage, &other_routing), &completeness, settings));
    Ok(Warned::new(
        Assessment {
            site,
            settings: settings.clone(),
            routed,
            line,
            drainage,
            other_routing,
            completeness,
            certainty,
            doubts,
            quality,
            ponds,
            design,
            ways,
            spilling,
            interception,
            outlets,
            proof,
            inlet_access,
            drains,
            ground_water,
            chambers,
            storms,
            overflows,
            obstacles,
            wider_setbacks,
            explanations,
        },
        once(warnings),
    ))
}

/// Findings about rain, inlets, roofs, and the ground that was read.
fn of_the_ground(
    site: &Site,
    routed: &Routed,
    (drainage, other_routing): (&LotDrainage, &[(Label, f64)]),
    completeness: &Completeness,
    settings: &Settings,
) -> Vec<Warning> {
    let mut found: Vec<Warning> = rain_elsewhere(site, settings).into_iter().collect();
    found.extend(inlets::findings(site, routed));
    found.extend(roof_water_inside(routed));
    found.extend(routed.ground.roofs.warnings());
    found.extend(ground_warnings(routed, completeness, drainage));
    found.extend(routings_differ(drainage.run_on_m2, other_routing, settings));
    found
}

/// Each warning once: several flows may rest on the same look at a table.
fn once(warnings: Vec<Warning>) -> Vec<Warning> {
    let mut said = Vec::with_capacity(warnings.len());
    for warning in warnings {
        if !said.contains(&warning) {
            said.push(warning);
        }
    }
    said
}

fn trace(site: &Site, routed: &Routed, line: &LotLine) -> LotDrainage {
    let ground = &routed.ground;
    let all = ground.outlines(site);
    let outlines = Outlines { line, all: &all, georef: ground.georef };
    drainage(&routed.scene(), &routed.arrival, outlines, |cell| ground.edge_side(cell).is_some())
}

fn by_other_routing(routed: &Routed) -> Vec<(Label, f64)> {
    routed
        .other
        .as_ref()
        .map_or_else(Vec::new, |(field, reach, arrival)| origins(&routed.ground.scene(field, reach), arrival))
}

/// Ground elevation at a point, between the four cell centres around it; nothing beyond the window.
fn height_at(ground: &Ground, point: Coord<f64>) -> Option<f64> {
    let shape = ground.raw.shape();
    let (x, y) = ground.georef.to_grid(point.x, point.y);
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    let (cols, rows) = (shape.cols as f64, shape.rows as f64);
    if !(0.0..=cols).contains(&x) || !(0.0..=rows).contains(&y) {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    let (x, y) =
        ((x - 0.5).clamp(0.0, (shape.cols - 1) as f64), (y - 0.5).clamp(0.0, (shape.rows - 1) as f64));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the grid")]
    let (col, row) = (x.floor() as usize, y.floor() as usize);
    let (right, down) = ((col + 1).min(shape.cols - 1), (row + 1).min(shape.rows - 1));
    let (fx, fy) = (x.fract(), y.fract());
    let z = |row: usize, col: usize| {
        let cell = Cell { row, col };
        f64::from(ground.roofs.ground_at(shape.index(cell), *ground.raw.at(cell)))
    };
    let top = z(row, col) * (1.0 - fx) + z(row, right) * fx;
    let bottom = z(down, col) * (1.0 - fx) + z(down, right) * fx;
    let height = top * (1.0 - fy) + bottom * fy;
    height.is_finite().then_some(height)
}
