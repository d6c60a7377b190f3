//! Worlds: a true surface with its lots, what a survey of it gave, and what the program says of the survey.

use crate::site::{SHAPE, SUBJECT, assessed, number};
use lotshed::certainty::{ErrorModel, FieldSource, GroundToError, Spread, Verdict};
use lotshed::grid::CellSize;
use lotshed::pipeline::{Assessment, CertaintySettings};
use lotshed::units::Length;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
use std::f64::consts::TAU;

const CELL: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };
/// The fewest that the program makes of itself.
const REALISATIONS: usize = lotshed::certainty::FEWEST;
/// Falls are drawn from half a percent to so many times as much.
const FALLS: (f64, f64) = (0.005, 16.0);
/// Errors that don't go with the fall: 2 to 10 cm.
const ERRORS_M: (f64, f64) = (0.02, 5.0);
/// Errors that do, as a part of what a plane falls in a cell.
const ERRORS_OF_FALL: (f64, f64) = (0.05, 5.0);
/// Texture of each range, times the error.
const TEXTURE: f64 = 3.0;
/// Errors of all kinds, as a part of what a plane falls in a cell: from a twentieth to five times.
const ERRORS_OF_ANY_FALL: (f64, f64) = (0.05, 100.0);

/// The lie of the land.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Relief {
    /// A plane that falls any way.
    Plane,
    /// The same with two waves on it, 0.1 to 0.4 m high and 15 to 40 m long.
    Rolling,
}

/// How rough the ground is against the error of its survey.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Texture {
    /// Rougher than the error at every range that this may have.
    Rough,
    /// Smooth, but it falls more from cell to cell than the error does.
    SmoothAndSteep,
    /// Smooth, whatever its fall and its error.
    Smooth,
    /// Of any roughness up to the roughest, of any fall against the error.
    Any,
}

/// What was claimed of one world, and what was true.
#[derive(Clone)]
pub(crate) struct Told {
    /// Stated likelihood that a lot contributes, and whether it does.
    pub(crate) claims: Vec<(f64, bool)>,
    /// Verdicts on lots, and whether they contribute.
    pub(crate) verdicts: Vec<(Verdict, bool)>,
    /// The run-on's interval, and the truth, m².
    pub(crate) run_on: (Spread, f64),
    /// The same of the lots that give something on 19 of 20 surfaces.
    pub(crate) areas: Vec<(Spread, f64)>,
    /// Fall and roughness as the program sees them.
    pub(crate) ground: GroundToError,
    /// What the true plane that the ground lies about falls in a cell, times the error of the survey.
    pub(crate) true_fall: f64,
}

/// A world by its number.
pub(crate) fn told(relief: Relief, texture: Texture, world: u64) -> Told {
    let mut random = ChaCha8Rng::seed_from_u64(world);
    let fall = log_uniform(FALLS, &mut random);
    let rmse_m = match texture {
        Texture::Rough | Texture::Smooth => log_uniform(ERRORS_M, &mut random),
        Texture::SmoothAndSteep => fall * CELL.dx_m * log_uniform(ERRORS_OF_FALL, &mut random),
        Texture::Any => fall * CELL.dx_m * log_uniform(ERRORS_OF_ANY_FALL, &mut random),
    };
    let model = ErrorModel::new(Length::from_m(rmse_m), Length::ZERO);
    let mut ground = lie_of_the_land(relief, fall, &mut random);
    let times = match texture {
        Texture::Rough => TEXTURE,
        Texture::Any => TEXTURE * random.random::<f64>(),
        Texture::SmoothAndSteep | Texture::Smooth => 0.0,
    };
    if times > 0.0 {
        let bumps = ErrorModel { rmse: Length::from_m(times * rmse_m), ..model.clone() };
        for range in &bumps.ranges {
            ground = field(&bumps, *range, &mut random, &ground);
        }
    }
    let range = model.ranges[random.random_range(0..model.ranges.len())];
    let surveyed = field(&model, range, &mut random, &ground);
    let of_model = CertaintySettings::of(model);
    let certainty = CertaintySettings { realisations: REALISATIONS, seed: random.random(), ..of_model };
    let truth = assessed(&ground, None, amounts);
    let told = assessed(&surveyed, Some(certainty), |found| compare(found, &truth));
    Told { true_fall: fall * CELL.dx_m / rmse_m, ..told }
}

/// Between the first number and so many times that.
fn log_uniform((least, times): (f64, f64), random: &mut ChaCha8Rng) -> f64 {
    least * times.powf(random.random())
}

/// A surface with a field of a model added.
fn field(model: &ErrorModel, range: Length, random: &mut ChaCha8Rng, surface: &[f32]) -> Vec<f32> {
    FieldSource::new(model, range.as_m(), SHAPE, CELL, random.random()).pair(0).added_to(surface, false)
}

fn lie_of_the_land(relief: Relief, fall: f64, random: &mut ChaCha8Rng) -> Vec<f32> {
    let mut unit = || random.random::<f64>();
    let way = TAU * unit();
    let count = if relief == Relief::Rolling { 2 } else { 0 };
    let waves: Vec<[f64; 4]> =
        (0..count).map(|_| [0.1 + 0.3 * unit(), 15.0 + 25.0 * unit(), TAU * unit(), TAU * unit()]).collect();
    let z = |row: f64, col: f64| {
        let along = |turned: f64| col * turned.cos() + row * turned.sin();
        let wave =
            |&[high, long, turned, phase]: &[f64; 4]| high * (TAU * along(turned) / long + phase).sin();
        100.0 + fall * along(way) + waves.iter().map(wave).sum::<f64>()
    };
    #[expect(clippy::cast_possible_truncation, reason = "rasters hold f32")]
    (0..SHAPE.len()).map(|i| z(number(i / SHAPE.cols), number(i % SHAPE.cols)) as f32).collect()
}

/// Area by lot, m².
fn amounts(found: &Assessment<'_>) -> BTreeMap<String, f64> {
    let rows = found.drainage.contributions.iter();
    let id = |place: usize| found.site.parcels.parcels()[found.routed.ground.parcels[place]].id.clone();
    rows.map(|row| (row.label.place().map_or(String::new(), id), row.area_m2)).collect()
}

fn compare(found: &Assessment<'_>, truth: &BTreeMap<String, f64>) -> Told {
    let sure = found.certainty.as_ref().expect("repeats were asked");
    let mut told = Told {
        claims: Vec::new(),
        verdicts: Vec::new(),
        run_on: (sure.run_on, truth.values().sum()),
        areas: Vec::new(),
        ground: sure.ground.expect("there is ground"),
        true_fall: f64::NAN,
    };
    for (place, lot) in found.site.parcels.parcels().iter().enumerate() {
        if lot.id == SUBJECT {
            continue;
        }
        let area = truth.get(&lot.id).copied().unwrap_or(0.0);
        let contributes = area > sure.floor_m2;
        let row = sure.parcel(Some(place));
        told.claims.push((row.map_or(0.0, |row| row.likelihood.share()), contributes));
        told.verdicts.push((row.map_or(Verdict::DoesNot, |row| row.verdict), contributes));
        told.areas.extend(row.map(|row| (row.area, area)).filter(|(area, _)| area.low > 0.0));
    }
    told
}
