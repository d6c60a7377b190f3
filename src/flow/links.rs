//! Steps that skip ground: from a roof to the place where its gutters let the water out.

/// Cells whose water goes to one other cell, wherever that lies.
///
/// # Invariants
/// Sorted, each cell once; both lists hold the same steps.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Links {
    /// From, to; by from.
    steps: Vec<(u32, u32)>,
    /// To, from; sorted.
    back: Vec<(u32, u32)>,
}

impl Links {
    /// Of steps from a cell to a cell; a cell given twice keeps the first.
    #[must_use]
    pub fn new(mut steps: Vec<(u32, u32)>) -> Self {
        steps.sort_by_key(|step| step.0);
        steps.dedup_by_key(|step| step.0);
        let mut back: Vec<(u32, u32)> = steps.iter().map(|&(from, to)| (to, from)).collect();
        back.sort_unstable();
        Self { steps, back }
    }

    /// All steps, by the cell that they start from.
    #[must_use]
    pub fn steps(&self) -> &[(u32, u32)] {
        &self.steps
    }

    /// Where a cell's water goes, if it is one of these.
    pub(super) fn target(&self, from: usize) -> Option<usize> {
        let place = self.steps.binary_search_by_key(&from, |step| step.0 as usize).ok()?;
        Some(self.steps[place].1 as usize)
    }

    /// The cells whose water comes to one.
    pub(super) fn sources(&self, to: usize) -> impl Iterator<Item = usize> + '_ {
        let start = self.back.partition_point(|step| (step.0 as usize) < to);
        self.back[start..].iter().take_while(move |step| step.0 as usize == to).map(|step| step.1 as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_found_from_both_ends() {
        let links = Links::new(vec![(9, 2), (4, 2), (7, 5), (9, 1)]);
        assert_eq!(links.target(9), Some(2));
        assert_eq!(links.target(5), None);
        assert_eq!(links.sources(2).collect::<Vec<_>>(), [4, 9]);
        assert_eq!(links.sources(1).count(), 0);
    }
}
