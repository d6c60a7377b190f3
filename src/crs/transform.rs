//! From one coordinate system to another.

use super::{CrsDefinition, CrsError, CrsKind};
use gdal::spatial_ref::SpatialRef;
use proj::Proj;
use std::cell::RefCell;
use std::f64::consts::{FRAC_PI_2, PI};
use std::rc::Rc;
use std::sync::Arc;

/// Transformations kept ready on each thread; a run needs about ten, and building one takes 20 ms.
const READY: usize = 24;

/// Source, target, and the operation between them.
type Built = (Arc<str>, Arc<str>, Rc<Proj>);

thread_local! {
    static BUILT: RefCell<Vec<Built>> = const { RefCell::new(Vec::new()) };
}

/// A way from one coordinate system to another; x (east, longitude) always comes first.
///
/// # Invariants
/// The library found an operation when this was made.
#[derive(Debug, Clone)]
pub struct Transform {
    from: (String, Arc<str>),
    to: (String, Arc<str>),
    /// Largest longitude and latitude, either way, if the source counts angles.
    limits: Option<(f64, f64)>,
}

impl Transform {
    /// Finds the way.
    ///
    /// # Errors
    /// [`CrsError::NoOperation`] if there is none.
    pub fn new(from: &CrsDefinition, to: &CrsDefinition) -> Result<Self, CrsError> {
        let made = Self {
            from: (from.label().to_owned(), from.horizontal().into()),
            to: (to.label().to_owned(), to.horizontal().into()),
            limits: match from.kind() {
                CrsKind::Geographic => {
                    let unit = from.reference()?.angular_units();
                    Some((3.0 * PI / unit, (FRAC_PI_2 + 1e-9) / unit))
                }
                _ => None,
            },
        };
        made.operation()?;
        Ok(made)
    }

    /// Where a point comes to lie.
    ///
    /// # Errors
    /// [`CrsError::OutsideDomain`] if the target can't express it.
    pub fn point(&self, x: f64, y: f64) -> Result<(f64, f64), CrsError> {
        let operation = self.operation()?;
        self.apply(&operation, (x, y))
    }

    /// Moves many points; those that the target can't express become `None`.
    ///
    /// # Errors
    /// [`CrsError::NoOperation`] if the operation can't be built on this thread.
    pub fn points(&self, points: &[(f64, f64)]) -> Result<Vec<Option<(f64, f64)>>, CrsError> {
        let operation = self.operation()?;
        Ok(points.iter().map(|&p| self.apply(&operation, p).ok()).collect())
    }

    /// Accuracy in metres that the registry states for the operation used at a point; `None` where it states none,
    /// which is what an approximate shift between two datums looks like.
    ///
    /// # Errors
    /// [`CrsError`] if the point can't be moved.
    pub fn accuracy_m(&self, x: f64, y: f64) -> Result<Option<f64>, CrsError> {
        let operation = self.operation()?;
        self.apply(&operation, (x, y))?;
        let accuracy = operation.proj_info().accuracy;
        Ok((accuracy >= 0.0).then_some(accuracy))
    }

    /// Name of the operation used at a point.
    ///
    /// # Errors
    /// [`CrsError`] if the point can't be moved.
    pub fn operation_name(&self, x: f64, y: f64) -> Result<String, CrsError> {
        let operation = self.operation()?;
        self.apply(&operation, (x, y))?;
        Ok(operation.proj_info().description.unwrap_or_default())
    }

    fn apply(&self, operation: &Proj, (x, y): (f64, f64)) -> Result<(f64, f64), CrsError> {
        let outside = || CrsError::OutsideDomain { x, y, from: self.from.0.clone(), to: self.to.0.clone() };
        // The library would say so itself, but on the screen.
        if self.limits.is_some_and(|(lon, lat)| x.abs() > lon || y.abs() > lat) {
            return Err(outside());
        }
        match operation.convert((x, y)) {
            Ok((u, v)) if u.is_finite() && v.is_finite() => Ok((u, v)),
            _ => Err(outside()),
        }
    }

    fn operation(&self) -> Result<Rc<Proj>, CrsError> {
        let same = |ours: &Arc<str>, theirs: &Arc<str>| Arc::ptr_eq(ours, theirs) || ours == theirs;
        let ready = BUILT.with_borrow(|all| {
            all.iter()
                .find(|(from, to, _)| same(&self.from.1, from) && same(&self.to.1, to))
                .map(|b| Rc::clone(&b.2))
        });
        if let Some(ready) = ready {
            return Ok(ready);
        }
        let made = Rc::new(build(&self.from.1, &self.to.1).map_err(|reason| CrsError::NoOperation {
            from: self.from.0.clone(),
            to: self.to.0.clone(),
            reason,
        })?);
        BUILT.with_borrow_mut(|all| {
            if all.len() == READY {
                all.remove(0);
            }
            all.push((Arc::clone(&self.from.1), Arc::clone(&self.to.1), Rc::clone(&made)));
        });
        Ok(made)
    }
}

/// The binding panics, instead of failing, when the library gives no reason; that must not reach the user.
fn build(from: &str, to: &str) -> Result<Proj, String> {
    match std::panic::catch_unwind(|| Proj::new_known_crs(from, to, None)) {
        Ok(Ok(proj)) => Ok(proj),
        Ok(Err(error)) => Err(error.to_string()),
        Err(_) => Err("the projection library gave no reason".to_owned()),
    }
}

/// Checks that the projection library finds its database.
///
/// The geodata library asks first: it hands the projection library's messages on, where a direct question would put them
/// on the screen. `in_full` exchanges its return code for such a message.
///
/// # Errors
/// [`CrsError::Installation`] with the environment variables that point the library elsewhere.
pub(crate) fn check_installation(in_full: fn(&str) -> String) -> Result<(), CrsError> {
    let known = SpatialRef::from_epsg(26917).and_then(|reference| reference.to_projjson());
    let found =
        known.map_err(|e| in_full(&e.to_string())).and_then(|_| build("EPSG:26917", "EPSG:4326").map(|_| ()));
    found.map_err(|reason| {
        // The first that is set counts.
        let set = ["PROJ_DATA", "PROJ_LIB"]
            .iter()
            .find_map(|name| {
                std::env::var(name).ok().map(|value| format!("looked for in {value}, which {name} names"))
            })
            .unwrap_or_else(|| "neither PROJ_DATA nor PROJ_LIB is set".to_owned());
        CrsError::Installation { reason: format!("{set} ({reason})") }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn way(from: &str, to: &str) -> Transform {
        Transform::new(&CrsDefinition::parse(from).unwrap(), &CrsDefinition::parse(to).unwrap()).unwrap()
    }

    // Expected: pyproj 3.7.2 (PROJ 9.5.1), Transformer.from_crs(26917, 4326, always_xy=True): 43.622534776665,
    // -80.999504218167 for (500040, 4829950).
    #[test]
    fn longitude_comes_before_latitude() {
        let (lon, lat) = way("EPSG:26917", "EPSG:4326").point(500_040.0, 4_829_950.0).unwrap();
        assert!((lon + 80.999_504_218_167).abs() < 1e-11, "{lon}");
        assert!((lat - 43.622_534_776_665).abs() < 1e-11, "{lat}");
    }

    // Expected: the EPSG registry gives NAD27 to WGS 84 (3) an accuracy of 20 m; grids are not shipped.
    #[test]
    fn a_missing_shift_grid_shows_in_the_accuracy() {
        let accuracy = way("EPSG:4267", "EPSG:4326").accuracy_m(-81.0, 43.6).unwrap();
        assert!(accuracy.is_none_or(|a| a > 1.0), "{accuracy:?}");
        let same_datum = way("EPSG:26917", "EPSG:4269").accuracy_m(500_000.0, 4_829_950.0).unwrap();
        assert!(same_datum.is_some_and(|a| a < 0.001), "{same_datum:?}");
    }

    #[test]
    fn a_point_without_an_image_is_an_error() {
        assert!(matches!(
            way("EPSG:4326", "EPSG:26917").point(9.0, 250.0),
            Err(CrsError::OutsideDomain { .. })
        ));
    }
}
