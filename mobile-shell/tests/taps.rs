//! What the everyday acts cost in taps, played by touches from Today, and never more than that.

use slint::{ComponentHandle, Model as _};
use tallywater::ui::{LimitsDoor, LineUpDoor, Load, RecordDoor, Screen, TodayDoor};

use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen};

fn at_today() -> Hands {
    let hands = Hands::on(Stage::demo(1280, 800), Desktop::new(), By::Touch);
    let route = hands.stage.hand(Screen::Today);
    hands.stage.open(route);
    assert_eq!(
        hands.stage.app.global::<TodayDoor>().get_load(),
        Load::Ready
    );
    hands
}

fn begins(hands: &mut Hands, words: &str) {
    hands.press_like(words, |said| said.starts_with(words));
}

/// Says what it cost, and holds it to that.
fn at_most(hands: &Hands, what: &str, most: u32) {
    let cost = hands.taps + hands.fields;
    println!("{what}: {cost} taps");
    assert!(cost <= most, "{what}: {cost} taps, at most {most}");
}

#[test]
fn eight_students_are_marked_on_one_skill_with_a_tap_each_and_one_takes_it_back() {
    roomy(|| {
        let mut hands = at_today();
        begins(&mut hands, "Board: Pool 3");
        hands.press_like("a skill's line-up", |said| {
            said.ends_with("Controlled descent, line-up")
        });
        at_most(&hands, "to a skill's line-up", 2);
        hands.taps = 0;
        let rows = hands.stage.app.global::<LineUpDoor>().get_rows();
        let names: Vec<String> = rows.iter().map(|row| row.called.to_string()).collect();
        for name in &names {
            hands.press(&format!("{name}: Met"));
        }
        let marked = u32::try_from(names.len()).unwrap();
        assert!(marked >= 6, "{names:?}");
        at_most(&hands, &format!("mark {marked} students"), marked);
        hands.taps = 0;
        hands.press("Undo");
        at_most(&hands, "undo", 1);
    });
}

#[test]
fn settling_confirming_and_counting_heads_cost_few_taps() {
    roomy(|| {
        let mut hands = at_today();
        begins(&mut hands, "Marks differ: you decide");
        begins(&mut hands, "Émile: Met");
        at_most(&hands, "settle two marks", 3);

        let mut hands = at_today();
        begins(&mut hands, "3 marks to confirm");
        hands.press("Confirm 3 marks");
        at_most(&hands, "confirm three marks", 2);
        let course = hands.stage.hand(Screen::Records).course.unwrap();
        assert!(seen(hands.stage.desk().records(course)).waiting.is_empty());

        let mut hands = at_today();
        begins(&mut hands, "Water: Pool 3");
        begins(&mut hands, "Émile: Out");
        at_most(&hands, "count one out", 2);
    });
}

#[test]
fn gas_and_limits_and_a_completed_record_are_found_quickly() {
    roomy(|| {
        let mut hands = at_today();
        hands.press("More");
        hands.press_row("Gas and limits");
        assert_eq!(
            hands.stage.app.global::<LimitsDoor>().get_load(),
            Load::Ready
        );
        at_most(&hands, "gas and limits", 2);

        let mut hands = at_today();
        hands.press("More");
        hands.press_row("Records and completion");
        begins(&mut hands, "Record Baldo");
        hands.press("Print the record");
        hands.press("Open it");
        assert!(hands.desktop.shown.take().is_some());
        assert_eq!(hands.stage.app.global::<RecordDoor>().get_refused(), "");
        at_most(&hands, "print and open a record", 5);
    });
}

#[test]
fn a_make_up_is_planned_and_a_student_enrolled_with_forms_in_few_taps() {
    roomy(|| {
        let mut hands = at_today();
        let course = hands.stage.hand(Screen::Students).course.unwrap();
        let planned = |hands: &Hands| {
            let list = hands.stage.desk().session_list(course.clone());
            seen(list).rows
        };
        let before = planned(&hands).len();
        hands.press("More");
        hands.press_row("Students");
        begins(&mut hands, "Ignatz Übelhör, ");
        hands.press("Plan a make-up");
        hands.stage.save("make-up");
        hands.press("Plan it");
        let after = planned(&hands);
        assert_eq!(after.len(), before + 1);
        let session = hands.stage.shell.route().session.unwrap();
        let row = after
            .into_iter()
            .find(|row| row.session == session)
            .unwrap();
        assert!(row.title.starts_with("Make-up: "), "{}", row.title);
        assert_eq!(row.students, 1);
        at_most(&hands, "plan a make-up", 6);

        let mut hands = at_today();
        hands.press("More");
        hands.press_row("Enrol");
        hands.write("Name, as the person writes it", "Tove Askildsen");
        hands.write("Born", "3 2 1990");
        hands.enter();
        hands.press("Forms and checks");
        for form in ["Health declaration", "Swim", "Float", "Theory result"] {
            let cell = format!("Tove Askildsen, {form}: Missing");
            hands.press(&cell);
        }
        let forms = seen(hands.stage.desk().forms(course.clone()));
        let row = forms
            .rows
            .iter()
            .find(|row| row.name.name == "Tove Askildsen");
        let open = row.unwrap().cells.iter();
        let open = open.filter(|cell| cell.state == tallywater_bindings::ClearanceState::Missing);
        assert_eq!(open.count(), 0);
        at_most(&hands, "enrol with four forms", 10);
    });
}
