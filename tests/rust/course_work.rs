//! A course from its opening to its archive: what it begins with, what is changed later, what
//! is taken back, who comes again, what else is on at the hour.

use tallywater_core::course::{ClearanceKind, CourseId, Role, Setting, StudentId};
use tallywater_core::desk::{DeskError, OutlineFrom, Recorded, Request, Scope};
use tallywater_core::entry::{ClearanceResult, CourseState, Refusal};
use tallywater_core::paper::roster::Twins;
use tallywater_core::view::{Clash, CourseListView, CourseStage, CourseView, FormsView, Units};

use crate::support::devices::{Device, School, day, plan};

const UNITS: Units = Units::Metric;

fn course(device: &Device, id: CourseId) -> CourseView {
    device.desk.look(&id, UNITS, CourseView::of).unwrap()
}

fn opened(recorded: Recorded) -> CourseId {
    recorded.made.unwrap().parse().unwrap()
}

fn open(device: &Device, outline: OutlineFrom) -> CourseId {
    opened(device.record(Request::OpenCourse {
        title: "First dives, July".into(),
        starts: day("2026-07-04"),
        place: Some("Hollow Lane pool".into()),
        outline,
        staff: Vec::new(),
    }))
}

/// Takes back what was recorded and answers what that recorded.
fn undo(device: &Device, recorded: &Recorded) -> Recorded {
    let back = device.desk.may_take_back(&recorded.entries);
    assert!(!back.is_empty(), "nothing to take back");
    device.desk.take_back(&back).unwrap()
}

#[test]
fn a_course_begins_with_the_outline_that_was_chosen_and_its_place_is_in_every_draft() {
    let school = School::new(1);
    let title_of = |id: CourseId| {
        let outline = school
            .shop
            .desk
            .with_course(&id, |now| now.outline().cloned());
        outline.unwrap().unwrap().title
    };
    let starter = title_of(open(&school.shop, OutlineFrom::School));
    let mut own = tallywater_core::course::starter::outline().unwrap();
    own.title = "Our own, second edition".into();
    school.shop.record(Request::SetOutline {
        scope: Scope::Shop,
        outline: own,
        why: None,
    });
    assert_eq!(
        title_of(open(&school.shop, OutlineFrom::School)),
        "Our own, second edition"
    );
    assert_eq!(title_of(open(&school.shop, OutlineFrom::Starter)), starter);
    let copy = open(&school.shop, OutlineFrom::Course(school.course));
    assert_eq!(title_of(copy), starter);
    assert_eq!(
        course(&school.shop, copy).place.as_deref(),
        Some("Hollow Lane pool")
    );
    let draft = school
        .shop
        .desk
        .look(&copy, UNITS, |now, reader| {
            tallywater_core::view::draft(now, reader, None)
        })
        .unwrap();
    assert_eq!(draft.site, "Hollow Lane pool");
    assert!(
        draft.block.is_some(),
        "the first block that is not planned yet"
    );
    let missing = Request::OpenCourse {
        title: "July".into(),
        starts: day("2026-07-04"),
        place: None,
        outline: OutlineFrom::Course("01978f00-0000-7000-8000-00000000dead".parse().unwrap()),
        staff: Vec::new(),
    };
    assert!(matches!(
        school.shop.desk.record(missing),
        Err(DeskError::NotFound { what: "course", .. })
    ));
}

#[test]
fn a_new_title_and_place_are_taken_back_and_brought_again() {
    let school = School::new(1);
    let retitled = school.shop.record(Request::RetitleCourse {
        course: school.course,
        title: "First dives, midsummer".into(),
        starts: day("2026-06-20"),
        place: Some("Old mill pond".into()),
    });
    let now = || {
        let view = course(&school.shop, school.course);
        (view.title, view.place)
    };
    let listed = || {
        let view = school
            .shop
            .desk
            .look_at_shop(UNITS, |reader| CourseListView::of(reader, None));
        view.unwrap().rows[0].title.clone()
    };
    let new = (
        "First dives, midsummer".to_owned(),
        Some("Old mill pond".to_owned()),
    );
    assert_eq!(now(), new);
    let undone = undo(&school.shop, &retitled);
    assert_eq!(now(), ("First dives, June".to_owned(), None));
    assert_eq!(listed(), "First dives, June");
    undo(&school.shop, &undone);
    assert_eq!(now(), new);
    assert_eq!(listed(), "First dives, midsummer");
    school.meet_all();
    assert_eq!(course(&school.instructor, school.course).title, new.0);
}

#[test]
fn staff_are_taken_off_a_course_and_put_back_whoever_assigned_them() {
    let school = School::new(1);
    let on = |device: &Device| {
        let view = course(device, school.course);
        let staff = view.staff.into_iter().filter(|one| one.assigned.is_some());
        staff.map(|one| one.name.name).collect::<Vec<_>>()
    };
    assert_eq!(on(&school.shop), ["Bo Merriweather", "Renate Solheim"]);
    let off = school.shop.record(Request::TakeOffStaff {
        course: school.course,
        staff: school.bo,
    });
    assert_eq!(on(&school.shop), ["Renate Solheim"]);
    let listed = |device: &Device| {
        let view = device
            .desk
            .look_at_shop(UNITS, |reader| CourseListView::of(reader, None));
        let row = view.unwrap().rows.remove(0);
        row.staff
            .into_iter()
            .map(|one| one.name)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        listed(&school.shop),
        ["Renate Solheim"],
        "no more of the ledger"
    );
    undo(&school.shop, &off);
    assert_eq!(on(&school.shop), ["Bo Merriweather", "Renate Solheim"]);
    println!("## The office takes off whom an instructor assigned");
    school.meet_all();
    school.instructor.record(Request::TakeOffStaff {
        course: school.course,
        staff: school.bo,
    });
    school.instructor.record(Request::AssignStaff {
        course: school.course,
        staff: school.bo,
        role: Role::Assistant,
    });
    school.meet_all();
    school.shop.record(Request::TakeOffStaff {
        course: school.course,
        staff: school.bo,
    });
    school.meet_all();
    assert_eq!(on(&school.instructor), ["Renate Solheim"]);
    assert_eq!(listed(&school.instructor), ["Renate Solheim"]);
    let nobody = school.shop.desk.record(Request::TakeOffStaff {
        course: school.course,
        staff: school.bo,
    });
    assert!(matches!(
        nobody,
        Err(DeskError::Refused(Refusal::Unknown { what: "staff" }))
    ));
}

#[test]
fn a_course_is_closed_and_opened_again_and_names_are_given_back() {
    let school = School::new(1);
    let stage = || course(&school.shop, school.course).stage;
    let closed = school.shop.record(Request::ListCourse {
        course: school.course,
        state: CourseState::Closed,
    });
    assert_eq!(stage(), Some(CourseStage::Closed));
    assert!(school.shop.desk.today(UNITS).unwrap().courses.is_empty());
    undo(&school.shop, &closed);
    assert_eq!(stage(), Some(CourseStage::Running));
    println!("## The school and a person are called otherwise, and then as before");
    let name = || {
        school
            .shop
            .desk
            .look_at_shop(UNITS, |reader| reader.shop.name().map(str::to_owned))
    };
    let renamed = school.shop.record(Request::RenameShop {
        name: "Grebe Hollow Diving".into(),
    });
    assert_eq!(name().unwrap().as_deref(), Some("Grebe Hollow Diving"));
    let undone = undo(&school.shop, &renamed);
    assert_eq!(name().unwrap().as_deref(), Some("Grebe Hollow Divers"));
    undo(&school.shop, &undone);
    assert_eq!(name().unwrap().as_deref(), Some("Grebe Hollow Diving"));
    let person = || {
        let staff = school
            .shop
            .desk
            .look_at_shop(UNITS, |reader| reader.shop.staff());
        staff.unwrap().remove(&school.bo).unwrap()
    };
    let renamed = school.shop.record(Request::RenameStaff {
        staff: school.bo,
        name: "Bo Sandsdóttir".into(),
    });
    assert_eq!(person(), "Bo Sandsdóttir");
    undo(&school.shop, &renamed);
    assert_eq!(person(), "Bo Merriweather");
    println!("## What cannot be taken back as a whole is not offered");
    let opens = school.shop.record(Request::OpenCourse {
        title: "July".into(),
        starts: day("2026-07-04"),
        place: None,
        outline: OutlineFrom::School,
        staff: Vec::new(),
    });
    assert!(school.shop.desk.may_take_back(&opens.entries).is_empty());
}

#[test]
fn a_session_at_the_same_hour_is_warned_of_in_every_course_of_the_device() {
    let school = School::new(2);
    let other = opened(school.instructor.record(Request::OpenCourse {
        title: "First dives, evenings".into(),
        starts: day("2026-06-06"),
        place: None,
        outline: OutlineFrom::School,
        staff: vec![(school.renate, Role::Instructor)],
    }));
    let at = |staff: &[_], starts| plan(&[], staff, Setting::Confined, starts);
    let clashes = |session, plan| -> Vec<Clash> {
        school
            .instructor
            .desk
            .clashes(UNITS, session, &plan)
            .unwrap()
    };
    let found = clashes(None, at(&[school.renate], "2026-06-06T11:30:00+02:00"));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].session, school.session);
    assert_eq!(found[0].course_title, "First dives, June");
    assert_eq!(found[0].staff[0].name, "Renate Solheim");
    let found = clashes(None, at(&[], "2026-06-06T09:00:00+02:00"));
    assert_eq!(found.len(), 1, "the same hour, with nobody in both");
    assert!(found[0].staff.is_empty());
    println!("## One after the other does not clash, in whatever zone it was written");
    assert!(clashes(None, at(&[school.renate], "2026-06-06T12:00:00+02:00")).is_empty());
    assert!(clashes(None, at(&[school.renate], "2026-06-06T06:00:00+00:00")).is_empty());
    assert_eq!(
        clashes(None, at(&[school.renate], "2026-06-06T06:01:00+00:00")).len(),
        1
    );
    println!("## A session does not clash with itself, and one that was cancelled with none");
    let own = at(&[school.renate], "2026-06-06T10:00:00+02:00");
    assert!(clashes(Some(school.session), own.clone()).is_empty());
    school.instructor.record(Request::PlanSession {
        course: other,
        session: None,
        plan: own.clone(),
    });
    assert_eq!(clashes(Some(school.session), own.clone()).len(), 1);
    school.instructor.record(Request::CancelSession {
        course: school.course,
        session: school.session,
        why: "thunder".into(),
    });
    assert_eq!(clashes(None, own).len(), 1, "the other course's alone");
}

#[test]
fn today_has_the_next_session_of_each_course() {
    let school = School::new(1);
    let other = open(&school.shop, OutlineFrom::School);
    for (course, starts) in [
        (school.course, "2026-06-09T10:00:00+02:00"),
        (school.course, "2026-06-08T10:00:00+02:00"),
        (other, "2026-07-04T10:00:00+02:00"),
    ] {
        school.shop.record(Request::PlanSession {
            course,
            session: None,
            plan: plan(&[], &[], Setting::Confined, starts),
        });
    }
    let today = school.shop.desk.today(UNITS).unwrap();
    assert_eq!(today.sessions.len(), 1);
    let coming: Vec<_> = today
        .coming
        .iter()
        .map(|card| (card.course, card.starts.day.date.to_string()))
        .collect();
    assert_eq!(
        coming,
        [
            (school.course, "2026-06-08".to_owned()),
            (other, "2026-07-04".to_owned())
        ]
    );
}

#[test]
fn a_student_who_comes_again_is_found_by_a_part_of_the_name() {
    let school = School::new(3);
    let again = open(&school.shop, OutlineFrom::School);
    let found = |text: &str| -> Vec<String> {
        let people = school.shop.desk.who_could_come(&again, text, 8).unwrap();
        people.into_iter().map(|one| one.name).collect()
    };
    assert_eq!(
        found(""),
        ["Émile Quatrefaire", "Ottilie Brandvoll", "Þóra Sandsdóttir"]
    );
    assert_eq!(found("EMIL"), ["Émile Quatrefaire"]);
    assert_eq!(
        school
            .shop
            .desk
            .who_could_come(&again, "", 2)
            .unwrap()
            .len(),
        2
    );
    let enrolled = school.shop.record(Request::EnrolAgain {
        course: again,
        student: school.students[1],
        referred_from: None,
    });
    assert_eq!(found(""), ["Ottilie Brandvoll", "Þóra Sandsdóttir"]);
    undo(&school.shop, &enrolled);
    assert_eq!(found("").len(), 3);
}

#[test]
fn a_pasted_list_is_enrolled_whole_or_not_at_all() {
    let school = School::new(1);
    let desk = &school.shop.desk;
    let take = |text: &str| desk.take_names(school.course, text, Twins::LeaveOut);
    let names = || -> usize {
        desk.with_course(&school.course, |now| now.students().len())
            .unwrap()
    };
    let list = "Wilhelmina Okafor-Sætre\r\n\n  Anselm, Vater von Baldo \nOttilie Brandvoll\n";
    let seen = desk.look_at_names(&school.course, list).unwrap();
    assert_eq!(seen.rows.len(), 3);
    assert_eq!(seen.rows[1].details.name, "Anselm, Vater von Baldo");
    assert_eq!(seen.rows[1].line, 3);
    let taken = take(list).unwrap();
    assert_eq!((taken.enrolled, taken.left_out), (2, vec![4]));
    assert_eq!(names(), 3);
    println!("## One line too long, and nobody is enrolled");
    let long = format!("Saoirse Tullyglass\n{}", "x".repeat(201));
    assert_eq!(
        desk.look_at_names(&school.course, &long).unwrap().faults[0].line,
        2
    );
    assert!(take(&long).is_err());
    assert_eq!(names(), 3);
    println!("## What has a head is read as a roster");
    let sheet = "Name\tGeburtsdatum\nLucja Wrzosowa\t2001-04-05\n";
    let seen = desk.look_at_names(&school.course, sheet).unwrap();
    assert_eq!(seen.rows[0].details.born, Some(day("2001-04-05")));
    assert!(desk.look_at_names(&school.course, " \n ").is_err());
}

#[test]
fn the_forms_of_a_class_stand_in_one_table() {
    let school = School::new(2);
    let forms = || -> FormsView {
        school
            .shop
            .desk
            .look(&school.course, UNITS, FormsView::of)
            .unwrap()
    };
    let before = forms();
    assert_eq!(before.rows.len(), 2);
    assert!(before.columns.contains(&ClearanceKind::Health));
    assert!(
        !before.columns.contains(&ClearanceKind::Physician),
        "asked of nobody"
    );
    for row in &before.rows {
        let kinds: Vec<_> = row.cells.iter().map(|cell| cell.what).collect();
        assert_eq!(kinds, before.columns);
    }
    let clear = |student: StudentId, result| {
        school.shop.record(Request::Clear {
            course: school.course,
            student,
            what: ClearanceKind::Health,
            result,
            until: None,
            figure: None,
        });
    };
    clear(school.students[0], ClearanceResult::Referred);
    let referred = forms();
    assert!(
        referred.columns.contains(&ClearanceKind::Physician),
        "asked of one"
    );
    assert_eq!(
        referred.missing,
        before.missing + 2,
        "the form, and the physician"
    );
    clear(school.students[0], ClearanceResult::Cleared);
    assert_eq!(forms().missing, before.missing);
}
