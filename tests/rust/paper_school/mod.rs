//! A school of our own invention, written entry by entry with real keys into real ledgers,
//! for the papers to print. Nobody in it exists.
//! `teach` holds its sessions.

mod teach;

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Duration, FixedOffset, NaiveDate};
use tallywater_core::course::{
    AdultSeen, ClearanceKind, CourseId, DiveLog, EmergencyContact, EntryId, GasUsed, LedgerId,
    Measure, Outline, PersonDetails, Policy, Role, SessionId, SessionPlan, Setting, Skill, StaffId,
    StudentId, WaterKind, WaterPlan, WeightCheck, WeightVerdict, starter,
};
use tallywater_core::entry::{
    self, Assignment, Attempt, Attendance, Body, Certificate, Clearance, ClearanceResult,
    Completion, Confirmation, CourseListed, CourseOpened, CourseState, Details, DetailsDigest,
    DeviceKey, DiveLogged, Enrolment, Entry, Exemption, Incident, Mark, Measured, Note, Origin,
    Outcome, OutlineSet, Passage, PersonForgotten, PolicySet, Resolution, RuleConfirmed,
    SessionCancelled, SessionPlanned, ShopOpened, StaffJoined, WeightChecked, Who, Withdrawal,
};
use tallywater_core::ledger::{Ledger, Written};
use tallywater_core::paper::{Proofs, Source};
use tallywater_core::standing::{CourseStanding, ShopStanding};
use tallywater_core::trust::{SecretKey, TrustBook, shop_id};
use uuid::Uuid;

/// One device and its holder.
pub(crate) struct Device {
    pub(crate) staff: StaffId,
    pub(crate) key: SecretKey,
}

/// The school's ledgers, and what writes into them.
pub(crate) struct School {
    pub(crate) shop: Ledger,
    pub(crate) course: Ledger,
    pub(crate) people: BTreeMap<StudentId, Ledger>,
    pub(crate) names: BTreeMap<StudentId, PersonDetails>,
    pub(crate) root: Device,
    pub(crate) instructor: Device,
    pub(crate) assistant: Device,
    pub(crate) course_id: CourseId,
    pub(crate) outline: Outline,
    pub(crate) students: Vec<StudentId>,
    pub(crate) sessions: Vec<SessionId>,
    pub(crate) now: DateTime<FixedOffset>,
    count: u64,
    dice: u64,
}

/// What a source borrows.
pub(crate) struct Standings {
    pub(crate) course: CourseStanding,
    pub(crate) shop: ShopStanding,
    pub(crate) trust: TrustBook,
    pub(crate) proofs: Proofs,
}

pub(crate) const NAMES: [&str; 14] = [
    "Odile Färber-Østergård",
    "مريم الزهراني",
    "黒潮 美波",
    "Æthelreda Ingibjörg Þórhallsdóttir-Wawrzyńczak zu Niederfinsterwalde-Bruckmühl",
    "שירה לב־ים",
    "Tomás Núñez Iglesias",
    "김수현",
    "Зоя Мирошниченко",
    "Ngũgĩ Wambũi",
    "Lê Thị Ánh Dương",
    "Kilian Röhrig",
    "Ayşe Gülbahar",
    "Ἑλένη Παπαδάκη",
    "Bo Li",
];

impl School {
    /// The school opened, a course begun, students enrolled; nothing taught yet.
    pub(crate) fn open(students: &[&str]) -> Self {
        Self::with(students, starter::outline().unwrap())
    }

    /// The same with another outline.
    pub(crate) fn with(students: &[&str], outline: Outline) -> Self {
        let device = |seed: u8, staff: StaffId| Device {
            staff,
            key: SecretKey::from_seed(&[seed; 32]),
        };
        let root_key = SecretKey::from_seed(&[1; 32]);
        let shop = shop_id(&root_key.public());
        let course_id = CourseId::new(Uuid::from_u128(0x0197_3000_0000_7000_8000_0000_0000_c001));
        let staff = |n: u128| {
            StaffId::new(Uuid::from_u128(
                0x0197_3000_0000_7000_8000_0000_0000_5000 + n,
            ))
        };
        let mut school = Self {
            shop: Ledger::new(LedgerId::Shop(shop), [1; 16]).unwrap(),
            course: Ledger::new(LedgerId::Course(course_id), [2; 16]).unwrap(),
            people: BTreeMap::new(),
            names: BTreeMap::new(),
            root: device(1, StaffId::new(shop.uuid())),
            instructor: device(2, staff(1)),
            assistant: device(3, staff(2)),
            course_id,
            outline,
            students: Vec::new(),
            sessions: Vec::new(),
            now: DateTime::parse_from_rfc3339("2026-06-01T08:00:00+02:00").unwrap(),
            count: 0,
            dice: 42,
        };
        school.found();
        for name in students {
            school.enrol(name);
        }
        school
    }

    fn found(&mut self) {
        let root = self.root.staff;
        self.at_shop(
            ShopOpened {
                name: "Nordlys Diving School".into(),
            }
            .into(),
        );
        for (staff, name, device, key, role) in [
            (
                self.instructor.staff,
                "Renate Quellmalz",
                "Renate's tablet",
                self.instructor.key.public(),
                Role::Instructor,
            ),
            (
                self.assistant.staff,
                "Joris Aalbersberg",
                "pool phone",
                self.assistant.key.public(),
                Role::Assistant,
            ),
        ] {
            self.at_shop(
                StaffJoined {
                    staff,
                    name: name.into(),
                }
                .into(),
            );
            self.at_shop(
                Certificate {
                    staff,
                    role,
                    device: device.into(),
                    key,
                    link: None,
                    from: day(2026, 1, 1),
                    until: None,
                    consent: None,
                }
                .into(),
            );
        }
        self.at_shop(
            CourseListed {
                course: self.course_id,
                title: "First dives, June".into(),
                starts: day(2026, 6, 1),
                staff: vec![self.instructor.staff, self.assistant.staff],
                state: CourseState::Running,
            }
            .into(),
        );
        let LedgerId::Shop(shop) = *self.shop.id() else {
            unreachable!()
        };
        self.by_shop(
            CourseOpened {
                place: None,
                title: "First dives, June".into(),
                shop,
                starts: day(2026, 6, 1),
            }
            .into(),
        );
        let outline = self.outline.clone();
        self.by_shop(OutlineSet { outline, why: None }.into());
        let policy = starter::policy().unwrap();
        let confirmed = policy
            .rules
            .iter()
            .map(|rule| RuleConfirmed {
                rule: rule.id.clone(),
                by: root,
                on: day(2026, 1, 7),
                read: entry::RuleText {
                    title: "House decision".into(),
                    edition: None,
                    clause: None,
                    on: day(2026, 1, 7),
                },
            })
            .collect();
        self.by_shop(
            PolicySet {
                policy,
                confirmed,
                proofs: Vec::new(),
            }
            .into(),
        );
        for (staff, role) in [
            (self.instructor.staff, Role::Instructor),
            (self.assistant.staff, Role::Assistant),
        ] {
            self.by_shop(Assignment { staff, role }.into());
        }
    }

    /// A different policy, confirmed by nobody.
    pub(crate) fn adopt(&mut self, policy: Policy) {
        let after = self.standings().course.all_of_kind(entry::Kind::PolicySet);
        self.by_instructor_after(
            PolicySet {
                policy,
                confirmed: Vec::new(),
                proofs: Vec::new(),
            }
            .into(),
            after,
        );
    }

    /// Enrols a student; the details lie in the person's own ledger.
    pub(crate) fn enrol(&mut self, name: &str) -> StudentId {
        let student = StudentId::new(self.next_id());
        let details = PersonDetails {
            name: name.into(),
            called: Some(
                name.split([' ', '-'])
                    .next()
                    .unwrap_or(name)
                    .chars()
                    .take(40)
                    .collect(),
            ),
            born: (self.students.len() % 5 == 3).then(|| day(2012, 3, 9)),
            adult: (self.students.len() % 5 != 3).then(|| AdultSeen {
                by: "Renate Solheim".into(),
                on: day(2026, 5, 1),
            }),
            contact: Some("+00 555 0100".into()),
            emergency: Some(EmergencyContact {
                name: "Next of kin".into(),
                reach: "+00 555 0199".into(),
            }),
            body: None,
            sizes: None,
        };
        let id = LedgerId::Person(student);
        let mut ledger = Ledger::new(id, [9; 16]).unwrap();
        let salt = "5a".repeat(32);
        let payload = entry::write(&Entry {
            id: EntryId::new(Uuid::nil()),
            at: self.now,
            by: self.root.staff,
            after: Vec::new(),
            body: Details {
                details: details.clone(),
                salt,
            }
            .into(),
        })
        .unwrap();
        let (entry, bytes) = self.root.key.seal(&id, None, &payload);
        let digest = DetailsDigest::of(entry, &payload);
        ledger.add(&bytes).unwrap();
        self.people.insert(student, ledger);
        self.names.insert(student, details);
        self.by_shop(
            Enrolment {
                student,
                details: digest,
                referred_from: None,
                known_there_as: None,
            }
            .into(),
        );
        self.students.push(student);
        student
    }

    /// Every paper and test seen and in order.
    pub(crate) fn clear(&mut self, student: StudentId) {
        for (what, figure) in [
            (ClearanceKind::Health, None),
            (ClearanceKind::Consent, None),
            (ClearanceKind::Swim, Some(200)),
            (ClearanceKind::Float, Some(10)),
            (ClearanceKind::Theory, Some(92)),
        ] {
            self.by_instructor(
                Clearance {
                    student,
                    what,
                    result: ClearanceResult::Cleared,
                    until: None,
                    figure,
                }
                .into(),
            );
        }
    }

    /// A session for everyone.
    pub(crate) fn plan(
        &mut self,
        title: &str,
        setting: Setting,
        run_list: Vec<tallywater_core::course::SkillId>,
    ) -> SessionId {
        let session = SessionId::new(self.next_id());
        let site = match setting {
            Setting::Classroom => "Boathouse, upper room",
            Setting::Surface | Setting::Confined => "Hollbæk baths, deep end",
            Setting::Open => "Sillsjön, east jetty",
        };
        let plan = SessionPlan {
            title: title.into(),
            block: None,
            setting,
            site: site.into(),
            starts: self.now + Duration::hours(2),
            minutes: 90,
            students: self.students.clone(),
            staff: vec![self.instructor.staff, self.assistant.staff],
            run_list,
            water: WaterPlan {
                kind: WaterKind::Fresh,
                max_depth_cm: Some(if setting == Setting::Open { 1_200 } else { 380 }),
                altitude_m: None,
                temperature_dc: Some(185),
                visibility_dm: Some(60),
                moving: false,
            },
            stations: Vec::new(),
            also: BTreeSet::new(),
            bring: None,
        };
        self.by_instructor(SessionPlanned { session, plan }.into());
        self.sessions.push(session);
        session
    }

    pub(crate) fn standings(&self) -> Standings {
        let (LedgerId::Course(_), root) = (*self.course.id(), self.root.key.public()) else {
            unreachable!()
        };
        let shop = &self.shop;
        let course = &self.course;
        let written = Written::of(vec![shop, course]);
        let behind = |ledger: &LedgerId, entry: &EntryId, key: &DeviceKey, last: &[EntryId]| {
            written.had(ledger, entry, key, last)
        };
        let trust = TrustBook::read(root, shop.lines(), &behind);
        let read = |ledger: &Ledger| {
            ledger
                .lines()
                .iter()
                .map(|(id, line)| {
                    (
                        *id,
                        line.clone(),
                        trust.verdict(ledger.id(), id, line, &behind),
                    )
                })
                .collect::<Vec<_>>()
        };
        let shop_lines = read(shop);
        let course_lines = read(course);
        Standings {
            shop: ShopStanding::read(
                shop_lines
                    .iter()
                    .map(|(id, line, verdict)| (*id, line, *verdict)),
            ),
            course: CourseStanding::read(
                self.course_id,
                course_lines
                    .iter()
                    .map(|(id, line, verdict)| (*id, line, *verdict)),
            ),
            trust,
            proofs: Proofs::default(),
        }
    }

    pub(crate) fn source<'a>(&'a self, standings: &'a Standings) -> Source<'a> {
        Source {
            course: &standings.course,
            ledger: &self.course,
            shop: &standings.shop,
            trust: &standings.trust,
            names: &self.names,
            proofs: &standings.proofs,
            now: self.now,
            water: None,
        }
    }

    pub(crate) fn next_id(&mut self) -> Uuid {
        self.count += 1;
        let chance = self.roll(u64::MAX).to_be_bytes();
        let mut ten = [0; 10];
        ten[2..].copy_from_slice(&chance);
        let millis = u64::try_from(self.now.timestamp_millis()).unwrap() + self.count;
        uuid::Builder::from_unix_timestamp_millis(millis, &ten).into_uuid()
    }

    /// Fair enough, and the same every time.
    pub(crate) fn roll(&mut self, below: u64) -> u64 {
        self.dice = self
            .dice
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.dice >> 16) % below
    }

    pub(crate) fn at_shop(&mut self, body: Body) -> EntryId {
        put(&mut self.shop, &self.root, self.now, Vec::new(), body)
    }

    /// A moment after the one before: lists stand in the order of the clocks that wrote them.
    pub(crate) fn by_shop(&mut self, body: Body) -> EntryId {
        self.now += Duration::seconds(1);
        put(&mut self.course, &self.root, self.now, Vec::new(), body)
    }

    pub(crate) fn by_instructor(&mut self, body: Body) -> EntryId {
        self.by_instructor_after(body, Vec::new())
    }

    pub(crate) fn by_instructor_after(&mut self, body: Body, after: Vec<EntryId>) -> EntryId {
        self.write_course(true, body, after)
    }

    fn write_course(&mut self, instructor: bool, body: Body, after: Vec<EntryId>) -> EntryId {
        self.now += Duration::seconds(3);
        let device = if instructor {
            &self.instructor
        } else {
            &self.assistant
        };
        put(&mut self.course, device, self.now, after, body)
    }
}

/// Writes an entry into a ledger, as a device does.
fn put(
    ledger: &mut Ledger,
    device: &Device,
    at: DateTime<FixedOffset>,
    after: Vec<EntryId>,
    body: Body,
) -> EntryId {
    let payload = entry::write(&Entry {
        id: EntryId::new(Uuid::nil()),
        at,
        by: device.staff,
        after,
        body,
    })
    .unwrap();
    let prev = ledger.last_of(&device.key.public()).pop();
    let (_, bytes) = device.key.seal(ledger.id(), prev, &payload);
    ledger.add(&bytes).unwrap().entry
}

/// An attempt with figures that suit the skill.
pub(crate) fn attempt_of(
    student: StudentId,
    skill: &Skill,
    session: SessionId,
    method: Option<tallywater_core::course::MethodId>,
    mark: Mark,
    slips: Vec<tallywater_core::course::SlipId>,
) -> Attempt {
    let measured = skill
        .requirement
        .measures
        .iter()
        .map(|measure| match measure {
            Measure::Count { at_least, .. } => Measured::Count(*at_least),
            Measure::Hold { seconds } | Measure::Within { seconds } => Measured::Seconds(*seconds),
            Measure::Distance { decimetres } | Measure::Miss { decimetres } => {
                Measured::Decimetres(*decimetres)
            }
            Measure::DepthBand { plus_minus_cm } => Measured::Centimetres(*plus_minus_cm),
            Measure::AscentRate { cm_per_minute } => Measured::CmPerMinute(*cm_per_minute),
            Measure::Reading { at_most, .. } => Measured::Reading(*at_most),
        })
        .collect::<BTreeSet<_>>()
        .into_iter()
        .collect();
    Attempt {
        student,
        skill: skill.id.clone(),
        method,
        mark,
        measured,
        slips,
        note: None,
        despite: None,
        session: Some(session),
        origin: Origin::Live,
    }
}

pub(crate) fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}
