//! Ways that are there, laid again for a part's larger pipe: to the same outlets, joined at the same places.

use super::joins::{Joined, write_back};
use super::laying::NotLaid;
use super::net::Net;
use super::{PartOutlets, Search, WayOut};
use crate::error::Error;
use crate::interceptor::InterceptionLine;
use crate::interceptor::profile::Infeasible;
use crate::pipeline::shares::onward;

/// Ways of all parts, and how they hang together.
#[derive(Debug, Clone)]
pub(in crate::pipeline) struct LaidLine {
    pub(in crate::pipeline) found: Vec<PartOutlets>,
    pub(super) net: Net,
}

/// Why a part's way can't be laid for a larger pipe.
#[derive(Debug, Clone)]
pub(in crate::pipeline) enum NotAgain {
    /// A pipe would have to lie lower than it may.
    TooHigh(Box<Infeasible>),
    /// Water of the line would end at a worse outlet.
    Worse,
}

impl Search<'_> {
    /// The ways with those of a part's tree laid again, for the pipes that its parts have now.
    ///
    /// # Method
    /// From the outlet up. Where the part comes in at the head of another's pipe and lies too low for it now,
    /// that head is laid lower.
    pub(in crate::pipeline) fn laid_again(
        &self,
        line: &InterceptionLine,
        ways: &LaidLine,
        part: usize,
    ) -> Result<Result<LaidLine, NotAgain>, Error> {
        let LaidLine { found, net } = ways;
        let root = net.root(part);
        let mut refused = NotAgain::Worse;
        for lowered in [false, true] {
            let net = if lowered { self.lowered_for(line, ways, part)? } else { Some(net.clone()) };
            let Some(net) = net else { continue };
            match self.lay_tree(line, found, &net, root)? {
                Ok(laid) => {
                    let mut found = found.clone();
                    write_back(line, &mut found, &Joined { net: net.clone(), root, laid });
                    if worse_off(&ways.found, &found) {
                        continue;
                    }
                    return Ok(Ok(LaidLine { found, net }));
                }
                Err(NotLaid::TooHigh(why)) if !lowered => refused = NotAgain::TooHigh(why),
                Err(_) => {}
            }
        }
        Ok(Err(refused))
    }

    /// The net with the head that a part comes in at as low as the part's pipe arrives; nothing where it
    /// comes in elsewhere.
    fn lowered_for(
        &self,
        line: &InterceptionLine,
        LaidLine { found, net }: &LaidLine,
        part: usize,
    ) -> Result<Option<Net>, Error> {
        let Some(joint) = net.joint(part) else { return Ok(None) };
        let receiving = found[joint.into].proposed();
        let is_head = receiving.is_some_and(|receiving| receiving.way.stations[0].point == joint.at);
        if is_head { self.lowered(line, found, net, part) } else { Ok(None) }
    }
}

/// Whether any part's water ends at a worse outlet than before.
pub(super) fn worse_off(before: &[PartOutlets], after: &[PartOutlets]) -> bool {
    let rank = |outlets: &[PartOutlets], part: usize| {
        let ways = std::iter::once(part).chain(onward(outlets, part)).map(|at| outlets[at].proposed());
        let ranks: Option<Vec<_>> = ways.map(|way| way.map(WayOut::rank)).collect();
        ranks.and_then(|ranks| ranks.into_iter().max())
    };
    let is_worse = |part| match (rank(before, part), rank(after, part)) {
        (Some(before), Some(after)) => after > before,
        (before, _) => before.is_some(),
    };
    (0..before.len()).any(is_worse)
}
