//! What may be wrong with shots: roofs, doubles, another unit or datum, single ones far off.

use super::super::beside::SideFile;
use super::super::units::VerticalUnit;
use super::contradictions::accuracy_together_m;
use super::{Shot, ShotOnGround, signed, with_differences};
use crate::certainty::ErrorModel;
use crate::grid::Cell;
use crate::input::Site;
use crate::input::error::InputError;
use crate::warning::{Warned, Warning, named};
use crate::wording::metres;
use geo::{Contains, Point};
use std::collections::BTreeMap;

/// Farther from the surface than so many standard deviations of the difference a shot isn't likely right.
const FAR: f64 = 3.0;
/// Farther than this no fill, cut or error puts a shot, m. Ours.
const FARTHEST_M: f64 = 5.0;
/// With fewer shots nothing is said of an offset that all of them share.
const FEWEST_FOR_OFFSET: usize = 4;

/// Shots beside buildings; those inside footprints are named.
pub(super) fn apart_from_roofs(site: &Site, file: &SideFile, shots: Vec<Shot>) -> Warned<Vec<Shot>> {
    let on_roof = |shot: &Shot| {
        site.beside.buildings.as_ref().is_some_and(|buildings| {
            let (x, y) = (shot.at.x, shot.at.y);
            let near = buildings.within(x, y, x, y);
            near.into_iter().any(|place| buildings.patches()[place].outline.contains(&Point::from(shot.at)))
        })
    };
    let (roofs, shots): (Vec<Shot>, Vec<Shot>) = shots.into_iter().partition(on_roof);
    let names: Vec<String> = roofs.into_iter().map(|shot| shot.id).collect();
    let warning = (!names.is_empty()).then(|| {
        Warning::new(
            "shots-in-buildings",
            format!(
                "{}: some shots lie inside a building, so they were left out: {}",
                file.path.display(),
                named(&names)
            ),
            "shoot the ground beside it, or check the footprints",
        )
    });
    Warned::new(shots, warning.into_iter().collect())
}

/// One shot for each cell: the mean of several, as accurate as the best of them, unless they contradict each other.
pub(super) fn one_a_cell(
    file: &SideFile,
    shots: &[ShotOnGround],
    metres_per_unit: f64,
) -> Warned<Vec<ShotOnGround>> {
    let mut by_cell: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
    for (place, one) in shots.iter().enumerate() {
        by_cell.entry((one.cell.row, one.cell.col)).or_default().push(place);
    }
    let doubled: Vec<String> = by_cell
        .values()
        .filter(|places| places.len() > 1)
        .map(|places| in_one_cell(&places.iter().map(|&place| &shots[place]).collect::<Vec<_>>()))
        .collect();
    let firsts = shots.iter().enumerate().filter_map(|(place, one)| {
        let Cell { row, col } = one.cell;
        let places = &by_cell[&(row, col)];
        (places[0] == place).then(|| mean(places.iter().map(|&place| &shots[place]), metres_per_unit))
    });
    let found: Vec<ShotOnGround> = firsts.collect();
    let warning = (!doubled.is_empty()).then(|| {
        Warning::new(
            "shots-doubled",
            format!(
                "{}: several shots lie in one cell of the elevations, so their mean counts: {}",
                file.path.display(),
                named(&doubled)
            ),
            "leave out doubles; where they differ, find out which is right",
        )
    });
    Warned::new(found, warning.into_iter().collect())
}

fn in_one_cell(shots: &[&ShotOnGround]) -> String {
    let names: Vec<&str> = shots.iter().map(|one| one.shot.id.as_str()).collect();
    let differences = || shots.iter().map(|one| one.difference_m());
    let between =
        differences().fold(f64::NEG_INFINITY, f64::max) - differences().fold(f64::INFINITY, f64::min);
    format!("{} ({} between them)", names.join(" and "), metres(between, 2))
}

/// The difference is the mean's; place and name are the first's.
fn mean<'a>(shots: impl Iterator<Item = &'a ShotOnGround>, metres_per_unit: f64) -> ShotOnGround {
    let all: Vec<&ShotOnGround> = shots.collect();
    let difference_m = mean_difference(all.iter().copied());
    let accuracy_m = accuracy_together_m(&all, metres_per_unit);
    let first = all[0];
    let elevation_m = first.surface_m + difference_m;
    ShotOnGround { shot: Shot { elevation_m, accuracy_m, ..first.shot.clone() }, ..first.clone() }
}

#[expect(clippy::cast_precision_loss, reason = "a number of shots")]
fn mean_difference<'a>(shots: impl Iterator<Item = &'a ShotOnGround> + Clone) -> f64 {
    shots.clone().map(ShotOnGround::difference_m).sum::<f64>() / shots.count() as f64
}

/// Standard deviation of a shot's difference from the surface, m.
fn expected_m(one: &ShotOnGround, model: &ErrorModel) -> f64 {
    model.rmse.as_m().hypot(one.shot.accuracy_m)
}

fn is_far(one: &ShotOnGround, model: &ErrorModel) -> bool {
    one.difference_m().abs() > FAR * expected_m(one, model)
}

/// Shots that all lie off the surface alike: another unit or datum.
///
/// # Errors
/// [`InputError::ShotsOffset`] if all are far off and a unit, or of two or more a constant offset, explains it; or if
/// one is so far off that nothing does.
pub(super) fn check_offset(
    file: &SideFile,
    shots: &[ShotOnGround],
    model: &ErrorModel,
) -> Result<Option<Warning>, InputError> {
    let offset_m = mean_difference(shots.iter());
    let refused = |found: String, help: String| InputError::ShotsOffset {
        path: file.path.clone(),
        shots: named(&with_differences(shots.iter())),
        found,
        help,
    };
    if !shots.is_empty() && shots.iter().all(|one| is_far(one, model)) {
        if let Some(words) = other_unit(shots, model) {
            return Err(refused(
                format!("they would fit if they were {words}"),
                "say the unit of the shots in their field unit: m, ft, us-ft or cm".to_owned(),
            ));
        }
        if shots.len() > 1
            && shots.iter().all(|one| (one.difference_m() - offset_m).abs() <= FAR * expected_m(one, model))
        {
            return Err(refused(
                format!("all lie about {} the surface: another datum or bench mark", signed(offset_m)),
                format!(
                    "move the shots to the datum of the elevations, which take {} off them",
                    signed(offset_m)
                ),
            ));
        }
    }
    if shots.iter().any(|one| one.difference_m().abs() > FARTHEST_M) {
        return Err(refused(
            format!("one lies more than {} off", metres(FARTHEST_M, 0)),
            "correct its elevation, unit or place, or leave it out".to_owned(),
        ));
    }
    Ok(shares_offset(shots, offset_m, model).then(|| {
        Warning::new(
            "shots-offset",
            format!(
                "{}: the shots lie {} the surface on average, all to one side: a step between two datums would look like that",
                file.path.display(),
                signed(offset_m)
            ),
            "check the bench mark of the shots; an offset that all share hardly moves the water",
        )
    }))
}

/// Whether all lie to one side, by more than the error on average.
fn shares_offset(shots: &[ShotOnGround], offset_m: f64, model: &ErrorModel) -> bool {
    let to_one_side = shots.iter().all(|one| one.difference_m() * offset_m > 0.0);
    shots.len() >= FEWEST_FOR_OFFSET && to_one_side && offset_m.abs() > model.rmse.as_m()
}

/// A unit in which all shots would fit, in words.
fn other_unit(shots: &[ShotOnGround], model: &ErrorModel) -> Option<&'static str> {
    let foot = VerticalUnit::Foot.metres();
    let fits = |factor: f64| {
        shots.iter().all(|one| {
            let off_m = one.shot.elevation_m * factor - one.surface_m;
            off_m.abs() <= FAR * expected_m(one, model)
        })
    };
    // The two feet differ by 2 mm in a kilometre: either fits.
    let units = [
        (foot, "in feet rather than metres"),
        (1.0 / foot, "in metres rather than feet"),
        (0.01, "in centimetres rather than metres"),
        (100.0, "in metres rather than centimetres"),
    ];
    units.into_iter().find(|&(factor, _)| fits(factor)).map(|(_, words)| words)
}

/// Single shots that the error doesn't explain.
pub(super) fn far_off(file: &SideFile, shots: &[ShotOnGround], model: &ErrorModel) -> Option<Warning> {
    let far = with_differences(shots.iter().filter(|one| is_far(one, model)));
    (!far.is_empty()).then(|| {
        Warning::new(
            "shots-far-off",
            format!(
                "{}: some shots lie more than {FAR:.0} standard deviations (of an RMSE of {} and their own accuracy) off the surface: {}",
                file.path.display(),
                metres(model.rmse.as_m(), 2),
                named(&far)
            ),
            "check them: if they are right the ground has changed since the survey, or its error is larger than stated; if not, leave them out",
        )
    })
}

/// That the surface isn't the raster's any more.
pub(super) fn corrected(file: &SideFile, shots: &[ShotOnGround]) -> Warning {
    let largest = shots.iter().map(|one| one.difference_m().abs()).fold(0.0, f64::max);
    Warning::new(
        "surface-corrected",
        format!(
            "the elevations were corrected by the shots of {} ({}); they lie up to {} off the surface",
            file.path.display(),
            shots.len(),
            metres(largest, 2)
        ),
        "nothing, if the shots are right: all figures are of the corrected surface",
    )
}
