//! What parts hand on to the pipes that they join, until it settles.

use super::super::shares::onward;
use super::joints::smaller_below;
use super::{PartDrain, PartOutlets};
use crate::interceptor::LinePart;
use crate::units::{Flow, Length};

/// Flows that differ by no more than this part of them are one: sums of pieces are rounded.
const SAME: f64 = 1e-9;

/// What is taken to come out of each part's pipe, and what that is called by.
///
/// # Method
/// At first all water of a part, and of those that join it. After each round what the drains hand on that
/// were designed in it. In a tree that settles from its ends down, in as many rounds as there are parts at
/// the most, unless prices hang together: a wye of another size may make another arrangement the cheaper one,
/// and that another wye. So from then on a part is taken to hand on no less than before; as there are finitely
/// many drains of each, it ends.
pub(super) struct Brought {
    flows: Vec<Flow>,
    sizes: Vec<Length>,
    /// Rounds in which what is handed on may become less.
    freely: usize,
}

impl Brought {
    /// All water of the parts, in pipes of no size yet.
    pub(super) fn whole(parts: &[LinePart], outlets: &[PartOutlets]) -> Self {
        let own = |place: usize| parts[place].flow().unwrap_or(Flow::ZERO);
        let mut flows: Vec<Flow> = (0..parts.len()).map(own).collect();
        for place in 0..parts.len() {
            for into in onward(outlets, place) {
                flows[into] = flows[into] + own(place);
            }
        }
        Self { flows, sizes: vec![Length::ZERO; parts.len()], freely: parts.len() }
    }

    /// Out of a part's pipe.
    pub(super) fn flow(&self, place: usize) -> Flow {
        self.flows[place]
    }

    /// What that pipe is called by; 0 where it asks for nothing.
    pub(super) fn size(&self, place: usize) -> Length {
        self.sizes[place]
    }

    /// Takes over what drains hand on; once that stays, the sizes of pipes that are called larger than those
    /// which they go on in. Whether anything is another now.
    pub(super) fn changes(&mut self, outlets: &[PartOutlets], parts: &[Option<PartDrain>]) -> bool {
        if self.takes_flows(parts) {
            return true;
        }
        let larger = smaller_below(outlets, parts, &self.sizes);
        for (place, size) in &larger {
            self.sizes[*place] = *size;
        }
        if !larger.is_empty() {
            self.freely = parts.len();
        }
        !larger.is_empty()
    }

    fn takes_flows(&mut self, parts: &[Option<PartDrain>]) -> bool {
        let may_shrink = self.freely > 0;
        self.freely = self.freely.saturating_sub(1);
        let mut is_another = false;
        for (flow, drain) in self.flows.iter_mut().zip(parts) {
            let now = drain.as_ref().map_or(Flow::ZERO, |drain| drain.hands_on);
            let (was_m3_per_s, now_m3_s) = (flow.as_m3_per_s(), now.as_m3_per_s());
            let differs = (now_m3_s - was_m3_per_s).abs() > SAME * was_m3_per_s.max(now_m3_s);
            if differs && (may_shrink || now > *flow) {
                *flow = now;
                is_another = true;
            }
        }
        is_another
    }
}
