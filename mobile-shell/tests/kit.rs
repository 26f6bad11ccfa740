//! The school's kit by touches and by keys, in a school begun from nothing: a piece described,
//! found faulty and mended; sizes on a student's page; issued for a session as proposed, or with
//! a reason, and taken back; a list of kit chosen by the system's own way.

use std::sync::Arc;

use i_slint_backend_testing::{AccessibleRole, ElementHandle};
use slint::{ComponentHandle, Model as _};
use tallywater::shell::Route;
use tallywater::ui::{IssueDoor, KitDoor, PieceDoor, Screen, SizesDoor, Type};
use tallywater_bindings::{
    KitKind, KitLineState, KitPiece, KitRow, KitState, Request, Sizes, Tallywater, WhoName,
};
use tempfile::TempDir;

use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen, settle};
use crate::surface::Class;

const PHONE: (u32, u32) = (390, 844);
const SMALL: (u32, u32) = (320, 568);
const TABLET: (u32, u32) = (1280, 800);

/// The least that a finger gets, in logical pixels.
const LEAST: f32 = 44.0;

/// A class with a session, and the hands that give it kit.
struct Store {
    hands: Hands,
    course: String,
    session: String,
    students: Vec<String>,
}

impl Store {
    fn of(size: (u32, u32), language: &'static str, by: By, desktop: Desktop) -> Self {
        let Class {
            stage,
            course,
            session,
            students,
            ..
        } = Class::of(2, size);
        let mut hands = Hands::on(stage, desktop, by);
        slint::select_bundled_translation(language).unwrap();
        hands.speaks(language);
        Self {
            hands,
            course,
            session,
            students,
        }
    }

    fn desk(&self) -> Arc<Tallywater> {
        self.hands.stage.desk()
    }

    fn to(&self, screen: Screen) {
        let route = Route::to(screen).course(self.course.clone());
        self.hands.stage.open(route.session(self.session.clone()));
        self.hands.stage.shell.take_news();
        settle();
    }

    fn pieces(&self) -> Vec<KitRow> {
        seen(self.desk().kit()).rows
    }

    fn piece(&self, kind: &KitKind, number: &str) -> KitRow {
        let mut all = self.pieces().into_iter();
        let found = all.find(|row| row.details.kind == *kind && row.details.number == number);
        found.unwrap()
    }

    /// Describes a piece at the desk.
    fn has(&self, kind: KitKind, number: &str, size: &str, due: Option<i32>) {
        let due = due.map(|after| seen(self.desk().day(None, after)).date);
        seen(self.desk().record(Request::SetKit {
            piece: None,
            details: KitPiece {
                kind,
                number: number.into(),
                size: size.into(),
                serial: String::new(),
                serviced: None,
                service_due: due.map(|id| id.to_string()),
                test_due: None,
                note: String::new(),
            },
        }));
    }

    /// How one of the students stands to a kind of kit for the session.
    fn stands(&self, student: usize, kind: &KitKind) -> KitLineState {
        let view = self
            .desk()
            .kit_issue(self.course.clone(), self.session.clone());
        let mut rows = seen(view).rows.into_iter();
        let mine = |who: &WhoName| match who {
            WhoName::Student(name) => name.student == self.students[student],
            WhoName::Staff(..) => false,
        };
        let row = rows.find(|row| mine(&row.who)).unwrap();
        let mut lines = row.lines.into_iter();
        lines.find(|line| line.kind == *kind).unwrap().state
    }

    /// Presses what is called exactly so, already in the language of the screen.
    fn press(&mut self, label: &str) {
        self.hands.press_like(label, |said| said == label);
    }

    /// Presses what begins so, already in the language of the screen.
    fn press_begun(&mut self, label: &str) {
        self.hands.press_like(label, |said| said.starts_with(label));
    }

    fn say(&self, english: &str) -> String {
        self.hands.say(english)
    }
}

fn described_and_mended(size: (u32, u32), language: &'static str, by: By) {
    let mut store = Store::of(size, language, by, Desktop::new());
    println!("## From More: nothing is there, and that is said");
    if by == By::Touch {
        store.to(Screen::Today);
        store.hands.press("More");
        store.hands.press_row("Kit");
    } else {
        store.to(Screen::Kit);
    }
    assert_eq!(store.hands.stage.shell.route().screen, Screen::Kit);
    let nothing = store.say("No piece of kit is described yet.");
    assert!(store.hands.reads(|said| said == nothing));
    println!("## A piece is described");
    store.hands.press("A new piece");
    store.hands.press("Regulator");
    store.hands.write("Number on it", "12");
    store.hands.write("Size", "M");
    store.hands.press("Keep the piece");
    let row = store.piece(&KitKind::Regulator, "12");
    assert_eq!(row.state, KitState::Free);
    assert_eq!(row.details.size, "M");
    let route = store.hands.stage.shell.route();
    assert_eq!(route.piece.as_deref(), Some(row.piece.as_str()));
    println!("## A day that cannot be is said, and nothing is changed");
    let app = store.hands.stage.app.clone_strong();
    let door = app.global::<PieceDoor>();
    store
        .hands
        .write("Service due: day, month, year", "31 02 2031");
    store.hands.press("Keep the piece");
    assert_ne!(door.get_refused(), "");
    assert!(store.piece(&KitKind::Regulator, "12").service_due.is_none());
    store
        .hands
        .rewrite("Service due: day, month, year", "31 02 2031", "28 02 2031");
    store.hands.press("Keep the piece");
    assert_eq!(door.get_refused(), "");
    let due = store.piece(&KitKind::Regulator, "12").service_due.unwrap();
    assert_eq!(due.date.to_string(), "2031-02-28");
    println!("## A fault takes it out, until it is mended");
    store.hands.write("What is wrong with it", "hose leaks");
    store.hands.press("Report the fault");
    let state = |store: &Store| store.piece(&KitKind::Regulator, "12").state;
    assert_eq!(state(&store), KitState::Faulty);
    let faulty = store.say("Faulty");
    assert!(store.hands.reads(|said| said == faulty));
    let name = format!("piece-{language}-{}", size.0);
    store.hands.stage.save(&name);
    let mended = format!("{}: hose leaks", store.say("Mended"));
    store.press(&mended);
    store.hands.write("How it was mended", "new hose");
    let keep = format!("{}: hose leaks", store.say("Keep it as mended"));
    store.press(&keep);
    assert_eq!(state(&store), KitState::Free);
    let said = store.piece(&KitKind::Regulator, "12").faults[0].clone();
    assert_eq!(said.mended.unwrap().how, "new hose");
    println!("## Taken back by the one Undo");
    store.hands.press("Undo");
    assert_eq!(state(&store), KitState::Faulty);
    println!("## In the list it stands among what is to be seen to");
    store.to(Screen::Kit);
    let kit = app.global::<KitDoor>();
    assert_eq!(kit.get_care().row_count(), 1);
    let line = kit.get_care().row_data(0).unwrap();
    assert!(line.loud && line.says.contains(&faulty), "{}", line.says);
    store
        .hands
        .stage
        .save(&format!("kit-{language}-{}", size.0));
    println!("## Out of use for good, under its own head");
    let title = line.title.to_string();
    store.press_begun(&format!("{title}, "));
    store.hands.write("Why it goes out of use", "worn");
    store.hands.press("Take it out of use");
    assert_eq!(state(&store), KitState::Retired);
    store.to(Screen::Kit);
    assert_eq!(kit.get_care().row_count(), 0);
    let retired = store.say("Retired");
    store.press_begun(&format!("{retired}, "));
    assert_eq!(kit.get_pieces().row_count(), 1);
}

#[test]
fn a_piece_is_described_found_faulty_mended_and_retired() {
    roomy(|| described_and_mended(PHONE, "en", By::Touch));
    roomy(|| described_and_mended(TABLET, "de", By::Touch));
}

#[test]
fn the_same_is_done_by_keys_alone() {
    roomy(|| described_and_mended(TABLET, "en", By::Keys));
}

fn issued_and_back(size: (u32, u32), language: &'static str) {
    let mut store = Store::of(size, language, By::Touch, Desktop::new());
    store.has(KitKind::Suit, "1", "L", None);
    store.has(KitKind::Suit, "2", "M", None);
    store.has(KitKind::Fins, "4", "42", None);
    store.has(KitKind::Regulator, "7", "", None);
    store.has(KitKind::Regulator, "8", "", Some(-30));
    println!("## Sizes are said on the student's page");
    let student = store.students[0].clone();
    let route = Route::to(Screen::Student).course(store.course.clone());
    store.hands.stage.open(
        route
            .session(store.session.clone())
            .student(student.clone()),
    );
    store.hands.press_row("Sizes");
    store.hands.write("Suit", "L");
    store.hands.press("Fins");
    store
        .hands
        .stage
        .save(&format!("sizes-{language}-{}", size.0));
    store.hands.press("Keep the sizes");
    let sizes = seen(store.desk().sizes(store.course.clone(), student));
    let sizes = sizes.sizes.unwrap();
    assert_eq!(sizes.suit, "L");
    assert_eq!(sizes.own, [KitKind::Fins]);
    let app = store.hands.stage.app.clone_strong();
    let said = app.global::<SizesDoor>().get_says();
    assert!(said.contains(&format!("{} L", store.say("Suit"))), "{said}");
    println!("## From the water: who gets what for the session that is counted, and back again");
    store.to(Screen::Water);
    store.hands.press("Kit for the session");
    let at = store.hands.stage.shell.route();
    assert_eq!(at.screen, Screen::Issue);
    assert_eq!(at.session.as_ref(), Some(&store.session));
    store.hands.stage.shell.back();
    settle();
    assert_eq!(store.hands.stage.shell.route().screen, Screen::Water);
    println!("## From the plan: a row a person, and one tap issues what is proposed");
    store.to(Screen::Plan);
    store.hands.press("Kit for the session");
    assert_eq!(store.hands.stage.shell.route().screen, Screen::Issue);
    store.press_begun("Baldo Cantavento, ");
    let before = store.hands.taps;
    let suit = format!("{} (L)", store.say("Suit"));
    let one = store.say("Issue {0}").replace("{0}", "1");
    store.press(&format!("{one}: {suit}"));
    assert_eq!(store.hands.taps, before + 1);
    assert_eq!(store.stands(0, &KitKind::Suit), KitLineState::Issued);
    assert_eq!(store.stands(0, &KitKind::Fins), KitLineState::Own);
    assert_eq!(store.piece(&KitKind::Suit, "1").state, KitState::Out);
    println!("## Past its date: asked for a reason, in words, and not issued without");
    let another = format!("{}: Baldo Cantavento", store.say("Another piece"));
    store.press(&another);
    store.hands.press("Regulator");
    let eight = format!("{} 8", store.say("Regulator"));
    store.press_begun(&format!("{eight}, "));
    assert_eq!(store.piece(&KitKind::Regulator, "8").out.len(), 0);
    let says = app.global::<IssueDoor>().get_asks_says();
    assert!(says.contains(&eight), "{says}");
    assert!(store.hands.reads(|said| said == says.as_str()));
    store
        .hands
        .stage
        .save(&format!("issue-asks-{language}-{}", size.0));
    store
        .hands
        .write("Why it is issued all the same", "checked by hand");
    store.hands.press("Issue it all the same");
    let out = store.piece(&KitKind::Regulator, "8").out[0].clone();
    assert_eq!(out.despite.as_deref(), Some("checked by hand"));
    println!("## It is said on the list, on the plan's row and on the student's page");
    assert_eq!(app.global::<IssueDoor>().get_wrong(), 1);
    let people = app.global::<IssueDoor>().get_people();
    let mut rows = people.iter();
    let baldo = rows.find(|row| row.name == "Baldo Cantavento").unwrap();
    assert!(
        baldo.wrong == 1 && baldo.says.contains(&eight),
        "{}",
        baldo.says
    );
    store
        .hands
        .stage
        .save(&format!("issue-{language}-{}", size.0));
    println!("## Back by one tap, and taken back by the one Undo");
    let back = store.say("It is back");
    let named = format!("{} 1 (L)", store.say("Suit"));
    store.press(&format!("{back}: {named}"));
    assert_eq!(store.piece(&KitKind::Suit, "1").state, KitState::Free);
    store.hands.press("Undo");
    assert_eq!(store.piece(&KitKind::Suit, "1").state, KitState::Out);
    println!("## Back with a fault: it is faulty then, and with nobody");
    let fault = format!("{}: Baldo Cantavento", store.say("A piece has a fault"));
    store.press(&fault);
    store.press(&eight);
    store.hands.write("What is wrong with it", "free-flows");
    store.hands.press("It is back, with this fault");
    let eight = store.piece(&KitKind::Regulator, "8");
    assert_eq!(eight.state, KitState::Faulty);
    assert!(eight.out.is_empty());
    assert_eq!(eight.faults[0].what, "free-flows");
}

#[test]
fn kit_is_issued_by_one_tap_with_a_reason_where_one_is_asked_and_taken_back() {
    roomy(|| issued_and_back(PHONE, "en"));
    roomy(|| issued_and_back(TABLET, "de"));
}

#[test]
fn all_that_is_proposed_for_one_goes_out_in_one_press_and_comes_back_in_one() {
    roomy(|| {
        let mut store = Store::of(PHONE, "en", By::Touch, Desktop::new());
        store.has(KitKind::Suit, "2", "M", None);
        store.has(KitKind::Fins, "4", "42", None);
        store.has(KitKind::Regulator, "7", "", None);
        seen(store.desk().record(Request::SetSizes {
            course: store.course.clone(),
            student: store.students[0].clone(),
            sizes: Sizes {
                suit: "m".into(),
                boots: String::new(),
                fins: "42".into(),
                mask: String::new(),
                bcd: String::new(),
                own: Vec::new(),
            },
        }));
        store.to(Screen::Issue);
        store.press_begun("Baldo Cantavento, ");
        store.press("Issue all 3 that are proposed: Baldo Cantavento");
        assert_eq!(seen(store.desk().kit()).out, 3);
        let app = store.hands.stage.app.clone_strong();
        assert_eq!(app.global::<IssueDoor>().get_proposals(), 0);
        println!("## What one has, another is not offered");
        store.press_begun("Emil Quatrefaire, ");
        let choices = || app.global::<IssueDoor>().get_choices().row_count();
        store.press("Choose: Regulator");
        assert_eq!(choices(), 1, "below the line that lacks it");
        store.press("Choose: Regulator");
        assert_eq!(choices(), 0, "a second press ends it");
        store.press("Another piece: Emil Quatrefaire");
        store.press("Regulator");
        let choices = app.global::<IssueDoor>().get_choices();
        assert_eq!(choices.row_count(), 1);
        assert_eq!(choices.row_data(0).unwrap().stands, 1);
        let row = store
            .hands
            .stage
            .find(|said| said.starts_with("Regulator 7, "));
        assert_eq!(row.unwrap().accessible_enabled(), Some(false));
        println!("## Everything back");
        store.press_begun("Baldo Cantavento, ");
        store.press("Everything is back: Baldo Cantavento");
        assert_eq!(seen(store.desk().kit()).out, 0);
        println!("## And one Undo brings all of it out again");
        store.hands.press("Undo");
        assert_eq!(seen(store.desk().kit()).out, 3);
    });
}

#[test]
fn a_list_of_kit_is_chosen_by_the_systems_own_way_and_taken_whole_or_not_at_all() {
    roomy(|| {
        let folder = TempDir::new().unwrap();
        let path = folder.path().join("kit.csv");
        let mut desktop = Desktop::new();
        desktop.roster = Some(path.clone());
        let mut store = Store::of(PHONE, "en", By::Touch, desktop);
        store.to(Screen::Kit);
        let app = store.hands.stage.app.clone_strong();
        let door = app.global::<KitDoor>();
        std::fs::write(&path, "kind,number,size\nsubmarine,1,\nsuit,2,L\n").unwrap();
        store.hands.press("Take in a list of kit");
        assert_eq!(door.get_refused().row_count(), 1);
        let said = door.get_refused().row_data(0).unwrap();
        assert!(said.starts_with("Line 2: "), "{said}");
        assert!(store.pieces().is_empty());
        println!("## Mended, it is taken whole; pieces in use are left out unless it is asked for");
        std::fs::write(&path, "kind,number,size\nfins,1,42\nsuit,2,L\n").unwrap();
        store.hands.press("Take in a list of kit");
        assert_eq!(door.get_refused().row_count(), 0);
        assert_eq!(store.pieces().len(), 2);
        std::fs::write(&path, "kind,number,size\nsuit,2,XL\n").unwrap();
        store.hands.press("Take in a list of kit");
        assert_eq!(store.piece(&KitKind::Suit, "2").details.size, "L");
        store.hands.press("The list describes pieces in use anew");
        store.hands.press("Take in a list of kit");
        assert_eq!(store.piece(&KitKind::Suit, "2").details.size, "XL");
        println!("## Printed and written, where the system shows it");
        for press in ["Print the list of the kit", "Write the kit as CSV"] {
            store.hands.press(press);
            let shown = store.hands.desktop.shown.take().unwrap();
            assert!(shown.is_file(), "{press}");
        }
    });
}

/// Everything that is pressed and read stands inside the window, and a finger gets its size.
fn fits(stage: &Stage, what: &str) {
    stage.picture();
    let width = stage.app.window().size().width as f32;
    let frame = |one: &ElementHandle| (one.absolute_position().x, one.size());
    for role in [AccessibleRole::Button, AccessibleRole::Text] {
        for one in stage.all(role) {
            let (left, size) = frame(&one);
            let label = one.accessible_label().unwrap_or_default();
            assert!(
                left >= -1.0 && left + size.width <= width + 1.0,
                "{label:?} of {what} stands at {left} to {}",
                left + size.width
            );
            if role == AccessibleRole::Button {
                assert!(!label.trim().is_empty(), "a button without a name: {what}");
                assert!(
                    size.width >= LEAST && size.height >= LEAST,
                    "{label:?} of {what} is {size:?}"
                );
            }
        }
    }
}

#[test]
fn nothing_of_the_kit_runs_off_a_small_phone_in_german_at_twice_its_size() {
    roomy(|| {
        for (size, scale) in [(SMALL, 1.0), (SMALL, 2.0), (PHONE, 2.0), (TABLET, 2.0)] {
            let store = Store::of(size, "de", By::Touch, Desktop::new());
            store.has(KitKind::Regulator, "A-12345", "groß", Some(-30));
            store.has(KitKind::Suit, "1", "L", None);
            let stage = &store.hands.stage;
            stage.app.global::<Type>().set_scale(scale);
            let named = |what: &str| format!("kit-{what}-de-{}-{scale}", size.0);
            store.to(Screen::Kit);
            let door = stage.app.global::<KitDoor>();
            door.invoke_choose(5);
            settle();
            fits(stage, &named("list"));
            stage.save(&named("list"));
            let piece = store.piece(&KitKind::Regulator, "A-12345").piece;
            stage.open(Route::to(Screen::Piece).piece(piece));
            settle();
            fits(stage, &named("piece"));
            stage.save(&named("piece"));
            store.to(Screen::Issue);
            let door = stage.app.global::<IssueDoor>();
            door.invoke_choose(store.students[0].clone().into());
            door.invoke_another();
            door.invoke_choose_kind("5".into());
            settle();
            assert_eq!(door.get_choices().row_count(), 1);
            fits(stage, &named("issue"));
            stage.save(&named("issue"));
            let route = Route::to(Screen::Student).course(store.course.clone());
            stage.open(route.student(store.students[0].clone()));
            stage.app.global::<SizesDoor>().invoke_turn();
            settle();
            fits(stage, &named("sizes"));
        }
    });
}
