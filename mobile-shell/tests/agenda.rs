//! Hours of the pool, who is away, and a lost day, by touches: typed, taken from a file once,
//! dropped and taken back; shown before and after, and moved once it is accepted.

use std::sync::Arc;

use slint::{ComponentHandle, LogicalPosition, Model as _};
use tallywater::shell::Route;
use tallywater::ui::{AgendaDoor, LostDayDoor, PlanDoor, Screen};
use tallywater_bindings::{AgendaView, Request, SessionPlan, Tallywater};
use tempfile::TempDir;

use crate::hands::{By, Desktop, Hands};
use crate::support::{roomy, seen, settle};
use crate::surface::Class;

/// A class whose session is tomorrow at ten, and the hands that move it.
struct Office {
    hands: Hands,
    course: String,
    session: String,
    _files: TempDir,
}

impl Office {
    fn of(size: (u32, u32), language: &'static str) -> Self {
        let Class {
            stage,
            course,
            session,
            ..
        } = Class::of(3, size);
        let desk = stage.desk();
        let me = seen(desk.state()).me.unwrap().name.staff;
        let tomorrow = seen(desk.day(None, 1)).date;
        let plan = SessionPlan {
            starts: seen(desk.read_clock(tomorrow.to_string(), "10:00".into()))
                .at
                .to_rfc3339(),
            staff: vec![me.to_string()],
            ..seen(desk.session_plan(course.clone(), session.clone()))
        };
        seen(desk.record(Request::PlanSession {
            course: course.clone(),
            session: Some(session.clone()),
            plan,
        }));
        let files = TempDir::new().unwrap();
        let file = files.path().join("pool.csv");
        let day = seen(desk.day(None, 5)).date;
        let table = format!("date,start,end,place\n{day},18:00,20:00,Hollow Lane pool\nbad,,,\n");
        std::fs::write(&file, table).unwrap();
        let mut desktop = Desktop::new();
        desktop.roster = Some(file);
        let mut hands = Hands::on(stage, desktop, By::Touch);
        slint::select_bundled_translation(language).unwrap();
        hands.speaks(language);
        Self {
            hands,
            course,
            session,
            _files: files,
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

    fn agenda(&self) -> AgendaView {
        seen(self.desk().agenda(self.course.clone()))
    }

    fn plan(&self) -> SessionPlan {
        let found = self
            .desk()
            .session_plan(self.course.clone(), self.session.clone());
        seen(found)
    }

    fn day(&self, after: i32) -> String {
        seen(self.desk().day(None, after)).date.to_string()
    }
}

fn hours(office: &mut Office) {
    println!("## Typed");
    office.to(Screen::Agenda);
    let day = office.day(3);
    let hands = &mut office.hands;
    hands.write("Where the hours are", "Hollow Lane pool");
    hands.write("On which day", &day);
    hands.write("They begin at", "10:00");
    hands.write("They last, in minutes", "90");
    hands.press("Keep these hours");
    let slots = office.agenda().slots;
    assert_eq!(slots.len(), 1);
    assert_eq!((slots[0].slot.minutes, slots[0].starts.hour), (90, 10));
    println!("## Dropped, and taken back");
    let action = format!("{}: ", office.hands.say("No more"));
    office
        .hands
        .press_like(&action, |said| said.starts_with(&action));
    assert!(office.agenda().slots.is_empty());
    office.hands.press("Undo");
    assert_eq!(office.agenda().slots.len(), 1);
    println!("## From a file: looked at, taken, and nothing the second time");
    for taken in [1, 0] {
        office.hands.press("Take in a calendar of hours");
        let door = office.hands.stage.app.global::<AgendaDoor>();
        assert_eq!(door.get_bad().row_count(), 1, "the bad line is named");
        assert_eq!(door.get_to_take(), taken);
        if taken == 1 {
            assert_eq!(office.agenda().slots.len(), 1, "only looked at");
            let take = office.hands.say("Take it in: {0}").replace("{0}", "1");
            office.hands.press_like(&take, |said| said == take);
        }
        assert_eq!(office.agenda().slots.len(), 2);
    }
    println!("## What cannot be read is said");
    let hands = &mut office.hands;
    hands.write("They begin at", "99");
    hands.press("Keep these hours");
    let door = hands.stage.app.global::<AgendaDoor>();
    assert_ne!(door.get_refused(), "");
    assert_eq!(office.agenda().slots.len(), 2);
}

fn absence(office: &mut Office) {
    println!("## Somebody is away tomorrow: the plan says so and leaves them out");
    office.to(Screen::Agenda);
    let day = office.day(1);
    let who = office.hands.stage.app.global::<AgendaDoor>().get_people();
    let first = who.row_data(0).unwrap().called.to_string();
    let hands = &mut office.hands;
    hands.press_like(&first, |said| said == first);
    hands.write("Away from the day", &day);
    hands.press("Keep the absence");
    assert_eq!(office.agenda().away.len(), 1);
    let said = |office: &Office| {
        let door = office.hands.stage.app.global::<AgendaDoor>();
        door.get_away().row_data(0).unwrap().detail.to_string()
    };
    let tomorrow = office.hands.say("Tomorrow");
    assert_eq!(said(office), tomorrow, "one day is said once");
    office.to(Screen::Plan);
    let door = office.hands.stage.app.global::<PlanDoor>();
    assert_eq!(door.get_away(), first.as_str());
    println!("## They come after all");
    office.to(Screen::Agenda);
    let action = format!("{}: ", office.hands.say("Comes after all"));
    office
        .hands
        .press_like(&action, |said| said.starts_with(&action));
    assert!(office.agenda().away.is_empty());
    println!("## Two days are said from the first to the last");
    let last = office.day(2);
    let hands = &mut office.hands;
    hands.write("Up to and with the day", &last);
    hands.press("Keep the absence");
    let begins = hands.say("{0} to {1}").replace("{0}", &tomorrow);
    let begins = begins.replace("{1}", "");
    assert!(said(office).starts_with(&begins), "{}", said(office));
    office
        .hands
        .press_like(&action, |said| said.starts_with(&action));
    assert!(office.agenda().away.is_empty());
}

fn lost_day(office: &mut Office) {
    println!("## A lost day is one tap, and shows before and after");
    let before = office.plan().starts;
    office.to(Screen::Plan);
    office.hands.press("This day is lost: plan it anew");
    assert_eq!(office.hands.stage.shell.route().screen, Screen::LostDay);
    let door = office.hands.stage.app.global::<LostDayDoor>();
    let rows = door.get_rows();
    assert_eq!(rows.row_count(), 1);
    let row = rows.row_data(0).unwrap();
    assert!(row.held && row.before != row.after, "{row:?}");
    assert!(row.told.contains(", "), "{row:?}");
    assert_ne!(door.get_proof(), "");
    assert_eq!(office.plan().starts, before, "nothing has moved");
    println!("## So many days between are asked for, and it is laid out anew");
    let between = office.hands.say("Least days between a student’s sessions");
    let between = format!("{between}: 2");
    // On a phone the reasons stand at the foot: the list above them is drawn up.
    let right = office.hands.stage.app.window().size().width as f32 - 3.0;
    let edge = |y| LogicalPosition::new(right, y);
    office.hands.stage.draw(edge(310.0), edge(150.0));
    office.hands.press_like(&between, |said| said == between);
    let door = office.hands.stage.app.global::<LostDayDoor>();
    assert_eq!(door.get_between(), 2);
    assert!(door.get_rows().row_data(0).unwrap().held);
    println!("## Accepted, and taken back");
    office.hands.press("Weather");
    office.hands.press("Plan the day like this");
    let moved = office.plan().starts;
    assert_ne!(moved, before);
    let slots = office.agenda().slots;
    assert!(
        slots
            .iter()
            .any(|one| one.starts.at.to_rfc3339() == moved && one.held.is_some())
    );
    office.hands.press("Undo");
    assert_eq!(office.plan().starts, before);
}

#[test]
fn hours_absences_and_a_lost_day_at_a_desk() {
    roomy(|| {
        let mut office = Office::of((1280, 800), "en");
        hours(&mut office);
        absence(&mut office);
        lost_day(&mut office);
    });
}

#[test]
fn the_same_in_the_hand_in_german() {
    roomy(|| {
        let mut office = Office::of((390, 844), "de");
        hours(&mut office);
        absence(&mut office);
        lost_day(&mut office);
    });
}
