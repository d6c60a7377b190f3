//! What each arrangement would do where it is named: on ways that are laid for its own pipes.

use super::drain::{Drains, PartDrain};
use super::settings::Settings;
use crate::error::Error;
use crate::interceptor::drain::{Arrangement, Costed};
use crate::units::Volume;

/// Whether a line is told with what each arrangement would do where it is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum SideBySide {
    /// On the ways of those that are chosen, and where it is named for all parts.
    AsNamed,
    /// On the ways of those that are chosen alone.
    AsChosen,
}

/// What an arrangement does where it is named for all parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AsNamed {
    /// Share of the part's flow that it keeps off the lot.
    pub share: f64,
    /// Whether it can be built.
    pub is_built: bool,
    /// What is dug for it then; nothing where it can't be built.
    pub dug: Option<Volume>,
    /// Its price then, where the price list prices every item.
    pub price: Option<f64>,
}

impl AsNamed {
    fn of(costed: &Costed) -> Self {
        let option = &costed.option;
        Self { share: option.share(), is_built: option.built.is_ok(), dug: costed.dug(), price: costed.price }
    }
}

/// Adds to each part's drain what its arrangements do where they are named.
///
/// # Method
/// The arrangements of a part stand side by side on the way of the one that is chosen, with what others' chosen
/// drains hand on. Where one is named for all parts, ways are laid for its pipes, and others hand on what it
/// takes there: so the whole of it, ways and drains, is designed again with each named, from the same stretches
/// and the same first ways, as a run with that name does. `designed` does that.
pub(super) fn tell_as_named(
    drains: &mut Drains,
    settings: &Settings,
    designed: impl Fn(&Settings) -> Result<Drains, Error>,
) -> Result<(), Error> {
    let of = |drain: &PartDrain, place: usize| drain.options[place].option.arrangement;
    for arrangement in Arrangement::ALL {
        let is_named = settings.drain.arrangement == Some(arrangement);
        let stands =
            |drain: &PartDrain| (0..drain.options.len()).any(|place| of(drain, place) == arrangement);
        if is_named || !drains.parts.iter().flatten().any(stands) {
            continue;
        }
        let mut named = settings.clone();
        named.drain.arrangement = Some(arrangement);
        let others = designed(&named)?;
        for (drain, other) in drains.parts.iter_mut().zip(&others.parts) {
            let Some(drain) = drain else { continue };
            let found = other.as_ref().and_then(PartDrain::costed).map(AsNamed::of);
            let place = (0..drain.options.len()).find(|&place| of(drain, place) == arrangement);
            // Where it finds no pipe on its own way it keeps nothing.
            let none = AsNamed { share: 0.0, is_built: false, dug: None, price: None };
            if let Some(place) = place {
                drain.as_named[place] = Some(found.unwrap_or(none));
            }
        }
    }
    Ok(())
}
