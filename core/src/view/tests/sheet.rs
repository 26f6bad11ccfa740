//! The attempt sheet, its history, the line-up and the briefing.

use super::Eyes;
use crate::course::Setting;
use crate::entry::{
    Confirmation, Exemption, Mark, Measured, Note, Origin, Passage, Resolution, Who,
};
use crate::standing::CellState;
use crate::standing::sample::{
    ODD, OFFICE, PELLE, RENATE, Sample, attempt, session, skill_id, student, time,
};
use crate::view::{
    AttemptSheetView, BriefingView, HistoryKind, Leave, LineCounts, LineUpView, Presence,
};

fn sheet(sample: &Sample, reader: crate::entry::Writer, skill: &str) -> AttemptSheetView {
    AttemptSheetView::of(
        &sample.now,
        &Eyes::new().reader(reader),
        &student(1),
        &skill_id(skill),
        Some(session(1)),
    )
    .unwrap()
}

#[test]
fn the_sheet_shows_what_to_watch_and_where_one_is() {
    let sample = Sample::new();
    let view = sheet(&sample, RENATE, "both");
    assert_eq!(view.name.name, "Ottilie Brandvoll");
    assert_eq!(view.skill.says, "Show the both for 20 seconds.");
    assert_eq!(view.skill.measures[0].bound.text, "0:20");
    let settings = view
        .demand
        .settings
        .iter()
        .map(|one| (one.setting, one.met));
    assert!(settings.eq([(Setting::Confined, false), (Setting::Open, false)]));
    // Students by name, as on the board; the session's own order of skills.
    assert_eq!((view.students.place, view.students.of), (2, 2));
    assert_eq!(view.students.after, None);
    assert_eq!(view.students.before, Some(student(2).to_string()));
    assert_eq!(view.skills.before.as_deref(), Some("twice"));
    assert_eq!(
        view.skills.after,
        Some(skill_id("ways")).map(|id| id.to_string())
    );
    assert!(view.cell.on.seen().is_empty());
}

#[test]
fn a_skill_that_the_outline_lost_has_no_sheet() {
    let sample = Sample::new();
    let eyes = Eyes::new();
    let of = |n, skill: &str| {
        AttemptSheetView::of(
            &sample.now,
            &eyes.reader(RENATE),
            &student(n),
            &skill_id(skill),
            None,
        )
    };
    assert!(of(1, "gone").is_none());
    assert!(of(9, "once").is_none());
    let view = of(1, "once").unwrap();
    assert_eq!(
        view.students.before,
        Some(student(2).to_string()),
        "by name without a session"
    );
}

#[test]
fn what_a_skill_builds_on_is_named_until_it_was_shown() {
    let mut sample = Sample::new();
    let view = sheet(&sample, RENATE, "builds");
    assert_eq!(view.builds_on[0].name, "The once");
    sample.mark(PELLE, 1, "once", Mark::Met, 1);
    assert!(sheet(&sample, RENATE, "builds").builds_on.is_empty());
}

#[test]
fn the_history_has_everything_that_was_ever_said_oldest_first() {
    let mut sample = Sample::new();
    let mut first = attempt(1, "once", Mark::NotYet, 1);
    first.measured = vec![Measured::Seconds(12)];
    first.note = Some("Stood up".to_owned());
    first.origin = Origin::Slate {
        seen: time("2026-06-02T10:20:00+02:00"),
    };
    let first = sample.add(RENATE, &[], first);
    let shown = sample.mark(PELLE, 1, "once", Mark::Met, 2);
    sample.add(
        ODD,
        &[],
        Confirmation {
            attempts: vec![shown],
        },
    );
    let undone = sample.mark(RENATE, 1, "once", Mark::Nearly, 2);
    let undo = sample.withdraw(RENATE, undone);
    sample.add(
        PELLE,
        &[],
        Note {
            student: None,
            skill: None,
            session: None,
            entry: Some(first),
            text: "Water was cold".to_owned(),
        },
    );
    let view = sheet(&sample, RENATE, "once");
    let marks: Vec<(Option<Mark>, LineCounts)> = view
        .history
        .iter()
        .map(|line| (line.mark, line.counts))
        .collect();
    assert_eq!(
        marks,
        [
            (Some(Mark::NotYet), LineCounts::Counts),
            (Some(Mark::Met), LineCounts::Counts),
            (Some(Mark::Nearly), LineCounts::Withdrawn)
        ]
    );
    let line = &view.history[0];
    assert_eq!(line.by.name, "Renate Solberg");
    assert_eq!(line.taken[0].figure.text, "0:12");
    assert_eq!(line.taken[0].reached, Some(false));
    assert_eq!(line.note.as_deref(), Some("Stood up"));
    assert_eq!(line.remarks[0].text, "Water was cold");
    assert_eq!(line.site.as_deref(), Some("Old mill pond"));
    assert_eq!(line.from_slate.unwrap().minute, 20);
    assert_eq!(
        line.device, "01010101",
        "no certificate names the device here"
    );
    let confirmed = view.history[1].confirmed.as_ref().unwrap();
    assert_eq!(confirmed.by.name, "Odd Lien");
    let withdrawn = view.history[2].withdrawn.as_ref().unwrap();
    assert_eq!(
        (withdrawn.entry, withdrawn.may_bring_back),
        (undo, Leave::Yes)
    );
    assert_eq!(view.history[2].may_withdraw, Leave::NothingOpen);
    assert!(
        !view.cell.on.seen().contains(&undone),
        "a mark goes after what stands"
    );
    let text = format!("{view:?}");
    assert!(!text.contains("Stood up") && !text.contains("cold"));
}

#[test]
fn two_views_stand_side_by_side_and_an_instructor_settles_them() {
    let mut sample = Sample::new();
    let met = sample.mark_after(RENATE, &[], 1, "once", Mark::Met, 1);
    let not = sample.mark_after(ODD, &[], 1, "once", Mark::NotYet, 1);
    let view = sheet(&sample, RENATE, "once");
    let views: Vec<Option<Mark>> = view.views.iter().map(|line| line.mark).collect();
    assert_eq!(views, [Some(Mark::Met), Some(Mark::NotYet)]);
    assert_eq!(view.cell.on.may_settle(), Leave::Yes);
    assert_eq!(
        sheet(&sample, PELLE, "once").cell.on.may_settle(),
        Leave::Role
    );
    let word = sample.add(
        RENATE,
        &[met, not],
        Resolution {
            student: student(1),
            skill: skill_id("once"),
            mark: Mark::NotYet,
            why: "The knee was down".to_owned(),
        },
    );
    let view = sheet(&sample, RENATE, "once");
    assert!(view.views.is_empty());
    assert_eq!(view.cell.on.may_settle(), Leave::NothingOpen);
    let counts: Vec<LineCounts> = view.history.iter().map(|line| line.counts).collect();
    assert_eq!(
        counts,
        [
            LineCounts::SetAside,
            LineCounts::SetAside,
            LineCounts::Counts
        ]
    );
    let line = &view.history[2];
    assert_eq!((line.entry, line.what), (word, HistoryKind::Resolution));
    assert_eq!(line.note.as_deref(), Some("The knee was down"));
}

#[test]
fn marks_that_wait_may_be_confirmed_by_an_instructor() {
    let mut sample = Sample::new();
    let mark = sample.mark(PELLE, 1, "once", Mark::Met, 1);
    let view = sheet(&sample, RENATE, "once");
    assert_eq!(view.waiting, [mark]);
    assert_eq!(view.cell.on.may_confirm(), Leave::Yes);
    assert_eq!(view.history[0].counts, LineCounts::Waits);
    assert_eq!(view.history[0].may_confirm, Leave::Yes);
    let own = sheet(&sample, PELLE, "once");
    assert_eq!(
        (own.cell.on.may_mark(), own.cell.on.may_confirm()),
        (Leave::Yes, Leave::Role)
    );
    assert_eq!(
        sheet(&sample, OFFICE, "once").cell.on.may_mark(),
        Leave::Role
    );
    assert_eq!(
        sheet(&sample, RENATE, "both").cell.on.may_confirm(),
        Leave::NothingOpen
    );
}

#[test]
fn an_exemption_stands_in_the_history_with_its_reason() {
    let mut sample = Sample::new();
    sample.add(
        RENATE,
        &[],
        Exemption {
            student: student(1),
            skill: skill_id("once"),
            why: "Done with another school".to_owned(),
            elsewhere: None,
        },
    );
    let view = sheet(&sample, RENATE, "once");
    assert_eq!(view.cell.state, CellState::Exempt);
    assert_eq!(view.cell.on.may_exempt(), Leave::NothingOpen);
    let exemption = view.exemption().unwrap();
    assert_eq!(exemption.note.as_deref(), Some("Done with another school"));
    assert_eq!(exemption.mark, None);
}

#[test]
fn ways_say_which_are_asked_for_and_which_are_met() {
    let mut sample = Sample::new();
    sample.mark_way(RENATE, 1, "ways", "hose", 1);
    sample.mark_way(RENATE, 1, "ways", "purge", 1);
    let view = sheet(&sample, RENATE, "ways");
    let ways: Vec<(&str, bool, bool)> = view
        .demand
        .methods
        .iter()
        .map(|one| (one.method.as_str(), one.asked, one.met))
        .collect();
    assert_eq!(
        ways,
        [
            ("purge", true, true),
            ("breath", true, false),
            ("hose", false, true)
        ]
    );
    assert_eq!(view.history[1].method_name.as_deref(), Some("By purge"));
}

fn line_up(sample: &Sample, held: Option<u128>) -> LineUpView {
    let eyes = Eyes::new();
    let session = held.map(session);
    LineUpView::of(
        &sample.now,
        &eyes.reader(RENATE),
        &skill_id("once"),
        session,
    )
    .unwrap()
}

#[test]
fn the_next_student_is_there_until_all_were_judged() {
    let mut sample = Sample::new();
    let view = line_up(&sample, Some(1));
    assert_eq!(view.next, Some(student(2)), "by name");
    assert_eq!((view.judged, view.of), (0, 2));
    let mark = sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    let view = line_up(&sample, Some(1));
    assert_eq!(view.next, Some(student(2)));
    assert_eq!((view.judged, view.of), (1, 2));
    let today = view.rows[1].today.unwrap();
    assert_eq!((today.entry, today.mark), (mark, Mark::NotYet));
    assert_eq!(today.may_withdraw, Leave::Yes);
    assert!(view.rows[0].is_next && !view.rows[1].is_next);
    sample.mark(RENATE, 2, "once", Mark::Met, 1);
    let view = line_up(&sample, Some(1));
    assert_eq!((view.next, view.judged, view.of), (None, 2, 2));
    // Another session is another line-up: only who still needs it stands in line.
    let view = line_up(&sample, Some(2));
    assert_eq!(view.next, Some(student(1)));
    assert_eq!((view.judged, view.of), (0, 1));
    sample.withdraw(RENATE, mark);
    assert_eq!(line_up(&sample, Some(1)).next, Some(student(1)));
}

#[test]
fn a_second_try_in_one_line_up_shows_the_later_mark() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    let later = sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let row = &line_up(&sample, Some(1)).rows[1];
    assert_eq!(row.today.unwrap().entry, later);
    assert_eq!(row.tries_today, 2);
    assert_eq!(row.cell.on.seen(), sample.seen(1, "once"));
}

#[test]
fn one_who_did_not_come_is_passed_over() {
    let mut sample = Sample::new();
    let who = Who::Student(student(1));
    sample.pass(who, 1, Passage::Absent, "2026-06-02T10:00:00+02:00");
    let view = line_up(&sample, Some(1));
    assert_eq!(view.rows[1].presence, Presence::Absent);
    assert_eq!((view.next, view.absent, view.of), (Some(student(2)), 1, 1));
}

#[test]
fn a_line_up_without_a_session_is_that_of_today() {
    let mut sample = Sample::new();
    sample.clock("2026-06-01T18:00:00+02:00");
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.clock("2026-06-02T08:00:00+02:00");
    sample.mark(RENATE, 2, "once", Mark::NotYet, 1);
    let view = line_up(&sample, None);
    let today: Vec<bool> = view.rows.iter().map(|row| row.today.is_some()).collect();
    assert_eq!(today, [true, false], "by name: student 2 first");
    assert_eq!(view.next, Some(student(1)));
}

#[test]
fn briefing_cards_come_in_running_order_with_those_who_need_them() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let eyes = Eyes::new();
    let view = BriefingView::of(&sample.now, &eyes.reader(PELLE), &session(1)).unwrap();
    assert_eq!(view.cards.len(), 6);
    let card = &view.cards[0];
    assert_eq!(card.skill.skill, skill_id("once"));
    assert_eq!((card.beside.place, card.beside.of), (1, 6));
    assert_eq!(card.beside.after.as_deref(), Some("twice"));
    let needed: Vec<&str> = card
        .needed_by
        .iter()
        .map(|one| one.short.as_str())
        .collect();
    assert_eq!(needed, ["Émile"]);
    assert!(BriefingView::of(&sample.now, &eyes.reader(PELLE), &session(9)).is_none());
}
