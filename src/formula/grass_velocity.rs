//! How fast water may run over grass.

use crate::units::{Grade, OutOfRange, Velocity};

/// Upper ends of the bands of grade for which velocities are printed; the last band has none.
const BANDS: [f64; 2] = [0.05, 0.10];

/// How soil bears running water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Erodibility {
    /// Erosion-resistant: clayey, cohesive.
    Resistant,
    /// Easily eroded: sandy, silty.
    EasilyEroded,
}

/// Greatest mean velocities that a grass lining bears.
///
/// # Invariants
/// For either kind of soil 1 to 3 velocities above 0, for grades up to 5 %, up to 10 %, and above, which don't rise; grades
/// without one are not for this grass. Easily eroded soil never bears more than resistant soil.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GrassLining {
    resistant: [Option<Velocity>; 3],
    easily_eroded: [Option<Velocity>; 3],
}

impl GrassLining {
    /// Checks velocities, given for as many bands of grade as the grass is used in.
    ///
    /// # Errors
    /// [`OutOfRange`] when there are none or more than three, when one isn't above 0 or above that of the flatter
    /// band, or when easily eroded soil would bear more than resistant soil.
    pub fn new(resistant: &[Velocity], easily_eroded: &[Velocity]) -> Result<Self, OutOfRange> {
        let lining = Self { resistant: by_band(resistant)?, easily_eroded: by_band(easily_eroded)? };
        for (hard, soft) in lining.resistant.iter().zip(&lining.easily_eroded) {
            if let Some(soft) = soft
                && hard.is_none_or(|hard| *soft > hard)
            {
                return Err(OutOfRange {
                    what: "velocity in m/s that grass on easily eroded soil bears",
                    found: soft.as_m_per_s(),
                    range: "up to that on resistant soil",
                });
            }
        }
        Ok(lining)
    }

    /// Greatest mean velocity at a grade; `None` where the grass is not used.
    ///
    /// # Method
    /// The printed figure of the band: up to 5 %, up to 10 %, and above.
    ///
    /// # Source
    /// The bands: US Soil Conservation Service, Handbook of Channel Design for Soil and Water Conservation, SCS-TP-61 (1954), as
    /// quoted in town codes (second hand).
    ///
    /// # Valid range
    /// Grass that has grown in; above 5 ft/s only with good cover and upkeep (same source).
    #[must_use]
    pub fn permissible(self, grade: Grade, soil: Erodibility) -> Option<Velocity> {
        let band = BANDS.iter().filter(|&&end| grade.get() > end).count();
        match soil {
            Erodibility::Resistant => self.resistant[band],
            Erodibility::EasilyEroded => self.easily_eroded[band],
        }
    }
}

fn by_band(given: &[Velocity]) -> Result<[Option<Velocity>; 3], OutOfRange> {
    let mut bands = [None; 3];
    if given.is_empty() || given.len() > bands.len() {
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let found = given.len() as f64;
        return Err(OutOfRange { what: "number of velocities", found, range: "1 to 3" });
    }
    let mut before = f64::INFINITY;
    for (band, &velocity) in bands.iter_mut().zip(given) {
        let found = velocity.as_m_per_s();
        if !(found > 0.0 && found.is_finite() && found <= before) {
            let range = "above 0, and no more than on flatter ground";
            return Err(OutOfRange { what: "velocity in m/s that grass bears", found, range });
        }
        before = found;
        *band = Some(velocity);
    }
    Ok(bands)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lining(resistant: &[f64], easily_eroded: &[f64]) -> Result<GrassLining, OutOfRange> {
        let all = |v: &[f64]| v.iter().map(|&v| Velocity::from_ft_per_s(v)).collect::<Vec<_>>();
        GrassLining::new(&all(resistant), &all(easily_eroded))
    }

    #[test]
    fn bands_end_where_the_table_says() {
        let mixture = lining(&[5.0, 4.0], &[4.0, 3.0]).unwrap();
        let at = |s, soil| mixture.permissible(Grade::new(s).unwrap(), soil).map(|v| v.as_ft_per_s().round());
        let easily = [0.05, 0.050_1, 0.10, 0.100_1].map(|s| at(s, Erodibility::EasilyEroded));
        assert_eq!(easily, [Some(4.0), Some(3.0), Some(3.0), None]);
        assert_eq!(at(0.07, Erodibility::Resistant), Some(4.0));
    }

    #[test]
    fn velocities_that_can_not_be_are_refused() {
        for (resistant, easily_eroded) in [
            (&[][..], &[1.0][..]),
            (&[4.0, 5.0], &[3.0]),
            (&[4.0, 3.0, 2.0, 1.0], &[3.0]),
            (&[0.0], &[0.0]),
            (&[f64::NAN], &[1.0]),
            (&[4.0], &[5.0]),
            (&[4.0], &[3.0, 2.0]),
        ] {
            assert!(lining(resistant, easily_eroded).is_err(), "{resistant:?} {easily_eroded:?}");
        }
    }
}
