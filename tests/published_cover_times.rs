//! What the cover table's times rest on against the printed rows that its covers are taken to.
//!
//! Sources
//! - TR-55: USDA SCS, Urban Hydrology for Small Watersheds, Technical Release 55 (1986), table 3-1, roughness of sheet flow
//!   (the same as NEH Part 630, chapter 15 (2010), table 15-1).
//! - NEH: USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), table 15-3, shallow concentrated flow.
//! - TxDOT: report 0-4696-2 (2005), Kerby's retardance.
//!
//! Numbers read in the books, the rows' words from memory. Which row a cover is taken to is our choice where the book
//! doesn't name it: the nearest by its words.

mod cases;

use cases::Cases;
use lotshed::formula::shallow_flow::ShallowFlow;
use lotshed::runoff::{CoverClass, CoverTable, Surface};
use lotshed::units::{Retardance, SheetRoughness};
use std::collections::BTreeSet;

/// Rows of TR-55's table 3-1.
mod sheet {
    /// Smooth surfaces: concrete, asphalt, gravel or bare soil.
    pub(crate) const SMOOTH: f64 = 0.011;
    /// Grass: short-grass prairie.
    pub(crate) const SHORT_GRASS: f64 = 0.15;
    /// Grass: dense grasses.
    pub(crate) const DENSE_GRASS: f64 = 0.24;
    /// Woods: light underbrush.
    pub(crate) const LIGHT_UNDERBRUSH: f64 = 0.40;
    /// Woods: dense underbrush.
    pub(crate) const DENSE_UNDERBRUSH: f64 = 0.80;
}

/// Rows of Kerby's table.
mod kerby {
    /// Pavement.
    pub(crate) const PAVEMENT: f64 = 0.02;
    /// Smooth, bare, packed soil.
    pub(crate) const BARE_SOIL: f64 = 0.10;
    /// Poor grass, cultivated row crops.
    pub(crate) const POOR_GRASS: f64 = 0.20;
    /// Pasture, average grass.
    pub(crate) const PASTURE: f64 = 0.40;
    /// Deciduous forest.
    pub(crate) const DECIDUOUS: f64 = 0.60;
    /// Dense grass, coniferous forest, or forest with deep litter.
    pub(crate) const DEEP_LITTER: f64 = 0.80;
}

/// Constants of NEH's table 15-3, ft/s.
mod shallow {
    /// Pavement and small upland gullies.
    pub(crate) const PAVEMENT: f64 = 20.328;
    /// Nearly bare and untilled.
    pub(crate) const NEARLY_BARE: f64 = 9.965;
    /// Short-grass pasture.
    pub(crate) const SHORT_GRASS: f64 = 6.962;
    /// Minimum tillage, contour or strip-cropped, and woodlands.
    pub(crate) const WOODLAND: f64 = 5.032;
    /// Forest with heavy ground litter and hay meadows.
    pub(crate) const HAY_MEADOW: f64 = 2.516;
}

/// Covers with the printed rows that they are taken to.
struct Row {
    covers: &'static [&'static str],
    sheet_n: f64,
    shallow_ft_s: f64,
    kerby_n: f64,
}

const ROWS: [Row; 8] = [
    Row {
        covers: &[
            "roof",
            "asphalt",
            "concrete",
            "brick",
            "drive",
            "street-with-ditches",
            "gravel-road",
            "business",
            "industry",
        ],
        sheet_n: sheet::SMOOTH,
        shallow_ft_s: shallow::PAVEMENT,
        kerby_n: kerby::PAVEMENT,
    },
    Row {
        covers: &["bare-ground", "dirt-road"],
        sheet_n: sheet::SMOOTH,
        shallow_ft_s: shallow::NEARLY_BARE,
        kerby_n: kerby::BARE_SOIL,
    },
    Row {
        covers: &["lawn-poor", "pasture-poor"],
        sheet_n: sheet::SHORT_GRASS,
        shallow_ft_s: shallow::SHORT_GRASS,
        kerby_n: kerby::POOR_GRASS,
    },
    Row {
        covers: &[
            "lawn-fair",
            "pasture-fair",
            "pasture-good",
            "orchard-poor",
            "orchard-fair",
            "orchard-good",
        ],
        sheet_n: sheet::SHORT_GRASS,
        shallow_ft_s: shallow::SHORT_GRASS,
        kerby_n: kerby::PASTURE,
    },
    Row {
        covers: &[
            "lawn-good",
            "park",
            "playground",
            "farmstead",
            "homes-eighth-acre",
            "homes-quarter-acre",
            "homes-third-acre",
            "homes-half-acre",
            "homes-acre",
            "homes-two-acres",
        ],
        sheet_n: sheet::DENSE_GRASS,
        shallow_ft_s: shallow::SHORT_GRASS,
        kerby_n: kerby::PASTURE,
    },
    Row {
        covers: &["meadow"],
        sheet_n: sheet::SHORT_GRASS,
        shallow_ft_s: shallow::HAY_MEADOW,
        kerby_n: kerby::PASTURE,
    },
    Row {
        covers: &["brush-poor", "brush-fair", "brush-good", "woods-poor", "woods-fair"],
        sheet_n: sheet::LIGHT_UNDERBRUSH,
        shallow_ft_s: shallow::WOODLAND,
        kerby_n: kerby::DECIDUOUS,
    },
    Row {
        covers: &["woods-good"],
        sheet_n: sheet::DENSE_UNDERBRUSH,
        shallow_ft_s: shallow::HAY_MEADOW,
        kerby_n: kerby::DEEP_LITTER,
    },
];

/// Roofs and paving alone: a road with its ditches or a yard of a business has ground in it that holds water back.
const FAST: [&str; 5] = ["roof", "asphalt", "concrete", "brick", "drive"];

/// Figures that stand in no row, to see what a class leaves out.
fn no_row() -> Surface {
    Surface {
        sheet: SheetRoughness::new(0.123).expect("a roughness"),
        shallow: ShallowFlow::GrassedWaterway,
        retardance: Retardance::new(0.321).expect("a retardance"),
    }
}

#[test]
fn every_cover_has_the_times_of_its_printed_rows() {
    let mut cases = Cases::default();
    let table = CoverTable::built_in();
    for row in &ROWS {
        for cover in row.covers {
            let found = table.class(cover).expect("a cover of the table").surface(no_row());
            cases.near(&format!("{cover}: n of sheet flow"), found.sheet.get(), row.sheet_n, 0.0);
            cases.near(&format!("{cover}: k, ft/s"), found.shallow.constant_ft_s(), row.shallow_ft_s, 0.0);
            cases.near(&format!("{cover}: Kerby's N"), found.retardance.get(), row.kerby_n, 0.0);
        }
    }
    assert_eq!(cases.0, 3 * 36);
    let compared: BTreeSet<&str> = ROWS.iter().flat_map(|row| row.covers).copied().collect();
    assert_eq!(table.names().collect::<BTreeSet<_>>(), compared, "every cover has its rows");
}

#[test]
fn only_roofs_and_paving_shed_at_once() {
    let table = CoverTable::built_in();
    let fast: BTreeSet<&str> =
        table.names().filter(|name| table.class(name).is_ok_and(CoverClass::is_fast)).collect();
    assert_eq!(fast, FAST.into_iter().collect());
}
