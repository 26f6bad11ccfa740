//! A record that was printed stays provable: whatever is written, put right, withdrawn, shut out
//! or forgotten afterwards, it is what stood at the state printed beside it, and no other is.

use tallywater_core::course::{DiveLog, EntryId, StudentId, WaterKind};
use tallywater_core::desk::Request;
use tallywater_core::entry::{Mark, Who};
use tallywater_core::ledger::Fingerprint;
use tallywater_core::paper::{Claim, Printed, Proof, Verification};

use crate::support::devices::{Device, School, time};

fn printed(device: &Device, school: &School, student: usize) -> Proof {
    let papers = device.desk.papers(&school.course).unwrap();
    papers.record(&school.students[student]).unwrap().proof
}

fn held(device: &Device, school: &School, own: Fingerprint, beside: &Proof) -> Verification {
    let claim = Claim {
        fingerprint: Some(own),
        state: Some(beside.state.clone()),
    };
    let found = device.desk.verify_course(&school.course, Some(claim));
    found.unwrap()
}

/// The record holds on this device, part by part, with so many entries about the student since.
fn stands(device: &Device, school: &School, student: usize, proof: &Proof, since: usize) {
    let found = held(device, school, proof.own, proof);
    let student = school.students[student];
    assert_eq!(
        found.printed,
        Some(Printed::Record {
            student,
            entries: proof.own_entries,
            since
        })
    );
    assert_eq!(found.at_state, Some(proof.entries));
    let record = found.records.iter().find(|one| one.student == student);
    assert_eq!(record.unwrap().parts, proof.parts);
    // So does the fingerprint of the whole course beside it.
    let whole = held(device, school, proof.fingerprint, proof);
    assert!(whole.printed.unwrap().holds());
}

fn dive(device: &Device, school: &School, student: StudentId, down: &str, up: &str) -> EntryId {
    let log = DiveLog {
        down: time(down),
        up: time(up),
        max_depth_cm: 640,
        mean_depth_cm: None,
        ascents: Some(1),
        gas: None,
        water: WaterKind::Fresh,
        temperature_dc: None,
        profile: Vec::new(),
    };
    let request = Request::LogDive {
        course: school.course,
        who: Who::Student(student),
        session: None,
        log,
    };
    device.record(request).entries[0].1
}

#[test]
fn a_printed_record_is_not_called_changed_when_four_more_dives_are_logged() {
    let school = School::new(2);
    let (renate, ottilie) = (&school.instructor, school.students[0]);
    renate.mark(&school, 0, "mask-full", Mark::Met);
    let proof = printed(renate, &school, 0);
    stands(renate, &school, 0, &proof, 0);
    for hour in 10..14 {
        let (down, up) = (
            format!("2026-06-05T{hour}:00:00+02:00"),
            format!("2026-06-05T{hour}:25:00+02:00"),
        );
        dive(renate, &school, ottilie, &down, &up);
    }
    stands(renate, &school, 0, &proof, 4);
    // It is nobody else's, and of no other state.
    let later = printed(renate, &school, 0);
    let found = held(renate, &school, proof.own, &later);
    assert_eq!(found.printed, Some(Printed::Other));
    let found = held(renate, &school, later.own, &proof);
    assert_eq!(found.printed, Some(Printed::Other));
}

#[test]
fn a_printed_record_stands_after_corrections_a_late_mark_a_shut_out_device_and_forgetting() {
    let school = School::new(2);
    let (shop, renate, bo) = (&school.shop, &school.instructor, &school.assistant);
    let ottilie = school.students[0];
    let tried = renate.mark(&school, 0, "mask-full", Mark::Met).entries[0].1;
    bo.mark(&school, 0, "reg-clear", Mark::Met);
    let logged = dive(
        renate,
        &school,
        ottilie,
        "2026-06-05T10:00:00+02:00",
        "2026-06-05T10:25:00+02:00",
    );
    school.meet_all();
    // What the assistant marked while away comes in after the printing, dated before it.
    bo.mark(&school, 0, "mask-part", Mark::Nearly);
    renate.stamps.shift(chrono::Duration::hours(1));
    renate.mark(&school, 1, "mask-full", Mark::Met);
    let proofs = [printed(renate, &school, 0), printed(renate, &school, 1)];
    school.meet_all();
    for device in [shop, renate, bo] {
        stands(device, &school, 0, &proofs[0], 1);
        stands(device, &school, 1, &proofs[1], 0);
    }
    // Put right: the mark and the dive are withdrawn.
    for entry in [tried, logged] {
        let why = Some("another student's".into());
        renate.record(Request::Withdraw {
            ledger: school.ledger(),
            entry,
            why,
        });
    }
    school.meet_all();
    stands(shop, &school, 0, &proofs[0], 3);
    // The assistant's device is shut out, and what it wrote counts or not by the shop's word.
    let key = bo.desk.card().key;
    shop.record(Request::Revoke {
        key,
        why: "lost".into(),
    });
    school.meet_all();
    stands(shop, &school, 0, &proofs[0], 3);
    stands(renate, &school, 1, &proofs[1], 0);
    // Forgotten: the name goes, the proof stays.
    shop.record(Request::Forget {
        student: ottilie,
        why: "asked to be".into(),
    });
    school.meet_all();
    stands(shop, &school, 0, &proofs[0], 3);
}
