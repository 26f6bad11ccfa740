//! A course and what stands in it: called otherwise, moved, given to somebody.

use std::sync::Arc;

use slint::{ComponentHandle, Model as _};
use tallywater::ui::{AppDoor, CourseDoor};
use tallywater_bindings::{Admission, Request, Role, Tallywater};
use tempfile::TempDir;

use super::{ACROSS, PHONE, UPRIGHT, with_a_course};
use crate::hands::Hands;
use crate::support::{roomy, seen};

#[test]
fn a_course_is_retitled_and_has_its_title_back() {
    roomy(|| {
        let (mut hands, course) = with_a_course(PHONE, "de");
        let held = |hands: &Hands| {
            let view = seen(hands.stage.desk().course(course.clone()));
            (view.title, view.place)
        };
        let said = |hands: &Hands| {
            let (app, form) = (
                hands.stage.app.global::<AppDoor>(),
                hands.stage.app.global::<CourseDoor>(),
            );
            (app.get_title().to_string(), form.get_title().to_string())
        };
        let both = |title: &str| (title.to_owned(), title.to_owned());
        let (old, new) = ("First dives, June", "First dives, midsummer");
        let place = || Some("Hollow Lane pool".to_owned());
        hands.press("More");
        hands.press_row("Course settings");
        hands.rewrite("Title", old, new);
        assert_eq!(held(&hands), (old.to_owned(), place()), "not kept yet");
        hands.press("Keep the changes");
        assert_eq!(held(&hands), (new.to_owned(), place()));
        assert_eq!(said(&hands), both(new));
        let kept = hands.say("The changes are kept.");
        assert!(hands.reads(|said| said == kept));
        hands.stage.save("course-retitled");
        hands.press("Undo");
        assert_eq!(held(&hands), (old.to_owned(), place()));
        assert_eq!(said(&hands), both(old));
    });
}

#[test]
fn a_session_is_moved_with_its_reason_and_is_back_on_its_day() {
    roomy(|| {
        let (mut hands, course) = with_a_course(UPRIGHT, "en");
        hands.press("Plan a session");
        hands.press("Plan it");
        let session = hands.stage.shell.route().session.unwrap();
        let held = |hands: &Hands| {
            let desk = hands.stage.desk();
            let view = seen(desk.session(course.clone(), session.clone()));
            view.starts.day.date.to_string()
        };
        let first = held(&hands);
        assert_eq!(hands.planned_day(), first);
        let next = seen(hands.stage.desk().day(Some(first.clone()), 1))
            .date
            .to_string();
        hands.press("A day later");
        assert_eq!(hands.planned_day(), next);
        assert_eq!(held(&hands), first, "it moves with a reason");
        hands.stage.save("session-moving");
        hands.press("Weather");
        hands.press("Move it");
        assert_eq!(held(&hands), next);
        assert_eq!(hands.planned_day(), next);
        hands.press("Undo");
        assert_eq!(held(&hands), first);
        assert_eq!(hands.planned_day(), first);
    });
}

/// Admits a phone of this member of staff to the school on this device, as an assistant's.
fn admit_a_phone(hands: &Hands, staff: &str) -> (Arc<Tallywater>, TempDir) {
    let folder = TempDir::new().unwrap();
    let phone = seen(Tallywater::open(folder.path().display().to_string()));
    let admission = Admission {
        staff: staff.to_owned(),
        role: Role::Assistant,
        device: "phone".into(),
        key: phone.card(),
        link: None,
        until: None,
    };
    seen(hands.stage.desk().record(Request::Admit { admission }));
    (phone, folder)
}

#[test]
fn staff_are_put_on_a_course_and_taken_off_and_both_are_taken_back() {
    roomy(|| {
        let (mut hands, course) = with_a_course(ACROSS, "en");
        println!("## Somebody new on the staff, whom no device lets teach yet");
        hands.press("More");
        hands.press_row("School and staff");
        hands.write("Name", "Runa Tveit");
        hands.press("Add to the staff");
        let staff = seen(hands.stage.desk().staff()).staff;
        let runa = staff
            .into_iter()
            .find(|one| one.name.name == "Runa Tveit")
            .unwrap();
        assert!(runa.teaches.is_none());
        assert!(hands.reads(|said| said == "no device yet"));
        let (_phone, _folder) = admit_a_phone(&hands, &runa.name.staff.to_string());

        println!("## On the course, off it, and each taken back");
        let held = |hands: &Hands| {
            let view = seen(hands.stage.desk().course(course.clone()));
            let on = view.staff.iter().filter(|one| one.assigned.is_some());
            on.map(|one| one.name.name.clone()).collect::<Vec<_>>()
        };
        let said = |hands: &Hands| {
            let chips = hands.stage.app.global::<CourseDoor>().get_staff();
            let on = chips.iter().filter(|one| one.on);
            on.map(|one| one.called.to_string()).collect::<Vec<_>>()
        };
        let (alone, both) = (["Tove Askildsen"], ["Runa Tveit", "Tove Askildsen"]);
        let begins = "Runa Tveit · ";
        let press = |hands: &mut Hands| {
            hands.press_like(begins, |said| said.starts_with(begins));
        };
        hands.press("More");
        hands.press_row("Course settings");
        assert_eq!(held(&hands), alone);
        press(&mut hands);
        assert_eq!(held(&hands), both);
        assert_eq!(said(&hands), both);
        hands.stage.save("course-staff");
        press(&mut hands);
        assert_eq!(held(&hands), alone);
        assert_eq!(said(&hands), alone);
        hands.press("Undo");
        assert_eq!(held(&hands), both, "she is on it again");
        hands.press("Undo");
        assert_eq!(held(&hands), alone, "and was never put on it");
        assert_eq!(said(&hands), alone);
    });
}
