//! The library's readers of text, from its own files, without what they don't need: GDAL would take ten minutes to compile
//! and is never called here.
//!
//! Modules are those of `src/`, unchanged. What they name outside themselves and these targets never reach stands in
//! `input.rs` and `runoff.rs`. When a reader comes to need more, this doesn't compile, and more is to be taken in.

#[path = "../../src/formula/mod.rs"]
pub mod formula;
pub mod input;
pub mod runoff;
#[path = "../../src/units/mod.rs"]
pub mod units;
#[path = "../../src/warning.rs"]
pub mod warning;
