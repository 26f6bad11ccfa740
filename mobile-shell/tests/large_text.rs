//! German, and text at twice its size, stay inside the window on every screen: what is
//! pressed and what is read.

use std::collections::BTreeSet;

use i_slint_backend_testing::{AccessibleRole, ElementHandle};
use slint::{ComponentHandle, LogicalPosition, Model as _};
use tallywater::picture::{SIZES, tour};
use tallywater::ui::{AppDoor, AttemptDoor, PlanDoor, Screen, Type};

use crate::support::{Stage, roomy, settle};

/// The demo in this language, with its text at so many times its size.
fn stage(language: &str, scale: f32, (width, height): (u32, u32)) -> Stage {
    let stage = Stage::demo(width, height);
    slint::select_bundled_translation(language).unwrap();
    stage.app.global::<Type>().set_scale(scale);
    settle();
    stage
}

fn nothing_runs_off(language: &'static str, scale: f32) {
    roomy(move || {
        let mut outside = BTreeSet::new();
        // And the narrowest phone there is, at the size that most people leave their text at.
        let narrowest = (scale < 1.5).then_some((320, 568));
        for (width, height) in SIZES.into_iter().chain(narrowest) {
            let stage = stage(language, scale, (width, height));
            // The tour goes to an incident where there is one, moment by moment.
            crate::incident::recorded(&stage);
            let stops = tour(&stage.shell);
            assert!(
                stops.iter().any(|stop| stop.screen == Screen::Timeline),
                "no incident was read"
            );
            for stop in stops {
                // The board and the slate scroll sideways by design, and About shows a widget of
                // the toolkit's.
                if matches!(stop.screen, Screen::Board | Screen::Slate | Screen::About) {
                    continue;
                }
                stage.go(&stop);
                stage.save(&format!(
                    "{}-{language}-{scale}-{width}x{height}",
                    stop.name
                ));
                for role in [AccessibleRole::Button, AccessibleRole::Text] {
                    for one in stage.all(role) {
                        let (at, size) = (one.absolute_position(), one.size());
                        let right = at.x + size.width;
                        if at.x < -1.0 || right > width as f32 + 1.0 {
                            let label = one.accessible_label().unwrap_or_default();
                            outside.insert(format!(
                                "{label:?} on {} at {width} x {height}: {} to {right}",
                                stop.name, at.x
                            ));
                        }
                    }
                }
            }
        }
        assert!(outside.is_empty(), "outside the window: {outside:#?}");
    });
}

/// Where a screen has no bar at its foot, so that what lies under one is not taken for it.
const BARE: [Screen; 14] = [
    Screen::Today,
    Screen::More,
    Screen::Students,
    Screen::Student,
    Screen::Sessions,
    Screen::Dives,
    Screen::Limits,
    Screen::Judging,
    Screen::Keep,
    Screen::Calculators,
    Screen::Records,
    Screen::Record,
    Screen::Outline,
    Screen::Devices,
];

/// A button is as high as its words: none hang out of it, whatever else the screen holds.
#[test]
fn no_words_hang_out_of_what_is_pressed() {
    roomy(|| {
        for (width, height) in SIZES {
            let stage = stage("de", 2.0, (width, height));
            // Above the places at the foot of a phone.
            let foot = height as f32 - 150.0;
            let mut hanging = BTreeSet::new();
            for stop in tour(&stage.shell) {
                if !BARE.contains(&stop.screen) {
                    continue;
                }
                stage.go(&stop);
                stage.picture();
                let frame = |one: &ElementHandle| {
                    let (at, size) = (one.absolute_position(), one.size());
                    [at.x, at.y, at.x + size.width, at.y + size.height]
                };
                let buttons: Vec<[f32; 4]> = stage.buttons().iter().map(frame).collect();
                for one in stage.all(AccessibleRole::Text) {
                    let [left, top, right, bottom] = frame(&one);
                    let inside = |button: &&[f32; 4]| {
                        left >= button[0] - 1.0
                            && right <= button[2] + 1.0
                            && top >= button[1] - 1.0
                            && top < button[3] - 1.0
                    };
                    let over = buttons.iter().filter(|button| button[3] < foot);
                    let short = over.filter(inside).find(|button| bottom > button[3] + 1.0);
                    if let Some(button) = short {
                        let says = one.accessible_label().unwrap_or_default();
                        hanging.insert(format!(
                            "{says:?} on {} at {width} x {height}: {bottom} under {}",
                            stop.name, button[3]
                        ));
                    }
                }
            }
            assert!(hanging.is_empty(), "{hanging:#?}");
        }
    });
}

/// A title of a phone has two lines at most, and a long word of it gets smaller before it is
/// broken: each word of each title, alone, takes one.
#[test]
fn no_title_breaks_within_a_word_on_a_phone() {
    roomy(|| {
        // The narrower is the narrowest on which Back, Lock and Emergency stand beside a title.
        let phones = [SIZES[0], (376, 812)];
        let both = |size| [("en", size), ("de", size)];
        for (language, size) in phones.into_iter().flat_map(both) {
            let stage = stage(language, 1.0, size);
            let door = stage.app.global::<AppDoor>();
            let line = 1.5 * stage.app.global::<Type>().get_body();
            let (mut read, mut broken) = (0, BTreeSet::new());
            for stop in tour(&stage.shell) {
                stage.go(&stop);
                let title = door.get_title();
                for word in title.split_whitespace() {
                    door.set_title(word.into());
                    settle();
                    // A first start has no header.
                    let mut heading =
                        ElementHandle::find_by_element_id(&stage.app, "Header::heading");
                    let Some(heading) = heading.next() else {
                        continue;
                    };
                    read += 1;
                    let size = heading.size();
                    if size.height > line {
                        broken.insert(format!("{word:?} of {:?}: {size:?}", stop.name));
                    }
                }
            }
            assert!(read > 50, "{read} words were read in {language}");
            assert!(broken.is_empty(), "in {language} at {size:?}: {broken:#?}");
        }
    });
}

/// Name and state of a student stand above the marks, however many lines they take.
#[test]
fn nothing_a_line_up_says_of_a_student_lies_under_the_marks() {
    roomy(|| {
        let stage = stage("de", 2.0, (390, 844));
        let stop = tour(&stage.shell)
            .into_iter()
            .find(|stop| stop.name == "line-up");
        stage.go(&stop.unwrap());
        stage.picture();
        let top = |one: &ElementHandle| one.absolute_position().y;
        let bottom = |one: &ElementHandle| one.absolute_position().y + one.size().height;
        let name = stage.find(|label| label.contains("fehl")).unwrap();
        let mark = stage.find(|label| label.ends_with(": Erfüllt")).unwrap();
        let said = stage.all(AccessibleRole::Text);
        let above = said
            .iter()
            .filter(|one| top(one) >= top(&name) && top(one) < top(&mark));
        let lowest = above.map(bottom).fold(0.0, f32::max);
        assert!(lowest > top(&name), "nothing is said");
        assert!(lowest <= top(&mark) + 1.0, "{lowest} under {}", top(&mark));
    });
}

/// The usual reasons of a lost day: two beside each other on a phone, and at twice its size no
/// word of them is broken.
#[test]
fn the_reasons_of_a_lost_day_leave_the_glass_to_its_list_and_none_is_cut() {
    roomy(|| {
        let twice = SIZES.map(|size| (2.0, size));
        for (scale, size) in [(1.0, SIZES[0])].into_iter().chain(twice) {
            let stage = stage("de", scale, size);
            let stop = tour(&stage.shell)
                .into_iter()
                .find(|stop| stop.name == "lost-day");
            stage.go(&stop.unwrap());
            stage.save(&format!("reasons-{scale}-{}", size.0));
            if f64::from(size.0) / f64::from(scale) < 300.0 {
                // No room for both: the reasons stand at the end of the list, below the glass.
                let all = stage.all(AccessibleRole::Text);
                let mut said = all.iter().filter_map(ElementHandle::accessible_label);
                assert!(said.any(|said| said.starts_with("Vorher: ")), "no list");
                assert!(stage.find(|said| said == "Den Tag so planen").is_none());
                continue;
            }
            let body = stage.app.global::<Type>().get_body();
            // The least a finger gets, or so many lines between their paddings.
            let high = |lines: f32| (lines * 1.3 * body + 12.0).max(72.0) + 1.0;
            let [weather, illness, closed] = ["Wetter", "Krankheit", "Der Ort ist geschlossen"]
                .map(|label| {
                    let one = stage.button(label);
                    (one.absolute_position(), one.size())
                });
            for (at, size) in [weather, illness] {
                // Chips of one row are as high as the highest of them.
                let lines = if at.y == closed.0.y { 2.0 } else { 1.0 };
                assert!(size.height <= high(lines), "{size:?} at {scale}");
            }
            assert!(closed.1.height <= high(2.0), "{closed:?} at {scale}");
            if scale == 1.0 {
                assert_eq!(weather.0.y, illness.0.y);
                assert!(weather.0.x + weather.1.width < illness.0.x);
                assert!(closed.1.width > 1.9 * weather.1.width, "{closed:?}");
                let all = closed.0.y + closed.1.height - weather.0.y;
                assert!(all <= 2.0 * 72.0 + 8.0 + 1.0, "{all} high");
            }
        }
    });
}

/// A phone on its side, or one with large text, has no room for reasons below what they are
/// about: they stand at its end, and what is pressed with them is reached by drawing the page up.
#[test]
fn on_a_low_glass_the_reasons_stand_at_the_end_of_what_they_are_about() {
    roomy(|| {
        let low = [
            (1.0, (844, 390)),
            (1.0, (640, 400)),
            (2.0, (640, 400)),
            (2.0, (390, 844)),
        ];
        for (scale, size) in low {
            for (name, press) in [("plan", "Verlegen"), ("lost-day", "Den Tag so planen")] {
                let stage = stage("de", scale, size);
                let stops = tour(&stage.shell);
                let stop = stops.into_iter().find(|stop| stop.name == name);
                stage.go(&stop.unwrap());
                if name == "plan" {
                    let door = stage.app.global::<PlanDoor>();
                    door.invoke_day_later();
                    settle();
                    assert!(door.get_moves(), "another day is all that differs");
                }
                let what = format!("{name} at {size:?}, text {scale}");
                stage.save(&format!("low-{name}-{scale}-{}", size.0));
                let over = stage.find(|said| said == "Wetter");
                assert!(over.is_none(), "the reasons lie over {what}");
                let (width, height) = (size.0 as f32, size.1 as f32);
                let places = stage.find(|said| said == "Heute").unwrap();
                let foot = places.absolute_position().y;
                let whole = || {
                    let one = stage.find(|said| said == press)?;
                    let (at, size) = (one.absolute_position(), one.size());
                    (at.y + size.height <= foot + 1.0).then_some(size.width)
                };
                let mut strokes = 0;
                while whole().is_none() && strokes < 120 {
                    let edge = |y| LogicalPosition::new(width - 3.0, y);
                    stage.draw(edge(height - 100.0), edge(155.0));
                    strokes += 1;
                }
                stage.save(&format!("low-{name}-{scale}-{}-end", size.0));
                let wide = whole().unwrap_or_else(|| panic!("{press:?} is never seen: {what}"));
                assert!(wide > width / 2.0, "{press:?} is {wide} wide: {what}");
            }
        }
    });
}

/// The faults of an attempt: sixteen ems wide or more, or with a row of their own, over all of
/// the room, and as high as their words.
#[test]
fn the_faults_of_an_attempt_share_the_room_and_none_is_narrow() {
    roomy(|| {
        let mut read = 0;
        let usual = SIZES.map(|size| (1.0, size));
        let twice = SIZES.map(|size| (2.0, size));
        for (scale, size) in usual.into_iter().chain(twice) {
            let stage = stage("en", scale, size);
            let stop = tour(&stage.shell)
                .into_iter()
                .find(|stop| stop.name == "attempt");
            stage.go(&stop.unwrap());
            stage.save(&format!("faults-{scale}-{}", size.0));
            let slips = stage.app.global::<AttemptDoor>().get_slips();
            let faults: Vec<String> = slips.iter().map(|slip| slip.fault.to_string()).collect();
            assert!(!faults.is_empty(), "the skill has no faults");
            let chips: Vec<[f32; 4]> = stage
                .labelled(|said| faults.iter().any(|fault| fault == said))
                .iter()
                .map(|one| {
                    let (at, size) = (one.absolute_position(), one.size());
                    [at.x, at.y, size.width, size.height]
                })
                .collect();
            // On a phone they may all stand below the glass.
            let Some(first) = chips.first() else {
                continue;
            };
            read += 1;
            let (wide, em) = (size.0 as f32, stage.app.global::<Type>().get_body());
            // Where the places stand at the side, and what is beside the page on a large glass.
            let places = if size.0 > size.1 {
                104.0 * (0.4 + 0.6 * scale)
            } else {
                0.0
            };
            let room = (wide - places).min(900.0) - 32.0;
            let row: Vec<&[f32; 4]> = chips.iter().filter(|one| one[1] == first[1]).collect();
            let taken = row.iter().map(|one| one[2]).sum::<f32>() + 8.0 * (row.len() as f32 - 1.0);
            let what = format!("{chips:?} at {size:?}, text {scale}");
            assert!((taken - room).abs() < 2.0, "{taken} of {room}: {what}");
            for one in &chips {
                assert!(row.len() == 1 || one[2] >= 16.0 * em - 1.0, "{what}");
                let high = (3.0 * 1.3 * em + 12.0).max(72.0) + 1.0;
                assert!(scale > 1.0 || one[3] <= high, "{what}");
            }
        }
        assert!(read >= 2, "they were seen {read} times");
    });
}

/// An English course on a device that is read in German: what is the starter's own is German.
#[test]
fn a_course_made_in_english_is_read_in_german() {
    roomy(|| {
        let stage = stage("de", 1.0, (1280, 800));
        let go = |name: &str| {
            let stop = tour(&stage.shell)
                .into_iter()
                .find(|stop| stop.name == name);
            stage.go(&stop.unwrap());
        };
        go("attempt");
        let door = stage.app.global::<AttemptDoor>();
        let faults = || -> Vec<String> {
            let slips = door.get_slips();
            slips.iter().map(|slip| slip.fault.to_string()).collect()
        };
        let english = faults();
        assert!(!english.is_empty());
        let keep = |code: &str| {
            let kept = stage.desk().keep_preference("language".into(), code.into());
            kept.unwrap();
            go("more");
            go("attempt");
        };
        keep("de");
        let german = faults();
        assert_eq!(german.len(), english.len());
        assert!(
            !german.iter().any(|fault| english.contains(fault)),
            "{german:?}"
        );
        keep("en");
        assert_eq!(faults(), english);
    });
}

/// The figures under a picture stand beside each other, on the narrowest glass too.
#[test]
fn no_two_figures_of_an_axis_touch() {
    roomy(|| {
        for (language, scale) in [("en", 1.0), ("de", 2.0)] {
            let stage = stage(language, scale, (390, 844));
            let mut drawn = 0;
            for stop in tour(&stage.shell) {
                if stop.screen != Screen::Picture {
                    continue;
                }
                stage.go(&stop);
                stage.picture();
                let said = ElementHandle::find_by_element_id(&stage.app, "Lines::across-says");
                let mut across: Vec<[f32; 2]> = said
                    .map(|one| {
                        let (at, size) = (one.absolute_position(), one.size());
                        [at.x, at.x + size.width]
                    })
                    .collect();
                across.sort_by(|one, other| one[0].total_cmp(&other[0]));
                drawn += across.len();
                for two in across.windows(2) {
                    assert!(
                        two[1][0] - two[0][1] >= 3.0,
                        "{across:?} on {} in {language}",
                        stop.name
                    );
                }
                let inside = across.iter().all(|one| one[0] >= 0.0 && one[1] <= 390.0);
                assert!(inside, "{across:?} on {} in {language}", stop.name);
            }
            assert!(drawn > 4, "{drawn} figures were found");
        }
    });
}

#[test]
fn english_stays_inside() {
    nothing_runs_off("en", 1.0);
}

#[test]
fn german_stays_inside() {
    nothing_runs_off("de", 1.0);
}

#[test]
fn text_at_twice_its_size_stays_inside() {
    nothing_runs_off("en", 2.0);
}

#[test]
fn german_at_twice_its_size_stays_inside() {
    nothing_runs_off("de", 2.0);
}
