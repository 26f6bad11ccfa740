//! Pairing with six digits over the network: who gets in, and who does not.

use std::sync::Arc;
use std::time::Duration;

use tallywater_core::course::{LedgerId, Role, StaffId};
use tallywater_core::desk::Request;
use tallywater_core::entry::{DeviceKey, Mark};
use tallywater_core::link::pairing::{
    Channel, Code, Guest, Joiner, No, PAIRING_VERSION, PairingEnd, PairingError, PairingFrame,
};
use tallywater_core::link::{LinkEvent, Patience};

use crate::support::devices::{Device, School};
use crate::support::links::{Online, board, go_online, go_online_as, quick, until};
use crate::support::stranger::{Knock, Stranger};

fn guest(staff: StaffId, role: Role) -> Guest {
    Guest {
        staff,
        role,
        until: None,
    }
}

fn new_staff(by: &Device, name: &str) -> StaffId {
    let joined = by.record(Request::JoinStaff { name: name.into() });
    joined.made.unwrap().parse().unwrap()
}

fn wrong(code: &Code) -> Code {
    let digits = code.to_string();
    let last = if digits.ends_with('0') { "1" } else { "0" };
    Code::typed(&format!("{}{last}", &digits[..5])).unwrap()
}

fn ended(online: &Online) -> PairingEnd {
    let event = online.ear.hears("the end of the code", |event| {
        matches!(event, LinkEvent::CodeEnded { .. })
    });
    match event {
        LinkEvent::CodeEnded { why } => why,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_new_tablet_types_the_code_and_has_the_shop_and_its_course() {
    let school = School::new(2);
    let shop = go_online(&school.shop.desk);
    let tove = new_staff(&school.shop, "Tove Askildsen");
    school.shop.record(Request::AssignStaff {
        course: school.course,
        staff: tove,
        role: Role::Instructor,
    });
    let tablet = Device::new(40);
    let online = go_online(&tablet.desk);
    let code = shop.link.show_code(guest(tove, Role::Instructor)).unwrap();
    let joined = online
        .link
        .join(&shop.link.place(), &code, "Tove's tablet")
        .unwrap();
    assert_eq!(joined.root, school.shop.desk.shop_root().unwrap());
    assert_eq!(joined.device, "Shop computer");
    assert_eq!(ended(&shop), PairingEnd::Used);
    println!("## The rest comes by itself");
    until("the course", || {
        board(&tablet, &school) == board(&school.shop, &school)
    });
    until("to be admitted", || tablet.desk.me().is_some());
    let me = tablet.desk.me().unwrap();
    assert_eq!((me.staff, me.role), (tove, Role::Instructor));
    tablet.mark(&school, 0, "mask-full", Mark::Met);
    until("its mark at the shop", || {
        board(&tablet, &school) == board(&school.shop, &school)
    });
    println!("## And it can be used by a second device no more");
    let second = Device::new(41);
    let late = go_online(&second.desk);
    let refused = late.link.join(&shop.link.place(), &code, "Another tablet");
    assert_eq!(refused, Err(PairingError::NoCode));
    assert_eq!(second.desk.shop_root(), None);
}

#[test]
fn an_instructor_admits_an_assistants_device_at_the_pool_with_no_shop_about() {
    let school = School::new(2);
    let instructor = go_online(&school.instructor.desk);
    let runa = new_staff(&school.instructor, "Runa Tveit");
    school.instructor.record(Request::AssignStaff {
        course: school.course,
        staff: runa,
        role: Role::Assistant,
    });
    let phone = Device::new(42);
    let online = go_online(&phone.desk);
    let code = instructor
        .link
        .show_code(guest(runa, Role::Assistant))
        .unwrap();
    online
        .link
        .join(&instructor.link.place(), &code, "Runa's phone")
        .unwrap();
    until("the course", || {
        board(&phone, &school) == board(&school.instructor, &school)
    });
    phone.mark(&school, 0, "mask-full", Mark::Met);
    until("the mark", || {
        board(&phone, &school) == board(&school.instructor, &school)
    });
    println!("## The shop hears of the phone from the instructor, and then serves it too");
    let shop = go_online(&school.shop.desk);
    instructor.look_at(&shop);
    instructor.in_step_with(&shop);
    online.look_at(&shop);
    online.in_step_with(&shop);
    println!("## An instructor may not admit another instructor");
    let other = new_staff(&school.instructor, "Ulf Brekke");
    let code = instructor
        .link
        .show_code(guest(other, Role::Instructor))
        .unwrap();
    let third = Device::new(43);
    let late = go_online(&third.desk);
    let refused = late.link.join(&instructor.link.place(), &code, "Ulf's");
    assert_eq!(refused, Err(PairingError::NotAdmitted));
    assert_eq!(third.desk.shop_root(), None);
}

#[test]
fn a_device_of_another_shop_is_told_so_and_stays_with_its_own() {
    let school = School::new(1);
    let shop = go_online(&school.shop.desk);
    let other = School::seeded(1, 7);
    let before = other.assistant.desk.shop_root();
    let online = go_online(&other.assistant.desk);
    let guest = guest(new_staff(&school.shop, "Hilde Aas"), Role::Assistant);
    let code = shop.link.show_code(guest).unwrap();
    let refused = online.link.join(&shop.link.place(), &code, "Hilde's");
    assert_eq!(refused, Err(PairingError::OtherShop));
    assert_eq!(other.assistant.desk.shop_root(), before);
    assert_ne!(
        other.assistant.desk.shop_root(),
        school.shop.desk.shop_root()
    );
}

#[test]
fn three_wrong_codes_end_it_and_the_right_one_comes_too_late() {
    let school = School::new(1);
    let shop = go_online(&school.shop.desk);
    let bo = school.bo;
    let tablet = Device::new(44);
    let online = go_online(&tablet.desk);
    let code = shop.link.show_code(guest(bo, Role::Assistant)).unwrap();
    let place = shop.link.place();
    for left in [2, 1, 0] {
        let refused = online.link.join(&place, &wrong(&code), "Tablet");
        assert_eq!(refused, Err(PairingError::WrongCode { left }));
    }
    let refused = online.link.join(&place, &code, "Tablet");
    assert_eq!(refused, Err(PairingError::NoCode));
    assert_eq!(ended(&shop), PairingEnd::TooManyTries);
    assert_eq!(tablet.desk.shop_root(), None);
    println!("## A new code works");
    let code = shop.link.show_code(guest(bo, Role::Assistant)).unwrap();
    assert!(online.link.join(&place, &code, "Tablet").is_ok());
}

#[test]
fn a_code_ends_by_its_time_by_another_and_by_being_taken_back() {
    let school = School::new(1);
    let patience = Patience {
        code_life: Duration::from_millis(200),
        ..quick()
    };
    let shop = go_online_as(Arc::clone(&school.shop.desk) as _, patience);
    let code = shop.link.show_code(guest(school.bo, Role::Assistant));
    let code = code.unwrap();
    assert_eq!(ended(&shop), PairingEnd::TimedOut);
    let tablet = Device::new(45);
    let online = go_online(&tablet.desk);
    let refused = online.link.join(&shop.link.place(), &code, "Tablet");
    assert_eq!(refused, Err(PairingError::NoCode));

    let patient = go_online(&school.instructor.desk);
    let runa = new_staff(&school.instructor, "Runa Tveit");
    let first = patient
        .link
        .show_code(guest(runa, Role::Assistant))
        .unwrap();
    let second = patient
        .link
        .show_code(guest(runa, Role::Assistant))
        .unwrap();
    assert_eq!(ended(&patient), PairingEnd::Hidden);
    let place = patient.link.place();
    if first != second {
        let refused = online.link.join(&place, &first, "Tablet");
        assert_eq!(refused, Err(PairingError::WrongCode { left: 2 }));
    }
    patient.link.hide_code();
    let refused = online.link.join(&place, &second, "Tablet");
    assert_eq!(refused, Err(PairingError::NoCode));
}

#[test]
fn a_device_that_shows_no_code_and_one_that_is_not_there_say_so() {
    let school = School::new(1);
    let shop = go_online(&school.shop.desk);
    let tablet = Device::new(46);
    let online = go_online(&tablet.desk);
    let code = Code::typed("123456").unwrap();
    let place = shop.link.place();
    assert_eq!(
        online.link.join(&place, &code, "Tablet"),
        Err(PairingError::NoCode)
    );
    assert_eq!(
        online.link.join(&place, &code, "two\nlines"),
        Err(PairingError::Name)
    );
    assert_eq!(shop.ear.news(), []);
}

fn channel(knock: &Knock<'_>, own: [u8; 32], shower: DeviceKey) -> Channel {
    let mut exported = [0; 32];
    let label = b"EXPERIMENTAL tallywater pairing 1";
    let export = knock
        .connection
        .export_keying_material(&mut exported, label, b"");
    assert!(export.is_ok());
    let joiner = tallywater_core::trust::SecretKey::from_seed(&own).public();
    Channel {
        exported,
        joiner,
        shower,
    }
}

fn hear(knock: &mut Knock<'_>) -> PairingFrame {
    let mut length = [0; 2];
    assert!(knock.hear_bytes(&mut length));
    let mut bytes = vec![0; usize::from(u16::from_be_bytes(length))];
    assert!(knock.hear_bytes(&mut bytes));
    PairingFrame::decode(&bytes).unwrap()
}

#[test]
fn a_recorded_pairing_played_again_is_one_wrong_try() {
    let school = School::new(1);
    let shop = go_online(&school.shop.desk);
    let code = shop.link.show_code(guest(school.bo, Role::Assistant));
    let code = code.unwrap();
    let place = shop.link.place();
    let seed = [88; 32];
    let stranger = Stranger::new(seed);
    println!("## Somebody who knows the code goes as far as the proof, and is recorded");
    let mut knock = stranger.knock_to_pair(&place);
    let bound = channel(&knock, seed, place.key);
    let (joiner, message) = Joiner::begin(&code, bound).unwrap();
    let version = PAIRING_VERSION;
    let begin = PairingFrame::Begin { version, message }.encode();
    knock.send_bytes(&begin);
    let PairingFrame::Answer(answer) = hear(&mut knock) else {
        panic!("an answer");
    };
    let (_, proof) = joiner.answered(&answer).unwrap();
    let proof = PairingFrame::JoinerProof(proof).encode();
    knock.connection.close(0u32.into(), b"");
    println!("## The recording is played to the same code, with the same key");
    let mut again = stranger.knock_to_pair(&place);
    again.send_bytes(&begin);
    assert!(matches!(hear(&mut again), PairingFrame::Answer(_)));
    again.send_bytes(&proof);
    let why = No::WrongCode;
    assert_eq!(hear(&mut again), PairingFrame::No { why, left: 2 });
}

#[test]
fn tries_that_break_off_and_nonsense_cost_the_owner_nothing() {
    let school = School::new(1);
    let shop = go_online(&school.shop.desk);
    let code = shop.link.show_code(guest(school.bo, Role::Assistant));
    let code = code.unwrap();
    let place = shop.link.place();
    let stranger = Stranger::new([89; 32]);
    for words in [
        &b"\x00\x00"[..],
        b"\xff\xff",
        b"\x00\x03abc",
        b"\x00\x01\x05",
    ] {
        let mut knock = stranger.knock_to_pair(&place);
        knock.send_bytes(words);
        let why = No::Broken;
        assert_eq!(hear(&mut knock), PairingFrame::No { why, left: 0 });
    }
    for _ in 0..5 {
        let mut knock = stranger.knock_to_pair(&place);
        let bound = channel(&knock, [89; 32], place.key);
        let (_, message) = Joiner::begin(&code, bound).unwrap();
        let version = PAIRING_VERSION;
        knock.send_bytes(&PairingFrame::Begin { version, message }.encode());
        assert!(matches!(hear(&mut knock), PairingFrame::Answer(_)));
        knock.connection.close(0u32.into(), b"");
    }
    let tablet = Device::new(47);
    let online = go_online(&tablet.desk);
    until("the broken tries to have come back", || {
        online.link.join(&place, &code, "Tablet").is_ok()
    });
    let ledger = tablet
        .desk
        .shop_root()
        .map(|root| tallywater_core::trust::shop_id(&root));
    until("the shop's ledger", || {
        tablet.desk.heads(&LedgerId::Shop(ledger.unwrap())).is_ok()
    });
}
