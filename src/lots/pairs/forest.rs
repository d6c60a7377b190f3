//! The forest of boundary crossings: every step of water over a lot line, each with the next one on its way down.
//!
//! A crossing is a cell whose receiver belongs to another lot, or at which water leaves the ground. Every cell's water passes a
//! first crossing; from there on its way is that of the crossing. So whatever is asked of ways can be asked of a few per
//! cent of the cells.

use super::Town;
use crate::lots::Label;

/// No crossing.
const NONE: u32 = u32::MAX;

/// One boundary crossing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    /// The last cell before the line.
    pub(super) cell: u32,
    /// The crossing that its water comes to next; itself where it leaves the ground.
    parent: u32,
    /// The lot that it leaves.
    pub(super) from: Label,
    /// The lot that it enters; nothing where it leaves the ground.
    pub(super) to: Option<Label>,
    /// Crossings above it come right after it in the order of the forest: from its own place up to here.
    place: u32,
    end: u32,
    /// The next crossing further down that enters the same lot.
    again: u32,
}

/// All crossings. A crossing's number is larger than that of the next one on its way down.
#[derive(Debug)]
pub(super) struct Forest {
    nodes: Vec<Node>,
    /// First crossing of every cell's water.
    first: Vec<u32>,
    /// Crossings onto each lot by place, one lot after the other.
    entries: Vec<u32>,
    /// Where each lot's crossings start in `entries`.
    starts: Vec<usize>,
}

impl Forest {
    /// Finds the crossings. Linear in the cells.
    #[expect(clippy::cast_possible_truncation, reason = "grids have fewer than 2^32 cells")]
    pub(super) fn of(town: &Town<'_>) -> Self {
        let mut nodes: Vec<Node> = Vec::new();
        let mut first = vec![NONE; town.lots.shape().len()];
        for &cell in town.order.cells().iter().rev() {
            let from = town.lots.label(cell as usize);
            let receiver = town.receiver(cell as usize);
            let to = receiver.map(|receiver| town.lots.label(receiver));
            first[cell as usize] = if to == Some(from) {
                first[receiver.unwrap_or_default()]
            } else {
                let own = nodes.len() as u32;
                let parent = receiver.map_or(own, |receiver| first[receiver]);
                nodes.push(Node { cell, parent, from, to, place: 0, end: 0, again: NONE });
                own
            };
        }
        let mut forest = Self { nodes, first, entries: Vec::new(), starts: Vec::new() };
        forest.number();
        forest.list_entries();
        forest
    }

    /// Places such that the crossings above each one follow it without a gap.
    fn number(&mut self) {
        let mut sizes = vec![1_u32; self.nodes.len()];
        for node in (0..self.nodes.len()).rev() {
            if let Some(parent) = self.next(node) {
                sizes[parent] += sizes[node];
            }
        }
        let mut root_place = 0;
        // Where the next crossing above each one goes.
        let mut free = vec![0_u32; self.nodes.len()];
        for node in 0..self.nodes.len() {
            let place = match self.next(node) {
                Some(parent) => &mut free[parent],
                None => &mut root_place,
            };
            let own = *place;
            *place += sizes[node];
            free[node] = own + 1;
            (self.nodes[node].place, self.nodes[node].end) = (own, own + sizes[node]);
        }
    }

    /// Lists the entries of each lot, and finds to each the next one onto the same lot.
    #[expect(clippy::cast_possible_truncation, reason = "there are no more crossings than cells")]
    fn list_entries(&mut self) {
        let mut list: Vec<u32> =
            (0..self.nodes.len() as u32).filter(|&n| self.nodes[n as usize].to.is_some()).collect();
        list.sort_unstable_by_key(|&n| (self.nodes[n as usize].to, self.nodes[n as usize].place));
        let lots = list.last().and_then(|&n| self.nodes[n as usize].to).map_or(0, |to| to.number() + 1);
        let number = |forest: &Self, n: u32| forest.nodes[n as usize].to.map_or(0, Label::number);
        self.starts = (0..=lots).map(|lot| list.partition_point(|&n| number(self, n) < lot)).collect();
        for lot in 0..lots {
            let mut open: Vec<u32> = Vec::new();
            for &entry in &list[self.starts[lot]..self.starts[lot + 1]] {
                let place = self.nodes[entry as usize].place;
                while open.last().is_some_and(|&below| self.nodes[below as usize].end <= place) {
                    open.pop();
                }
                self.nodes[entry as usize].again = open.last().copied().unwrap_or(NONE);
                open.push(entry);
            }
        }
        self.entries = list;
    }

    pub(super) const fn len(&self) -> usize {
        self.nodes.len()
    }

    pub(super) fn node(&self, node: usize) -> &Node {
        &self.nodes[node]
    }

    /// The crossing that water comes to after this one.
    pub(super) fn next(&self, node: usize) -> Option<usize> {
        let parent = self.nodes[node].parent as usize;
        (parent != node).then_some(parent)
    }

    /// Whether water that enters a lot here enters it once more further down.
    pub(super) fn enters_again(&self, node: usize) -> bool {
        self.nodes[node].again != NONE
    }

    /// The first crossing of a cell's water; nothing where there is no ground.
    pub(super) fn first(&self, cell: usize) -> Option<usize> {
        Some(self.first[cell]).filter(|&node| node != NONE).map(|node| node as usize)
    }

    /// Where water first enters a lot, from a crossing on, itself included.
    pub(super) fn onto(&self, lot: Label, from: usize) -> Option<usize> {
        let place = self.nodes[from].place;
        let entries = self.entries_of(lot);
        let before = entries.partition_point(|&entry| self.nodes[entry as usize].place <= place);
        let mut entry = *entries.get(before.checked_sub(1)?)?;
        // Those below a crossing hold its place between their own and their end.
        while self.nodes[entry as usize].end <= place {
            entry = Some(self.nodes[entry as usize].again).filter(|&again| again != NONE)?;
        }
        Some(entry as usize)
    }

    /// Crossings onto a lot.
    pub(super) fn entries_of(&self, lot: Label) -> &[u32] {
        match (self.starts.get(lot.number()), self.starts.get(lot.number() + 1)) {
            (Some(&start), Some(&end)) => &self.entries[start..end],
            _ => &[],
        }
    }

    /// All crossings, so that each comes right before those that follow from it downwards: upstream ends first.
    pub(super) fn upstream_first(&self) -> Vec<u32> {
        let mut order = vec![0; self.nodes.len()];
        for (number, node) in (0_u32..).zip(&self.nodes) {
            order[node.place as usize] = number;
        }
        order.reverse();
        order
    }
}
