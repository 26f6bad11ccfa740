//! A make-up that two courses hold in one slot, by touches: looked for from the plan, said for
//! whom, planned in both by one press, counted together, and taken back by one undo.

use slint::{ComponentHandle, Model as _};
use tallywater::shell::Route;
use tallywater::ui::{LostDayDoor, LostRow, NextDoor, PlanDoor, Screen};
use tallywater_bindings::{
    ClearanceKind, ClearanceResult, OutlineFrom, PersonDetails, Request, Role, Setting, Slot,
    StaffPaper, StaffRole,
};

use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen, settle};

fn made(stage: &Stage, request: Request) -> String {
    seen(stage.desk().record(request)).made.unwrap()
}

/// A course whose first pool session was yesterday, and whose students met nothing of it.
fn held(stage: &Stage, title: &str, me: &str, students: &[&str]) -> String {
    let desk = stage.desk();
    let course = made(
        stage,
        Request::OpenCourse {
            place: None,
            outline: OutlineFrom::School,
            title: title.into(),
            starts: seen(desk.day(None, -1)).date.to_string(),
            staff: vec![StaffRole {
                staff: me.into(),
                role: Role::Instructor,
            }],
        },
    );
    for name in students {
        let details = PersonDetails {
            name: (*name).into(),
            called: None,
            born: Some("1990-05-05".into()),
            adult: None,
            contact: None,
            emergency: None,
            body: None,
            sizes: None,
        };
        let student = made(
            stage,
            Request::Enrol {
                course: course.clone(),
                details,
                referred_from: None,
            },
        );
        seen(desk.record(Request::Clear {
            course: course.clone(),
            student,
            what: ClearanceKind::Health,
            result: ClearanceResult::Cleared,
            until: None,
            figure: None,
        }));
    }
    let mut plan = seen(desk.draft_session(course.clone(), Some("pool-1".into())));
    let yesterday = seen(desk.day(None, -1)).date;
    plan.starts = seen(desk.read_clock(yesterday.to_string(), "10:00".into()))
        .at
        .to_rfc3339();
    plan.site = "Hollow Lane pool".into();
    let request = Request::PlanSession {
        course: course.clone(),
        session: None,
        plan,
    };
    made(stage, request);
    course
}

/// Two courses of one instructor with everything renewed, and free hours in three days.
fn two_courses(stage: &Stage) -> [String; 2] {
    let desk = stage.desk();
    let me = seen(desk.start_alone("Grebe Hollow".into(), "Renate Solheim".into()));
    for what in [
        StaffPaper::TeachingStatus,
        StaffPaper::Insurance,
        StaffPaper::FirstAid,
        StaffPaper::Oxygen,
        StaffPaper::Medical,
    ] {
        seen(desk.record(Request::RenewStaff {
            staff: me.clone(),
            what,
            until: None,
        }));
    }
    let courses = [
        held(
            stage,
            "First dives",
            &me,
            &["Baldo Cantavento", "Ngaio Whetu"],
        ),
        held(stage, "Evening dives", &me, &["Saoirse Tullyglass"]),
    ];
    free_hours(stage, 3);
    courses
}

/// Four hours of the pool, so many days from today.
fn free_hours(stage: &Stage, after: i32) {
    let desk = stage.desk();
    let day = seen(desk.day(None, after)).date;
    seen(
        desk.record(Request::SetSlot {
            slot: Slot {
                uid: String::new(),
                setting: Setting::Confined,
                site: "Hollow Lane pool".into(),
                starts: seen(desk.read_clock(day.to_string(), "18:00".into()))
                    .at
                    .to_rfc3339(),
                minutes: 240,
                price: Some("40 EUR".into()),
            },
            dropped: false,
        }),
    );
}

/// That evening is lost: one press moves it in both courses.
fn lost_evening(hands: &mut Hands, courses: [&str; 2], says: &str) {
    let starts = |hands: &Hands| {
        courses.map(|one| {
            let rows = seen(hands.stage.desk().session_list(one.to_owned())).rows;
            rows.last().unwrap().starts.at
        })
    };
    let before = starts(hands);
    assert_eq!(before[0], before[1]);
    println!("## Without free hours both are told that the other stays where it is");
    hands.press("This day is lost: plan it anew");
    let rows = |hands: &Hands| {
        let rows = hands.stage.app.global::<LostDayDoor>().get_rows();
        rows.iter().collect::<Vec<LostRow>>()
    };
    let shown = rows(hands);
    assert_eq!((shown.len(), shown[0].apart.row_count()), (1, 1));
    let apart = shown[0].apart.row_data(0).unwrap();
    assert!(apart.contains("Evening dives"), "{apart}");
    println!("## With free hours for both: before and after for both");
    free_hours(&hands.stage, 5);
    let route = hands.stage.shell.route();
    hands.stage.open(route);
    hands.stage.shell.take_news();
    settle();
    let shown = rows(hands);
    let [own, beside] = shown.as_slice() else {
        panic!("of both courses: {shown:?}");
    };
    assert!(own.held && beside.held && own.along.is_empty());
    assert_eq!((&beside.along, &beside.after), (&own.title, &own.after));
    assert_eq!(beside.before, own.before);
    assert!(beside.title.starts_with("Evening dives: "), "{beside:?}");
    assert!(own.told.contains("Baldo") && !own.told.contains("Saoirse"));
    assert!(beside.told.contains("Saoirse"), "{beside:?}");
    assert!(hands.reads(|said| said.contains(says)), "not said");
    assert_eq!(starts(hands), before, "nothing has moved");
    println!("## Moved in both by one press, and taken back by one undo");
    hands.press("Weather");
    hands.press("Plan the day like this");
    let after = starts(hands);
    assert!(after[0] == after[1] && after != before, "{after:?}");
    hands.press("Undo");
    assert_eq!(starts(hands), before);
}

fn played(size: (u32, u32), language: &'static str, said: [&str; 3]) {
    let stage = Stage::new(size.0, size.1);
    slint::select_bundled_translation("en").unwrap();
    let [course, other] = two_courses(&stage);
    let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
    slint::select_bundled_translation(language).unwrap();
    hands.speaks(language);
    let many = |hands: &Hands| {
        [&course, &other].map(|one| {
            seen(hands.stage.desk().session_list(one.clone()))
                .rows
                .len()
        })
    };
    hands
        .stage
        .open(Route::to(Screen::Plan).course(course.clone()));
    hands.stage.shell.take_news();
    settle();
    println!("## A new session begins in the next free hours, as long as they are");
    let pool = Some("pool-2".into());
    let drafted = seen(hands.stage.desk().draft_session(course.clone(), pool));
    assert_eq!(
        (drafted.site.as_str(), drafted.minutes),
        ("Hollow Lane pool", 240)
    );
    println!("## Looked for: for whom it is, and nothing is planned");
    hands.press("Look for a slot that serves both");
    let door = hands.stage.app.global::<NextDoor>();
    assert_eq!(
        door.get_shared().row_count(),
        1,
        "{}",
        door.get_shared_says()
    );
    let row = door.get_shared().row_data(0).unwrap();
    assert!(row.title.contains("Hollow Lane pool"), "{row:?}");
    let lines: Vec<String> = row.lines.iter().map(String::from).collect();
    let all = lines.join("\n");
    for name in ["Baldo", "Ngaio", "Saoirse", "Evening dives", said[0]] {
        assert!(all.contains(name), "{name} in {all}");
    }
    assert_eq!(many(&hands), [1, 1]);
    println!("## Planned in both by one press");
    let label = format!("{}: ", hands.say("Plan it in both courses"));
    hands.press_like(&label, |one| one.starts_with(&label));
    assert_eq!(many(&hands), [2, 2]);
    let door = hands.stage.app.global::<NextDoor>();
    assert_eq!(door.get_shared().row_count(), 0, "nobody needs it twice");
    println!("## One undo takes both back; and planned again");
    hands.press("Undo");
    assert_eq!(many(&hands), [1, 1]);
    hands.press("Look for a slot that serves both");
    hands.press_like(&label, |one| one.starts_with(&label));
    assert_eq!(many(&hands), [2, 2]);
    println!("## The gate counts both as people of one water");
    let rows = seen(hands.stage.desk().session_list(course.clone())).rows;
    let session = rows.last().unwrap().session;
    let route = Route::to(Screen::Plan).course(course.clone());
    hands.stage.open(route.session(session));
    hands.stage.shell.take_news();
    settle();
    let door = hands.stage.app.global::<PlanDoor>();
    assert_eq!(door.get_view().ratio_have, 3);
    let reasons = door.get_reasons();
    assert!(
        reasons.iter().any(|one| one.says.contains(said[1])),
        "not said"
    );
    lost_evening(&mut hands, [&course, &other], said[2]);
}

#[test]
fn a_make_up_is_shared_by_two_courses_on_a_tablet() {
    roomy(|| {
        let said = [
            "3 students together",
            "1 student is of another course",
            "and moves with it",
        ];
        played((1280, 800), "en", said);
    });
}

#[test]
fn the_same_in_the_hand_in_german() {
    roomy(|| {
        let said = [
            "3 Schüler zusammen",
            "1 Schüler ist aus einem anderen Kurs",
            "und wird mit ihr verlegt",
        ];
        played((390, 844), "de", said);
    });
}
