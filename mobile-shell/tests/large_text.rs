//! German and text at twice its size stay inside the window on the poolside screens.

use slint::ComponentHandle;
use tallywater::ui::{Screen, Type};

use crate::support::{Stage, roomy, settle};
use tallywater::picture::SIZES;

fn nothing_runs_off(language: &'static str, scale: f32) {
    roomy(move || {
        for (width, height) in SIZES {
            let stage = Stage::demo(width, height);
            slint::select_bundled_translation(language).unwrap();
            stage.app.global::<Type>().set_scale(scale);
            settle();
            // The board is left out: it scrolls sideways by design.
            for screen in [
                Screen::Today,
                Screen::LineUp,
                Screen::Attempt,
                Screen::Cards,
                Screen::Water,
                Screen::More,
            ] {
                let route = stage.hand(screen);
                let board = stage
                    .desk()
                    .board(
                        route.course.clone().unwrap(),
                        route.session.clone(),
                        tallywater_bindings::Columns::Session,
                    )
                    .unwrap();
                let route = route
                    .student(board.rows[0].name.student.clone())
                    .skill(board.columns[0].skill.clone());
                stage.open(route);
                stage.save(&format!("{screen:?}-{language}-{scale}-{width}x{height}"));
                for one in stage.buttons() {
                    let (at, size) = (one.absolute_position(), one.size());
                    let label = one.accessible_label().unwrap_or_default();
                    let right = at.x + size.width;
                    assert!(
                        at.x >= -1.0 && right <= width as f32 + 1.0,
                        "{label:?} on {screen:?} at {width} x {height} runs from {} to {right}",
                        at.x
                    );
                }
            }
        }
    });
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
