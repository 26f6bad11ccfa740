//! A school with two office computers, of which one is stolen: what it signs once it was shut
//! out admits nobody, and shuts nobody out in turn. Each of these once gave it the school.

use tallywater_core::course::{Role, StaffId};
use tallywater_core::desk::DeskError;
use tallywater_core::desk::Request;
use tallywater_core::entry::{Certificate, DeviceKey, Kind, Mark, Refusal, Revocation};
use tallywater_core::ledger::Written;
use tallywater_core::standing::CellState;
use tallywater_core::trust::{SecretKey, TrustBook};

use crate::crafted_entries::{book, copy, craft};
use crate::support::devices::{Device, School, admit, admit_as, day, meet};

/// A second office computer, admitted by the first.
fn office(by: &Device, seed: u64) -> (Device, StaffId) {
    let device = Device::new(seed);
    let staff = admit(by, &device, "Ulf Garganey", Role::Shop);
    meet(by, &device);
    (device, staff)
}

fn shut_out(by: &Device, key: DeviceKey) {
    by.record(Request::Revoke {
        key,
        why: "stolen from the office".into(),
    });
}

/// Who may write, from what a device holds of the shop's ledger.
fn trust(of: &Device) -> TrustBook {
    let ledger = copy(of, &book(of));
    let written = Written::of(vec![&ledger]);
    let root = of.desk.shop_root().unwrap();
    TrustBook::read(root, ledger.lines(), &|l, e, k, last| {
        written.had(l, e, k, last)
    })
}

/// Whether a device believes what is signed with this key from now on.
fn is_in(of: &Device, key: &DeviceKey) -> bool {
    let book = trust(of);
    book.writer(key).is_some() && !book.is_revoked(key)
}

#[test]
fn a_shut_out_office_computer_admits_nobody_more() {
    let school = School::new(1);
    let (stolen, staff) = office(&school.shop, 90);
    shut_out(&school.shop, stolen.desk.card().key);
    let own = SecretKey::from_seed(&[0x51; 32]);
    for role in [Role::Shop, Role::Instructor, Role::Assistant] {
        let certificate = Certificate {
            staff,
            role,
            device: "another computer".into(),
            key: own.public(),
            link: None,
            from: day("2026-01-01"),
            until: None,
            consent: None,
        };
        let everyone = [&school.shop, &school.instructor];
        craft(&stolen, &book(&stolen), Vec::new(), certificate, &everyone);
    }
    school.meet_all();
    for device in [&school.shop, &school.instructor, &school.assistant] {
        assert!(!is_in(device, &stolen.desk.card().key), "it stays out");
        assert!(!is_in(device, &own.public()), "and whom it admits since");
    }
}

#[test]
fn a_shut_out_office_computer_shuts_nobody_out_in_turn() {
    let school = School::new(1);
    let (stolen, _) = office(&school.shop, 90);
    school.meet_all();
    meet(&school.shop, &stolen);
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    school.meet_all();
    shut_out(&school.shop, stolen.desk.card().key);
    for key in [&school.shop, &school.instructor].map(|one| one.desk.card().key) {
        let revocation = Revocation {
            key,
            why: "because".into(),
            held: Default::default(),
        };
        let everyone = [&school.shop, &school.instructor];
        craft(&stolen, &book(&stolen), Vec::new(), revocation, &everyone);
    }
    school.meet_all();
    for device in [&school.shop, &school.instructor, &school.assistant] {
        assert!(!is_in(device, &stolen.desk.card().key), "it stays out");
        assert!(is_in(device, &school.shop.desk.card().key));
        assert!(is_in(device, &school.instructor.desk.card().key));
        let cell = |course: &tallywater_core::standing::CourseStanding| {
            course.cells()[&school.key(0, "mask-full")].state
        };
        let state = device.desk.with_course(&school.course, cell).unwrap();
        assert_eq!(state, CellState::Met);
    }
}

/// Before it is shut out it may do what an office does, and no more: it does not shut out the
/// computer that admitted it, nor one beside it.
#[test]
fn an_office_computer_shuts_out_only_those_it_admitted() {
    let school = School::new(1);
    let (second, _) = office(&school.shop, 90);
    let (third, _) = office(&school.shop, 91);
    meet(&school.shop, &second);
    for other in [&school.shop, &third] {
        let key = other.desk.card().key;
        let why = "because".into();
        let refused = second.desk.record(Request::Revoke { key, why });
        let (role, kind) = (Role::Shop, Kind::Revocation);
        assert!(matches!(
            refused,
            Err(DeskError::Refused(found)) if found == Refusal::Role { role, kind }
        ));
        let revocation = Revocation {
            key,
            why: "because".into(),
            held: Default::default(),
        };
        let everyone = [&school.shop, &school.instructor, &third];
        craft(&second, &book(&second), Vec::new(), revocation, &everyone);
    }
    for device in [&school.shop, &school.instructor, &third] {
        assert!(is_in(device, &school.shop.desk.card().key));
        assert!(is_in(device, &third.desk.card().key));
    }
    shut_out(&second, school.assistant.desk.card().key);
    meet(&second, &school.shop);
    assert!(!is_in(&school.shop, &school.assistant.desk.card().key));
}

/// With the root everything that it ever admitted would go, for good: no sheet brings it back.
#[test]
fn nobody_shuts_out_the_root() {
    let school = School::new(1);
    let (second, _) = office(&school.shop, 90);
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    school.meet_all();
    let root = school.shop.desk.shop_root().unwrap();
    let everyone = [&school.shop, &school.instructor, &school.assistant];
    for by in [&second, &school.shop] {
        let revocation = Revocation {
            key: root,
            why: "because".into(),
            held: Default::default(),
        };
        craft(by, &book(by), Vec::new(), revocation, &everyone);
    }
    for device in everyone {
        assert!(is_in(device, &root));
        assert!(is_in(device, &school.instructor.desk.card().key));
        let key = school.key(0, "mask-full");
        let cell = |course: &tallywater_core::standing::CourseStanding| course.cells()[&key].state;
        let state = device.desk.with_course(&school.course, cell).unwrap();
        assert_eq!(state, CellState::Met);
    }
}

#[test]
fn whom_a_second_office_computer_admits_is_admitted() {
    let school = School::new(1);
    let (second, _) = office(&school.shop, 90);
    let tablet = Device::new(92);
    let staff = admit(&second, &tablet, "Isa Tern", Role::Instructor);
    let (third, ansel) = office(&second, 93);
    let phone = Device::new(94);
    admit_as(&third, &phone, ansel, Role::Shop, "phone");
    for (a, b) in [(&third, &second), (&second, &school.shop)] {
        meet(a, b);
    }
    school.meet_all();
    for device in [&school.shop, &school.instructor, &second] {
        for admitted in [&tablet, &third, &phone] {
            assert!(is_in(device, &admitted.desk.card().key));
        }
        let seen = trust(device).writer(&tablet.desk.card().key);
        let seen = seen.map(|writer| (writer.staff, writer.role));
        assert_eq!(seen, Some((staff, Role::Instructor)));
    }
    println!("## The first stands above all of them");
    shut_out(&school.shop, phone.desk.card().key);
    assert!(!is_in(&school.shop, &phone.desk.card().key));
    println!("## Whoever is shut out keeps whom they admitted before, and admits nobody more");
    let more = Device::new(97);
    admit_as(&third, &more, ansel, Role::Assistant, "another phone");
    meet(&third, &second);
    shut_out(&second, third.desk.card().key);
    meet(&second, &school.shop);
    assert!(is_in(&school.shop, &more.desk.card().key));
    assert!(!is_in(&school.shop, &third.desk.card().key));
}
