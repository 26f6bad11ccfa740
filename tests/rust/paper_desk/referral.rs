//! A referral of another school, continued here.

use tallywater_core::course::Outline;
use tallywater_core::paper::MarkWhat;

use super::*;
use crate::paper_tools::Opened;

/// A record as it is read off the paper.
fn printed(record: &Record, outline: Option<&Outline>, language: Language) -> String {
    let mut press = press();
    press.language = language;
    let pdf = press
        .record(record, outline, time("2026-06-20T20:00:00Z"))
        .unwrap();
    let name = format!("referral-{}", language.tag());
    Opened::new(&name, &pdf).running_text()
}

#[test]
fn another_schools_referral_is_checked_and_continues_as_a_course_of_this_shop() {
    // One school taught half of it; its own root signed, so everything there counts.
    let mut there = paper_school::School::open(&["Odile Färber-Østergård", "Bo Li"]);
    for student in there.students.clone() {
        there.clear(student);
    }
    let block = there.outline.blocks[1].clone();
    there.hold(&block.title, block.setting, block.run_list);
    let student = there.students[0];
    there.complete(student, Outcome::Referred);
    let person: Vec<&Ledger> = vec![&there.people[&student]];
    let file = tallywater_core::paper::bundle::write_bundle(
        there.root.key.public(),
        &there.shop,
        &there.course,
        &person,
        there.now,
        &there.instructor.key,
    )
    .unwrap();
    let here = School::new(1);
    let seen = here.shop.desk.look_at_bundle(&file).unwrap();
    assert_eq!(seen.whose, Whose::AnotherSchools);
    assert_eq!(seen.shop.as_deref(), Some("Nordlys Diving School"));
    let named: Vec<_> = seen
        .students
        .iter()
        .filter(|one| one.name.is_some())
        .collect();
    assert_eq!(named.len(), 1);
    assert!(named[0].met > 0 && named[0].ended);
    // The shop does not judge, so it cannot take over what another school judged.
    let error = here.shop.desk.take_bundle(&file).unwrap_err();
    assert!(matches!(refusal(error), Refusal::Role { .. }));
    let taken = here.instructor.desk.take_bundle(&file).unwrap();
    let BundleTaken::Continued {
        course,
        students,
        skills,
        ..
    } = taken
    else {
        panic!("{taken:?}")
    };
    assert_eq!(students, 1);
    assert!(skills >= named[0].met);
    let papers = here.instructor.desk.papers(&course).unwrap();
    let source = papers.source();
    assert_eq!(source.course.outline(), Some(&there.outline));
    let enrolled = source.course.students();
    let record = Record::of(&source, enrolled[0]);
    assert_eq!(record.name.as_deref(), Some("Odile Färber-Østergård"));
    assert_eq!(
        record.referred_from.as_deref(),
        Some("Nordlys Diving School")
    );
    assert_eq!(record.known_there_as, Some(student));
    let exempt: Vec<_> = record
        .skills
        .iter()
        .filter(|skill| skill.state == CellState::Exempt)
        .collect();
    assert_eq!(exempt.len(), skills);
    // What the other school said is kept as it was, and put into words for whoever reads.
    let MarkWhat::Exemption { why, elsewhere } = &exempt[0].lines[0].what else {
        panic!("{:?}", exempt[0].lines)
    };
    let met = elsewhere.as_ref().unwrap();
    assert_eq!(
        (why.as_str(), met.school.as_str()),
        ("", "Nordlys Diving School")
    );
    assert_eq!(met.file, Fingerprint::of(&there.course).short());
    let judged = met.judged.as_ref().unwrap();
    assert_eq!(judged.by, "Renate Quellmalz");
    for (language, says) in [
        (Language::English, "judged by Renate Quellmalz"),
        (Language::German, "gewertet von Renate Quellmalz"),
    ] {
        let text = printed(&record, source.course.outline(), language);
        assert!(text.contains(says) && text.contains(&met.file), "{text}");
        assert!(text.contains(&judged.on.to_string()), "{text}");
    }
    // Its papers were seen there and not here.
    assert!(record.papers.is_empty());
    assert!(!record.gaps.is_empty());
    // The shop learns of it, and the same student is not taken over twice.
    carry(&here.instructor, &here.shop);
    assert!(here.shop.desk.papers(&course).is_ok());
    let error = here.instructor.desk.take_bundle(&file).unwrap_err();
    assert_eq!(refusal(error), Refusal::AlreadyEnrolled);
}

#[test]
fn a_referral_with_nobodys_details_has_nobody_to_continue_with() {
    let there = School::seeded(1, 5);
    let here = School::new(1);
    let file = there
        .instructor
        .desk
        .export_bundle(&there.course, &BTreeSet::new())
        .unwrap();
    let error = here.instructor.desk.take_bundle(&file).unwrap_err();
    assert_eq!(refusal(error), Refusal::Unknown { what: "details" });
    assert!(read_bundle(&file, [1; 16]).unwrap().people.is_empty());
}
