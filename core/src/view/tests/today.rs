//! Today, one student, gaps, records, notes, the journal and the counts behind figures.

use super::Eyes;
use crate::course::ClearanceKind;
use crate::entry::{
    ClearanceResult, Completion, Incident, Kind, Mark, Note, Outcome, Passage, Who,
};
use crate::plan::Missing;
use crate::standing::sample::{
    ODD, OFFICE, PELLE, RENATE, Sample, day, session, skill_id, student, time,
};
use crate::view::{
    ActivityOf, ActivityView, AlertKind, ClearanceState, CourseHere, DayIs, EvidenceView, GapsView,
    IncidentsView, Leave, LineCounts, NotesOn, NotesView, RecordState, RecordView, RecordsView,
    Said, StudentView, TodayView,
};

fn today(sample: &Sample, eyes: &Eyes, writer: crate::entry::Writer) -> TodayView {
    let here = CourseHere {
        standing: &sample.now,
        irregular: 0,
        brought_by: Vec::new(),
    };
    TodayView::of(&[here], &eyes.reader(writer))
}

fn alert(view: &TodayView, what: AlertKind) -> Option<(u32, bool)> {
    let found = view.alerts.iter().find(|alert| alert.what == what)?;
    Some((found.count, found.own))
}

#[test]
fn today_has_the_sessions_of_the_day_and_the_next_after_it() {
    let sample = Sample::new();
    let view = today(&sample, &Eyes::new(), RENATE);
    assert_eq!(view.day.is, DayIs::Today);
    assert_eq!(view.sessions.len(), 1);
    assert_eq!(view.sessions[0].session, session(1));
    assert_eq!(view.coming[0].session, session(2));
    assert_eq!(view.coming[0].starts.day.is, DayIs::Tomorrow);
    let card = &view.courses[0];
    assert_eq!(card.title, "First dives, June");
    assert_eq!(
        (card.students, card.done, card.of, card.percent),
        (2, 0, 10, 0)
    );
    assert_eq!(card.next.as_ref().unwrap().session, session(1));
    assert_eq!(card.stage, None, "no shop lists it here");
}

#[test]
fn a_quiet_course_alerts_to_nothing() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    for n in [1, 2] {
        for what in [ClearanceKind::Health, ClearanceKind::Consent] {
            sample.clear(n, what, ClearanceResult::Cleared);
        }
    }
    let view = today(&sample, &Eyes::new(), RENATE);
    assert_eq!(view.alerts, []);
}

#[test]
fn what_waits_is_listed_the_gravest_first() {
    let mut sample = Sample::new();
    sample.mark_after(RENATE, &[], 1, "once", Mark::Met, 1);
    sample.mark_after(ODD, &[], 1, "once", Mark::NotYet, 1);
    sample.mark(PELLE, 2, "both", Mark::Met, 1);
    sample.mark(RENATE, 2, "once", Mark::Met, 1);
    sample.mark(RENATE, 2, "once", Mark::NotYet, 1);
    let who = Who::Student(student(1));
    sample.pass(who, 1, Passage::In, "2026-06-02T10:05:00+02:00");
    let eyes = Eyes::new().at("2026-06-02T12:00:00+02:00");
    let view = today(&sample, &eyes, PELLE);
    let kinds: Vec<AlertKind> = view.alerts.iter().map(|alert| alert.what).collect();
    assert_eq!(
        kinds,
        [
            AlertKind::StillInWater,
            AlertKind::PaperBeforeWater,
            AlertKind::TwoViews,
            AlertKind::SlippedSince,
            AlertKind::ToConfirm,
            AlertKind::RulesUnconfirmed
        ]
    );
    assert_eq!(alert(&view, AlertKind::TwoViews), Some((1, false)));
    assert_eq!(alert(&view, AlertKind::StillInWater), Some((1, true)));
    assert_eq!(alert(&view, AlertKind::PaperBeforeWater), Some((2, false)));
    assert_eq!(
        alert(&today(&sample, &eyes, RENATE), AlertKind::TwoViews),
        Some((1, true))
    );
    let students = |what| {
        let found = view.alerts.iter().find(|alert| alert.what == what).unwrap();
        found
            .students
            .iter()
            .map(|one| one.short.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(students(AlertKind::TwoViews), ["Ottilie"]);
    assert_eq!(students(AlertKind::ToConfirm), ["Émile"]);
}

#[test]
fn a_student_page_has_papers_skills_and_sessions() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    sample.clear(2, ClearanceKind::Health, ClearanceResult::Referred);
    sample.mark(RENATE, 2, "once", Mark::Met, 1);
    sample.pass(
        Who::Student(student(2)),
        1,
        Passage::In,
        "2026-06-02T08:05:00+02:00",
    );
    let eyes = Eyes::new();
    let view = StudentView::of(&sample.now, &eyes.reader(RENATE), &student(2)).unwrap();
    let details = view.details.as_ref().unwrap();
    assert_eq!((details.age, details.minor), (Some(17), Some(true)));
    let papers: Vec<(ClearanceKind, ClearanceState)> = view
        .clearances
        .iter()
        .map(|row| (row.what, row.state))
        .collect();
    assert_eq!(
        papers,
        [
            (ClearanceKind::Health, ClearanceState::Referred),
            (ClearanceKind::Physician, ClearanceState::Missing),
            (ClearanceKind::Consent, ClearanceState::Missing),
            (ClearanceKind::Swim, ClearanceState::Missing),
            (ClearanceKind::Float, ClearanceState::NotAsked),
            (ClearanceKind::Theory, ClearanceState::Missing),
        ]
    );
    assert_eq!((view.done, view.of), (1, 5));
    assert_eq!(view.families[0].cells[0].name, "The once");
    assert!(view.families[0].cells[0].last_at.is_some());
    assert_eq!((view.attendance.len(), view.came_to), (3, 1));
    assert_eq!((view.open_dives, view.dives_needed), (0, Some(1)));
    assert!(matches!(view.may_complete, Leave::Gaps(n) if n > 5));
    assert!(!format!("{view:?}").contains("Aasen"));
    assert!(StudentView::of(&sample.now, &eyes.reader(RENATE), &student(9)).is_none());
}

#[test]
fn a_swim_is_an_instructors_to_record_and_a_paper_the_offices_too() {
    let sample = Sample::new();
    let eyes = Eyes::new();
    let of = |writer| StudentView::of(&sample.now, &eyes.reader(writer), &student(1)).unwrap();
    let may = |view: &StudentView, what| {
        let row = view.clearances.iter().find(|row| row.what == what);
        row.unwrap().may_record
    };
    let office = of(OFFICE);
    assert_eq!(may(&office, ClearanceKind::Health), Leave::Yes);
    assert_eq!(may(&office, ClearanceKind::Swim), Leave::Role);
    assert_eq!(office.may_complete, Leave::Role);
    let pelle = of(PELLE);
    assert_eq!(may(&pelle, ClearanceKind::Health), Leave::Role);
    assert_eq!(may(&of(RENATE), ClearanceKind::Swim), Leave::Yes);
}

#[test]
fn gaps_grow_from_water_to_completion_and_say_who_closes_them() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    let eyes = Eyes::new();
    let on = day("2026-06-02");
    let view = GapsView::of(&sample.now, &eyes.reader(PELLE), &student(1), on);
    assert_eq!(view.before_water.len(), 1);
    assert_eq!(view.before_open.len(), 2);
    assert!(view.before_completion.len() > 6);
    assert!(!view.age_unknown);
    let skill = view
        .before_completion
        .iter()
        .find(|row| row.closes_with == Kind::Attempt)
        .unwrap();
    assert_eq!(skill.skill_name.as_deref(), Some("The once"));
    assert_eq!(skill.may_close, Leave::Yes);
    assert_eq!(view.before_water[0].may_close, Leave::Role);
    let unknown = GapsView::of(&sample.now, &eyes.reader(PELLE), &student(3), on);
    assert!(unknown.age_unknown);
}

#[test]
fn an_expired_paper_says_until_when_it_counted() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    let eyes = Eyes::new().at("2027-06-02T09:00:00+02:00");
    let view = GapsView::of(
        &sample.now,
        &eyes.reader(OFFICE),
        &student(1),
        day("2027-06-02"),
    );
    let row = &view.before_water[0];
    assert_eq!(
        row.what,
        Missing::Expired(ClearanceKind::Health, day("2027-06-01"))
    );
    assert_eq!(row.expired.unwrap().is, DayIs::Yesterday);
    let page = StudentView::of(&sample.now, &eyes.reader(OFFICE), &student(1)).unwrap();
    assert_eq!(page.clearances[0].state, ClearanceState::Expired);
}

#[test]
fn a_record_says_what_is_missing_and_what_waits() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    let met = sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let waits = sample.mark(PELLE, 1, "builds", Mark::Met, 1);
    let undone = sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.withdraw(RENATE, undone);
    let eyes = Eyes::new();
    let view = RecordView::of(&sample.now, &eyes.reader(RENATE), &student(1)).unwrap();
    assert!(matches!(view.state, RecordState::Open(n) if view.gaps.len() == n as usize));
    assert_eq!(view.items.len(), 6);
    assert_eq!((view.required, view.done), (5, 1), "one is not required");
    let lines: Vec<_> = view.items[0].lines.iter().map(|line| line.entry).collect();
    assert_eq!(lines, [met], "what was withdrawn is not in the record");
    assert_eq!(view.waiting.len(), 1);
    assert_eq!(
        (view.waiting[0].entry, view.waiting[0].counts),
        (waits, LineCounts::Waits)
    );
    assert_eq!(view.may_confirm, Leave::Yes);
    assert_eq!(view.may_end, Leave::Yes);
    assert!(matches!(view.may_complete, Leave::Gaps(_)));
    assert_eq!(view.considered, sample.now.considered(&student(1)));
    assert!(RecordView::of(&sample.now, &eyes.reader(RENATE), &student(9)).is_none());
}

#[test]
fn what_comes_or_goes_after_completion_is_shown_beside_it() {
    let mut sample = Sample::new();
    let before = sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let considered = sample.now.considered(&student(1));
    sample.add(
        RENATE,
        &[],
        Completion {
            student: student(1),
            outcome: Outcome::Referred,
            considered,
        },
    );
    let eyes = Eyes::new();
    let record =
        |sample: &Sample| RecordView::of(&sample.now, &eyes.reader(RENATE), &student(1)).unwrap();
    let view = record(&sample);
    assert_eq!(view.state, RecordState::Ended(Outcome::Referred));
    assert_eq!(view.may_end, Leave::NothingOpen);
    let completion = view.completion.unwrap();
    assert!(completion.arrived_after.is_empty() && completion.gone_since.is_empty());
    let late = sample.mark(ODD, 1, "both", Mark::Met, 1);
    sample.withdraw(RENATE, before);
    let completion = record(&sample).completion.unwrap();
    let arrived: Vec<_> = completion
        .arrived_after
        .iter()
        .map(|row| row.entry)
        .collect();
    let gone: Vec<_> = completion.gone_since.iter().map(|row| row.entry).collect();
    assert_eq!((arrived, gone), (vec![late], vec![before]));
    let records = RecordsView::of(&sample.now, &eyes.reader(RENATE));
    let row = records
        .rows
        .iter()
        .find(|row| row.name.student == student(1))
        .unwrap();
    assert_eq!(row.changed_since, 2);
    assert_eq!(row.ended.as_ref().unwrap().by.name, "Renate Solberg");
    assert_eq!((records.completed, records.ready), (0, 0));
}

#[test]
fn notes_gather_remarks_of_every_kind_newest_first() {
    let mut sample = Sample::new();
    let mut attempt = crate::standing::sample::attempt(1, "once", Mark::NotYet, 1);
    attempt.note = Some("Stood up".to_owned());
    let on = sample.add(RENATE, &[], attempt);
    let note = |student, entry, text: &str| Note {
        student,
        skill: None,
        session: Some(session(2)),
        entry,
        text: text.to_owned(),
    };
    sample.add(PELLE, &[], note(None, Some(on), "Cold water"));
    let gone = sample.add(PELLE, &[], note(Some(student(2)), None, "Late"));
    sample.withdraw(PELLE, gone);
    let eyes = Eyes::new();
    let of = |about| NotesView::of(&sample.now, &eyes.reader(PELLE), about).rows;
    let texts = |about| {
        of(about)
            .into_iter()
            .map(|row| row.text)
            .collect::<Vec<_>>()
    };
    assert_eq!(texts(NotesOn::Course), ["Late", "Cold water", "Stood up"]);
    assert_eq!(
        texts(NotesOn::Student(student(1))),
        ["Cold water", "Stood up"]
    );
    assert_eq!(texts(NotesOn::Session(session(2))), ["Late", "Cold water"]);
    assert_eq!(
        texts(NotesOn::Skill(skill_id("once"))),
        ["Cold water", "Stood up"]
    );
    let rows = of(NotesOn::Course);
    assert!(rows[0].withdrawn.is_some());
    assert_eq!(rows[2].mark, Some(Mark::NotYet));
    assert_eq!(rows[2].may_withdraw, Leave::Role, "Renate wrote that");
}

#[test]
fn the_journal_tells_who_did_what_newest_first() {
    let mut sample = Sample::new();
    let mark = sample.mark(PELLE, 1, "once", Mark::Met, 1);
    let undo = sample.withdraw(PELLE, mark);
    sample.mark(RENATE, 2, "once", Mark::NotYet, 2);
    let eyes = Eyes::new();
    let of = |asked: ActivityOf| ActivityView::of(&sample.now, &eyes.reader(RENATE), &asked);
    let view = of(ActivityOf {
        most: 2,
        ..ActivityOf::default()
    });
    assert_eq!(view.rows.len(), 2);
    assert_eq!(view.of as usize, sample.lines.len());
    assert_eq!(view.rows[0].said, Said::Mark(Mark::NotYet));
    let view = of(ActivityOf {
        who: Some(Who::Student(student(1))),
        kinds: vec![Kind::Attempt, Kind::Withdrawal],
        most: 9,
        session: None,
    });
    let said: Vec<Said> = view.rows.iter().map(|row| row.said).collect();
    assert_eq!(
        said,
        [Said::Withdrew(Some(Kind::Attempt)), Said::Mark(Mark::Met)]
    );
    assert_eq!(view.rows[0].entry, undo);
    assert_eq!(view.rows[0].who[0].name(), "Ottilie Brandvoll");
    assert!(view.rows[1].withdrawn.is_some());
    let held = of(ActivityOf {
        session: Some(session(2)),
        most: 9,
        ..ActivityOf::default()
    });
    assert_eq!(held.rows.len(), 2, "the plan and the mark");
}

#[test]
fn incidents_are_listed_and_their_words_reach_no_log() {
    let mut sample = Sample::new();
    sample.add(
        PELLE,
        &[],
        Incident {
            session: Some(session(1)),
            who: vec![Who::Student(student(1)), Who::Staff(ODD.staff)],
            when: time("2026-06-02T10:30:00+02:00"),
            happened: "Cramp at three metres".to_owned(),
            done: "Brought up, rested".to_owned(),
            reported: None,
            begun: None,
        },
    );
    let eyes = Eyes::new();
    let view = IncidentsView::of(&sample.now, &eyes.reader(RENATE));
    assert_eq!(view.rows[0].who[1].name(), "Odd Lien");
    assert_eq!(view.rows[0].happened, "Cramp at three metres");
    assert!(!format!("{view:?}").contains("Cramp"));
}

#[test]
fn evidence_counts_tries_until_met_and_pairs_of_judges() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.mark(RENATE, 1, "once", Mark::SatOut, 1);
    sample.mark(RENATE, 1, "once", Mark::Nearly, 2);
    sample.mark(RENATE, 1, "once", Mark::Met, 2);
    sample.mark(RENATE, 1, "once", Mark::Met, 3);
    sample.mark(RENATE, 2, "once", Mark::NotYet, 1);
    sample.mark_after(RENATE, &[], 1, "both", Mark::Met, 1);
    sample.mark_after(ODD, &[], 1, "both", Mark::Nearly, 1);
    sample.mark_after(PELLE, &[], 1, "both", Mark::Met, 2);
    let view = EvidenceView::of(&[&sample.now]);
    let once = &view.skills[0];
    assert_eq!(
        (once.until_met.as_slice(), once.still_trying.as_slice()),
        (&[3][..], &[1][..])
    );
    assert_eq!(view.pairs.len(), 1, "in another session it is another try");
    let (judges, marks) = (view.pairs[0].judges, view.pairs[0].marks);
    assert_eq!((judges.first, judges.second), (RENATE.staff, ODD.staff));
    assert_eq!((marks.first, marks.second), (Mark::Met, Mark::Nearly));
}
