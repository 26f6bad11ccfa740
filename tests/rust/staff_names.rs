//! Whose name stands beside a mark: an instructor's device with a program of its own gave a
//! colleague's marks another name, or took the name away.

use tallywater_core::course::Role;
use tallywater_core::desk::{DeskError, Request};
use tallywater_core::entry::{Kind, Mark, Refusal, StaffJoined, Withdrawal};
use tallywater_core::view::{StaffView, Units};

use crate::crafted_entries::{book, colleague, copy, craft};
use crate::support::devices::{Device, School, meet};

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
