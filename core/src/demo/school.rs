//! The demo school's devices, and what they do over and over: enrol, clear, run a session.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use chrono::{DateTime, Datelike as _, Duration, FixedOffset, NaiveDate};

use super::DemoError;
use super::cast::{Cast, CastCourse};
use super::stamps::StoryStamps;
use crate::course::{
    AdultSeen, Block, ClearanceKind, CourseId, DiveLog, GasUsed, LedgerId, MethodId, PersonDetails,
    Role, SessionId, SessionPlan, Setting, SkillId, StaffId, StaffPaper, StudentId, WaterKind,
    WaterPlan,
};
use crate::desk::{Admission, Again, Desk, DeskError, FileKeyStore, MarkTap, Request};
use crate::entry::{ClearanceResult, Mark, Origin, Passage, Who};
use crate::stamp::Stamps as _;

/// One device of the story.
pub(super) struct Actor {
    pub(super) desk: Desk,
    pub(super) staff: StaffId,
}

/// The whole school while the story is told.
pub(super) struct School {
    pub(super) cast: Cast,
    pub(super) stamps: Arc<StoryStamps>,
    pub(super) shop: Actor,
    /// Staff, in the order of the cast.
    pub(super) staff: Vec<Actor>,
}

/// A course of the story.
pub(super) struct Telling {
    pub(super) course: CourseId,
    pub(super) students: Vec<StudentId>,
    pub(super) instructor: usize,
    pub(super) assistant: usize,
}

fn open(folder: &Path, stamps: &Arc<StoryStamps>) -> Result<Desk, DeskError> {
    let keys = Box::new(FileKeyStore::new(&folder.join("keys")));
    Desk::open(folder, keys, Arc::<StoryStamps>::clone(stamps))
}

/// Reads an id that a request made.
pub(super) fn made<T: std::str::FromStr>(made: Option<String>) -> Result<T, DemoError> {
    made.and_then(|id| id.parse().ok())
        .ok_or(DemoError::NothingMade)
}

impl School {
    /// Opens the shop and admits every device of the cast.
    pub(super) fn found(
        folder: &Path,
        cast: Cast,
        at: DateTime<FixedOffset>,
    ) -> Result<Self, DemoError> {
        let stamps = Arc::new(StoryStamps::new(at));
        let desk = open(&folder.join("shop"), &stamps)?;
        let office = desk.start_shop(&cast.shop, &cast.office)?;
        let shop = Actor {
            desk,
            staff: office,
        };
        let mut staff = Vec::new();
        for person in &cast.staff {
            let joined = shop.desk.record(Request::JoinStaff {
                name: person.name.clone(),
            })?;
            let id: StaffId = made(joined.made)?;
            let desk = open(&folder.join(&person.folder), &stamps)?;
            let first = person
                .name
                .split_whitespace()
                .next()
                .unwrap_or(&person.name);
            shop.desk.record(Request::Admit(Admission {
                staff: id,
                role: person.role,
                device: format!("{first}'s tablet"),
                key: desk.card().key,
                link: Some(desk.card().link),
                until: None,
            }))?;
            staff.push(Actor { desk, staff: id });
        }
        let root = shop.desk.shop_root().ok_or(DemoError::NothingMade)?;
        let ledger = shop.desk.shop_ledger()?;
        for actor in &staff {
            actor.desk.join_shop(root, &ledger)?;
        }
        Ok(Self {
            cast,
            stamps,
            shop,
            staff,
        })
    }

    /// Opens a course and enrols its students, at the shop.
    pub(super) fn begin(
        &self,
        of: &CastCourse,
        starts: NaiveDate,
        (instructor, assistant): (usize, usize),
    ) -> Result<Telling, DemoError> {
        let staff = vec![
            (self.actor(instructor)?.staff, Role::Instructor),
            (self.actor(assistant)?.staff, Role::Assistant),
        ];
        let title = of.title.clone();
        let opened = self.shop.desk.record(Request::OpenCourse {
            place: None,
            outline: Default::default(),
            title,
            starts,
            staff,
        })?;
        let course: CourseId = made(opened.made)?;
        let mut students = Vec::new();
        for student in &of.students {
            let details = PersonDetails {
                name: student.name.clone(),
                called: student.called.clone(),
                born: student.born_years_ago.and_then(|years| {
                    starts
                        .checked_sub_days(chrono::Days::new(u64::try_from(years).ok()? * 365 + 90))
                }),
                adult: student.born_years_ago.is_none().then(|| AdultSeen {
                    by: self.cast.office.clone(),
                    on: self.stamps.now().date_naive(),
                }),
                contact: student.contact.clone(),
                emergency: Some(student.emergency.clone()),
                body: None,
                sizes: None,
            };
            let referred_from = student.referred_from.clone();
            let enrolled = self.shop.desk.record(Request::Enrol {
                course,
                details,
                referred_from,
            })?;
            students.push(made(enrolled.made)?);
        }
        Ok(Telling {
            course,
            students,
            instructor,
            assistant,
        })
    }

    pub(super) fn actor(&self, index: usize) -> Result<&Actor, DemoError> {
        self.staff.get(index).ok_or(DemoError::NothingMade)
    }

    /// What everybody on the staff has to have in date, seen at the counter.
    pub(super) fn renew_staff(&self, until: Option<NaiveDate>) -> Result<(), DemoError> {
        for actor in &self.staff {
            for what in StaffPaper::ALL {
                self.shop.desk.record(Request::RenewStaff {
                    staff: actor.staff,
                    what,
                    until,
                })?;
            }
        }
        Ok(())
    }

    /// The sites with their emergency plans, looked through at the counter.
    pub(super) fn describe_sites(&self) -> Result<(), DemoError> {
        for one in &self.cast.sites {
            let described = self.shop.desk.record(Request::SetSite {
                site: None,
                details: one.details.clone(),
            })?;
            let site = made(described.made)?;
            let plan = one.plan.clone();
            let written = self
                .shop
                .desk
                .record(Request::SetEmergency { site, plan })?;
            let (_, plan) = written.entries.first().ok_or(DemoError::NothingMade)?;
            self.shop
                .desk
                .record(Request::ConfirmEmergency { site, plan: *plan })?;
        }
        Ok(())
    }

    /// Records that a paper was seen or a test passed.
    pub(super) fn clear(
        &self,
        by: &Actor,
        course: CourseId,
        student: StudentId,
        what: ClearanceKind,
        figure: Option<u32>,
    ) -> Result<(), DemoError> {
        let (result, until) = (ClearanceResult::Cleared, None);
        by.desk.record(Request::Clear {
            course,
            student,
            what,
            result,
            until,
            figure,
        })?;
        Ok(())
    }

    /// Plans a block of the outline for these students.
    pub(super) fn plan(
        &self,
        telling: &Telling,
        block: &Block,
        starts: DateTime<FixedOffset>,
    ) -> Result<SessionId, DemoError> {
        let open_water = block.setting == Setting::Open;
        let instructor = self.actor(telling.instructor)?;
        let plan = SessionPlan {
            title: block.title.clone(),
            block: Some(block.id.clone()),
            setting: block.setting,
            site: if open_water {
                self.cast.lake.clone()
            } else {
                self.cast.pool.clone()
            },
            starts,
            minutes: block.minutes,
            students: telling.students.clone(),
            staff: vec![instructor.staff, self.actor(telling.assistant)?.staff],
            run_list: block.run_list.clone(),
            water: WaterPlan {
                kind: WaterKind::Fresh,
                max_depth_cm: Some(if open_water { 1_200 } else { 380 }),
                altitude_m: None,
                temperature_dc: Some(if open_water {
                    lake(starts.month())
                } else {
                    280
                }),
                visibility_dm: open_water.then_some(60),
                moving: false,
            },
            stations: Vec::new(),
            also: BTreeSet::new(),
            bring: None,
        };
        let session = None;
        let planned = instructor.desk.record(Request::PlanSession {
            course: telling.course,
            session,
            plan,
        })?;
        made(planned.made)
    }

    /// Everyone who is there goes in or comes out, as the instructor counts them.
    pub(super) fn pass(
        &self,
        telling: &Telling,
        session: SessionId,
        who: impl IntoIterator<Item = Who>,
        passage: Passage,
    ) -> Result<(), DemoError> {
        for who in who {
            self.actor(telling.instructor)?.desk.record(Request::Pass {
                course: telling.course,
                session,
                who,
                passage,
                when: None,
            })?;
        }
        Ok(())
    }

    /// Logs a student's dive in this session.
    pub(super) fn dive(
        &self,
        telling: &Telling,
        session: SessionId,
        who: Who,
        down: DateTime<FixedOffset>,
        number: u32,
    ) -> Result<(), DemoError> {
        let deep = 900 + 150 * (number % 3);
        let minutes = 24 + number % 7;
        let mean = deep * 3 / 5;
        // What a beginner breathes, 14 to 27 L/min at the surface, over the time at the average
        // depth: millibar of a twelve-litre cylinder, at 98 mbar for a metre of fresh water.
        let breathes = 14 + (number * 5) % 14;
        let used_mbar = breathes * minutes * (1_013 + mean * 98 / 100) / 12;
        // Whoever has a dive computer brings its samples: here every other diver.
        let profile = if number.is_multiple_of(2) {
            profile(deep, minutes * 60)
        } else {
            Vec::new()
        };
        let log = DiveLog {
            down,
            up: down + Duration::minutes(i64::from(minutes)),
            max_depth_cm: deep,
            mean_depth_cm: Some(mean),
            ascents: Some(1),
            gas: Some(GasUsed {
                capacity_dl: 120,
                start_mbar: 200_000,
                end_mbar: 200_000 - used_mbar,
                oxygen_permille: 209,
            }),
            water: WaterKind::Fresh,
            temperature_dc: Some(lake(down.month())),
            profile,
        };
        let session = Some(session);
        self.actor(telling.instructor)?
            .desk
            .record(Request::LogDive {
                course: telling.course,
                who,
                session,
                log,
            })?;
        Ok(())
    }

    /// Carries everything each device holds to every other, the shop first.
    pub(super) fn meet(&self) -> Result<(), DemoError> {
        for actor in &self.staff {
            carry(&actor.desk, &self.shop.desk, None)?;
        }
        for actor in &self.staff {
            carry(&self.shop.desk, &actor.desk, Some(actor.staff))?;
        }
        Ok(())
    }
}

/// Carries ledgers one way; to a member of staff, only those of the courses they work on.
fn carry(from: &Desk, to: &Desk, only_for: Option<StaffId>) -> Result<(), DemoError> {
    let mut ledgers = from.ledgers()?;
    ledgers.sort();
    for ledger in ledgers {
        if let Some(staff) = only_for
            && !from.may_have(&staff, &ledger)?
        {
            continue;
        }
        if to.ledgers()?.contains(&ledger) && to.heads(&ledger)? == from.heads(&ledger)? {
            continue;
        }
        to.merge(&ledger, &from.save_ledger(&ledger)?)?;
    }
    Ok(())
}

/// A lake at fifty degrees north by the month, in tenths of a degree: invented, and plausible.
fn lake(month: u32) -> i16 {
    match month {
        1..=3 => 50,
        4 => 80,
        5 => 120,
        6 => 160,
        7 | 8 => 190,
        9 => 170,
        10 => 130,
        _ => 90,
    }
}

/// A dive as a computer would have it: down, along the bottom, up at 8 m a minute with three
/// minutes at 5 m, the last metres slowly. Seconds and centimetres.
fn profile(deep: u32, seconds: u32) -> Vec<(u32, u32)> {
    let (stop, at_stop, last) = (500, 180, 75);
    let climb = (deep - stop) * 60 / 800;
    let leave = seconds - climb - at_stop - last;
    vec![
        (0, 0),
        (90, deep * 9 / 10),
        (leave / 3, deep),
        (leave * 2 / 3, deep * 9 / 10),
        (leave, deep * 8 / 10),
        (leave + climb, stop),
        (leave + climb + at_stop, stop),
        (seconds, 0),
    ]
}

/// A plain tap on a mark, on that desk's screen as it is.
pub(super) fn tap(
    desk: &Desk,
    course: CourseId,
    student: StudentId,
    skill: &SkillId,
    mark: Mark,
    session: SessionId,
    method: Option<MethodId>,
) -> Result<MarkTap, DeskError> {
    Ok(MarkTap {
        on: desk.on_screen(&course, student, skill)?,
        mark,
        method,
        measured: Vec::new(),
        slips: Vec::new(),
        note: None,
        despite: None,
        session: Some(session),
        origin: Origin::Live,
        again: Again::AnotherTry,
    })
}

/// The ledger of a telling's course.
pub(super) const fn ledger(telling: &Telling) -> LedgerId {
    LedgerId::Course(telling.course)
}
