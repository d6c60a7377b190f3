//! The demo: what it writes can be had again, whoever asks and however the neighbourhood lies.

#![allow(missing_docs, clippy::float_cmp, reason = "tests")]

mod again;
mod lots;
mod told;
mod town;
mod trunks;
mod turned;
