//! Quantities and checked parameters: numbers that know their unit.
//!
//! A quantity keeps one private number in SI and is made and read by constructors and getters that name the unit, so
//! that a foot can't be taken for a metre. A parameter is a number with a range, checked once when it is made. Inside
//! one formula the values are unpacked to locals with unit suffixes, so that the equation can be held against the
//! book line by line.

mod date;
mod grade;
mod parameter;
mod parse;
mod quantity;

pub use date::{Date, DateError};
pub use parameter::{
    CurveNumber, Grade, ManningN, OutOfRange, PondShare, Retardance, ReturnPeriod, RunoffCoefficient, Share,
    SheetRoughness, SoilGroup,
};
pub use parse::UnitParseError;
pub use quantity::{Area, Flow, Length, Mass, RainIntensity, Time, Velocity, Volume};
