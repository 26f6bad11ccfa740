//! Belief: what tries make of the prior: shares by skill, one effect a student.

use super::draw::Draws;

/// Where every skill's share begins, in tries: so many met, so many missed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Prior {
    /// Met, 1 at least.
    pub met: u32,
    /// Missed, 1 at least.
    pub missed: u32,
}

/// The most tries that a prior may be worth, met or missed: more would outweigh a season.
const MOST_PRIOR: u32 = 50;

impl Prior {
    /// A prior as it is typed: `7/10` for seven met of ten; `None` for anything else.
    ///
    /// ```
    /// use tallywater_core::plan::expect::Prior;
    /// assert_eq!(Prior::typed("7/10"), Some(Prior { met: 7, missed: 3 }));
    /// assert_eq!(Prior::typed("10/7"), None);
    /// ```
    pub fn typed(text: &str) -> Option<Self> {
        let (met, of) = text.split_once('/')?;
        let number = |part: &str| part.trim().parse::<u32>().ok();
        let (met, of) = (number(met)?, number(of)?);
        let missed = of.checked_sub(met)?;
        Some(Self { met, missed })
    }

    /// Whether both are in bounds.
    ///
    /// # Errors
    /// Which is not, what it is, and the least and the most of it.
    pub fn sound(self) -> Result<Self, (&'static str, u32, [u32; 2])> {
        for (name, tries) in [("met", self.met), ("missed", self.missed)] {
            if !(1..=MOST_PRIOR).contains(&tries) {
                return Err((name, tries, [1, MOST_PRIOR]));
            }
        }
        Ok(self)
    }
}

impl Default for Prior {
    /// Seven of ten, worth as much as ten tries: a house default from memory, with no
    /// published source, for a school without a history.
    fn default() -> Self {
        Self { met: 7, missed: 3 }
    }
}

/// Tries of one skill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// Met.
    pub met: u32,
    /// Tried and not met.
    pub missed: u32,
}

/// All tries that are known.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Evidence {
    /// Where every skill begins.
    pub prior: Prior,
    /// By person and skill. First the students of the course that is asked about, then
    /// whoever else the school has taught.
    pub tries: Vec<Vec<Tally>>,
}

/// More tries of a skill than this say no more about it here: a share drifts with season
/// and staff.
const MOST_TRIES: u32 = 60;
/// Effects of a student that are looked at, in spreads either side of nought.
const STEPS: [f64; 13] = [
    -3.0, -2.5, -2.0, -1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0,
];
/// Spreads that are looked at, in logarithms of odds, to so much that one student in six has
/// less than a quarter of the others' odds. Each begins as believable as it is large: few
/// tries look as if all students were alike, and that must not be believed too soon (Chung,
/// Y. et al., A nondegenerate penalized likelihood estimator for variance parameters in
/// multilevel models, Psychometrika 78, 2013, p. 685).
const SPREADS: [f64; 7] = [0.05, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5];

/// What is believed.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    /// By skill, in tries.
    shares: Vec<(u32, u32)>,
    /// By spread.
    spreads: Vec<f64>,
}

impl Belief {
    /// From all tries.
    pub fn of(evidence: &Evidence) -> Self {
        let skills = evidence.tries.iter().map(Vec::len).max().unwrap_or(0);
        let mut shares = Vec::new();
        for skill in 0..skills {
            let of = evidence.tries.iter().filter_map(|tries| tries.get(skill));
            let (met, missed) = of.fold((0_u32, 0_u32), |(met, missed), one| {
                (
                    met.saturating_add(one.met),
                    missed.saturating_add(one.missed),
                )
            });
            let (met, missed) = at_most(met, missed);
            let prior = evidence.prior;
            shares.push((prior.met.max(1) + met, prior.missed.max(1) + missed));
        }
        let means: Vec<f64> = shares
            .iter()
            .map(|(met, missed)| mean(*met, *missed))
            .collect();
        // Scaled by the largest after each person: a product of hundreds would underflow.
        let mut spreads = SPREADS.to_vec();
        for tries in evidence.tries.iter().filter(|tries| tries.iter().any(any)) {
            for (weight, spread) in spreads.iter_mut().zip(SPREADS) {
                *weight *= weights(tries, &means, spread).iter().sum::<f64>();
            }
            let most = spreads.iter().copied().fold(0.0, f64::max);
            if most > 0.0 {
                spreads.iter_mut().for_each(|weight| *weight /= most);
            }
        }
        Self { shares, spreads }
    }

    /// One possible truth: the chance of each of the first `students` with each skill.
    pub fn draw(&self, evidence: &Evidence, students: usize, draws: &mut Draws) -> Vec<Vec<f64>> {
        let shares: Vec<f64> = self
            .shares
            .iter()
            .map(|(met, missed)| draws.beta(*met, *missed))
            .collect();
        let spread = SPREADS
            .get(draws.place(&self.spreads))
            .copied()
            .unwrap_or(0.0);
        let nobody = Vec::new();
        (0..students)
            .map(|student| {
                let tries = evidence.tries.get(student).unwrap_or(&nobody);
                let place = draws.place(&weights(tries, &shares, spread));
                let effect = STEPS.get(place).copied().unwrap_or(0.0) * spread;
                shares
                    .iter()
                    .map(|share| shifted(*share, grown(effect)))
                    .collect()
            })
            .collect()
    }

    /// The mean chance of a student's next try, by skill.
    pub fn chances(&self, evidence: &Evidence, student: usize) -> Vec<f64> {
        let shares = self.shares.iter();
        let means: Vec<f64> = shares.map(|(met, missed)| mean(*met, *missed)).collect();
        let nobody = Vec::new();
        let tries = evidence.tries.get(student).unwrap_or(&nobody);
        // How believable each effect on the odds is, over all spreads.
        let mut effects: Vec<(f64, f64)> = Vec::new();
        for (believed, spread) in self.spreads.iter().zip(SPREADS) {
            let weights = weights(tries, &means, spread);
            effects.extend(
                weights
                    .iter()
                    .zip(STEPS)
                    .map(|(weight, step)| (believed * weight, grown(step * spread))),
            );
        }
        let whole: f64 = effects.iter().map(|(weight, _)| weight).sum();
        let of = |share: f64| {
            let sum: f64 = effects
                .iter()
                .map(|(weight, odds)| weight * shifted(share, *odds))
                .sum();
            if whole > 0.0 { sum / whole } else { share }
        };
        means.iter().map(|share| of(*share)).collect()
    }
}

fn any(tally: &Tally) -> bool {
    tally.met + tally.missed > 0
}

fn mean(met: u32, missed: u32) -> f64 {
    f64::from(met) / f64::from(met + missed)
}

/// Tries scaled down to as many as are believed, rounded to the nearest.
fn at_most(met: u32, missed: u32) -> (u32, u32) {
    let all = met.saturating_add(missed);
    if all <= MOST_TRIES {
        return (met, missed);
    }
    let scaled = (u64::from(met) * u64::from(MOST_TRIES) + u64::from(all) / 2) / u64::from(all);
    let met = u32::try_from(scaled).unwrap_or(MOST_TRIES).min(MOST_TRIES);
    (met, MOST_TRIES - met)
}

/// How believable each effect is for one person's tries, up to a common factor.
fn weights(tries: &[Tally], shares: &[f64], spread: f64) -> [f64; 13] {
    let mut weights = STEPS.map(|step| grown(-step * step / 2.0));
    // The prior of an effect is a whole of one, whatever the spread.
    let whole: f64 = weights.iter().sum();
    for (weight, step) in weights.iter_mut().zip(STEPS) {
        *weight /= whole;
        let odds = grown(step * spread);
        for (tally, share) in tries.iter().zip(shares) {
            if any(tally) {
                let chance = shifted(*share, odds);
                *weight *= power(chance, tally.met) * power(1.0 - chance, tally.missed);
            }
        }
    }
    weights
}

/// A share with its odds multiplied.
fn shifted(share: f64, odds: f64) -> f64 {
    let up = share * odds;
    up / (up + 1.0 - share)
}

/// A power of a whole number, by multiplication alone; beyond a hundred it is that of a
/// hundred, which no student tries.
fn power(base: f64, times: u32) -> f64 {
    (0..times.min(100)).fold(1.0, |all, _| all * base)
}

/// The exponential, as (1 + x / 4096) to the 4096: within a thousandth where it is used, and
/// by multiplication alone, so the same everywhere.
fn grown(x: f64) -> f64 {
    (0..12).fold(1.0 + x / 4096.0, |all, _| all * all)
}
