//! An order in which things come after all that they rest on, and those that rest on one another together.

/// A thing that was met and is not yet placed.
#[derive(Debug, Clone, Copy)]
struct Open {
    thing: usize,
    /// How many of the things that it rests on were looked at.
    looked_at: usize,
}

/// Groups of things that rest on one another, each after all groups that it rests on; within a group rising.
///
/// # Method
/// Strongly connected components by one depth-first walk with low links, kept on a stack of our own so that long
/// chains don't exhaust the program's.
///
/// # Source
/// R. Tarjan, Depth-first search and linear graph algorithms, SIAM Journal on Computing 1 (1972), 146-160 (from memory).
pub(super) fn groups(rests_on: &[Vec<usize>]) -> Vec<Vec<usize>> {
    const NEVER: usize = usize::MAX;
    let count = rests_on.len();
    let (mut met, mut low, mut placed) = (vec![NEVER; count], vec![NEVER; count], vec![false; count]);
    let (mut found, mut waiting, mut next_number) = (Vec::new(), Vec::new(), 0);
    for root in 0..count {
        let mut open: Vec<Open> = Vec::new();
        if met[root] == NEVER {
            open.push(Open { thing: root, looked_at: 0 });
        }
        while let Some(top) = open.last_mut() {
            let thing = top.thing;
            if met[thing] == NEVER {
                (met[thing], low[thing]) = (next_number, next_number);
                next_number += 1;
                waiting.push(thing);
            }
            if let Some(&other) = rests_on[thing].get(top.looked_at) {
                top.looked_at += 1;
                if met[other] == NEVER {
                    open.push(Open { thing: other, looked_at: 0 });
                } else if !placed[other] {
                    low[thing] = low[thing].min(met[other]);
                }
                continue;
            }
            open.pop();
            if let Some(below) = open.last() {
                low[below.thing] = low[below.thing].min(low[thing]);
            }
            if low[thing] == met[thing] {
                let start = waiting.iter().rposition(|&w| w == thing).unwrap_or_default();
                let mut group = waiting.split_off(start);
                for &member in &group {
                    placed[member] = true;
                }
                group.sort_unstable();
                found.push(group);
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::groups;

    #[test]
    fn each_group_comes_after_what_it_rests_on() {
        // 0 rests on 1, 1 and 2 on each other, 2 on 3; 4 on itself; 5 on nothing.
        let found = groups(&[vec![1], vec![2], vec![1, 3], vec![], vec![4, 0], vec![]]);
        assert_eq!(found, [vec![3], vec![1, 2], vec![0], vec![4], vec![5]]);
    }

    #[test]
    fn a_long_chain_needs_no_deep_stack() {
        let count = 200_000;
        let chain: Vec<Vec<usize>> =
            (0..count).map(|i| if i + 1 < count { vec![i + 1] } else { Vec::new() }).collect();
        let found = groups(&chain);
        assert!(found.iter().map(|group| group[0]).eq((0..count).rev()));
    }
}
