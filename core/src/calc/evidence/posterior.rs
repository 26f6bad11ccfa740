//! What a few tries make of an open mind: the posterior of a share.
//!
//! Source: Bayes, T. and Laplace, P. S. (rule of succession), as in Gelman, A. et al., Bayesian Data
//! Analysis, 3rd edition, 2013, section 2.4: Beta(1, 1) before, Beta(met + 1, missed + 1) after. With
//! whole numbers its distribution function is a binomial tail (Abramowitz and Stegun 1964, 26.5.24),
//! which is summed exactly; a quantile is found by bisection.

use super::level::{Interval, Level};
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, counted, within};
use crate::calc::unit::Share;

/// What is believed after the tries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Posterior {
    /// Its mean, (met + 1) / (tries + 2).
    pub mean: Share,
    /// Its equal-tailed interval.
    pub interval: Interval,
    /// The probability that the true share is above the mark that was asked.
    pub above: Share,
    /// What to say beside it.
    pub caution: Caution,
}

/// The posterior after `met` of `tries`, and the probability of a share above `mark`.
///
/// # Errors
/// More than 2000 tries, more met than tried, or a mark outside 0 to 1.
///
/// ```
/// use tallywater_core::calc::{evidence::{Level, posterior}, unit::Share};
/// let five = posterior(5, 5, Share(0.8), Level::NinetyFive)?;
/// assert!((five.mean.0 - 6.0 / 7.0).abs() < 1e-12 && (five.above.0 - 0.738).abs() < 5e-4);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn posterior(
    met: u32,
    tries: u32,
    mark: Share,
    level: Level,
) -> Result<Posterior, OutsideTable> {
    counted(Quantity::Tries, tries, 0, 2000)?;
    counted(Quantity::Met, met, 0, tries)?;
    let mark = within(Quantity::Probability, mark, Share(0.0), Share(1.0))?;
    let beta = Beta::new(met, tries);
    Ok(Posterior {
        mean: Share(f64::from(met + 1) / f64::from(tries + 2)),
        interval: Interval {
            low: Share(beta.quantile(level.tail())),
            high: Share(beta.quantile(1.0 - level.tail())),
        },
        above: Share(1.0 - beta.below(mark)),
        caution: Caution::TooFewToProve,
    })
}

/// Beta(met + 1, missed + 1).
struct Beta {
    met: u32,
    tries: u32,
    /// Logarithm of the number of ways to meet `met + 1` of `tries + 1`, and `met` of them.
    ways: [f64; 2],
}

impl Beta {
    fn new(met: u32, tries: u32) -> Self {
        Self {
            met,
            tries,
            ways: [ln_choose(tries + 1, met + 1), ln_choose(tries + 1, met)],
        }
    }

    /// P(share < x) = P(at least met + 1 of tries + 1 are met, each with probability x).
    fn below(&self, x: f64) -> f64 {
        if x <= 0.0 {
            return 0.0;
        }
        if x >= 1.0 {
            return 1.0;
        }
        let n = f64::from(self.tries + 1);
        let (first, before) = (f64::from(self.met + 1), f64::from(self.met));
        let odds = x / (1.0 - x);
        let [ways_first, ways_before] = self.ways;
        let term = |ways: f64, met: f64| (ways + met * x.ln() + (n - met) * (1.0 - x).ln()).exp();
        // Each tail is summed away from the middle, where its terms only fall.
        if first >= n * x {
            falling(term(ways_first, first), |step| {
                let met = first + step;
                (n - met) / (met + 1.0) * odds
            })
        } else {
            1.0 - falling(term(ways_before, before), |step| {
                let met = before - step;
                met / (n - met + 1.0) / odds
            })
        }
    }

    fn quantile(&self, probability: f64) -> f64 {
        let (mut low, mut high) = (0.0, 1.0);
        // 2^-60 is below what a share of this size can hold.
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if self.below(middle) < probability {
                low = middle;
            } else {
                high = middle;
            }
        }
        f64::midpoint(low, high)
    }
}

/// The sum of a first term and those that follow, each a ratio of the one before.
fn falling(first: f64, ratio: impl Fn(f64) -> f64) -> f64 {
    let (mut sum, mut term, mut step) = (first, first, 0.0);
    while term > sum * 1e-17 && term > 0.0 {
        term *= ratio(step);
        sum += term;
        step += 1.0;
    }
    sum
}

fn ln_choose(n: u32, k: u32) -> f64 {
    let k = k.min(n - k);
    (1..=k)
        .map(|step| (f64::from(n - k + step) / f64::from(step)).ln())
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_open_mind_is_a_straight_line() {
        for x in [0.0, 0.025, 0.3, 0.8, 1.0] {
            assert!((Beta::new(0, 0).below(x) - x).abs() < 1e-14, "{x}");
        }
    }

    #[test]
    fn all_met_is_a_power_and_quantiles_undo_it() {
        // Beta(n + 1, 1): P(share < x) = x^(n + 1).
        let beta = Beta::new(10, 10);
        assert!((beta.below(0.9) - 0.9_f64.powi(11)).abs() < 1e-14);
        assert!((beta.quantile(0.025) - 0.025_f64.powf(1.0 / 11.0)).abs() < 1e-14);
    }

    #[test]
    fn a_thousand_tries_neither_underflow_nor_lose_their_tail() {
        let beta = Beta::new(1000, 2000);
        assert!(
            (beta.below(0.5) - 0.5).abs() < 1e-12,
            "symmetric: {}",
            beta.below(0.5)
        );
        assert!(beta.below(0.4) > 0.0 && beta.below(0.4) < 1e-15);
    }

    #[test]
    fn more_met_than_tried_is_refused() {
        assert_eq!(
            posterior(4, 3, Share(0.8), Level::NinetyFive)
                .unwrap_err()
                .what,
            Quantity::Met
        );
        assert_eq!(
            posterior(1, 3, Share(f64::NAN), Level::NinetyFive)
                .unwrap_err()
                .what,
            Quantity::Probability
        );
    }
}
