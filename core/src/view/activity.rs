//! Activity: what happened, line by line, newest first: the journal of a course.

use super::cell::mark_of;
use super::history::Withdrawn;
use super::reader::{count, session_title, skill_name};
use super::{Leave, Moment, Reader, StaffName, WhoName};
use crate::course::{ClearanceKind, CourseId, EntryId, Role, SessionId, SkillId};
use crate::entry::{Body, ClearanceResult, Kind, Mark, Outcome, Passage, Who};
use crate::standing::{Counted, CourseStanding};
use crate::trust::Doubt;

/// The journal of a course.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ActivityView {
    /// Of which course.
    pub course: CourseId,
    /// The lines that were asked for, newest first.
    pub rows: Vec<ActivityRow>,
    /// How many lines fit what was asked, shown or not.
    pub of: u32,
    /// Lines that count for nothing, and why.
    pub unverified: Vec<(EntryId, Doubt)>,
    /// Lines from a newer version.
    pub newer: Vec<EntryId>,
}

/// One line.
#[derive(Debug, Clone, PartialEq, Eq)]
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

/// What a line said, as far as a word or a figure says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Said {
    /// The kind says it all.
    Nothing,
    /// A mark.
    Mark(Mark),
    /// A paper or a test.
    Clearance(ClearanceKind, ClearanceResult),
    /// Into the water, out, or absent.
    Passage(Passage),
    /// How a course ended.
    Outcome(Outcome),
    /// So many attempts or rules were confirmed.
    Confirmed(u32),
    /// An entry of this kind was withdrawn.
    Withdrew(Option<Kind>),
    /// Staff was assigned in this role.
    Assigned(Role),
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
                let about = About::of(&subject(course, one).entry.body);
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
                .map(|(id, doubt)| (*id, *doubt))
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
        let about = About::of(&subject(course, one).entry.body);
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

pub(crate) fn said(body: &Body, target: Option<&Counted>) -> Said {
    if let Some(mark) = mark_of(body) {
        return Said::Mark(mark);
    }
    match body {
        Body::Clearance(b) => Said::Clearance(b.what, b.result),
        Body::Attendance(b) => Said::Passage(b.passage),
        Body::Completion(b) => Said::Outcome(b.outcome),
        Body::Confirmation(b) => Said::Confirmed(count(b.attempts.len())),
        Body::PolicyConfirmed(b) => Said::Confirmed(count(b.rules.len())),
        Body::Withdrawal(_) => Said::Withdrew(target.map(|one| one.entry.body.kind())),
        Body::Assignment(b) => Said::Assigned(b.role),
        Body::ShopOpened(_)
        | Body::StaffJoined(_)
        | Body::StaffRenewed(_)
        | Body::Certificate(_)
        | Body::Revocation(_)
        | Body::LateAccepted(_)
        | Body::CourseListed(_)
        | Body::PersonForgotten(_)
        | Body::HoldSet(_)
        | Body::CourseDropped(_)
        | Body::Details(_)
        | Body::CourseOpened(_)
        | Body::Enrolment(_)
        | Body::Amendment(_)
        | Body::OutlineSet(_)
        | Body::PolicySet(_)
        | Body::SessionPlanned(_)
        | Body::SessionMoved(_)
        | Body::SessionCancelled(_)
        | Body::Attempt(_)
        | Body::Resolution(_)
        | Body::Exemption(_)
        | Body::Override(_)
        | Body::Note(_)
        | Body::WeightChecked(_)
        | Body::DiveLogged(_)
        | Body::Incident(_)
        | Body::Debrief(_)
        | Body::SiteSet(_)
        | Body::EmergencySet(_)
        | Body::EmergencyConfirmed(_)
        | Body::AlarmRaised(_)
        | Body::AlarmEnded(_)
        | Body::TeamsSet(_)
        | Body::IncidentMoment(_)
        | Body::IncidentPerson(_)
        | Body::IncidentFact(_)
        | Body::IncidentReport(_)
        | Body::IncidentReported(_)
        | Body::Attachment(_)
        | Body::AttachmentText(_)
        | Body::SlotSet(_)
        | Body::AwaySet(_)
        | Body::OwnDive(_)
        | Body::KitSet(_)
        | Body::KitRetired(_)
        | Body::KitFault(_)
        | Body::KitMended(_)
        | Body::KitIssued(_)
        | Body::KitReturned(_) => Said::Nothing,
    }
}

/// Whom, what and where an entry is about.
#[derive(Default)]
pub(crate) struct About<'a> {
    pub(crate) who: Vec<Who>,
    pub(crate) skill: Option<&'a SkillId>,
    pub(crate) session: Option<SessionId>,
}

impl<'a> About<'a> {
    pub(crate) fn of(body: &'a Body) -> Self {
        let student = |id| vec![Who::Student(id)];
        let mut about = Self::default();
        match body {
            Body::Enrolment(b) => about.who = student(b.student),
            Body::Amendment(b) => about.who = student(b.student),
            Body::Assignment(b) => about.who = vec![Who::Staff(b.staff)],
            Body::Clearance(b) => about.who = student(b.student),
            Body::Completion(b) => about.who = student(b.student),
            Body::Attempt(b) => {
                about.who = student(b.student);
                about.skill = Some(&b.skill);
                about.session = b.session;
            }
            Body::Resolution(b) => {
                about.who = student(b.student);
                about.skill = Some(&b.skill);
            }
            Body::Exemption(b) => {
                about.who = student(b.student);
                about.skill = Some(&b.skill);
            }
            Body::Override(b) => {
                about.who = student(b.student);
                about.session = Some(b.session);
            }
            Body::Note(b) => {
                about.who = b.student.map(Who::Student).into_iter().collect();
                about.skill = b.skill.as_ref();
                about.session = b.session;
            }
            Body::WeightChecked(b) => {
                about.who = student(b.student);
                about.session = b.session;
            }
            Body::DiveLogged(b) => {
                about.who = vec![b.who];
                about.session = b.session;
            }
            Body::OwnDive(b) => about.who = student(b.student),
            Body::Attendance(b) => {
                about.who = vec![b.who];
                about.session = Some(b.session);
            }
            Body::Incident(b) => {
                about.who.clone_from(&b.who);
                about.session = b.session;
            }
            Body::Debrief(b) => {
                about.who = student(b.student);
                about.session = Some(b.session);
            }
            Body::AlarmRaised(b) => {
                about.who.clone_from(&b.missing);
                about.session = Some(b.session);
            }
            Body::TeamsSet(b) => about.session = Some(b.session),
            Body::AwaySet(b) => about.who = vec![b.who],
            Body::KitIssued(b) => {
                about.who = vec![b.to];
                about.session = Some(b.session);
            }
            Body::IncidentMoment(b) => about.who = b.who.into_iter().collect(),
            Body::IncidentPerson(b) => about.who = b.who.into_iter().collect(),
            Body::Attachment(b) => {
                about.who = b.student.map(Who::Student).into_iter().collect();
                about.session = Some(b.session);
            }
            Body::SessionPlanned(b) => about.session = Some(b.session),
            Body::SessionMoved(b) => about.session = Some(b.session),
            Body::SessionCancelled(b) => about.session = Some(b.session),
            Body::ShopOpened(_)
            | Body::StaffJoined(_)
            | Body::StaffRenewed(_)
            | Body::Certificate(_)
            | Body::Revocation(_)
            | Body::LateAccepted(_)
            | Body::CourseListed(_)
            | Body::PersonForgotten(_)
            | Body::HoldSet(_)
            | Body::CourseDropped(_)
            | Body::Details(_)
            | Body::CourseOpened(_)
            | Body::OutlineSet(_)
            | Body::PolicySet(_)
            | Body::PolicyConfirmed(_)
            | Body::Confirmation(_)
            | Body::SiteSet(_)
            | Body::EmergencySet(_)
            | Body::EmergencyConfirmed(_)
            | Body::AlarmEnded(_)
            | Body::IncidentFact(_)
            | Body::IncidentReport(_)
            | Body::IncidentReported(_)
            | Body::AttachmentText(_)
            | Body::SlotSet(_)
            | Body::KitSet(_)
            | Body::KitRetired(_)
            | Body::KitFault(_)
            | Body::KitMended(_)
            | Body::KitReturned(_)
            | Body::Withdrawal(_) => {}
        }
        about
    }
}
