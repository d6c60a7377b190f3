//! Dates of the past.

use super::maybe;
use crate::failure::Failure;
use lotshed::units::Date;
use std::time::{Duration, SystemTime};

/// The earliest zone is so many hours ahead of universal time.
const EARLIEST_ZONE_H: u64 = 14;
const DAY_H: u64 = 24;

/// The latest day that it may be anywhere by the machine's clock; nothing where that can't be right.
pub(super) fn today() -> Option<Date> {
    let since_1970: Duration = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).ok()?;
    let hours = since_1970.as_secs() / 3600 + EARLIEST_ZONE_H;
    Date::from_days_since_1970(hours / DAY_H)
}

/// The date of an option, which lies in no future.
pub(super) fn past(
    name: &'static str,
    text: Option<&String>,
    today: Option<Date>,
) -> Result<Option<Date>, Failure> {
    let date: Option<Date> = maybe(name, text)?;
    if let (Some(date), Some(today)) = (date, today)
        && today.precedes(date)
    {
        return Err(Failure::usage(format!(
            "--{name}: {date} lies in the future; by this machine's clock it is {today} at the latest"
        )));
    }
    Ok(date)
}
