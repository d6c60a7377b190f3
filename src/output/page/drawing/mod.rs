//! Drawings of what is built: the profile along a part, and the section across its trench.

mod axis;
mod measures;
mod picture;
mod profile;
mod section;
mod swale;

pub(super) use picture::{Picture, PictureKind};
pub(super) use profile::profile;
pub(super) use section::{Lies, Which, section};
pub(super) use swale::swale;
