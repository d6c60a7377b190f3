//! Which few shots of the ground would tell most of what repeats leave open.

use super::likelihood::Likelihood;

/// Either side of a deciding reading has at least this share of the realisations. Ours.
const LEAST_SIDE: f64 = 0.05;
/// A shot that takes away less than this share of what is open isn't worth the way. Ours.
const LEAST_GAIN: f64 = 0.02;

/// Errors of the elevations at some places, over realisations.
#[derive(Debug, Clone, PartialEq)]
pub struct Errors {
    realisations: usize,
    /// m; all realisations of a place, then the next place.
    values: Vec<f32>,
}

impl Errors {
    /// By realisation, and in each by place, m.
    ///
    /// # Panics
    /// If realisations have unlike numbers of places, or there is none.
    #[must_use]
    pub fn of<V: AsRef<[f32]>>(by_realisation: &[V]) -> Self {
        let (realisations, places) = (by_realisation.len(), by_realisation[0].as_ref().len());
        let has_all = |one: &V| one.as_ref().len() == places;
        assert!(by_realisation.iter().all(has_all), "every place has an error");
        let of_place = |place: usize| by_realisation.iter().map(move |one| one.as_ref()[place]);
        Self { realisations, values: (0..places).flat_map(of_place).collect() }
    }

    const fn places(&self) -> usize {
        self.values.len() / self.realisations
    }

    fn at(&self, place: usize) -> &[f32] {
        &self.values[place * self.realisations..][..self.realisations]
    }

    fn each_mut(&mut self) -> impl Iterator<Item = &mut [f32]> {
        self.values.chunks_exact_mut(self.realisations)
    }
}

/// What is to be settled: whether something happens.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// Whether it does, by realisation.
    pub happens: Vec<bool>,
    /// What hangs on it: an amount of any unit, the same for all questions.
    pub weight: f64,
}

/// A shot that would tell much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Telling {
    /// Place of its place among the errors.
    pub place: usize,
    /// Place of the question that it tells most of.
    pub question: usize,
    /// Share of what is open of that question (its variance) that this shot and those before it take away.
    pub settles: f64,
    /// What its reading says of that question.
    pub reading: Reading,
}

/// A reading that decides, as far as one does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Ground above or below the given surface, m.
    pub error_m: f64,
    /// How often it happens where the ground lies above that.
    pub above: Likelihood,
    /// How often where it lies below.
    pub below: Likelihood,
}

/// The shots, the most telling first; none where no single one tells more than chance would.
///
/// # Method
/// Of a question with outcome y (1 or 0) a reading of an error e takes away cov(e, y)² / (var e + a²) of its
/// variance p (1 - p) by a straight line, with a the shot's standard error; of all questions this is summed
/// with their weights squared. The place with the largest sum is taken, the errors and outcomes are freed of
/// what it tells, and the next is looked for. What m places and n realisations show by chance alone stays below
/// 3 ln m / n of the variance but once in a hundred or more (the largest of m squared normal deviates).
///
/// # Source
/// The variance that is left given a linear reading is that of the best linear predictor (N. Cressie 1993,
/// Statistics for Spatial Data, chapter 3; from memory).
#[must_use]
pub fn telling_shots(errors: &Errors, questions: &[Question], accuracy_m: f64, most: usize) -> Vec<Telling> {
    let mut left = Left::of(errors, questions);
    let mut found = Vec::new();
    while found.len() < most {
        let Some(next) = left.most_telling(accuracy_m) else { break };
        found.push(Telling {
            place: next.place,
            question: next.question,
            settles: left.settled(&next),
            reading: deciding(errors.at(next.place), &questions[next.question].happens),
        });
        left.free_of(&next, accuracy_m);
    }
    found
}

/// What isn't told yet.
struct Left<'a> {
    questions: &'a [Question],
    /// Freed of what is told, mean 0.
    errors: Errors,
    outcomes: Vec<Vec<f64>>,
    /// Of the outcomes at the start.
    variances: Vec<f64>,
    /// Places that are shot: once is enough.
    shot: Vec<usize>,
}

/// The shot that tells most of what is left.
struct Next {
    place: usize,
    question: usize,
    /// Variance of that question that it takes away.
    gain: f64,
}

impl<'a> Left<'a> {
    fn of(errors: &Errors, questions: &'a [Question]) -> Self {
        let mut errors = errors.clone();
        for values in errors.each_mut() {
            let mean = mean(values.iter().map(|&value| f64::from(value)));
            #[expect(clippy::cast_possible_truncation, reason = "errors are held in single precision")]
            for value in values.iter_mut() {
                *value = (f64::from(*value) - mean) as f32;
            }
        }
        let outcome = |question: &Question| {
            let all = || question.happens.iter().map(|&happens| f64::from(u8::from(happens)));
            let mean = mean(all());
            all().map(|one| one - mean).collect::<Vec<f64>>()
        };
        let outcomes: Vec<Vec<f64>> = questions.iter().map(outcome).collect();
        let variances = outcomes.iter().map(|one| mean(one.iter().map(|y| y * y))).collect();
        Self { questions, errors, outcomes, variances, shot: Vec::new() }
    }

    fn most_telling(&self, accuracy_m: f64) -> Option<Next> {
        let mut best: Option<(f64, Next)> = None;
        for place in (0..self.errors.places()).filter(|place| !self.shot.contains(place)) {
            let error = self.errors.at(place);
            let spread = variance(error) + accuracy_m * accuracy_m;
            let gains = self.outcomes.iter().map(|y| covariance(error, y).powi(2) / spread);
            let gains: Vec<f64> = gains.collect();
            let weighted = |question: usize| gains[question] * self.questions[question].weight.powi(2);
            let sum: f64 = (0..gains.len()).map(weighted).sum();
            if best.as_ref().is_none_or(|(most, _)| sum > *most) {
                let question = (0..gains.len()).max_by(|&a, &b| weighted(a).total_cmp(&weighted(b)))?;
                best = Some((sum, Next { place, question, gain: gains[question] }));
            }
        }
        best.map(|(_, next)| next).filter(|next| self.is_more_than_chance(next))
    }

    #[expect(clippy::cast_precision_loss, reason = "places and realisations stay far below 2^52")]
    fn is_more_than_chance(&self, next: &Next) -> bool {
        let left = mean(self.outcomes[next.question].iter().map(|y| y * y));
        let chance = 3.0 * (self.errors.places().max(2) as f64).ln() / self.errors.realisations as f64;
        next.gain > chance * left && next.gain > LEAST_GAIN * self.variances[next.question]
    }

    /// Share of its question that is told with it.
    fn settled(&self, next: &Next) -> f64 {
        let left = mean(self.outcomes[next.question].iter().map(|y| y * y)) - next.gain;
        1.0 - left / self.variances[next.question]
    }

    /// Takes away what a shot tells.
    ///
    /// With the reading's variance v + a², covariances fall by their products over that: as when each series
    /// loses 1 - sqrt(a² / (v + a²)) of its regression on the error.
    fn free_of(&mut self, told: &Next, accuracy_m: f64) {
        self.shot.push(told.place);
        let by: Vec<f32> = self.errors.at(told.place).to_vec();
        let spread = variance(&by);
        let share = 1.0 - (accuracy_m * accuracy_m / (spread + accuracy_m * accuracy_m)).sqrt();
        for outcome in &mut self.outcomes {
            let factor = share * covariance(&by, outcome) / spread;
            for (y, &e) in outcome.iter_mut().zip(&by) {
                *y -= factor * f64::from(e);
            }
        }
        for error in self.errors.each_mut() {
            let both = mean(error.iter().zip(&by).map(|(&a, &b)| f64::from(a) * f64::from(b)));
            #[expect(clippy::cast_possible_truncation, reason = "errors are held in single precision")]
            let factor = (share * both / spread) as f32;
            for (value, &e) in error.iter_mut().zip(&by) {
                *value -= factor * e;
            }
        }
    }
}

/// The reading that parts the outcomes best: the variance within both sides is least.
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "realisations stay far below 2^52"
)]
fn deciding(errors: &[f32], happens: &[bool]) -> Reading {
    let mut sorted: Vec<(f32, bool)> = errors.iter().copied().zip(happens.iter().copied()).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (all, hits) = (sorted.len(), sorted.iter().filter(|(_, happens)| *happens).count());
    let least = ((LEAST_SIDE * all as f64).ceil() as usize).max(1);
    let within = |hits: usize, of: usize| hits as f64 * (of - hits) as f64 / of as f64;
    let mut below = 0;
    let mut best: Option<(f64, usize, usize)> = None;
    for (place, &(_, happens)) in sorted.iter().enumerate() {
        let count = place + 1;
        below += usize::from(happens);
        if count < least || count + least > all {
            continue;
        }
        let open = within(below, count) + within(hits - below, all - count);
        if best.is_none_or(|(least, ..)| open < least) {
            best = Some((open, count, below));
        }
    }
    let (_, count, below) = best.expect("there are two realisations or more");
    Reading {
        error_m: 0.5 * (f64::from(sorted[count - 1].0) + f64::from(sorted[count].0)),
        above: Likelihood::new(hits - below, all - count),
        below: Likelihood::new(below, count),
    }
}

#[expect(clippy::cast_precision_loss, reason = "realisations stay far below 2^52")]
fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0_usize);
    for value in values {
        sum += value;
        count += 1;
    }
    sum / count as f64
}

/// Of a series of mean 0.
fn variance(values: &[f32]) -> f64 {
    mean(values.iter().map(|&value| f64::from(value).powi(2)))
}

/// Of two series of mean 0.
fn covariance(a: &[f32], b: &[f64]) -> f64 {
    mean(a.iter().zip(b).map(|(&a, b)| f64::from(a) * b))
}

#[cfg(test)]
#[path = "settling_tests.rs"]
mod tests;
