//! Whose name stands beside a mark: an instructor's device with a program of its own gave a
//! colleague's marks another name, or took the name away.

use tallywater_core::course::{EntryId, Role};
use tallywater_core::desk::{DeskError, Request};
use tallywater_core::entry::{
    Body, Certificate, Entry, Kind, Mark, Refusal, StaffJoined, Withdrawal, write,
};
use tallywater_core::standing::CourseStanding;
use tallywater_core::view::{StaffView, Units};

use crate::crafted_entries::{book, colleague, copy, craft, key_of, of_kind};
use crate::support::devices::{Device, School, admit, day, meet, time};

/// The names of the staff as a device shows them.
fn names(device: &Device) -> Vec<String> {
    let desk = &device.desk;
    let view = desk.look_at_shop(Units::Metric, |reader| StaffView::of(reader, None));
    let staff = view.unwrap().staff.into_iter();
    staff.map(|row| row.name.name).collect()
}

#[test]
fn nobody_gives_a_colleague_another_name_or_takes_it_away() {
    let school = School::new(1);
    let (bad, _) = colleague(&school, 95);
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    school.meet_all();
    let everyone = [&school.shop, &school.instructor, &school.assistant];
    let before = names(&school.shop);
    assert!(before.iter().any(|name| name == "Renate Solheim"));
    let ledger = book(&bad);
    let copy = copy(&bad, &ledger);
    let named: Vec<_> = copy
        .lines()
        .iter()
        .filter(|(_, line)| {
            let entry = line.entry();
            entry.is_some_and(|entry| entry.body.kind() == Kind::StaffJoined)
        })
        .map(|(id, _)| *id)
        .collect();
    for after in [Vec::new(), named.clone()] {
        let (staff, name) = (school.renate, "Odd Fulmar".to_owned());
        craft(&bad, &ledger, after, StaffJoined { staff, name }, &everyone);
    }
    for entry in named {
        let taken = Withdrawal { entry, why: None };
        craft(&bad, &ledger, vec![entry], taken, &everyone);
    }
    for device in everyone {
        assert_eq!(names(device), before);
    }
    println!("## Nor by its own program, which is told so");
    let rename = || Request::RenameStaff {
        staff: school.renate,
        name: "Renate Solheim-Tarn".into(),
    };
    let (role, kind) = (Role::Instructor, Kind::StaffJoined);
    let refused = bad.desk.record(rename());
    assert!(matches!(
        refused,
        Err(DeskError::Refused(found)) if found == Refusal::Role { role, kind }
    ));
    println!("## The shop does");
    school.shop.record(rename());
    meet(&school.shop, &bad);
    for device in [&school.shop, &bad] {
        let names = names(device);
        assert!(names.iter().any(|name| name == "Renate Solheim-Tarn"));
    }
}

#[test]
fn whom_an_instructor_named_the_instructor_renames_until_the_shop_does() {
    let school = School::new(1);
    let joined = school.instructor.record(Request::JoinStaff {
        name: "Isa Tren".into(),
    });
    let staff = joined.made.unwrap().parse().unwrap();
    let name = "Isa Tern".to_owned();
    let right = Request::RenameStaff { staff, name };
    school.instructor.record(right);
    assert!(names(&school.instructor).contains(&"Isa Tern".into()));
    meet(&school.instructor, &school.shop);
    let name = "Isa Tern-Wold".to_owned();
    school.shop.record(Request::RenameStaff { staff, name });
    meet(&school.instructor, &school.shop);
    let name = "Isa Tern".to_owned();
    let again = school
        .instructor
        .desk
        .record(Request::RenameStaff { staff, name });
    assert!(again.is_err());
    assert!(names(&school.instructor).contains(&"Isa Tern-Wold".into()));
}

#[test]
fn a_lone_instructor_changes_their_own_name() {
    let lone = Device::new(96);
    let started = lone.desk.start_alone("Grebe Hollow", "Renate Solheim");
    let staff = started.unwrap();
    let name = "Renate Tarn".to_owned();
    lone.record(Request::RenameStaff { staff, name });
    assert_eq!(names(&lone), ["Renate Tarn"]);
}

/// With the consent that an assistant's device once gave, whoever admitted it certified it a
/// second time, as somebody else's: of two the one with the lower id stood, and what the
/// assistant had marked counted for nothing.
#[test]
fn an_assistant_who_is_certified_again_as_somebody_else_keeps_what_they_marked() {
    let school = School::new(1);
    let tablet = Device::new(98);
    let isa = admit(&school.instructor, &tablet, "Isa Tern", Role::Assistant);
    let joined = school.instructor.record(Request::JoinStaff {
        name: "Somebody Else".into(),
    });
    let other = joined.made.unwrap().parse().unwrap();
    meet(&school.instructor, &tablet);
    let met = tablet.mark(&school, 0, "mask-full", Mark::Met).entries[0].1;
    meet(&tablet, &school.instructor);
    school.meet_all();
    school.instructor.record(Request::Confirm {
        course: school.course,
        attempts: vec![met],
    });
    school.meet_all();
    let counts = |device: &Device| {
        let asked = |course: &CourseStanding| course.tally().get(&met).map(|one| one.writer);
        device.desk.with_course(&school.course, asked).unwrap()
    };
    let before = counts(&school.shop);
    assert_eq!(before.map(|one| one.staff), Some(isa));
    println!("## Certified again and again until its id is the lower one");
    let ledger = book(&school.instructor);
    let mut again = copy(&school.instructor, &ledger);
    let first = of_kind(&school.instructor, &ledger, Kind::Certificate);
    let first = first.into_iter().find(|id| {
        let entry = again.lines()[id].entry().unwrap();
        matches!(&entry.body, Body::Certificate(one) if one.staff == isa)
    });
    let key = key_of(&school.instructor);
    let card = tablet.desk.card();
    let sealed = (0..10_000).find_map(|n| {
        let certificate = Certificate {
            staff: other,
            role: Role::Assistant,
            device: format!("tablet {n}"),
            key: card.key,
            link: Some(card.link),
            from: day("2026-01-01"),
            until: None,
            consent: Some(tablet.desk.consent_to(&school.instructor.desk.card().link)),
        };
        let entry = Entry {
            id: EntryId::new(uuid::Uuid::nil()),
            at: time("2026-06-06T10:20:00+02:00"),
            by: school.renate,
            after: Vec::new(),
            body: certificate.into(),
        };
        let (id, sealed) = key.seal(&ledger, None, &write(&entry).unwrap());
        (Some(id) < first).then_some(sealed)
    });
    again.add(&sealed.unwrap()).unwrap();
    let bytes = again.save().unwrap();
    for device in [&school.shop, &school.assistant, &tablet] {
        device.desk.merge(&ledger, &bytes).unwrap();
        if device.desk.card().key != card.key {
            assert_eq!(counts(device), before);
        }
    }
}
