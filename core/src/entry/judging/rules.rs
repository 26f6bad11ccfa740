//! What may be recorded of judging.

use chrono::NaiveDate;

use super::{Attempt, Completion, Confirmation, Exemption, Mark, Outcome, Resolution, Withdrawal};
use crate::entry::bounds::{self, NOTE};
use crate::entry::rules::{Asked, Rule, each, known, may_withdraw, open};
use crate::entry::shortfall::{self, suits};
use crate::entry::{Kind, Refusal};

impl Exemption {
    /// The day on which it was judged elsewhere, where that is known.
    pub(in crate::entry) fn judged_on(&self) -> Option<NaiveDate> {
        let judged = self.elsewhere.as_ref()?.judged.as_ref()?;
        Some(judged.on)
    }
}

impl Rule for Attempt {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.student(&self.student)?;
        let skill = at.skill(&self.skill)?;
        if let Some(method) = &self.method {
            let mut methods = skill.methods.iter();
            known("method", methods.any(|known| &known.id == method))?;
        }
        for slip in &self.slips {
            known("slip", skill.slips.iter().any(|known| &known.id == slip))?;
        }
        // A session that was cancelled on one device while another ran it all the same keeps
        // its marks: losing them would be worse than the contradiction, which is shown.
        each(&self.session, |id| at.session(id))?;
        let not_measured = || Refusal::NotMeasured {
            skill: self.skill.clone(),
        };
        if self.mark == Mark::SatOut && !self.measured.is_empty() {
            return Err(not_measured());
        }
        for measured in &self.measured {
            let mut measures = skill.requirement.measures.iter();
            if !measures.any(|measure| suits(*measured, measure)) {
                return Err(not_measured());
            }
            let (field, most) = measured.most();
            bounds::figure(field, i64::from(measured.base()), 0, i64::from(most))?;
        }
        bounds::optional("note", self.note.as_ref(), NOTE)?;
        bounds::optional("reason", self.despite.as_ref(), NOTE)?;
        shortfall::reason_given(skill, self)?;
        bounds::origin(self.origin)
    }
}

impl Rule for Confirmation {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::figure("attempts", bounds::count(self.attempts.len()), 1, 10_000)?;
        let mut attempts = self.attempts.iter();
        attempts.try_for_each(|id| at.entry(id, Kind::Attempt, "attempt"))?;
        // Of several, a colleague may have confirmed some meanwhile: that takes nothing from the
        // others.
        open(self.attempts.iter().any(|id| at.facts.waits(id)))
    }
}

impl Rule for Resolution {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.student(&self.student)?;
        at.skill(&self.skill)?;
        bounds::text("reason", &self.why, NOTE)?;
        // Sitting out is no view: it settles nothing.
        open(self.mark != Mark::SatOut && at.facts.needs_settling(&self.student, &self.skill))
    }
}

impl Rule for Exemption {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.student(&self.student)?;
        at.skill(&self.skill)?;
        bounds::exemption(self)?;
        open(!at.facts.exempt(&self.student, &self.skill))
    }
}

impl Rule for Withdrawal {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::optional("reason", self.why.as_ref(), NOTE)?;
        let entry = self.entry;
        match at.facts.entry(&entry) {
            None => Err(Refusal::Unknown { what: "entry" }),
            Some((_, _, false)) => Err(Refusal::CountsNot { entry }),
            Some((kind, by, true)) => {
                if may_withdraw(at.writer, kind, by, at.facts.confirmed(&entry)) {
                    Ok(())
                } else {
                    Err(Refusal::NotYours { entry })
                }
            }
        }
    }
}

impl Rule for Completion {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.student(&self.student)?;
        open(!at.facts.ended(&self.student))?;
        if self.considered != at.facts.about(&self.student) {
            return Err(Refusal::LookedAtEarlier);
        }
        let count = at.facts.completion_gaps(&self.student);
        if self.outcome == Outcome::Completed && count > 0 {
            return Err(Refusal::GapsOpen { count });
        }
        Ok(())
    }
}
