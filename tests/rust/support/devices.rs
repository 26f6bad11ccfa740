//! Devices of a small school on a table: each a real desk over a real folder.

use std::collections::BTreeSet;

use std::path::Path;
use std::sync::Arc;

use chrono::{DateTime, Duration, FixedOffset, NaiveDate};
use tallywater_core::course::{
    ClearanceKind, CourseId, LedgerId, PersonDetails, Role, SessionId, SessionPlan, Setting,
    SkillId, StaffId, StudentId, WaterKind, WaterPlan,
};
use tallywater_core::desk::{
    Admission, Again, Desk, DeskError, FileKeyStore, MarkTap, Recorded, Request, Scope,
};
use tallywater_core::entry::{ClearanceResult, Mark, Origin, RuleText};
use tallywater_core::view::{OnScreen, Tap};
use tempfile::TempDir;

use super::stamps::SetStamps;

/// One device.
pub(crate) struct Device {
    pub(crate) desk: Arc<Desk>,
    pub(crate) stamps: Arc<SetStamps>,
    pub(crate) folder: TempDir,
}

pub(crate) fn open_desk(folder: &Path, stamps: &Arc<SetStamps>) -> Result<Desk, DeskError> {
    let keys = Box::new(FileKeyStore::new(&folder.join("keys")));
    Desk::open(folder, keys, Arc::<SetStamps>::clone(stamps))
}

impl Device {
    /// A new device with the clock at the start of the pool day.
    pub(crate) fn new(seed: u64) -> Self {
        let folder = TempDir::new().expect("a folder");
        let stamps = Arc::new(SetStamps::new("2026-06-06T09:00:00+02:00", seed));
        let desk = Arc::new(open_desk(folder.path(), &stamps).expect("a desk"));
        Self {
            desk,
            stamps,
            folder,
        }
    }

    /// The device is switched off and on again.
    pub(crate) fn reopen(self) -> Self {
        let Self {
            desk,
            stamps,
            folder,
        } = self;
        drop(desk);
        let desk = Arc::new(open_desk(folder.path(), &stamps).expect("the desk again"));
        Self {
            desk,
            stamps,
            folder,
        }
    }

    pub(crate) fn record(&self, request: Request) -> Recorded {
        self.desk.record(request).expect("recorded")
    }

    pub(crate) fn mark(
        &self,
        school: &School,
        student: usize,
        skill: &str,
        mark: Mark,
    ) -> Recorded {
        self.record(Request::Mark(school.tap(self, student, skill, mark)))
    }
}

/// Gives each device everything the other holds, both ways, as bytes.
pub(crate) fn meet(a: &Device, b: &Device) {
    carry(a, b);
    carry(b, a);
}

/// Carries everything one way: the shop's ledger first, for it says who may write.
pub(crate) fn carry(from: &Device, to: &Device) {
    let mut ledgers = from.desk.ledgers().expect("ledgers");
    ledgers.sort();
    for ledger in ledgers {
        // In step already, as two devices that meet would find.
        let heads = |of: &Device| of.desk.heads(&ledger).ok();
        if heads(to).is_some_and(|there| Some(there) == heads(from)) {
            continue;
        }
        let bytes = from.desk.save_ledger(&ledger).expect("bytes");
        match to.desk.merge(&ledger, &bytes) {
            Ok(()) => {}
            // A person who is to be forgotten is not taken in again.
            Err(DeskError::Refused(_)) if matches!(ledger, LedgerId::Person(_)) => {}
            Err(error) => panic!("merging {ledger}: {error}"),
        }
    }
}

/// Admits a device to the shop and joins it.
pub(crate) fn admit(by: &Device, device: &Device, name: &str, role: Role) -> StaffId {
    let staff = by
        .record(Request::JoinStaff { name: name.into() })
        .made
        .expect("a staff id");
    let staff: StaffId = staff.parse().expect("an id");
    admit_as(by, device, staff, role, &format!("{name}'s tablet"));
    let root = by.desk.shop_root().expect("a shop");
    device
        .desk
        .join_shop(root, &by.desk.shop_ledger().expect("bytes"))
        .expect("joined");
    staff
}

/// Admits a device as somebody who is known already, with its own consent.
pub(crate) fn admit_as(by: &Device, device: &Device, staff: StaffId, role: Role, called: &str) {
    let admission = Admission {
        staff,
        role,
        device: called.into(),
        key: device.desk.card().key,
        link: Some(device.desk.card().link),
        until: None,
    };
    let consent = device.desk.consent_to(&by.desk.card().link);
    by.record(Request::AdmitPaired(admission, consent));
}

/// A school on three devices with one course of invented students.
pub(crate) struct School {
    pub(crate) shop: Device,
    pub(crate) instructor: Device,
    pub(crate) assistant: Device,
    pub(crate) course: CourseId,
    pub(crate) session: SessionId,
    pub(crate) students: Vec<StudentId>,
    pub(crate) renate: StaffId,
    pub(crate) bo: StaffId,
}

/// The names of the invented students, in any script a form may hold.
pub(crate) const NAMES: [&str; 8] = [
    "Ottilie Brandvoll",
    "Émile Quatrefaire",
    "Þóra Sandsdóttir",
    "Ngaio Whetūrangi",
    "Ignatz Übelhör",
    "Saoirse Tullyglass",
    "Łucja Wrzosowa",
    "Baldo Cantavento",
];

impl School {
    /// The shop, an instructor and an assistant, a course of so many students and its first
    /// pool session, known on all three devices.
    pub(crate) fn new(students: usize) -> Self {
        Self::seeded(students, 1)
    }

    /// A school of its own for each seed: same story, other keys and ids.
    pub(crate) fn seeded(students: usize, seed: u64) -> Self {
        let device = |n| Device::new(seed * 10 + n);
        let (shop, instructor, assistant) = (device(1), device(2), device(3));
        shop.desk
            .start_shop("Grebe Hollow Divers", "Ansel Forde")
            .expect("a shop");
        let renate = admit(&shop, &instructor, "Renate Solheim", Role::Instructor);
        let bo = admit(&shop, &assistant, "Bo Merriweather", Role::Assistant);
        confirm_all_rules(&shop, Scope::Shop);
        let staff = vec![(renate, Role::Instructor), (bo, Role::Assistant)];
        let opened = shop.record(Request::OpenCourse {
            place: None,
            outline: Default::default(),
            title: "First dives, June".into(),
            starts: day("2026-06-06"),
            staff,
        });
        let course: CourseId = opened.made.expect("a course").parse().expect("an id");
        let students: Vec<StudentId> = NAMES
            .iter()
            .take(students)
            .map(|name| {
                let details = details(name);
                let enrolled = shop.record(Request::Enrol {
                    course,
                    details,
                    referred_from: None,
                });
                enrolled.made.expect("a student").parse().expect("an id")
            })
            .collect();
        for student in &students {
            for what in [ClearanceKind::Health, ClearanceKind::Theory] {
                let (until, figure) = (None, None);
                let result = ClearanceResult::Cleared;
                let student = *student;
                shop.record(Request::Clear {
                    course,
                    student,
                    what,
                    result,
                    until,
                    figure,
                });
            }
        }
        let plan = plan(
            &students,
            &[renate, bo],
            Setting::Confined,
            "2026-06-06T10:00:00+02:00",
        );
        let planned = shop.record(Request::PlanSession {
            course,
            session: None,
            plan,
        });
        let session = planned.made.expect("a session").parse().expect("an id");
        let school = Self {
            shop,
            instructor,
            assistant,
            course,
            session,
            students,
            renate,
            bo,
        };
        school.meet_all();
        school
    }

    /// Everyone meets everyone, twice: what one learns late reaches the others.
    pub(crate) fn meet_all(&self) {
        for _ in 0..2 {
            meet(&self.shop, &self.instructor);
            meet(&self.shop, &self.assistant);
            meet(&self.instructor, &self.assistant);
        }
    }

    /// A tap on a mark, on that device's screen as it is.
    pub(crate) fn tap(&self, by: &Device, student: usize, skill: &str, mark: Mark) -> MarkTap {
        let on = self.on_screen(by, student, skill);
        // Where marks differ, the tap is the word that settles them, and that has a reason.
        let settles = on.tap() == Tap::Resolution && mark != Mark::SatOut;
        MarkTap {
            on,
            mark,
            method: None,
            measured: Vec::new(),
            slips: Vec::new(),
            note: settles.then(|| "seen by both, told apart".into()),
            despite: None,
            session: Some(self.session),
            origin: Origin::Live,
            again: Again::AnotherTry,
        }
    }

    /// A cell as that device shows it now.
    pub(crate) fn on_screen(&self, by: &Device, student: usize, skill: &str) -> OnScreen {
        let (student, skill) = self.key(student, skill);
        by.desk
            .on_screen(&self.course, student, &skill)
            .expect("a cell")
    }

    pub(crate) fn ledger(&self) -> LedgerId {
        LedgerId::Course(self.course)
    }

    pub(crate) fn key(&self, student: usize, skill: &str) -> (StudentId, SkillId) {
        (self.students[student], skill.parse().expect("a skill"))
    }
}

/// Confirms every rule of the policy in force, as a person would after reading them.
pub(crate) fn confirm_all_rules(device: &Device, scope: Scope) {
    let rules = tallywater_core::course::starter::policy()
        .expect("the starter policy")
        .rules
        .into_iter()
        .map(|rule| rule.id)
        .collect();
    let read = RuleText {
        title: "House decision".into(),
        edition: None,
        clause: None,
        on: "2026-05-20".parse().expect("a day"),
    };
    device.record(Request::ConfirmRules { scope, rules, read });
}

pub(crate) fn details(name: &str) -> PersonDetails {
    PersonDetails {
        name: name.into(),
        called: None,
        born: Some("1990-05-05".parse().expect("a day")),
        adult: None,
        contact: None,
        emergency: None,
        body: None,
        sizes: None,
    }
}

pub(crate) fn plan(
    students: &[StudentId],
    staff: &[StaffId],
    setting: Setting,
    starts: &str,
) -> SessionPlan {
    SessionPlan {
        title: "Pool 1: breathing and mask".into(),
        block: None,
        setting,
        site: "Hollow Lane pool".into(),
        starts: time(starts),
        minutes: 120,
        students: students.to_vec(),
        staff: staff.to_vec(),
        run_list: Vec::new(),
        water: WaterPlan {
            kind: WaterKind::Fresh,
            max_depth_cm: Some(380),
            altitude_m: None,
            temperature_dc: Some(270),
            visibility_dm: None,
            moving: false,
        },
        stations: Vec::new(),
        also: BTreeSet::new(),
        bring: None,
    }
}

pub(crate) fn day(text: &str) -> NaiveDate {
    text.parse().expect("a day")
}

pub(crate) fn time(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).expect("a time")
}

/// So many years, as near as a clock can be wrong.
pub(crate) fn years(n: i64) -> Duration {
    Duration::days(365 * n)
}
