//! Coming together, by touch: a lone instructor joins a shop, a shop is restored from its
//! sheet, and the rain guard is held open.

use std::sync::Arc;
use std::thread::sleep;
use std::time::{Duration, Instant};

use i_slint_core::input::TouchPhase;
use slint::{ComponentHandle, LogicalPosition};
use tallywater::ui::{AppDoor, DevicesDoor, FirstDoor, Screen};
use tallywater_bindings::{KitKind, KitPiece, Request, Role, Stage as Ready, Tallywater};
use tempfile::TempDir;

use crate::support::{Stage, middle, roomy, seen, settle, wait};

/// Long after which a test that waits has failed. Nothing is measured against it.
const GUARD: Duration = Duration::from_secs(60);

/// A shop on the network, showing a code for an instructor.
struct Shop {
    desk: Arc<Tallywater>,
    code: String,
    place: String,
    _folder: TempDir,
}

impl Shop {
    fn new() -> Self {
        let folder = TempDir::new().unwrap();
        let desk = seen(Tallywater::open(folder.path().display().to_string()));
        seen(desk.start_shop("Grebe Hollow Divers".into(), "Ansel Forde".into()));
        let joined = seen(desk.record(Request::JoinStaff {
            name: "Tove".into(),
        }));
        seen(desk.go_online(vec!["127.0.0.1:0".into()], false, None));
        let shown = seen(desk.show_code(joined.made.unwrap(), Role::Instructor, None));
        let place = seen(desk.link()).place.unwrap();
        Self {
            desk,
            code: shown.code,
            place,
            _folder: folder,
        }
    }
}

/// Lets real time pass until it is so: the network knows nothing of a mocked clock.
fn until(stage: &Stage, what: &str, is: impl Fn() -> bool) {
    let start = Instant::now();
    while !is() {
        assert!(start.elapsed() < GUARD, "never came about: {what}");
        sleep(Duration::from_millis(20));
        stage.shell.take_news();
        settle();
    }
}

fn digits(stage: &Stage, code: &str) {
    for digit in code.chars() {
        stage.tap(&digit.to_string());
    }
}

#[test]
fn a_lone_instructor_joins_a_shop_with_six_taps_and_brings_the_school_along() {
    roomy(|| {
        let shop = Shop::new();
        let stage = Stage::new(1920, 1080);
        let first = stage.app.global::<FirstDoor>();
        first.set_my_name("Tove Askildsen".into());
        settle();
        stage.tap("Start");
        assert_eq!(stage.shell.route().screen, Screen::Today);
        assert!(seen(stage.desk().state()).lone);
        seen(
            stage
                .desk()
                .go_online(vec!["127.0.0.1:0".into()], false, None),
        );
        let me = seen(stage.desk().state()).me.unwrap().name.staff;
        let suit = |number: &str| Request::SetKit {
            piece: None,
            details: KitPiece {
                kind: KitKind::Suit,
                number: number.into(),
                size: "L".into(),
                serial: String::new(),
                serviced: None,
                service_due: None,
                test_due: None,
                note: String::new(),
            },
        };
        seen(stage.desk().record(suit("7")));
        seen(shop.desk.record(suit("7")));

        println!("## A look, and back again: nothing has changed");
        stage
            .shell
            .open(tallywater::shell::Route::to(Screen::Devices));
        settle();
        assert!(stage.app.global::<DevicesDoor>().get_lone());
        stage.save("devices-lone");
        stage.tap("Type a code");
        assert_eq!(stage.shell.route().screen, Screen::FirstStart);
        stage.tap("Back");
        assert_eq!(stage.shell.route().screen, Screen::Devices);
        assert!(seen(stage.desk().state()).lone);

        println!("## A wrong code says so and costs a try");
        stage.tap("Type a code");
        first.set_address(shop.place.clone().into());
        settle();
        stage.tap("Use this address");
        let last = if shop.code.ends_with('0') { "1" } else { "0" };
        let wrong = format!("{}{last}", &shop.code[..5]);
        digits(&stage, &wrong);
        stage.tap("Join");
        until(&stage, "the answer", || !first.get_busy());
        assert!(first.get_fault().contains('2'), "{}", first.get_fault());
        for _ in 0..6 {
            stage.tap("Erase");
        }

        println!("## The right one");
        digits(&stage, &shop.code);
        stage.save("joining-code");
        stage.tap("Join");
        until(&stage, "the shop", || {
            stage.shell.route().screen == Screen::Today
        });
        until(&stage, "to be admitted", || {
            seen(stage.desk().state()).stage == Ready::Ready
        });
        let state = seen(stage.desk().state());
        assert_eq!(state.shop.as_deref(), Some("Grebe Hollow Divers"));
        assert_eq!(state.me.unwrap().name.staff, me, "the same person");
        assert!(!state.lone);
        let staff = seen(shop.desk.staff());
        let names: Vec<&str> = staff.staff.iter().map(|row| &*row.name.name).collect();
        assert!(names.contains(&"Tove Askildsen") && !names.contains(&"Tove"));
        println!("## The kit as well: on the screen stand both suits, and no number twice");
        let numbers = || {
            let rows = seen(stage.desk().kit()).rows;
            let numbers = rows.into_iter().map(|row| row.details.number);
            numbers.collect::<Vec<_>>()
        };
        until(&stage, "the kit of both", || numbers() == ["7", "7/2"]);
        stage.shell.open(tallywater::shell::Route::to(Screen::Kit));
        settle();
        let kind = stage.find(|label| label.starts_with("Suit, ")).unwrap();
        stage.touch(middle(&kind), 80);
        for named in ["Suit 7 (L)", "Suit 7/2 (L)"] {
            let row = stage.find(|label| label.starts_with(named));
            assert!(row.is_some(), "{named}: {:#?}", stage.labels());
        }
    });
}

#[test]
fn a_shop_is_restored_from_what_stands_on_its_sheet() {
    roomy(|| {
        let folder = TempDir::new().unwrap();
        let lost = seen(Tallywater::open(folder.path().display().to_string()));
        seen(lost.start_shop("Grebe Hollow Divers".into(), "Ansel Forde".into()));
        let sheet = lost.recovery_lines().unwrap();
        let stage = Stage::new(1920, 1080);
        let first = stage.app.global::<FirstDoor>();
        stage.tap("Restore a dive centre from its recovery sheet");
        first.set_my_name("Ansel Forde".into());
        let mut bent = sheet.clone();
        let letter = if bent[1].starts_with('A') { "B" } else { "A" };
        bent[1].replace_range(..1, letter);
        first.set_sheet_words(bent.join("\n").into());
        settle();
        stage.tap("Restore");
        assert!(first.get_fault().contains('2'), "{}", first.get_fault());
        assert_eq!(seen(stage.desk().state()).stage, Ready::FirstStart);
        first.set_sheet_words(sheet.join("\n").into());
        settle();
        stage.tap("Restore");
        assert_eq!(first.get_fault(), "");
        assert_eq!(stage.desk().recovery_lines(), Some(sheet));
        assert_eq!(stage.shell.route().screen, Screen::Today);
    });
}

#[test]
fn the_rain_guard_lets_nothing_through_until_it_has_been_held_for_a_second() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Board));
        let door = stage.app.global::<AppDoor>();
        let under: Vec<LogicalPosition> = stage.buttons().iter().map(middle).collect();
        stage.tap("Screen lock");
        assert!(door.get_guarded());
        stage.save("rain-guard");
        let route = stage.shell.route();
        for at in under {
            stage.touch(at, 80);
            assert!(door.get_guarded() && stage.shell.route() == route);
        }
        // The bar lies across the lower end of the screen.
        let bar = LogicalPosition::new(640.0, 700.0);
        stage.touch(bar, 700);
        assert!(door.get_guarded(), "let go too soon");
        stage.finger(1, bar, TouchPhase::Started);
        for _ in 0..80 {
            wait(16);
        }
        stage.finger(1, bar, TouchPhase::Ended);
        settle();
        assert!(!door.get_guarded());
    });
}
