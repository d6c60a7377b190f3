//! The lower neighbours of a cell as bits, and what they say about it.
//!
//! Cells are ordered by elevation, and by row and column where elevations are equal, so that no two are level. Bit k
//! of a mask is set where the neighbour k eighths of a turn clockwise from north comes before the cell in that order.
//! Taken in that order, cells change how the ground below hangs together in three cases only (the critical points of
//! a height function; Banchoff 1967, "Critical points and curvature for embedded polyhedra"; Carr, Snoeyink and Axen
//! 2003, "Computing contour trees in all dimensions"; both from memory): none lower starts a basin, lower ones in
//! two or more groups may join basins, and one group joins nothing that wasn't joined.

/// Neighbours in the order of preference for the way down: first those that a scan from the north-west has met.
const PREFERENCE: [u8; 8] = [0, 1, 7, 6, 4, 3, 5, 2];
/// The neighbours that a scan from the north-west has met.
pub(super) const MET: u8 = 0b1100_0011;
/// The neighbours in the row above.
pub(super) const ABOVE: u8 = 0b1000_0011;
/// The neighbours in the row below.
pub(super) const BELOW: u8 = 0b0011_1000;

/// For each mask, one neighbour out of each group of lower neighbours that touch one another.
pub(super) static GROUPS: [u8; 256] = groups();

/// Direction code of the way down for a mask that isn't 0.
pub(super) const fn way_down(mask: u8) -> Option<u8> {
    let mut i = 0;
    while i < 8 {
        if mask >> PREFERENCE[i] & 1 == 1 {
            return Some(PREFERENCE[i]);
        }
        i += 1;
    }
    None
}

/// The neighbours of `cell`'s neighbours `mask` that touch it around the ring: the next ones either way, and for
/// those that share a side with the middle also the ones a quarter turn away (they touch at a corner).
const fn touching(code: u8) -> u8 {
    let mut bits = 1_u8.rotate_left(code as u32 + 1) | 1_u8.rotate_left(code as u32 + 7);
    if code & 1 == 0 {
        bits |= 1_u8.rotate_left(code as u32 + 2) | 1_u8.rotate_left(code as u32 + 6);
    }
    bits
}

const fn group_of(mask: u8, start: u8) -> u8 {
    let mut group = 1 << start;
    let mut before = 0;
    while group != before {
        before = group;
        let mut code = 0;
        while code < 8 {
            if before >> code & 1 == 1 {
                group |= touching(code) & mask;
            }
            code += 1;
        }
    }
    group
}

const fn groups() -> [u8; 256] {
    let mut table = [0; 256];
    let mut mask = 0_usize;
    while mask < 256 {
        #[expect(clippy::cast_possible_truncation, reason = "below 256")]
        let mut rest = mask as u8;
        while rest != 0 {
            let first = rest & rest.wrapping_neg();
            table[mask] |= first;
            #[expect(clippy::cast_possible_truncation, reason = "below 8")]
            let start = first.trailing_zeros() as u8;
            rest &= !group_of(rest, start);
        }
        mask += 1;
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lower_neighbours_that_touch_are_one_group() {
        // North and east touch at a corner; north-east and south-east don't.
        assert_eq!(GROUPS[0b0000_0101], 0b1);
        assert_eq!(GROUPS[0b0000_1010], 0b1010);
        assert_eq!(GROUPS[0b1000_0001], 0b1);
        assert_eq!(GROUPS[0b1010_1010].count_ones(), 4);
        assert_eq!(GROUPS[0b1111_1111].count_ones(), 1);
        assert_eq!(GROUPS[0b0001_0001].count_ones(), 2);
        assert_eq!(GROUPS[0], 0);
    }

    #[test]
    fn the_way_down_prefers_cells_met_before() {
        assert_eq!(way_down(0), None);
        for mask in 1..=u8::MAX {
            let code = way_down(mask).unwrap();
            assert_ne!(mask >> code & 1, 0, "the way down leads to a lower neighbour");
            assert_eq!(mask & MET != 0, MET >> code & 1 == 1);
        }
    }
}
