//! From which level the heights of the files are counted, and which way.

use super::describe::Tile;
use crate::crs::CrsDefinition;
use crate::input::error::InputError;
use crate::warning::Warning;

/// Depths turned into heights would let water run uphill.
pub(super) fn heights_grow_upwards(tile: &Tile) -> Result<(), InputError> {
    match tile.crs.as_ref().and_then(CrsDefinition::vertical) {
        Some(axis) if axis.is_depth => Err(InputError::NotElevation {
            path: tile.path.clone(),
            reason: format!("its vertical system \"{}\" counts depths downwards, not heights", axis.name),
        }),
        _ => Ok(()),
    }
}

/// Heights of all files must be counted from one level; a file that doesn't say is believed to follow the others.
pub(super) fn one_vertical_system(tiles: &[Tile]) -> Result<Option<Warning>, InputError> {
    let named = |tile: &Tile| tile.crs.as_ref().and_then(CrsDefinition::vertical).map(|v| v.name.clone());
    let first = tiles.iter().find_map(|tile| Some((tile, named(tile)?)));
    let Some((first, name)) = first else { return Ok(None) };
    let odd = tiles.iter().find_map(|tile| Some((tile, named(tile).filter(|other| *other != name)?)));
    if let Some((odd, other)) = odd {
        return Err(InputError::TilesDiffer {
            odd: odd.path.clone(),
            first: first.path.clone(),
            reason: format!("heights of \"{other}\" against heights of \"{name}\""),
        });
    }
    let silent = tiles.iter().filter(|tile| named(tile).is_none()).count();
    Ok((silent > 0).then(|| {
        Warning::new(
            "tiles-datum-unsaid",
            format!(
                "{silent} of {} elevation files do not say from which level their heights are counted; {} says \"{name}\"",
                tiles.len(),
                first.path.display()
            ),
            "make sure that all tiles are of one delivery",
        )
    }))
}
