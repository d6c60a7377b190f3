//! Ways to build a part.

use serde::Serialize;

/// How a part is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Arrangement {
    /// One perforated pipe in a trench of stone.
    OnePipe,
    /// Two of them at one level.
    TwoPipes,
    /// A grassed swale, with a basin at its end from which a solid pipe leads to the outlet.
    Swale,
    /// A swale over a trench of stone with one perforated pipe.
    SwaleOverDrain,
    /// A solid pipe with basins where water arrives concentrated.
    Basins,
}

impl Arrangement {
    /// All of them, in the order in which they are shown.
    pub const ALL: [Self; 5] =
        [Self::OnePipe, Self::TwoPipes, Self::Swale, Self::SwaleOverDrain, Self::Basins];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::OnePipe => "one-pipe",
            Self::TwoPipes => "two-pipes",
            Self::Swale => "swale",
            Self::SwaleOverDrain => "swale-over-drain",
            Self::Basins => "basins",
        }
    }

    /// What it is.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::OnePipe => "one perforated pipe in stone",
            Self::TwoPipes => "two perforated pipes in stone",
            Self::Swale => "grassed swale",
            Self::SwaleOverDrain => "swale over a perforated pipe in stone",
            Self::Basins => "solid pipe with basins",
        }
    }

    /// Whether it has a swale.
    #[must_use]
    pub const fn has_swale(self) -> bool {
        matches!(self, Self::Swale | Self::SwaleOverDrain)
    }

    /// Whether it has a trench of stone.
    #[must_use]
    pub const fn has_stone(self) -> bool {
        matches!(self, Self::OnePipe | Self::TwoPipes | Self::SwaleOverDrain)
    }
}
