//! The shop's computer is lost: the recovery sheet, with any tablet's copy or with a backup,
//! brings the school back.

use tallywater_core::course::{LedgerId, Role};
use tallywater_core::desk::{DeskError, Request};
use tallywater_core::entry::Mark;
use tallywater_core::link::pairing::Guest;
use tallywater_core::store::StoreError;
use tallywater_core::sync::Held;
use tallywater_core::trust::{read_recovery, recovery_lines};

use crate::support::devices::{Device, School};
use crate::support::links::{board, go_online, until};

/// The sheet as a person typed it off the paper.
fn sheet(shop: &Device) -> String {
    let seed = shop.desk.recovery_seed().expect("the shop has its key");
    recovery_lines(&seed).join("\n").to_lowercase()
}

#[test]
fn a_tablet_and_the_sheet_bring_the_school_back_over_the_link() {
    let school = School::new(3);
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    let typed = sheet(&school.shop);
    println!("## A new computer, with nothing on it but the sheet");
    let fresh = Device::new(91);
    let seed = read_recovery(&typed).unwrap();
    let office = fresh.desk.restore_shop(&seed, "Ansel Forde").unwrap();
    let shop = go_online(&fresh.desk);
    let guest = Guest {
        staff: office,
        role: Role::Shop,
        until: None,
    };
    let code = shop.link.show_code(guest).unwrap();
    println!("## The instructor types its code");
    let tablet = go_online(&school.instructor.desk);
    tablet
        .link
        .join(&shop.link.place(), &code, "Renate's tablet")
        .unwrap();
    until("the course on the new computer", || {
        board(&fresh, &school) == board(&school.instructor, &school)
    });
    println!("## The tablet is who it was, and its mark counts");
    let me = school.instructor.desk.me().unwrap();
    assert_eq!((me.staff, me.role), (school.renate, Role::Instructor));
    let key = school.key(0, "mask-full");
    let marked = fresh
        .desk
        .with_course(&school.course, |course| course.cells()[&key].met)
        .unwrap();
    assert_eq!(marked, 1);
    println!("## And the new computer works as the shop: it admits, enrols, is what holds");
    fresh.record(Request::JoinStaff {
        name: "Ulf Brekke".into(),
    });
    until("held by the shop again", || {
        school
            .instructor
            .desk
            .held_by_shop(&school.ledger())
            .unwrap()
            == Held::There
    });
}

#[test]
fn a_backup_and_the_sheet_bring_the_school_back_without_any_tablet() {
    let school = School::new(3);
    let typed = sheet(&school.shop);
    let fresh = Device::new(92);
    let folder = fresh.folder.path().to_owned();
    let Device {
        desk,
        stamps,
        folder: kept,
    } = fresh;
    drop(desk);
    let copy = folder.join("tallywater.db");
    std::fs::remove_file(&copy).unwrap();
    println!("## The copy is made while the shop goes on working");
    school.shop.desk.back_up(&copy).unwrap();
    school.shop.record(Request::JoinStaff {
        name: "After The Copy".into(),
    });
    let again = school.shop.desk.back_up(&copy);
    assert!(matches!(
        again,
        Err(DeskError::Store(StoreError::Exists { .. }))
    ));
    println!("## Opened on another computer it may only read until the sheet is typed");
    let desk = crate::support::devices::open_desk(&folder, &stamps).unwrap();
    let restored = Device {
        desk: desk.into(),
        stamps,
        folder: kept,
    };
    assert_eq!(restored.desk.me(), None);
    let seed = read_recovery(&typed).unwrap();
    restored.desk.restore_shop(&seed, "Ansel Forde").unwrap();
    assert_eq!(board(&restored, &school), board(&school.shop, &school));
    println!("## A tablet that comes later types a code once, and is who it was");
    let tablet = go_online(&school.instructor.desk);
    let shop = go_online(&restored.desk);
    let guest = Guest {
        staff: school.renate,
        role: Role::Instructor,
        until: None,
    };
    let code = shop.link.show_code(guest);
    // The tablet has not heard of the new computer: its code, once typed, says who it is.
    tablet
        .link
        .join(&shop.link.place(), &code.unwrap(), "Renate's tablet")
        .unwrap();
    school.instructor.mark(&school, 1, "mask-full", Mark::Met);
    until("the mark on the restored computer", || {
        board(&restored, &school) == board(&school.instructor, &school)
    });
}

#[test]
fn another_shops_sheet_does_not_take_a_shop_over() {
    let school = School::new(1);
    let other = Device::new(93);
    other
        .desk
        .start_shop("Otter Reach Divers", "Mira Holt")
        .unwrap();
    let seed = read_recovery(&sheet(&school.shop)).unwrap();
    let taken = other.desk.restore_shop(&seed, "Ansel Forde");
    assert!(matches!(taken, Err(DeskError::Started)));
    assert!(matches!(
        other.desk.ledgers().unwrap().as_slice(),
        [LedgerId::Shop(_)]
    ));
}
