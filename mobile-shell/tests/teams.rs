//! Pairs, zones and a lost buddy by touches: proposed, moved by two taps, kept, said apart on two
//! devices; and the one press that writes down when.

use std::sync::Arc;
use std::thread::sleep;
use std::time::{Duration, Instant};

use i_slint_backend_testing::AccessibleRole;
use slint::{ComponentHandle, Model as _};
use tallywater::shell::Route;
use tallywater::ui::{AppDoor, EmergencyDoor, Load, Screen, TeamsDoor, WaterDoor};
use tallywater_bindings::{
    Alarm, PaperLanguage, Request, Role, Tallywater, TeamsView, Who, WhoName, alarm_cards,
};
use tempfile::TempDir;

use crate::hands::{By, Desktop, Hands};
use crate::support::{roomy, seen, settle};
use crate::surface::Class;

const PHONE: (u32, u32) = (390, 844);
const TABLET: (u32, u32) = (1280, 800);

/// Long after which a test that waits has failed. Nothing is measured against it.
const GUARD: Duration = Duration::from_secs(60);

/// A class whose session has staff, and the hands that move it.
struct Evening {
    hands: Hands,
    course: String,
    session: String,
    students: Vec<String>,
}

impl Evening {
    fn of(size: (u32, u32), language: &'static str) -> Self {
        let Class {
            stage,
            course,
            session,
            students,
            ..
        } = Class::of(2, size);
        let me = seen(stage.desk().state()).me.unwrap().name.staff;
        let mut hands = Hands::on(stage, Desktop::new(), By::Touch);
        slint::select_bundled_translation(language).unwrap();
        hands.speaks(language);
        let evening = Self {
            hands,
            course,
            session,
            students,
        };
        evening.staffed(vec![me.to_string()]);
        evening
    }

    fn desk(&self) -> Arc<Tallywater> {
        self.hands.stage.desk()
    }

    /// Plans the session anew with these as its staff.
    fn staffed(&self, staff: Vec<String>) {
        let desk = self.desk();
        let known = desk.session_plan(self.course.clone(), self.session.clone());
        let mut plan = seen(known);
        plan.staff = staff;
        seen(desk.record(Request::PlanSession {
            course: self.course.clone(),
            session: Some(self.session.clone()),
            plan,
        }));
    }

    fn to(&self, screen: Screen) {
        let route = Route::to(screen).course(self.course.clone());
        self.hands.stage.open(route.session(self.session.clone()));
        self.hands.stage.shell.take_news();
        settle();
    }

    fn teams(&self) -> TeamsView {
        seen(self.desk().teams(self.course.clone(), self.session.clone()))
    }

    fn lost(&self) -> usize {
        let count = self
            .desk()
            .headcount(self.course.clone(), self.session.clone());
        seen(count).lost.len()
    }

    /// Presses what is called exactly so, already in the language of the screen.
    fn press(&mut self, label: &str) {
        self.hands.press_like(label, |said| said == label);
    }

    fn pair(&self, number: usize) -> String {
        let pair = self.hands.say("Pair {0}");
        pair.replace("{0}", &number.to_string())
    }

    /// Presses somebody who stands in a pair.
    fn press_buddy(&mut self, number: usize, who: &WhoName) {
        let label = format!("{}: {}", self.pair(number), called(who));
        self.press(&label);
    }

    fn press_here(&mut self, group: &str) {
        let label = format!("{group}: {}", self.hands.say("Here"));
        self.press(&label);
    }
}

fn called(who: &WhoName) -> String {
    match who {
        WhoName::Student(name) => name.short.clone(),
        WhoName::Staff(name) => name.name.clone(),
    }
}

/// The members of each pair, by id and in order.
fn members(view: &TeamsView) -> Vec<Vec<String>> {
    let id = |one: &WhoName| match Who::from(one) {
        Who::Student { student } => student,
        Who::Staff { staff } => staff,
    };
    let pairs = view.pairs.iter().map(|pair| {
        let mut ids: Vec<String> = pair.members.iter().map(id).collect();
        ids.sort();
        ids
    });
    pairs.collect()
}

fn moved_by_two_taps(size: (u32, u32), language: &'static str) {
    let mut evening = Evening::of(size, language);
    println!("## From the plan: proposed, and said to be nobody's word");
    evening.to(Screen::Plan);
    evening.hands.press("Pairs and zones");
    assert_eq!(evening.hands.stage.shell.route().screen, Screen::Teams);
    let proposed = evening.teams();
    assert!(proposed.kept.is_none());
    assert_eq!(proposed.pairs.len(), 4, "eight are four pairs");
    let says = evening.hands.say("Proposed, and kept by nobody yet.");
    assert!(evening.hands.reads(|said| said == says));
    evening
        .hands
        .stage
        .save(&format!("pairs-{language}-{}", size.0));

    println!("## Kept as it is");
    evening.hands.press("Keep these");
    let kept = evening.teams();
    assert_eq!(kept.kept.as_ref().unwrap().by.name, "Renate Solheim");
    assert_eq!(members(&kept), members(&proposed));

    println!("## Two taps: two people change places, and nobody else moves");
    let (one, other) = (&kept.pairs[0].members[0], &kept.pairs[1].members[0]);
    evening.press_buddy(1, one);
    assert_eq!(
        members(&evening.teams()),
        members(&kept),
        "marked, not moved"
    );
    evening.press_buddy(2, other);
    let swapped = evening.teams();
    assert!(swapped.pairs[0].members.contains(other) && swapped.pairs[1].members.contains(one));
    assert_eq!(members(&swapped)[2..], members(&kept)[2..]);
    assert!(swapped.alone.is_empty());

    println!("## Two taps: into a pair, which is three then and takes no fourth");
    let one = swapped.pairs[0].members[0].clone();
    let fourth = evening.pair(4);
    evening.press_buddy(1, &one);
    evening.press_here(&fourth);
    let three = evening.teams();
    assert_eq!(three.pairs[3].members.len(), 3);
    assert!(three.pairs[3].members.contains(&one));
    assert_eq!(
        three.alone.len(),
        1,
        "whoever was left is alone, and said to be"
    );
    let another = three.pairs[1].members[0].clone();
    evening.press_buddy(2, &another);
    evening.press_here(&fourth);
    assert_eq!(members(&evening.teams()), members(&three), "no fourth");
    evening
        .hands
        .stage
        .save(&format!("pairs-three-{language}-{}", size.0));
    evening.hands.press("Undo");
    assert_eq!(members(&evening.teams()), members(&swapped));

    println!("## Zones the same way: whom nobody watches is said");
    let zone = swapped.zones[0].clone();
    assert!(!zone.watches.is_empty());
    let label = format!("{}: {}", zone.staff.name, zone.watches[0].short);
    evening.press(&label);
    let nobody = evening.hands.say("Watched by nobody");
    evening.press_here(&nobody);
    let watched = evening.teams();
    assert_eq!(watched.unwatched.len(), swapped.unwatched.len() + 1);
    assert!(watched.unwatched.contains(&zone.watches[0]));
    assert_eq!(members(&watched), members(&swapped));

    println!("## The water's screen shows what was kept");
    evening.to(Screen::Water);
    let first = &watched.pairs[0].members[0];
    let name = called(first);
    let rows = evening.hands.stage.app.global::<WaterDoor>().get_people();
    let row = rows.iter().find(|row| row.called == name.as_str()).unwrap();
    assert!(row.team.starts_with(&evening.pair(1)), "{}", row.team);
    evening
        .hands
        .stage
        .save(&format!("water-pairs-{language}-{}", size.0));
}

#[test]
fn pairs_begin_as_a_proposal_are_kept_and_are_moved_by_two_taps() {
    roomy(|| moved_by_two_taps(PHONE, "en"));
    roomy(|| moved_by_two_taps(TABLET, "de"));
}

#[test]
fn in_the_hand_three_people_are_read_at_once_with_their_pairs_and_who_watches_above_both_cautions()
{
    roomy(|| {
        let mut evening = Evening::of(PHONE, "en");
        evening.to(Screen::Teams);
        evening.hands.press("Keep these");
        evening.to(Screen::Water);
        let read = |evening: &Evening| {
            let texts = evening.hands.stage.all(AccessibleRole::Text).into_iter();
            let said = texts.filter_map(|one| one.accessible_label());
            // Read out whole, although the line has the short name alone.
            let pairs = said.filter(|said| said.ends_with(" · watched by Renate Solheim"));
            pairs.count()
        };
        let rows = evening.hands.stage.app.global::<WaterDoor>().get_people();
        let first = rows.row_data(0).unwrap();
        assert_eq!(first.team_briefly, "Pair 1 · Renate");
        assert!(read(&evening) >= 3, "{}", read(&evening));
        evening.hands.stage.save("water-pairs-kept-en-390");
    });
}

/// What was just done is told once, and on a phone over two lines rather than cut.
fn told_once(evening: &Evening, size: (u32, u32)) {
    let stage = &evening.hands.stage;
    let told = stage.app.global::<AppDoor>().get_told();
    assert_ne!(told.what, "");
    assert_eq!(told.who, "", "of nobody by name");
    let texts = stage.all(AccessibleRole::Text).into_iter();
    let said: Vec<_> = texts
        .filter(|one| one.accessible_label().is_some_and(|said| said == told.what))
        .collect();
    assert_eq!(said.len(), 1, "{}", told.what);
    if size == PHONE {
        assert!(said[0].size().height > 30.0, "two lines of 17 px");
    }
}

fn lost_in_one_press(size: (u32, u32), language: &'static str) {
    let mut evening = Evening::of(size, language);
    println!("## One press: written down, and what to do is read");
    evening.to(Screen::Water);
    let before = evening.hands.taps;
    evening.hands.press("Lost buddy");
    assert_eq!(evening.hands.taps, before + 1);
    assert_eq!(evening.lost(), 1);
    assert_eq!(evening.hands.stage.shell.route().screen, Screen::Emergency);
    let app = evening.hands.stage.app.clone_strong();
    let card = app.global::<EmergencyDoor>();
    assert!(card.get_shown() >= 0 && card.get_steps().row_count() > 2);
    let cards = seen(alarm_cards(PaperLanguage::English));
    let of_lost = cards.iter().find(|card| card.what == Alarm::LostBuddy);
    assert_eq!(card.get_title(), of_lost.unwrap().title.as_str());
    assert!(!card.get_since().is_empty());
    told_once(&evening, size);
    evening
        .hands
        .stage
        .save(&format!("lost-card-{language}-{}", size.0));

    println!("## On top of the water's screen while it lasts");
    evening.hands.stage.shell.back();
    settle();
    let door = app.global::<WaterDoor>();
    assert_eq!(door.get_load(), Load::Ready);
    assert_eq!(door.get_lost().row_count(), 1);
    evening
        .hands
        .stage
        .save(&format!("water-lost-{language}-{}", size.0));
    let found = format!("{}: ", evening.hands.say("Found"));
    evening
        .hands
        .press_like(&found, |said| said.starts_with(&found));
    assert_eq!(evening.lost(), 0);
    assert_eq!(door.get_lost().row_count(), 0);

    println!("## Pressed by mistake: taken back");
    // Two presses within a second are one.
    sleep(Duration::from_millis(1_200));
    evening.hands.press("Lost buddy");
    assert_eq!(evening.lost(), 1);
    evening.hands.press("Undo");
    assert_eq!(evening.lost(), 0);
}

#[test]
fn a_lost_buddy_is_one_press_with_its_card_until_found() {
    roomy(|| lost_in_one_press(PHONE, "en"));
    roomy(|| lost_in_one_press(TABLET, "de"));
}

/// Lets real time pass until it is so: the network knows nothing of a mocked clock.
fn until(evening: &Evening, what: &str, is: impl Fn() -> bool) {
    let start = Instant::now();
    while !is() {
        assert!(start.elapsed() < GUARD, "never came about: {what}");
        sleep(Duration::from_millis(20));
        evening.hands.stage.shell.take_news();
        settle();
    }
}

fn online(desk: &Tallywater) {
    seen(desk.go_online(vec!["127.0.0.1:0".into()], false, None));
}

/// The phone of an assistant who is on the course and in the session, with all of it.
fn assistants_phone(evening: &Evening) -> (Arc<Tallywater>, TempDir) {
    let desk = evening.desk();
    let joined = seen(desk.record(Request::JoinStaff {
        name: "Bo Merriweather".into(),
    }));
    let bo = joined.made.unwrap();
    online(&desk);
    let shown = seen(desk.show_code(bo.clone(), Role::Assistant, None));
    let place = seen(desk.link()).place.unwrap();
    let folder = TempDir::new().unwrap();
    let phone = seen(Tallywater::open(folder.path().display().to_string()));
    online(&phone);
    seen(phone.pair(place, shown.code, "phone".into()));
    seen(desk.record(Request::AssignStaff {
        course: evening.course.clone(),
        staff: bo.clone(),
        role: Role::Assistant,
    }));
    let me = seen(desk.state()).me.unwrap().name.staff;
    evening.staffed(vec![me.to_string(), bo.clone()]);
    until(evening, "the session on the phone", || {
        let plan = phone.session_plan(evening.course.clone(), evening.session.clone());
        plan.is_ok_and(|plan| plan.staff.contains(&bo))
    });
    (phone, folder)
}

/// The first student dives beside this one, as this device has it.
fn beside(desk: &Tallywater, evening: &Evening, other: &str) {
    let who = |student: &str| Who::Student {
        student: student.to_owned(),
    };
    seen(desk.record(Request::MoveBuddy {
        course: evening.course.clone(),
        session: evening.session.clone(),
        who: who(&evening.students[0]),
        beside: Some(who(other)),
    }));
}

#[test]
fn what_two_devices_said_apart_is_shown_with_who_and_when_and_either_is_taken() {
    roomy(|| {
        let mut evening = Evening::of(TABLET, "en");
        let (phone, _folder) = assistants_phone(&evening);
        println!("## Out of reach of one another, each moves somebody elsewhere");
        evening.desk().go_offline();
        phone.go_offline();
        let first = evening.students[0].clone();
        // One of each of two pairs of two that are not the first student's.
        let twos: Vec<Vec<String>> = members(&evening.teams())
            .into_iter()
            .filter(|pair| pair.len() == 2 && !pair.contains(&first))
            .collect();
        let student = |pair: &Vec<String>| {
            let mut all = pair.iter();
            all.find(|id| evening.students.contains(id))
                .unwrap()
                .clone()
        };
        assert!(twos.len() > 1, "{twos:?}");
        let (mine, theirs) = (student(&twos[0]), student(&twos[1]));
        beside(&evening.desk(), &evening, &mine);
        beside(&phone, &evening, &theirs);
        println!("## They meet: both are there");
        online(&evening.desk());
        online(&phone);
        let place = seen(evening.desk().link()).place.unwrap();
        seen(phone.meet_at(place));
        until(&evening, "the assistant's word", || {
            evening.teams().apart.len() == 1
        });
        evening.to(Screen::Teams);
        let app = evening.hands.stage.app.clone_strong();
        let door = app.global::<TeamsDoor>();
        let apart = door.get_apart().row_data(0).unwrap();
        assert_eq!(apart.by, "Bo Merriweather");
        assert!(!apart.when.clock.is_empty() && !apart.pairs.is_empty());
        let says = "Said otherwise by Bo Merriweather";
        assert!(evening.hands.reads(|said| said.starts_with(says)));
        evening.hands.stage.save("pairs-apart");
        println!("## The other is taken, and it is settled");
        evening.press("Take what Bo Merriweather said");
        let settled = evening.teams();
        assert!(settled.apart.is_empty());
        let pairs = members(&settled);
        let pair = pairs.iter().find(|pair| pair.contains(&first)).unwrap();
        assert!(pair.contains(&theirs) && !pair.contains(&mine), "{pairs:?}");
        assert_eq!(door.get_apart().row_count(), 0);
    });
}
