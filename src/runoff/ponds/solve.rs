//! Fill and spill on the network of ponds.

use super::network::{Network, Rain};
use super::order::groups;

/// How closely the depth is found at which a pond begins to hand on water.
const CLOSE: f64 = 1e-12;

/// What every pond does in one storm.
#[derive(Debug, Clone)]
pub(super) struct Solution {
    /// Water that comes into each pond, m³.
    pub(super) inflows_m3: Vec<f64>,
    /// Share of it that goes on.
    pub(super) shares: Vec<f64>,
    /// Water on each node, m³.
    nodes_m3: Vec<f64>,
}

/// Nodes and ponds of which each rests on all the others.
#[derive(Debug)]
struct Group {
    /// Rising, so that each comes after those that its water comes from.
    nodes: Vec<usize>,
    ponds: Vec<usize>,
    /// Groups that it rests on.
    rests_on: Vec<usize>,
}

/// A network in the order in which it can be solved.
#[derive(Debug)]
pub(super) struct Solver<'a> {
    network: &'a Network,
    groups: Vec<Group>,
    /// Group of each pond.
    of_pond: Vec<usize>,
}

impl<'a> Solver<'a> {
    pub(super) fn of(network: &'a Network) -> Self {
        let nodes = network.nodes.len();
        // Nodes first, then ponds.
        let from_load =
            |parts: &[(u32, f64)]| parts.iter().map(|&(node, _)| node as usize).collect::<Vec<_>>();
        let mut rests_on: Vec<Vec<usize>> = Vec::with_capacity(nodes + network.inflows.len());
        for node in &network.nodes {
            let mut others = from_load(&node.load.parts);
            others.extend(node.pond.map(|pond| nodes + pond));
            rests_on.push(others);
        }
        rests_on.extend(network.inflows.iter().map(|load| from_load(&load.parts)));
        let found = groups(&rests_on);
        let mut group_of = vec![0; rests_on.len()];
        for (number, members) in found.iter().enumerate() {
            for &member in members {
                group_of[member] = number;
            }
        }
        let groups = found.iter().enumerate().map(|(number, members)| {
            let mut others: Vec<usize> = members
                .iter()
                .flat_map(|&m| rests_on[m].iter().map(|&other| group_of[other]))
                .filter(|&group| group != number)
                .collect();
            others.sort_unstable();
            others.dedup();
            Group {
                nodes: members.iter().copied().filter(|&m| m < nodes).collect(),
                ponds: members.iter().filter_map(|&m| m.checked_sub(nodes)).collect(),
                rests_on: others,
            }
        });
        Self { network, groups: groups.collect(), of_pond: group_of[nodes..].to_vec() }
    }

    /// Fills and spills.
    ///
    /// # Method
    /// A pond that gets V and holds C hands on the share max(0, 1 - C/V). Ponds are gone through from above, each after
    /// those that its water comes from. Ponds of one level may hand water to and fro, and one to itself over level ground:
    /// such a group begins full (share 1) and is gone through until no share changes any more.
    ///
    /// It ends: water and shares are sums, products, and 1 - C/V, each of which never falls when what goes into it
    /// rises, in rounded arithmetic too. The first pass can only lower shares from 1, so each later pass can only lower
    /// them further; they are numbers from 0 on, of which there are finitely many. Each round brings back less, since
    /// water goes round in the cells only so often. What the passes come to is the only balance there is: in another
    /// one with lower shares every flow would be as small or smaller, so as much or less would leave and as much or
    /// less would stay in the ponds; as all the rain does one or the other, both are equal. For the same reasons more
    /// rain never lowers a share.
    pub(super) fn solve(&self, rain: Rain) -> Solution {
        let mut solution = self.all_full();
        for group in &self.groups {
            self.settle(group, rain, &mut solution);
        }
        solution
    }

    fn all_full(&self) -> Solution {
        Solution {
            inflows_m3: vec![0.0; self.network.inflows.len()],
            shares: vec![1.0; self.network.inflows.len()],
            nodes_m3: vec![0.0; self.network.nodes.len()],
        }
    }

    fn settle(&self, group: &Group, rain: Rain, solution: &mut Solution) {
        for &pond in &group.ponds {
            solution.shares[pond] = 1.0;
        }
        let mut changed = true;
        while changed {
            self.pass(group, rain, solution);
            changed = false;
            for &pond in &group.ponds {
                let share = share_passed(solution.inflows_m3[pond], self.network.capacities_m3[pond]);
                changed |= share.to_bits() != solution.shares[pond].to_bits();
                solution.shares[pond] = share;
            }
            // Without nodes of its own nothing comes back to the group.
            changed &= !group.nodes.is_empty();
        }
    }

    fn pass(&self, group: &Group, rain: Rain, solution: &mut Solution) {
        for &number in &group.nodes {
            let node = &self.network.nodes[number];
            let share = node.pond.map_or(1.0, |pond| solution.shares[pond]);
            solution.nodes_m3[number] = node.load.value(rain, &solution.nodes_m3) * share;
        }
        for &pond in &group.ponds {
            solution.inflows_m3[pond] = self.network.inflows[pond].value(rain, &solution.nodes_m3);
        }
    }

    /// Area that drains into each pond when all ponds are full, m².
    pub(super) fn catchments_m2(&self) -> Vec<f64> {
        let mut full = self.all_full();
        for group in &self.groups {
            self.pass(group, Rain::Uniform(1.0), &mut full);
        }
        full.inflows_m3
    }

    /// The depth of runoff everywhere at which a pond begins to hand on water, m; none if no rain ever comes to it.
    ///
    /// # Method
    /// Between nothing and the depth at which the ground that drains straight into it fills it. What comes in is made
    /// of nearly straight pieces over the depth: the chord's guess, then a halving, until both ends lie together.
    pub(super) fn starts_at_m(&self, pond: usize) -> Option<f64> {
        let capacity = self.network.capacities_m3[pond];
        let own_m2 = self.network.inflows[pond].direct.area_m2;
        if capacity <= 0.0 {
            return Some(0.0);
        }
        if own_m2 <= 0.0 {
            return None;
        }
        let above = self.all_above(pond);
        let mut solution = self.all_full();
        let mut excess = |depth_m: f64| {
            for &group in &above {
                self.settle(&self.groups[group], Rain::Uniform(depth_m), &mut solution);
            }
            solution.inflows_m3[pond] - capacity
        };
        let (mut dry, mut spilling) = ((0.0, -capacity), (capacity / own_m2, 0.0));
        spilling.1 = excess(spilling.0).max(0.0);
        while spilling.0 - dry.0 > CLOSE * spilling.0 {
            let chord = dry.0 - dry.1 * (spilling.0 - dry.0) / (spilling.1 - dry.1);
            let halfway = 0.5 * (dry.0 + spilling.0);
            // A step to either side of the chord's guess closes in where it is right.
            for depth_m in [chord * (1.0 - 0.4 * CLOSE), chord * (1.0 + 0.4 * CLOSE), halfway] {
                if depth_m > dry.0 && depth_m < spilling.0 {
                    let end = (depth_m, excess(depth_m));
                    *(if end.1 >= 0.0 { &mut spilling } else { &mut dry }) = end;
                }
            }
        }
        Some(spilling.0)
    }

    /// A pond's group and all that it rests on, in order.
    fn all_above(&self, pond: usize) -> Vec<usize> {
        let mut found = vec![self.of_pond[pond]];
        let mut seen = vec![false; self.groups.len()];
        seen[self.of_pond[pond]] = true;
        let mut next = 0;
        while let Some(&group) = found.get(next) {
            next += 1;
            for &other in &self.groups[group].rests_on {
                if !seen[other] {
                    seen[other] = true;
                    found.push(other);
                }
            }
        }
        found.sort_unstable();
        found
    }
}

/// Share of the inflow that a pond hands on.
fn share_passed(inflow_m3: f64, capacity_m3: f64) -> f64 {
    if capacity_m3 <= 0.0 { 1.0 } else { (1.0 - capacity_m3 / inflow_m3).max(0.0) }
}
