//! Answers: what a calculator has worked out, being put together.

use super::{AnswerKey, AnswerNote, CalculatorAnswer, CalculatorAnswers};
use crate::{Calculation, Caution, Figure, InWaterCheck, UnitOfMeasure, sources};

/// The answers so far.
pub(super) struct Answers(CalculatorAnswers);

impl Answers {
    /// None yet, from this calculation, with what to say beside it.
    pub(super) fn of(calculation: Calculation, caution: Caution) -> Self {
        Self(CalculatorAnswers {
            answers: Vec::new(),
            to_confirm: Vec::new(),
            cautions: vec![caution],
            sources: sources(calculation),
        })
    }

    /// The one that was asked for.
    pub(super) fn main(self, key: AnswerKey, figure: Figure, note: Option<AnswerNote>) -> Self {
        self.push(key, figure, true, note)
    }

    /// One beside it.
    pub(super) fn also(self, key: AnswerKey, figure: Figure) -> Self {
        self.push(key, figure, false, None)
    }

    /// One beside it that needs a word.
    pub(super) fn noted(self, key: AnswerKey, figure: Figure, note: Option<AnswerNote>) -> Self {
        self.push(key, figure, false, note)
    }

    /// What another calculation that took part rests on.
    pub(super) fn from(mut self, calculation: Calculation) -> Self {
        for source in sources(calculation) {
            if !self.0.sources.contains(&source) {
                self.0.sources.push(source);
            }
        }
        self
    }

    /// What else to say beside it.
    pub(super) fn caution(mut self, caution: Caution) -> Self {
        if !self.0.cautions.contains(&caution) {
            self.0.cautions.push(caution);
        }
        self
    }

    /// What the check in the water must confirm.
    pub(super) fn confirm(mut self, checks: Vec<InWaterCheck>) -> Self {
        self.0.to_confirm = checks;
        self
    }

    pub(super) fn done(self) -> CalculatorAnswers {
        self.0
    }

    fn push(
        mut self,
        key: AnswerKey,
        figure: Figure,
        main: bool,
        note: Option<AnswerNote>,
    ) -> Self {
        let Figure { text, unit } = figure;
        self.0.answers.push(CalculatorAnswer {
            key,
            text,
            unit,
            main,
            note,
        });
        self
    }
}

/// No figure: the note says it.
pub(super) fn no_figure() -> Figure {
    Figure {
        text: String::new(),
        unit: UnitOfMeasure::One,
    }
}

/// A bare number or a letter, the same in every language.
pub(super) fn bare(text: impl ToString) -> Figure {
    Figure {
        text: text.to_string(),
        unit: UnitOfMeasure::One,
    }
}
