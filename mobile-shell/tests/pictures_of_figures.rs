//! Pictures of figures, by touches: each way to one is pressed, what it says and draws is held
//! against the border, it is printed, and back leads back.

use i_slint_backend_testing::{AccessibleRole, ElementHandle};
use slint::{ComponentHandle, Model as _, Rgba8Pixel, SharedPixelBuffer};
use tallywater::shell::Route;
use tallywater::ui::{LimitsDoor, Load, PictureDoor, Screen, StudentDoor, Theme};
use tallywater_bindings::{Chart, ChartOf, Columns, TurnRule, Who};

use crate::from_nothing::open_a_course;
use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen, settle};

const PHONE: (u32, u32) = (390, 844);
const UPRIGHT: (u32, u32) = (800, 1280);

fn hands(stage: Stage) -> Hands {
    Hands::on(stage, Desktop::new(), By::Touch)
}

fn demo((width, height): (u32, u32)) -> Hands {
    hands(Stage::demo(width, height))
}

/// The picture that is shown, as the border has it: one is shown, and it is of this.
fn shown(hands: &Hands, of: &ChartOf) -> Chart {
    let route = hands.stage.shell.route();
    assert_eq!(route.screen, Screen::Picture);
    assert_eq!(route.picture.as_ref(), Some(of));
    let door = hands.stage.app.global::<PictureDoor>();
    assert_eq!(door.get_load(), Load::Ready, "{}", door.get_fault());
    seen(hands.stage.desk().chart(route.course.unwrap(), of.clone())).unwrap()
}

/// The drawing, by what it says for whoever cannot see it.
fn drawing(hands: &Hands, title: &str) -> ElementHandle {
    let begins = format!("{title}: ");
    let all = hands.stage.all(AccessibleRole::Image).into_iter();
    let mut found: Vec<ElementHandle> = all
        .filter(|one| {
            let said = one.accessible_label();
            said.is_some_and(|said| said.starts_with(&begins))
        })
        .collect();
    assert_eq!(found.len(), 1, "drawings called {title:?}");
    found.remove(0)
}

/// Every figure of the picture can be read on the page and is in what the drawing says.
fn figures_are_said(hands: &Hands, chart: &Chart, title: &str) {
    let said = drawing(hands, title).accessible_label().unwrap();
    let facts = hands.stage.app.global::<PictureDoor>().get_facts();
    assert_eq!(facts.row_count(), chart.facts.len());
    for (fact, of) in facts.iter().zip(&chart.facts) {
        assert!(fact.figure.starts_with(&of.figure.text), "{}", fact.figure);
        assert!(said.contains(fact.figure.as_str()), "{said}");
        let figure = fact.figure.as_str();
        assert!(hands.reads(|text| text == figure), "{figure} on the page");
    }
}

/// Whose it is and of what stands over it.
fn is_about(hands: &Hands, parts: &[&str]) {
    let about = hands.stage.app.global::<PictureDoor>().get_about();
    for part in parts {
        assert!(about.contains(*part), "{part} in {about}");
    }
    assert!(hands.reads(|text| text == about.as_str()), "{about}");
}

fn is_printed(hands: &mut Hands) {
    hands.press("Print the picture");
    let file = hands.desktop.shown.take().unwrap();
    assert!(file.extension().is_some_and(|end| end == "pdf"));
    assert!(std::fs::read(file).unwrap().starts_with(b"%PDF"));
    assert!(hands.stage.app.global::<PictureDoor>().get_written());
    hands.press("Open it");
    assert!(hands.desktop.shown.take().is_some());
}

/// Of ten stripes from left to right over the right three quarters of a drawing, beyond the
/// figures of its axis: how many hold a pixel in the ink of its lines. Its grid is paler.
fn inked(hands: &Hands, drawing: &ElementHandle) -> usize {
    let pixels: SharedPixelBuffer<Rgba8Pixel> = hands.stage.picture();
    let ink = hands.stage.app.global::<Theme>().get_ink().to_argb_u8();
    let close = |pixel: &Rgba8Pixel| {
        pixel.r.abs_diff(ink.red) < 12
            && pixel.g.abs_diff(ink.green) < 12
            && pixel.b.abs_diff(ink.blue) < 12
    };
    let (at, size) = (drawing.absolute_position(), drawing.size());
    assert!(size.width > 250.0 && size.height > 80.0, "{size:?}");
    let (top, bottom) = (at.y as usize, (at.y + size.height) as usize);
    let wide = pixels.width() as usize;
    assert!(bottom <= pixels.height() as usize, "drawn below the window");
    let (from, stripe) = (at.x + size.width / 4.0, size.width * 0.75 / 10.0);
    let rows: Vec<&[Rgba8Pixel]> = pixels.as_slice().chunks(wide).collect();
    (0..10_u8)
        .filter(|n| {
            let left = (from + stripe * f32::from(*n)) as usize;
            let right = (from + stripe * f32::from(*n + 1)) as usize;
            let mut rows = rows[top..bottom].iter();
            rows.any(|row| row[left..right.min(wide)].iter().any(close))
        })
        .count()
}

fn is_drawn_in_both_themes(hands: &Hands, title: &str, name: &str) {
    for dusk in [false, true] {
        hands.stage.app.global::<Theme>().set_dusk(dusk);
        settle();
        let stripes = inked(hands, &drawing(hands, title));
        assert!(stripes >= 9, "{title}, dusk {dusk}: {stripes} of 10");
        let theme = if dusk { "dusk" } else { "sun" };
        hands.stage.save(&format!("{name}-{theme}"));
    }
    hands.stage.app.global::<Theme>().set_dusk(false);
    settle();
}

/// Whose row it is.
fn diver(id: &str, staff: bool) -> Who {
    let id = id.to_owned();
    if staff {
        Who::Staff { staff: id }
    } else {
        Who::Student { student: id }
    }
}

fn goes_back_to(hands: &mut Hands, screen: Screen) {
    hands.press("Back");
    assert_eq!(hands.stage.shell.route().screen, screen);
}

#[test]
fn a_divers_gas_and_no_stop_time_are_drawn_from_their_rows_in_gas_and_limits() {
    roomy(|| {
        for size in [UPRIGHT, PHONE] {
            let mut hands = demo(size);
            let hand = hands.stage.hand(Screen::Limits);
            let (course, session) = (hand.course.clone().unwrap(), hand.session.clone().unwrap());
            let named = seen(hands.stage.desk().session_name(course, session.clone()));
            let session_is = named.unwrap().title;
            hands.stage.open(hand);

            println!("## The gas of the first row, by the rule that is chosen there");
            let rule = TurnRule::Thirds;
            hands.press_like("thirds", |said| said.ends_with(": Thirds"));
            let door = hands.stage.app.global::<LimitsDoor>();
            let row = door.get_students().row_data(0).unwrap();
            let begins = format!("{}: turn at ", row.who);
            hands.press_like(&begins, |said| said.starts_with(&begins));
            let of = ChartOf::Gas {
                session: session.clone(),
                who: diver(row.id.as_str(), row.staff),
                rule,
            };
            let chart = shown(&hands, &of);
            let name = chart.who.as_ref().unwrap();
            assert_eq!(Who::from(name), diver(row.id.as_str(), row.staff));
            let title = "Cylinder pressure over time at depth";
            is_drawn_in_both_themes(&hands, title, &format!("picture-gas-{}", size.0));
            is_about(&hands, &[session_is.as_str()]);
            figures_are_said(&hands, &chart, title);
            for word in ["Turn pressure", "Reserve", "Time at depth until the turn"] {
                assert!(hands.reads(|text| text == word), "{word}");
            }
            is_printed(&mut hands);
            goes_back_to(&mut hands, Screen::Limits);

            println!("## The no-stop time of the first row");
            let door = hands.stage.app.global::<LimitsDoor>();
            let row = door.get_people().row_data(0).unwrap();
            let begins = format!("{}, ", row.who);
            hands.press_like(&begins, |said| said.starts_with(&begins));
            let of = ChartOf::NoStop {
                session,
                who: diver(row.id.as_str(), row.staff),
                live_there: false,
            };
            let chart = shown(&hands, &of);
            let title = "No-stop time over the clock";
            is_drawn_in_both_themes(&hands, title, &format!("picture-no-stop-{}", size.0));
            is_about(&hands, &[session_is.as_str()]);
            figures_are_said(&hands, &chart, title);
            goes_back_to(&mut hands, Screen::Limits);
        }
    });
}

#[test]
fn a_students_page_leads_to_the_way_and_to_each_dive_that_has_a_profile() {
    roomy(|| {
        // The course that was dived to its end lies at the shop.
        let mut hands = hands(Stage::shop(UPRIGHT.0, UPRIGHT.1));
        let desk = hands.stage.desk();
        let courses = seen(desk.course_list(None)).rows;
        let diver = courses.iter().find_map(|row| {
            let dives = seen(desk.water(row.course.to_string(), None)).dives;
            let mut recorded = dives.into_iter().filter(|dive| dive.climb.is_some());
            let student = recorded.find_map(|dive| match Who::from(&dive.who) {
                Who::Student { student } => Some(student),
                Who::Staff { .. } => None,
            });
            student.map(|student| (row.course.to_string(), student))
        });
        let (course, student) = diver.unwrap();
        let view = seen(desk.student(course.clone(), student.clone()));
        let route = Route::to(Screen::Student).course(course);
        hands.stage.open(route.student(student.clone()));

        println!("## The way through the course");
        hands.press("The way through the course");
        let chart = shown(&hands, &ChartOf::Way { student });
        let title = "Skills met, day by day";
        is_drawn_in_both_themes(&hands, title, "picture-way");
        is_about(&hands, &[view.name.name.as_str()]);
        figures_are_said(&hands, &chart, title);
        is_printed(&mut hands);
        goes_back_to(&mut hands, Screen::Student);

        println!("## A dive with a profile");
        let dives = hands.stage.app.global::<StudentDoor>().get_dives();
        assert_eq!(dives.row_count(), view.dives.len());
        let dive = dives.iter().find(|dive| dive.drawn).unwrap();
        let (clock, depth) = (format!(", {}, ", dive.clock), format!("{} · ", dive.depth));
        let like = |said: &str| said.contains(&clock) && said.contains(&depth);
        hands.press_like(&clock, like);
        let entry = dive.entry.to_string();
        let chart = shown(&hands, &ChartOf::Profile { dive: entry });
        let title = "Depth over time";
        is_drawn_in_both_themes(&hands, title, "picture-dive");
        is_about(&hands, &[view.name.name.as_str(), dive.clock.as_str()]);
        figures_are_said(&hands, &chart, title);
        is_printed(&mut hands);
        goes_back_to(&mut hands, Screen::Student);
    });
}

#[test]
fn a_dive_without_a_profile_says_so_and_is_not_pressed() {
    roomy(|| {
        let hands = hands(Stage::shop(UPRIGHT.0, UPRIGHT.1));
        let desk = hands.stage.desk();
        let courses = seen(desk.course_list(None)).rows;
        let diver = courses.iter().find_map(|row| {
            let dives = seen(desk.water(row.course.to_string(), None)).dives;
            let mut plain = dives.into_iter().filter(|dive| dive.climb.is_none());
            let student = plain.find_map(|dive| match Who::from(&dive.who) {
                Who::Student { student } => Some(student),
                Who::Staff { .. } => None,
            });
            student.map(|student| (row.course.to_string(), student))
        });
        let (course, student) = diver.unwrap();
        let route = Route::to(Screen::Student).course(course).student(student);
        hands.stage.open(route);
        let dives = hands.stage.app.global::<StudentDoor>().get_dives();
        assert!(dives.iter().any(|dive| !dive.drawn));
        let says = "no depth profile";
        assert!(hands.reads(|text| text.ends_with(says)));
        let row = hands.stage.find(|label| label.ends_with(says)).unwrap();
        assert_eq!(row.accessible_enabled(), Some(false));
        row.invoke_accessible_default_action();
        settle();
        assert_eq!(hands.stage.shell.route().screen, Screen::Student);
    });
}

#[test]
fn by_which_try_is_drawn_from_what_the_marks_say() {
    roomy(|| {
        let mut hands = demo(UPRIGHT);
        let hand = hands.stage.hand(Screen::Judging);
        let course = hand.course.clone().unwrap();
        hands.stage.open(hand);
        hands.press("By which try");
        let chart = shown(&hands, &ChartOf::Tries);
        let title = "Met by the first try, the second, the third, and in the end";
        let picture = drawing(&hands, title);
        let said = picture.accessible_label().unwrap();
        hands.stage.save("picture-tries");
        let course_is = seen(hands.stage.desk().course(course)).title;
        is_about(&hands, &[course_is.as_str()]);
        let bars = hands.stage.app.global::<PictureDoor>().get_bars();
        assert!(bars.row_count() > 0);
        assert_eq!(bars.row_count(), chart.bars.len());
        for (bar, of) in bars.iter().zip(&chart.bars) {
            assert_eq!(bar.known, !of.parts.is_empty());
            assert!(bar.name.starts_with(&of.name), "{}", bar.name);
            assert!(said.contains(&format!("{}: {}", bar.name, bar.says)));
            if let [.., all] = of.parts.as_slice() {
                let percent = format!("{} %", (all + 5) / 10);
                assert!(bar.says.ends_with(&percent), "{}", bar.says);
            }
            assert!(hands.reads(|text| text == bar.says.as_str()));
        }
        is_printed(&mut hands);
        goes_back_to(&mut hands, Screen::Judging);
    });
}

#[test]
fn a_picture_speaks_german() {
    roomy(|| {
        let mut hands = demo(UPRIGHT);
        slint::select_bundled_translation("de").unwrap();
        hands.speaks("de");
        hands.stage.open(hands.stage.hand(Screen::Limits));
        let turn = hands.say("{0}: turn at {1}");
        let turn = turn.replace("{0}", "").replace("{1}", "");
        hands.press_like(&turn, |said| said.contains(&turn));
        assert_eq!(hands.stage.shell.route().screen, Screen::Picture);
        let title = hands.say("Cylinder pressure over time at depth");
        assert_ne!(title, "Cylinder pressure over time at depth");
        is_drawn_in_both_themes(&hands, &title, "picture-gas-de");
        let said = drawing(&hands, &title).accessible_label().unwrap();
        for word in ["Turn pressure", "Reserve", "Time at depth until the ascent"] {
            let word = hands.say(word);
            assert!(said.contains(&format!("{word} ")), "{word} in {said}");
            assert!(hands.reads(|text| text == word), "{word}");
        }
        is_printed(&mut hands);
    });
}

#[test]
fn where_there_is_nothing_to_draw_the_page_says_so_and_offers_no_print() {
    roomy(|| {
        for language in ["en", "de"] {
            let mut hands = hands(Stage::new(PHONE.0, PHONE.1));
            let course = open_a_course(&mut hands, language);
            let board = seen(hands.stage.desk().board(course.clone(), None, Columns::All));
            let student = board.rows[0].name.student.to_string();
            let route = Route::to(Screen::Student).course(course);
            hands.stage.open(route.student(student));
            hands.press("The way through the course");
            assert_eq!(hands.stage.shell.route().screen, Screen::Picture);
            let door = hands.stage.app.global::<PictureDoor>();
            assert_eq!(door.get_load(), Load::Empty);
            let says = hands.say("There are no figures for this picture yet");
            assert!(hands.reads(|text| text == says), "{says}");
            let print = hands.say("Print the picture");
            assert!(hands.stage.find(|label| label == print).is_none());
            goes_back_to(&mut hands, Screen::Student);
        }
    });
}
