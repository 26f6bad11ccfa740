//! Lost: buddies that nobody has found yet, as the water's screen shows them while it lasts; and
//! how an alarm ended.

use super::{Leave, Moment, Reader, Span, StaffName, WhoName};
use crate::course::{EntryId, SessionId};
use crate::entry::{AlarmEnd, AlarmRaised, Kind, Who};
use crate::standing::{Counted, CourseStanding};

/// A buddy who is not seen any more.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct LostRow {
    /// The entry that raised it.
    pub entry: EntryId,
    /// Since when.
    pub since: Moment,
    /// How long that is.
    pub elapsed: Span,
    /// Who is missing, where that was said.
    pub missing: Vec<WhoName>,
    /// Who reported it.
    pub reported_by: Option<WhoName>,
    /// Who pressed.
    pub by: StaffName,
    /// Whether the reader may say that it is over.
    pub may_end: Leave,
}

/// How an alarm ended.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct AlarmEndedRow {
    /// Its entry.
    pub entry: EntryId,
    /// How.
    pub how: AlarmEnd,
    /// When.
    pub when: Moment,
    /// Who said so.
    pub by: StaffName,
}

impl LostRow {
    /// The buddies of a session that are still missing, the longest first.
    pub(super) fn all(
        course: &CourseStanding,
        reader: &Reader<'_>,
        session: &SessionId,
    ) -> Vec<Self> {
        let lost = course.lost(session).into_iter();
        lost.map(|(one, raised)| Self::of(reader, one, raised))
            .collect()
    }

    fn of(reader: &Reader<'_>, one: &Counted, raised: &AlarmRaised) -> Self {
        Self {
            entry: one.entry.id,
            since: reader.when(raised.when),
            elapsed: Span::between(raised.when, reader.now),
            missing: people(reader, &raised.missing),
            reported_by: raised.reported_by.map(|who| reader.who(&who)),
            by: reader.staff(&one.entry.by),
            may_end: reader.may_write(Kind::AlarmEnded),
        }
    }
}

impl AlarmEndedRow {
    /// How an alarm ended; `None` while it goes on.
    pub(super) fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        alarm: &EntryId,
    ) -> Option<Self> {
        let (one, ended) = course.alarm_end(alarm)?;
        Some(Self {
            entry: one.entry.id,
            how: ended.how,
            when: reader.when(ended.when),
            by: reader.staff(&one.entry.by),
        })
    }
}

/// People by name, each once.
pub(super) fn people(reader: &Reader<'_>, who: &[Who]) -> Vec<WhoName> {
    let people = reader.people.in_order(who.iter().copied());
    people.iter().map(|who| reader.who(who)).collect()
}
