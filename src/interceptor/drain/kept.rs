//! What of a part's water its drain keeps off the lot, place by place down its way.

use super::growth::Growth;
use super::room::{Room, SAME_M};

/// Kept from this share on, all is: the rest is rounding.
const ALL: f64 = 1.0 - 1e-9;

/// A piece of the part; what comes there and what of it is kept are even along it.
///
/// # Units
/// Metres down the way; shares of the part's whole water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeptPiece {
    /// From here, m.
    pub from_m: f64,
    /// To here.
    pub to_m: f64,
    /// What comes there.
    pub comes: f64,
    /// What of it is kept.
    pub kept: f64,
}

/// All pieces of a part, down the way.
///
/// # Invariants
/// One piece or more without gaps, none of no length; nowhere more is kept than comes.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept(Vec<KeptPiece>);

impl Kept {
    /// Follows the water down the way, by the lower (0) or the upper (1) end of what gets in.
    ///
    /// # Method
    /// At each place as much gets in as the top of the trench, its holes, or a basin let in. Water from above
    /// has the room in the pipe first: what comes in where the pipe, or one below it, is full with that stays
    /// out. What doesn't get into a trench runs in the swale over it, by the same rule.
    pub(super) fn of(growth: &Growth, room: &Room<'_>, end: usize) -> Self {
        let mut pieces = room.pieces(growth);
        keep(&mut pieces, |piece| room.lets_in(piece, end), |piece| room.in_line(piece));
        keep(&mut pieces, |piece| piece.comes - piece.kept, |_| room.swale);
        hold(&mut pieces, room.end);
        Self(pieces)
    }

    /// Share of all water that is kept.
    #[must_use]
    pub fn share(&self) -> f64 {
        let share: f64 = self.0.iter().map(|piece| piece.kept).sum();
        if share > ALL { 1.0 } else { share }
    }

    /// The pieces.
    #[must_use]
    pub fn pieces(&self) -> &[KeptPiece] {
        &self.0
    }

    /// The same where a pipe farther on carries no more than a share: water from above has the room first.
    #[must_use]
    pub fn held_to(mut self, share: f64) -> Self {
        hold(&mut self.0, share);
        self
    }

    /// The same with so much kept in all: what is lost is more or less by one factor at each place, and what
    /// that can't make up for is by one factor of what is kept.
    #[must_use]
    pub fn with_share(mut self, share: f64) -> Self {
        let lost = 1.0 - self.share();
        if lost > 0.0 {
            let times = (1.0 - share) / lost;
            for piece in &mut self.0 {
                piece.kept = (piece.comes - (piece.comes - piece.kept) * times).max(0.0);
            }
        }
        let now = self.share();
        if now > share {
            self.0.iter_mut().for_each(|piece| piece.kept *= share / now);
        }
        self
    }

    /// Share that is kept of what comes evenly between two places; of one place where they are one.
    #[must_use]
    pub fn share_between(&self, from_m: f64, to_m: f64) -> f64 {
        let length = |piece: &KeptPiece| (piece.to_m.min(to_m) - piece.from_m.max(from_m)).max(0.0);
        let all_m: f64 = self.0.iter().map(length).sum();
        if all_m > SAME_M {
            return self.0.iter().map(|piece| piece.ratio() * length(piece)).sum::<f64>() / all_m;
        }
        let around = self.0.iter().find(|piece| to_m <= piece.to_m).or(self.0.last());
        around.map_or(0.0, KeptPiece::ratio)
    }
}

impl KeptPiece {
    /// What is kept of what comes; all of nothing.
    fn ratio(&self) -> f64 {
        if self.comes > 0.0 { self.kept / self.comes } else { 1.0 }
    }

    pub(super) const fn middle_m(&self) -> f64 {
        f64::midpoint(self.from_m, self.to_m)
    }

    /// Its upper part, by share, and the rest.
    fn cut_at(self, share: f64) -> [Self; 2] {
        let at_m = self.from_m + (self.to_m - self.from_m) * share;
        let part = |from_m: f64, to_m: f64, share: f64| Self {
            from_m,
            to_m,
            comes: self.comes * share,
            kept: self.kept * share,
        };
        [part(self.from_m, at_m, share), part(at_m, self.to_m, 1.0 - share)]
    }
}

/// Keeps of what is offered as much as there is room for with what was kept above; a piece is cut where the
/// room ends.
fn keep(pieces: &mut Vec<KeptPiece>, offered: impl Fn(&KeptPiece) -> f64, room: impl Fn(&KeptPiece) -> f64) {
    let mut inside = 0.0;
    let mut found = Vec::with_capacity(pieces.len() + 1);
    for mut piece in pieces.drain(..) {
        let offered = offered(&piece).max(0.0);
        let taken = (room(&piece) - inside).clamp(0.0, offered);
        inside += taken;
        if taken >= offered || taken <= 0.0 {
            piece.kept += taken;
            found.push(piece);
            continue;
        }
        let [mut above, below] = piece.cut_at(taken / offered);
        above.kept += taken;
        found.extend([above, below]);
    }
    *pieces = found;
}

/// Holds what was kept to the room at the end, that from above first.
fn hold(pieces: &mut Vec<KeptPiece>, room: f64) {
    let was: Vec<KeptPiece> = std::mem::take(pieces);
    let mut inside = 0.0;
    for piece in was {
        let held = (room - inside).clamp(0.0, piece.kept);
        inside += held;
        if held >= piece.kept {
            pieces.push(piece);
            continue;
        }
        let [above, below] = piece.cut_at(held / piece.kept);
        let below = KeptPiece { kept: 0.0, ..below };
        pieces.extend([above, below].into_iter().filter(|part| part.to_m > part.from_m));
    }
}
