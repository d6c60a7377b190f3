//! Which arrangement is recommended.

use super::super::bore::Bore;
use super::super::quantities::take_off;
use super::arrangement::Arrangement;
use super::bed::BedPlace;
use super::option::DrainOption;
use crate::units::{Flow, Length, Volume};

/// One that keeps less than so much of what the best keeps is never recommended. Ours: then nothing that may be built keeps more
/// than a tenth of the flow more.
const NEVER_BELOW: f64 = 0.9;
/// From so much of what the best keeps on, price or digging decide. Ours: what is published of intake and roughness is no nearer.
const AS_GOOD: f64 = 0.95;
/// Shares are sums of pieces: this much of one is rounding.
const ROUNDING: f64 = 1e-9;
/// Basins are for water that comes so concentrated that this share of it comes to the lawn dished to them. Ours: the share by which a
/// crossing counts as concentrated.
const CONCENTRATED: f64 = 0.8;

/// The rule in words.
pub const RULE: &str = "allowed are arrangements that can be built, that keep some of the design storm's flow off the lot, and whose swale is nowhere wider than twice the setback, so that it doesn't lie on land beyond the lot line too; of these, those that keep at least nine tenths of what the best of them keeps; of these, where any is left, those without basins to whose dished lawn less than four fifths of the water comes, and then those without pipes that can't be laid with the cover asked for; of these, those that carry the whole flow, else those that keep at least nineteen twentieths of what the best of them keeps; and of these the cheapest by the price list, where it prices every item of all that are allowed, else the one for which least is dug";

/// An arrangement with what it takes to build it.
#[derive(Debug, Clone, PartialEq)]
pub struct Costed {
    /// The arrangement.
    pub option: DrainOption,
    /// Its price; nothing without a price for every item.
    pub price: Option<f64>,
}

impl Costed {
    /// What is dug for it; nothing where it can't be built.
    #[must_use]
    pub fn dug(&self) -> Option<Volume> {
        let built = self.option.built.as_ref().ok()?;
        Some(built.line.as_ref().map_or(Volume::ZERO, |line| take_off(line).dug) + built.beside.dug)
    }
}

/// Why an arrangement that can be built isn't recommended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Against {
    /// It keeps nothing off the lot.
    KeepsNothing,
    /// Its swale would lie on land beyond the lot line too: the place where it is widest.
    BeyondLot(BedPlace),
    /// It keeps less off the lot, or not within the velocities of its pipes.
    KeepsLess,
    /// Too little of the water comes to the lawn dished to its basins.
    Spread,
    /// Its pipes can't be laid with the cover asked for.
    Cover,
    /// More is dug for it, or its price is higher.
    Dearer,
}

/// The recommended arrangement of a list, and what speaks against the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Recommendation {
    /// Its place in the list; nothing where none is allowed.
    pub place: Option<usize>,
    /// By place, what speaks against the others; nothing where they can't be built.
    pub against: Vec<Option<Against>>,
}

/// Recommends by [`RULE`]. Pipes whose top lies so high over their invert as `too_high`, or higher, can't be laid deeper than they are.
///
/// # Method
/// The list gets shorter step by step, and each that falls out has its reason. What is kept comes first, so that none is recommended
/// for its price that leaves the water on the lawn. Bounds go by what the best keeps and not by the flow, so that they mean something
/// where all of them keep little.
///
/// # Valid range
/// The recommended one stays so when it keeps more, or costs less, and all else stays: each step then leaves no other in that it left
/// out before. What price or digging are held against is settled before shares shorten the list.
#[must_use]
pub fn recommend(options: &[Costed], setback: Length, too_high: Option<Length>) -> Recommendation {
    let mut list = ShortList::of_buildable(options);
    list.only(|costed| (costed.option.share() <= 0.0).then_some(Against::KeepsNothing));
    list.only(|costed| costed.option.swale_leaves(setback).map(Against::BeyondLot));
    let cost = list.cost();
    let least = list.best_share() * NEVER_BELOW;
    list.only(|costed| (costed.option.share() < least - ROUNDING).then_some(Against::KeepsLess));
    list.where_any(Against::Spread, |costed| collects(&costed.option));
    list.where_any(Against::Cover, |costed| keeps_cover(&costed.option, too_high));
    list.where_any(Against::KeepsLess, |costed| costed.option.carries());
    let least = list.best_share() * AS_GOOD;
    list.only(|costed| (costed.option.share() < least - ROUNDING).then_some(Against::KeepsLess));
    list.cheapest(cost)
}

/// What arrangements are compared by in the end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Cost {
    Price,
    Digging,
}

impl Cost {
    fn of(self, costed: &Costed) -> f64 {
        let cost = match self {
            Self::Price => costed.price,
            Self::Digging => costed.dug().map(Volume::as_m3),
        };
        cost.unwrap_or(f64::INFINITY)
    }
}

/// Arrangements that are left, and why others aren't.
struct ShortList<'a> {
    options: &'a [Costed],
    left: Vec<usize>,
    against: Vec<Option<Against>>,
}

impl<'a> ShortList<'a> {
    fn of_buildable(options: &'a [Costed]) -> Self {
        let left = (0..options.len()).filter(|&place| options[place].dug().is_some()).collect();
        Self { options, left, against: vec![None; options.len()] }
    }

    /// Leaves those against which nothing is said.
    fn only(&mut self, says: impl Fn(&Costed) -> Option<Against>) {
        for &place in &self.left {
            self.against[place] = says(&self.options[place]);
        }
        self.left.retain(|&place| self.against[place].is_none());
    }

    /// The same, unless it is said against all that are left.
    fn where_any(&mut self, against: Against, serves: impl Fn(&Costed) -> bool) {
        if self.left.iter().any(|&place| serves(&self.options[place])) {
            self.only(|costed| (!serves(costed)).then_some(against));
        }
    }

    /// Most that one of those left keeps.
    fn best_share(&self) -> f64 {
        self.left.iter().map(|&place| self.options[place].option.share()).fold(0.0, f64::max)
    }

    /// What those left can be compared by.
    fn cost(&self) -> Cost {
        let priced = self.left.iter().all(|&place| self.options[place].price.is_some());
        if priced { Cost::Price } else { Cost::Digging }
    }

    /// Of equal ones the first.
    fn cheapest(mut self, cost: Cost) -> Recommendation {
        let of = |place: usize| cost.of(&self.options[place]);
        let place = self.left.iter().copied().reduce(|a, b| if of(b) < of(a) { b } else { a });
        for &other in self.left.iter().filter(|&&other| Some(other) != place) {
            self.against[other] = Some(Against::Dearer);
        }
        Recommendation { place, against: self.against }
    }
}

/// Whether its pipes keep their cover as they are laid, or may do so in a way that is laid deeper.
fn keeps_cover(option: &DrainOption, too_high: Option<Length>) -> bool {
    let higher = option.highest_pipe().map(|pipe| Bore::of_size(pipe).above_invert());
    let is_too_high = too_high.zip(higher).is_some_and(|(least, higher)| higher >= least);
    option.thin.is_none() || !is_too_high
}

/// Whether the water comes to where it is to be taken: sheet flow passes between basins.
fn collects(option: &DrainOption) -> bool {
    let arrives: Flow = option.basins.iter().map(|basin| basin.arrives).sum();
    option.arrangement != Arrangement::Basins || arrives >= option.flow * CONCENTRATED
}
