//! The screens of course work and of the house: what is done on them is seen at the border.

use i_slint_backend_testing::AccessibleRole;
use slint::{ComponentHandle, Model as _};
use tallywater::ui::{
    AppDoor, AttemptDoor, BoardDoor, CalcDoor, ConfirmDoor, DevicesDoor, EnrolDoor, IncidentDoor,
    JournalDoor, Load, OutlineDoor, Paper, PaperState, PlanDoor, PolicyDoor, RecordDoor, Screen,
    StudentDoor,
};
use tallywater_bindings::{
    ClearanceState, Columns, Kind, NotesOn, RecordState, Scope, calculators,
};

use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, middle, roomy, seen, settle};

/// The course at hand.
fn course(stage: &Stage) -> String {
    stage.hand(Screen::Board).course.unwrap()
}

/// Opens a screen about the student of this place on the board.
fn about(stage: &Stage, screen: Screen, place: usize) -> String {
    let board = seen(stage.desk().board(course(stage), None, Columns::All));
    let student = board.rows[place].name.student.to_string();
    stage.open(stage.hand(screen).student(student.clone()));
    student
}

#[test]
fn the_sheet_goes_from_skill_to_skill_however_much_each_offers() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Board));
        let board = seen(stage.desk().board(course(&stage), None, Columns::All));
        let student = board.rows[0].name.student.to_string();
        let door = stage.app.global::<BoardDoor>();
        let mut offered = std::collections::BTreeSet::new();
        for column in &board.columns {
            door.invoke_open(
                student.clone().into(),
                column.skill.to_string().into(),
                0,
                0,
            );
            settle();
            stage.picture();
            offered.insert(stage.app.global::<AttemptDoor>().get_slips().row_count());
        }
        assert!(
            offered.len() > 1,
            "every skill offers as many slips: {offered:?}"
        );
    });
}

#[test]
fn a_paper_that_was_seen_and_a_note_are_recorded() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let board = seen(stage.desk().board(course(&stage), None, Columns::All));
        let gap = board
            .rows
            .iter()
            .position(|row| row.water_gaps > 0)
            .unwrap();
        let student = about(&stage, Screen::Student, gap);
        let door = stage.app.global::<StudentDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        assert!(door.get_gaps().row_count() > 0);
        door.invoke_clear(Paper::Health, PaperState::Cleared);
        settle();
        let view = seen(stage.desk().student(course(&stage), student.clone()));
        let health = &view.clearances[0];
        assert_eq!(health.state, ClearanceState::Cleared);
        assert_eq!(door.get_gaps().row_count(), view.gaps.before_water.len());
        door.invoke_add_note("Calm today".into());
        settle();
        let about = NotesOn::Student { student };
        let notes = seen(stage.desk().notes(course(&stage), about));
        assert_eq!(notes.rows[0].text, "Calm today");
        assert_eq!(door.get_notes().row_data(0).unwrap().text, "Calm today");
    });
}

/// The name of this student.
fn view_name(stage: &Stage, student: &str) -> String {
    let record = stage
        .desk()
        .student_record(course(stage), student.to_owned());
    seen(record).name.name
}

#[test]
fn a_record_with_gaps_is_not_completed_and_says_what_is_missing() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let student = about(&stage, Screen::Record, 0);
        let door = stage.app.global::<RecordDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        let view = door.get_view();
        assert!(!view.may_complete && view.gaps > 0);
        assert_eq!(
            door.get_gaps().row_count(),
            usize::try_from(view.gaps).unwrap()
        );
        door.invoke_complete();
        settle();
        stage.app.global::<AppDoor>().invoke_ask_first();
        settle();
        let record = seen(stage.desk().student_record(course(&stage), student));
        assert!(matches!(record.state, RecordState::Open(..)));
        println!("## A mark that waits is confirmed where it is seen whole");
        let records = seen(stage.desk().records(course(&stage)));
        let waits = records.rows.iter().find(|row| row.waiting > 0).unwrap();
        let waiting = waits.name.student.to_string();
        stage.open(stage.hand(Screen::Record).student(waiting.clone()));
        let waits = door.get_view().waiting;
        assert!(waits > 0);
        door.invoke_to_confirm();
        settle();
        assert_eq!(stage.shell.route().screen, Screen::Confirm);
        let confirm = stage.app.global::<ConfirmDoor>();
        let mine = confirm
            .get_rows()
            .iter()
            .find(|row| row.student == view_name(&stage, &waiting))
            .unwrap();
        assert_ne!(mine.skill, "");
        confirm.invoke_confirm(mine.one.entry);
        settle();
        stage.shell.back();
        settle();
        assert_eq!(door.get_view().waiting, waits - 1);
    });
}

#[test]
fn what_ends_something_is_asked_first_and_no_means_no() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
        let course = course(&hands.stage);
        let route = hands.stage.hand(Screen::Plan);
        let rows = seen(hands.stage.desk().session_list(course.clone())).rows;
        let mut other = rows.into_iter().filter(|row| {
            row.cancelled.is_none() && route.session.as_ref().is_none_or(|id| row.session != *id)
        });
        let session = other.next_back().unwrap().session.to_string();
        hands.stage.open(route.clone().session(session.clone()));
        let cancelled = |hands: &Hands| {
            let desk = hands.stage.desk();
            let view = seen(desk.session(course.clone(), session.clone()));
            view.cancelled.is_some()
        };
        hands.press("Cancel the session");
        hands.press("No, go back");
        assert!(!cancelled(&hands));
        hands.press("Cancel the session");
        hands.press("Yes, cancel it");
        assert!(cancelled(&hands));
        hands.press("Undo");
        assert!(!cancelled(&hands));
        println!("## And whoever leaves the course");
        let student = about(&hands.stage, Screen::Record, 0);
        let ended = |hands: &Hands| {
            let desk = hands.stage.desk();
            let record = seen(desk.student_record(course.clone(), student.clone()));
            matches!(record.state, RecordState::Ended(..))
        };
        hands.press("Left the course");
        assert!(!ended(&hands));
        // The answer stands over the question.
        let both = hands.stage.labelled(|label| label == "Left the course");
        hands.stage.touch(middle(both.last().unwrap()), 80);
        assert!(ended(&hands));
        hands.press("Undo");
        assert!(!ended(&hands));
    });
}

#[test]
fn a_session_is_drafted_checked_and_planned() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let before = seen(stage.desk().session_list(course(&stage))).rows.len();
        stage.open(stage.hand(Screen::Plan).session(""));
        let door = stage.app.global::<PlanDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        door.invoke_set_block(0);
        door.invoke_set_site("Hollow Lane pool".into());
        let day = door.get_view().day;
        door.invoke_day_later();
        assert_ne!(door.get_view().day, day);
        let chip = door.get_students().row_data(0).unwrap();
        let was_on = chip.on;
        door.invoke_toggle_student(chip.id);
        assert_eq!(door.get_students().row_data(0).unwrap().on, !was_on);
        door.invoke_toggle_student(door.get_students().row_data(0).unwrap().id);
        door.invoke_propose();
        let run = door.get_run();
        assert!(run.row_count() > 1, "nothing is proposed");
        println!("## Who runs what with whom, why, and what is left for another day");
        let next = stage.app.global::<tallywater::ui::NextDoor>();
        assert_eq!(next.get_lacking(), "");
        let station = next.get_stations().row_data(0).unwrap();
        assert!(station.runs.row_count() > 0 && station.buddies.contains(" + "));
        assert_eq!(next.get_why().row_count(), run.row_count());
        let last = next.get_why().row_data(run.row_count() - 1).unwrap();
        assert!(!last.says.is_empty());
        next.invoke_leave(last.skill.clone());
        let whys = next.get_why();
        let why = |n| whys.row_data(n).map(|one| one.skill);
        assert!((0..whys.row_count()).all(|n| why(n).as_ref() != Some(&last.skill)));
        next.invoke_want(last.skill.clone());
        let whys = next.get_why();
        assert!(
            whys.iter().any(|one| one.skill == last.skill),
            "asked for again"
        );
        let run = door.get_run();
        let (first, second) = (run.row_data(0).unwrap(), run.row_data(1).unwrap());
        door.invoke_down(first.skill.clone());
        assert_eq!(door.get_run().row_data(0).unwrap().skill, second.skill);
        door.invoke_remove(second.skill);
        assert_eq!(door.get_run().row_data(0).unwrap().skill, first.skill);
        println!("## What cannot be read is said, and nothing is lost");
        door.invoke_edit(tallywater::ui::PlanField::Starts);
        door.invoke_key("99".into());
        door.invoke_done();
        assert_ne!(door.get_field_fault(), "");
        door.invoke_erase();
        door.invoke_erase();
        door.invoke_key("18:30".into());
        door.invoke_done();
        assert_eq!(door.get_view().starts, "18:30");
        door.invoke_record();
        settle();
        let after = seen(stage.desk().session_list(course(&stage))).rows.len();
        assert_eq!(after, before + 1);
        assert!(door.get_view().known);
        println!("## What was worked out stands in the plan that is kept");
        assert!(next.get_stations().row_count() > 0);
        println!("## What to expect of the course, off the drawing thread");
        let told = || {
            assert!(next.get_looking());
            for _ in 0..600 {
                std::thread::sleep(std::time::Duration::from_millis(100));
                settle();
                stage.shell.take_news();
                if !next.get_looking() {
                    break;
                }
            }
        };
        next.invoke_look_ahead();
        told();
        assert!(
            next.get_ahead().row_count() > 1,
            "the class and its students"
        );
        let class = next.get_ahead().row_data(0).unwrap();
        assert!(class.from <= class.half_from && class.half_to <= class.to);
        assert_ne!(next.get_ahead_says(), "");
        assert_eq!(next.get_what_if().row_count(), 0);
        println!("## A day that cannot be and a prior that cannot be are named, each in its place");
        next.set_by("31022011".into());
        next.set_prior("11/10".into());
        next.invoke_look_ahead();
        assert!(!next.get_looking());
        assert_ne!(next.get_by_fault(), "");
        assert_ne!(next.get_prior_fault(), "");
        next.set_by("08062011".into());
        next.set_prior("8/10".into());
        next.invoke_look_ahead();
        told();
        assert_ne!(next.get_by_fault(), "", "a day that is past");
        println!("## The chance by a day, and what one thing more would change");
        let date = seen(stage.desk().day(None, 60)).date.to_string();
        let digits: Vec<&str> = date.split('-').rev().collect();
        next.set_by(digits.concat().into());
        next.invoke_ask_what_if();
        told();
        assert_eq!(next.get_by_fault(), "");
        assert_eq!(next.get_what_if().row_count(), 3);
        let class = next.get_ahead().row_data(0).unwrap();
        assert_ne!(class.then, "");
        assert!(next.get_ahead_says().contains("before any try 8 in 10"));
        // What was typed is kept on this device.
        let kept = seen(stage.desk().preference("prior".into()));
        assert_eq!(kept.as_deref(), Some("8/10"));
    });
}

#[test]
fn a_student_is_enrolled_and_a_day_that_cannot_be_is_named() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let students = || seen(stage.desk().records(course(&stage))).rows.len();
        let before = students();
        stage.open(stage.hand(Screen::Enrol));
        let door = stage.app.global::<EnrolDoor>();
        door.set_name("Wilhelmina Okafor-Sætre".into());
        door.set_born("31022011".into());
        door.invoke_enrol();
        assert_ne!(door.get_born_fault(), "");
        assert_eq!(students(), before);
        door.set_born("08062011".into());
        door.invoke_enrol();
        settle();
        assert_eq!(students(), before + 1);
        assert_ne!(door.get_done(), "");
        assert_eq!(door.get_name(), "");
    });
}

#[test]
fn a_field_that_was_refused_comes_into_view_with_the_cursor() {
    roomy(|| {
        let stage = Stage::demo(390, 844);
        let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
        hands.stage.open(hands.stage.hand(Screen::Enrol));
        hands.write("Name, as the person writes it", "Wilhelmina Okafor");
        hands.write("Born", "31 02 2011");
        hands.press("Enrol");
        let door = hands.stage.app.global::<EnrolDoor>();
        assert_ne!(door.get_born_fault(), "");
        assert_eq!(hands.focused().as_deref(), Some("Born"));
        hands.stage.save("enrol-refused");
        let inputs = hands.stage.all(AccessibleRole::TextInput).into_iter();
        let mut born =
            inputs.filter(|one| one.accessible_label().is_some_and(|said| said == "Born"));
        let born = born.next().unwrap();
        let (at, size) = (born.absolute_position(), born.size());
        // Under the header, over the places at the foot.
        assert!(at.y >= 72.0 && at.y + size.height <= 764.0, "{at:?}");
    });
}

#[test]
fn a_withdrawn_line_stays_in_the_journal_and_comes_back() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Journal));
        let door = stage.app.global::<JournalDoor>();
        let entries = || door.get_entries().iter().collect::<Vec<_>>();
        let line = entries()
            .into_iter()
            .find(|one| one.may_withdraw && one.counts == 0);
        let line = line.unwrap();
        let now = || {
            entries()
                .into_iter()
                .find(|one| one.entry == line.entry)
                .unwrap()
        };
        door.invoke_withdraw(line.entry.clone());
        settle();
        assert_eq!(now().counts, 1);
        door.invoke_withdraw(line.entry.clone());
        settle();
        assert_eq!(now().counts, 0);
    });
}

#[test]
fn an_incident_names_whom_it_concerns() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Incident));
        let door = stage.app.global::<IncidentDoor>();
        door.invoke_toggle(door.get_people().row_data(0).unwrap().id);
        assert!(door.get_people().row_data(0).unwrap().on);
        door.set_happened("Ear pain at three metres".into());
        door.set_done("Came up slowly, sat out".into());
        door.invoke_record();
        settle();
        assert!(door.get_recorded());
        let incidents = seen(stage.desk().incidents(course(&stage)));
        assert_eq!(incidents.rows[0].happened, "Ear pain at three metres");
        assert_eq!(incidents.rows[0].who.len(), 1);
    });
}

#[test]
fn every_calculator_answers_from_its_start_values_and_says_what_is_wrong() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Calculators));
        let door = stage.app.global::<CalcDoor>();
        let ids: Vec<_> = door.get_calculators().iter().map(|one| one.id).collect();
        assert_eq!(ids.len(), calculators().len());
        for id in ids {
            door.invoke_choose(id.clone());
            settle();
            stage.picture();
            assert_eq!(door.get_fault(), "", "{id}");
            // Nobody's body is assumed: until it is typed there is no figure, and the field that
            // wants it says so.
            for (field, text) in [("age", "30"), ("body_height", "175"), ("body_mass", "75")] {
                let fields: Vec<_> = door.get_fields().iter().collect();
                let Some(place) = fields.iter().position(|one| one.id == field) else {
                    continue;
                };
                assert_eq!(fields[place].text, "", "{id}: {field}");
                assert_ne!(fields[place].fault, "", "{id}: {field}");
                assert_eq!(door.get_answers().row_count(), 0, "{id}: {field}");
                door.invoke_edit(i32::try_from(place).unwrap());
                for key in text.chars() {
                    door.invoke_key(key.to_string().into());
                }
                door.invoke_done();
                settle();
            }
            assert_eq!(door.get_fault(), "", "{id}");
            assert!(door.get_answers().row_count() > 0, "{id}");
            assert!(door.get_cautions().row_count() > 0, "{id} says no caution");
            let fields: Vec<_> = door.get_fields().iter().collect();
            let figure = fields.iter().position(|one| one.choices.row_count() == 0);
            let Some(figure) = figure else { continue };
            door.invoke_edit(i32::try_from(figure).unwrap());
            door.invoke_key("..".into());
            settle();
            let wrong = door.get_fields().row_data(figure).unwrap();
            assert_ne!(wrong.fault, "", "{id} takes nonsense");
            assert_eq!(door.get_answers().row_count(), 0, "{id}");
        }
    });
}

#[test]
fn a_rule_is_edited_adopted_and_then_confirmed_by_nobody() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Policy));
        let door = stage.app.global::<PolicyDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        let rules: Vec<_> = door.get_rules().iter().collect();
        let place = rules
            .iter()
            .position(|rule| rule.figures.row_count() == 1)
            .unwrap();
        door.set_open(i32::try_from(place).unwrap());
        door.invoke_edit(i32::try_from(place).unwrap(), 0);
        door.invoke_key("3".into());
        door.invoke_done();
        settle();
        assert!(door.get_view().changed);
        let edition = door.get_view().edition;
        door.invoke_record();
        settle();
        let scope = Scope::Course {
            course: course(&stage),
        };
        let policy = seen(stage.desk().policy(scope));
        assert_eq!(i32::try_from(policy.policy.edition).unwrap(), edition + 1);
        assert!(policy.unconfirmed > 0);
        assert!(!door.get_view().changed);
    });
}

#[test]
fn a_skill_is_added_and_cannot_be_adopted_before_it_is_sound() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Outline));
        let door = stage.app.global::<OutlineDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        let before = door.get_view().skills;
        door.invoke_add();
        settle();
        door.invoke_keep();
        settle();
        assert_eq!(door.get_view().skills, before + 1);
        assert!(
            door.get_view().faults > 0,
            "a skill with nothing in it is sound"
        );
        assert!(door.get_view().changed);
    });
}

#[test]
fn devices_show_where_everything_is_held_and_admit_nobody_offline() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Devices));
        let door = stage.app.global::<DevicesDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        assert_eq!(
            door.get_ledgers().row_count(),
            seen(stage.desk().held()).len()
        );
        assert!(door.get_devices().row_count() > 0);
        assert!(door.get_may_admit());
        door.invoke_show_code();
        assert_ne!(door.get_fault(), "", "for nobody");
        door.invoke_toggle_staff(door.get_staff().row_data(0).unwrap().id);
        door.invoke_show_code();
        assert_ne!(door.get_fault(), "", "offline");
        assert!(!door.get_pairing().showing);
        door.invoke_add_staff("Tove Askildsen".into());
        settle();
        let staff = seen(stage.desk().staff());
        assert!(
            staff
                .staff
                .iter()
                .any(|row| row.name.name == "Tove Askildsen")
        );
        let kinds = vec![Kind::Attempt];
        assert!(
            stage
                .desk()
                .activity(course(&stage), None, None, kinds, 1)
                .is_ok()
        );
    });
}
