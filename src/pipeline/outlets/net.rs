//! The line's pipes as trees: each part ends at an outlet of its own or in another part's pipe.

use super::{PartOutlets, cost};
use crate::interceptor::profile::Under;
use crate::interceptor::{DrainedEnd, KeptOff};
use geo::Coord;

/// Where a part comes into another's pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Joint {
    /// Place of that part in the list.
    pub(super) into: usize,
    /// Where, in the working coordinate system: a station of its way.
    pub(super) at: Coord,
    /// End of the joining part that drains.
    pub(super) end: DrainedEnd,
}

/// How the parts hang together.
///
/// # Invariants
/// No part drains into itself, over however many others.
#[derive(Debug, Clone)]
pub(super) struct Net {
    joints: Vec<Option<Joint>>,
    /// Level that a part's upper end lies no higher than, m: another's pipe comes in there.
    pub(super) heads_m: Vec<Option<f64>>,
    /// Where a part's pipe passes below another, or takes it in: by its way as it was then.
    pub(super) unders: Vec<Option<Under>>,
    /// Other parts' pipes that a part's lead keeps off, as they ran then.
    pub(super) kept_off: Vec<Vec<KeptOff>>,
}

impl Net {
    pub(super) fn without_joints(parts: usize) -> Self {
        Self {
            joints: vec![None; parts],
            heads_m: vec![None; parts],
            unders: vec![None; parts],
            kept_off: vec![Vec::new(); parts],
        }
    }

    pub(super) fn joint(&self, part: usize) -> Option<Joint> {
        self.joints[part]
    }

    /// Parts that drain into a part's pipe at once, rising.
    pub(super) fn joining(&self, part: usize) -> impl Iterator<Item = usize> + '_ {
        let into = move |joint: &Option<Joint>| joint.is_some_and(|joint| joint.into == part);
        self.joints.iter().enumerate().filter(move |(_, joint)| into(joint)).map(|(place, _)| place)
    }

    /// The part at whose outlet a part's water ends.
    pub(super) fn root(&self, part: usize) -> usize {
        std::iter::successors(Some(part), |&at| Some(self.joints[at]?.into)).last().unwrap_or(part)
    }

    /// With one more joint, of a part that has none and into whose tree the other doesn't drain.
    pub(super) fn with(&self, part: usize, joint: Joint) -> Self {
        let mut net = self.clone();
        net.joints[part] = Some(joint);
        net.unders[part] = None;
        net.kept_off[part].clear();
        net
    }

    /// With a part's pipe no higher than a level at a place of its way; nothing where it is so already.
    pub(super) fn with_under(&self, part: usize, under: Under) -> Option<Self> {
        (self.unders[part] != Some(under)).then(|| {
            let mut net = self.clone();
            net.unders[part] = Some(under);
            net
        })
    }

    /// With another way for a part: no level holds for it any more.
    pub(super) fn with_other_way(&self, part: usize) -> Self {
        let mut net = self.clone();
        net.unders[part] = None;
        net
    }

    /// With a part's lead led off another's pipe, too: another way.
    pub(super) fn with_lead_off(&self, part: usize, other: KeptOff) -> Self {
        let mut net = self.with_other_way(part);
        net.kept_off[part].push(other);
        net
    }

    /// With the head of the pipe that a part joins no higher than a level; nothing where it is as low
    /// already, or the part joins none.
    pub(super) fn with_head(&self, part: usize, level_m: f64) -> Option<Self> {
        let into = self.joints[part]?.into;
        let is_low = self.heads_m[into].is_some_and(|head_m| head_m <= level_m);
        (!is_low).then(|| {
            let mut net = self.clone();
            net.heads_m[into] = Some(level_m);
            net
        })
    }

    /// A part and all that drain into it, each after the one that it drains into.
    pub(super) fn tree(&self, root: usize) -> Vec<usize> {
        let mut found = vec![root];
        let mut next = 0;
        while let Some(&part) = found.get(next) {
            found.extend(self.joining(part));
            next += 1;
        }
        found
    }

    /// Digging for a part and all that drain into it, m², as their pipes lie.
    pub(super) fn cost(&self, found: &[PartOutlets], root: usize) -> f64 {
        self.tree(root).into_iter().filter_map(|part| found[part].proposed()).map(cost).sum()
    }
}
