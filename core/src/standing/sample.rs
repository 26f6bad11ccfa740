//! Sample: a course written down entry by entry, for tests of what entries mean.
//!
//! The lines look signed and their verdict is that they count; keys and signatures are
//! tested where they are made. A school of our own invention.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta};
use uuid::Uuid;

use super::{CourseStanding, ShopStanding};
use crate::course::{
    AscentsOf, CapOf, ClearanceKind, CourseId, Demand, DiveLog, EntryId, Family, Gate, Measure,
    Method, MethodsNeeded, MinuteRange, Outline, Policy, PolicyRule, Requirement, Role, Rule,
    RuleId, SessionId, SessionPlan, Setting, ShopId, Skill, SkillId, SkillRun, StaffId, StudentId,
    WaterKind, WaterPlan,
};
use crate::entry::{
    Assignment, Attempt, Attendance, Body, Clearance, ClearanceResult, CourseOpened, DetailsDigest,
    DeviceKey, DiveLogged, Enrolment, Entry, Mark, Origin, OutlineSet, Passage, PolicyConfirmed,
    PolicySet, Reading, RuleText, SessionPlanned, Sha256Hex, Who, Withdrawal, Writer,
};
use crate::trust::{Line, Verdict};

/// An instructor.
pub(crate) const RENATE: Writer = writer(1, Role::Instructor);
/// Another instructor.
pub(crate) const ODD: Writer = writer(2, Role::Instructor);
/// An assistant.
pub(crate) const PELLE: Writer = writer(3, Role::Assistant);
/// The shop's office.
pub(crate) const OFFICE: Writer = writer(4, Role::Shop);

const fn writer(n: u128, role: Role) -> Writer {
    Writer {
        staff: StaffId::new(Uuid::from_u128(0x5000 + n)),
        role,
    }
}

/// The course of the sample.
pub(crate) const COURSE: CourseId = CourseId::new(Uuid::from_u128(0xc0));

pub(crate) const fn student(n: u128) -> StudentId {
    StudentId::new(Uuid::from_u128(0x5100 + n))
}

pub(crate) fn session(n: u128) -> SessionId {
    SessionId::new(Uuid::from_u128(0x5e00 + n))
}

pub(crate) fn skill_id(id: &str) -> SkillId {
    id.parse().unwrap()
}

pub(crate) fn rule_id(id: &str) -> RuleId {
    id.parse().unwrap()
}

pub(crate) fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

pub(crate) fn time(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

/// A skill met once, anywhere, in any way.
pub(crate) fn skill(id: &str) -> Skill {
    Skill {
        id: skill_id(id),
        name: format!("The {id}"),
        family: Family::Mask,
        settings: [Setting::Surface, Setting::Confined, Setting::Open].into(),
        needs: Vec::new(),
        requirement: Requirement {
            says: format!("Show the {id} for 20 seconds."),
            measures: vec![Measure::Hold { seconds: 20 }],
        },
        methods: Vec::new(),
        methods_needed: MethodsNeeded::Any,
        demand: Demand::default(),
        cues: vec!["Slowly".to_owned()],
        slips: Vec::new(),
        caution: None,
        hazard: false,
        minutes: MinuteRange { quick: 2, slow: 5 },
        run: SkillRun::default(),
        required: true,
        proves: None,
    }
}

fn method(id: &str, required: bool) -> Method {
    Method {
        id: id.parse().unwrap(),
        name: format!("By {id}"),
        cues: Vec::new(),
        required,
    }
}

/// `once` · `twice`, in two sessions · `both` confined and open · `ways`, all of two with a
/// third that depends on the kit · `builds`, on `once` · `extra`, not required.
pub(crate) fn outline() -> Outline {
    let mut twice = skill("twice");
    twice.family = Family::Buoyancy;
    twice.demand = Demand {
        times: 2,
        sessions: 2,
        each_of: BTreeSet::new(),
    };
    let mut both = skill("both");
    both.demand.each_of = [Setting::Confined, Setting::Open].into();
    let mut ways = skill("ways");
    ways.family = Family::Regulator;
    ways.methods = vec![
        method("purge", true),
        method("breath", true),
        method("hose", false),
    ];
    ways.methods_needed = MethodsNeeded::All;
    let mut builds = skill("builds");
    builds.needs = vec![skill_id("once")];
    let mut extra = skill("extra");
    extra.required = false;
    Outline {
        title: "Sample dives".to_owned(),
        edition: 1,
        source: "Invented for a test".to_owned(),
        skills: vec![skill("once"), twice, both, ways, builds, extra],
        blocks: Vec::new(),
    }
}

fn rule(id: &str, rule: Rule) -> PolicyRule {
    PolicyRule {
        id: rule_id(id),
        rule,
        source: "Invented for a test".to_owned(),
    }
}

/// The text that somebody read before confirming.
pub(crate) fn read_text() -> RuleText {
    RuleText {
        title: "House decision".to_owned(),
        edition: None,
        clause: None,
        on: day("2026-05-20"),
    }
}

/// Papers, ratios, depths and dives, each under a short id.
pub(crate) fn policy() -> Policy {
    let needs = |clearance, before| Rule::Needs { clearance, before };
    Policy {
        title: "Sample rules".to_owned(),
        edition: 1,
        rules: vec![
            rule("health", needs(ClearanceKind::Health, Gate::Water)),
            rule("swim", needs(ClearanceKind::Swim, Gate::OpenWater)),
            rule("theory", needs(ClearanceKind::Theory, Gate::Completion)),
            rule("currency", Rule::HealthCurrency { days: 365 }),
            rule("consent", Rule::ConsentUnder { age: 18 }),
            rule("dives", Rule::DivesNeeded { least: 1 }),
            rule("dives-a-day", Rule::DivesPerDay { most: 2 }),
            rule(
                "ascents",
                Rule::AscentsPerDay {
                    most: 3,
                    of: AscentsOf::Staff,
                },
            ),
            rule(
                "ratio",
                Rule::Ratio {
                    setting: Setting::Confined,
                    per_instructor: 4,
                    per_assistant: 2,
                    cap: 7,
                    cap_of: CapOf::Water,
                },
            ),
            rule(
                "depth-first",
                Rule::Depth {
                    setting: Setting::Open,
                    dive: Some(1),
                    max_cm: 1_200,
                },
            ),
            rule(
                "depth",
                Rule::Depth {
                    setting: Setting::Open,
                    dive: None,
                    max_cm: 1_800,
                },
            ),
            rule(
                "assistants",
                Rule::AssistantJudges {
                    skills: [skill_id("once")].into(),
                },
            ),
        ],
    }
}

/// A session of both students, one instructor and one assistant, with every skill.
pub(crate) fn plan(setting: Setting, starts: &str) -> SessionPlan {
    SessionPlan {
        title: format!("A session in {setting:?}"),
        block: None,
        setting,
        site: "Old mill pond".to_owned(),
        starts: time(starts),
        minutes: 90,
        students: vec![student(1), student(2)],
        staff: vec![RENATE.staff, PELLE.staff],
        run_list: outline().skills.into_iter().map(|one| one.id).collect(),
        water: WaterPlan {
            kind: WaterKind::Fresh,
            max_depth_cm: Some(300),
            altitude_m: None,
            temperature_dc: Some(240),
            visibility_dm: None,
            moving: false,
        },
        stations: Vec::new(),
        also: BTreeSet::new(),
        bring: None,
    }
}

/// A line with its verdict, as a ledger gives it.
pub(crate) type Told = (EntryId, Line, Verdict);

/// A course that is being written down.
#[derive(Clone)]
pub(crate) struct Sample {
    pub(crate) lines: Vec<Told>,
    pub(crate) now: CourseStanding,
    at: DateTime<FixedOffset>,
    made: u64,
}

impl Sample {
    /// Nothing yet.
    pub(crate) fn empty() -> Self {
        Self::of(COURSE)
    }

    /// Nothing yet of another course.
    pub(crate) fn of(course: CourseId) -> Self {
        Self {
            lines: Vec::new(),
            now: CourseStanding::new(course),
            at: time("2026-06-01T09:00:00+02:00"),
            made: 0,
        }
    }

    /// Opened, with outline, policy (nothing confirmed), staff, students 1 and 2, session 1
    /// in confined water, 2 in confined water a day later, 3 in open water after that.
    pub(crate) fn new() -> Self {
        let mut sample = Self::bare();
        sample.add(
            OFFICE,
            &[],
            PolicySet {
                policy: policy(),
                confirmed: Vec::new(),
                proofs: Vec::new(),
            },
        );
        sample
    }

    /// As [`Sample::new`], without a policy.
    pub(crate) fn bare() -> Self {
        let mut sample = Self::empty();
        sample.add(
            OFFICE,
            &[],
            CourseOpened {
                place: None,
                title: "First dives, June".to_owned(),
                shop: ShopId::new(Uuid::from_u128(0x54)),
                starts: day("2026-06-01"),
            },
        );
        sample.add(
            OFFICE,
            &[],
            OutlineSet {
                outline: outline(),
                why: None,
            },
        );
        for (staff, role) in [
            (RENATE.staff, Role::Instructor),
            (ODD.staff, Role::Instructor),
            (PELLE.staff, Role::Assistant),
        ] {
            sample.add(OFFICE, &[], Assignment { staff, role });
        }
        for n in [1, 2] {
            sample.enrol(n);
        }
        for (n, setting, starts) in [
            (1, Setting::Confined, "2026-06-02T10:00:00+02:00"),
            (2, Setting::Confined, "2026-06-03T10:00:00+02:00"),
            (3, Setting::Open, "2026-06-06T09:00:00+02:00"),
        ] {
            sample.add(
                OFFICE,
                &[],
                SessionPlanned {
                    session: session(n),
                    plan: plan(setting, starts),
                },
            );
        }
        sample
    }

    /// As [`Sample::new`], with these rules besides, every rule confirmed.
    pub(crate) fn with_rules(rules: Vec<(&str, Rule)>) -> Self {
        let mut sample = Self::bare();
        let mut policy = policy();
        policy
            .rules
            .extend(rules.into_iter().map(|(id, asked)| rule(id, asked)));
        sample.add(
            OFFICE,
            &[],
            PolicySet {
                policy,
                confirmed: Vec::new(),
                proofs: Vec::new(),
            },
        );
        sample.confirm_rules();
        sample
    }

    /// A dive of these times in a session, or in none.
    pub(crate) fn dive(
        &mut self,
        who: Who,
        held: Option<u128>,
        (down, up): (&str, &str),
        max_depth_cm: u32,
    ) -> EntryId {
        let log = DiveLog {
            down: time(&format!("2026-06-06T{down}:00+02:00")),
            up: time(&format!("2026-06-06T{up}:00+02:00")),
            max_depth_cm,
            mean_depth_cm: None,
            ascents: None,
            gas: None,
            water: WaterKind::Fresh,
            temperature_dc: None,
            profile: Vec::new(),
        };
        let dive = DiveLogged {
            who,
            session: held.map(session),
            site: None,
            log,
        };
        self.add(RENATE, &[], dive)
    }

    /// Moves the clock on, or back.
    pub(crate) fn clock(&mut self, text: &str) -> &mut Self {
        self.at = time(text);
        self
    }

    /// Writes an entry down, after these, and takes it in.
    pub(crate) fn add(
        &mut self,
        writer: Writer,
        after: &[EntryId],
        body: impl Into<Body>,
    ) -> EntryId {
        let (id, line) = self.line(writer, after, body.into());
        self.take(id, line, Verdict::Counts(writer));
        id
    }

    /// Takes in a line as a ledger gives it.
    pub(crate) fn take(&mut self, id: EntryId, line: Line, verdict: Verdict) {
        self.now.take(id, &line, verdict);
        self.lines.push((id, line, verdict));
    }

    /// A line that looks signed by the writer's device.
    pub(crate) fn line(
        &mut self,
        writer: Writer,
        after: &[EntryId],
        body: Body,
    ) -> (EntryId, Line) {
        self.made += 1;
        self.at += TimeDelta::seconds(1);
        let id = entry_id(self.at, self.made);
        let entry = Entry {
            id,
            at: self.at,
            by: writer.staff,
            after: after.to_vec(),
            body,
        };
        let [.., last] = *writer.staff.bytes();
        let line = Line {
            key: Some(DeviceKey([last; 32])),
            prev: None,
            signed: true,
            reading: Reading::Known(Arc::new(entry)),
        };
        (id, line)
    }

    pub(crate) fn enrol(&mut self, n: u128) -> EntryId {
        let details = DetailsDigest {
            entry: EntryId::new(Uuid::from_u128(n)),
            sha256: Sha256Hex([7; 32]),
        };
        let enrolment = Enrolment {
            student: student(n),
            details,
            referred_from: None,
            known_there_as: None,
        };
        self.add(OFFICE, &[], enrolment)
    }

    /// What is on screen of a cell.
    pub(crate) fn seen(&self, n: u128, skill: &str) -> Vec<EntryId> {
        let cell = self.now.cells().get(&(student(n), skill_id(skill)));
        cell.map_or_else(Vec::new, |cell| cell.seen.clone())
    }

    /// A mark by someone who sees all of the cell.
    pub(crate) fn mark(
        &mut self,
        writer: Writer,
        n: u128,
        skill: &str,
        mark: Mark,
        held: u128,
    ) -> EntryId {
        let after = self.seen(n, skill);
        self.mark_after(writer, &after, n, skill, mark, held)
    }

    /// A mark by someone who sees just these.
    pub(crate) fn mark_after(
        &mut self,
        writer: Writer,
        after: &[EntryId],
        n: u128,
        skill: &str,
        mark: Mark,
        held: u128,
    ) -> EntryId {
        let attempt = attempt(n, skill, mark, held);
        self.add(writer, after, attempt)
    }

    /// A mark of one way of doing a skill.
    pub(crate) fn mark_way(
        &mut self,
        writer: Writer,
        n: u128,
        skill: &str,
        way: &str,
        held: u128,
    ) -> EntryId {
        let mut attempt = attempt(n, skill, Mark::Met, held);
        attempt.method = Some(way.parse().unwrap());
        let after = self.seen(n, skill);
        self.add(writer, &after, attempt)
    }

    pub(crate) fn withdraw(&mut self, writer: Writer, entry: EntryId) -> EntryId {
        self.add(writer, &[entry], Withdrawal { entry, why: None })
    }

    pub(crate) fn clear(
        &mut self,
        n: u128,
        what: ClearanceKind,
        result: ClearanceResult,
    ) -> EntryId {
        let after = self.now.clearance_entries(&student(n), what);
        let clearance = Clearance {
            student: student(n),
            what,
            result,
            until: None,
            figure: None,
        };
        self.add(RENATE, &after, clearance)
    }

    /// Every rule of the policy in force is confirmed.
    pub(crate) fn confirm_rules(&mut self) -> EntryId {
        let now = self.now.policy().unwrap();
        let confirmed = PolicyConfirmed {
            policy: now.entry,
            rules: now.policy.rules.iter().map(|one| one.id.clone()).collect(),
            read: read_text(),
        };
        self.add(OFFICE, &[], confirmed)
    }

    pub(crate) fn pass(&mut self, who: Who, held: u128, passage: Passage, at: &str) -> EntryId {
        let after = self.now.passages(&session(held), &who);
        let attendance = Attendance {
            who,
            session: session(held),
            passage,
            when: time(at),
        };
        self.add(PELLE, &after, attendance)
    }

    /// The cell.
    pub(crate) fn cell(&self, n: u128, skill: &str) -> &super::Cell {
        &self.now.cells()[&(student(n), skill_id(skill))]
    }

    /// Everything read again at once, in this order.
    pub(crate) fn read(lines: &[Told]) -> CourseStanding {
        CourseStanding::read(COURSE, lines.iter().map(|(id, line, v)| (*id, line, *v)))
    }
}

/// A UUID of version 7 whose random half does not grow with time.
pub(crate) fn entry_id(at: DateTime<FixedOffset>, made: u64) -> EntryId {
    let chance = made.wrapping_mul(0x9e37_79b9_7f4a_7c15).to_be_bytes();
    let [a, b, c, d, e, f, g, h] = chance;
    let chance = [g, h, a, b, c, d, e, f, a, b];
    let millis = u64::try_from(at.timestamp_millis()).unwrap();
    EntryId::new(uuid::Builder::from_unix_timestamp_millis(millis, &chance).into_uuid())
}

pub(crate) fn attempt(n: u128, skill: &str, mark: Mark, held: u128) -> Attempt {
    Attempt {
        student: student(n),
        skill: skill_id(skill),
        method: None,
        mark,
        measured: Vec::new(),
        slips: Vec::new(),
        note: None,
        despite: None,
        session: Some(session(held)),
        origin: Origin::Live,
    }
}

/// A shop's standing from these bodies, written by the office one after another.
pub(crate) fn shop(bodies: Vec<Body>) -> ShopStanding {
    let mut sample = Sample::empty();
    let mut shop = ShopStanding::default();
    let mut before: BTreeMap<crate::entry::Kind, Vec<EntryId>> = BTreeMap::new();
    for body in bodies {
        let after = before.entry(body.kind()).or_default();
        let (id, line) = sample.line(OFFICE, after, body);
        after.push(id);
        shop.take(id, &line, Verdict::Counts(OFFICE));
    }
    shop
}
