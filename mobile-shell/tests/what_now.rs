//! What now, by touches: what is left of a session that is being held, from beside the headcount,
//! from the line-up and from the board; recorded only once the plan is saved.

use slint::{ComponentHandle, Model as _};
use tallywater::shell::Route;
use tallywater::ui::{NextDoor, PlanDoor, Screen};
use tallywater_bindings::{Request, SessionPlan};

use crate::hands::{By, Desktop, Hands};
use crate::support::{roomy, seen, settle};
use crate::surface::Class;

/// A class whose session began just now and lasts two hours, and the hands that move it.
struct Evening {
    hands: Hands,
    course: String,
    session: String,
    skill: String,
}

impl Evening {
    fn of(size: (u32, u32), language: &'static str) -> Self {
        let Class {
            stage,
            course,
            session,
            skills,
            ..
        } = Class::of(20, size);
        let desk = stage.desk();
        let me = seen(desk.state()).me.unwrap().name.staff;
        let plan = SessionPlan {
            starts: seen(desk.moment(None, 0)).at.to_rfc3339(),
            staff: vec![me.to_string()],
            minutes: 120,
            ..seen(desk.session_plan(course.clone(), session.clone()))
        };
        seen(desk.record(Request::PlanSession {
            course: course.clone(),
            session: Some(session.clone()),
            plan,
        }));
        let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
        slint::select_bundled_translation(language).unwrap();
        hands.speaks(language);
        Self {
            hands,
            course,
            session,
            skill: skills[0].clone(),
        }
    }

    fn to(&self, screen: Screen) {
        let route = Route::to(screen)
            .course(self.course.clone())
            .session(self.session.clone());
        self.hands.stage.open(route.skill(self.skill.clone()));
        self.hands.stage.shell.take_news();
        settle();
    }

    fn planned(&self) -> SessionPlan {
        let desk = self.hands.stage.desk();
        seen(desk.session_plan(self.course.clone(), self.session.clone()))
    }
}

fn worked_out(evening: &mut Evening) {
    for screen in [Screen::Water, Screen::LineUp, Screen::Board] {
        println!("## From {screen:?}: one tap");
        evening.to(screen);
        evening.hands.press("What now");
        assert_eq!(evening.hands.stage.shell.route().screen, Screen::Plan);
        let next = evening.hands.stage.app.global::<NextDoor>();
        assert_eq!(next.get_lacking(), "");
        assert!(next.get_stations().row_count() > 0, "no station");
        assert!(next.get_why().row_count() > 0, "no reason");
        assert!(evening.planned().stations.is_empty(), "nobody saved it");
    }
}

fn from_today(evening: &mut Evening) {
    println!("## From today's card of the session that runs: one tap");
    evening.hands.stage.open(Route::to(Screen::Today));
    evening.hands.stage.shell.take_news();
    settle();
    let label = format!("{}: Pool one", evening.hands.say("What now"));
    evening.hands.press_like(&label, |said| said == label);
    let route = evening.hands.stage.shell.route();
    assert_eq!(route.screen, Screen::Plan);
    assert_eq!(route.session.as_ref(), Some(&evening.session));
    let next = evening.hands.stage.app.global::<NextDoor>();
    assert!(next.get_stations().row_count() > 0, "no station");
    assert!(evening.planned().stations.is_empty(), "nobody saved it");
}

fn saved(evening: &mut Evening, second_tries: &str) {
    println!("## Second tries are said beside what they are kept for");
    let stations = evening.hands.stage.app.global::<NextDoor>().get_stations();
    let said: Vec<String> = stations
        .iter()
        .flat_map(|one| one.runs.iter().collect::<Vec<_>>())
        .map(|run| String::from(run.says))
        .collect();
    assert!(
        said.iter().any(|says| says.contains(second_tries)),
        "{said:?}"
    );
    println!("## The planner's screen goes on from here: what is pressed again is worked out anew");
    let view = evening.hands.stage.app.global::<PlanDoor>().get_view();
    assert!(view.running && view.known);
    evening.hands.press("What now");
    println!("## Taken over as any plan is, and taken back");
    evening.hands.press("Save the plan");
    let plan = evening.planned();
    assert!(!plan.stations.is_empty());
    assert!(
        plan.stations
            .iter()
            .flat_map(|one| &one.runs)
            .any(|run| run.kept > 0)
    );
    assert_eq!(plan.minutes, 120, "the session is as long as it was");
    evening.hands.press("Undo");
    assert!(evening.planned().stations.is_empty());
}

#[test]
fn what_is_left_is_worked_out_by_one_tap_on_a_tablet_and_saved() {
    roomy(|| {
        let mut evening = Evening::of((1280, 800), "en");
        from_today(&mut evening);
        worked_out(&mut evening);
        saved(&mut evening, "second tries");
    });
}

#[test]
fn the_same_in_the_hand_in_german() {
    roomy(|| {
        let mut evening = Evening::of((390, 844), "de");
        from_today(&mut evening);
        worked_out(&mut evening);
        saved(&mut evening, "zweite Versuche");
    });
}

#[test]
fn of_a_session_that_is_over_nothing_is_left_and_it_says_so() {
    roomy(|| {
        let class = Class::of(2, (1280, 800));
        let (course, session) = (class.course.clone(), class.session.clone());
        let mut hands = Hands::on(class.stage, Desktop::new(), By::Touch);
        let route = Route::to(Screen::Water).course(course).session(session);
        hands.stage.open(route);
        hands.press("What now");
        let says = "Nothing is left of this session: its time is over, or it was cancelled.";
        assert_eq!(hands.stage.app.global::<NextDoor>().get_lacking(), says);
    });
}
