//! The one projected system that all later stages work in.

use super::{CrsDefinition, CrsError, CrsKind, Transform};

/// A projected system whose unit is known in true ground metres at the lot.
///
/// Plain data: it may be shared between threads; each thread builds its own transformation on first use.
///
/// # Invariants
/// The system is projected and both ways to longitude and latitude exist.
#[derive(Debug, Clone)]
pub struct WorkingCrs {
    definition: CrsDefinition,
    wkt: String,
    metres_per_unit: f64,
    to_lonlat: Transform,
    from_lonlat: Transform,
}

impl WorkingCrs {
    /// Takes a projected system and the length of its unit on the ground at the lot.
    ///
    /// # Errors
    /// [`CrsError`] if no way leads to longitude and latitude.
    pub fn new(definition: CrsDefinition, metres_per_unit: f64) -> Result<Self, CrsError> {
        let lonlat = CrsDefinition::lonlat()?;
        Ok(Self {
            wkt: definition.wkt()?,
            to_lonlat: Transform::new(&definition, &lonlat)?,
            from_lonlat: Transform::new(&lonlat, &definition)?,
            definition,
            metres_per_unit,
        })
    }

    /// Well-known text.
    #[must_use]
    pub fn wkt(&self) -> &str {
        &self.wkt
    }

    /// Authority code (`EPSG:26917`) or name.
    #[must_use]
    pub fn label(&self) -> &str {
        self.definition.label()
    }

    /// The system itself.
    #[must_use]
    pub const fn definition(&self) -> &CrsDefinition {
        &self.definition
    }

    /// True ground metres per unit at the lot: the unit's length divided by the projection's point scale.
    #[must_use]
    pub const fn metres_per_unit(&self) -> f64 {
        self.metres_per_unit
    }

    /// Length of the map's unit as its definition says it, in metres: coordinates times this are map metres, to be staked
    /// in the same system. (Lengths on the ground take [`Self::metres_per_unit`].)
    #[must_use]
    pub fn map_unit_m(&self) -> f64 {
        match self.definition.kind() {
            CrsKind::Projected(unit) => unit.metres,
            _ => 1.0,
        }
    }

    /// Longitude and latitude (WGS 84, degrees) of a point.
    ///
    /// # Errors
    /// [`CrsError::OutsideDomain`] if it has none.
    pub fn to_lonlat(&self, x: f64, y: f64) -> Result<(f64, f64), CrsError> {
        self.to_lonlat.point(x, y)
    }

    /// The point at a longitude and latitude (WGS 84, degrees).
    ///
    /// # Errors
    /// [`CrsError::OutsideDomain`] if the projection doesn't reach there.
    pub fn from_lonlat(&self, lon: f64, lat: f64) -> Result<(f64, f64), CrsError> {
        self.from_lonlat.point(lon, lat)
    }

    /// Longitudes and latitudes of many points.
    ///
    /// # Errors
    /// [`CrsError::OutsideDomain`] at the first that has none.
    pub fn all_to_lonlat(&self, points: &[(f64, f64)]) -> Result<Vec<(f64, f64)>, CrsError> {
        points.iter().map(|&(x, y)| self.to_lonlat.point(x, y)).collect()
    }

    /// The points at many longitudes and latitudes.
    ///
    /// # Errors
    /// [`CrsError::OutsideDomain`] at the first that the projection doesn't reach.
    pub fn all_from_lonlat(&self, points: &[(f64, f64)]) -> Result<Vec<(f64, f64)>, CrsError> {
        points.iter().map(|&(lon, lat)| self.from_lonlat.point(lon, lat)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // A lot must come back to where the file had it, whatever grid it was worked on in between.
    #[test]
    fn longitude_and_latitude_survive_the_way_there_and_back() {
        for base in ["EPSG:4269", "EPSG:26917", "EPSG:4326", "EPSG:4258"] {
            let base = CrsDefinition::parse(base).unwrap();
            let lonlat = CrsDefinition::parse("OGC:CRS84").unwrap();
            let (x, y) = Transform::new(&lonlat, &base).unwrap().point(-81.0, 43.62).unwrap();
            let local = crate::crs::local_transverse_mercator(&base, x, y).unwrap();
            let there = Transform::new(&lonlat, &local).unwrap().point(-80.999, 43.621).unwrap();
            let back = WorkingCrs::new(local, 1.0).unwrap().to_lonlat(there.0, there.1).unwrap();
            let off = (back.0 + 80.999).abs().max((back.1 - 43.621).abs());
            assert!(off < 1e-10, "{} {back:?}", base.label());
        }
    }

    #[test]
    fn is_shared_between_threads() {
        let crs = WorkingCrs::new(CrsDefinition::parse("EPSG:26917").unwrap(), 1.0).unwrap();
        let here = crs.to_lonlat(500_000.0, 4_829_950.0).unwrap();
        let there = std::thread::scope(|s| {
            s.spawn(|| crs.to_lonlat(500_000.0, 4_829_950.0).unwrap()).join().unwrap()
        });
        assert_eq!(here, there);
        let back = crs.from_lonlat(here.0, here.1).unwrap();
        assert!((back.0 - 500_000.0).abs() < 1e-6 && (back.1 - 4_829_950.0).abs() < 1e-6);
    }
}
