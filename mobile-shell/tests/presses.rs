//! Presses that cannot lie, and one session at hand: played by touches in the smallest school
//! there is, begun in an empty folder.

use clock::at;
use slint::platform::Key;
use slint::{ComponentHandle, LogicalPosition, Model as _};
use tallywater::shell::Route;
use tallywater::ui::{AppDoor, BoardDoor, Mark as Tapped, Screen};
use tallywater_bindings::{
    Kind, PersonDetails, Request, Role, Scope, SessionPlan, Setting, StaffRole, WaterKind,
    WaterPlan, starter_outline,
};

use crate::support::{Stage, middle, roomy, seen, settle, wait};

/// Times by the border's own clock: the shell reckons none.
mod clock {
    use super::{Stage, seen};

    /// So many minutes from now.
    pub(super) fn at(stage: &Stage, minutes: i32) -> String {
        seen(stage.desk().moment(None, minutes)).at.to_rfc3339()
    }
}

/// A school of one instructor, with a course of two students and a session that runs.
struct Small {
    stage: Stage,
    course: String,
    session: String,
    students: Vec<String>,
    skill: String,
}

fn made(stage: &Stage, request: Request) -> String {
    seen(stage.desk().record(request)).made.unwrap()
}

impl Small {
    fn new(width: u32, height: u32) -> Self {
        let stage = Stage::new(width, height);
        let desk = stage.desk();
        let me = seen(desk.start_alone("Grebe Hollow".into(), "Renate Solheim".into()));
        let mut outline = seen(starter_outline());
        outline.skills.truncate(2);
        outline.blocks.clear();
        for skill in &mut outline.skills {
            skill.needs.clear();
        }
        let skill = outline.skills[0].id.clone();
        seen(desk.record(Request::SetOutline {
            scope: Scope::Shop,
            outline,
            why: None,
        }));
        let course = made(
            &stage,
            Request::OpenCourse {
                place: None,
                outline: tallywater_bindings::OutlineFrom::School,
                title: "First dives".into(),
                starts: seen(desk.day(None, 0)).date.to_string(),
                staff: vec![StaffRole {
                    staff: me,
                    role: Role::Instructor,
                }],
            },
        );
        let enrol = |name: &str| {
            made(
                &stage,
                Request::Enrol {
                    course: course.clone(),
                    details: PersonDetails {
                        name: name.into(),
                        called: None,
                        born: None,
                        adult: None,
                        contact: None,
                        emergency: None,
                        body: None,
                        sizes: None,
                    },
                    referred_from: None,
                },
            )
        };
        let students = vec![enrol("Ottilie Brandvoll"), enrol("Baldo Cantavento")];
        let mut small = Self {
            course,
            session: String::new(),
            students,
            skill,
            stage,
        };
        small.session = small.plan("Pool one", -5);
        small
    }

    /// A session in water that starts so many minutes from now.
    fn plan(&self, title: &str, minutes: i32) -> String {
        let plan = SessionPlan {
            title: title.into(),
            block: None,
            setting: Setting::Confined,
            site: "Hollow Lane pool".into(),
            starts: at(&self.stage, minutes),
            minutes: 60,
            students: self.students.clone(),
            staff: Vec::new(),
            run_list: vec![self.skill.clone()],
            water: WaterPlan {
                kind: WaterKind::Fresh,
                max_depth_cm: None,
                altitude_m: None,
                temperature_dc: None,
                visibility_dm: None,
                moving: false,
            },
            stations: Vec::new(),
            also: Vec::new(),
            bring: None,
        };
        made(
            &self.stage,
            Request::PlanSession {
                course: self.course.clone(),
                session: None,
                plan,
            },
        )
    }

    fn to(&self, screen: Screen) {
        let route = Route::to(screen).course(self.course.clone());
        self.stage.open(route.session(self.session.clone()));
    }

    fn in_water(&self) -> u32 {
        let count = self
            .stage
            .desk()
            .headcount(self.course.clone(), self.session.clone());
        seen(count).in_water
    }

    /// How many marks stand, and how many were ever made.
    fn marks(&self) -> (usize, usize) {
        let kinds = vec![Kind::Attempt];
        let all = self
            .stage
            .desk()
            .activity(self.course.clone(), None, None, kinds, 100);
        let rows = seen(all).rows;
        let stand = rows.iter().filter(|row| row.withdrawn.is_none()).count();
        (stand, rows.len())
    }

    fn line_up(&self) {
        let route = Route::to(Screen::LineUp).course(self.course.clone());
        let route = route.session(self.session.clone());
        self.stage.open(route.skill(self.skill.clone()));
    }

    /// Holds the one bar whose label begins so.
    fn hold(&self, begins: &str) {
        let bar = self.stage.find(|label| label.starts_with(begins)).unwrap();
        self.stage.touch(middle(&bar), 1_300);
    }
}

#[test]
fn a_second_press_on_in_is_not_out_and_what_is_missing_is_asked_by_a_hold() {
    roomy(|| {
        for (width, height) in [(390, 844), (1280, 800)] {
            let small = Small::new(width, height);
            small.to(Screen::Water);
            small.stage.save(&format!("before-in-{width}"));
            let in_button = small.stage.button("Ottilie: In");
            let at = middle(&in_button);
            small.stage.touch(at, 80);
            // No paper of hers was seen: the press alone counts nobody in.
            assert_eq!(small.in_water(), 0, "{width}");
            small.stage.save(&format!("asked-in-{width}"));
            small.hold("Hold: ");
            assert_eq!(small.in_water(), 1, "{width}");
            // The finger comes down once more where it was, and once more.
            small.stage.touch(at, 80);
            small.stage.touch(at, 80);
            assert_eq!(small.in_water(), 1, "{width}");
            small.stage.save(&format!("in-the-water-{width}"));
            // On a phone the cautions at the foot leave room for two people: the list is drawn up.
            let (from, to) = (450.0, 420.0);
            let edge = |y| LogicalPosition::new(width as f32 - 3.0, y);
            small.stage.draw(edge(from), edge(to));
            // Out stands elsewhere, and in the same second it is the same press.
            let out = middle(&small.stage.button("Ottilie: Out"));
            assert!((out.x - at.x).abs() > 40.0, "{width}");
            small.stage.touch(out, 80);
            assert_eq!(small.in_water(), 1, "{width}: within a second");
            std::thread::sleep(std::time::Duration::from_millis(1_100));
            small.stage.touch(out, 80);
            assert_eq!(small.in_water(), 0, "{width}");
        }
    });
}

#[test]
fn a_mark_pressed_twice_is_one_try_and_another_is_asked_for() {
    roomy(|| {
        let small = Small::new(800, 1280);
        small.line_up();
        small.stage.tap("Ottilie: Met");
        small.stage.tap("Ottilie: Met");
        assert_eq!(small.marks(), (1, 1), "one press");
        small.stage.tap("Ottilie: Not yet");
        assert_eq!(small.marks(), (1, 1), "nothing before it is said");
        small.stage.save("asked-which");
        small.stage.tap("Correct that");
        assert_eq!(small.marks(), (1, 2), "the first is withdrawn");
        // One undo takes back the correction: the first mark stands again.
        small.stage.tap("Undo");
        assert_eq!(small.marks(), (1, 2));
        small.stage.tap("Ottilie: Not yet");
        small.stage.tap("Another try");
        assert_eq!(small.marks(), (2, 3));
    });
}

#[test]
fn undo_twice_takes_back_two_and_redo_is_another_button() {
    roomy(|| {
        for (width, height) in [(390, 844), (1280, 800)] {
            let small = Small::new(width, height);
            small.line_up();
            small.stage.tap("Ottilie: Met");
            small.stage.tap("Baldo: Nearly");
            small.stage.tap("Undo");
            small.stage.tap("Undo");
            assert_eq!(small.marks(), (0, 2), "{width}");
            small.stage.tap("Redo");
            assert_eq!(small.marks(), (1, 2), "{width}");
            small.stage.save(&format!("undo-redo-{width}"));
            // Long after, the list still takes back the very one.
            small.to(Screen::Journal);
            let label = small.stage.labels();
            let act = label.iter().find(|label| label.starts_with("Undo: Met"));
            let act = act.unwrap_or_else(|| panic!("no act among {label:#?}"));
            small.stage.tap(act);
            assert_eq!(small.marks(), (0, 2), "{width}");
            small.stage.save(&format!("last-acts-{width}"));
        }
    });
}

#[test]
fn the_session_with_people_in_the_water_is_at_hand_until_another_is_chosen() {
    roomy(|| {
        for (width, height) in [(390, 844), (1280, 800)] {
            let small = Small::new(width, height);
            let later = small.plan("Pool two", 24 * 60);
            small.to(Screen::Water);
            small.stage.tap("Ottilie: In");
            small.hold("Hold: ");
            let door = small.stage.app.global::<AppDoor>();
            assert_eq!(door.get_elsewhere().says, "");
            // Next week's is looked at: it says loudly that it is another's.
            let other = Route::to(Screen::Water).course(small.course.clone());
            small.stage.open(other.session(later.clone()));
            let says = door.get_elsewhere().says;
            assert!(says.contains("Pool one"), "{says}");
            small.stage.save(&format!("elsewhere-{width}"));
            // A notice led to the course and named no session: the water counts all the same.
            small
                .stage
                .open(Route::to(Screen::Journal).course(small.course.clone()));
            small.stage.tap("Water");
            assert_eq!(
                small.stage.shell.route().session,
                Some(small.session.clone())
            );
            // Until a person means the other.
            let other = Route::to(Screen::Water).course(small.course.clone());
            small.stage.open(other.session(later.clone()));
            small.stage.tap("Work here");
            assert_eq!(door.get_elsewhere().says, "");
            small.stage.tap("Board");
            assert_eq!(small.stage.shell.route().session, Some(later));
        }
    });
}

#[test]
fn a_locked_screen_takes_no_key_and_shows_the_clock_and_the_heads() {
    roomy(|| {
        let small = Small::new(1280, 800);
        small.to(Screen::Water);
        small.stage.tap("Ottilie: In");
        small.hold("Hold: ");
        small.to(Screen::Board);
        small.stage.tap("Screen lock");
        let door = small.stage.app.global::<AppDoor>();
        assert_eq!(door.get_guard_in_water(), 1);
        assert_eq!(
            door.get_guard_clock().len(),
            5,
            "{}",
            door.get_guard_clock()
        );
        small.stage.save("locked");
        let before = small.marks();
        let tab = slint::SharedString::from(Key::Tab);
        for key in ["1".into(), "2".into(), tab, " ".into(), "3".into()] {
            let window = small.stage.app.window();
            let text: slint::SharedString = key;
            window.dispatch_event(slint::platform::WindowEvent::KeyPressed { text: text.clone() });
            window.dispatch_event(slint::platform::WindowEvent::KeyReleased { text });
            settle();
        }
        assert!(door.get_guarded(), "a key that was struck opens nothing");
        assert_eq!(small.marks(), before);
        // The first hold opens it.
        small.hold("Hold to unlock");
        assert!(!door.get_guarded());
    });
}

#[test]
fn a_mark_by_the_keyboard_on_marks_that_differ_opens_them_side_by_side() {
    roomy(|| {
        let small = Small::new(1280, 800);
        small.to(Screen::Board);
        let board = small.stage.app.global::<BoardDoor>();
        let (student, skill) = (&small.students[0], &small.skill);
        board.invoke_mark(student.into(), skill.into(), Tapped::Met);
        settle();
        assert_eq!(small.marks(), (1, 1));
        wait(100);
        board.invoke_mark(student.into(), skill.into(), Tapped::Met);
        settle();
        assert_eq!(small.marks(), (1, 1), "the same press");
    });
}

#[test]
fn a_notice_of_marks_that_differ_opens_the_two_side_by_side() {
    roomy(|| {
        for (width, height) in [(800, 1280), (1280, 800)] {
            let stage = Stage::demo(width, height);
            stage.open(Route::to(Screen::Today));
            let notice = stage.find(|label| label.starts_with("Marks differ: you decide"));
            stage.touch(middle(&notice.unwrap()), 80);
            let door = stage.app.global::<AppDoor>();
            assert_eq!(door.get_screen(), Screen::Attempt, "{width}");
            let attempt = stage.app.global::<tallywater::ui::AttemptDoor>();
            assert_eq!(attempt.get_views().row_count(), 2, "{width}");
            assert!(attempt.get_view().may_resolve);
            stage.save(&format!("side-by-side-{width}"));
        }
    });
}

#[test]
fn confirming_shows_what_is_confirmed_and_no_row_moves() {
    roomy(|| {
        for (width, height) in [(800, 1280), (1280, 800)] {
            let stage = Stage::demo(width, height);
            stage.open(Route::to(Screen::Today));
            let notice = stage.find(|label| label.contains(" to confirm"));
            stage.touch(middle(&notice.unwrap()), 80);
            let door = stage.app.global::<AppDoor>();
            assert_eq!(door.get_screen(), Screen::Confirm, "{width}");
            stage.save(&format!("to-confirm-{width}"));
            let confirm = stage.app.global::<tallywater::ui::ConfirmDoor>();
            let rows = || -> Vec<(String, bool)> {
                let rows = confirm.get_rows();
                rows.iter()
                    .map(|row| (row.one.entry.to_string(), row.done))
                    .collect()
            };
            let before = rows();
            assert!(!before.is_empty() && before.iter().all(|(_, done)| !done));
            let first = confirm.get_rows().row_data(0).unwrap();
            assert!(!first.skill.is_empty() && !first.student.is_empty());
            stage.tap(&format!("Confirm: {}, {}", first.student, first.skill));
            let after = rows();
            assert_eq!(after.len(), before.len(), "{width}");
            assert_eq!(after[0], (before[0].0.clone(), true), "{width}");
            let waiting = confirm.get_waiting();
            let all = stage.find(|label| label.starts_with("Confirm ") && label.contains(" mark"));
            stage.touch(middle(&all.unwrap()), 80);
            assert!(
                rows().iter().all(|(_, done)| *done),
                "{width}: {waiting} waited"
            );
            stage.save(&format!("confirmed-{width}"));
        }
    });
}
