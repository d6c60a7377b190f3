//! The drain of a part: pipes by reach at the grades of the laid profile, ways to build it side by side, whether the
//! water gets in, and what is built.
//!
//! Takes a part with its flow, how that flow grows, and its way to an outlet with the pipe's profile. Gives for every
//! arrangement what it carries, what it lets in, and its trenches for the bill. What doesn't carry or can't be built says
//! so, and what can't be worked out says what it lacks; nothing is left out of the comparison.

mod arrangement;
mod basins;
mod bed;
mod bedding;
mod build;
mod choice;
mod course;
mod cover;
mod cut_swale;
mod error;
mod growth;
mod handed;
mod held;
mod inlets;
mod intake;
mod kept;
mod kinds;
mod lacking;
mod loaded;
mod option;
mod over_drain;
mod part;
mod reach;
mod recommend;
mod room;
mod sizes;
mod stone_pipes;
mod swale;
#[cfg(test)]
mod tests;

pub use arrangement::Arrangement;
pub use basins::{Basin, usual_grate};
pub use bed::{BedPlace, SwaleBed};
pub use build::{Built, NotBuilt};
pub use choice::{LetIn, Lets, Sizes, size};
pub use course::{CoursePlace, course, stakes};
pub use cover::{ThinCover, ThinStretch};
pub use cut_swale::CutSwale;
pub use error::DrainError;
pub use growth::{Entering, Growth};
pub use handed::{hands_on, passes};
pub use held::Held;
pub use intake::{Intake, Stretch};
pub use kept::{Kept, KeptPiece};
pub use lacking::Lacking;
pub use loaded::{Limit, Loaded, handed_share, kept_of, loaded};
pub use option::{Course, DrainOption, option};
pub use part::{DrainBasis, DrainPart, Joined, StoneEnd};
pub use reach::{Reach, ReachPlace, reaches};
pub use recommend::{Against, Costed, RULE, Recommendation, recommend};
pub use sizes::{LinePipe, ReachVerdict, SizedReach, VelocityLimits, carried_share};
pub use swale::SwaleWay;
