//! Drawings of what is built: the profile along a part, and the section across its trench.

mod axis;
mod profile;
mod section;

pub(super) use profile::profile;
pub(super) use section::section;
