//! Draft: a request as the entries it becomes.

use chrono::TimeDelta;

use super::request::Request;
use super::shelf::Shelf;
use super::{DeskError, Drafts};
use crate::course::{
    CourseId, EntryId, LedgerId, SessionId, SiteId, StaffId, StudentId, clean_line,
};
use crate::entry::{
    AlarmRaised, AttachmentText, Attendance, AwaySet, Clearance, Completion, Confirmation, Debrief,
    Details, DetailsDigest, DiveLogged, EmergencyConfirmed, EmergencySet, Enrolment, Exemption,
    HoldSet, Incident, IncidentFact, IncidentPerson, IncidentReport, Kind, LateAccepted, Note,
    OutlineSet, Override, PolicyConfirmed, PolicySet, Refusal, Revocation, SessionCancelled,
    SessionMoved, SessionPlanned, ShopOpened, SiteSet, SlotSet, StaffJoined, StaffRenewed,
    WeightChecked, Withdrawal,
};

/// Two presses on one person in less than this are one.
pub(super) const SAME_PRESS: TimeDelta = TimeDelta::milliseconds(1_000);

impl Shelf {
    /// The entries that a request becomes, each with its ledger and with what was on screen.
    pub(super) fn drafts(&mut self, request: Request) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        match request {
            Request::RenameShop { name } => {
                let name = clean_line(&name);
                let after = self.shop()?.0.standing.all_of_kind(Kind::ShopOpened);
                Ok(Drafts::one(shop, ShopOpened { name }, after))
            }
            Request::JoinStaff { name } => {
                let name = clean_line(&name);
                let staff = StaffId::new(self.stamps.id()?);
                Ok(Drafts::one(shop, StaffJoined { staff, name }, Vec::new()).making(staff))
            }
            Request::RenameStaff { staff, name } => {
                let name = clean_line(&name);
                let after = self.shop()?.0.standing.staff_entries(&staff);
                Ok(Drafts::one(shop, StaffJoined { staff, name }, after))
            }
            Request::RenewStaff { staff, what, until } => {
                let after = self.shop()?.0.standing.renewal_entries(&staff, what);
                let renewed = StaffRenewed { staff, what, until };
                Ok(Drafts::one(shop, renewed, after))
            }
            Request::Admit(a) => self.admit_drafts(a, None),
            Request::AdmitPaired(a, consent) => self.admit_drafts(a, Some(consent)),
            Request::Revoke { key, why } => {
                if self.shop()?.1.certificate(&key).is_none() {
                    return Err(Refusal::Unknown { what: "device" }.into());
                }
                let held = self.all_held(&key)?;
                Ok(Drafts::one(shop, Revocation { key, why, held }, Vec::new()))
            }
            Request::AcceptLate { ledger, entries } => Ok(Drafts::one(
                shop,
                LateAccepted { ledger, entries },
                Vec::new(),
            )),
            Request::SetOutline {
                scope,
                outline,
                why,
            } => {
                let (ledger, after) = self.scope(scope, Kind::OutlineSet)?;
                Ok(Drafts::one(ledger, OutlineSet { outline, why }, after))
            }
            Request::SetPolicy { scope, policy } => {
                let (ledger, after) = self.scope(scope, Kind::PolicySet)?;
                Ok(Drafts::one(
                    ledger,
                    PolicySet {
                        policy,
                        confirmed: Vec::new(),
                        proofs: Vec::new(),
                    },
                    after,
                ))
            }
            Request::ConfirmRules { scope, rules, read } => {
                let (ledger, after) = self.scope(scope, Kind::PolicyConfirmed)?;
                let policy = self.policy_entry(scope)?;
                Ok(Drafts::one(
                    ledger,
                    PolicyConfirmed {
                        policy,
                        rules,
                        read,
                    },
                    after,
                ))
            }
            Request::OpenCourse {
                title,
                starts,
                place,
                outline,
                staff,
            } => self.open_course_drafts(title, starts, place, outline, staff),
            Request::RetitleCourse {
                course,
                title,
                starts,
                place,
            } => self.retitle_drafts(course, title, starts, place),
            Request::ListCourse { course, state } => {
                let opened = self.course(&course)?.standing.opened().cloned();
                let opened = opened.ok_or(Refusal::Unknown { what: "course" })?;
                let (listed, after) =
                    self.listing(course, opened.title, opened.starts, state, None)?;
                Ok(Drafts::one(shop, listed, after))
            }
            Request::AssignStaff {
                course,
                staff,
                role,
            } => self.assign_drafts(course, staff, role),
            Request::TakeOffStaff { course, staff } => self.take_off_drafts(course, staff),
            Request::Enrol {
                course,
                details,
                referred_from,
            } => {
                self.course(&course)?;
                let details = details.cleaned();
                if self.is_twin(&course, &details) {
                    return Err(Refusal::AlreadyEnrolled.into());
                }
                self.enrol_drafts(course, details, referred_from, None)
            }
            Request::EnrolAgain {
                course,
                student,
                referred_from,
            } => {
                self.course(&course)?;
                let details = self.latest_digest(student)?;
                let enrolment = Enrolment {
                    student,
                    details,
                    referred_from,
                    known_there_as: None,
                };
                Ok(Drafts::one(LedgerId::Course(course), enrolment, Vec::new()))
            }
            Request::Amend {
                course,
                student,
                details,
            } => self.amend_drafts(course, student, details),
            Request::PlanSession {
                course,
                session,
                plan,
            } => {
                let session = match session {
                    Some(session) => session,
                    None => SessionId::new(self.stamps.id()?),
                };
                let after = self.course(&course)?.standing.session_entries(&session);
                let ledger = LedgerId::Course(course);
                Ok(Drafts::one(ledger, SessionPlanned { session, plan }, after).making(session))
            }
            Request::MoveSession {
                course,
                session,
                starts,
                site,
                why,
            } => {
                let after = self.course(&course)?.standing.session_entries(&session);
                let moved = SessionMoved {
                    session,
                    starts,
                    site,
                    why,
                };
                Ok(Drafts::one(LedgerId::Course(course), moved, after))
            }
            Request::CancelSession {
                course,
                session,
                why,
            } => {
                let after = self.course(&course)?.standing.session_entries(&session);
                Ok(Drafts::one(
                    LedgerId::Course(course),
                    SessionCancelled { session, why },
                    after,
                ))
            }
            Request::Clear {
                course,
                student,
                what,
                result,
                until,
                figure,
            } => {
                if let Some(marked) = self.proving(course, student, (what, result), figure)? {
                    return Ok(marked);
                }
                let after = self
                    .course(&course)?
                    .standing
                    .clearance_entries(&student, what);
                let clearance = Clearance {
                    student,
                    what,
                    result,
                    until,
                    figure,
                };
                Ok(Drafts::one(LedgerId::Course(course), clearance, after))
            }
            Request::Pass {
                course,
                session,
                who,
                passage,
                when,
            } => {
                let after = self.course(&course)?.standing.passages(&session, &who);
                if when.is_none() && self.just_passed(&course, &after)? {
                    return Ok(Drafts::none());
                }
                let when = when.unwrap_or_else(|| self.stamps.now());
                let attendance = Attendance {
                    who,
                    session,
                    passage,
                    when,
                };
                Ok(Drafts::one(LedgerId::Course(course), attendance, after))
            }
            Request::SetTimes {
                course,
                session,
                who,
                dives,
            } => self.times_drafts(course, session, who, &dives),
            Request::Mark(tap) => self.mark_draft(tap),
            Request::Confirm { course, attempts } => Ok(Drafts::one(
                LedgerId::Course(course),
                Confirmation { attempts },
                Vec::new(),
            )),
            Request::Resolve { on, mark, why } => self.resolve_draft(&on, mark, why),
            Request::Exempt { on, why } => {
                let exemption = Exemption {
                    student: on.student(),
                    skill: on.skill().clone(),
                    why,
                    elsewhere: None,
                };
                self.answering(&on, exemption)
            }
            Request::Override {
                course,
                student,
                session,
                skills,
                why,
            } => {
                let asked = Override {
                    student,
                    session,
                    skills,
                    why,
                };
                Ok(Drafts::one(LedgerId::Course(course), asked, Vec::new()))
            }
            Request::Withdraw { ledger, entry, why } => {
                Ok(Drafts::one(ledger, Withdrawal { entry, why }, vec![entry]))
            }
            Request::Note {
                course,
                student,
                skill,
                session,
                entry,
                text,
            } => {
                let note = Note {
                    student,
                    skill,
                    session,
                    entry,
                    text,
                };
                Ok(Drafts::one(LedgerId::Course(course), note, Vec::new()))
            }
            Request::CheckWeight {
                course,
                student,
                session,
                check,
            } => {
                let checked = WeightChecked {
                    student,
                    session,
                    check,
                };
                Ok(Drafts::one(LedgerId::Course(course), checked, Vec::new()))
            }
            Request::LogDive {
                course,
                who,
                session,
                log,
            } => Ok(Drafts::one(
                LedgerId::Course(course),
                DiveLogged {
                    who,
                    session,
                    site: None,
                    log,
                },
                Vec::new(),
            )),
            Request::ReportIncident {
                course,
                session,
                who,
                when,
                happened,
                done,
                reported,
            } => {
                let incident = Incident {
                    session,
                    who,
                    when,
                    happened,
                    done,
                    reported,
                    begun: None,
                };
                Ok(Drafts::one(LedgerId::Course(course), incident, Vec::new()))
            }
            Request::Debrief {
                course,
                session,
                student,
                said,
            } => {
                let standing = &self.course(&course)?.standing;
                let after = standing.debrief_entries(&session, &student);
                let debrief = Debrief {
                    session,
                    student,
                    said,
                };
                Ok(Drafts::one(LedgerId::Course(course), debrief, after))
            }
            Request::SetSite { site, details } => {
                let (site, after) = match site {
                    Some(site) => (site, self.shop()?.0.standing.site_entries(&site)),
                    None => (SiteId::new(self.stamps.id()?), Vec::new()),
                };
                let details = details.cleaned();
                Ok(Drafts::one(shop, SiteSet { site, details }, after).making(site))
            }
            Request::SetSlot { slot, dropped } => {
                let slot = slot.cleaned();
                let after = self.shop()?.0.standing.slot_entries(&slot.uid);
                Ok(Drafts::one(shop, SlotSet { slot, dropped }, after))
            }
            Request::SetAway {
                course,
                who,
                away,
                dropped,
            } => {
                let away = away.cleaned();
                let (ledger, after) = match course {
                    Some(course) => {
                        let standing = &self.course(&course)?.standing;
                        let after = standing.away_entries(&who, &away.uid);
                        (LedgerId::Course(course), after)
                    }
                    None => (shop, self.shop()?.0.standing.away_entries(&who, &away.uid)),
                };
                let set = AwaySet { who, away, dropped };
                Ok(Drafts::one(ledger, set, after))
            }
            Request::SetEmergency { site, plan } => {
                let after = self.shop()?.0.standing.emergency_entries(&site);
                let plan = plan.cleaned();
                Ok(Drafts::one(shop, EmergencySet { site, plan }, after))
            }
            Request::ConfirmEmergency { site, plan } => {
                let confirmed = EmergencyConfirmed { site, plan };
                Ok(Drafts::one(shop, confirmed, vec![plan]))
            }
            Request::RaiseAlarm {
                course,
                session,
                what,
                when,
            } => {
                let raised = AlarmRaised {
                    session,
                    what,
                    when: when.unwrap_or_else(|| self.stamps.now()),
                    missing: Vec::new(),
                    reported_by: None,
                };
                Ok(Drafts::one(LedgerId::Course(course), raised, Vec::new()))
            }
            Request::SetTeams {
                course,
                session,
                teams,
                seen,
            } => self.teams_drafts(course, session, teams, &seen),
            Request::MoveBuddy {
                course,
                session,
                who,
                beside,
            } => self.moved(course, session, |teams| teams.with_buddy(who, beside)),
            Request::MoveZone {
                course,
                session,
                student,
                staff,
            } => self.moved(course, session, |teams| teams.with_watcher(student, staff)),
            Request::LoseBuddy {
                course,
                session,
                missing,
                reported_by,
                when,
            } => self.lost_drafts(course, session, (missing, reported_by), when),
            Request::EndAlarm {
                course,
                alarm,
                how,
                when,
            } => self.end_alarm_drafts(course, alarm, how, when),
            Request::BeginIncident {
                course,
                session,
                who,
                when,
                from,
            } => self.begin_incident_drafts(course, session, who, (when, from)),
            Request::AddIncidentMoment {
                course,
                incident,
                what,
                when,
                who,
                text,
            } => self.moment_drafts(course, (incident, what), when, (who, text)),
            Request::AddIncidentPerson {
                course,
                incident,
                part,
                who,
                text,
            } => {
                let person = IncidentPerson {
                    incident,
                    part,
                    who,
                    text: text.map(|text| text.trim().to_owned()),
                };
                Ok(Drafts::one(LedgerId::Course(course), person, Vec::new()))
            }
            Request::AddIncidentFact {
                course,
                incident,
                about,
                text,
            } => {
                let fact = IncidentFact {
                    incident,
                    about,
                    text: text.trim().to_owned(),
                };
                Ok(Drafts::one(LedgerId::Course(course), fact, Vec::new()))
            }
            Request::AddIncidentReport {
                course,
                incident,
                to,
                by,
            } => {
                let report = IncidentReport {
                    incident,
                    to: clean_line(&to),
                    by,
                };
                Ok(Drafts::one(LedgerId::Course(course), report, Vec::new()))
            }
            Request::ReportMade { course, report, on } => {
                self.report_made_drafts(course, report, on)
            }
            Request::SayOfAttachment {
                course,
                attachment,
                text,
            } => {
                let standing = &self.course(&course)?.standing;
                let after = standing.attachment_text_entries(&attachment);
                let said = AttachmentText { attachment, text };
                Ok(Drafts::one(LedgerId::Course(course), said, after))
            }
            Request::SetKit { piece, details } => self.kit_set_drafts(piece, details),
            Request::RetireKit { piece, why } => self.kit_retired_drafts(piece, &why),
            Request::ReportKitFault { piece, what, when } => {
                self.kit_fault_drafts(piece, &what, when)
            }
            Request::MendKit { fault, how, when } => self.kit_mended_drafts(fault, &how, when),
            Request::IssueKit {
                course,
                session,
                piece,
                to,
                despite,
                when,
            } => self.kit_issued_drafts((course, session), (piece, to), despite, when),
            Request::ReturnKit {
                course,
                issue,
                fault,
                when,
            } => self.kit_returned_drafts(course, issue, fault, when),
            Request::SetSizes {
                course,
                student,
                sizes,
            } => self.sizes_drafts(course, student, sizes),
            Request::Complete {
                course,
                student,
                outcome,
                considered,
            } => {
                let after = self.course(&course)?.standing.completion_entries(&student);
                let completion = Completion {
                    student,
                    outcome,
                    considered,
                };
                Ok(Drafts::one(LedgerId::Course(course), completion, after))
            }
            Request::Forget { student, why } => self.forget_drafts(student, why),
            Request::SetHold { on, why, until } => {
                Ok(Drafts::one(shop, HoldSet { on, why, until }, Vec::new()))
            }
            Request::DropCourse { course, why } => self.drop_drafts(course, why),
        }
    }

    /// A new student's details in a ledger of their own, and the enrolment over their digest.
    pub(super) fn enrol_drafts(
        &mut self,
        course: CourseId,
        details: crate::course::PersonDetails,
        referred_from: Option<String>,
        known_there_as: Option<StudentId>,
    ) -> Result<Drafts, DeskError> {
        let student = StudentId::new(self.stamps.id()?);
        let details = details.cleaned();
        let salt = hex(&self.stamps.secret()?);
        let person = LedgerId::Person(student);
        let drafts = Drafts::one(person, Details { details, salt }, Vec::new());
        let enrolment = Enrolment {
            student,
            details: DetailsDigest::unknown(),
            referred_from,
            known_there_as,
        };
        Ok(drafts
            .and_enrol(LedgerId::Course(course), enrolment)
            .making(student))
    }

    /// Whether this device counted the same person within this second: then the press is the
    /// same one, and *in* does not become *out* under it.
    fn just_passed(&mut self, course: &CourseId, passages: &[EntryId]) -> Result<bool, DeskError> {
        let (own_key, now) = (self.device.key.public(), self.stamps.now());
        let tally = self.course(course)?.standing.tally();
        let own = passages.iter().filter_map(|id| tally.standing(id));
        Ok(own
            .filter(|one| one.device == own_key)
            .any(|one| (now - one.entry.at).abs() < SAME_PRESS))
    }
}

pub(super) fn hex(bytes: &[u8; 32]) -> String {
    crate::entry::Sha256Hex(*bytes).to_string()
}
