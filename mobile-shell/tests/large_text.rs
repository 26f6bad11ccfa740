//! German, and text at twice its size, stay inside the window on every screen: what is
//! pressed and what is read.

use std::collections::BTreeSet;

use i_slint_backend_testing::AccessibleRole;
use slint::ComponentHandle;
use tallywater::picture::{SIZES, tour};
use tallywater::ui::{Screen, Type};

use crate::support::{Stage, roomy, settle};

fn nothing_runs_off(language: &'static str, scale: f32) {
    roomy(move || {
        let mut outside = BTreeSet::new();
        for (width, height) in SIZES {
            let stage = Stage::demo(width, height);
            slint::select_bundled_translation(language).unwrap();
            stage.app.global::<Type>().set_scale(scale);
            settle();
            for stop in tour(&stage.shell) {
                // The board scrolls sideways by design, and About shows a widget of the toolkit's.
                if matches!(stop.screen, Screen::Board | Screen::About) {
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
