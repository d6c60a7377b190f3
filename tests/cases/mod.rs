//! Comparisons with printed numbers, counted.

/// Number of comparisons made; every test asserts how many it should be.
#[derive(Default)]
pub(crate) struct Cases(pub(crate) usize);

impl Cases {
    /// Holds a number against the printed one.
    pub(crate) fn near(&mut self, what: &str, found: f64, printed: f64, tolerance: f64) {
        assert!(
            (found - printed).abs() <= tolerance,
            "{what}: found {found}, printed {printed} +- {tolerance}"
        );
        self.0 += 1;
    }
}
