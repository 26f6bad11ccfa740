//! From an empty folder, by fingers or by keys alone, with no demo: to the first mark that
//! counts, and on to a closed course.

mod after;
mod whole;

use slint::ComponentHandle;
use tallywater::ui::{AppDoor, Screen};
use tallywater_bindings::{CellState, ClearanceState, Columns, CourseStage, Scope};

use crate::hands::{By, Desktop, Hands};
use crate::reckoning::seconds;
use crate::support::{Stage, roomy, seen};

pub(crate) const STUDENTS: [&str; 2] = ["Ottilie Brandvoll", "Émile Quatrefaire"];

/// At most so many taps and fields to the first mark that counts.
const MOST: u32 = 25;

/// In less than so many seconds, as reckoned for fingers.
const LONGEST: f64 = 120.0;

/// The screen that is shown.
pub(crate) fn screen(hands: &Hands) -> Screen {
    hands.stage.app.global::<AppDoor>().get_screen()
}

/// From first start to a course with two students.
pub(crate) fn open_a_course(hands: &mut Hands, language: &'static str) -> String {
    println!("## First start: one screen");
    assert_eq!(screen(hands), Screen::FirstStart);
    if language == "de" {
        hands.press_like("Deutsch", |said| said.ends_with(": Deutsch"));
        hands.speaks("de");
    }
    hands.write(
        "Your name, as it is printed beside your marks",
        "Tove Askildsen",
    );
    hands.enter();
    hands.write(
        "Name of your school; left empty, it is your own name",
        "Tarn School",
    );
    hands.enter();
    assert_eq!(screen(hands), Screen::Today);

    println!("## A course: the first thing to do");
    hands.press("New course");
    hands.write("Title", "First dives, June");
    hands.write("Place, where it is usually held", "Hollow Lane pool");
    hands.press("Read the rules");
    hands.write(
        "Which text did you read? Its title, or: house decision",
        "House decision",
    );
    hands.press("I have read these rules and confirm them");
    hands.press("Open the course");
    assert_eq!(screen(hands), Screen::Enrol);
    let course = hands.stage.shell.route().course.unwrap();
    let view = seen(hands.stage.desk().course(course.clone()));
    assert_eq!(view.title, "First dives, June");
    assert_eq!(view.place.as_deref(), Some("Hollow Lane pool"));
    assert!(view.staff[0].own && view.staff[0].assigned.is_some());

    println!("## Its students: a name and Enter each");
    for name in STUDENTS {
        hands.write("Name, as the person writes it", name);
        hands.enter();
    }
    let records = seen(hands.stage.desk().records(course.clone()));
    assert_eq!(records.rows.len(), STUDENTS.len());
    course
}

/// Their health declarations, a session from the outline, and the first mark.
pub(crate) fn to_the_first_mark(hands: &mut Hands, course: &str) {
    println!("## Forms: one press a cell");
    hands.press("Forms and checks");
    let cell = format!(": {}", hands.say("Missing"));
    let health = hands.say("Health declaration");
    for name in STUDENTS {
        let label = format!("{name}, {health}{cell}");
        hands.press_like(&label, |said| said == label);
    }
    let forms = seen(hands.stage.desk().forms(course.to_owned()));
    let health = forms.rows.iter().map(|row| &row.cells[0].state);
    assert!(
        health
            .into_iter()
            .all(|state| *state == ClearanceState::Cleared)
    );

    println!("## A session, with everything filled in");
    hands.press("Plan a session");
    hands.stage.save("from-nothing-plan");
    hands.press("Plan it");
    hands.stage.save("from-nothing-planned");
    let sessions = seen(hands.stage.desk().session_list(course.to_owned())).rows;
    assert_eq!(sessions.len(), 1);
    assert_eq!(sessions[0].students, 2);
    assert_eq!(sessions[0].site, "Hollow Lane pool");

    println!("## The first mark that counts");
    hands.press("Board");
    let board = seen(
        hands
            .stage
            .desk()
            .board(course.to_owned(), None, Columns::All),
    );
    let session = sessions[0].session.to_string();
    let planned = seen(hands.stage.desk().session_plan(course.to_owned(), session));
    let skill = planned.run_list[0].clone();
    let place = board
        .columns
        .iter()
        .position(|one| one.skill == skill)
        .unwrap();
    let (row, name) = (&board.rows[0], board.columns[place].name.clone());
    let begins = format!("{}, {name}: ", row.name.short);
    hands.press_cell(0, place, &begins);
    let met = format!("{}: {}", row.name.short, hands.say("Met"));
    hands.press_like(&met, |said| said == met);
    let board = seen(
        hands
            .stage
            .desk()
            .board(course.to_owned(), None, Columns::All),
    );
    let cell = board.rows[0].cells.iter().find(|cell| cell.skill == skill);
    assert_eq!(cell.unwrap().state, CellState::Met);
    // The panel of a try keeps the keys to itself until it is left.
    if hands.by == By::Keys {
        hands.leave();
    }
}

/// What is missing is printed, and the course closed, with one undo between.
fn to_the_archive(hands: &mut Hands, course: &str) {
    println!("## The list to chase, shown by the system");
    hands.press("More");
    hands.press_row("Forms and checks");
    hands.press("Print what is missing");
    let shown = hands.desktop.shown.take().unwrap();
    assert!(shown.extension().is_some_and(|end| end == "pdf"));
    assert!(std::fs::read(shown).unwrap().starts_with(b"%PDF"));

    println!("## The course is closed, and that is taken back, and done again");
    let closed = |hands: &Hands| {
        let view = seen(hands.stage.desk().course(course.to_owned()));
        view.stage == Some(CourseStage::Closed)
    };
    hands.press("More");
    hands.press_row("Course settings");
    hands.press("Close the course");
    assert!(!closed(hands), "one press ends nothing");
    hands.press("Close it");
    assert!(closed(hands));
    hands.press("Undo");
    assert!(!closed(hands));
    hands.press("Close the course");
    hands.press("Close it");
    hands.press("Today");
    let today = seen(hands.stage.desk().today());
    assert!(today.courses.is_empty() && today.sessions.is_empty());
    let list = seen(hands.stage.desk().course_list(None));
    assert_eq!(list.ended, 1);
}

fn the_way(size: (u32, u32), by: By, language: &'static str, whole: bool) {
    let stage = Stage::new(size.0, size.1);
    let mut hands = Hands::on(stage, Desktop::new(), by);
    let course = open_a_course(&mut hands, language);
    let begun = Scope::Course {
        course: course.clone(),
    };
    let outline = seen(hands.stage.desk().outline(begun)).outline;
    let first = match language {
        "de" => "Ausrüstung aufbauen",
        _ => "Kit assembly",
    };
    assert_eq!(outline.skills[0].name, first);
    to_the_first_mark(&mut hands, &course);
    let most = hands.taps + hands.fields;
    println!(
        "{} taps and {} fields, {language}",
        hands.taps, hands.fields
    );
    assert!(most <= MOST, "{most} taps and fields to the first mark");
    let seconds = seconds(&hands);
    println!(
        "{seconds:.0} s by the keystroke-level model, {language}; the page was drawn {} times",
        hands.strokes.get()
    );
    // By keys alone the way there is a walk through everything that can be pressed.
    if by == By::Touch {
        assert!(seconds < LONGEST, "{seconds:.0} s to the first mark");
    }
    if whole {
        whole::to_the_record(&mut hands, &course, STUDENTS[0]);
        println!("{} taps to a completed record", hands.taps);
    }
    to_the_archive(&mut hands, &course);
}

#[test]
fn a_stranger_on_a_phone_comes_to_the_first_mark_with_few_taps() {
    roomy(|| the_way((390, 844), By::Touch, "en", true));
    roomy(|| the_way((390, 844), By::Touch, "de", false));
}

#[test]
fn a_stranger_on_a_tablet_comes_to_the_first_mark_with_few_taps() {
    roomy(|| the_way((800, 1280), By::Touch, "en", false));
    roomy(|| the_way((1280, 800), By::Touch, "de", true));
}

#[test]
fn a_stranger_with_a_keyboard_alone_comes_to_a_completed_record() {
    roomy(|| the_way((1280, 800), By::Keys, "en", true));
}

#[test]
fn a_stranger_with_a_german_keyboard_alone_comes_to_the_first_mark() {
    roomy(|| the_way((1280, 800), By::Keys, "de", false));
}
