//! Gas, limits and what the marks say: the screens show what the border has reckoned.

use slint::{ComponentHandle, Model as _};
use tallywater::ui::{AppDoor, JudgingDoor, LimitsDoor, Load, PlanDoor, PlanField, Screen, Turns};
use tallywater_bindings::{NoStopLimit, TurnPoint, TurnRule};

use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen, settle};

#[test]
fn limits_show_who_turns_first_and_what_is_left_and_follow_the_rule() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let hand = stage.hand(Screen::Limits);
        let (course, session) = (hand.course.clone().unwrap(), hand.session.clone().unwrap());
        stage.open(hand);
        let door = stage.app.global::<LimitsDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        let gas = |rule| seen(stage.desk().gas(course.clone(), session.clone(), rule));
        let turns = |rule| -> Vec<String> {
            let of = |row: &tallywater_bindings::GasRow| match &row.reserve.as_ref().unwrap().turn {
                TurnPoint::At { pressure, .. } => pressure.text.clone(),
                TurnPoint::NotEnough { .. } => String::new(),
            };
            gas(rule).students.iter().map(of).collect()
        };
        let shown = || -> Vec<String> {
            let students = door.get_students();
            let lines = students.iter();
            lines
                .map(|line| {
                    assert_eq!(line.turns, Turns::At);
                    line.turn
                        .split('\u{a0}')
                        .next()
                        .unwrap()
                        .split(' ')
                        .next()
                        .unwrap()
                        .to_owned()
                })
                .collect()
        };
        assert!(!shown().is_empty());
        assert_eq!(shown(), turns(TurnRule::ThereAndBack));
        // Where all turn alike nobody is said to turn first.
        let alike = turns(TurnRule::ThereAndBack)
            .windows(2)
            .all(|two| two[0] == two[1]);
        let first = door.get_students().iter().filter(|line| line.first).count();
        assert_eq!(first, usize::from(!alike));
        door.invoke_set_rule(0);
        settle();
        assert_eq!(shown(), turns(TurnRule::DirectAscent));
        assert_ne!(turns(TurnRule::DirectAscent), turns(TurnRule::ThereAndBack));

        let day = seen(stage.desk().exposure(course, session, false)).unwrap();
        assert_eq!(door.get_people().row_count(), day.people.len());
        let left = match day.limit.unwrap() {
            NoStopLimit::Minutes { minutes } => minutes.text,
            NoStopLimit::Unlimited => "No limit".to_owned(),
        };
        assert!(door.get_view().left.starts_with(&left), "{left}");
        assert_ne!(door.get_gas_caution(), "");
        assert_ne!(door.get_time_caution(), "");
    });
}

#[test]
fn a_height_that_is_planned_is_on_the_limits_and_who_lives_there_has_longer() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Plan));
        let plan = stage.app.global::<PlanDoor>();
        let type_in = |field, text: &str| {
            plan.invoke_edit(field);
            for key in text.chars() {
                plan.invoke_key(key.to_string().into());
            }
            plan.invoke_done();
            settle();
            assert_eq!(plan.get_field_fault(), "");
        };
        // A lake in the mountains: no pool is so deep or so high.
        plan.invoke_set_title("Open water 2: first dive".into());
        plan.invoke_set_site("Quarry Mere, east jetty".into());
        plan.invoke_set_setting(3);
        settle();
        type_in(PlanField::Depth, "18");
        type_in(PlanField::Altitude, "1400");
        assert!(plan.get_view().altitude.starts_with("1400"));
        plan.invoke_record();
        settle();
        stage.open(stage.hand(Screen::Limits));
        let door = stage.app.global::<LimitsDoor>();
        let minutes = || -> u32 {
            let left = door.get_view().left;
            let digits: String = left.chars().take_while(char::is_ascii_digit).collect();
            digits.parse().unwrap()
        };
        assert!(door.get_view().height.starts_with("1400"));
        stage.save("limits-height");
        let came_up = minutes();
        door.invoke_set_live_there(true);
        settle();
        assert!(minutes() > came_up, "{came_up}");
    });
}

#[test]
fn gas_and_limits_of_a_session_are_one_press_from_its_plan_and_say_whose_they_are() {
    roomy(|| {
        let stage = Stage::demo(390, 844);
        let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
        let plan = hands.stage.hand(Screen::Plan);
        hands.stage.open(plan.clone());
        hands.press("Gas and limits");
        let route = hands.stage.shell.route();
        assert_eq!(route.screen, Screen::Limits);
        assert_eq!((route.course, route.session), (plan.course, plan.session));
        println!("## Name and day stand under the title, there and on the others about a session");
        let named = [
            Screen::Limits,
            Screen::Slate,
            Screen::Debrief,
            Screen::Emergency,
            Screen::Cards,
        ];
        for screen in named {
            hands.stage.open(hands.stage.hand(screen));
            let under = hands.stage.app.global::<AppDoor>().get_subtitle();
            assert!(under.contains("Today"), "{screen:?}: {under}");
        }
    });
}

#[test]
fn what_the_marks_say_is_what_the_border_counts() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let hand = stage.hand(Screen::Judging);
        let said = seen(stage.desk().judging(hand.course.clone().unwrap()));
        stage.open(hand);
        let door = stage.app.global::<JudgingDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        assert_eq!(door.get_skills().row_count(), said.skills.len());
        assert_eq!(door.get_judges().row_count(), said.judges.len());
        let first = door.get_skills().row_data(0).unwrap();
        assert_eq!(first.name.as_str(), said.skills[0].name);
        assert_ne!(door.get_caution(), "");
    });
}
