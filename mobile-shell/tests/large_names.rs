//! Names as large as they fit: how high a capital stands, and how far it stands out.

use std::path::Path;

use i_slint_backend_testing::ElementHandle;
use slint::ComponentHandle;
use tallywater::ui::{AppDoor, Screen, Theme};
use tallywater_bindings::Mark;

use crate::support::{Stage, roomy, settle};
use crate::surface::Class;

/// The units of an em and the height of a capital in the font of the screens, from its own
/// tables (OpenType 1.9: `head` offset 18, `OS/2` offset 88).
fn cap_height() -> f32 {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("ui/fonts/Inter-Bold.otf");
    let font = std::fs::read(path).unwrap();
    let u16_at = |at: usize| u16::from_be_bytes([font[at], font[at + 1]]);
    let table = |tag: &[u8]| {
        let records = (0..usize::from(u16_at(4))).map(|n| 12 + n * 16);
        let record = records
            .into_iter()
            .find(|at| &font[*at..at + 4] == tag)
            .unwrap();
        let bytes = font[record + 8..record + 12].try_into().unwrap();
        usize::try_from(u32::from_be_bytes(bytes)).unwrap()
    };
    f32::from(u16_at(table(b"OS/2") + 88)) / f32::from(u16_at(table(b"head") + 18))
}

/// Relative luminance (W3C, WCAG 2.2).
fn luminance(pixel: &[u8]) -> f64 {
    let channel = |value: u8| {
        let c = f64::from(value) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * channel(pixel[0]) + 0.7152 * channel(pixel[1]) + 0.0722 * channel(pixel[2])
}

/// The height of the first letter of the name in this area, in pixels, and the contrast of the
/// ink on its ground: both taken from the picture.
fn letter(stage: &Stage, area: &ElementHandle) -> (f32, f64) {
    let pixels = stage.picture();
    let (at, size) = (area.absolute_position(), area.size());
    // Behind the mark's seal; within the row's lines.
    let columns = (at.x as usize + 57)..(at.x + size.width) as usize - 6;
    let rows = (at.y as usize + 6)..(at.y + size.height) as usize - 6;
    let width = pixels.width() as usize;
    let of = |x: usize, y: usize| luminance(&pixels.as_bytes()[(y * width + x) * 4..][..3]);
    let ground = of(columns.start, rows.start);
    let ink = |x: usize, y: usize| {
        let here = of(x, y);
        (here.max(ground) + 0.05) / (here.min(ground) + 0.05) > 3.0
    };
    let begins = columns
        .clone()
        .find(|x| rows.clone().any(|y| ink(*x, y)))
        .unwrap();
    let ends = (begins..columns.end)
        .find(|x| !rows.clone().any(|y| ink(*x, y)))
        .unwrap();
    let inked: Vec<usize> = rows
        .clone()
        .filter(|y| (begins..ends).any(|x| ink(x, *y)))
        .collect();
    let height = inked.last().unwrap() - inked.first().unwrap() + 1;
    let contrast = rows
        .flat_map(|y| (begins..ends).map(move |x| (x, y)))
        .map(|(x, y)| {
            let here = of(x, y);
            (here.max(ground) + 0.05) / (here.min(ground) + 0.05)
        });
    (height as f32, contrast.fold(1.0, f64::max))
}

/// What the manual states of large names on a phone, in pixels.
const LEAST_CAP: f32 = 40.0;

#[test]
fn eight_names_stand_on_a_phone_without_scrolling_as_large_as_they_fit() {
    roomy(|| {
        let class = Class::of(2, (390, 844));
        class.dived(0..8);
        class.to(Screen::LineUp);
        class.tap("Large names");
        assert_eq!(
            class.stage.app.global::<AppDoor>().get_screen(),
            Screen::Bare
        );
        assert_eq!(class.taps.get(), 1, "one tap from the line-up");
        let (mut least, mut low) = (f32::MAX, f64::MAX);
        for dusk in [false, true] {
            class.stage.app.global::<Theme>().set_dusk(dusk);
            settle();
            for student in 0..8 {
                let area = class
                    .stage
                    .button(&format!("{}: Met", class.short(student)));
                let (at, size) = (area.absolute_position(), area.size());
                assert!(
                    at.y >= 0.0 && at.y + size.height <= 844.0,
                    "{student} is on screen"
                );
                assert!(size.height >= 72.0 && size.width >= 72.0);
                let no = class
                    .stage
                    .button(&format!("{}: Not yet", class.short(student)));
                assert!(no.size().width >= 72.0 && no.size().height >= 72.0);
                let (height, contrast) = letter(&class.stage, &area);
                (least, low) = (least.min(height), low.min(contrast));
            }
            class.stage.save(&format!(
                "large-names-{}",
                if dusk { "dusk" } else { "sun" }
            ));
        }
        println!(
            "least capital {least} px ({:.3} em), least contrast {low:.1}:1",
            cap_height()
        );
        assert!((0.7..0.75).contains(&cap_height()));
        assert!(least >= LEAST_CAP, "{least}");
        assert!(low >= 7.0, "{low}");
        println!("## Nothing else is there but undo and the way out");
        let labels = class.stage.labels();
        assert_eq!(labels.len(), 8 * 2 + 2, "{labels:#?}");
        class.tap(&format!("{}: Met", class.short(2)));
        class.tap(&format!("{}: Not yet", class.short(3)));
        assert_eq!(class.marks(0)[2..4], [Some(Mark::Met), Some(Mark::NotYet)]);
        class.stage.save("large-names-marked");
        class.tap("Undo");
        assert_eq!(class.marks(0)[3], None);
        class.tap("Back");
        assert_eq!(
            class.stage.app.global::<AppDoor>().get_screen(),
            Screen::LineUp
        );
    });
}
