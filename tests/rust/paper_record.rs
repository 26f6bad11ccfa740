//! The training record and its neighbours, printed and opened by other tools.

use tallywater_core::course::{Setting, starter};
use tallywater_core::entry::Outcome;
use tallywater_core::ledger::Fingerprint;
use tallywater_core::paper::{
    Activity, Exposure, Fonts, Language, Press, Record, RecordState, Sheet,
};
use tallywater_core::view::Units;

use crate::paper_school::{NAMES, School};
use crate::paper_tools::Opened;

fn taught(students: &[&str]) -> School {
    let mut school = School::open(students);
    for student in school.students.clone() {
        school.clear(student);
    }
    school.teach();
    school
}

fn plain_press() -> Press {
    Press::new(Fonts::bundled().unwrap()).unwrap()
}

fn printed(school: &School, press: &Press, student: usize, name: &str) -> Opened {
    let standings = school.standings();
    let source = school.source(&standings);
    let record = Record::of(&source, school.students[student]);
    let pdf = press
        .record(&record, source.course.outline(), school.now)
        .unwrap();
    Opened::new(name, &pdf)
}

#[test]
fn a_record_is_an_archival_file_that_other_tools_open() {
    let mut school = taught(&NAMES[..2]);
    school.trouble();
    for (sheet, name, size) in [
        (Sheet::A4, "record-a4", (595.0, 842.0)),
        (Sheet::Letter, "record-letter", (612.0, 792.0)),
    ] {
        let mut press = plain_press();
        press.sheet = sheet;
        let opened = printed(&school, &press, 0, name);
        opened.check();
        opened.is_archival();
        opened.nothing_overlaps();
        let (width, height) = opened.size();
        assert!((width - size.0).abs() < 1.0 && (height - size.1).abs() < 1.0);
    }
}

#[test]
fn a_record_says_what_the_ledger_says_and_never_a_remark() {
    let mut school = taught(&["Odile Färber-Østergård"]);
    school.trouble();
    let standings = school.standings();
    let source = school.source(&standings);
    let record = Record::of(&source, school.students[0]);
    assert_eq!(record.state, RecordState::Open);
    let text = printed(&school, &plain_press(), 0, "record-trouble").running_text();
    for words in [
        "Odile Färber-Østergård",
        "Nordlys Diving School",
        "First dives, June",
        "First dives, edition 1",
        "Renate Quellmalz (instructor)",
        "Joris Aalbersberg (assistant)",
        "Renate's tablet",
        "pool phone",
        // Two views, unsettled; settled; slipped; not asked; slate; withdrawn; unconfirmed.
        "one of two marks that differ, not settled",
        "settled as met",
        "Seen again from the other side: the mask was full.",
        "not held since",
        "No marker of a lawful colour at this lake; taught dry.",
        "from slate, seen",
        "withdrawn by Renate Quellmalz",
        "Wrong student.",
        "not confirmed by an instructor",
        // Papers, sessions, dives, weights.
        "Health declaration",
        "Swim 200 m",
        "Pool 2: mask and regulator",
        "not held: Thunder.",
        "Sillsjön, east jetty",
        "203 bar – 94 bar",
        "5 mm two-piece",
        "Kept and not printed here: 2 remarks, 1 incident reports.",
        "no permission to dive",
    ] {
        assert!(text.contains(words), "{words}");
    }
    for skill in &source.course.outline().unwrap().skills {
        assert!(text.contains(&skill.name), "{}", skill.name);
        let says = skill
            .requirement
            .says
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        assert!(text.contains(&says), "{says}");
    }
    for kept_back in [
        "Likes to go last",
        "Slipped on the steps",
        "Plaster",
        "battery died",
    ] {
        assert!(!text.contains(kept_back), "{kept_back}");
    }
    assert!(text.contains(&record.proof.fingerprint.grouped()));
    assert_eq!(record.proof.fingerprint, Fingerprint::of(&school.course));
}

#[test]
fn a_completed_record_looks_different_at_first_glance() {
    let mut school = taught(&["Bo Li", "Kilian Röhrig"]);
    let first = school.students[0];
    school.complete(first, Outcome::Completed);
    let press = plain_press();
    let done = printed(&school, &press, 0, "record-completed");
    let open = printed(&school, &press, 1, "record-open");
    // The band down the edge: solid black, or slanted strokes with white between.
    let darkness = |opened: &Opened, page: usize| {
        let (width, height, dots) = opened.picture(page, 72);
        let band = 2..12;
        let dark = (0..height)
            .flat_map(|y| band.clone().map(move |x| (x, y)))
            .filter(|(x, y)| dots[y * width + x] < 64)
            .count();
        dark * 100 / (height * band.len())
    };
    for page in 1..=done.pages() {
        assert!(darkness(&done, page) > 95, "page {page}");
    }
    for page in 1..=open.pages() {
        assert!((5..60).contains(&darkness(&open, page)), "page {page}");
    }
    let (done, open) = (done.text(), open.text());
    assert!(done.contains("COMPLETED") && !done.contains("NOT COMPLETED"));
    assert!(done.contains("Stated by Renate Quellmalz, instructor"));
    assert!(open.contains("NOT COMPLETED"));
}

#[test]
fn a_completed_record_that_is_open_again_does_not_look_completed() {
    let mut school = taught(&["Bo Li"]);
    let student = school.students[0];
    school.complete(student, Outcome::Completed);
    let skill = school.outline.skills[15].clone();
    let session = school.sessions[1];
    school.attempt(
        student,
        &skill,
        session,
        None,
        tallywater_core::entry::Mark::NotYet,
        Vec::new(),
    );
    let text = printed(&school, &plain_press(), 0, "record-reopened").running_text();
    assert!(text.contains("Completed, and open again since"));
    assert!(text.contains("NOT COMPLETED"));
    assert!(text.contains("Entries about this student were added after that statement."));
}

#[test]
fn a_forgotten_student_shows_an_id_and_the_record_still_verifies() {
    let mut school = taught(&["Bo Li", "Kilian Röhrig"]);
    let student = school.students[0];
    let before = {
        let standings = school.standings();
        Record::of(&school.source(&standings), student).proof
    };
    school.forget(student);
    let standings = school.standings();
    let source = school.source(&standings);
    let record = Record::of(&source, student);
    assert_eq!((record.name.as_deref(), record.born), (None, None));
    assert_eq!(record.proof, before);
    let text = printed(&school, &plain_press(), 0, "record-forgotten").running_text();
    assert!(!text.contains("Bo Li"));
    assert!(text.contains(&student.to_string()));
    assert!(text.contains("Details were removed as the retention rules ask."));
}

#[test]
fn names_of_every_script_stay_readable_and_are_kept_in_the_file() {
    let school = School::open(&NAMES);
    let plain = plain_press();
    let own = Press::new(Fonts::of_this_device().unwrap()).unwrap();
    for (at, name) in NAMES.iter().enumerate() {
        for (press, kind) in [(&plain, "plain"), (&own, "own")] {
            let opened = printed(&school, press, at, &format!("name-{at}-{kind}"));
            opened.is_archival();
            opened.nothing_overlaps();
            // Right-to-left text comes out with marks of direction around it. Where a box
            // stands for a character, the file holds the true text beside it; Poppler turns
            // that round for right-to-left scripts, so it is looked for in the file itself.
            let text: String = opened
                .running_text()
                .chars()
                .filter(|c| !matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}'))
                .collect();
            let kept: String = name
                .encode_utf16()
                .map(|unit| format!("{unit:04x}"))
                .collect();
            assert!(
                text.contains(name)
                    || opened
                        .laid_open()
                        .contains(&format!("/ActualText<feff{kept}>")),
                "{at} {kind}"
            );
            assert!(text.contains(&school.students[at].to_string()));
        }
    }
}

#[test]
fn a_class_of_one_to_fourteen_fits_every_office_paper() {
    for count in [1, 2, 7, 14] {
        let mut school = taught(&NAMES[..count]);
        if count > 1 {
            school.trouble();
        }
        let standings = school.standings();
        let source = school.source(&standings);
        for (sheet, paper) in [(Sheet::A4, "a4"), (Sheet::Letter, "letter")] {
            let mut press = plain_press();
            press.sheet = sheet;
            let summary = Opened::new(
                &format!("summary-{count}-{paper}"),
                &press.class_summary(&source).unwrap(),
            );
            let session = press
                .session_sheet(&source, school.sessions[4])
                .unwrap()
                .unwrap();
            let session = Opened::new(&format!("session-{count}-{paper}"), &session);
            for opened in [&summary, &session] {
                opened.check();
                opened.is_archival();
                opened.nothing_overlaps();
            }
            assert!(summary.pages() <= 3);
            let text = session.running_text();
            assert!(text.contains("A planning aid.") && text.contains("+00 555 0199"));
        }
    }
}

#[test]
fn sixty_skills_and_forty_sessions_make_a_record_without_a_cut() {
    let mut outline = starter::outline().unwrap();
    let more: Vec<_> = outline.skills[..60 - outline.skills.len()]
        .iter()
        .enumerate()
        .map(|(at, skill)| {
            let mut skill = skill.clone();
            skill.id = format!("more-{at}").parse().unwrap();
            skill.name = format!("A further skill with rather a long name {at}");
            skill.needs.clear();
            skill
        })
        .collect();
    outline.skills.extend(more);
    assert_eq!(outline.skills.len(), 60);
    let mut school = School::with(
        &["Æthelreda Ingibjörg Þórhallsdóttir-Wawrzyńczak zu Niederfinsterwalde-Bruckmühl"],
        outline,
    );
    school.teach();
    let all: Vec<_> = school
        .outline
        .skills
        .iter()
        .map(|skill| skill.id.clone())
        .collect();
    for meeting in school.sessions.len()..40 {
        let run: Vec<_> = all
            .iter()
            .cycle()
            .skip(meeting * 7)
            .take(4)
            .cloned()
            .collect();
        school.hold(
            &format!("Evening {meeting}: what was left over"),
            Setting::Confined,
            run,
        );
    }
    let opened = printed(&school, &plain_press(), 0, "record-long");
    opened.check();
    opened.nothing_overlaps();
    let text = opened.running_text();
    assert!(text.contains("Evening 39: what was left over"));
    for skill in &school.outline.skills {
        assert!(text.contains(&skill.name), "{}", skill.name);
    }
    assert!(opened.pages() > 8);
}

#[test]
fn the_same_facts_give_the_same_file() {
    let school = taught(&["Bo Li"]);
    let standings = school.standings();
    let source = school.source(&standings);
    let record = Record::of(&source, school.students[0]);
    let once = plain_press()
        .record(&record, source.course.outline(), school.now)
        .unwrap();
    let again = plain_press()
        .record(&record, source.course.outline(), school.now)
        .unwrap();
    assert!(once == again);
}

#[test]
fn a_record_is_printed_in_german_and_in_feet() {
    let mut school = taught(&["Bo Li"]);
    school.trouble();
    let mut press = plain_press();
    press.language = Language::German;
    press.units = Units::Imperial;
    let opened = printed(&school, &press, 0, "record-german");
    opened.is_archival();
    opened.nothing_overlaps();
    let text = opened.running_text();
    for words in [
        "Ausbildungsnachweis",
        "Nicht abgeschlossen",
        "keine Erlaubnis zu tauchen",
        "psi",
        "14.3 lb",
        "Seite 1 von",
    ] {
        assert!(text.contains(words), "{words}");
    }
    assert!(!text.contains("Training record"));
}

#[test]
fn staff_activity_counts_ascents_against_a_confirmed_limit_only() {
    let mut school = taught(&["Bo Li"]);
    let session = school.sessions[6];
    for _ in 0..7 {
        let staff = tallywater_core::entry::Who::Staff(school.instructor.staff);
        school.now += chrono::Duration::minutes(40);
        school.dive(staff, session);
    }
    let standings = school.standings();
    let source = school.source(&standings);
    let activity = Activity::of([&source]);
    let day = activity.days.iter().max_by_key(|day| day.ascents).unwrap();
    assert_eq!((day.ascents, day.dives, day.limit), (7, 7, Some(6)));
    assert!(day.is_over());
    // An earlier day has its group.
    assert!(
        activity
            .days
            .iter()
            .any(|day| matches!(day.exposure, Exposure::Group(_)))
    );
    let opened = Opened::new(
        "activity",
        &plain_press().activity(&source, &activity).unwrap(),
    );
    opened.check();
    opened.nothing_overlaps();
    let text = opened.running_text();
    assert!(text.contains("over the school's limit"));
    assert!(text.contains("no universal limit exists"));
    // The same course on a policy that nobody confirmed has no limit to go by.
    let policy = starter::policy().unwrap();
    school.adopt(policy);
    let standings = school.standings();
    let source = school.source(&standings);
    let activity = Activity::of([&source]);
    assert!(
        activity
            .days
            .iter()
            .all(|day| day.limit.is_none() && !day.is_over())
    );
}

#[test]
fn briefing_cards_carry_every_cue_and_caution() {
    let outline = starter::outline().unwrap();
    let now = School::open(&[]).now;
    let opened = Opened::new(
        "briefing",
        &plain_press().briefing_cards(&outline, &[], now).unwrap(),
    );
    opened.check();
    opened.is_archival();
    opened.nothing_overlaps();
    // A word may be broken after its own hyphen, and a reader then takes that for a break's.
    let plain = |text: &str| {
        let text = text.replace('-', "");
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let text = plain(&opened.running_text());
    for skill in &outline.skills {
        for says in skill
            .cues
            .iter()
            .chain(&skill.caution)
            .chain(skill.slips.iter().map(|slip| &slip.fix))
        {
            assert!(text.contains(&plain(says)), "{}: {says}", skill.id);
        }
    }
}
