//! Body: what an entry says, one variant a kind, and the one table of kinds. What another room
//! must know of a kind stands here in its row; a row that lacks a facet does not compile, and
//! neither does a kind without its [`Rule`].

use chrono::NaiveDate;
use serde::Serialize;
use serde_json::value::RawValue;

use super::attachment::{Attachment, AttachmentText};
use super::calendar::{AwaySet, SlotSet};
use super::debrief::Debrief;
use super::facet::{About, Home, InRecord, KeptAs, Part, Public, Said, TakenBack, Writers, day};
use super::gate::Override;
use super::incident::{
    IncidentFact, IncidentMoment, IncidentPerson, IncidentReport, IncidentReported,
};
use super::judging::{Attempt, Completion, Confirmation, Exemption, Resolution, Withdrawal};
use super::kit::{KitFault, KitIssued, KitMended, KitRetired, KitReturned, KitSet};
use super::planning::{
    Amendment, Assignment, Clearance, CourseOpened, Enrolment, OutlineSet, PolicyConfirmed,
    PolicySet, SessionCancelled, SessionMoved, SessionPlanned,
};
use super::refusal::Refusal;
use super::rules::{Asked, Rule};
use super::shop::{
    Certificate, CourseDropped, CourseListed, Details, HoldSet, LateAccepted, PersonForgotten,
    Revocation, ShopOpened, StaffJoined, StaffRenewed,
};
use super::site::{AlarmEnded, AlarmRaised, EmergencyConfirmed, EmergencySet, SiteSet};
use super::teams::TeamsSet;
use super::water::{Attendance, DiveLogged, Incident, Note, OwnDive, WeightChecked};

macro_rules! kinds {
    ($(
        $(#[$doc:meta])*
        $kind:ident(
            $word:literal, $home:ident, $writers:ident, $back:ident,
            $record:ident $(($part:ident))?, $kept:ident, $public:ident
        ) $b:ident { about $about:expr, dates $dates:expr, texts $texts:expr, says $says:expr }
    )+) => {
        /// The kinds of entry, each with the word it is stored under.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[cfg_attr(feature = "border", derive(uniffi::Enum))]
        pub enum Kind {
            $($(#[$doc])* $kind,)+
        }

        /// What an entry says.
        #[derive(Debug, Clone, PartialEq, Eq, Serialize)]
        #[serde(untagged)]
        pub enum Body {
            $($(#[$doc])* $kind($kind),)+
        }

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Self] = &[$(Self::$kind,)+];

            /// The word it is stored under; never changed once written.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$kind => $word,)+ }
            }

            /// Where it may stand.
            pub const fn home(self) -> Home {
                match self { $(Self::$kind => Home::$home,)+ }
            }

            /// Who may write it.
            pub const fn writers(self) -> Writers {
                match self { $(Self::$kind => Writers::$writers,)+ }
            }

            /// Who may make one count no more.
            pub const fn taken_back(self) -> TakenBack {
                match self { $(Self::$kind => TakenBack::$back,)+ }
            }

            /// Whether it is in a student's record; never changed once a record was printed.
            pub const fn in_record(self) -> InRecord {
                match self { $(Self::$kind => InRecord::$record $((Part::$part))?,)+ }
            }

            /// How long it is kept.
            pub const fn kept(self) -> KeptAs {
                match self { $(Self::$kind => KeptAs::$kept,)+ }
            }

            /// Whether it goes with a course to a stranger.
            pub const fn public(self) -> Public {
                match self { $(Self::$kind => Public::$public,)+ }
            }

            /// The kind stored under this word; `None` for one of a newer version.
            pub fn of_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$kind),)+ _ => None }
            }
        }

        impl Body {
            /// Its kind.
            pub const fn kind(&self) -> Kind {
                match self { $(Self::$kind(_) => Kind::$kind,)+ }
            }

            /// Reads the body of a kind; `None` when the JSON does not fit it.
            pub(super) fn read(kind: Kind, raw: &RawValue) -> Option<Self> {
                match kind { $(Kind::$kind => serde_json::from_str(raw.get()).ok().map(Self::$kind),)+ }
            }

            /// Whom, what and where it is about. Of a withdrawal, and of whatever else only names
            /// an entry, that is for the entry to say.
            pub fn about(&self) -> About<'_> {
                match self { $(Self::$kind($b) => { let _ = $b; $about })+ }
            }

            /// Every date and time that it names, by their days.
            pub fn dates(&self) -> Vec<NaiveDate> {
                match self { $(Self::$kind($b) => { let _ = $b; Vec::from_iter($dates) })+ }
            }

            /// Its free texts: a person's name may stand in them, so somebody reads them before
            /// that person is forgotten. Names that are a kind's whole matter are not among them.
            pub fn texts(&self) -> Vec<&str> {
                match self { $(Self::$kind($b) => { let _ = $b; words($texts) })+ }
            }

            /// What it says as a word or a figure; of a withdrawal without the kind it takes out.
            pub fn says(&self) -> Said {
                match self { $(Self::$kind($b) => { let _ = $b; $says })+ }
            }

            /// Asks its own rule, once it is known that its writer's role may write it here.
            pub(super) fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
                match self { $(Self::$kind($b) => $b.may_be_recorded(at),)+ }
            }
        }

        $(impl From<$kind> for Body {
            fn from(body: $kind) -> Self { Self::$kind(body) }
        })+
    };
}

fn words<'a>(texts: impl IntoIterator<Item = &'a String>) -> Vec<&'a str> {
    texts.into_iter().map(String::as_str).collect()
}

// Word, home, who writes it, who takes it back, whether a record has it, how long it is kept,
// whether it goes with a course to a stranger; then what is read from what it says.
kinds! {
    /// The shop opens.
    ShopOpened("shop_opened", Shop, Shop, Never, No, Ledger, Yes)
        b { about About::nobody(), dates [], texts [], says Said::Nothing }
    /// Staff joins.
    StaffJoined("staff_joined", Shop, Office, ByShopOrWriter, No, Ledger, Yes)
        b { about About::staff(b.staff), dates [], texts [], says Said::Nothing }
    /// Something that staff renews was seen.
    StaffRenewed("staff_renewed", Shop, Office, ByJudge, No, Ledger, No)
        b { about About::staff(b.staff), dates b.until, texts [], says Said::Nothing }
    /// A device is admitted.
    Certificate("certificate", Shop, Office, Never, No, Ledger, Yes)
        b { about About::staff(b.staff), dates b.until.into_iter().chain([b.from]), texts [], says Said::Nothing }
    /// A device is shut out.
    Revocation("revocation", Shop, Shop, Never, No, Ledger, Yes)
        b { about About::nobody(), dates [], texts [], says Said::Nothing }
    /// Late entries of a revoked device are accepted.
    LateAccepted("late_accepted", Shop, Shop, ByJudge, No, Ledger, Yes)
        b { about About::nobody(), dates [], texts [], says Said::Nothing }
    /// A course is listed, closed or handed over.
    CourseListed("course_listed", Shop, Office, ByShopOrWriter, No, Ledger, WithItsCourse)
        b { about About::course(b.course), dates [b.starts], texts [], says Said::Nothing }
    /// A person is to be forgotten.
    PersonForgotten("person_forgotten", Shop, Shop, Never, No, Ledger, WithItsStudent)
        b { about About::student(b.student), dates [], texts [], says Said::Nothing }
    /// A person's or a course's records are held back from deletion.
    HoldSet("hold_set", Shop, Shop, ByShop, No, Ledger, No)
        b { about About::held(b.on), dates b.until, texts [], says Said::Nothing }
    /// A course is to be dropped.
    CourseDropped("course_dropped", Shop, Shop, Never, No, Ledger, No)
        b { about About::course(b.course), dates [], texts [], says Said::Nothing }
    /// A person's details.
    Details("details", Person, Office, Never, No, Ledger, No)
        b { about About::nobody(), dates b.days(), texts [], says Said::Nothing }
    /// A course begins.
    CourseOpened("course_opened", Course, Office, Never, No, Ledger, No)
        b { about About::nobody(), dates [b.starts], texts [&b.title], says Said::Nothing }
    /// A student joins.
    Enrolment("enrolment", Course, Office, ByJudge, Under(Enrolment), Ledger, No)
        b { about About::student(b.student), dates [], texts [], says Said::Nothing }
    /// A student's details change.
    Amendment("amendment", Course, Office, ByJudge, Under(Enrolment), Ledger, No)
        b { about About::student(b.student), dates [], texts [], says Said::Nothing }
    /// Staff is assigned.
    Assignment("assignment", Course, Office, ByOfficeOrWriter, No, Ledger, No)
        b { about About::staff(b.staff), dates [], texts [], says Said::Assigned(b.role) }
    /// An outline is adopted or adapted.
    OutlineSet("outline_set", ShopOrCourse, Office, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [], texts &b.why, says Said::Nothing }
    /// A policy is adopted.
    PolicySet("policy_set", ShopOrCourse, Office, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates b.days(), texts [], says Said::Nothing }
    /// Rules of a policy are confirmed.
    PolicyConfirmed("policy_confirmed", ShopOrCourse, Office, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [b.read.on], texts [], says Said::confirmed(&b.rules) }
    /// A session is planned.
    SessionPlanned("session_planned", Course, Office, ByJudge, WithSession, Ledger, No)
        b { about About::nobody().in_session(b.session), dates [day(b.plan.starts)],
            texts [&b.plan.title, &b.plan.site], says Said::Nothing }
    /// A session moves.
    SessionMoved("session_moved", Course, Office, ByJudge, WithSession, Ledger, No)
        b { about About::nobody().in_session(b.session), dates [day(b.starts)],
            texts [&b.why, &b.site], says Said::Nothing }
    /// A session is cancelled.
    SessionCancelled("session_cancelled", Course, Office, ByJudge, WithSession, Ledger, No)
        b { about About::nobody().in_session(b.session), dates [], texts [&b.why], says Said::Nothing }
    /// A paper or a test before water.
    Clearance("clearance", Course, Office, ByJudge, Under(Papers), Ledger, No)
        b { about About::student(b.student), dates b.until, texts [],
            says Said::Clearance(b.what, b.result) }
    /// In or out of the water.
    Attendance("attendance", Course, Anyone, ByJudge, Under(Sessions), Ledger, No)
        b { about About::one(b.who).in_session(b.session), dates [day(b.when)], texts [],
            says Said::Passage(b.passage) }
    /// A try, judged.
    Attempt("attempt", Course, Judges, ByJudge, Under(Skills), Ledger, No)
        b { about About::student(b.student).of_skill(&b.skill).in_session(b.session),
            dates b.origin.seen().map(day), texts b.note.iter().chain(&b.despite),
            says Said::Mark(b.mark) }
    /// An assistant's attempts are confirmed.
    Confirmation("confirmation", Course, Instructor, ByJudge, WithNamed, Ledger, No)
        b { about About::nobody(), dates [], texts [], says Said::confirmed(&b.attempts) }
    /// Two views or a slip since are settled.
    Resolution("resolution", Course, Instructor, ByJudge, Under(Skills), Ledger, No)
        b { about About::student(b.student).of_skill(&b.skill), dates [], texts [&b.why],
            says Said::Mark(b.mark) }
    /// A skill need not be shown.
    Exemption("exemption", Course, Instructor, ByJudge, Under(Skills), Ledger, No)
        b { about About::student(b.student).of_skill(&b.skill), dates b.judged_on(),
            texts [&b.why], says Said::Nothing }
    /// A student goes in without a skill that a rule asks for first.
    Override("override", Course, Instructor, ByJudge, Under(Sessions), Ledger, No)
        b { about About::student(b.student).in_session(b.session), dates [], texts [&b.why],
            says Said::Nothing }
    /// An entry shall not count.
    Withdrawal("withdrawal", Any, Anyone, ByJudge, WithNamed, Ledger, No)
        b { about About::nobody(), dates [], texts &b.why, says Said::Withdrew(None) }
    /// A remark.
    Note("note", Course, Anyone, ByJudge, AsRemark, Ledger, No)
        b { about About::maybe_student(b.student).of_skill(b.skill.as_ref()).in_session(b.session),
            dates [], texts [&b.text], says Said::Nothing }
    /// A weight check.
    WeightChecked("weight_checked", Course, Judges, ByJudge, Under(Weights), Ledger, No)
        b { about About::student(b.student).in_session(b.session), dates [], texts [],
            says Said::Nothing }
    /// A dive.
    DiveLogged("dive_logged", Course, Anyone, ByJudge, Under(Dives), Ledger, No)
        b { about About::one(b.who).in_session(b.session), dates [day(b.log.down), day(b.log.up)],
            texts [], says Said::Nothing }
    /// Something went wrong.
    Incident("incident", Course, Anyone, ByJudge, AsIncident, Report, No)
        b { about About::all(b.who.clone()).in_session(b.session), dates [day(b.when)],
            texts [&b.happened, &b.done].into_iter().chain(&b.reported), says Said::Nothing }
    /// A student's course ends.
    Completion("completion", Course, Instructor, ByJudge, Under(Completion), Ledger, No)
        b { about About::student(b.student), dates [], texts [], says Said::Outcome(b.outcome) }
    /// What is said to a student after a session.
    Debrief("debrief", Course, Judges, ByJudge, No, Ledger, No)
        b { about About::student(b.student).in_session(b.session), dates [], texts b.said.given(),
            says Said::Nothing }
    /// A site is described.
    SiteSet("site_set", Shop, Office, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [], texts [], says Said::Nothing }
    /// What is done at a site in an emergency.
    EmergencySet("emergency_set", Shop, Office, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [], texts [], says Said::Nothing }
    /// The emergency plan of a site is confirmed.
    EmergencyConfirmed("emergency_confirmed", Shop, Office, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [], texts [], says Said::Nothing }
    /// Something went wrong in the water.
    AlarmRaised("alarm_raised", Course, Anyone, ByJudge, No, Ledger, No)
        b { about About::all(b.missing.clone()).in_session(b.session), dates [day(b.when)],
            texts [], says Said::Nothing }
    /// What was raised is over.
    AlarmEnded("alarm_ended", Course, Anyone, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [day(b.when)], texts [], says Said::Nothing }
    /// Who dives beside whom, and who watches whom.
    TeamsSet("teams_set", Course, Judges, ByJudge, No, Ledger, No)
        b { about About::nobody().in_session(b.session), dates [], texts [], says Said::Nothing }
    /// A moment of an incident.
    IncidentMoment("incident_moment", Course, Anyone, ByJudge, No, Report, No)
        b { about About::maybe(b.who), dates [day(b.when)], texts &b.text, says Said::Nothing }
    /// Somebody whom an incident concerns, or who saw it.
    IncidentPerson("incident_person", Course, Anyone, ByJudge, No, Report, No)
        b { about About::maybe(b.who), dates [], texts &b.text, says Said::Nothing }
    /// Something that is said of an incident in words.
    IncidentFact("incident_fact", Course, Anyone, ByJudge, No, Report, No)
        b { about About::nobody(), dates [], texts [&b.text], says Said::Nothing }
    /// A report that is due.
    IncidentReport("incident_report", Course, Anyone, ByJudge, No, Report, No)
        b { about About::nobody(), dates b.by, texts [&b.to], says Said::Nothing }
    /// A report was made.
    IncidentReported("incident_reported", Course, Anyone, ByJudge, No, Report, No)
        b { about About::nobody(), dates [b.on], texts [], says Said::Nothing }
    /// A photograph or a sound is kept.
    Attachment("attachment", Course, Anyone, ByJudge, No, Ledger, No)
        b { about About::maybe_student(b.student).in_session(b.session), dates [], texts [],
            says Said::Nothing }
    /// What a person says of a photograph, or heard in a sound.
    AttachmentText("attachment_text", Course, Anyone, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [], texts [&b.text], says Said::Nothing }
    /// The school has hours of a pool or a site, or has them no more.
    SlotSet("slot_set", Shop, Office, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [day(b.slot.starts)], texts [], says Said::Nothing }
    /// Somebody is away, or comes after all.
    AwaySet("away_set", ShopOrCourse, Office, ByJudge, No, Ledger, No)
        b { about About::one(b.who), dates [day(b.away.from), day(b.away.until)], texts [],
            says Said::Nothing }
    /// A dive of a student's own, not of the course.
    OwnDive("own_dive", Course, Anyone, ByJudge, No, Ledger, No)
        b { about About::student(b.student), dates [day(b.log.down), day(b.log.up)], texts &b.site,
            says Said::Nothing }
    /// A piece of kit is described.
    KitSet("kit_set", Shop, Office, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates b.days(), texts [&b.details.note], says Said::Nothing }
    /// A piece of kit is out of use for good.
    KitRetired("kit_retired", Shop, Office, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [], texts [&b.why], says Said::Nothing }
    /// Something is wrong with a piece of kit.
    KitFault("kit_fault", Shop, Anyone, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [day(b.when)], texts [&b.what], says Said::Nothing }
    /// A fault is mended.
    KitMended("kit_mended", Shop, Office, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [day(b.when)], texts [&b.how], says Said::Nothing }
    /// A piece of kit is issued.
    KitIssued("kit_issued", Course, Anyone, ByJudge, No, Ledger, No)
        b { about About::one(b.to).in_session(b.session), dates [day(b.when)], texts &b.despite,
            says Said::Nothing }
    /// A piece of kit is back.
    KitReturned("kit_returned", Course, Anyone, ByJudge, No, Ledger, No)
        b { about About::nobody(), dates [day(b.when)], texts [], says Said::Nothing }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_found_again_by_its_word() {
        for &kind in Kind::ALL {
            assert_eq!(Kind::of_word(kind.word()), Some(kind));
        }
        assert_eq!(Kind::of_word("stowage"), None);
    }
}
