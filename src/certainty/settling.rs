//! Which few shots of the ground would tell most of what repeats leave open.

use super::reading::{Reading, deciding};

/// A pair is taken where it tells more than so many times what the best single shot does: else that is taken, and then the
/// next.
const PAIR_GAIN: f64 = 2.0;
/// Once in so many looks at errors that go with nothing a pair may be taken.
const PAIR_BY_CHANCE: f64 = 100.0;
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

    /// Of the one place less the other.
    fn difference(&self, of: usize, less: usize) -> Vec<f32> {
        self.at(of).iter().zip(self.at(less)).map(|(a, b)| a - b).collect()
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
    /// What its reading by itself says of that question.
    pub reading: Reading,
    /// The shot before it, if it was taken for the difference to that one.
    pub compared: Option<Comparison>,
}

/// What the difference of two shots says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// Place of the other among the errors.
    pub with: usize,
    /// What this one's error less the other's says.
    pub reading: Reading,
}

/// The shots, the most telling first; none where neither a single one nor one of the `pairs` (two places among the errors)
/// tells more than chance would.
///
/// # Method
/// Of a question with outcome y (1 or 0) a reading of an error e takes away cov(e, y)² / (var e + a²) of its
/// variance p (1 - p) by a straight line, with a the shot's standard error; of all questions this is summed
/// with their weights squared. The place with the largest sum is taken, the errors and outcomes are freed of
/// what it tells, and the next is looked for. What m places and n realisations show by chance alone stays below
/// 3 ln m / n of the variance but once in a hundred or more (the largest of m squared normal deviates).
///
/// Two readings take away c' (V + a² I)⁻¹ c, with V their errors' covariances and c those with y. Where errors hang together
/// over a distance each of two sills tells little and their difference nearly all, so that two are taken at once where they
/// tell more than twice what one does. By chance the best of M pairs stays below 2 ln(100 M) / n but once in a hundred (each
/// is a sum of two squared normal deviates, above x in exp(-x/2) of the cases).
///
/// # Source
/// The variance that is left given a linear reading is that of the best linear predictor (N. Cressie 1993,
/// Statistics for Spatial Data, chapter 3; from memory).
#[must_use]
pub fn telling_shots(
    errors: &Errors,
    questions: &[Question],
    pairs: &[(usize, usize)],
    accuracy_m: f64,
    most: usize,
) -> Vec<Telling> {
    let mut left = Left::of(errors, questions);
    let mut found = Vec::new();
    while found.len() < most {
        let single = left.most_telling(accuracy_m);
        let pair = if found.len() + 2 <= most { left.most_telling_pair(pairs, accuracy_m) } else { None };
        let enough = single.as_ref().map_or(0.0, |single| PAIR_GAIN * single.weighted);
        if let Some(pair) = pair.filter(|pair| pair.weighted > enough) {
            let [first, second] = pair.places;
            found.push(left.take(errors, first, pair.question, accuracy_m));
            let reading = deciding(&errors.difference(second, first), &questions[pair.question].happens);
            let compared = Comparison { with: first, reading };
            let second = left.take(errors, second, pair.question, accuracy_m);
            found.push(Telling { compared: Some(compared), ..second });
        } else if let Some(single) = single {
            found.push(left.take(errors, single.place, single.question, accuracy_m));
        } else {
            break;
        }
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
    /// Variance that it takes away of all questions, weighted.
    weighted: f64,
    /// Variance of that question that it takes away.
    gain: f64,
}

/// The two that tell most together.
struct NextPair {
    /// The one that tells more by itself first.
    places: [usize; 2],
    question: usize,
    /// Variance that they take away of all questions, weighted.
    weighted: f64,
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
        let mut best: Option<Next> = None;
        for place in (0..self.errors.places()).filter(|place| !self.shot.contains(place)) {
            let gains = self.gains(place, accuracy_m);
            let (question, weighted) = self.weighed(&gains)?;
            if best.as_ref().is_none_or(|best| weighted > best.weighted) {
                best = Some(Next { place, question, weighted, gain: gains[question] });
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "places stay far below 2^52")]
        let chance = 3.0 * (self.errors.places().max(2) as f64).ln();
        best.filter(|next| self.is_more_than_chance(next.question, next.gain, chance))
    }

    fn most_telling_pair(&self, pairs: &[(usize, usize)], accuracy_m: f64) -> Option<NextPair> {
        let mut best: Option<(NextPair, f64)> = None;
        let nugget = accuracy_m * accuracy_m;
        for &(a, b) in pairs.iter().filter(|(a, b)| !self.shot.contains(a) && !self.shot.contains(b)) {
            let (of_a, of_b) = (self.errors.at(a), self.errors.at(b));
            let (va, vb) = (variance(of_a) + nugget, variance(of_b) + nugget);
            let both = mean(of_a.iter().zip(of_b).map(|(&a, &b)| f64::from(a) * f64::from(b)));
            let determinant = va * vb - both * both;
            if determinant <= 0.0 {
                continue;
            }
            let gain = |y: &Vec<f64>| {
                let (ca, cb) = (covariance(of_a, y), covariance(of_b, y));
                (vb * ca * ca - 2.0 * both * ca * cb + va * cb * cb) / determinant
            };
            let gains: Vec<f64> = self.outcomes.iter().map(gain).collect();
            let (question, weighted) = self.weighed(&gains)?;
            if best.as_ref().is_none_or(|(best, _)| weighted > best.weighted) {
                let is_first = self.gains(a, accuracy_m)[question] >= self.gains(b, accuracy_m)[question];
                let places = if is_first { [a, b] } else { [b, a] };
                best = Some((NextPair { places, question, weighted }, gains[question]));
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "pairs stay far below 2^52")]
        let chance = 2.0 * (PAIR_BY_CHANCE * pairs.len() as f64).ln();
        best.filter(|(next, gain)| self.is_more_than_chance(next.question, *gain, chance))
            .map(|(next, _)| next)
    }

    /// Variance of each question that a shot takes away.
    fn gains(&self, place: usize, accuracy_m: f64) -> Vec<f64> {
        let error = self.errors.at(place);
        let spread = variance(error) + accuracy_m * accuracy_m;
        self.outcomes.iter().map(|y| covariance(error, y).powi(2) / spread).collect()
    }

    /// The question that gains most, and the sum of all, by their weights.
    fn weighed(&self, gains: &[f64]) -> Option<(usize, f64)> {
        let weighted = |question: usize| gains[question] * self.questions[question].weight.powi(2);
        let question = (0..gains.len()).max_by(|&a, &b| weighted(a).total_cmp(&weighted(b)))?;
        Some((question, (0..gains.len()).map(weighted).sum()))
    }

    /// `chance` is what errors that go with nothing show but once in a hundred or more, times the realisations, as a share
    /// of the variance.
    #[expect(clippy::cast_precision_loss, reason = "realisations stay far below 2^52")]
    fn is_more_than_chance(&self, question: usize, gain: f64, chance: f64) -> bool {
        let left = self.variance_left(question);
        let by_chance = chance / self.errors.realisations as f64;
        gain > by_chance * left && gain > LEAST_GAIN * self.variances[question]
    }

    fn variance_left(&self, question: usize) -> f64 {
        mean(self.outcomes[question].iter().map(|y| y * y))
    }

    /// Takes a shot: what it says by itself, of `errors` as they were at the start, and what is told with it.
    fn take(&mut self, errors: &Errors, place: usize, question: usize, accuracy_m: f64) -> Telling {
        self.free_of(place, accuracy_m);
        Telling {
            place,
            question,
            settles: 1.0 - self.variance_left(question) / self.variances[question],
            reading: deciding(errors.at(place), &self.questions[question].happens),
            compared: None,
        }
    }

    /// Takes away what a shot tells.
    ///
    /// With the reading's variance v + a², covariances fall by their products over that: as when each series
    /// loses 1 - sqrt(a² / (v + a²)) of its regression on the error.
    fn free_of(&mut self, place: usize, accuracy_m: f64) {
        self.shot.push(place);
        let by: Vec<f32> = self.errors.at(place).to_vec();
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
