//! Grade below which a drain silts up.

use super::manning::grade_for_velocity;
use crate::units::{Grade, Length, ManningN, OutOfRange, Velocity};

/// Flattest grade of a drain whatever its size: 0.15 ft in 100 ft.
///
/// # Source
/// UFC 3-270-04, section 12.6 (second hand).
const FLOOR: f64 = 0.0015;

/// Whether soil can get into a drain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SoilEntry {
    /// Fine sand and silt are kept out, as by a fabric all round.
    Kept,
    /// They can get in.
    Possible,
}

/// Velocity that keeps a drain clean.
///
/// # Units
/// 0.5 ft/s where no fine sand or silt can get in, else 1.4 ft/s.
///
/// # Source
/// A county's sheet on subsurface drains (second hand); NRCS, National Engineering Handbook, part 650, chapter 14 (from memory).
#[must_use]
pub const fn least_velocity(entry: SoilEntry) -> Velocity {
    match entry {
        SoilEntry::Kept => Velocity::from_ft_per_s(0.5),
        SoilEntry::Possible => Velocity::from_ft_per_s(1.4),
    }
}

/// Grade at which a pipe that is just full (or half full) flows at the velocity that keeps it clean.
///
/// # Method
/// Manning's equation with R = D / 4, solved for S = (V n / R^(2/3))^2.
///
/// # Source
/// That of [`least_velocity`]; printed grades: University of Minnesota Extension (second hand).
///
/// # Errors
/// [`OutOfRange`] for a diameter so small that no grade up to 1 does.
pub fn self_cleaning_grade(inside: Length, n: ManningN, entry: SoilEntry) -> Result<Grade, OutOfRange> {
    grade_for_velocity(least_velocity(entry), inside * 0.25, n)
}

/// Flattest grade that a drain should have: [`self_cleaning_grade`], but never below 0.15 %.
///
/// # Source
/// The floor: UFC 3-270-04, section 12.6 (second hand).
///
/// # Errors
/// As [`self_cleaning_grade`].
///
/// # Example
/// ```
/// use lotshed::formula::drain_grade::{SoilEntry, least_grade};
/// use lotshed::units::{Length, ManningN};
/// // 4 in, n 0.015, soil can get in: (1.4 x 0.015 / (1.4859 x (1/12)^(2/3)))^2 = 0.00549.
/// let n = ManningN::new(0.015).unwrap();
/// let grade = least_grade(Length::from_in(4.0), n, SoilEntry::Possible).unwrap();
/// assert!((grade.get() - 0.005_49).abs() < 5e-6);
/// // Kept out: the velocity would ask for 0.07 %; the floor counts.
/// let grade = least_grade(Length::from_in(4.0), n, SoilEntry::Kept).unwrap();
/// assert!((grade.get() - 0.0015).abs() < 1e-12);
/// ```
pub fn least_grade(inside: Length, n: ManningN, entry: SoilEntry) -> Result<Grade, OutOfRange> {
    let cleaning = self_cleaning_grade(inside, n, entry)?;
    Grade::new(cleaning.get().max(FLOOR))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pipe_too_thin_for_any_grade_is_refused() {
        let n = ManningN::new(0.02).unwrap();
        assert!(least_grade(Length::from_mm(0.1), n, SoilEntry::Possible).is_err());
        assert!(least_grade(Length::ZERO, n, SoilEntry::Possible).is_err());
    }
}
