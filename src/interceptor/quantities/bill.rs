//! From works to rows.

use super::error::QuantityError;
use super::fittings::Fittings;
use super::item::{Amount, Item};
use super::line::whole_up;
use super::notes::Notes;
use super::prices::PriceList;
use super::take_off::{TakeOff, take_off};
use super::works::Works;
use crate::warning::{Warned, Warning, named};
use serde::Serialize;
use std::collections::BTreeMap;

/// What no bill of ours holds.
pub const EXCLUSIONS: [&str; 12] = [
    "permits, fees, and the consent of those who own what receives the water",
    "locating of public utilities and of private lines, and work around them",
    "rock, boulders, buried concrete and other obstacles",
    "roots, trees, shrubs, and their protection or replacement",
    "shoring or battering that the ground or the law asks for beyond the section given",
    "ground water and rain in the open trench",
    "contaminated soil, and the fees of the tip",
    "paving, walks, fences, walls, lighting and irrigation taken up and put back",
    "repair of structures that the line is tied into, beyond the cored hole and its seal",
    "watering and care of sod and seed until they have grown in",
    "mobilisation, supervision, insurance, taxes and profit, unless they are in the prices",
    "survey, staking, and measurement of what was built",
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
    /// What is bought beyond it, in percent of it.
    pub waste_percent: f64,
    /// Price of a unit; `None` without one.
    pub unit_price: Option<f64>,
    /// Price of quantity and waste.
    pub amount: Option<f64>,
    /// What it rests on.
    pub note: String,
}

impl Row {
    /// What is bought: quantity and waste.
    #[must_use]
    pub fn ordered(&self) -> f64 {
        self.quantity * (1.0 + self.waste_percent / 100.0)
    }
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

    /// Items without a price.
    pub fn unpriced(&self) -> impl Iterator<Item = &str> {
        self.rows.iter().filter(|row| row.amount.is_none()).map(|row| row.item.as_str())
    }
}

/// Measures works and prices them.
///
/// # Method
/// [`take_off`] for volumes and areas; pipes, fittings and cleanouts counted line by line. What is left over is hauled loose, by
/// the soil's swell; loads are whole. Stone goes by its loose mass. A row is given in the unit of its price.
///
/// # Errors
/// [`QuantityError`] for settings that can't be. A warning names what a price list leaves without a price.
pub fn bill(works: &Works<'_>, prices: Option<&PriceList>) -> Result<Warned<Bill>, QuantityError> {
    works.settings.check()?;
    let taken: TakeOff = works.lines.iter().map(take_off).sum();
    let mut fittings = Fittings::default();
    for line in works.lines {
        fittings.add(line, works.settings.cleanout_spacing)?;
    }
    let notes = Notes::of(works, &taken);
    let mut amounts = volumes(works, &taken);
    amounts.extend(fittings.lengths.into_iter().map(|(item, length)| (item, Amount::Length(length))));
    amounts.extend(fittings.counts.into_iter().map(|(item, count)| (item, Amount::Each(count))));
    let rows: Vec<Row> = amounts
        .into_iter()
        .filter(|(_, amount)| !amount.is_none())
        .map(|(item, amount)| {
            let note = notes.note(&item, amount);
            row(&item, amount, works.settings.waste.of(&item), prices, note)
        })
        .collect();
    let currency = prices.and_then(|list| list.currency().map(str::to_owned));
    let bill = Bill { rows, currency, exclusions: &EXCLUSIONS };
    let warnings = if prices.is_some() { without_price(&bill) } else { Vec::new() };
    Ok(Warned::new(bill, warnings))
}

/// Spoil and truckloads are two ways to price one thing: one of them is enough.
fn without_price(bill: &Bill) -> Vec<Warning> {
    let haul = [Item::Spoil.name(), Item::Truckload.name()];
    let missing: Vec<&str> = bill.unpriced().collect();
    let hauled = !haul.iter().all(|name| missing.contains(&name.as_str()));
    let open: Vec<&str> =
        missing.into_iter().filter(|item| !(hauled && haul.iter().any(|name| name == item))).collect();
    if open.is_empty() {
        return Vec::new();
    }
    let message = format!("the price list has no price for {}; the total is without them", named(&open));
    vec![Warning::new("prices-missing", message, "add them to the price list under these names")]
}

fn volumes(works: &Works<'_>, taken: &TakeOff) -> BTreeMap<Item, Amount> {
    let loose = works.soil.loose(taken.spoil);
    BTreeMap::from([
        (Item::Excavation, Amount::Volume(taken.dug)),
        (Item::Spoil, Amount::Volume(loose)),
        (Item::Truckload, Amount::Each(whole_up(loose.as_m3() / works.settings.truck.as_m3()))),
        (Item::Fabric, Amount::Area(taken.fabric)),
        (
            Item::Stone(works.stone_name.to_owned()),
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

fn row(item: &Item, amount: Amount, waste: f64, prices: Option<&PriceList>, note: String) -> Row {
    let price = prices.and_then(|list| list.price(item));
    let unit = price.map_or(item.units()[0], |price| price.unit);
    // A list's units were held against the item's when it was read.
    let quantity = amount.in_unit(unit).unwrap_or_default();
    let mut row = Row {
        item: item.name(),
        unit: unit.name(),
        quantity,
        waste_percent: waste,
        unit_price: price.map(|price| price.amount),
        amount: None,
        note,
    };
    row.amount = row.unit_price.map(|price| price * row.ordered());
    row
}
