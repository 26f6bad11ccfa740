//! Activity: what happened, line by line, newest first: the journal of a course.

use super::history::Withdrawn;
use super::reader::{count, session_title, skill_name};
use super::{Leave, Moment, Reader, StaffName, WhoName};
use crate::course::{CourseId, EntryId, Role, SessionId, SkillId};
use crate::entry::{Body, Kind, Said, Who};
use crate::standing::{Counted, CourseStanding};
use crate::trust::Doubt;

/// The journal of a course.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ActivityView {
    /// Of which course.
    pub course: CourseId,
    /// The lines that were asked for, newest first.
    pub rows: Vec<ActivityRow>,
    /// How many lines fit what was asked, shown or not.
    pub of: u32,
    /// Lines that count for nothing, and why.
    pub unverified: Vec<Unverified>,
    /// Lines from a newer version.
    pub newer: Vec<EntryId>,
}

/// A line that counts for nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Unverified {
    /// Its entry.
    pub entry: EntryId,
    /// Why it does not count.
    pub doubt: Doubt,
}

/// One line.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ActivityRow {
    /// Its entry.
    pub entry: EntryId,
    /// What kind.
    pub kind: Kind,
    /// Who wrote it.
    pub by: StaffName,
    /// In which role.
    pub role: Role,
    /// On which device.
    pub device: String,
    /// When, by the writing device's clock.
    pub at: Moment,
    /// About whom: one person, or several in an incident.
    pub who: Vec<WhoName>,
    /// About which skill.
    pub skill: Option<SkillId>,
    /// Its name.
    pub skill_name: Option<String>,
    /// In which session.
    pub session: Option<SessionId>,
    /// Its title.
    pub session_title: Option<String>,
    /// What was said, as far as a word or a figure says it.
    pub said: Said,
    /// The withdrawal that took it out, if one did.
    pub withdrawn: Option<Withdrawn>,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

/// Which lines of the journal are asked for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ActivityOf {
    /// About this person only.
    pub who: Option<Who>,
    /// In this session only.
    pub session: Option<SessionId>,
    /// Of these kinds only; all when empty.
    pub kinds: Vec<Kind>,
    /// At most so many.
    pub most: usize,
}

impl ActivityView {
    /// The lines that fit, newest first.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, asked: &ActivityOf) -> Self {
        let mut fitting: Vec<&Counted> = course
            .tally()
            .iter()
            .filter(|one| asked.kinds.is_empty() || asked.kinds.contains(&one.entry.body.kind()))
            .filter(|one| {
                let about = subject(course, one).entry.body.about();
                asked.who.is_none_or(|who| about.who.contains(&who))
                    && asked.session.is_none_or(|id| about.session == Some(id))
            })
            .collect();
        fitting.sort_by_key(|one| std::cmp::Reverse((one.entry.at, one.entry.id)));
        Self {
            course: *course.id(),
            of: count(fitting.len()),
            rows: fitting
                .into_iter()
                .take(asked.most)
                .map(|one| ActivityRow::of(course, reader, one))
                .collect(),
            unverified: course
                .tally()
                .unverified()
                .iter()
                .map(|(id, doubt)| Unverified {
                    entry: *id,
                    doubt: *doubt,
                })
                .collect(),
            newer: course.tally().newer().iter().copied().collect(),
        }
    }
}

/// The entry that says whom and what a line is about: of a withdrawal what it takes out, of a
/// return what was issued.
fn subject<'a>(course: &'a CourseStanding, one: &'a Counted) -> &'a Counted {
    let about = course.tally().target(&one.entry.id).unwrap_or(one);
    if let Body::KitReturned(returned) = &about.entry.body {
        course.tally().get(&returned.issue).unwrap_or(about)
    } else {
        about
    }
}

/// Lines in order, the newest first.
pub(super) fn newest_first(mut rows: Vec<ActivityRow>) -> Vec<ActivityRow> {
    rows.sort_by_key(|row| std::cmp::Reverse((row.at.at, row.entry)));
    rows
}

impl ActivityRow {
    /// A line of the journal. A withdrawal is about what it takes out.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, one: &Counted) -> Self {
        let id = one.entry.id;
        let target = course.tally().target(&id);
        let about = subject(course, one).entry.body.about();
        Self {
            entry: id,
            kind: one.entry.body.kind(),
            by: reader.staff(&one.entry.by),
            role: one.writer.role,
            device: reader.device(one),
            at: reader.when(one.entry.at),
            who: about.who.iter().map(|who| reader.who(who)).collect(),
            skill_name: about.skill.map(|id| skill_name(course, id)),
            skill: about.skill.cloned(),
            session: about.session,
            session_title: about.session.and_then(|id| session_title(course, &id)),
            said: said(&one.entry.body, target),
            withdrawn: Withdrawn::of(course, reader, &id),
            may_withdraw: reader.may_withdraw(course, one),
        }
    }
}

fn said(body: &Body, target: Option<&Counted>) -> Said {
    match body.says() {
        Said::Withdrew(_) => Said::Withdrew(target.map(|one| one.entry.body.kind())),
        said @ (Said::Nothing
        | Said::Mark(_)
        | Said::Clearance(..)
        | Said::Passage(_)
        | Said::Outcome(_)
        | Said::Confirmed(_)
        | Said::Assigned(_)) => said,
    }
}
