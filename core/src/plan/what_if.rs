//! What if: the same course with one session more, one assistant more or one student fewer.
//! Each is rolled anew from the same seed, so the same question has the same answer.

use super::outlook::OutlookQuestion;

impl OutlookQuestion {
    /// The same with a free session after so many of those that are planned: of the kind that
    /// brings the class on most. The sessions planned behind it are left out, so what is asked
    /// is who has ended within so many and one.
    #[must_use]
    pub fn with_session_after(&self, planned: usize) -> Self {
        let mut other = self.clone();
        other.rolled.planned.truncate(planned);
        other
    }

    /// The same with an assistant more: a station more for each skill that the outline lets an
    /// assistant run, and none for the others.
    #[must_use]
    pub fn with_assistant(&self) -> Self {
        let mut other = self.clone();
        other.rolled.helpers = other.rolled.helpers.saturating_add(1);
        other
    }

    /// The same without the student at this place in the order asked, who goes elsewhere. What
    /// they tried still tells of the skills. Nobody goes where there is no such place.
    #[must_use]
    pub fn without(&self, place: usize) -> Self {
        let mut other = self.clone();
        let held = &mut other.rolled.held;
        if place < held.loads.len() {
            held.loads.remove(place);
        }
        if place < held.dives.len() {
            held.dives.remove(place);
        }
        if place < other.evidence.tries.len() {
            let tries = other.evidence.tries.remove(place);
            other.evidence.tries.push(tries);
        }
        other
    }
}
