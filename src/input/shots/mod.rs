//! Shots of the ground: levels that someone took on site, which correct the elevations around them.

mod check;
mod contradictions;
mod read;

use super::beside::SideFile;
use super::error::InputError;
use super::{Site, Window};
use crate::certainty::{Conditioning, ErrorModel, Observed};
use crate::grid::{Cell, Grid, GridShape};
use crate::input::numbers::real;
use crate::warning::{Warned, Warning};
use crate::wording::metres;
use check::{apart_from_roofs, check_offset, corrected, far_off, one_a_cell};
use contradictions::contradicting;
use geo::Coord;
use read::open_shots;
use std::sync::Arc;

/// More shots than these cost more than they tell. Ours.
const MOST: usize = 500;

/// A level taken on site.
#[derive(Debug, Clone, PartialEq)]
pub struct Shot {
    /// Its id, where the file has one, else its place in the file.
    pub id: String,
    /// Its place in the working system.
    pub at: Coord,
    /// Elevation of the ground, m.
    pub elevation_m: f64,
    /// Its standard error, m.
    pub accuracy_m: f64,
}

/// A shot on the surface.
#[derive(Debug, Clone, PartialEq)]
pub struct ShotOnGround {
    /// The shot.
    pub shot: Shot,
    /// The cell that it lies in.
    pub cell: Cell,
    /// The surface as the raster has it there, between cell centres, m.
    pub surface_m: f64,
}

impl ShotOnGround {
    /// Shot less surface, m.
    #[must_use]
    pub fn difference_m(&self) -> f64 {
        self.shot.elevation_m - self.surface_m
    }
}

/// The shots that correct a survey.
#[derive(Debug)]
pub struct Shots {
    /// Those that count, in the file's order.
    pub taken: Vec<ShotOnGround>,
    /// What they say of the ground around.
    pub conditioning: Conditioning,
}

/// Reads shots and has the site's elevations corrected by them from here on.
///
/// # Units
/// Elevations and accuracies are in the unit of the row's field `unit`, else of the file's vertical system, else
/// of the raster's elevations.
///
/// # Method
/// A shot's difference from the surface between cell centres is that of its cell. The surface is moved by the mean
/// that simple kriging with the model's covariance gives ([`Conditioning`]).
///
/// # Errors
/// [`InputError`] as for parcels; a shot that can't be; shots that lie off the surface all alike.
pub fn take_shots(site: &mut Site, file: &SideFile, model: &ErrorModel) -> Result<Warned<()>, InputError> {
    let mut warnings = Vec::new();
    let shots = open_shots(site, file)?.unload(&mut warnings);
    let shots = apart_from_roofs(site, file, shots).unload(&mut warnings);
    let on_ground = on_surface(site, file, shots)?.unload(&mut warnings);
    let metres_per_unit = site.crs.metres_per_unit();
    let taken = one_a_cell(file, &on_ground, metres_per_unit).unload(&mut warnings);
    if taken.len() > MOST {
        return Err(unusable(file, &format!("{} shots lie near the lot, the most is {MOST}", taken.len())));
    }
    warnings.extend(check_offset(file, &taken, model)?);
    warnings.extend(contradicting(file, &on_ground, metres_per_unit));
    // Each by itself: the mean of two that are far off may lie near.
    warnings.extend(far_off(file, &on_ground, model));
    let observed = |one: &ShotOnGround| Observed {
        cell: one.cell,
        difference_m: one.difference_m(),
        accuracy_m: one.shot.accuracy_m,
    };
    let observed: Vec<Observed> = taken.iter().map(observed).collect();
    if observed.is_empty() {
        return Ok(Warned::new((), warnings));
    }
    let conditioning = Conditioning::new(model, site.survey.cell_size(), observed)
        .map_err(|cause| unusable(file, &cause.to_string()))?;
    warnings.push(corrected(file, &taken));
    site.survey.correct_by(Arc::new(Shots { taken, conditioning }));
    Ok(Warned::new((), warnings))
}

fn unusable(file: &SideFile, reason: &str) -> InputError {
    InputError::Unreadable {
        path: file.path.clone(),
        reason: reason.to_owned(),
        help: "give shots with an elevation, and with an accuracy (standard error) of 0 or more".to_owned(),
    }
}

/// The shots with the surface below them; those without are named.
fn on_surface(
    site: &Site,
    file: &SideFile,
    shots: Vec<Shot>,
) -> Result<Warned<Vec<ShotOnGround>>, InputError> {
    let (mut found, mut off) = (Vec::new(), Vec::new());
    for shot in shots {
        match surface_at(site, shot.at)? {
            Some((cell, surface_m)) => found.push(ShotOnGround { shot, cell, surface_m }),
            None => off.push(shot.id),
        }
    }
    let warning = (!off.is_empty()).then(|| {
        Warning::new(
            "shots-off-the-data",
            format!(
                "{}: no elevation lies below some shots, so they were left out: {}",
                file.path.display(),
                crate::warning::named(&off)
            ),
            "check their places and their coordinate system",
        )
    });
    Ok(Warned::new(found, warning.into_iter().collect()))
}

/// The cell of a place, and the surface between the four cell centres around it; that of the cell alone where
/// one of the others has none.
fn surface_at(site: &Site, at: Coord) -> Result<Option<(Cell, f64)>, InputError> {
    let survey = &site.survey;
    let (x, y) = survey.georef().to_grid(at.x, at.y);
    let shape = survey.shape();
    if !(x >= 0.0 && y >= 0.0 && x < real(shape.cols) && y < real(shape.rows)) {
        return Ok(None);
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the grid")]
    let (cell, first) = (
        Cell { row: y as usize, col: x as usize },
        Cell { row: (y - 0.5).max(0.0) as usize, col: (x - 0.5).max(0.0) as usize },
    );
    let part = GridShape { rows: (shape.rows - first.row).min(2), cols: (shape.cols - first.col).min(2) };
    let around = survey.read(Window { row: first.row, col: first.col, shape: part })?;
    let own = *around.at(Cell { row: cell.row - first.row, col: cell.col - first.col });
    if own.is_nan() {
        return Ok(None);
    }
    let share = |place: f64, first: usize| (place - 0.5 - real(first)).clamp(0.0, 1.0);
    let between = between(&around, share(x, first.col), share(y, first.row));
    Ok(Some((cell, if between.is_nan() { f64::from(own) } else { between })))
}

/// Bilinear interpolation in a grid of at most two by two.
fn between(around: &Grid<f32>, right: f64, down: f64) -> f64 {
    let GridShape { rows, cols } = around.shape();
    let z = |row: usize, col: usize| {
        f64::from(*around.at(Cell { row: row.min(rows - 1), col: col.min(cols - 1) }))
    };
    let along = |row: usize| {
        if right > 0.0 { z(row, 0) * (1.0 - right) + z(row, 1) * right } else { z(row, 0) }
    };
    if down > 0.0 { along(0) * (1.0 - down) + along(1) * down } else { along(0) }
}

/// Names of shots with their differences from the surface.
fn with_differences<'a>(shots: impl Iterator<Item = &'a ShotOnGround>) -> Vec<String> {
    shots.map(|one| format!("{} ({})", one.shot.id, signed(one.difference_m()))).collect()
}

/// A difference, with the side.
fn signed(difference_m: f64) -> String {
    let side = if difference_m < 0.0 { "below" } else { "above" };
    format!("{} {side}", metres(difference_m.abs(), 2))
}

#[cfg(test)]
mod tests;
