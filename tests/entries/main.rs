//! The log of known traps, entry by entry, and awkward inputs beyond it.
//!
//! Forty-nine entries, each an input that has misled somebody, with the outcome that is wanted. The table runs them all
//! and prints number, title and outcome (`cargo test --release --locked --test entries -- --nocapture`). One outcome of
//! two is right: the numbers of the base scene (`../common/scene.rs`, known on paper), or a refusal that names the
//! cause; where less is known than usual, a warning says so beside the numbers. Many entries are held at greater length
//! in `tests/inputs`; here each is run once more, shortly.
//!
//! `beyond.rs` holds what the log doesn't have; `manual.rs` holds the manual page to the tests.

#[cfg(test)]
#[allow(dead_code, reason = "these tests need a part of what all share")]
#[path = "../common/mod.rs"]
mod common;

#[cfg(test)]
mod beyond;
#[cfg(test)]
mod files;
#[cfg(test)]
mod inspection;
#[cfg(test)]
mod manual;
#[cfg(test)]
mod outlines;
#[cfg(test)]
mod rasters;
#[cfg(test)]
mod systems;
#[cfg(test)]
mod tiles;

#[cfg(test)]
mod tests {
    use std::panic::catch_unwind;

    /// One entry of the log.
    pub(crate) struct Entry {
        /// Its number.
        pub(crate) number: usize,
        /// What it is about.
        pub(crate) title: &'static str,
        /// The outcome that is right.
        pub(crate) outcome: &'static str,
        /// Holds that outcome; panics if it isn't the one.
        pub(crate) hold: fn(),
    }

    #[test]
    fn all_entries_of_the_log_have_their_outcome() {
        let entries: Vec<Entry> = [
            super::systems::entries(),
            super::rasters::entries(),
            super::outlines::entries(),
            super::files::entries(),
        ]
        .into_iter()
        .flatten()
        .collect();
        let mut numbers: Vec<usize> = entries.iter().map(|entry| entry.number).collect();
        numbers.sort_unstable();
        assert_eq!(numbers, (1..=49).collect::<Vec<_>>(), "every entry is there once");
        let mut failed = Vec::new();
        for Entry { number, title, outcome, hold } in entries {
            let held = catch_unwind(hold).is_ok();
            println!("C{number:02} {title}: {}", if held { outcome } else { "NOT AS WANTED" });
            if !held {
                failed.push(number);
            }
        }
        assert!(failed.is_empty(), "entries without the wanted outcome: {failed:?}");
    }
}
