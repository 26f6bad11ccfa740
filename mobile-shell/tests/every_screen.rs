//! Every screen opens on the demo school at every size, draws something, and everything on
//! it that can be pressed has a name and is large enough for a wet finger.

use std::collections::{BTreeMap, BTreeSet};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use i_slint_backend_testing::AccessibleRole;
use slint::{ComponentHandle, Rgba8Pixel, SharedPixelBuffer};
use tallywater::picture::{SIZES, read_in, tour};
use tallywater::ui::{
    AttemptDoor, BoardDoor, CardsDoor, LineUpDoor, Load, Screen, Theme, TodayDoor, Type, WaterDoor,
};

use crate::support::{Stage, roomy, seen, settle};

/// The least that a finger gets, in logical pixels (a design rule of ours: 15 mm, never
/// under 72 at 160 dots an inch; what lies beside another target may share its gap).
const LEAST: f32 = 72.0;

/// What tells one picture from another.
fn print_of(pixels: &SharedPixelBuffer<Rgba8Pixel>) -> u64 {
    let mut bytes = DefaultHasher::new();
    pixels.as_bytes().hash(&mut bytes);
    bytes.finish()
}

#[test]
fn every_screen_draws_itself_at_every_size_in_both_themes() {
    roomy(|| {
        for (width, height) in SIZES {
            let stage = Stage::demo(width, height);
            let mut before = BTreeSet::new();
            for stop in tour(&stage.shell) {
                let what = format!("{} at {width} x {height}", stop.name);
                stage.go(&stop);
                for dusk in [false, true] {
                    stage.app.global::<Theme>().set_dusk(dusk);
                    settle();
                    let pixels = stage.picture();
                    // One pixel in 101 tells a drawn screen from a blank one.
                    let some = pixels.as_bytes().chunks(4).step_by(101);
                    let colours: BTreeSet<&[u8]> = some.collect();
                    assert!(colours.len() > 8, "{what} is blank");
                    // Each shows a state of its own: no two are alike.
                    assert!(
                        before.insert(print_of(&pixels)),
                        "{what} is another's picture"
                    );
                    let theme = if dusk { "dusk" } else { "sun" };
                    stage.save(&format!("{}-{width}x{height}-{theme}", stop.name));
                }
            }
        }
    });
}

/// As the demo draws them where they were asked for: the language and the text size are read
/// from the device.
#[test]
fn german_at_twice_its_size_is_a_picture_of_its_own_on_every_screen() {
    roomy(|| {
        let (width, height) = SIZES[1];
        let mut before = BTreeMap::new();
        for (language, text, scale) in [("en", "100", 1.0), ("de", "200", 2.0)] {
            let stage = Stage::demo(width, height);
            seen(read_in(&stage.desk(), language, text));
            stage.shell.stand_behind(stage.desk());
            settle();
            assert_eq!(stage.app.global::<Type>().get_scale(), scale);
            let today = if language == "de" { "Heute" } else { "Today" };
            assert!(stage.find(|label| label == today).is_some(), "{language}");
            for stop in tour(&stage.shell) {
                stage.go(&stop);
                let what = format!("{} in {language} at {text} %", stop.name);
                let print = print_of(&stage.picture());
                let other = before.insert(print, what.clone());
                assert!(other.is_none(), "{what} is the picture of {other:?}");
                stage.save(&format!("{}-{language}-{text}", stop.name));
            }
        }
        slint::select_bundled_translation("en").unwrap();
    });
}

/// The word of a day with which something begins is no word within a sentence.
#[test]
fn no_day_stands_with_a_capital_inside_a_sentence() {
    roomy(|| {
        let stage = Stage::demo(800, 1280);
        let mut wrong = BTreeSet::new();
        let mut read = 0;
        for stop in tour(&stage.shell) {
            stage.go(&stop);
            for one in stage.all(AccessibleRole::Text) {
                let said = String::from(one.accessible_label().unwrap_or_default());
                read += 1;
                // With a clock behind it, it is the day and not the screen of that name.
                let within = said.match_indices("Today, ").any(|(at, _)| {
                    let mut before = said[..at].chars().rev();
                    before.next() == Some(' ') && before.next().is_some_and(char::is_lowercase)
                });
                if within {
                    wrong.insert(format!("{said:?} on {}", stop.name));
                }
            }
        }
        assert!(read > 200, "{read} texts were read");
        assert!(wrong.is_empty(), "{wrong:#?}");
    });
}

#[test]
fn the_poolside_screens_are_filled_from_the_border() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let loads = || {
            [
                stage.app.global::<TodayDoor>().get_load(),
                stage.app.global::<BoardDoor>().get_load(),
                stage.app.global::<LineUpDoor>().get_load(),
                stage.app.global::<AttemptDoor>().get_load(),
                stage.app.global::<CardsDoor>().get_load(),
                stage.app.global::<WaterDoor>().get_load(),
            ]
        };
        for stop in tour(&stage.shell) {
            stage.go(&stop);
        }
        settle();
        assert_eq!(loads(), [Load::Ready; 6]);
    });
}

#[test]
fn everything_that_can_be_pressed_has_a_name_and_its_size() {
    roomy(|| {
        let mut small = BTreeSet::new();
        for (width, height) in SIZES {
            let stage = Stage::demo(width, height);
            for stop in tour(&stage.shell) {
                // The toolkit's own widget on this screen has a size of its own.
                if stop.screen == Screen::About {
                    continue;
                }
                stage.go(&stop);
                for one in stage.buttons() {
                    let label = one.accessible_label().unwrap_or_default();
                    let size = one.size();
                    let what =
                        format!("{label:?} on {} at {width} x {height}: {size:?}", stop.name);
                    assert!(!label.trim().is_empty(), "no name: {what}");
                    if size.width < LEAST || size.height < LEAST {
                        small.insert(what);
                    }
                }
            }
        }
        assert!(small.is_empty(), "small: {small:#?}");
    });
}

#[test]
fn nobody_in_the_headcount_stands_on_somebody_else() {
    roomy(|| {
        for (width, height) in SIZES {
            let stage = Stage::demo(width, height);
            stage.open(stage.hand(Screen::Water));
            settle();
            stage.picture();
            // Out stands beside it, on the same line.
            let passes = stage.labelled(|label| label.ends_with(": In"));
            assert!(passes.len() > 1, "{width} x {height}: {}", passes.len());
            let mut tops: Vec<i64> = passes
                .iter()
                .map(|one| one.absolute_position().y.round() as i64)
                .collect();
            tops.sort_unstable();
            let least = tops.windows(2).map(|two| two[1] - two[0]).min();
            assert!(least >= Some(72), "{width} x {height}: {tops:?}");
        }
    });
}

#[test]
fn no_row_of_the_outline_stands_on_the_next_on_a_phone() {
    roomy(|| {
        let stage = Stage::demo(390, 844);
        stage.open(stage.hand(Screen::Outline));
        settle();
        stage.picture();
        stage.save("outline-rows");
        // A row is pressed over all of its height, words and all: the next begins below it.
        let mut rows: Vec<(i64, i64, String)> = stage
            .labelled(|label| label.starts_with(|first: char| first.is_ascii_digit()))
            .iter()
            .map(|one| {
                let (at, size) = (one.absolute_position(), one.size());
                let label = String::from(one.accessible_label().unwrap());
                (at.y.round() as i64, size.height.round() as i64, label)
            })
            .collect();
        rows.sort();
        assert!(rows.len() > 1, "{rows:?}");
        for two in rows.windows(2) {
            assert!(two[0].0 + two[0].1 <= two[1].0 + 2, "{two:?}");
        }
        // So many letters need so many lines, at some 45 to a line of 22 pixels.
        for (_, height, label) in &rows {
            let lines = i64::try_from(label.chars().count() / 45).unwrap();
            assert!(*height >= 22 * lines, "{height} for {label:?}");
        }
    });
}
