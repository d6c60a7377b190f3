//! One error for the whole library, and what it means for a batch script.

use crate::demo::DemoError;
use crate::flow::FlowError;
use crate::input::InputError;
use crate::interceptor::InterceptorError;
use crate::interceptor::catalogue::CatalogueError;
use crate::lots::LotLineError;
use crate::lots::TooManyLots;
use crate::output::OutputError;
use crate::runoff::CoverTableError;
use crate::terrain::TerrainError;
use miette::Diagnostic;

/// What kind of failure it was; each has its exit status.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ExitClass {
    /// Our fault, or not classified.
    Internal,
    /// Wrong usage.
    Usage,
    /// Input unreadable, incomplete, or in need of a codec that this build lacks.
    Unreadable,
    /// Coordinate system or unit unresolved.
    Unresolved,
    /// No or too little overlap.
    NoOverlap,
    /// Subject lot not found or ambiguous.
    Subject,
    /// Output exists or can't be written.
    Output,
    /// A warning where none was allowed.
    Strict,
    /// Broken installation.
    Installation,
    /// Interrupted.
    Interrupted,
}

impl ExitClass {
    /// The class of a failure of the inputs.
    #[must_use]
    pub const fn of_input(class: crate::input::ExitClass) -> Self {
        match class {
            crate::input::ExitClass::Unreadable => Self::Unreadable,
            crate::input::ExitClass::Unresolved => Self::Unresolved,
            crate::input::ExitClass::NoOverlap => Self::NoOverlap,
            crate::input::ExitClass::Subject => Self::Subject,
            crate::input::ExitClass::Installation => Self::Installation,
        }
    }

    /// The exit status.
    #[must_use]
    pub const fn status(self) -> u8 {
        match self {
            Self::Internal => 1,
            Self::Usage => 2,
            Self::Unreadable => 3,
            Self::Unresolved => 4,
            Self::NoOverlap => 5,
            Self::Subject => 6,
            Self::Output => 7,
            Self::Strict => 8,
            Self::Installation => 9,
            Self::Interrupted => 130,
        }
    }
}

/// What went wrong, by stage.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The inputs.
    #[error(transparent)]
    Input(#[from] InputError),
    /// Filling sinks.
    #[error(transparent)]
    Terrain(#[from] TerrainError),
    /// Routing.
    #[error(transparent)]
    Flow(#[from] FlowError),
    /// Too many lots around the lot.
    #[error(transparent)]
    Lots(#[from] TooManyLots),
    /// The lot's outline.
    #[error(transparent)]
    LotLine(#[from] LotLineError),
    /// What ground sheds.
    #[error(transparent)]
    Cover(#[from] CoverTableError),
    /// The line.
    #[error(transparent)]
    Interceptor(#[from] InterceptorError),
    /// The catalogue of sizes.
    #[error(transparent)]
    Catalogue(#[from] CatalogueError),
    /// The results.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// The demo's files.
    #[error(transparent)]
    Demo(#[from] DemoError),
}

impl Error {
    /// What it means for a batch script.
    #[must_use]
    pub const fn exit_class(&self) -> ExitClass {
        match self {
            Self::Input(error) => ExitClass::of_input(error.exit_class()),
            Self::Output(error) => error.exit_class(),
            Self::Lots(_) | Self::LotLine(_) | Self::Terrain(_) | Self::Cover(_) => ExitClass::Unreadable,
            Self::Demo(DemoError::Projection { .. }) => ExitClass::Installation,
            Self::Demo(_) => ExitClass::Output,
            Self::Flow(_) | Self::Interceptor(_) | Self::Catalogue(_) => ExitClass::Internal,
        }
    }

    /// What to do about it, if anything can be done.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        let text = |error: &dyn Diagnostic| error.help().map(|help| help.to_string()).unwrap_or_default();
        let text = match self {
            Self::Input(error) => text(error),
            Self::Terrain(error) => text(error),
            Self::LotLine(error) => text(error),
            Self::Cover(error) => text(error),
            Self::Interceptor(error) => text(error),
            Self::Catalogue(error) => text(error),
            Self::Demo(error) => text(error),
            Self::Output(error) => error.help().unwrap_or_default().to_owned(),
            Self::Lots(_) => "give a parcel file of the lots around the subject only".to_owned(),
            Self::Flow(_) => "this is a fault of the program: please report it with the inputs".to_owned(),
        };
        (!text.is_empty()).then_some(text)
    }
}
