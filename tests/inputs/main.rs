//! Whole runs of the program on made input files whose answer is known on paper.
//!
//! Nearly every file varies one small scene (`common/scene.rs`). Each has one of two right outcomes: the numbers of
//! that scene, or a refusal that names the cause. A different number without a warning is the fault that these tests
//! are for. The expected areas are closed forms, derived beside each test; none is an earlier result of the program.

#[cfg(test)]
#[path = "../common/mod.rs"]
mod common;

#[cfg(test)]
mod antimeridian;
#[cfg(test)]
mod base;
#[cfg(test)]
mod contract;
#[cfg(test)]
mod feet;
#[cfg(test)]
mod files;
#[cfg(test)]
mod grids;
#[cfg(test)]
mod invariants;
#[cfg(test)]
mod large;
#[cfg(test)]
mod line;
#[cfg(test)]
mod outlines;
#[cfg(test)]
mod parcel_files;
#[cfg(test)]
mod reference_systems;
#[cfg(test)]
mod refusals;
#[cfg(test)]
mod shell;
#[cfg(test)]
mod turned;
#[cfg(test)]
mod units;
