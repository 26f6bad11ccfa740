//! How far an instructor and an assistant agree on what they both scored.
//!
//! Source: Cohen, J., A coefficient of agreement for nominal scales, Educ. Psychol. Meas. 20, 1960,
//! p. 37. Standard errors: Fleiss, J. L., Cohen, J. and Everitt, B. S., Large sample standard errors of
//! kappa and weighted kappa, Psychol. Bull. 72, 1969, p. 323 (formulas 13 and 14). The count comes
//! first: with twenty items kappa is uncertain by 0.15 to 0.2, and where both gave one mark
//! throughout it is not defined at all: there was no disagreement in so many items, and that is
//! all that can be said.

use super::level::Level;
use super::share::{ShareMet, share_met};
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, counted, listed};
use crate::calc::unit::Coefficient;

/// Agreement beyond chance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kappa {
    /// It can be computed.
    Of {
        /// Kappa, -1 to 1.
        kappa: Coefficient,
        /// Its standard error.
        error: Coefficient,
        /// The standard error that holds if they agree by chance alone.
        error_by_chance: Coefficient,
        /// The lower end of its interval at the level that was asked.
        low: Coefficient,
        /// The upper end, at most 1.
        high: Coefficient,
    },
    /// Both gave one and the same mark throughout: no disagreement in so many items.
    NoDisagreement {
        /// How many.
        items: u32,
    },
}

/// How far two judges agree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreement {
    /// Items that both scored.
    pub items: u32,
    /// Items to which both gave the same mark.
    pub same: u32,
    /// The share of the same, with its interval.
    pub share: ShareMet,
    /// Agreement beyond chance.
    pub kappa: Kappa,
    /// What to say beside it.
    pub caution: Caution,
}

/// Agreement from a square table of counts: one line for each mark of the first judge, one column
/// for each mark of the second, in the same order.
///
/// # Errors
/// Fewer than 2 or more than 10 marks, a table that is not square, no item or more than 100 000.
///
/// ```
/// use tallywater_core::calc::evidence::{Kappa, Level, agreement};
/// let both = agreement(&[vec![20, 5], vec![10, 15]], Level::NinetyFive)?;
/// assert!(matches!(both.kappa, Kappa::Of { kappa, .. } if (kappa.0 - 0.4).abs() < 1e-12));
/// let easy = agreement(&[vec![12, 0], vec![0, 0]], Level::NinetyFive)?;
/// assert_eq!(easy.kappa, Kappa::NoDisagreement { items: 12 });
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn agreement(table: &[Vec<u32>], level: Level) -> Result<Agreement, OutsideTable> {
    let marks = listed(Quantity::Categories, table, 2, 10)?;
    let mut items = 0;
    for line in table {
        listed(Quantity::Categories, line, marks, marks)?;
        for cell in line {
            items += counted(Quantity::ScoredItems, *cell, 0, 100_000)?;
        }
    }
    counted(Quantity::ScoredItems, items, 1, 100_000)?;
    let same = table
        .iter()
        .enumerate()
        .filter_map(|(mark, line)| line.get(mark))
        .sum();
    Ok(Agreement {
        items,
        same,
        share: share_met(same, items, level)?,
        kappa: Shares::of(table, items).kappa(items, level),
        caution: Caution::TooFewToProve,
    })
}

/// The table as shares of all items.
struct Shares {
    /// (first judge's mark, second judge's mark, share)
    cells: Vec<(usize, usize, f64)>,
    first: Vec<f64>,
    second: Vec<f64>,
}

impl Shares {
    fn of(table: &[Vec<u32>], items: u32) -> Self {
        let n = f64::from(items);
        let cells: Vec<(usize, usize, f64)> = table
            .iter()
            .enumerate()
            .flat_map(|(first, line)| {
                line.iter()
                    .enumerate()
                    .map(move |(second, count)| (first, second, f64::from(*count) / n))
            })
            .collect();
        let sum = |of: fn(&(usize, usize, f64)) -> usize, mark: usize| {
            cells
                .iter()
                .filter(|cell| of(cell) == mark)
                .map(|(_, _, share)| share)
                .sum()
        };
        let first = (0..table.len())
            .map(|mark| sum(|cell| cell.0, mark))
            .collect();
        let second = (0..table.len())
            .map(|mark| sum(|cell| cell.1, mark))
            .collect();
        Self {
            cells,
            first,
            second,
        }
    }

    fn kappa(&self, items: u32, level: Level) -> Kappa {
        let n = f64::from(items);
        let observed: f64 = self
            .cells
            .iter()
            .filter(|(i, j, _)| i == j)
            .map(|(_, _, share)| share)
            .sum();
        let both = || self.first.iter().zip(&self.second);
        let chance: f64 = both().map(|(first, second)| first * second).sum();
        // Only one mark, given by both throughout, leaves nothing to chance.
        if 1.0 - chance < 1e-12 {
            return Kappa::NoDisagreement { items };
        }
        let kappa = (observed - chance) / (1.0 - chance);

        let of = |list: &[f64], mark: usize| list.get(mark).copied().unwrap_or(0.0);
        let diagonal: f64 = self
            .cells
            .iter()
            .filter(|(i, j, _)| i == j)
            .map(|(i, j, share)| {
                share * (1.0 - (of(&self.first, *i) + of(&self.second, *j)) * (1.0 - kappa)).powi(2)
            })
            .sum();
        let beside: f64 = self
            .cells
            .iter()
            .filter(|(i, j, _)| i != j)
            .map(|(i, j, share)| share * (of(&self.second, *i) + of(&self.first, *j)).powi(2))
            .sum();
        let centre = (kappa - chance * (1.0 - kappa)).powi(2);
        let variance = diagonal + (1.0 - kappa).powi(2) * beside - centre;
        let crossed: f64 = both()
            .map(|(first, second)| first * second * (first + second))
            .sum();
        let by_chance = chance + chance * chance - crossed;

        let scale = (1.0 - chance) * n.sqrt();
        // Full agreement has no variance; the last bits can fall below nothing.
        let error = variance.max(0.0).sqrt() / scale;
        Kappa::Of {
            kappa: Coefficient(kappa),
            error: Coefficient(error),
            error_by_chance: Coefficient(by_chance.max(0.0).sqrt() / scale),
            low: Coefficient((kappa - level.z() * error).max(-1.0)),
            high: Coefficient((kappa + level.z() * error).min(1.0)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_that_is_not_square_is_refused() {
        let refused = agreement(&[vec![1, 2], vec![3]], Level::NinetyFive).unwrap_err();
        assert_eq!(refused.what, Quantity::Categories);
        assert!(agreement(&[vec![0, 0], vec![0, 0]], Level::NinetyFive).is_err());
    }

    #[test]
    fn one_mark_throughout_is_no_disagreement_and_two_are_full_agreement() {
        let one = agreement(&[vec![0, 0], vec![0, 9]], Level::NinetyFive).unwrap();
        assert_eq!(
            (one.kappa, one.same),
            (Kappa::NoDisagreement { items: 9 }, 9)
        );
        let two = agreement(&[vec![5, 0], vec![0, 4]], Level::NinetyFive).unwrap();
        assert!(matches!(two.kappa, Kappa::Of { kappa, .. } if (kappa.0 - 1.0).abs() < 1e-12));
    }

    #[test]
    fn a_judge_who_gives_one_mark_and_one_who_does_not_agree_by_chance() {
        let both = agreement(&[vec![8, 2], vec![0, 0]], Level::NinetyFive).unwrap();
        assert!(
            matches!(both.kappa, Kappa::Of { kappa, .. } if kappa.0.abs() < 1e-12),
            "{both:?}"
        );
    }
}
