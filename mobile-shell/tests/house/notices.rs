//! What waits and what went wrong: found where it is looked for, and led to by its notice.

use slint::{ComponentHandle, Model as _};
use tallywater::ui::{AttemptDoor, BoardDoor, Calls, IncidentDoor, Screen, TodayDoor};
use tallywater_bindings::{AlertKind, BoardView, CellState, Columns};

use super::{PHONE, UPRIGHT, with_a_course};
use crate::from_nothing::{screen, to_the_first_mark};
use crate::hands::Hands;
use crate::support::{roomy, seen};

#[test]
fn an_incident_is_read_again_in_its_list_and_stays_there_when_withdrawn() {
    roomy(|| {
        let (mut hands, course) = with_a_course(UPRIGHT, "de");
        hands.press("More");
        hands.press_row("Incident");
        hands.write("What happened", "Ear pain at three metres");
        hands.write("What was done", "Came up slowly, sat out");
        hands.press("Record the incident");

        println!("## Read again by whoever comes back to it");
        hands.press("Today");
        hands.press("More");
        hands.press_row("Incident");
        let held = |hands: &Hands| seen(hands.stage.desk().incidents(course.clone())).rows;
        assert_eq!(held(&hands).len(), 1);
        assert_eq!(held(&hands)[0].happened, "Ear pain at three metres");
        for text in ["Ear pain at three metres", "Came up slowly, sat out"] {
            assert!(hands.reads(|said| said == text), "{text}");
        }
        let by = hands
            .say("Recorded by {0}")
            .replace("{0}", "Tove Askildsen");
        assert!(hands.reads(|said| said == by), "{by}");
        hands.stage.save("incident-again");

        println!("## Taken back it stays to be read, and says so");
        hands.press("Undo");
        assert!(held(&hands)[0].withdrawn.is_some());
        let listed = hands.stage.app.global::<IncidentDoor>().get_earlier();
        assert_eq!(listed.row_count(), 1);
        assert!(listed.row_data(0).unwrap().withdrawn);
        let begins = format!("{} · ", hands.say("Withdrawn"));
        assert!(hands.reads(|said| said.starts_with(&begins)));
    });
}

/// A student and a skill, by id and as the screen says them.
struct Cell {
    student: String,
    skill: String,
    called: String,
    name: String,
}

/// The whole board as the desk holds it.
fn board(hands: &Hands, course: &str) -> BoardView {
    let desk = hands.stage.desk();
    seen(desk.board(course.to_owned(), None, Columns::All))
}

/// On the sheet of the one skill that is met: another try of it that was not. Which it is.
fn not_held(hands: &mut Hands, course: &str) -> Cell {
    let before = board(hands, course);
    let row = &before.rows[0];
    let met = row.cells.iter().find(|one| one.state == CellState::Met);
    let met = met.unwrap();
    let column = before.columns.iter().find(|one| one.skill == met.skill);
    let not_yet = format!("{}: {}", row.name.short, hands.say("Not yet"));
    hands.press_like(&not_yet, |said| said == not_yet);
    hands.press("Another try");
    assert_eq!(board(hands, course).counts.slipped, 1);
    Cell {
        student: met.student.to_string(),
        skill: met.skill.to_string(),
        called: row.name.short.clone(),
        name: column.unwrap().name.clone(),
    }
}

#[test]
fn what_waits_for_somebody_is_filtered_on_the_board_until_it_is_settled() {
    roomy(|| {
        let (mut hands, course) = with_a_course(UPRIGHT, "de");
        to_the_first_mark(&mut hands, &course);
        let cell = not_held(&mut hands, &course);
        let held = |hands: &Hands| {
            let desk = hands.stage.desk();
            let board = seen(desk.board(course.clone(), None, Columns::Waiting));
            let columns = board.columns.into_iter();
            columns.map(|one| one.skill).collect::<Vec<_>>()
        };
        let said = |hands: &Hands| {
            let columns = hands.stage.app.global::<BoardDoor>().get_skills();
            columns
                .iter()
                .map(|one| one.id.to_string())
                .collect::<Vec<_>>()
        };
        let shows = |hands: &Hands| hands.stage.app.global::<BoardDoor>().get_show();
        hands.press("Board");
        for _ in 0..3 {
            if shows(&hands) != 3 {
                hands.press("Show other skills");
            }
        }
        assert_eq!(shows(&hands), 3);
        let waiting = hands.say("Waiting");
        assert!(hands.reads(|said| said == waiting));
        let only = [cell.skill.to_string()];
        assert_eq!(held(&hands), only);
        assert_eq!(said(&hands), only);
        hands.stage.save("board-waiting");

        println!("## Settled, it waits no more; taken back, it waits again");
        let begins = format!("{}, {}: ", cell.called, cell.name);
        hands.press_like(&begins, |said| said.starts_with(&begins));
        let met = format!("{}: {}", cell.called, hands.say("Met"));
        hands.press_like(&met, |said| said == met);
        assert!(held(&hands).is_empty());
        hands.press("Close");
        assert!(said(&hands).is_empty());
        let nothing = hands.say("Nothing left here");
        assert!(hands.reads(|said| said == nothing));
        hands.press("Undo");
        assert_eq!(held(&hands), only);
        assert_eq!(said(&hands), only);
    });
}

#[test]
fn a_notice_of_what_is_not_held_since_opens_its_cell() {
    roomy(|| {
        let (mut hands, course) = with_a_course(PHONE, "en");
        to_the_first_mark(&mut hands, &course);
        let cell = not_held(&mut hands, &course);
        let held = |hands: &Hands| {
            let alerts = seen(hands.stage.desk().today()).alerts;
            alerts
                .iter()
                .any(|one| matches!(one.what, AlertKind::SlippedSince))
        };
        let said = |hands: &Hands| {
            let notices = hands.stage.app.global::<TodayDoor>().get_attention();
            notices.iter().any(|one| one.kind == Calls::Slipped)
        };
        hands.press("Today");
        assert!(held(&hands) && said(&hands));
        hands.stage.save("not-held-notice");
        hands.press_row("Not held since it was met");
        assert_eq!(screen(&hands), Screen::Attempt);
        let route = hands.stage.shell.route();
        assert_eq!(route.student, Some(cell.student));
        assert_eq!(route.skill, Some(cell.skill));
        let view = hands.stage.app.global::<AttemptDoor>().get_view();
        assert!(view.slipped && view.may_resolve);
        assert!(hands.reads(|said| said.starts_with("It was met, and a later try was not.")));
        hands.stage.save("not-held-cell");

        println!("## The later try taken back, nothing calls any more");
        hands.press("Back");
        assert_eq!(screen(&hands), Screen::Today);
        hands.press("Undo");
        assert!(!held(&hands) && !said(&hands));
    });
}
