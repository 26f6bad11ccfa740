//! From the first mark to the completed record, its paper and the archive: the whole course of
//! the starter outline, by touches alone.

use std::time::Duration;

use slint::{ComponentHandle, Model as _};
use tallywater::ui::{AttemptDoor, LineUpDoor, RecordDoor};
use tallywater_bindings::{ClearanceState, RecordState, RecordView, Setting};

use crate::hands::Hands;
use crate::support::seen;

/// Two presses on one person in less than this are one press.
const SAME_PRESS: Duration = Duration::from_millis(1_050);

/// The minutes of a dive, and how far apart the descents of two dives are.
const DIVE: i32 = 30;
const APART: i32 = 150;

/// Who does the whole course.
struct Learner {
    id: String,
    name: String,
    called: String,
}

fn record(hands: &Hands, course: &str, who: &Learner) -> RecordView {
    let desk = hands.stage.desk();
    seen(desk.student_record(course.to_owned(), who.id.clone()))
}

/// One session of the outline after another; whoever did it all is completed, and printed.
pub(super) fn to_the_record(hands: &mut Hands, course: &str, name: &str) {
    let rows = seen(hands.stage.desk().records(course.to_owned())).rows;
    let found = rows.into_iter().find(|row| row.name.name == name).unwrap();
    let who = Learner {
        id: found.name.student.to_string(),
        name: found.name.name,
        called: found.name.short,
    };
    every_form(hands, course, &who);
    of_age(hands, &who);
    let mut dives = 0;
    for place in 0.. {
        if place > 0 {
            hands.press("More");
            hands.press_row("Sessions");
            hands.press("Plan a session");
            // A course of many days, played in one: what is proposed for another day is today.
            let today = hands.stage.desk().day(None, 0);
            let today = seen(today).date.to_string();
            while hands.planned_day() > today {
                hands.press("A day earlier");
            }
            hands.press("Plan it");
        }
        let rows = seen(hands.stage.desk().session_list(course.to_owned())).rows;
        assert_eq!(rows.len(), place + 1, "the session is planned");
        let session = hands.stage.shell.route().session.expect("it is at hand");
        let row = rows.into_iter().find(|row| row.session == session).unwrap();
        println!("## {}", row.title);
        judge(hands, course, &session, &who);
        if row.setting == Setting::Open {
            in_and_out(hands, &who);
            log_a_dive(hands, &who, dives);
            dives += 1;
        }
        let gaps = record(hands, course, &who).gaps;
        for item in &record(hands, course, &who).items {
            if plan_has(hands, course, &session, &item.skill)
                && item.cell.state != tallywater_bindings::CellState::Met
            {
                println!("after it {} is {:?}", item.skill, item.cell.state);
            }
        }
        if gaps.is_empty() {
            break;
        }
        println!("{} still missing, the first {:?}", gaps.len(), gaps[0]);
        assert!(place < 14, "still missing: {gaps:#?}");
    }
    complete(hands, course, &who);
}

fn every_form(hands: &mut Hands, course: &str, who: &Learner) {
    println!("## Every form and check of one student");
    hands.press("More");
    hands.press_row("Forms and checks");
    let missing = format!(": {}", hands.say("Missing"));
    let begins = format!("{}, ", who.name);
    for press in 0.. {
        let forms = seen(hands.stage.desk().forms(course.to_owned()));
        let row = forms.rows.iter().find(|row| row.name.student == who.id);
        let open = row.unwrap().cells.iter();
        if open
            .filter(|one| one.state != ClearanceState::Cleared)
            .count()
            == 0
        {
            break;
        }
        if press > 8 {
            hands.stage.save("from-nothing-forms");
            panic!("still missing: {:#?}", row.unwrap().cells);
        }
        hands.press_like("a missing form", |said| {
            said.starts_with(&begins) && said.ends_with(&missing)
        });
    }
}

/// Nobody is taken for an adult unasked: identity was seen.
fn of_age(hands: &mut Hands, who: &Learner) {
    let row = format!("{} {}", hands.say("Student"), who.name);
    hands.press_like(&row, |said| said == row);
    hands.press("Change the details");
    hands.press("Or of age, identity seen");
    hands.press("Keep the changes");
}

/// Every skill of the session's list, one after another in the line-up.
fn judge(hands: &mut Hands, course: &str, session: &str, who: &Learner) {
    let desk = hands.stage.desk();
    let plan = seen(desk.session_plan(course.to_owned(), session.to_owned()));
    // Another session may be at hand: this one's own board.
    hands.press("Today");
    let board = format!("{}: {}", hands.say("Board"), plan.title);
    hands.press_like(&board, |said| said == board);
    let line_up = format!(", {}", hands.say("line-up"));
    hands.press_like("the line-up", |said| said.ends_with(&line_up));
    // From the first skill of the session on, wherever the board had been drawn to.
    for _ in 0..80 {
        let view = hands.stage.app.global::<LineUpDoor>().get_view();
        if view.previous.is_empty() {
            break;
        }
        let before = format!("{}: {}", hands.say("Previous skill"), view.previous_name);
        hands.press_like(&before, |said| said == before);
    }
    for _ in 0..80 {
        let view = hands.stage.app.global::<LineUpDoor>().get_view();
        if plan
            .run_list
            .iter()
            .any(|one| *one == view.skill_id.as_str())
        {
            every_way(hands, who);
        }
        if view.next.is_empty() {
            return;
        }
        let next = format!("{}: {}", hands.say("Next skill"), view.next_name);
        hands.press_like(&next, |said| said == next);
    }
    panic!("the line-up has no end");
}

/// One tap, or one for each way in which it must be shown.
fn every_way(hands: &mut Hands, who: &Learner) {
    let met = format!("{}: {}", who.called, hands.say("Met"));
    let begins = format!("{}: ", who.name);
    hands.press_like(&begins, |said| said.starts_with(&begins));
    let methods = hands.stage.app.global::<AttemptDoor>().get_methods();
    let names: Vec<String> = methods.iter().map(|one| one.name.to_string()).collect();
    for name in &names {
        // What is met already says so behind its name.
        let again = format!("{name}, ");
        hands.press_like(name, |said| said == name || said.starts_with(&again));
        hands.press_like(&met, |said| said == met);
    }
    if names.is_empty() {
        hands.press_like(&met, |said| said == met);
    }
    hands.press("Back");
}

fn in_and_out(hands: &mut Hands, who: &Learner) {
    hands.press("Water");
    let enters = format!("{}: {}", who.called, hands.say("In"));
    hands.press_like(&enters, |said| said == enters);
    hands.hold_if_asked();
    std::thread::sleep(SAME_PRESS);
    let leaves = format!("{}: {}", who.called, hands.say("Out"));
    hands.press_like(&leaves, |said| said == leaves);
}

/// A dive of yesterday, typed on the pad: what is being taught today was dived before.
fn log_a_dive(hands: &mut Hands, who: &Learner, place: i32) {
    let desk = hands.stage.desk();
    let yesterday = seen(desk.day(None, -1));
    let (year, month, day) = {
        let day = yesterday.date.to_string();
        let mut parts = day.split('-');
        let mut next = || parts.next().unwrap().to_owned();
        (next(), next(), next())
    };
    let down = 8 * 60 + place * APART;
    let clock = |minute: i32| format!("{:02}:{:02}", minute / 60, minute % 60);
    hands.press("More");
    hands.press_row("Dives and weights");
    hands.press("Log a dive");
    let chips = hands
        .stage
        .app
        .global::<tallywater::ui::DivesDoor>()
        .get_people();
    for chip in chips.iter() {
        if chip.on != (chip.called.as_str() == who.called) {
            hands.press_like(&chip.called, |said| said == chip.called.as_str());
        }
    }
    hands.type_figure("Date: day, month, year", &format!("{day} {month} {year}"));
    hands.type_figure("Descended", &clock(down));
    hands.type_figure("Surfaced", &clock(down + DIVE));
    hands.type_figure("Maximum depth", "8");
    hands.press("Record it");
    let door = hands.stage.app.global::<tallywater::ui::DivesDoor>();
    assert_eq!(door.get_form_fault(), "");
    assert_eq!(door.get_form(), 0, "back at the list");
}

fn complete(hands: &mut Hands, course: &str, who: &Learner) {
    println!("## Completed, printed, opened");
    hands.press("More");
    hands.press_row("Records and completion");
    let line = format!("{} {}", hands.say("Record"), who.name);
    hands.press_like(&line, |said| said == line);
    hands.press("Complete");
    // What ends something is asked, with what follows; nothing is recorded before the answer.
    assert!(!matches!(
        record(hands, course, who).state,
        RecordState::Ended(..)
    ));
    hands.press("Complete the course");
    assert_eq!(hands.stage.app.global::<RecordDoor>().get_refused(), "");
    assert!(matches!(
        record(hands, course, who).state,
        RecordState::Ended(..)
    ));
    hands.press("Print the record");
    hands.press("Open it");
    let shown = hands.desktop.shown.take().expect("the system shows it");
    assert!(std::fs::read(shown).unwrap().starts_with(b"%PDF"));
}

fn plan_has(hands: &Hands, course: &str, session: &str, skill: &str) -> bool {
    let plan = seen(
        hands
            .stage
            .desk()
            .session_plan(course.to_owned(), session.to_owned()),
    );
    plan.run_list.iter().any(|one| one == skill)
}
