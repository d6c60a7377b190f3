//! Telling whoever waits what is being done.

/// What is being done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Reading elevations.
    Read,
    /// Filling sinks.
    Fill,
    /// Finding directions.
    Route,
    /// Tracing what reaches the lot.
    Trace,
    /// Repeating under elevation error; so many realisations are made.
    Repeat,
    /// Looking for what would settle what the repeats leave open.
    Settle,
    /// Laying out and sizing the line.
    Design,
    /// Writing the result.
    Write,
}

/// Somebody who wants to know.
pub trait Progress {
    /// A phase starts, over a window of so many cells.
    fn phase(&self, phase: Phase, cells: usize);
}

/// Nobody.
#[derive(Debug, Clone, Copy, Default)]
pub struct Silent;

impl Progress for Silent {
    fn phase(&self, _: Phase, _: usize) {}
}
