//! Every pair of ink and ground in both themes can be read in sunlight.
//!
//! The bar is 7:1: W3C, Web Content Accessibility Guidelines 2.2, success criterion 1.4.6
//! (contrast, enhanced), with relative luminance as its glossary defines it.

use slint::{Color, ComponentHandle};
use tallywater::ui::{App, Theme};

use crate::support;

fn channel(value: u8) -> f64 {
    let c = f64::from(value) / 255.0;
    if c <= 0.04045 {
        c / 12.92
    } else {
        ((c + 0.055) / 1.055).powf(2.4)
    }
}

fn luminance(color: Color) -> f64 {
    let c = color.to_argb_u8();
    0.2126 * channel(c.red) + 0.7152 * channel(c.green) + 0.0722 * channel(c.blue)
}

fn contrast(a: Color, b: Color) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn black_on_white_is_twenty_one_to_one() {
    // W3C, WCAG 2.2, note to the definition of contrast ratio: 21:1 for #000 and #FFF.
    let ratio = contrast(
        Color::from_rgb_u8(0, 0, 0),
        Color::from_rgb_u8(255, 255, 255),
    );
    assert!((ratio - 21.0).abs() < 0.001, "{ratio}");
}

#[test]
fn every_ink_on_its_ground_reaches_seven_to_one() {
    let app: App = support::app(1280, 800);
    for dusk in [false, true] {
        let theme = app.global::<Theme>();
        theme.set_dusk(dusk);
        let grounds = [
            ("slab", theme.get_slab()),
            ("sheet", theme.get_sheet()),
            ("well", theme.get_well()),
            ("tint", theme.get_tint()),
        ];
        let inks = [
            ("ink", theme.get_ink()),
            ("ink-soft", theme.get_ink_soft()),
            ("accent", theme.get_accent()),
        ];
        let pairs = [
            ("on-accent", theme.get_on_accent(), theme.get_accent()),
            ("on-met", theme.get_on_met(), theme.get_met()),
            ("on-nearly", theme.get_on_nearly(), theme.get_nearly()),
            ("on-not-yet", theme.get_on_not_yet(), theme.get_not_yet()),
            ("on-sat-out", theme.get_on_sat_out(), theme.get_sat_out()),
            (
                "on-two-views",
                theme.get_on_two_views(),
                theme.get_two_views(),
            ),
            ("pressed", theme.get_slab(), theme.get_ink()),
        ];
        for (ink, written) in inks {
            for (ground, below) in grounds {
                let ratio = contrast(written, below);
                assert!(ratio >= 7.0, "{ink} on {ground}, dusk {dusk}: {ratio:.2}");
            }
        }
        for (name, written, below) in pairs {
            let ratio = contrast(written, below);
            assert!(ratio >= 7.0, "{name}, dusk {dusk}: {ratio:.2}");
        }
    }
}

#[test]
fn what_can_be_pressed_has_an_edge_of_three_to_one() {
    // W3C, WCAG 2.2, success criterion 1.4.11 (non-text contrast): 3:1.
    let app: App = support::app(1280, 800);
    for dusk in [false, true] {
        let theme = app.global::<Theme>();
        theme.set_dusk(dusk);
        for ground in [theme.get_slab(), theme.get_sheet(), theme.get_well()] {
            let ratio = contrast(theme.get_edge(), ground);
            assert!(ratio >= 3.0, "dusk {dusk}: {ratio:.2}");
        }
    }
}
