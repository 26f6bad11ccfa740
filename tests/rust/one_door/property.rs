//! Whatever a view allows is recorded, and whatever it forbids is refused: over random
//! courses, roles and states.

use proptest::prelude::*;
use tallywater_core::course::{
    ClearanceKind, DiveLog, Role, Setting, SkillId, StudentId, WaterKind, WeightCheck,
    WeightVerdict,
};
use tallywater_core::desk::{Request, Scope};
use tallywater_core::entry::{ClearanceResult, Mark, Outcome, Passage, Who};
use tallywater_core::view::{
    AttemptSheetView, CourseListView, HeadcountView, IncidentsView, Leave, NotesOn, NotesView,
    OnScreen, OutlineView, PolicyView, RecordView, SessionListView, StaffView, StudentView, Tap,
    Units, WaterView,
};

use super::tap;
use crate::support::devices::{Device, School, admit, day, details, meet, plan, time};

const SKILLS: [&str; 3] = ["mask-full", "gas-take", "reg-clear"];
const MARKS: [Mark; 4] = [Mark::Met, Mark::Nearly, Mark::NotYet, Mark::SatOut];

/// What is tried; numbers pick among what is there, modulo how many there are.
#[derive(Debug, Clone, Copy)]
enum Act {
    Mark(u8),
    Settle,
    Exempt,
    ConfirmCell,
    ConfirmLine(u8),
    Withdraw(u8),
    BringBack(u8),
    Complete,
    Leave,
    Clear(u8),
    Note,
    Pass(bool),
    Incident,
    Dive,
    Weigh,
    Plan,
    Outline,
    Policy,
    ShopPolicy,
    Amend,
    Course,
    Staff,
    Revoke,
    Meet(u8),
}

fn act() -> impl Strategy<Value = Act> {
    let n = any::<u8>;
    prop_oneof![
        8 => n().prop_map(Act::Mark),
        3 => Just(Act::Settle),
        2 => Just(Act::Exempt),
        3 => Just(Act::ConfirmCell),
        3 => n().prop_map(Act::ConfirmLine),
        4 => n().prop_map(Act::Withdraw),
        2 => n().prop_map(Act::BringBack),
        1 => Just(Act::Complete),
        1 => Just(Act::Leave),
        1 => n().prop_map(Act::Clear),
        1 => Just(Act::Note),
        1 => any::<bool>().prop_map(Act::Pass),
        1 => Just(Act::Incident),
        1 => Just(Act::Dive),
        1 => Just(Act::Weigh),
        1 => Just(Act::Plan),
        1 => Just(Act::Outline),
        1 => Just(Act::Policy),
        1 => Just(Act::ShopPolicy),
        1 => Just(Act::Amend),
        1 => Just(Act::Course),
        1 => Just(Act::Staff),
        1 => Just(Act::Revoke),
        4 => n().prop_map(Act::Meet),
    ]
}

/// One thing that is tried: by which device, on which cell.
type Step = (u8, u8, u8, Act);

/// What a device's view says of it, and the request that follows; `None` where there is no
/// such thing to press.
fn asked(
    by: &Device,
    school: &School,
    cell: (StudentId, SkillId),
    act: Act,
) -> Option<(Leave, Request)> {
    let (student, skill) = cell;
    let course = school.course;
    let session = school.session;
    let why = || "A reason".to_owned();
    let on = || by.desk.on_screen(&course, student, &skill).unwrap();
    let look = |of: &dyn Fn(
        &tallywater_core::standing::CourseStanding,
        &tallywater_core::view::Reader<'_>,
    ) -> Leave| by.desk.look(&course, Units::Metric, of).unwrap();
    let sheet = || {
        by.desk
            .look(&course, Units::Metric, |course, reader| {
                AttemptSheetView::of(course, reader, &student, &skill, None)
            })
            .unwrap()
            .unwrap()
    };
    let marked = |on: OnScreen, mark: Mark| {
        let leave = if on.tap() == Tap::Resolution && mark != Mark::SatOut {
            on.may_settle()
        } else {
            on.may_mark()
        };
        let Request::Mark(mut tap) = tap(on, mark) else {
            panic!("a mark")
        };
        tap.note = Some(why());
        (leave, Request::Mark(tap))
    };
    Some(match act {
        Act::Meet(_) => return None,
        Act::Mark(n) => marked(on(), MARKS[usize::from(n) % MARKS.len()]),
        Act::Settle => {
            let on = on();
            let mark = Mark::Met;
            (
                on.may_settle(),
                Request::Resolve {
                    on,
                    mark,
                    why: why(),
                },
            )
        }
        Act::Exempt => {
            let on = on();
            (on.may_exempt(), Request::Exempt { on, why: why() })
        }
        Act::ConfirmCell => {
            let on = on();
            let attempts = on.waiting().to_vec();
            (on.may_confirm(), Request::Confirm { course, attempts })
        }
        Act::ConfirmLine(n) => {
            let history = sheet().history;
            let line = history.get(usize::from(n) % history.len().max(1))?;
            let attempts = vec![line.entry];
            (line.may_confirm, Request::Confirm { course, attempts })
        }
        Act::Withdraw(n) => {
            let history = sheet().history;
            let line = history.get(usize::from(n) % history.len().max(1))?;
            let (ledger, entry, why) = (school.ledger(), line.entry, None);
            (line.may_withdraw, Request::Withdraw { ledger, entry, why })
        }
        Act::BringBack(n) => {
            let history = sheet().history;
            let gone: Vec<_> = history
                .iter()
                .filter_map(|one| one.withdrawn.as_ref())
                .collect();
            let gone = gone.get(usize::from(n) % gone.len().max(1))?;
            let (ledger, entry, why) = (school.ledger(), gone.entry, None);
            (
                gone.may_bring_back,
                Request::Withdraw { ledger, entry, why },
            )
        }
        Act::Complete | Act::Leave => {
            let record = by
                .desk
                .look(&course, Units::Metric, |course, reader| {
                    RecordView::of(course, reader, &student)
                })
                .unwrap()
                .unwrap();
            let (leave, outcome) = if matches!(act, Act::Complete) {
                (record.may_complete, Outcome::Completed)
            } else {
                (record.may_end, Outcome::Left)
            };
            let considered = record.considered;
            let request = Request::Complete {
                course,
                student,
                outcome,
                considered,
            };
            (leave, request)
        }
        Act::Clear(n) => {
            let what = ClearanceKind::ALL[usize::from(n) % ClearanceKind::ALL.len()];
            // A test that the outline has as a skill is no row: it is marked.
            let leave = by.desk.look(&course, Units::Metric, |course, reader| {
                let student = StudentView::of(course, reader, &student).unwrap();
                let row = student.clearances.iter().find(|row| row.what == what);
                row.map(|row| row.may_record)
            });
            let leave = leave.unwrap()?;
            let request = Request::Clear {
                course,
                student,
                what,
                result: ClearanceResult::Cleared,
                until: None,
                figure: None,
            };
            (leave, request)
        }
        Act::Note => {
            let leave = look(&|course, reader| {
                NotesView::of(course, reader, NotesOn::Student(student)).may_add
            });
            let request = Request::Note {
                course,
                student: Some(student),
                skill: None,
                session: None,
                entry: None,
                text: why(),
            };
            (leave, request)
        }
        Act::Pass(is_in) => {
            let leave = look(&|course, reader| {
                HeadcountView::of(course, reader, &session)
                    .unwrap()
                    .may_count
            });
            let request = Request::Pass {
                course,
                session,
                who: Who::Student(student),
                passage: if is_in { Passage::In } else { Passage::Out },
                when: None,
            };
            (leave, request)
        }
        Act::Incident => {
            let leave = look(&|course, reader| IncidentsView::of(course, reader).may_add);
            let request = Request::ReportIncident {
                course,
                session: Some(session),
                who: vec![Who::Student(student)],
                when: time("2026-06-06T10:20:00+02:00"),
                happened: why(),
                done: why(),
                reported: None,
            };
            (leave, request)
        }
        Act::Dive => {
            let leave = look(&|course, reader| WaterView::of(course, reader, None).may_log);
            let log = DiveLog {
                down: time("2026-06-06T10:20:00+02:00"),
                up: time("2026-06-06T10:50:00+02:00"),
                max_depth_cm: 1_000,
                mean_depth_cm: None,
                ascents: None,
                gas: None,
                water: WaterKind::Fresh,
                temperature_dc: None,
                profile: Vec::new(),
            };
            let (who, session) = (Who::Student(student), Some(session));
            let request = Request::LogDive {
                course,
                who,
                session,
                log,
            };
            (leave, request)
        }
        Act::Weigh => {
            let leave = look(&|course, reader| WaterView::of(course, reader, None).may_weigh);
            let check = WeightCheck {
                lead_g: 6_000,
                water: WaterKind::Fresh,
                suit: "5 mm".into(),
                capacity_dl: 120,
                cylinder: "steel".into(),
                pressure_mbar: 50_000,
                verdict: WeightVerdict::Right,
            };
            let request = Request::CheckWeight {
                course,
                student,
                session: Some(session),
                check,
            };
            (leave, request)
        }
        Act::Plan => {
            let leave = look(&|course, reader| SessionListView::of(course, reader).may_plan);
            let starts = "2026-06-07T10:00:00+02:00";
            let plan = plan(
                &school.students,
                &[school.renate],
                Setting::Confined,
                starts,
            );
            let session = None;
            let request = Request::PlanSession {
                course,
                session,
                plan,
            };
            (leave, request)
        }
        Act::Outline => {
            let outline = by
                .desk
                .with_course(&course, |course| course.outline().unwrap().clone())
                .unwrap();
            let leave =
                look(&|course, reader| OutlineView::of_course(course, reader).unwrap().may_set);
            let request = Request::SetOutline {
                scope: Scope::Course(course),
                outline,
                why: None,
            };
            (leave, request)
        }
        Act::Policy => {
            let policy = by
                .desk
                .with_course(&course, |course| course.policy().unwrap().policy.clone())
                .unwrap();
            let leave =
                look(&|course, reader| PolicyView::of_course(course, reader).unwrap().may_set);
            let scope = Scope::Course(course);
            (leave, Request::SetPolicy { scope, policy })
        }
        Act::ShopPolicy => {
            let policy = by
                .desk
                .with_course(&course, |course| course.policy().unwrap().policy.clone())
                .unwrap();
            let leave = by
                .desk
                .look_at_shop(Units::Metric, |reader| {
                    PolicyView::of_shop(reader).unwrap().may_set
                })
                .unwrap();
            let scope = Scope::Shop;
            (leave, Request::SetPolicy { scope, policy })
        }
        Act::Amend => {
            let leave = look(&|course, reader| {
                StudentView::of(course, reader, &student).unwrap().may_amend
            });
            let details = details("Ottilie Brandvoll");
            let request = Request::Amend {
                course,
                student,
                details,
            };
            (leave, request)
        }
        Act::Course => {
            let leave = by
                .desk
                .look_at_shop(Units::Metric, |reader| {
                    CourseListView::of(reader, None).may_open
                })
                .unwrap();
            let request = Request::OpenCourse {
                place: None,
                outline: Default::default(),
                title: "Another".into(),
                starts: day("2026-07-01"),
                staff: vec![(school.renate, Role::Instructor)],
            };
            (leave, request)
        }
        Act::Staff | Act::Revoke => {
            let staff = by
                .desk
                .look_at_shop(Units::Metric, |reader| StaffView::of(reader, None))
                .unwrap();
            if matches!(act, Act::Staff) {
                let name = "Isa Tern".to_owned();
                (staff.may_add, Request::JoinStaff { name })
            } else {
                let key = school.assistant.desk.own_key();
                (staff.may_revoke, Request::Revoke { key, why: why() })
            }
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: crate::support::cases(24), ..ProptestConfig::default() })]

    #[test]
    fn what_a_view_allows_is_recorded_and_what_it_forbids_is_refused(
        steps in prop::collection::vec((0..4_u8, 0..2_u8, 0..3_u8, act()), 1..60),
        seed in 1..1_000_u64,
    ) {
        let school = School::seeded(2, seed);
        // A second instructor, and four devices with the shop's.
        let colleague = Device::new(seed * 10 + 7);
        admit(&school.shop, &colleague, "Odd Fulmar", Role::Instructor);
        meet(&school.shop, &colleague);
        let devices = [&school.instructor, &school.assistant, &colleague, &school.shop];
        let steps: Vec<Step> = steps;
        for (by, student, skill, act) in steps {
            let device = devices[usize::from(by)];
            if let Act::Meet(other) = act {
                meet(device, devices[usize::from(other) % devices.len()]);
                continue;
            }
            let cell = (
                school.students[usize::from(student)],
                SKILLS[usize::from(skill)].parse().unwrap(),
            );
            if let Some((leave, request)) = asked(device, &school, cell, act) {
                let done = device.desk.record(request);
                prop_assert_eq!(
                    leave.given(),
                    done.is_ok(),
                    "{:?} by {}: the view says {:?}, recording {:?}",
                    act, by, leave, done
                );
            }
        }
    }
}
