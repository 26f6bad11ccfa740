//! Draft: a request as the entries it becomes, request by request in one table.

mod course;
mod school;
mod session;

use chrono::TimeDelta;

use super::request::Request;
use super::shelf::Shelf;
use super::{DeskError, Drafts};
use crate::course::clean_line;
use crate::entry::{
    AttachmentText, Confirmation, DiveLogged, EmergencyConfirmed, EmergencySet, Exemption, HoldSet,
    Incident, IncidentFact, IncidentPerson, IncidentReport, LateAccepted, Note, OutlineSet,
    Override, PolicySet, SessionCancelled, SessionMoved, StaffRenewed, WeightChecked, Withdrawal,
};

/// Two presses on one person in less than this are one.
pub(super) const SAME_PRESS: TimeDelta = TimeDelta::milliseconds(1_000);

/// One row a request: its fields, and what makes the entries of them. A request without a row
/// does not compile.
macro_rules! requests {
    ($shelf:ident, $shop:ident: $($name:ident $fields:tt => $drafts:expr;)+) => {
        impl Shelf {
            /// The entries that a request becomes, each with its ledger and with what was on
            /// screen.
            pub(super) fn drafts(&mut self, request: Request) -> Result<Drafts, DeskError> {
                let $shop = self.device.shop_ledger()?;
                let $shelf = self;
                match request {
                    $(Request::$name $fields => $drafts,)+
                }
            }
        }
    };
}

requests! { shelf, shop:
    RenameShop { name } => shelf.rename_shop_drafts(&name);
    JoinStaff { name } => shelf.join_drafts(&name);
    RenameStaff { staff, name } => shelf.rename_drafts(staff, &name);
    RenewStaff { staff, what, until } => {
        let after = shelf.shop()?.0.standing.renewal_entries(&staff, what);
        Ok(Drafts::one(shop, StaffRenewed { staff, what, until }, after))
    };
    Admit(a) => shelf.admit_drafts(a, None);
    AdmitPaired(a, consent) => shelf.admit_drafts(a, Some(consent));
    Revoke { key, why } => shelf.revoke_drafts(key, why);
    AcceptLate { ledger, entries } =>
        Ok(Drafts::one(shop, LateAccepted { ledger, entries }, Vec::new()));
    SetOutline { scope, outline, why } => shelf.scoped(scope, OutlineSet { outline, why });
    SetPolicy { scope, policy } => {
        let (confirmed, proofs) = (Vec::new(), Vec::new());
        shelf.scoped(scope, PolicySet { policy, confirmed, proofs })
    };
    ConfirmRules { scope, rules, read } => shelf.confirm_rules_drafts(scope, rules, read);
    OpenCourse { title, starts, place, outline, staff } =>
        shelf.open_course_drafts(title, starts, place, outline, staff);
    RetitleCourse { course, title, starts, place } =>
        shelf.retitle_drafts(course, title, starts, place);
    ListCourse { course, state } => shelf.list_drafts(course, state);
    AssignStaff { course, staff, role } => shelf.assign_drafts(course, staff, role);
    TakeOffStaff { course, staff } => shelf.take_off_drafts(course, staff);
    Enrol { course, details, referred_from } =>
        shelf.enrol_new_drafts(course, details, referred_from);
    EnrolAgain { course, student, referred_from } =>
        shelf.enrol_again_drafts(course, student, referred_from);
    Amend { course, student, details } => shelf.amend_drafts(course, student, details);
    PlanSession { course, session, plan } => shelf.plan_drafts(course, session, plan);
    MoveSession { course, session, starts, site, why } =>
        shelf.about_session(course, session, SessionMoved { session, starts, site, why });
    CancelSession { course, session, why } =>
        shelf.about_session(course, session, SessionCancelled { session, why });
    Clear { course, student, what, result, until, figure } =>
        shelf.clear_drafts(course, student, (what, result), until, figure);
    Pass { course, session, who, passage, when } =>
        shelf.pass_drafts(course, session, (who, passage), when);
    SetTimes { course, session, who, dives } => shelf.times_drafts(course, session, who, &dives);
    Mark(tap) => shelf.mark_draft(tap);
    Confirm { course, attempts } => Ok(Drafts::of_course(course, Confirmation { attempts }));
    Resolve { on, mark, why } => shelf.resolve_draft(&on, mark, why);
    Exempt { on, why } => {
        let (student, skill, elsewhere) = (on.student(), on.skill().clone(), None);
        shelf.answering(&on, Exemption { student, skill, why, elsewhere })
    };
    Override { course, student, session, skills, why } =>
        Ok(Drafts::of_course(course, Override { student, session, skills, why }));
    Withdraw { ledger, entry, why } =>
        Ok(Drafts::one(ledger, Withdrawal { entry, why }, vec![entry]));
    Note { course, student, skill, session, entry, text } =>
        Ok(Drafts::of_course(course, Note { student, skill, session, entry, text }));
    CheckWeight { course, student, session, check } =>
        Ok(Drafts::of_course(course, WeightChecked { student, session, check }));
    LogDive { course, who, session, log } =>
        Ok(Drafts::of_course(course, DiveLogged { who, session, site: None, log }));
    ReportIncident { course, session, who, when, happened, done, reported } => {
        let begun = None;
        let incident = Incident { session, who, when, happened, done, reported, begun };
        Ok(Drafts::of_course(course, incident))
    };
    Debrief { course, session, student, said } =>
        shelf.debrief_drafts(course, session, student, said);
    SetSite { site, details } => shelf.site_drafts(site, details);
    SetSlot { slot, dropped } => shelf.slot_drafts(slot, dropped);
    SetAway { course, who, away, dropped } => shelf.away_drafts(course, who, away, dropped);
    SetEmergency { site, plan } => {
        let after = shelf.shop()?.0.standing.emergency_entries(&site);
        let plan = plan.cleaned();
        Ok(Drafts::one(shop, EmergencySet { site, plan }, after))
    };
    ConfirmEmergency { site, plan } =>
        Ok(Drafts::one(shop, EmergencyConfirmed { site, plan }, vec![plan]));
    RaiseAlarm { course, session, what, when } => shelf.alarm_drafts(course, session, what, when);
    SetTeams { course, session, teams, seen } => shelf.teams_drafts(course, session, teams, &seen);
    MoveBuddy { course, session, who, beside } =>
        shelf.moved(course, session, |teams| teams.with_buddy(who, beside));
    MoveZone { course, session, student, staff } =>
        shelf.moved(course, session, |teams| teams.with_watcher(student, staff));
    LoseBuddy { course, session, missing, reported_by, when } =>
        shelf.lost_drafts(course, session, (missing, reported_by), when);
    EndAlarm { course, alarm, how, when } => shelf.end_alarm_drafts(course, alarm, how, when);
    BeginIncident { course, session, who, when, from } =>
        shelf.begin_incident_drafts(course, session, who, (when, from));
    AddIncidentMoment { course, incident, what, when, who, text } =>
        shelf.moment_drafts(course, (incident, what), when, (who, text));
    AddIncidentPerson { course, incident, part, who, text } => {
        let text = text.map(|text| text.trim().to_owned());
        Ok(Drafts::of_course(course, IncidentPerson { incident, part, who, text }))
    };
    AddIncidentFact { course, incident, about, text } => {
        let text = text.trim().to_owned();
        Ok(Drafts::of_course(course, IncidentFact { incident, about, text }))
    };
    AddIncidentReport { course, incident, to, by } => {
        let to = clean_line(&to);
        Ok(Drafts::of_course(course, IncidentReport { incident, to, by }))
    };
    ReportMade { course, report, on } => shelf.report_made_drafts(course, report, on);
    SayOfAttachment { course, attachment, text } => {
        let after = shelf.course(&course)?.standing.attachment_text_entries(&attachment);
        Ok(Drafts::of_course_after(course, AttachmentText { attachment, text }, after))
    };
    SetKit { piece, details } => shelf.kit_set_drafts(piece, details);
    RetireKit { piece, why } => shelf.kit_retired_drafts(piece, &why);
    ReportKitFault { piece, what, when } => shelf.kit_fault_drafts(piece, &what, when);
    MendKit { fault, how, when } => shelf.kit_mended_drafts(fault, &how, when);
    IssueKit { course, session, piece, to, despite, when } =>
        shelf.kit_issued_drafts((course, session), (piece, to), despite, when);
    ReturnKit { course, issue, fault, when } =>
        shelf.kit_returned_drafts(course, issue, fault, when);
    SetSizes { course, student, sizes } => shelf.sizes_drafts(course, student, sizes);
    Complete { course, student, outcome, considered } =>
        shelf.complete_drafts(course, student, outcome, considered);
    Forget { student, why } => shelf.forget_drafts(student, why);
    SetHold { on, why, until } => Ok(Drafts::one(shop, HoldSet { on, why, until }, Vec::new()));
    DropCourse { course, why } => shelf.drop_drafts(course, why);
}

pub(super) fn hex(bytes: &[u8; 32]) -> String {
    crate::entry::Sha256Hex(*bytes).to_string()
}
