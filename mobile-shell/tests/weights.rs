//! Dives and weights: how a recorded dive came up is said, and a student's next weight check
//! begins with the last that held.

use slint::{ComponentHandle, Model as _};
use tallywater::ui::{CalcDoor, Climb, DivesDoor, FieldRow, Load, Screen};
use tallywater_bindings::{Request, WaterKind, WeightCheck, WeightVerdict};

use crate::support::{Stage, roomy, seen, settle};

fn field(door: &CalcDoor<'_>, id: &str) -> (i32, FieldRow) {
    let fields: Vec<FieldRow> = door.get_fields().iter().collect();
    let place = fields.iter().position(|field| field.id == id).unwrap();
    (i32::try_from(place).unwrap(), fields[place].clone())
}

#[test]
fn a_recorded_dive_says_how_it_came_up() {
    roomy(|| {
        // The course that is finished lies at the shop.
        let stage = Stage::shop(1280, 800);
        let view = seen(stage.desk().course_list(None));
        let dived = view.rows.iter().find_map(|row| {
            let water = seen(stage.desk().water(row.course.to_string(), None));
            water
                .dives
                .iter()
                .any(|dive| dive.climb.is_some())
                .then(|| row.course.to_string())
        });
        stage.open(tallywater::shell::Route::to(Screen::Dives).course(dived.unwrap()));
        let door = stage.app.global::<DivesDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        let dives: Vec<_> = door.get_dives().iter().collect();
        let known = dives.iter().find(|dive| dive.climb != Climb::None).unwrap();
        assert_eq!(known.climb, Climb::Within);
        assert!(known.fastest.ends_with("m/min"), "{}", known.fastest);
        assert!(known.stop.starts_with("3:"), "{}", known.stop);
        // Not every diver has a computer; of such a dive nothing is said.
        let unknown = dives.iter().find(|dive| dive.climb == Climb::None).unwrap();
        assert_eq!(unknown.fastest, "");
        stage.save("dives-recorded");
    });
}

#[test]
fn the_next_check_begins_with_the_last_that_held_and_what_is_worn_is_held_against_it() {
    roomy(|| {
        // So high that the row under the demo's own weight checks and this one is in reach.
        let stage = Stage::demo(1280, 1000);
        let hand = stage.hand(Screen::Dives);
        let course = hand.course.clone().unwrap();
        let student = seen(stage.desk().water(course.clone(), None)).leads[0]
            .student
            .clone();
        let check = WeightCheck {
            lead_g: 6_500,
            water: WaterKind::Fresh,
            suit: "7 mm".into(),
            capacity_dl: 111,
            cylinder: "Aluminium".into(),
            pressure_mbar: 60_000,
            verdict: WeightVerdict::Right,
        };
        seen(stage.desk().record(Request::CheckWeight {
            course,
            student: student.student.to_string(),
            session: None,
            check,
        }));
        stage.open(hand);
        let row = stage.find(|label| label.starts_with(&student.name) && label.contains("checked"));
        stage.touch(crate::support::middle(&row.unwrap()), 80);
        let door = stage.app.global::<CalcDoor>();
        assert_eq!(stage.shell.route().screen, Screen::Calculators);
        assert_eq!(door.get_open(), "LeadChange");
        assert_eq!(door.get_whose(), student.name.as_str());
        assert!(door.get_about().contains("7 mm"), "{}", door.get_about());
        assert_eq!(field(&door, "checked_lead").1.text, "6.5");
        assert_eq!(field(&door, "checked_pressure").1.text, "60");
        let cylinder = field(&door, "checked_cylinder").1;
        let chosen = cylinder.choices.row_data(cylinder.chosen as usize).unwrap();
        assert!(
            chosen.contains("11"),
            "an aluminium cylinder of 11 litres: {chosen}"
        );
        // The suit in words, as it was recorded, taken for what it says.
        for suit in ["checked_suit_thickness", "suit_thickness"] {
            assert_eq!(field(&door, suit).1.text, "7", "{suit}");
        }
        let suit = field(&door, "checked_suit_kind").1;
        let chosen = suit.choices.row_data(suit.chosen as usize).unwrap();
        assert_eq!(chosen, "One-piece");
        for (key, text) in [("body_height", "175"), ("body_mass", "75")] {
            assert_eq!(field(&door, key).1.text, "", "nobody's body");
            door.invoke_edit(field(&door, key).0);
            for key in text.chars() {
                door.invoke_key(key.to_string().into());
            }
        }
        settle();
        assert_eq!(
            door.get_checks().row_count(),
            7,
            "what the water must confirm"
        );
        stage.save("lead-of-a-student");

        println!("## Far too much lead");
        let answers = || {
            door.get_answers()
                .iter()
                .map(|one| one.name)
                .collect::<Vec<_>>()
        };
        let before = answers();
        door.invoke_edit(field(&door, "worn_lead").0);
        for key in ["1", "8"] {
            door.invoke_key(key.into());
        }
        settle();
        let more: Vec<_> = answers()
            .into_iter()
            .filter(|name| !before.contains(name))
            .collect();
        assert_eq!(more.len(), 2, "by how much, and the gas it wants: {more:?}");
        stage.save("lead-too-heavy");

        println!("## News leaves what was typed");
        stage.shell.take_news();
        assert_eq!(field(&door, "worn_lead").1.text, "18");

        println!("## A calculation about nobody is about nobody");
        door.invoke_choose("SurfaceRate".into());
        settle();
        assert_eq!((door.get_whose(), door.get_about()), ("".into(), "".into()));

        println!("## Without a check an estimate is asked for");
        let water = seen(
            stage
                .desk()
                .water(stage.hand(Screen::Dives).course.unwrap(), None),
        );
        let none = water.leads.iter().find(|one| one.last.is_none()).unwrap();
        let route = stage.hand(Screen::Calculators);
        stage.open(route.student(none.student.student.to_string()));
        assert_eq!(door.get_open(), "LeadStart");
        assert_eq!(door.get_about(), "");
    });
}
