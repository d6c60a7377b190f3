//! What lets water into a drain as it is sized, and what its pipes have room for.

use super::arrangement::Arrangement;
use super::basins::gathered;
use super::growth::Growth;
use super::intake::Intake;
use super::kept::KeptPiece;
use super::option::DrainOption;
use super::part::brought;
use super::reach::ReachPlace;
use super::sizes::SizedReach;
use crate::units::Flow;

/// Places nearer than this are one, m.
pub(super) const SAME_M: f64 = 1e-9;

/// The water of a part and of what joins it, in one storm.
pub(super) struct Water<'a> {
    /// The part's flow.
    pub(super) flow: Flow,
    /// What of it comes to the lower end of a reach.
    pub(super) own: &'a dyn Fn(&SizedReach) -> Flow,
    /// What others have brought down to a place.
    pub(super) joined: &'a dyn Fn(f64) -> Flow,
    /// Station of each basin, and the part of what comes to it that it takes.
    pub(super) basins: Vec<(f64, f64)>,
    /// What the swale carries.
    pub(super) swale: Flow,
}

/// Ways in along a part, and room in its pipes.
///
/// # Units
/// Metres down the way; room in shares of the part's flow.
pub(super) struct Room<'a> {
    arrangement: Arrangement,
    flow: Flow,
    intake: Option<&'a Intake>,
    /// Stretches that basins gather from: both ends, and the part of what comes there that they take.
    basins: Vec<(f64, f64, f64)>,
    /// In the swale.
    pub(super) swale: f64,
    /// In each reach along the part, with its lower end.
    line: Vec<(f64, f64)>,
    /// In the lead.
    pub(super) end: f64,
}

impl<'a> Room<'a> {
    /// Of a drain in some water that grows over a length of part.
    pub(super) fn of(option: &'a DrainOption, water: &Water<'_>, length_m: f64) -> Self {
        let room = |sized: &SizedReach| in_pipe(sized, water);
        let lead = option.reaches.iter().filter(|sized| sized.reach.place == ReachPlace::Lead);
        let basin = |&(station_m, takes): &(f64, f64)| {
            let [from_m, to_m] = gathered(station_m, length_m);
            (from_m, to_m, takes)
        };
        Self {
            arrangement: option.arrangement,
            flow: water.flow,
            intake: option.intake.as_ref(),
            basins: water.basins.iter().map(basin).collect(),
            swale: share_of(water.swale, water.flow),
            line: option.line().map(|sized| (sized.reach.to_m, room(sized))).collect(),
            end: lead.map(room).fold(f64::INFINITY, f64::min),
        }
    }

    /// The part cut wherever something changes, with nothing kept yet.
    pub(super) fn pieces(&self, growth: &Growth) -> Vec<KeptPiece> {
        let length_m = growth.length_m();
        let growing = growth.entering().flat_map(|piece| [piece.from_m, piece.to_m]);
        let stretches = self.intake.map_or(&[][..], |intake| &intake.stretches);
        let dug = stretches.iter().flat_map(|stretch| [stretch.from_m, stretch.to_m]);
        let gathering = self.basins.iter().flat_map(|basin| [basin.0, basin.1]);
        let reaches = self.line.iter().map(|reach| reach.0);
        let all = growing.chain(dug).chain(gathering).chain(reaches);
        let mut places: Vec<f64> = all.filter(|m| (0.0..=length_m).contains(m)).collect();
        places.sort_by(f64::total_cmp);
        places.dedup_by(|b, a| *b - *a <= SAME_M);
        let piece = |pair: &[f64]| KeptPiece {
            from_m: pair[0],
            to_m: pair[1],
            comes: (growth.share_at(pair[1]) - growth.share_at(pair[0])).max(0.0),
            kept: 0.0,
        };
        places.windows(2).map(piece).collect()
    }

    /// What gets into the pipe at a piece as long as that has room, by the lower (0) or the upper (1) end.
    pub(super) fn lets_in(&self, piece: &KeptPiece, end: usize) -> f64 {
        let at_m = piece.middle_m();
        if self.arrangement == Arrangement::Basins {
            let basin = self.basins.iter().find(|basin| (basin.0..=basin.1).contains(&at_m));
            return piece.comes * basin.map_or(0.0, |basin| basin.2);
        }
        let stretches = self.intake.map_or(&[][..], |intake| &intake.stretches);
        let dug = stretches.iter().find(|stretch| (stretch.from_m..=stretch.to_m).contains(&at_m));
        let per_m = |most: Flow| share_of(most, self.flow);
        dug.map_or(0.0, |dug| piece.comes.min(per_m(dug.most_per_m(end)) * (piece.to_m - piece.from_m)))
    }

    /// Room in the pipe at a piece: that of the reach around it and of all below it along the part.
    pub(super) fn in_line(&self, piece: &KeptPiece) -> f64 {
        let below = self.line.iter().filter(|reach| reach.0 > piece.middle_m());
        below.map(|reach| reach.1).fold(f64::INFINITY, f64::min)
    }
}

impl DrainOption {
    /// In the water that it is designed for.
    pub(super) fn room(&self, length_m: f64) -> Room<'_> {
        let joined = |down_to_m: f64| brought(&self.joined, down_to_m);
        let water = Water {
            flow: self.flow,
            own: &|sized| sized.reach.flow - joined(sized.reach.to_m),
            joined: &joined,
            basins: self.basins.iter().map(|basin| (basin.station_m, basin.takes / basin.arrives)).collect(),
            swale: self.swale.as_ref().map_or(Flow::ZERO, |swale| swale.capacity),
        };
        Room::of(self, &water, length_m)
    }
}

/// Share of the part's flow for which a pipe has room.
fn in_pipe(sized: &SizedReach, water: &Water<'_>) -> f64 {
    room_for(sized.capacity, [(water.own)(sized), (water.joined)(sized.reach.to_m)], water.flow)
}

/// Share of the part's flow for which a pipe has room that carries so much just full, with the part's own
/// water and what others have brought at its lower end.
///
/// # Method
/// All that others leave of its full flow; where they and the part's own are more than that each has room in
/// proportion to what it brings.
pub(super) fn room_for(full: Flow, [own, joined]: [Flow; 2], whole: Flow) -> f64 {
    let room = if full >= own + joined { full - joined } else { own * (full / (own + joined)) };
    share_of(room, whole)
}

/// A flow by the part's; without any there is no end to it.
pub(super) fn share_of(flow: Flow, whole: Flow) -> f64 {
    if whole > Flow::ZERO { flow / whole } else { f64::INFINITY }
}
