//! Stated likelihoods and intervals against what is true, over many worlds.

use crate::site::number;
use crate::world::Told;
use lotshed::certainty::{Spread, Verdict};

const BINS: usize = 10;
/// A bin with fewer claims or claims of fewer worlds than this says nothing.
const FEWEST: usize = 12;
/// Standard errors that a bin may be off: exceeded by chance in one of 1000 bins (normal table: 3.29).
const MOST_Z: f64 = 3.29;
/// The sum of the squares of ten standard normal deviates, exceeded in one of 1000 cases (chi-square table,
/// ten degrees of freedom).
const MOST_CHI: f64 = 29.59;
/// Part of the truths that nine-in-ten intervals must hold.
const COVERED: [f64; 2] = [0.86, 0.94];
/// Rounding of areas, m².
const ROUNDING_M2: f64 = 1e-6;

/// Stated likelihoods of a tenth, against what happened.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Bin {
    pub(crate) claims: usize,
    worlds: usize,
    pub(crate) stated: f64,
    pub(crate) seen: f64,
    /// How much more happened than was stated, in standard errors.
    pub(crate) z: f64,
}

/// Over all worlds.
#[derive(Debug, Clone)]
pub(crate) struct Tally {
    pub(crate) bins: [Bin; BINS],
    /// Mean square of likelihood less what happened, as a part of that of the best constant answer.
    pub(crate) brier: f64,
    /// Part of the claims that happened.
    pub(crate) base: f64,
    pub(crate) run_on_covered: f64,
    pub(crate) areas_covered: f64,
    pub(crate) areas: usize,
    /// Part of the verdicts "contributes" and "does not" that are wrong.
    pub(crate) wrong: [f64; 2],
    pub(crate) cannot_tell: f64,
}

impl Tally {
    pub(crate) fn of(worlds: &[Told]) -> Self {
        let claims = || worlds.iter().flat_map(|told| &told.claims);
        let areas: Vec<_> = worlds.iter().flat_map(|told| told.areas.iter().copied()).collect();
        let run_on: Vec<_> = worlds.iter().map(|told| told.run_on).collect();
        let base = mean(claims().map(|&(_, hit)| one_if(hit)));
        let verdicts = || worlds.iter().flat_map(|told| &told.verdicts);
        let wrong = |of: Verdict, claimed: bool| {
            mean(verdicts().filter(|(verdict, _)| *verdict == of).map(|&(_, hit)| one_if(hit != claimed)))
        };
        Self {
            bins: std::array::from_fn(|place| bin(worlds, place)),
            brier: mean(claims().map(|&(p, hit)| (p - one_if(hit)).powi(2))) / (base * (1.0 - base)),
            base,
            run_on_covered: covered(&run_on),
            areas_covered: covered(&areas),
            areas: areas.len(),
            wrong: [wrong(Verdict::Contributes, true), wrong(Verdict::DoesNot, false)],
            cannot_tell: mean(verdicts().map(|&(verdict, _)| one_if(verdict == Verdict::CannotTell))),
        }
    }

    /// All that is wrong with the likelihoods.
    pub(crate) fn faults_of_likelihoods(&self) -> Vec<String> {
        let mut faults = Vec::new();
        for (place, bin) in self.bins.iter().enumerate() {
            if bin.worlds < FEWEST {
                faults.push(format!("bin {place} is hardly filled"));
            } else if bin.z.abs() > MOST_Z {
                faults.push(format!("bin {place} is {:.1} standard errors off", bin.z));
            }
        }
        let chi: f64 = self.bins.iter().map(|bin| bin.z.powi(2)).sum();
        if chi > MOST_CHI {
            faults.push(format!("all bins together are off: {chi:.1}"));
        }
        faults
    }

    /// Bins in which less happened of what was called likely, or more of what was called unlikely.
    pub(crate) fn too_bold(&self) -> Vec<String> {
        let bold = |place: usize, bin: &Bin| if place < BINS / 2 { bin.z > MOST_Z } else { bin.z < -MOST_Z };
        let all = self.bins.iter().enumerate().filter(|(place, bin)| bold(*place, bin));
        all.map(|(place, bin)| format!("bin {place} is {:.1} standard errors too bold", bin.z)).collect()
    }

    /// All that is wrong with the intervals.
    pub(crate) fn faults_of_intervals(&self) -> Vec<String> {
        let all = [("run-on", self.run_on_covered), ("areas", self.areas_covered)];
        let off = all.iter().filter(|(_, part)| !(COVERED[0]..=COVERED[1]).contains(part));
        off.map(|(name, part)| format!("intervals of {name} hold {part:.3}")).collect()
    }

    /// A table for `docs/methods.md`.
    pub(crate) fn table(&self) -> String {
        let line = |bin: &Bin| {
            let Bin { claims, stated, seen, z, .. } = bin;
            format!("{claims:6} stated {stated:.3} seen {seen:.3} z {z:5.2}\n")
        };
        let bins: String = self.bins.iter().map(line).collect();
        let Self { brier, run_on_covered, areas_covered, areas, wrong, cannot_tell, .. } = self;
        format!(
            "{bins}Brier {brier:.3} of a constant's; held: run-on {run_on_covered:.3}, {areas} areas \
             {areas_covered:.3}; wrong {wrong:.3?}; cannot tell {cannot_tell:.3}"
        )
    }
}

/// Claims of one world hang together, so that worlds, not claims, are the sample: the standard error of a sum
/// of independent sums of mean 0 is the root of the sum of their squares.
fn bin(worlds: &[Told], place: usize) -> Bin {
    let mut bin = Bin::default();
    let mut squares = 0.0;
    for told in worlds {
        let here = || told.claims.iter().filter(|(p, _)| bin_of(*p) == place);
        let (count, stated) = (here().count(), here().map(|(p, _)| p).sum::<f64>());
        let seen: f64 = here().map(|&(_, hit)| one_if(hit)).sum();
        bin.claims += count;
        bin.worlds += usize::from(count > 0);
        bin.stated += stated;
        bin.seen += seen;
        squares += (seen - stated).powi(2);
    }
    if bin.claims > 0 {
        bin.z = if squares > 0.0 { (bin.seen - bin.stated) / squares.sqrt() } else { 0.0 };
        bin.stated /= number(bin.claims);
        bin.seen /= number(bin.claims);
    }
    bin
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 10")]
fn bin_of(p: f64) -> usize {
    ((p * 10.0) as usize).min(BINS - 1)
}

fn covered(intervals: &[(Spread, f64)]) -> f64 {
    let is_held = |(found, truth): &(Spread, f64)| {
        found.low - ROUNDING_M2 <= *truth && *truth <= found.high + ROUNDING_M2
    };
    mean(intervals.iter().map(|interval| one_if(is_held(interval))))
}

fn one_if(is_so: bool) -> f64 {
    f64::from(u8::from(is_so))
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0), |(sum, count), value| (sum + value, count + 1));
    sum / number(count)
}
