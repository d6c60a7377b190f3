//! One receiver per cell by least transversal deviation.
//!
//! Orlandini et al. 2003, Water Resources Research 39(6), 1144 (abstract read; equations from memory and derived again
//! here): of the two ends of the steepest facet take the one that keeps the *accumulated* sideways offset of the path
//! smallest. The offset is carried down from the donor with the largest upstream area.
//!
//! With the tangent share p of the corner neighbour the fall points along t = (d1, p·d2) in (along, across); the side
//! step (d1, 0) lies d1·d2·p/|t| to one side of it, the corner step (d1, d2) lies d1·d2·(1-p)/|t| to the other.

use super::facets::Spacing;
use super::field::FlowField;
use super::order::Reach;
use crate::grid::{CellSize, Direction};
use std::cmp::Reverse;

/// What a cell has heard from its donors: the largest upstream area, from which direction, and the offset it carries.
#[derive(Clone, Copy, Default)]
struct Heard {
    cells: u32,
    largest: u32,
    from: u8,
    offset: f32,
}

/// Directions of the cells in `reach`, each one receiver; other cells keep the end of their facet that gets more.
///
/// `facets` must be a field with shares.
pub(super) fn least_deviation(facets: &FlowField, reach: &Reach, cell_size: CellSize) -> FlowField {
    let spacing = Spacing::of(cell_size);
    let mut towards = larger_ends(facets);
    let mut heard = vec![Heard::default(); reach.cells().len()];
    for (place, &cell) in reach.cells().iter().enumerate() {
        let cell = cell as usize;
        let Some((first, second_share)) = facets.facet(cell) else { continue };
        let here = heard[place];
        let (chosen, offset) = choose(first, second_share, f64::from(here.offset), &spacing);
        towards[cell] = chosen.code();
        let shape = facets.shape();
        let receiver = shape.neighbour(shape.cell(cell), chosen).and_then(|n| reach.place(shape.index(n)));
        if let Some(receiver) = receiver {
            tell(&mut heard[receiver], here.cells + 1, chosen, offset);
        }
    }
    FlowField::new(facets.shape(), towards, Vec::new()).with_links(facets.links().clone())
}

/// For every cell the end of its facet that gets more of the water.
fn larger_ends(facets: &FlowField) -> Vec<u8> {
    let mut towards = facets.towards().to_vec();
    for (cell, code) in towards.iter_mut().enumerate() {
        if let Some((first, second_share)) = facets.facet(cell)
            && second_share > 0.5
        {
            *code = first.clockwise().code();
        }
    }
    towards
}

/// Hands area and offset to the receiver. Of equally large donors the one with the smaller offset counts (a rule that a
/// mirror keeps), of those the first clockwise: never the one that happened to come first.
#[expect(clippy::cast_possible_truncation, reason = "offsets are stored as f32: micrometres are enough")]
fn tell(receiver: &mut Heard, cells: u32, step: Direction, offset: f64) {
    receiver.cells += cells;
    let from = step.reverse().code();
    let offset = offset as f32;
    let rank = |cells: u32, offset: f32, from: u8| (cells, Reverse(offset.abs().to_bits()), Reverse(from));
    let larger = receiver.largest == 0
        || rank(cells, offset, from) > rank(receiver.largest, receiver.offset, receiver.from);
    if larger {
        receiver.largest = cells;
        receiver.from = from;
        receiver.offset = offset;
    }
}

/// The end of the facet with the smaller total offset (positive: clockwise of the true direction), and that offset.
fn choose(first: Direction, second_share: f64, carried: f64, spacing: &Spacing) -> (Direction, f64) {
    let second = first.clockwise();
    if second_share <= 0.0 {
        return (first, carried);
    }
    if second_share >= 1.0 {
        return (second, carried);
    }
    let (along, across) = spacing.along_across(first.code());
    let corner_share = if first.is_diagonal() { 1.0 - second_share } else { second_share };
    let length = along.hypot(corner_share * across);
    // The sideways distance of an end is the more, the less of the water it gets.
    let aside = |share: f64| along * across * (1.0 - share) / length;
    let by_first = carried - aside(1.0 - second_share);
    let by_second = carried + aside(second_share);
    if by_second.abs() < by_first.abs() { (second, by_second) } else { (first, by_first) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    // Hand arithmetic: fall at 22.5 degrees on unit cells, p = tan 22.5 = 0.41421; the side step lies
    // sin 22.5 = 0.38268 to the left, the corner step sqrt 2 sin 22.5 = 0.54120 to the right.
    #[test]
    fn offsets_are_the_sines_of_the_angles() {
        let spacing = Spacing::of(CellSize { dx_m: 1.0, dy_m: 1.0 });
        let p = 22.5_f64.to_radians().tan();
        let (chosen, offset) = choose(Direction::from_code(0), p, 0.0, &spacing);
        assert_eq!(chosen.code(), 0);
        assert_relative_eq!(offset, -(22.5_f64.to_radians().sin()), epsilon = 1e-9);
        let (chosen, next) = choose(Direction::from_code(0), p, offset, &spacing);
        assert_eq!(chosen.code(), 1);
        assert_relative_eq!(next, offset + 2.0_f64.sqrt() * 22.5_f64.to_radians().sin(), epsilon = 1e-9);
    }

    // The offset of a path on a plane stays within one step's largest sideways distance, so the path keeps to the fall.
    #[test]
    fn offset_stays_bounded_along_a_plane() {
        let spacing = Spacing::of(CellSize { dx_m: 1.0, dy_m: 1.0 });
        for degrees in 1..45 {
            let p = f64::from(degrees).to_radians().tan();
            let mut offset = 0.0;
            for _ in 0..10_000 {
                offset = choose(Direction::from_code(0), p, offset, &spacing).1;
                assert!(offset.abs() <= 0.5_f64.sqrt(), "{degrees}: {offset}");
            }
        }
    }
}
