//! Prices that the user gives, in TOML or as a table with commas.

use super::item::{Item, KnownItems, Unit};
use super::price_error::{PriceError, PriceFault};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::Path;

/// Names that an error offers.
const OFFERED: usize = 5;
/// Characters of the file that an error shows.
const SHOWN: usize = 40;

/// Price of a unit of an item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Price {
    /// The unit.
    pub unit: Unit,
    /// Its price, in the list's currency.
    pub amount: f64,
    /// Line of the list that it stands in.
    line: usize,
}

/// A price list.
///
/// # Invariants
/// One price or more; prices are finite and not negative, in units that measure their items. Not both of spoil and truckload.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceList {
    currency: Option<String>,
    prices: BTreeMap<Item, Price>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    currency: Option<String>,
    #[serde(default)]
    price: Vec<Entry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    item: toml::Spanned<String>,
    unit: String,
    price: f64,
    /// For people.
    #[serde(default, rename = "note")]
    _note: String,
}

/// A row as it was written.
struct Draft<'a> {
    line: usize,
    item: &'a str,
    unit: &'a str,
    price: &'a str,
}

impl PriceList {
    /// Reads a list: a table with commas if the path ends in `.csv`, else TOML.
    ///
    /// # Errors
    /// [`PriceError`] with the line: text that isn't in the form expected, an item that there is not, a unit that doesn't measure
    /// it, a price that is none, an item twice.
    pub fn read(text: &str, path: &str, known: &KnownItems) -> Result<Self, PriceError> {
        let reader = Reader { path, known };
        let ending = Path::new(path).extension().unwrap_or_default();
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let list = if ending.eq_ignore_ascii_case("csv") { reader.table(text) } else { reader.toml(text) }?;
        if list.prices.is_empty() {
            return Err(reader.fault(0, PriceFault::Empty));
        }
        if let (Some(_), Some(second)) = (list.prices.get(&Item::Spoil), list.prices.get(&Item::Truckload)) {
            return Err(reader.fault(second.line, PriceFault::Haul));
        }
        Ok(list)
    }

    /// What prices are in, if the list says so.
    #[must_use]
    pub fn currency(&self) -> Option<&str> {
        self.currency.as_deref()
    }

    /// Price of an item.
    #[must_use]
    pub fn price(&self, item: &Item) -> Option<Price> {
        self.prices.get(item).copied()
    }
}

struct Reader<'a> {
    path: &'a str,
    known: &'a KnownItems,
}

impl Reader<'_> {
    fn fault(&self, line: usize, fault: PriceFault) -> PriceError {
        PriceError { path: self.path.to_owned(), line, fault }
    }

    fn toml(&self, text: &str) -> Result<PriceList, PriceError> {
        let document: Document =
            toml::from_str(text).map_err(|e| self.fault(0, PriceFault::Form { message: e.to_string() }))?;
        let mut list = PriceList { currency: document.currency, prices: BTreeMap::new() };
        for entry in &document.price {
            let before = text.as_bytes().iter().take(entry.item.span().start);
            let line = 1 + before.filter(|&&byte| byte == b'\n').count();
            let price = entry.price.to_string();
            let draft = Draft { line, item: entry.item.get_ref(), unit: &entry.unit, price: &price };
            self.add(&mut list, &draft)?;
        }
        Ok(list)
    }

    /// `item,unit,price` and perhaps `note`; the head's third cell may name the currency, as `price EUR`.
    fn table(&self, text: &str) -> Result<PriceList, PriceError> {
        let mut lines = (1..).zip(text.lines()).filter(|(_, line)| {
            let line = line.trim();
            !line.is_empty() && !line.starts_with('#')
        });
        let (number, head) = lines.next().ok_or_else(|| self.fault(0, PriceFault::Empty))?;
        let mut list = PriceList {
            currency: currency(head).map_err(|f| self.fault(number, f))?,
            prices: BTreeMap::new(),
        };
        for (line, text) in lines {
            let cells: Vec<&str> = text.splitn(4, ',').map(plain).collect();
            let [item, unit, price, ..] = cells[..] else {
                return Err(self.fault(line, PriceFault::Cells { found: cells.len() }));
            };
            self.add(&mut list, &Draft { line, item, unit, price })?;
        }
        Ok(list)
    }

    fn add(&self, list: &mut PriceList, draft: &Draft<'_>) -> Result<(), PriceError> {
        let name = draft.item.trim();
        let wrong = |fault| self.fault(draft.line, fault);
        let item = self
            .known
            .get(name)
            .ok_or_else(|| wrong(PriceFault::Item { item: shown(name), near: self.near(name) }))?;
        let unit = Unit::named(draft.unit.trim()).filter(|unit| item.units().contains(unit));
        let unit = unit.ok_or_else(|| {
            let (item, unit, known) = (item.name(), shown(draft.unit), item.unit_names());
            wrong(PriceFault::Unit { item, unit, known })
        })?;
        let amount =
            draft.price.trim().parse::<f64>().ok().filter(|amount| amount.is_finite() && *amount >= 0.0);
        let amount = amount
            .ok_or_else(|| wrong(PriceFault::Price { item: item.name(), found: shown(draft.price) }))?;
        if let Some(before) = list.prices.get(item) {
            return Err(wrong(PriceFault::Twice { item: item.name(), first: before.line }));
        }
        list.prices.insert(item.clone(), Price { unit, amount, line: draft.line });
        Ok(())
    }

    /// Names with the same first word, or else the first few of all.
    fn near(&self, name: &str) -> Vec<String> {
        let first = name.split('-').next().unwrap_or_default();
        let alike = |known: &&str| !first.is_empty() && known.split('-').next() == Some(first);
        let mut found: Vec<String> =
            self.known.names().filter(alike).take(OFFERED).map(str::to_owned).collect();
        if found.is_empty() {
            found = self
                .known
                .names()
                .filter(|known| !known.contains(char::is_numeric))
                .map(str::to_owned)
                .collect();
        }
        found
    }
}

/// A piece of the file for a message: its beginning, without control characters.
fn shown(text: &str) -> String {
    let mut kept = text.trim().chars();
    let beginning: String = kept.by_ref().take(SHOWN).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if kept.next().is_some() { format!("{beginning}...") } else { beginning }
}

/// A cell without white space and quotes around it.
fn plain(cell: &str) -> &str {
    let cell = cell.trim();
    cell.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(cell).trim()
}

fn currency(head: &str) -> Result<Option<String>, PriceFault> {
    let cells: Vec<String> = head.split(',').map(|cell| plain(cell).to_ascii_lowercase()).collect();
    let wrong = || PriceFault::Head { found: shown(head) };
    let names: Vec<&str> = cells.iter().map(String::as_str).collect();
    let ("item", "unit", price) = (match names[..] {
        [item, unit, price] | [item, unit, price, "note"] => (item, unit, price),
        _ => return Err(wrong()),
    }) else {
        return Err(wrong());
    };
    match price.split_whitespace().collect::<Vec<_>>()[..] {
        ["price"] => Ok(None),
        ["price", currency] => Ok(Some(currency.to_ascii_uppercase())),
        _ => Err(wrong()),
    }
}
