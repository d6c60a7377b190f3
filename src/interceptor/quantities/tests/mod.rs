//! Works by hand arithmetic.

mod by_hand;
mod laws;
mod prices;

use super::super::catalogue::{Catalogue, PipeSize};
use super::super::materials::Materials;
use super::super::trench::{PipeCount, SolidTrench, StoneTrench, TrenchRules};
use super::*;
use crate::units::{Length, Volume};

/// Round measures. 100 mm smooth: outside 110 mm, sticks of 3 m with sockets. 100 mm corrugated: outside 110 mm, coils of 10 m. 150 mm
/// corrugated: outside 180 mm, sticks of 6 m.
const PIPES: &str = r#"
[[pipe]]
nominal_mm = 100
nominal_in = 4
inside_mm = 100
outside_mm = 110
wall = "smooth"
manning_n = 0.012
solid_n = 0.010
inlet_cm2_per_m = 20
piece_m = 3
piece = "stick"
joint = "bell"
source = "test"
[[pipe]]
nominal_mm = 100
nominal_in = 4
inside_mm = 100
outside_mm = 110
wall = "corrugated"
manning_n = 0.018
solid_n = 0.015
inlet_cm2_per_m = 20
piece_m = 10
piece = "coil"
joint = "coupling"
source = "test"
[[pipe]]
nominal_mm = 150
nominal_in = 6
inside_mm = 150
outside_mm = 180
wall = "corrugated"
manning_n = 0.018
solid_n = 0.015
inlet_cm2_per_m = 20
piece_m = 6
piece = "stick"
joint = "coupling"
source = "test"
"#;

fn catalogue() -> Catalogue {
    Catalogue::from_toml(PIPES, "test").unwrap()
}

fn pipe(key: &str) -> PipeSize {
    catalogue().pipe(key).unwrap().clone()
}

fn m(value: f64) -> Length {
    Length::from_m(value)
}

fn cuts(all: &[(f64, f64)]) -> Cuts {
    Cuts::new(all.iter().map(|&(s, d)| Cut { station: m(s), depth: m(d), under: Length::ZERO }).collect())
        .unwrap()
}

fn rules(pipes: PipeCount, batter: f64) -> TrenchRules {
    TrenchRules { batter, ..TrenchRules::usual(pipes) }
}

fn stone(key: &str, rules: &TrenchRules, finish: &str) -> Section {
    let materials = Materials::built_in();
    let fabric = materials.fabric_for(10.0).unwrap().value;
    let finish = materials.finish(finish).unwrap();
    Section::Stone(StoneTrench::new(&pipe(key), rules, finish, fabric).unwrap())
}

fn solid(key: &str, rules: &TrenchRules, finish: &str) -> Section {
    let materials = Materials::built_in();
    Section::Solid(SolidTrench::new(&pipe(key), rules, materials.finish(finish).unwrap()).unwrap())
}

/// One smooth pipe under an irrigated lawn: 10 m from 0.6 to 0.8 m deep, 15 m at 0.8 m, into the open.
fn plain() -> DrainLine {
    let section = stone("100-smooth", &rules(PipeCount::One, 0.0), "irrigated-lawn");
    let leg = Leg { section, cuts: cuts(&[(0.0, 0.6), (10.0, 0.8), (25.0, 0.8)]) };
    DrainLine::new(vec![leg], vec![], End::Daylight).unwrap()
}

/// Two corrugated pipes in battered stone for 40 m, then one larger solid pipe for 12 m into a structure; bends at 20 and 46 m.
fn double() -> DrainLine {
    let upper = Leg {
        section: stone("100-corrugated", &rules(PipeCount::Two, 0.5), "unirrigated-lawn"),
        cuts: cuts(&[(0.0, 0.8), (40.0, 1.2)]),
    };
    let lower = Leg {
        section: solid("150-corrugated", &rules(PipeCount::Two, 0.5), "unirrigated-lawn"),
        cuts: cuts(&[(40.0, 1.2), (52.0, 1.0)]),
    };
    DrainLine::new(vec![upper, lower], vec![m(20.0), m(46.0)], End::Structure).unwrap()
}

/// The bill of lines in a soil, with stone 57.
fn billed(
    lines: &[DrainLine],
    soil: &str,
    settings: WorkSettings,
    prices: Option<&PriceList>,
) -> crate::warning::Warned<Bill> {
    let materials = Materials::built_in();
    let works = Works {
        lines,
        beside: &[],
        soil: materials.soil(soil).unwrap(),
        stone: materials.stone("57").unwrap(),
        settings,
    };
    bill(&works, prices).unwrap()
}

fn settings(truck_m3: f64, spacing_m: f64) -> WorkSettings {
    WorkSettings { truck: Volume::from_m3(truck_m3), cleanout_spacing: m(spacing_m), waste: Waste::usual() }
}
