//! A line-up by keys: of a keyboard, a presenter or a remote.

use slint::platform::Key;
use slint::{ComponentHandle, Model as _, SharedString};
use tallywater::shell::Route;
use tallywater::ui::{AppDoor, LineUpDoor, Screen};
use tallywater_bindings::{Mark, PersonDetails, Request};

use crate::support::{roomy, seen};
use crate::surface::Class;

#[test]
fn keys_mark_the_next_student_here_and_with_large_names() {
    roomy(|| {
        for large in [false, true] {
            let class = Class::of(2, (1280, 800));
            class.dived(0..8);
            class.to(Screen::LineUp);
            if large {
                class.tap("Large names");
            }
            class.press(" ");
            class.press("3");
            class.press(Key::DownArrow);
            class.press("1");
            let some = |mark| Some(mark);
            let expected = [some(Mark::Met), some(Mark::NotYet), None, some(Mark::Met)];
            assert_eq!(class.marks(0)[..4], expected, "large {large}");
            class
                .stage
                .save(if large { "keys-large" } else { "keys-line-up" });
            class.press(Key::Backspace);
            assert_eq!(class.marks(0)[3], None);
            println!("## A key that means nothing here does nothing, and Escape leads back");
            class.press("x");
            assert_eq!(
                class.marks(0)[..4],
                [some(Mark::Met), some(Mark::NotYet), None, None]
            );
            class.press(Key::Escape);
            let screen = class.stage.app.global::<AppDoor>().get_screen();
            assert_ne!(screen, if large { Screen::Bare } else { Screen::LineUp });
        }
    });
}

/// Four more than the class has: more than a phone shows at once.
fn join_four_more(class: &Class) {
    for name in [
        "Uriel Vanterpool",
        "Xenia Marrowgate",
        "Yrsa Bellweather",
        "Zoltan Kettering",
    ] {
        let details = PersonDetails {
            name: name.into(),
            called: None,
            born: None,
            adult: None,
            contact: None,
            emergency: None,
            body: None,
            sizes: None,
        };
        seen(class.stage.desk().record(Request::Enrol {
            course: class.course.clone(),
            details,
            referred_from: None,
        }));
    }
}

#[test]
fn the_list_follows_the_marks_so_that_whoever_is_next_is_seen() {
    roomy(|| {
        for large in [false, true] {
            let class = Class::of(2, (390, 844));
            join_four_more(&class);
            // The whole course, and no session of eight.
            let route = Route::to(Screen::LineUp).course(class.course.clone());
            class.stage.open(route.skill(class.skills[0].clone()));
            if large {
                class.tap("Large names");
            }
            let rows = class.stage.app.global::<LineUpDoor>().get_rows();
            let called: Vec<String> = rows.iter().map(|row| row.called.to_string()).collect();
            assert_eq!(called.len(), 12);
            let foot = class.stage.find(|label| label.starts_with("Next skill"));
            let foot = foot.map_or(844.0, |one| one.absolute_position().y);
            let met = |name: &str| class.stage.find(|label| label == format!("{name}: Met"));
            let second = || met(&called[1]).unwrap().absolute_position().y;
            let before = second();
            for (place, name) in called.iter().enumerate().skip(1) {
                class.press("1");
                if place == 1 && large {
                    assert_eq!(second(), before, "seen already: nothing moves");
                }
                let next = met(name).unwrap_or_else(|| panic!("{name} is not to be seen"));
                let (at, size) = (next.absolute_position(), next.size());
                assert!(
                    at.y >= 71.0 && at.y + size.height <= foot + 1.0,
                    "large {large}: {name} at {} over {foot}",
                    at.y
                );
            }
            class.stage.save(if large {
                "followed-large"
            } else {
                "followed-line-up"
            });
        }
    });
}

#[test]
fn the_key_of_a_remote_is_learned_by_pressing_it_and_kept() {
    roomy(|| {
        let class = Class::of(2, (800, 1280));
        class.dived(0..8);
        class.stage.open(Route::to(Screen::More));
        let learn = |act: &str, key: SharedString| {
            let begins = format!("{act}, ");
            class.reach(|label| label.starts_with(&begins));
            class.press(key);
        };
        learn("Next student", Key::F5.into());
        learn("Met", "b".into());
        learn("Undo", Key::Return.into());
        class.stage.save("keys-learned");
        let names = class
            .stage
            .app
            .global::<tallywater::ui::MoreDoor>()
            .get_keys();
        let names: Vec<SharedString> = names.iter().collect();
        assert_eq!(names, ["F5", "b", "none learned", "Enter"]);
        println!("## Escape is never learned: it leads out of every screen");
        learn("Not yet", Key::Escape.into());
        let names = class
            .stage
            .app
            .global::<tallywater::ui::MoreDoor>()
            .get_keys();
        assert_eq!(names.row_data(2).unwrap(), "none learned");
        class.to(Screen::LineUp);
        class.press("b");
        class.press(Key::F5);
        class.press("b");
        assert_eq!(
            class.marks(0)[..3],
            [Some(Mark::Met), None, Some(Mark::Met)]
        );
        class.press(Key::Return);
        assert_eq!(class.marks(0)[2], None);
        println!("## One key does one thing");
        class.stage.open(Route::to(Screen::More));
        learn("Not yet", "b".into());
        class.to(Screen::LineUp);
        class.press("b");
        assert!(class.marks(0).contains(&Some(Mark::NotYet)));
        println!("## And the device knows them when it is started again");
        let kept = |word: &str| seen(class.stage.desk().preference(word.into()));
        assert_eq!(kept("key-not-yet").as_deref(), Some("b"));
        assert_eq!(kept("key-met"), None);
    });
}
