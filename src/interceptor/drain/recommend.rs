//! Which arrangement is recommended.

use super::super::bore::Bore;
use super::super::quantities::take_off;
use super::arrangement::Arrangement;
use super::beyond::Beyond;
use super::option::DrainOption;
use crate::units::{Flow, Length, Volume};

/// Basins are for water that comes so concentrated that this share of it comes to the lawn dished to them. Ours: the share by which a
/// crossing counts as concentrated.
const CONCENTRATED: f64 = 0.8;

/// The rule in words.
pub const RULE: &str = "of the arrangements that can be built, without trenches and swales for which there is no room beside the line, up to the lot line or to a building, a septic field or a well, without basins to whose dished lawn less than four fifths of the water comes (unless nothing else can be built), and without pipes that can't be laid with the cover asked for (likewise), and that carry the whole flow, the cheapest by the price list where it prices every item of all of them, else the one for which least is dug; where none carries it all, the one that carries most, of equal ones the one for which least is dug";

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

/// Place of the recommended arrangement in a list, by [`RULE`]; nothing where none is left. Pipes whose top
/// lies so high over their invert as `too_high`, or higher, can't be laid deeper than they are.
#[must_use]
pub fn recommended(options: &[Costed], too_high: Option<Length>) -> Option<usize> {
    let serves = |i: &usize| options[*i].dug().is_some() && options[*i].option.beyond.is_none();
    let mut buildable: Vec<usize> = (0..options.len()).filter(serves).collect();
    let collects = |i: &usize| collects(&options[*i].option);
    if buildable.iter().any(collects) {
        buildable.retain(collects);
    }
    let keeps_cover = |i: &usize| keeps_cover(&options[*i].option, too_high);
    if buildable.iter().any(keeps_cover) {
        buildable.retain(keeps_cover);
    }
    let dug_m3 = |i: usize| options[i].dug().map_or(f64::INFINITY, Volume::as_m3);
    let carrying: Vec<usize> = buildable.iter().copied().filter(|&i| options[i].option.carries()).collect();
    if carrying.is_empty() {
        let better = |a: usize, b: usize| {
            let (one, other) = (options[a].option.share(), options[b].option.share());
            let more = other > one + 1e-9 || ((other - one).abs() <= 1e-9 && dug_m3(b) < dug_m3(a));
            if more { b } else { a }
        };
        return buildable.into_iter().reduce(better);
    }
    let priced = carrying.iter().all(|&i| options[i].price.is_some());
    let cost = |i: usize| if priced { options[i].price.unwrap_or(f64::INFINITY) } else { dug_m3(i) };
    carrying.into_iter().reduce(|a, b| if cost(b) < cost(a) { b } else { a })
}

/// Why an arrangement that can be built isn't recommended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Against {
    /// It keeps less off the lot, or not within the velocities of its pipes.
    KeepsLess,
    /// There is no room for its trench or its swale beside the line.
    Beyond(Beyond),
    /// Too little of the water comes to the lawn dished to its basins.
    Spread,
    /// Its pipes can't be laid with the cover asked for.
    Cover,
    /// More is dug for it, or its price is higher.
    Dearer,
}

/// What speaks against an arrangement of a list, by [`RULE`]; nothing against the recommended one, and nothing where it can't be built.
#[must_use]
pub fn against(options: &[Costed], place: usize, too_high: Option<Length>) -> Option<Against> {
    let best = recommended(options, too_high);
    let option = &options[place].option;
    options[place].dug().filter(|_| best != Some(place))?;
    let keeps_less = |best: &DrainOption| {
        if best.carries() { !option.carries() } else { option.share() < best.share() - 1e-9 }
    };
    if best.is_some_and(|best| keeps_less(&options[best].option)) {
        return Some(Against::KeepsLess);
    }
    if let Some(beyond) = option.beyond {
        return Some(Against::Beyond(beyond));
    }
    let best = &options[best?].option;
    if collects(best) && !collects(option) {
        return Some(Against::Spread);
    }
    if keeps_cover(best, too_high) && !keeps_cover(option, too_high) {
        return Some(Against::Cover);
    }
    Some(Against::Dearer)
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
