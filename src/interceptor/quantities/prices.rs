//! Prices that the user gives, in TOML or as a table with commas.

use super::super::shown::{line_at, shown, toml_fault};
use super::item::{Item, KnownItems, Unit};
use super::price_error::{PriceError, PriceFault};
use csv::{ReaderBuilder, StringRecord, Trim};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::Path;

/// Names that an error offers.
const OFFERED: usize = 5;
/// Characters of a currency.
const LONGEST_CURRENCY: usize = 8;

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
    currency: Option<toml::Spanned<String>>,
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
        let document: Document = toml::from_str(text).map_err(|e| {
            let (line, message) = toml_fault(&e, text);
            self.fault(line, PriceFault::Form { message })
        })?;
        let currency = document.currency.map(|currency| {
            let line = line_at(text, currency.span().start);
            is_word(currency.get_ref()).map_err(|fault| self.fault(line, fault))
        });
        let mut list = PriceList { currency: currency.transpose()?, prices: BTreeMap::new() };
        for entry in &document.price {
            let line = line_at(text, entry.item.span().start);
            let price = entry.price.to_string();
            let draft = Draft { line, item: entry.item.get_ref(), unit: &entry.unit, price: &price };
            self.add(&mut list, &draft)?;
        }
        Ok(list)
    }

    /// `item,unit,price` and perhaps `note`; the head's third cell may name the currency, as `price EUR`. A row is a line, and
    /// has as many cells as the head: a decimal comma makes one more.
    fn table(&self, text: &str) -> Result<PriceList, PriceError> {
        let mut lines = (1..).zip(text.lines()).filter(|(_, line)| {
            let line = line.trim();
            !line.is_empty() && !line.starts_with('#')
        });
        let (number, text) = lines.next().ok_or_else(|| self.fault(0, PriceFault::Empty))?;
        let wrong = |fault| self.fault(number, fault);
        let head = cells(text).map_err(wrong)?;
        let mut list = PriceList { currency: currency(&head, text).map_err(wrong)?, prices: BTreeMap::new() };
        let expected = head.len();
        for (line, text) in lines {
            let row = cells(text).map_err(|fault| self.fault(line, fault))?;
            let found = row.len();
            if found != expected {
                return Err(self.fault(line, PriceFault::Cells { found, expected }));
            }
            let note = row.get(3).unwrap_or_default();
            if !note.is_empty() && note.chars().all(|c| c.is_ascii_digit()) {
                let found = shown(&format!("{},{note}", &row[2]));
                return Err(self.fault(line, PriceFault::Note { found }));
            }
            self.add(&mut list, &Draft { line, item: &row[0], unit: &row[1], price: &row[2] })?;
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

    /// Names with the same first word, or else some without a size in them.
    fn near(&self, name: &str) -> Vec<String> {
        let first = name.split('-').next().unwrap_or_default();
        let alike = |known: &&str| !first.is_empty() && known.split('-').next() == Some(first);
        let some = |wanted: &dyn Fn(&&str) -> bool| {
            self.known.names().filter(wanted).take(OFFERED).map(str::to_owned).collect::<Vec<_>>()
        };
        let found = some(&alike);
        if found.is_empty() { some(&|known| !known.contains(char::is_numeric)) } else { found }
    }
}

/// The cells of a line, without white space and quotes around them.
fn cells(line: &str) -> Result<StringRecord, PriceFault> {
    let mut reader = ReaderBuilder::new().has_headers(false).trim(Trim::All).from_reader(line.as_bytes());
    let mut row = StringRecord::new();
    let read = reader.read_record(&mut row);
    read.map_err(|e| PriceFault::Form { message: shown(&e.to_string()) })?;
    row.trim();
    Ok(row)
}

/// The currency that a head names.
fn currency(head: &StringRecord, line: &str) -> Result<Option<String>, PriceFault> {
    let wrong = || PriceFault::Head { found: shown(line) };
    let names: Vec<String> = head.iter().map(str::to_ascii_lowercase).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let (["item", "unit", price] | ["item", "unit", price, "note"]) = names[..] else { return Err(wrong()) };
    match price.split_whitespace().collect::<Vec<_>>()[..] {
        ["price"] => Ok(None),
        ["price", currency] => is_word(&currency.to_ascii_uppercase()).map(Some),
        _ => Err(wrong()),
    }
}

/// A currency is a short word, as `EUR` or a sign.
fn is_word(currency: &str) -> Result<String, PriceFault> {
    let currency = currency.trim();
    let plain = |c: char| !c.is_control() && !c.is_whitespace() && !c.is_ascii_digit();
    if !currency.is_empty() && currency.chars().count() <= LONGEST_CURRENCY && currency.chars().all(plain) {
        Ok(currency.to_owned())
    } else {
        Err(PriceFault::Currency { found: shown(currency) })
    }
}
