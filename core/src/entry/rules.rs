//! May this be recorded? Facts in, an answer out.
//!
//! Two questions are asked apart. [`may_write`] is about role and kind alone: it is asked
//! when recording *and* whenever an entry from elsewhere is projected, so a device that
//! skips it gains nothing. [`may_record`] adds what only the writer's screen can know:
//! bounds, and whether the things named are there.

use super::bounds::{self, NAME, NOTE};
use super::{
    Attempt, Body, ClearanceResult, Completion, CourseState, DeviceKey, HoldOn, Kind, Mark,
    Measured, Outcome, Refusal, Who,
};
use super::{events, gate, kit, shortfall};
use crate::course::{
    ClearanceKind, CourseId, EntryId, KitKind, KitWrong, LedgerId, Measure, Outline, PieceId,
    Policy, Role, SessionId, SiteId, Skill, SkillId, StaffId, StudentId,
};

/// Who writes, as the device's certificate says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Writer {
    /// The person.
    pub staff: StaffId,
    /// In which role.
    pub role: Role,
}

/// What the rules must know of a ledger; [`crate::standing`] answers.
pub trait Facts {
    /// The outline in force.
    fn outline(&self) -> Option<&Outline>;
    /// The policy that an entry set, if it did.
    fn policy_of(&self, entry: &EntryId) -> Option<&Policy>;
    /// Whether the student is enrolled, and the enrolment counts.
    fn has_student(&self, student: &StudentId) -> bool;
    /// Whether the shop admitted this member of staff as more than an assistant.
    fn is_senior(&self, staff: &StaffId) -> bool;
    /// Whether this writer may shut out the device with this key: of the shop's own devices
    /// only those that it admitted itself, if it is not the root.
    fn may_shut_out(&self, by: Writer, key: &DeviceKey) -> bool;
    /// Whether the shop itself named this member of staff.
    fn is_named_by_shop(&self, staff: &StaffId) -> bool;
    /// Whether the shop knows this member of staff.
    fn has_staff(&self, staff: &StaffId) -> bool;
    /// Whether the session is planned: `Some(true)`, or was cancelled: `Some(false)`.
    fn session_open(&self, session: &SessionId) -> Option<bool>;
    /// Kind, writer and whether it counts now.
    fn entry(&self, entry: &EntryId) -> Option<(Kind, StaffId, bool)>;
    /// Whether an instructor stands behind the attempt: who made it takes it back no more.
    fn confirmed(&self, attempt: &EntryId) -> bool;
    /// Whether the attempt is an assistant's that waits for an instructor.
    fn waits(&self, attempt: &EntryId) -> bool;
    /// Whether the skill is not asked of the student.
    fn exempt(&self, student: &StudentId, skill: &SkillId) -> bool;
    /// Whether the student's course has ended.
    fn ended(&self, student: &StudentId) -> bool;
    /// Whether the cell has two views, or a slip since it was met.
    fn needs_settling(&self, student: &StudentId, skill: &SkillId) -> bool;
    /// How many gaps stand before this student's completion.
    fn completion_gaps(&self, student: &StudentId) -> usize;
    /// The entry whose hold keeps this from being deleted on that day; `None` while none does.
    fn held(&self, on: &HoldOn, day: chrono::NaiveDate) -> Option<EntryId>;
    /// Whether the shop has described this site.
    fn has_site(&self, site: &SiteId) -> bool;
    /// Whether a piece of kit is in use; `Some(false)` where it is retired, `None` where nobody
    /// described it.
    fn piece_in_use(&self, piece: &PieceId) -> Option<bool>;
    /// The pieces in use of this kind and number, however it is typed.
    fn pieces_numbered(&self, kind: KitKind, number: &str) -> Vec<PieceId>;
    /// What is wrong with a piece on the day of a session.
    fn piece_wrong(&self, piece: &PieceId, session: &SessionId) -> Vec<KitWrong>;
    /// Who of this course has a piece, by which entry.
    fn piece_out(&self, piece: &PieceId) -> Option<(EntryId, Who)>;
    /// Whether a fault of a piece is mended.
    fn is_mended(&self, fault: &EntryId) -> bool;
    /// Whether a piece that was issued by this entry is back.
    fn is_returned(&self, issue: &EntryId) -> bool;
    /// Where a course stands in the shop's list; `None` if it is not there.
    fn listed(&self, course: &CourseId) -> Option<CourseState>;
    /// Whether a member of staff may write a course's line in the shop's list: whoever is on
    /// it, and its opener while it has none.
    fn may_list(&self, course: &CourseId, staff: &StaffId) -> bool;
    /// Every entry about the student that counts, in order of id.
    fn about(&self, student: &StudentId) -> Vec<EntryId>;
}

/// What of an entry decides who may write it: its kind, and of two kinds what it is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sort {
    kind: Kind,
    /// Of a clearance: one that is shown to a judge.
    judged: bool,
    /// Of a certificate: the role that it gives.
    certifies: Option<Role>,
}

impl From<Kind> for Sort {
    fn from(kind: Kind) -> Self {
        Self {
            kind,
            judged: false,
            certifies: None,
        }
    }
}

impl Sort {
    /// A clearance: the swim and the float are shown to a judge, the others are papers.
    pub fn clearance(what: ClearanceKind) -> Self {
        Self {
            judged: matches!(what, ClearanceKind::Swim | ClearanceKind::Float),
            ..Kind::Clearance.into()
        }
    }

    /// A certificate that gives this role.
    pub fn certificate(role: Role) -> Self {
        Self {
            certifies: Some(role),
            ..Kind::Certificate.into()
        }
    }

    /// The sort of an entry.
    pub fn of(body: &Body) -> Self {
        if let Body::Clearance(clearance) = body {
            Self::clearance(clearance.what)
        } else if let Body::Certificate(certificate) = body {
            Self::certificate(certificate.role)
        } else {
            body.kind().into()
        }
    }

    /// Whether this role writes it. An instructor admits assistants, and nobody above.
    ///
    /// # Errors
    /// [`Refusal::Role`].
    pub fn written_by(self, role: Role) -> Result<(), Refusal> {
        let kind = self.kind;
        let writers = if self.judged {
            super::Writers::Instructor
        } else {
            kind.writers()
        };
        let above = role == Role::Instructor
            && self.certifies.is_some_and(|given| given != Role::Assistant);
        if writers.include(role) && !above {
            Ok(())
        } else {
            Err(Refusal::Role { role, kind })
        }
    }
}

/// May this role write this body into this ledger?
///
/// # Errors
/// [`Refusal::WrongLedger`] or [`Refusal::Role`].
pub fn may_write(role: Role, body: &Body, ledger: &LedgerId) -> Result<(), Refusal> {
    let kind = body.kind();
    if !kind.home().takes(ledger) {
        return Err(Refusal::WrongLedger { kind });
    }
    Sort::of(body).written_by(role)
}

/// May this writer record this now? `today` is the writing device's date.
///
/// # Errors
/// The first rule that forbids it.
pub fn may_record(
    facts: &dyn Facts,
    writer: Writer,
    ledger: &LedgerId,
    body: &Body,
    today: chrono::NaiveDate,
) -> Result<(), Refusal> {
    may_write(writer.role, body, ledger)?;
    let student = |id: &StudentId| known("student", facts.has_student(id));
    let session = |id: &SessionId| match facts.session_open(id) {
        Some(true) => Ok(()),
        Some(false) => Err(Refusal::Closed { what: "session" }),
        None => Err(Refusal::Unknown { what: "session" }),
    };
    let who = |who: &Who| events::who(facts, who);
    match body {
        Body::ShopOpened(b) => bounds::text("name", &b.name, NAME),
        Body::StaffJoined(b) => {
            // Nor would it show: see the standing of the shop.
            if writer.role != Role::Shop && facts.is_named_by_shop(&b.staff) {
                let (role, kind) = (writer.role, body.kind());
                return Err(Refusal::Role { role, kind });
            }
            bounds::text("name", &b.name, NAME)
        }
        Body::StaffRenewed(b) => {
            known("staff", facts.has_staff(&b.staff))?;
            b.until.map_or(Ok(()), |until| bounds::date("until", until))
        }
        Body::Certificate(b) => {
            known("staff", facts.has_staff(&b.staff))?;
            bounds::text("device", &b.device, 80)?;
            // Nor would it count: see the trust book.
            let own = b.consent.is_some() && !facts.is_senior(&b.staff);
            known("device", writer.role != Role::Instructor || own)?;
            bounds::clock("from", b.from)?;
            match b.until {
                Some(until) if until < b.from => Err(Refusal::EndsBeforeItBegins {
                    field: "certificate",
                }),
                Some(until) => bounds::date("until", until),
                None => Ok(()),
            }
        }
        Body::Revocation(b) => {
            // Nor would it count: see the trust book.
            if !facts.may_shut_out(writer, &b.key) {
                let (role, kind) = (writer.role, body.kind());
                return Err(Refusal::Role { role, kind });
            }
            bounds::text("reason", &b.why, NOTE)
        }
        Body::LateAccepted(b) => {
            bounds::figure("entries", bounds::count(b.entries.len()), 1, 100_000)
        }
        Body::CourseListed(b) => {
            if writer.role != Role::Shop && !facts.may_list(&b.course, &writer.staff) {
                let (role, kind) = (writer.role, body.kind());
                return Err(Refusal::Role { role, kind });
            }
            bounds::text("title", &b.title, NAME)?;
            bounds::date("start", b.starts)
        }
        Body::PersonForgotten(b) => {
            bounds::text("reason", &b.why, NOTE)?;
            not_held(facts, HoldOn::Student(b.student), today)
        }
        Body::HoldSet(b) => {
            bounds::text("reason", &b.why, NOTE)?;
            // A hold whose last day is past would hold nothing, and look as if it did.
            b.until
                .map_or(Ok(()), |until| bounds::from_day("until", until, today))
        }
        Body::CourseDropped(b) => {
            bounds::text("reason", &b.why, NOTE)?;
            not_held(facts, HoldOn::Course(b.course), today)?;
            match facts.listed(&b.course) {
                Some(CourseState::Running) => Err(Refusal::StillRunning),
                Some(CourseState::Closed | CourseState::HandedOver) => Ok(()),
                None => Err(Refusal::Unknown { what: "course" }),
            }
        }
        Body::Details(b) => bounds::details(&b.details, today),
        Body::CourseOpened(b) => {
            bounds::text("title", &b.title, NAME)?;
            bounds::optional("place", b.place.as_ref(), NAME)?;
            bounds::date("start", b.starts)
        }
        Body::Enrolment(b) => {
            bounds::optional("referred from", b.referred_from.as_ref(), NAME)?;
            if facts.has_student(&b.student) {
                Err(Refusal::AlreadyEnrolled)
            } else {
                Ok(())
            }
        }
        Body::Amendment(b) => student(&b.student),
        Body::Assignment(b) => known("staff", facts.has_staff(&b.staff)),
        Body::OutlineSet(b) => {
            bounds::optional("reason", b.why.as_ref(), NOTE)?;
            let faults = b.outline.faults();
            if faults.is_empty() {
                Ok(())
            } else {
                Err(Refusal::Outline(faults))
            }
        }
        Body::PolicySet(b) => {
            bounds::text("title", &b.policy.title, NAME)?;
            let faults = b.policy.faults();
            if faults.is_empty() {
                Ok(())
            } else {
                Err(Refusal::Policy(faults))
            }
        }
        Body::PolicyConfirmed(b) => {
            let policy = facts
                .policy_of(&b.policy)
                .ok_or(Refusal::Unknown { what: "policy" })?;
            bounds::figure("rules", bounds::count(b.rules.len()), 1, 200)?;
            bounds::rule_text(&b.read, today)?;
            known(
                "rule",
                b.rules.iter().all(|rule| policy.rule(rule).is_some()),
            )
        }
        Body::SessionPlanned(b) => {
            bounds::plan(&b.plan)?;
            b.plan.students.iter().try_for_each(student)?;
            known("staff", b.plan.staff.iter().all(|id| facts.has_staff(id)))?;
            // A run list or a class that was changed by hand leaves stations behind that do
            // not fit it: whoever shows them leaves out what is not on the plan.
            for station in &b.plan.stations {
                known("staff", facts.has_staff(&station.staff))?;
                let tried = station.runs.iter().flat_map(|run| &run.students);
                station
                    .buddies
                    .iter()
                    .flatten()
                    .chain(tried)
                    .try_for_each(student)?;
                let mut runs = station.runs.iter();
                runs.try_for_each(|run| skill(facts, &run.skill).map(|_| ()))?;
            }
            b.plan
                .run_list
                .iter()
                .try_for_each(|id| skill(facts, id).map(|_| ()))
        }
        Body::SessionMoved(b) => {
            session(&b.session)?;
            bounds::text("site", &b.site, NAME)?;
            bounds::text("reason", &b.why, NOTE)?;
            bounds::time("start", b.starts)
        }
        Body::SessionCancelled(b) => {
            session(&b.session)?;
            bounds::text("reason", &b.why, NOTE)
        }
        Body::Clearance(b) => {
            student(&b.student)?;
            if b.result == ClearanceResult::Referred && b.what != ClearanceKind::Health {
                return Err(Refusal::NothingOpen);
            }
            b.until
                .map_or(Ok(()), |until| bounds::date("until", until))?;
            b.figure.map_or(Ok(()), |figure| {
                bounds::figure("figure", i64::from(figure), 0, 10_000)
            })
        }
        Body::Attendance(b) => {
            who(&b.who)?;
            session(&b.session)?;
            bounds::passage(b.passage, b.when)
        }
        Body::Attempt(b) => attempt(facts, b),
        Body::Confirmation(b) => confirmation(facts, &b.attempts),
        Body::Resolution(b) => {
            student(&b.student)?;
            skill(facts, &b.skill)?;
            bounds::text("reason", &b.why, NOTE)?;
            // Sitting out is no view: it settles nothing.
            open(b.mark != Mark::SatOut && facts.needs_settling(&b.student, &b.skill))
        }
        Body::Exemption(b) => {
            student(&b.student)?;
            skill(facts, &b.skill)?;
            bounds::exemption(b)?;
            open(!facts.exempt(&b.student, &b.skill))
        }
        Body::Override(b) => {
            student(&b.student)?;
            session(&b.session)?;
            gate::may_override(facts, b)
        }
        Body::Withdrawal(b) => {
            bounds::optional("reason", b.why.as_ref(), NOTE)?;
            match facts.entry(&b.entry) {
                None => Err(Refusal::Unknown { what: "entry" }),
                Some((_, _, false)) => Err(Refusal::CountsNot { entry: b.entry }),
                Some((kind, by, true))
                    if may_withdraw(writer, kind, by, facts.confirmed(&b.entry)) =>
                {
                    Ok(())
                }
                Some(_) => Err(Refusal::NotYours { entry: b.entry }),
            }
        }
        Body::Note(b) => {
            bounds::text("note", &b.text, NOTE)?;
            b.student.as_ref().map_or(Ok(()), student)?;
            b.skill
                .as_ref()
                .map_or(Ok(()), |id| skill(facts, id).map(|_| ()))?;
            b.session.as_ref().map_or(Ok(()), |id| {
                known("session", facts.session_open(id).is_some())
            })?;
            b.entry
                .as_ref()
                .map_or(Ok(()), |id| known("entry", facts.entry(id).is_some()))
        }
        Body::WeightChecked(b) => {
            student(&b.student)?;
            b.session.as_ref().map_or(Ok(()), session)?;
            bounds::weight(&b.check)
        }
        Body::DiveLogged(b) => {
            who(&b.who)?;
            b.session.as_ref().map_or(Ok(()), session)?;
            bounds::dive(&b.log)
        }
        Body::OwnDive(b) => {
            student(&b.student)?;
            let site = b.site.as_ref();
            site.map_or(Ok(()), |site| bounds::text("site", site, NOTE))?;
            bounds::dive(&b.log)
        }
        Body::Incident(b) => {
            if b.begun.is_none() {
                b.session.as_ref().map_or(Ok(()), session)?;
            }
            events::incident(facts, b)
        }
        Body::Completion(b) => completion(facts, b),
        Body::Debrief(b) => {
            student(&b.student)?;
            known("session", facts.session_open(&b.session).is_some())?;
            bounds::debrief(&b.said)
        }
        Body::SiteSet(b) => bounds::site(&b.details),
        Body::EmergencySet(b) => {
            known("site", facts.has_site(&b.site))?;
            bounds::emergency(&b.plan)
        }
        Body::EmergencyConfirmed(b) => {
            known("site", facts.has_site(&b.site))?;
            match facts.entry(&b.plan) {
                Some((Kind::EmergencySet, _, true)) => Ok(()),
                Some((Kind::EmergencySet, _, false)) => Err(Refusal::CountsNot { entry: b.plan }),
                Some(_) | None => Err(Refusal::Unknown { what: "plan" }),
            }
        }
        Body::AlarmRaised(b) => events::alarm_raised(facts, b),
        Body::AlarmEnded(b) => events::alarm_ended(facts, b),
        Body::TeamsSet(b) => {
            session(&b.session)?;
            events::teams(facts, &b.teams)
        }
        Body::IncidentMoment(b) => events::moment(facts, b),
        Body::IncidentPerson(b) => events::person(facts, b),
        Body::IncidentFact(b) => events::fact(facts, b),
        Body::IncidentReport(b) => events::report(facts, b),
        Body::IncidentReported(b) => events::reported(facts, b),
        Body::SlotSet(b) => bounds::slot(&b.slot),
        Body::AwaySet(b) => {
            // A student's absence is the course's to know, that of staff the school's.
            if matches!(ledger, LedgerId::Shop(_)) == matches!(b.who, Who::Student(_)) {
                return Err(Refusal::WrongLedger { kind: body.kind() });
            }
            who(&b.who)?;
            bounds::away(&b.away)
        }
        Body::Attachment(b) => {
            // Of a cancelled session too: its slate may have been written all the same.
            known("session", facts.session_open(&b.session).is_some())?;
            b.student.as_ref().map_or(Ok(()), student)?;
            bounds::attachment(b)
        }
        Body::AttachmentText(b) => {
            bounds::text("text", &b.text, NOTE)?;
            match facts.entry(&b.attachment) {
                Some((Kind::Attachment, _, true)) => Ok(()),
                Some((Kind::Attachment, _, false)) => Err(Refusal::CountsNot {
                    entry: b.attachment,
                }),
                Some(_) | None => Err(Refusal::Unknown { what: "attachment" }),
            }
        }
        Body::KitSet(b) => kit::set(facts, b),
        Body::KitRetired(b) => kit::retired(facts, b),
        Body::KitFault(b) => kit::fault(facts, b),
        Body::KitMended(b) => kit::mended(facts, b),
        Body::KitIssued(b) => kit::issued(facts, b),
        Body::KitReturned(b) => kit::returned(facts, b),
    }
}

/// Whose entries a person may withdraw: one's own, unless an instructor stands behind it by
/// now, and for an instructor everything of the course. What happened to trust is not undone
/// by withdrawing it: a certificate is revoked, a person stays forgotten.
pub fn may_withdraw(writer: Writer, kind: Kind, by: StaffId, confirmed: bool) -> bool {
    match kind {
        Kind::ShopOpened
        | Kind::CourseOpened
        | Kind::Certificate
        | Kind::Revocation
        | Kind::PersonForgotten
        | Kind::CourseDropped
        | Kind::Details => false,
        // A hold is the shop's, and the shop lifts it, whoever set it.
        Kind::HoldSet => writer.role == Role::Shop,
        // Else whoever was taken off a course could take that back, and a colleague's name.
        Kind::CourseListed | Kind::StaffJoined => writer.role == Role::Shop || by == writer.staff,
        // Who works on a course is the shop's to say as well, whoever assigned them.
        Kind::Assignment => {
            matches!(writer.role, Role::Instructor | Role::Shop) || by == writer.staff
        }
        Kind::StaffRenewed
        | Kind::LateAccepted
        | Kind::Enrolment
        | Kind::Amendment
        | Kind::OutlineSet
        | Kind::PolicySet
        | Kind::PolicyConfirmed
        | Kind::SessionPlanned
        | Kind::SessionMoved
        | Kind::SessionCancelled
        | Kind::Clearance
        | Kind::Attendance
        | Kind::Attempt
        | Kind::Confirmation
        | Kind::Resolution
        | Kind::Exemption
        | Kind::Override
        | Kind::Withdrawal
        | Kind::Note
        | Kind::WeightChecked
        | Kind::DiveLogged
        | Kind::Incident
        | Kind::Completion
        | Kind::Debrief
        | Kind::SiteSet
        | Kind::EmergencySet
        | Kind::EmergencyConfirmed
        | Kind::AlarmRaised
        | Kind::AlarmEnded
        | Kind::TeamsSet
        | Kind::IncidentMoment
        | Kind::IncidentPerson
        | Kind::IncidentFact
        | Kind::IncidentReport
        | Kind::IncidentReported
        | Kind::Attachment
        | Kind::AttachmentText
        | Kind::SlotSet
        | Kind::AwaySet
        | Kind::OwnDive
        | Kind::KitSet
        | Kind::KitRetired
        | Kind::KitFault
        | Kind::KitMended
        | Kind::KitIssued
        | Kind::KitReturned => {
            writer.role == Role::Instructor || (by == writer.staff && !confirmed)
        }
    }
}

fn not_held(facts: &dyn Facts, on: HoldOn, today: chrono::NaiveDate) -> Result<(), Refusal> {
    let what = match on {
        HoldOn::Student(_) => "person",
        HoldOn::Course(_) => "course",
    };
    match facts.held(&on, today) {
        Some(entry) => Err(Refusal::Held { what, entry }),
        None => Ok(()),
    }
}

fn confirmation(facts: &dyn Facts, attempts: &[EntryId]) -> Result<(), Refusal> {
    bounds::figure("attempts", bounds::count(attempts.len()), 1, 10_000)?;
    for id in attempts {
        match facts.entry(id) {
            Some((Kind::Attempt, _, true)) => {}
            Some((Kind::Attempt, _, false)) => return Err(Refusal::CountsNot { entry: *id }),
            Some(_) | None => return Err(Refusal::Unknown { what: "attempt" }),
        }
    }
    // Of several, a colleague may have confirmed some meanwhile: that takes nothing from the
    // others.
    open(attempts.iter().any(|id| facts.waits(id)))
}

fn open(is: bool) -> Result<(), Refusal> {
    if is {
        Ok(())
    } else {
        Err(Refusal::NothingOpen)
    }
}

pub(super) fn known(what: &'static str, is: bool) -> Result<(), Refusal> {
    if is {
        Ok(())
    } else {
        Err(Refusal::Unknown { what })
    }
}

fn skill<'a>(facts: &'a dyn Facts, id: &SkillId) -> Result<&'a Skill, Refusal> {
    facts
        .outline()
        .and_then(|outline| outline.skill(id))
        .ok_or(Refusal::Unknown { what: "skill" })
}

fn attempt(facts: &dyn Facts, attempt: &Attempt) -> Result<(), Refusal> {
    known("student", facts.has_student(&attempt.student))?;
    let skill = skill(facts, &attempt.skill)?;
    if let Some(method) = &attempt.method {
        known(
            "method",
            skill.methods.iter().any(|known| &known.id == method),
        )?;
    }
    for slip in &attempt.slips {
        known("slip", skill.slips.iter().any(|known| &known.id == slip))?;
    }
    // A session that was cancelled on one device while another ran it all the same keeps
    // its marks: losing them would be worse than the contradiction, which is shown.
    if let Some(session) = &attempt.session {
        known("session", facts.session_open(session).is_some())?;
    }
    if attempt.mark == Mark::SatOut && !attempt.measured.is_empty() {
        return Err(Refusal::NotMeasured {
            skill: attempt.skill.clone(),
        });
    }
    for measured in &attempt.measured {
        if !skill
            .requirement
            .measures
            .iter()
            .any(|measure| suits(*measured, measure))
        {
            return Err(Refusal::NotMeasured {
                skill: attempt.skill.clone(),
            });
        }
        let (field, most) = measured.most();
        bounds::figure(field, i64::from(measured.base()), 0, i64::from(most))?;
    }
    bounds::optional("note", attempt.note.as_ref(), NOTE)?;
    bounds::optional("reason", attempt.despite.as_ref(), NOTE)?;
    shortfall::reason_given(skill, attempt)?;
    bounds::origin(attempt.origin)
}

/// Whether a figure answers a part of a requirement.
pub const fn suits(measured: Measured, measure: &Measure) -> bool {
    matches!(
        (measured, measure),
        (Measured::Count(_), Measure::Count { .. })
            | (
                Measured::Seconds(_),
                Measure::Hold { .. } | Measure::Within { .. }
            )
            | (
                Measured::Decimetres(_),
                Measure::Distance { .. } | Measure::Miss { .. }
            )
            | (Measured::Centimetres(_), Measure::DepthBand { .. })
            | (Measured::CmPerMinute(_), Measure::AscentRate { .. })
            | (Measured::Reading(_), Measure::Reading { .. })
    )
}

fn completion(facts: &dyn Facts, completion: &Completion) -> Result<(), Refusal> {
    known("student", facts.has_student(&completion.student))?;
    open(!facts.ended(&completion.student))?;
    if completion.considered != facts.about(&completion.student) {
        return Err(Refusal::LookedAtEarlier);
    }
    let count = facts.completion_gaps(&completion.student);
    if completion.outcome == Outcome::Completed && count > 0 {
        return Err(Refusal::GapsOpen { count });
    }
    Ok(())
}
