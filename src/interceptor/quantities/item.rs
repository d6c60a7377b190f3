//! What a bill has rows of, and how it is measured.

use super::super::catalogue::{Catalogue, PipeSize};
use super::super::materials::Materials;
use crate::units::{Area, Length, Mass, Volume};
use std::collections::BTreeMap;

/// A kind of row. Those with a text go by a pipe's [`super::super::catalogue::PipeSize::key`], or the name of a stone.
///
/// The order is that of the rows.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Item {
    /// Digging, in the bank.
    Excavation,
    /// Hauling away what is left over, loose.
    Spoil,
    /// The same by the load.
    Truckload,
    /// Fabric.
    Fabric,
    /// Stone of a size.
    Stone(String),
    /// Perforated pipe.
    PerforatedPipe(String),
    /// Solid pipe.
    SolidPipe(String),
    /// A coupling.
    Coupling(String),
    /// A bend in the ground plan.
    Bend(String),
    /// Two pipes into one, by their size; where lines join by that of the line that takes the other in.
    Wye(String),
    /// From one size to another, down the line.
    Reducer {
        /// The upper pipe.
        from: String,
        /// The lower one.
        to: String,
    },
    /// A cleanout: its fitting and cap.
    Cleanout(String),
    /// Pipe from a cleanout's fitting to the ground.
    Riser(String),
    /// A basin with its grate.
    Basin,
    /// A structure cored and sealed.
    TieIn(String),
    /// A guard at an open end.
    OutletGuard(String),
    /// Soil filled in again.
    Backfill,
    /// Sand under sod.
    Sand,
    /// Topsoil kept and put back.
    TopsoilBack,
    /// Topsoil brought.
    Topsoil,
    /// Sod lifted and laid again.
    SodBack,
    /// Sod brought.
    Sod,
    /// Ground seeded.
    Seed,
}

impl Item {
    /// Its name in bills and price lists.
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Self::Excavation => "excavation".to_owned(),
            Self::Spoil => "spoil".to_owned(),
            Self::Truckload => "truckload".to_owned(),
            Self::Fabric => "fabric".to_owned(),
            Self::Stone(size) => format!("stone-{size}"),
            Self::PerforatedPipe(pipe) => format!("pipe-{pipe}-perforated"),
            Self::SolidPipe(pipe) => format!("pipe-{pipe}-solid"),
            Self::Coupling(pipe) => format!("coupling-{pipe}"),
            Self::Bend(pipe) => format!("bend-{pipe}"),
            Self::Wye(pipe) => format!("wye-{pipe}"),
            Self::Reducer { from, to } => format!("reducer-{from}-to-{to}"),
            Self::Cleanout(pipe) => format!("cleanout-{pipe}"),
            Self::Riser(pipe) => format!("riser-{pipe}"),
            Self::Basin => "basin".to_owned(),
            Self::TieIn(pipe) => format!("tie-in-{pipe}"),
            Self::OutletGuard(pipe) => format!("outlet-guard-{pipe}"),
            Self::Backfill => "backfill".to_owned(),
            Self::Sand => "sand".to_owned(),
            Self::TopsoilBack => "topsoil-back".to_owned(),
            Self::Topsoil => "topsoil".to_owned(),
            Self::SodBack => "sod-back".to_owned(),
            Self::Sod => "sod".to_owned(),
            Self::Seed => "seed".to_owned(),
        }
    }

    /// Units that measure it; the first is that of a row without a price.
    #[must_use]
    pub const fn units(&self) -> &'static [Unit] {
        match self {
            Self::Excavation
            | Self::Spoil
            | Self::Backfill
            | Self::Sand
            | Self::TopsoilBack
            | Self::Topsoil => &[Unit::M3, Unit::Ft3, Unit::Yd3],
            Self::Stone(_) => &[Unit::T, Unit::ShortTon, Unit::M3, Unit::Ft3, Unit::Yd3],
            Self::Fabric | Self::SodBack | Self::Sod | Self::Seed => &[Unit::M2, Unit::Ft2, Unit::Yd2],
            Self::PerforatedPipe(_) | Self::SolidPipe(_) | Self::Riser(_) => &[Unit::M, Unit::Ft],
            Self::Truckload
            | Self::Coupling(_)
            | Self::Bend(_)
            | Self::Wye(_)
            | Self::Reducer { .. }
            | Self::Cleanout(_)
            | Self::Basin
            | Self::TieIn(_)
            | Self::OutletGuard(_) => &[Unit::Each],
        }
    }

    /// Units that measure it, in words.
    pub(super) fn unit_names(&self) -> String {
        self.units().iter().map(|unit| unit.name()).collect::<Vec<_>>().join(", ")
    }
}

/// A unit of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Pieces.
    Each,
    /// Metres.
    M,
    /// Feet.
    Ft,
    /// Square metres.
    M2,
    /// Square feet.
    Ft2,
    /// Square yards.
    Yd2,
    /// Cubic metres.
    M3,
    /// Cubic feet.
    Ft3,
    /// Cubic yards.
    Yd3,
    /// Tonnes of 1000 kg.
    T,
    /// Short tons of 2000 lb.
    ShortTon,
}

impl Unit {
    const ALL: [Self; 11] = [
        Self::Each,
        Self::M,
        Self::Ft,
        Self::M2,
        Self::Ft2,
        Self::Yd2,
        Self::M3,
        Self::Ft3,
        Self::Yd3,
        Self::T,
        Self::ShortTon,
    ];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Each => "each",
            Self::M => "m",
            Self::Ft => "ft",
            Self::M2 => "m2",
            Self::Ft2 => "ft2",
            Self::Yd2 => "yd2",
            Self::M3 => "m3",
            Self::Ft3 => "ft3",
            Self::Yd3 => "yd3",
            Self::T => "t",
            Self::ShortTon => "short-ton",
        }
    }

    /// The unit of a name.
    pub(super) fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.name() == name)
    }
}

/// How much of an item there is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Pieces.
    Each(u32),
    /// By length.
    Length(Length),
    /// By area.
    Area(Area),
    /// By volume.
    Volume(Volume),
    /// Stone is bought by mass or by volume.
    Placed(Volume, Mass),
}

impl Amount {
    /// The number in a unit; `None` for one that doesn't measure it.
    #[must_use]
    pub fn in_unit(self, unit: Unit) -> Option<f64> {
        match (self, unit) {
            (Self::Each(count), Unit::Each) => Some(f64::from(count)),
            (Self::Length(length), Unit::M) => Some(length.as_m()),
            (Self::Length(length), Unit::Ft) => Some(length.as_ft()),
            (Self::Area(area), Unit::M2) => Some(area.as_m2()),
            (Self::Area(area), Unit::Ft2) => Some(area.as_ft2()),
            (Self::Area(area), Unit::Yd2) => Some(area.as_yd2()),
            (Self::Volume(volume) | Self::Placed(volume, _), Unit::M3) => Some(volume.as_m3()),
            (Self::Volume(volume) | Self::Placed(volume, _), Unit::Ft3) => Some(volume.as_ft3()),
            (Self::Volume(volume) | Self::Placed(volume, _), Unit::Yd3) => Some(volume.as_yd3()),
            (Self::Placed(_, mass), Unit::T) => Some(mass.as_t()),
            (Self::Placed(_, mass), Unit::ShortTon) => Some(mass.as_short_ton()),
            _ => None,
        }
    }

    pub(super) fn is_none(self) -> bool {
        match self {
            Self::Each(count) => count == 0,
            Self::Length(length) => length.as_m() <= 0.0,
            Self::Area(area) => area.as_m2() <= 0.0,
            // A cubic centimetre is what rounding leaves.
            Self::Volume(volume) | Self::Placed(volume, _) => volume.as_m3() <= 1e-6,
        }
    }
}

/// All items that a catalogue and a table of materials make possible, by name.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownItems(BTreeMap<String, Item>);

impl KnownItems {
    /// Items of these sizes and stones.
    #[must_use]
    pub fn of(catalogue: &Catalogue, materials: &Materials) -> Self {
        let mut all = vec![
            Item::Excavation,
            Item::Spoil,
            Item::Truckload,
            Item::Fabric,
            Item::Basin,
            Item::Backfill,
            Item::Sand,
            Item::TopsoilBack,
            Item::Topsoil,
            Item::SodBack,
            Item::Sod,
            Item::Seed,
        ];
        all.extend(materials.stones().map(|size| Item::Stone(size.to_owned())));
        for pipe in catalogue.pipes() {
            let of_pipe = [
                Item::PerforatedPipe,
                Item::SolidPipe,
                Item::Coupling,
                Item::Bend,
                Item::Wye,
                Item::Cleanout,
                Item::Riser,
                Item::TieIn,
                Item::OutletGuard,
            ];
            all.extend(of_pipe.map(|make| make(pipe.key())));
            let others = catalogue.pipes().iter().map(PipeSize::key).filter(|key| *key != pipe.key());
            all.extend(others.map(|to| Item::Reducer { from: pipe.key(), to }));
        }
        Self(all.into_iter().map(|item| (item.name(), item)).collect())
    }

    /// The item of a name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Item> {
        self.0.get(name)
    }

    /// All names, sorted.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.0.keys().map(String::as_str)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // A bill takes the amount in the unit of the price: every unit that an item may have must measure it.
    #[test]
    fn every_unit_of_an_item_measures_it() {
        let known = KnownItems::of(&Catalogue::ordinary().unwrap(), &Materials::built_in());
        let mut compared = 0;
        for name in known.names() {
            let units = known.get(name).unwrap().units();
            let amount = match units[0] {
                Unit::Each => Amount::Each(3),
                Unit::M => Amount::Length(Length::from_m(3.0)),
                Unit::M2 => Amount::Area(Area::from_m2(3.0)),
                Unit::M3 => Amount::Volume(Volume::from_m3(3.0)),
                _ => Amount::Placed(Volume::from_m3(3.0), Mass::from_t(3.0)),
            };
            for &unit in units {
                assert!(amount.in_unit(unit).is_some_and(|number| number > 0.0), "{name} in {}", unit.name());
                assert_eq!(Unit::named(unit.name()), Some(unit));
                compared += 1;
            }
            assert_eq!(known.get(name).unwrap().name(), name);
        }
        assert!(compared > 150, "{compared}");
        assert_eq!(Amount::Each(3).in_unit(Unit::M), None);
        assert_eq!(Amount::Volume(Volume::from_m3(1.0)).in_unit(Unit::T), None);
    }
}
