//! From works to rows.

use super::deep::deep_trenches;
use super::error::QuantityError;
use super::fittings::Fittings;
use super::item::{Amount, Item};
use super::line::whole_up;
use super::notes::Notes;
use super::prices::PriceList;
use super::take_off::{TakeOff, take_off};
use super::works::{Beside, Works};
use crate::units::Length;
use crate::warning::{Warned, Warning, named};
use serde::Serialize;
use std::collections::BTreeMap;

/// What no bill of ours holds.
pub const EXCLUSIONS: [&str; 14] = [
    "permits, fees, and the consent of those who own what receives the water",
    "locating of public utilities and of private lines, and work around them",
    "rock, boulders, buried concrete and other obstacles, unless they are the soil that the bill is for",
    "roots, trees, shrubs, and their protection or replacement",
    "shoring or battering that the ground or the law asks for beyond the section given",
    "ground water and rain in the open trench",
    "contaminated soil; the fees of the tip, unless they are in the price of hauling",
    "paving, walks, fences, walls, lighting and irrigation taken up and put back",
    "repair of structures that the line is tied into, beyond the cored hole and its seal",
    "stone and firm ground where a pipe ends in the open, beyond the outlet guard",
    "storage and pump chambers, their pumps, power, alarms and the pipe that the water is pumped through",
    "watering and care of sod and seed until they have grown in",
    "mobilisation, supervision, insurance, taxes and profit, unless they are in the prices",
    "survey, staking, and measurement of what was built",
];

/// What holds of every trench, however shallow; OSHA, 29 CFR 1926.651(b) and (j) (from memory).
pub const CAUTIONS: [&str; 2] = [
    "before any digging have public utilities marked (in the United States a free call to 811, some working days before) and private lines found: sprinklers, lighting, gas and power to sheds, sewer laterals; dig by hand near the marks",
    "the wall of a trench can fall at any depth: keep spoil and machines back from the edge (0.6 m, 2 ft), and nobody in it alone",
];

/// One row.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// What: a name that price lists know.
    pub item: String,
    /// Unit of the quantity: that of the price, if there is one.
    pub unit: &'static str,
    /// Measured, without waste.
    pub quantity: f64,
    /// What is reckoned beyond it, in percent of it.
    pub waste_percent: f64,
    /// What is bought: quantity and waste, of pipe in the line as many whole pieces as hold that.
    pub ordered: f64,
    /// Price of a unit; `None` without one.
    pub unit_price: Option<f64>,
    /// Price of what is bought.
    pub amount: Option<f64>,
    /// What it rests on.
    pub note: String,
    /// What is measured, in whatever unit is asked for.
    #[serde(skip)]
    pub measured: Amount,
}

/// A bill of quantities.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bill {
    /// Its rows, in the order of the work.
    pub rows: Vec<Row>,
    /// Currency of the price list, if it says one.
    pub currency: Option<String>,
    /// What is not in it.
    pub exclusions: &'static [&'static str],
    /// What to heed before anybody digs.
    pub cautions: &'static [&'static str],
}

impl Bill {
    /// Sum of the priced rows; `None` when none is.
    #[must_use]
    pub fn total(&self) -> Option<f64> {
        let amounts = self.rows.iter().filter_map(|row| row.amount);
        amounts.reduce(|sum, amount| sum + amount)
    }

    /// The row of an item.
    #[must_use]
    pub fn row(&self, item: &Item) -> Option<&Row> {
        let name = item.name();
        self.rows.iter().find(|row| row.item == name)
    }

    /// Has the row of the excavation tell that trenches lie beside each other over so much.
    #[must_use]
    pub fn with_shared_trench(mut self, shared: Length) -> Self {
        let name = Item::Excavation.name();
        if let Some(row) = self.rows.iter_mut().find(|row| row.item == name) {
            let shared_m = shared.as_m();
            let told = format!("; over {shared_m:.1} m two trenches lie within one's width: billed twice");
            row.note.push_str(&told);
        }
        self
    }

    /// What the total is without. Spoil and truckloads are two ways to price one thing: one of them is enough.
    #[must_use]
    pub fn unpriced(&self) -> Vec<&str> {
        let haul = [Item::Spoil.name(), Item::Truckload.name()];
        let is_haul = |row: &&Row| haul.contains(&row.item);
        let hauled: Vec<&Row> = self.rows.iter().filter(is_haul).collect();
        let not_hauled = !hauled.is_empty() && hauled.iter().all(|row| row.amount.is_none());
        let open = self.rows.iter().filter(|row| row.amount.is_none() && !is_haul(row));
        not_hauled
            .then_some("spoil or truckload")
            .into_iter()
            .chain(open.map(|row| row.item.as_str()))
            .collect()
    }
}

/// Measures works and prices them.
///
/// # Method
/// [`take_off`] for volumes and areas; pipes, fittings and cleanouts counted line by line. What is left over is hauled loose, by
/// the soil's swell; loads are whole. Stone goes by its loose mass. Pipe in the line is bought in whole pieces; a riser is cut from
/// what is left, or bought by length. A row is given in the unit of its price.
///
/// # Errors
/// [`QuantityError`] for settings that can't be, or a price in a unit that doesn't measure its item. Warnings say where the trench is
/// so deep that rules ask for something, and what a price list leaves without a price.
pub fn bill(works: &Works<'_>, prices: Option<&PriceList>) -> Result<Warned<Bill>, QuantityError> {
    works.settings.check()?;
    let taken: TakeOff =
        works.lines.iter().map(take_off).chain(works.beside.iter().map(Beside::take_off)).sum();
    let mut fittings = Fittings::default();
    for line in works.lines {
        fittings.add(line, works.settings.cleanout_spacing)?;
    }
    let notes = Notes::of(works, &taken);
    let mut amounts = volumes(works, &taken);
    amounts.extend(fittings.lengths.into_iter().map(|(item, length)| (item, Amount::Length(length))));
    amounts.extend(fittings.counts.into_iter().map(|(item, count)| (item, Amount::Each(count))));
    let basins = works.beside.iter().map(|beside| beside.basins).sum();
    amounts.insert(Item::Basin, Amount::Each(basins));
    let rows = amounts
        .into_iter()
        .filter(|(_, amount)| !amount.is_none())
        .map(|(item, amount)| row(&item, amount, works.settings.waste.of(&item), prices, &notes))
        .collect::<Result<Vec<Row>, QuantityError>>()?;
    let currency = prices.and_then(|list| list.currency().map(str::to_owned));
    let bill = Bill { rows, currency, exclusions: &EXCLUSIONS, cautions: &CAUTIONS };
    let mut warnings = deep_trenches(works.lines);
    if prices.is_some() {
        warnings.extend(without_price(&bill));
    }
    Ok(Warned::new(bill, warnings))
}

fn without_price(bill: &Bill) -> Vec<Warning> {
    let open = bill.unpriced();
    if open.is_empty() {
        return Vec::new();
    }
    let message = format!("the price list has no price for {}; the total is without them", named(&open));
    vec![Warning::new(
        "prices-missing",
        message,
        "add them to the price list under these names; of spoil and truckload only one",
    )]
}

fn volumes(works: &Works<'_>, taken: &TakeOff) -> BTreeMap<Item, Amount> {
    let loose = works.soil.loose(taken.spoil);
    BTreeMap::from([
        (Item::Excavation, Amount::Volume(taken.dug)),
        (Item::Spoil, Amount::Volume(loose)),
        (Item::Truckload, Amount::Each(whole_up(loose.as_m3() / works.settings.truck.as_m3()))),
        (Item::Fabric, Amount::Area(taken.fabric)),
        (
            Item::Stone(works.stone.name().to_owned()),
            Amount::Placed(taken.stone, works.stone.mass(taken.stone)),
        ),
        (Item::Backfill, Amount::Volume(taken.backfill)),
        (Item::Sand, Amount::Volume(taken.sand)),
        (Item::TopsoilBack, Amount::Volume(taken.topsoil_back)),
        (Item::Topsoil, Amount::Volume(taken.topsoil_new)),
        (Item::SodBack, Amount::Area(taken.sod_back)),
        (Item::Sod, Amount::Area(taken.sod_new)),
        (Item::Seed, Amount::Area(taken.seed)),
    ])
}

fn row(
    item: &Item,
    amount: Amount,
    waste_percent: f64,
    prices: Option<&PriceList>,
    notes: &Notes<'_>,
) -> Result<Row, QuantityError> {
    let price = prices.and_then(|list| list.price(item));
    let unit = price.map_or(item.units()[0], |price| price.unit);
    let number = |amount: Amount| {
        amount.in_unit(unit).ok_or_else(|| QuantityError::Unit { item: item.name(), unit: unit.name() })
    };
    let quantity = number(amount)?;
    let ordered = match notes.whole_pieces(item, amount) {
        Some(pieces) => number(Amount::Length(pieces.length()))?,
        None => quantity * (1.0 + waste_percent / 100.0),
    };
    let unit_price = price.map(|price| price.amount);
    Ok(Row {
        item: item.name(),
        unit: unit.name(),
        quantity,
        waste_percent,
        ordered,
        unit_price,
        amount: unit_price.map(|price| cents(price * ordered)),
        note: notes.note(item, amount),
        measured: amount,
    })
}

/// An amount as it is printed: a total is the sum of what stands above it.
fn cents(amount: f64) -> f64 {
    (amount * 100.0).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::super::super::materials::Materials;
    use super::super::works::WorkSettings;
    use super::*;

    // It can't be by a list that was held against its items; if it were, no row of 0 may hide it.
    #[test]
    fn what_a_unit_does_not_measure_is_refused() {
        let materials = Materials::built_in();
        let (soil, stone) = (materials.soil("loam").unwrap(), materials.stone("57").unwrap());
        let works = Works { lines: &[], beside: &[], soil, stone, settings: WorkSettings::usual() };
        let taken = TakeOff::default();
        let refused = row(&Item::Fabric, Amount::Each(3), 0.0, None, &Notes::of(&works, &taken));
        assert_eq!(refused, Err(QuantityError::Unit { item: "fabric".to_owned(), unit: "m2" }));
    }
}
