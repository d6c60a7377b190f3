//! A line on the terminal that says what is being done; nothing where there is no terminal.

use crate::render::{Voice, say};
use indicatif::{ProgressBar, ProgressStyle};
use lotshed::pipeline::{Phase, Progress};
use std::io::IsTerminal;
use std::time::Duration;

pub(crate) struct Screen {
    bar: Option<ProgressBar>,
    voice: Voice,
}

impl Screen {
    pub(crate) fn new(voice: Voice) -> Self {
        let shown = voice != Voice::Quiet && std::io::stderr().is_terminal();
        let bar = shown.then(|| {
            let bar = ProgressBar::new_spinner();
            if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} ({elapsed})") {
                bar.set_style(style);
            }
            bar.enable_steady_tick(Duration::from_millis(100));
            bar
        });
        Self { bar, voice }
    }

    pub(crate) fn done(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

impl Progress for Screen {
    fn phase(&self, phase: Phase, cells: usize) {
        let what = match phase {
            Phase::Read => "reading elevations",
            Phase::Fill => "filling sinks",
            Phase::Route => "finding directions",
            Phase::Trace => "tracing what reaches the lots",
            Phase::Repeat => "repeating under elevation error",
            Phase::Settle => "looking for what would settle it",
            Phase::Design => "laying out the line",
            Phase::Write => "writing",
        };
        let of_what = if phase == Phase::Repeat { "realisations" } else { "cells" };
        let text = if cells > 0 { format!("{what}, {cells} {of_what}") } else { what.to_owned() };
        match &self.bar {
            Some(bar) => bar.set_message(text),
            None if self.voice == Voice::Verbose => say(&format!("{text}\n")),
            None => {}
        }
    }
}
