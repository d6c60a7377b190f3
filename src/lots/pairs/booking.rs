//! What passes each boundary crossing for the first time, and what that comes to for each pair of lots.

use super::Town;
use super::amount::Amount;
use super::forest::Forest;
use super::slivers::Sliver;
use crate::lots::Label;
use crate::lots::sheds::Leaving;
use std::collections::BTreeMap;

/// What is booked at every crossing, by its number.
#[derive(Debug)]
pub(super) struct Booking {
    /// Rain that passes, whoever's it was and however often it has been on the lot before.
    pub(super) total: Vec<Amount>,
    /// Of that, what enters the lot for the first time, without what fell on the lot itself.
    pub(super) fresh: Vec<Amount>,
    /// Cells at the edge of the data among those that it comes from.
    pub(super) fresh_edge: Vec<u32>,
    /// What fell on the lot that the water leaves here, and hasn't left it before.
    pub(super) own: Vec<Amount>,
    /// Of `own`, what fell in cells of the lot that it enters: those are its own business.
    own_of_receiver: Vec<Amount>,
    /// Of the water that leaves a lot here, what has come onto it from outside.
    pub(super) passing: Vec<Amount>,
    /// The crossing where water that leaves a lot here comes back to it.
    pub(super) back: Vec<Option<u32>>,
}

impl Booking {
    /// Books all water. Linear in the cells, times the logarithm of the crossings of a lot.
    #[expect(clippy::cast_possible_truncation, reason = "there are no more crossings than cells")]
    pub(super) fn of(
        town: &Town<'_>,
        forest: &Forest,
        slivers: &[Sliver],
        touches_edge: impl Fn(usize) -> bool,
    ) -> Self {
        let count = forest.len();
        let back = |node: usize| forest.onto(forest.node(node).from, node).map(|entry| entry as u32);
        let mut booking = Self {
            total: vec![Amount::NONE; count],
            fresh: Vec::new(),
            fresh_edge: Vec::new(),
            own: vec![Amount::NONE; count],
            own_of_receiver: vec![Amount::NONE; count],
            passing: vec![Amount::NONE; count],
            back: (0..count).map(back).collect(),
        };
        let mut edge = vec![0_u32; count];
        booking.book_cells(town, forest, &mut edge, touches_edge);
        for node in (0..count).rev() {
            if let Some(next) = forest.next(node) {
                let (total, cells) = (booking.total[node], edge[node]);
                booking.total[next] += total;
                edge[next] += cells;
            }
        }
        booking.find_fresh(town, forest, slivers, &edge);
        booking.find_passing(town, forest, slivers);
        booking
    }

    /// The ground of every cell at its first crossing.
    fn book_cells(
        &mut self,
        town: &Town<'_>,
        forest: &Forest,
        edge: &mut [u32],
        touches_edge: impl Fn(usize) -> bool,
    ) {
        for &cell in town.order.cells() {
            let cell = cell as usize;
            let Some(first) = forest.first(cell) else { continue };
            edge[first] += u32::from(touches_edge(cell));
            let own = town.lots.label(cell);
            for (label, share) in town.lots.parts(cell) {
                let amount = Amount::of_share(share);
                self.total[first] += amount;
                if label == own {
                    self.own[first] += amount;
                    continue;
                }
                // A part that isn't the cell's own lot's reaches its lot in the next cell, if that is theirs.
                let Some(receiver) = town.receiver(cell).filter(|&r| town.lots.label(r) == label) else {
                    continue;
                };
                let Some(next) = forest.first(receiver) else { continue };
                self.own[next] += amount;
                if forest.node(next).to == Some(own) {
                    self.own_of_receiver[next] += amount;
                }
            }
        }
    }

    /// Takes off what has been on the lot before, and what fell on the lot's own ground in cells of others.
    fn find_fresh(&mut self, town: &Town<'_>, forest: &Forest, slivers: &[Sliver], edge: &[u32]) {
        self.fresh.clone_from(&self.total);
        self.fresh_edge = edge.to_vec();
        for (exit, entry) in self.back.iter().enumerate() {
            if let Some(entry) = entry {
                self.fresh[*entry as usize] -= self.total[exit];
                self.fresh_edge[*entry as usize] -= edge[exit];
            }
        }
        for (entry, amount) in own_in_others(town, forest, slivers) {
            self.fresh[entry] -= amount;
        }
    }

    /// Water from outside that crosses a lot and leaves it.
    fn find_passing(&mut self, town: &Town<'_>, forest: &Forest, slivers: &[Sliver]) {
        for node in 0..forest.len() {
            if let Some(next) = forest.next(node) {
                let amount = self.fresh[node];
                self.passing[next] += amount;
            }
        }
        for sliver in slivers {
            let own = town.lots.label(sliver.cell);
            if let Some(first) = forest.first(sliver.cell) {
                let parts = town.lots.parts(sliver.cell).filter(|&(label, _)| label != own);
                let amount = parts.map(|(_, share)| Amount::of_share(share * sliver.arriving)).sum();
                self.passing[first] += amount;
            }
        }
    }

    /// What fell on the lot that hands it over, and crosses no other line before, at the entry onto `lot`.
    pub(super) fn straight(&self, entry: usize) -> Amount {
        self.own[entry] - self.own_of_receiver[entry]
    }
}

/// Parts of lots that lie in cells of others, with the entry by which their water comes home; only those that do.
pub(super) fn own_in_others<'a>(
    town: &'a Town<'_>,
    forest: &'a Forest,
    slivers: &'a [Sliver],
) -> impl Iterator<Item = (usize, Amount)> + 'a {
    parts_in_others(town, forest, slivers).map(|(_, entry, amount)| (entry, amount))
}

/// The same with the cell.
pub(super) fn parts_in_others<'a>(
    town: &'a Town<'_>,
    forest: &'a Forest,
    slivers: &'a [Sliver],
) -> impl Iterator<Item = (usize, usize, Amount)> + 'a {
    slivers.iter().flat_map(move |sliver| {
        let own = town.lots.label(sliver.cell);
        town.lots.parts(sliver.cell).filter(move |&(label, _)| label != own).filter_map(
            move |(label, share)| {
                let entry = forest.onto(label, forest.first(sliver.cell)?)?;
                Some((sliver.cell, entry, Amount::of_share(share)))
            },
        )
    })
}

/// Where the rain of each lot goes when it first leaves it.
pub(super) fn shed(
    town: &Town<'_>,
    forest: &Forest,
    booking: &Booking,
) -> BTreeMap<(Label, Leaving), Amount> {
    let mut found: BTreeMap<(Label, Leaving), Amount> = BTreeMap::new();
    for node in (0..forest.len()).filter(|&node| booking.own[node].is_some()) {
        let crossing = forest.node(node);
        let to = crossing.to.map_or_else(|| town.leaving_at(crossing.cell as usize), Leaving::Onto);
        *found.entry((crossing.from, to)).or_default() += booking.own[node];
    }
    // Parts of a lot in cells of others that don't hand on to it are shed where they lie.
    for cell in town.lots.shared_cells().filter(|&cell| town.field.is_valid(cell)) {
        let own = town.lots.label(cell);
        let next = town.receiver(cell).map(|receiver| town.lots.label(receiver));
        for (label, share) in town.lots.parts(cell).filter(|&(l, _)| l != own && Some(l) != next) {
            *found.entry((label, Leaving::Onto(own))).or_default() += Amount::of_share(share);
        }
    }
    found
}
