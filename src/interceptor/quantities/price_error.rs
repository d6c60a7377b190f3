//! What can be wrong with a price list.

use super::super::shown::place;

/// A price list that can't be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
#[error("{path}{}: {fault}", place(*line))]
#[diagnostic(help("docs/prices.md shows the form, and names every item"))]
pub struct PriceError {
    /// The file as typed.
    pub path: String,
    /// Line, from 1; 0 when what is wrong has no place of its own.
    pub line: usize,
    /// What is wrong.
    pub fault: PriceFault,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PriceFault {
    /// Not in the form that is expected.
    #[error("{message}")]
    Form {
        /// What is wrong and where, from the reader of the form.
        message: String,
    },
    /// A first line that isn't the head of a price list.
    #[error("the head is \"{found}\"; expected item,unit,price or item,unit,price,note")]
    Head {
        /// What was found.
        found: String,
    },
    /// A row with more or fewer cells than the head.
    #[error(
        "the row has {found} cells, and the head names {expected}; a cell with a comma in it stands in quotes, and a price has a decimal point"
    )]
    Cells {
        /// Number found.
        found: usize,
        /// Number of the head.
        expected: usize,
    },
    /// A note that may be the decimals of the price.
    #[error(
        "\"{found}\" may be a price with a decimal comma, or a price and a note; give the price a decimal point, or the note a word"
    )]
    Note {
        /// Price and note.
        found: String,
    },
    /// A currency that is none.
    #[error("the currency is \"{found}\"; expected a sign or a short word without digits, as EUR")]
    Currency {
        /// What was found.
        found: String,
    },
    /// An item that there is not.
    #[error("there is no item \"{item}\"{}", like(near))]
    Item {
        /// The item found.
        item: String,
        /// Names that begin alike.
        near: Vec<String>,
    },
    /// A unit that doesn't measure the item.
    #[error("{item} is not measured in \"{unit}\"; expected one of {known}")]
    Unit {
        /// The item.
        item: String,
        /// The unit found.
        unit: String,
        /// Units that do.
        known: String,
    },
    /// A price that is none.
    #[error(
        "the price of {item} is \"{found}\"; expected a number of 0 or more, with a decimal point and no sign of money"
    )]
    Price {
        /// The item.
        item: String,
        /// What was found.
        found: String,
    },
    /// An item twice.
    #[error("{item} has a price already, in line {first}")]
    Twice {
        /// The item.
        item: String,
        /// Line of the first price.
        first: usize,
    },
    /// Hauling priced in two ways.
    #[error(
        "spoil and truckload both have a price; both are the hauling away of what is left over, so keep one"
    )]
    Haul,
    /// No price in it.
    #[error("there is no price in it")]
    Empty,
}

fn like(near: &[String]) -> String {
    if near.is_empty() { String::new() } else { format!("; there are, among others, {}", near.join(", ")) }
}
