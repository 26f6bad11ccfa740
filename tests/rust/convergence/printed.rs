//! Every record ever printed stands at its state, and no other record does: over random histories
//! of three devices, in whatever order their ledgers are merged afterwards.

use std::collections::BTreeSet;

use proptest::prelude::*;
use tallywater_core::course::{
    ClearanceKind, DiveLog, EntryId, LedgerId, SessionId, SessionPlan, StudentId, WaterKind,
    WaterPlan,
};
use tallywater_core::entry::{
    Attendance, Clearance, ClearanceResult, DiveLogged, Passage, SessionPlanned, Who,
};
use tallywater_core::ledger::{Ledger, State};
use tallywater_core::paper::{Claim, Printed, Proof, Proofs, Record, Source, verify_course};
use tallywater_core::standing::{CourseStanding, ShopStanding};
use tallywater_core::trust::TrustBook;
use tallywater_core::view::People;
use uuid::Uuid;

use super::step::{Step, schedule};
use super::{World, course, rebuilt, student};
use crate::support::devices::time;

/// A step of the devices, or something that a record shows and a board does not, or a printing.
#[derive(Debug, Clone)]
enum Act {
    Step(Step),
    Dive { device: u8, student: u8 },
    Paper { device: u8, student: u8 },
    Session { device: u8, students: u8 },
    Passage { device: u8, student: u8 },
    Print { device: u8, student: u8 },
}

fn acts() -> impl Strategy<Value = Vec<Act>> {
    let d = || (0..3_u8, 0..3_u8);
    let other = prop_oneof![
        1 => d().prop_map(|(device, student)| Act::Dive { device, student }),
        1 => d().prop_map(|(device, student)| Act::Paper { device, student }),
        1 => (0..3_u8, 0..8_u8).prop_map(|(device, students)| Act::Session { device, students }),
        1 => d().prop_map(|(device, student)| Act::Passage { device, student }),
        3 => d().prop_map(|(device, student)| Act::Print { device, student }),
    ];
    let steps = (
        schedule(),
        prop::collection::vec((0..40_usize, other), 3..24),
    );
    steps.prop_map(|(steps, others)| {
        let mut acts: Vec<Act> = steps.into_iter().map(Act::Step).collect();
        for (place, act) in others {
            acts.insert(place.min(acts.len()), act);
        }
        acts
    })
}

/// What was printed, and the copies of a ledger that a device had before an old backup was put
/// back on it: without them what it alone held is gone, and no proof can say otherwise.
#[derive(Default)]
struct Kept {
    printings: Vec<Printing>,
    files: Vec<Vec<u8>>,
}

struct Printing {
    student: StudentId,
    proof: Proof,
    rests_on: BTreeSet<EntryId>,
}

fn with_source<T>(book: &TrustBook, ledger: &Ledger, ask: impl FnOnce(&Source<'_>) -> T) -> T {
    let standing: CourseStanding = rebuilt(book, ledger);
    let (names, proofs, shop) = (
        People::default(),
        Proofs::default(),
        ShopStanding::default(),
    );
    ask(&Source {
        course: &standing,
        ledger,
        shop: &shop,
        trust: book,
        names: &names,
        proofs: &proofs,
        now: time("2026-06-07T09:00:00+02:00"),
        water: None,
    })
}

impl World {
    fn print(&self, device: usize, who: StudentId) -> Printing {
        let ledger = &self.sims[device].ledger;
        let grounds = tallywater_core::paper::Grounds::of(ledger.lines());
        Printing {
            student: who,
            proof: with_source(&self.book, ledger, |source| Record::of(source, who).proof),
            rests_on: grounds.entries(&who),
        }
    }

    fn act(&mut self, act: &Act, kept: &mut Kept) {
        let session = |n: u8| SessionId::new(Uuid::from_u128(0x700 + u128::from(n)));
        match act {
            Act::Step(step) => {
                if let Step::Restore { device } = step {
                    let ledger = &self.sims[usize::from(*device)].ledger;
                    kept.files.push(ledger.save().unwrap());
                }
                self.run(step);
            }
            Act::Dive { device, student: s } => {
                let log = DiveLog {
                    down: time("2026-06-06T10:00:00+02:00"),
                    up: time("2026-06-06T10:30:00+02:00"),
                    max_depth_cm: 600,
                    mean_depth_cm: None,
                    ascents: Some(1),
                    gas: None,
                    water: WaterKind::Salt,
                    temperature_dc: None,
                    profile: Vec::new(),
                };
                let who = Who::Student(student(*s));
                let dive = DiveLogged {
                    who,
                    session: None,
                    site: None,
                    log,
                };
                self.write(usize::from(*device), Vec::new(), dive.into());
            }
            Act::Paper { device, student: s } => {
                let paper = Clearance {
                    student: student(*s),
                    what: ClearanceKind::Health,
                    result: ClearanceResult::Cleared,
                    until: None,
                    figure: None,
                };
                self.write(usize::from(*device), Vec::new(), paper.into());
            }
            Act::Session { device, students } => {
                let planned = (0..3).filter(|n| students & (1 << n) != 0).map(student);
                let plan = SessionPlan {
                    title: "Pool".into(),
                    block: None,
                    setting: tallywater_core::course::Setting::Confined,
                    site: "Hollow Lane pool".into(),
                    starts: time("2026-06-06T10:00:00+02:00"),
                    minutes: 60,
                    students: planned.collect(),
                    staff: Vec::new(),
                    run_list: Vec::new(),
                    water: WaterPlan {
                        kind: WaterKind::Fresh,
                        max_depth_cm: None,
                        altitude_m: None,
                        temperature_dc: None,
                        visibility_dm: None,
                        moving: false,
                    },
                    stations: Vec::new(),
                    also: BTreeSet::new(),
                    bring: None,
                };
                let session = session(students % 2);
                let planned = SessionPlanned { session, plan };
                self.write(usize::from(*device), Vec::new(), planned.into());
            }
            Act::Passage { device, student: s } => {
                let passage = Attendance {
                    who: Who::Student(student(*s)),
                    session: session(*device % 2),
                    passage: Passage::In,
                    when: time("2026-06-06T10:05:00+02:00"),
                };
                self.write(usize::from(*device), Vec::new(), passage.into());
            }
            Act::Print { device, student: s } => {
                let printing = self.print(usize::from(*device), student(*s));
                kept.printings.push(printing);
            }
        }
    }
}

/// A printing holds at its state in a ledger that has everything.
fn stands(source: &Source<'_>, printing: &Printing) {
    let proof = &printing.proof;
    let claim = |fingerprint| Claim {
        fingerprint: Some(fingerprint),
        state: Some(proof.state.clone()),
    };
    let found = verify_course(source, Some(claim(proof.own)));
    let printed = found.printed.unwrap();
    assert!(
        matches!(printed, Printed::Record { student, entries, .. }
            if student == printing.student && entries == proof.own_entries),
        "{printed:?}"
    );
    assert_eq!(found.at_state, Some(proof.entries));
    let parts = found
        .records
        .into_iter()
        .find(|one| one.student == printing.student);
    assert_eq!(parts.unwrap().parts, proof.parts);
    let whole = verify_course(source, Some(claim(proof.fingerprint)));
    assert!(matches!(
        whole.printed,
        Some(Printed::Same | Printed::Before { .. })
    ));
}

/// What was printed of one student or state is nothing at another, unless it rests on the very
/// same entries.
fn no_other(source: &Source<'_>, one: &Printing, state: &State, there: &Printing) {
    let claim = Claim {
        fingerprint: Some(one.proof.own),
        state: Some(state.clone()),
    };
    let found = verify_course(source, Some(claim)).printed.unwrap();
    let the_same = one.student == there.student && one.rests_on == there.rests_on;
    if one.student == there.student {
        assert_eq!(found.holds(), the_same, "{found:?}");
    } else if let Printed::Record { student, .. } = found {
        assert_eq!(student, one.student, "another's record");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn every_record_ever_printed_stands_at_its_state_and_no_other_does(
        acts in acts(),
        order in Just(vec![0_usize, 1, 2]).prop_shuffle(),
    ) {
        let mut world = World::new([0, 1, -2]);
        let mut kept = Kept::default();
        for act in &acts {
            world.act(act, &mut kept);
        }
        let Kept { mut printings, mut files } = kept;
        for device in 0..3 {
            for s in 0..3 {
                printings.push(world.print(device, student(s)));
            }
        }
        // A device that never was there merges them all, in an order of its own.
        let mut ledger = Ledger::new(LedgerId::Course(course()), [9; 16]).unwrap();
        files.extend(order.into_iter().map(|device| world.sims[device].ledger.save().unwrap()));
        for file in files {
            let taken = ledger.take_bytes(&file).unwrap();
            ledger.adopt(taken);
        }
        with_source(&world.book, &ledger, |source| {
            for printing in &printings {
                stands(source, printing);
            }
            for pair in printings.windows(2) {
                no_other(source, &pair[0], &pair[1].proof.state, &pair[1]);
                no_other(source, &pair[1], &pair[0].proof.state, &pair[0]);
            }
        });
    }
}
