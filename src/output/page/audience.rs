//! For whom the page is: the same facts, other sections.

/// Who reads it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Audience {
    /// Whoever: everything.
    #[default]
    All,
    /// The lot's owner, who decides and pays.
    Owner,
    /// A neighbour: whose water it is, and what changes for others.
    Neighbour,
    /// The counter of a town: the same, and what it rests on.
    Counter,
    /// Those who build.
    Crew,
}

/// A part of the page after the first one, which all have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Section {
    /// Where water crosses the lot line.
    Crossings,
    /// Why water of some parcels comes, or doesn't.
    Why,
    /// How sure that is.
    Certainty,
    /// The line with its drawings.
    Line,
    /// What changes with the line, for the lot and for others.
    Changes,
    /// Quantities and price.
    Bill,
    /// What to hold a crew to.
    Checklist,
    /// Elevations and what was noted.
    Data,
    /// Methods and sources.
    Methods,
    /// Files and versions.
    Provenance,
}

impl Audience {
    /// Whether a section is for them. Cautions are for everybody.
    pub(super) const fn reads(self, section: Section) -> bool {
        use Section::{Bill, Certainty, Changes, Checklist, Crossings, Data, Line, Methods, Provenance, Why};
        match self {
            Self::All => true,
            Self::Owner => matches!(section, Crossings | Why | Certainty | Line | Changes | Bill | Data),
            Self::Neighbour => matches!(section, Crossings | Why | Certainty | Changes | Data | Provenance),
            Self::Counter => {
                matches!(section, Crossings | Why | Certainty | Changes | Data | Methods | Provenance)
            }
            Self::Crew => matches!(section, Line | Bill | Checklist),
        }
    }
}
