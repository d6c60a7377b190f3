//! Cover tables. Water never runs here, so of travel there is only what it runs over.

#[path = "../../src/runoff/cover_table/mod.rs"]
mod cover_table;

pub use cover_table::*;

mod travel {
    use crate::formula::shallow_flow::ShallowFlow;
    use crate::units::{Retardance, SheetRoughness};

    #[derive(Debug, Clone, Copy, PartialEq)]
    pub struct Surface {
        pub sheet: SheetRoughness,
        pub shallow: ShallowFlow,
        pub retardance: Retardance,
    }
}
