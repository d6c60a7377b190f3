//! Ground and things that a line is kept clear of.

use super::shapes::{ShapeFeature, ShapesRead, Wanted, open_shapes};
use super::{SideFile, SideOptions};
use crate::input::Site;
use crate::input::error::InputError;
use crate::input::parcels::open::Shapes;
use crate::units::Length;
use crate::warning::{Warned, Warning, named};
use geo::Geometry;

/// Name of the option, and the fields in the order in which [`KeepOut`] is made of them.
const WANTED: Wanted<'static> = Wanted {
    name: "keep-out",
    shapes: Shapes::Any,
    fields: &["kind", "distance", "base", "id"],
    required: Some("kind"),
};

/// Ground or a thing that a line is kept clear of.
#[derive(Debug, Clone, PartialEq)]
pub struct KeepOut {
    /// What it is, as the file says it: `septic`, `well`, `easement` ...
    pub kind: String,
    /// Its id, where the file has one, else its place in the file.
    pub id: String,
    /// Distance that is kept, where the file says it.
    pub distance: Option<Length>,
    /// Depth of its base below the ground, where the file says it.
    pub base: Option<Length>,
    /// Its place in the working system: a `MultiPolygon`, `MultiLineString` or `MultiPoint`.
    pub shape: Geometry,
}

/// Reads what to keep out of.
///
/// # Units
/// Lengths as `3m` or `10ft`; bare numbers are metres.
///
/// # Errors
/// [`InputError`] as for parcels; a feature without a kind, a length that is none.
pub(super) fn open_keep_outs(
    site: &Site,
    options: &SideOptions,
) -> Result<Option<Warned<Vec<KeepOut>>>, InputError> {
    let Some(file) = &options.keep_out else { return Ok(None) };
    let mut warnings = Vec::new();
    let ShapesRead { features, .. } = open_shapes(site, file, WANTED)?.unload(&mut warnings);
    let found = features
        .iter()
        .map(|feature| keep_out(feature).map_err(|reason| unusable(file, &feature.name, &reason)))
        .collect::<Result<Vec<KeepOut>, InputError>>()?;
    warnings.extend(unknown(file, &found));
    Ok(Some(Warned::new(found, warnings)))
}

fn unusable(file: &SideFile, feature: &str, reason: &str) -> InputError {
    InputError::Unreadable {
        path: file.path.clone(),
        reason: format!("{feature}: {reason}"),
        help: "correct the field; lengths are written as 3m or 10ft, bare numbers are metres".to_owned(),
    }
}

fn keep_out(feature: &ShapeFeature) -> Result<KeepOut, String> {
    let [kind, distance, base, id] = &feature.values[..] else {
        return Err("it isn't a keep-out".to_owned());
    };
    let kind = kind.clone().ok_or("it has no kind")?;
    let length = |name: &str, text: &Option<String>| {
        let parsed = text.as_ref().map(|text| text.parse::<Length>());
        parsed.transpose().map_err(|cause| format!("its {name}: {cause}"))
    };
    Ok(KeepOut {
        kind,
        id: id.clone().unwrap_or_else(|| feature.name.clone()),
        distance: length("distance", distance)?,
        base: length("base", base)?,
        shape: feature.shape.clone(),
    })
}

/// Kinds of which nothing is known: a wall that is misspelt would not be looked at as one.
fn unknown(file: &SideFile, found: &[KeepOut]) -> Option<Warning> {
    use crate::input::beside::KINDS;
    let known = |kind: &str| KINDS.iter().any(|name| name.eq_ignore_ascii_case(kind.trim()));
    let mut odd: Vec<&str> = found.iter().map(|it| it.kind.as_str()).filter(|kind| !known(kind)).collect();
    odd.sort_unstable();
    odd.dedup();
    (!odd.is_empty()).then(|| {
        Warning::new(
            "keep-out-kinds-unknown",
            format!("{}: kinds of which nothing more is known: {}", file.path.display(), named(&odd)),
            format!("use one of {}, so that what carries them is looked at; of others the distance, or 0.6 m, is kept", KINDS.join(", ")),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{MultiPoint, Point};

    fn made(values: [&str; 4]) -> Result<KeepOut, String> {
        let value = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
        keep_out(&ShapeFeature {
            shape: Geometry::MultiPoint(MultiPoint(vec![Point::new(0.0, 0.0)])),
            values: values.into_iter().map(value).collect(),
            name: "feature 3".to_owned(),
        })
    }

    // 10 ft = 3.048 m.
    #[test]
    fn lengths_are_read_with_and_without_a_unit() {
        let found = made(["septic", "10ft", "", "tank"]).unwrap();
        assert!((found.distance.unwrap().as_m() - 3.048).abs() < 1e-12);
        assert_eq!((found.id.as_str(), found.base), ("tank", None));
        let found = made(["wall", "", "0.5", ""]).unwrap();
        assert_eq!(
            (found.id.as_str(), found.distance, found.base.map(Length::as_m)),
            ("feature 3", None, Some(0.5))
        );
    }

    #[test]
    fn what_cannot_be_is_refused_with_the_field() {
        for (values, words) in [
            (["", "3", "", ""], "no kind"),
            (["well", "far", "", ""], "its distance"),
            (["well", "-3", "", ""], "its distance"),
            (["wall", "1", "deep", ""], "its base"),
        ] {
            let found = made(values).unwrap_err();
            assert!(found.contains(words), "{found}");
        }
    }
}
