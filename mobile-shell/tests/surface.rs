//! At the surface, by touches: all of them, except; times put right afterwards; what survives a
//! killed program.

use std::cell::Cell;
use std::path::Path;

use slint::platform::WindowEvent;
use slint::{ComponentHandle, Model as _, SharedString};
use tallywater::shell::Route;
use tallywater::ui::{AppDoor, LineUpDoor, Screen, WaterDoor};
use tallywater_bindings::{
    LineUpView, Mark, Passage, PersonDetails, Place, Request, Role, Scope, SessionPlan, Setting,
    StaffRole, WaterKind, WaterPlan, Who, starter_outline,
};
use tempfile::TempDir;

use crate::folder::copy;
use crate::support::{Stage, middle, roomy, seen, settle};

const NAMES: [&str; 8] = [
    "Baldo Cantavento",
    "Emil Quatrefaire",
    "Ignatz Uebelhoer",
    "Lucja Wrzosowa",
    "Ngaio Whetu",
    "Ottilie Brandvoll",
    "Saoirse Tullyglass",
    "Thora Sandsdottir",
];

/// A class of eight whose pool evening was yesterday at ten, and a hand that counts its taps.
pub(crate) struct Class {
    pub(crate) stage: Stage,
    pub(crate) course: String,
    pub(crate) session: String,
    pub(crate) students: Vec<String>,
    pub(crate) skills: Vec<String>,
    pub(crate) taps: Cell<u32>,
}

fn made(stage: &Stage, request: Request) -> String {
    seen(stage.desk().record(request)).made.unwrap()
}

impl Class {
    pub(crate) fn of(skills: usize, (width, height): (u32, u32)) -> Self {
        let stage = Stage::new(width, height);
        slint::select_bundled_translation("en").unwrap();
        let desk = stage.desk();
        let me = seen(desk.start_alone("Grebe Hollow".into(), "Renate Solheim".into()));
        let mut outline = seen(starter_outline());
        outline.skills.truncate(skills);
        outline.blocks.clear();
        for skill in &mut outline.skills {
            skill.needs.clear();
        }
        let skills: Vec<String> = outline
            .skills
            .iter()
            .map(|skill| skill.id.clone())
            .collect();
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
                starts: seen(desk.day(None, -1)).date.to_string(),
                staff: vec![StaffRole {
                    staff: me,
                    role: Role::Instructor,
                }],
            },
        );
        let enrol = |name: &&str| {
            let details = PersonDetails {
                name: (*name).into(),
                called: None,
                born: None,
                adult: None,
                contact: None,
                emergency: None,
                body: None,
                sizes: None,
            };
            made(
                &stage,
                Request::Enrol {
                    course: course.clone(),
                    details,
                    referred_from: None,
                },
            )
        };
        let students: Vec<String> = NAMES.iter().map(enrol).collect();
        let mut class = Self {
            course,
            session: String::new(),
            students,
            skills,
            stage,
            taps: Cell::new(0),
        };
        class.session = class.plan();
        class
    }

    /// Yesterday at ten, so that every time of it can be typed.
    fn plan(&self) -> String {
        let day = seen(self.stage.desk().day(None, -1)).date;
        self.plan_at(
            seen(
                self.stage
                    .desk()
                    .read_clock(day.to_string(), "10:00".into()),
            )
            .at
            .to_rfc3339(),
        )
    }

    fn plan_at(&self, starts: String) -> String {
        let plan = SessionPlan {
            bring: None,
            title: "Pool one".into(),
            block: None,
            setting: Setting::Confined,
            site: "Hollow Lane pool".into(),
            starts,
            minutes: 60,
            students: self.students.clone(),
            staff: Vec::new(),
            run_list: self.skills.clone(),
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

    /// The headcount has these in the water, and out of it again.
    pub(crate) fn dived(&self, students: impl Iterator<Item = usize>) {
        for student in students {
            for passage in [Passage::In, Passage::Out] {
                self.pass(student, passage);
            }
        }
    }

    fn pass(&self, student: usize, passage: Passage) {
        let now = seen(self.stage.desk().moment(None, 0)).at;
        seen(self.stage.desk().record(Request::Pass {
            course: self.course.clone(),
            session: self.session.clone(),
            who: Who::Student {
                student: self.students[student].clone(),
            },
            passage,
            when: Some(now.to_rfc3339()),
        }));
    }

    pub(crate) fn to(&self, screen: Screen) {
        let route = Route::to(screen)
            .course(self.course.clone())
            .skill(self.skills[0].clone());
        self.stage.open(route.session(self.session.clone()));
        self.stage.shell.take_news();
        settle();
    }

    pub(crate) fn tap(&self, label: &str) {
        self.taps.set(self.taps.get() + 1);
        self.stage.tap(label);
    }

    /// A tap on the first thing of such a label.
    fn tap_like(&self, like: impl Fn(&str) -> bool) {
        self.taps.set(self.taps.get() + 1);
        let found = self.stage.find(like);
        let found = found.unwrap_or_else(|| panic!("not among {:#?}", self.stage.labels()));
        self.stage.touch(middle(&found), 80);
    }

    /// The same, with the page drawn up until it is to be seen.
    pub(crate) fn reach(&self, like: impl Fn(&str) -> bool) {
        let (x, y) = (self.stage.app.window().size().width as f32 - 5.0, 900.0);
        for _ in 0..30 {
            let found = self.stage.find(&like);
            if found.is_some_and(|one| middle(&one).y < 1_100.0) {
                break;
            }
            let at = |y| slint::LogicalPosition::new(x, y);
            self.stage.draw(at(y), at(y - 200.0));
        }
        self.tap_like(like);
    }

    /// Keys of the pad on screen, a tap each.
    pub(crate) fn type_in(&self, text: &str) {
        for key in text.chars() {
            let label = if key == ':' {
                "Colon".to_owned()
            } else {
                key.to_string()
            };
            self.tap(&label);
        }
        self.tap("Done");
    }

    fn line_up(&self, skill: usize) -> LineUpView {
        seen(self.stage.desk().line_up(
            self.course.clone(),
            Some(self.session.clone()),
            self.skills[skill].clone(),
        ))
    }

    /// The mark that stands for each student, in the order of the names.
    pub(crate) fn marks(&self, skill: usize) -> Vec<Option<Mark>> {
        let view = self.line_up(skill);
        let marks = self.students.iter().map(|student| {
            let row = view.rows.iter().find(|row| &row.name.student == student);
            row.unwrap().today.as_ref().map(|given| given.mark)
        });
        marks.collect()
    }

    pub(crate) fn short(&self, student: usize) -> String {
        let view = self.line_up(0);
        let id = &self.students[student];
        let row = view.rows.iter().find(|row| &row.name.student == id);
        row.unwrap().name.short.clone()
    }

    pub(crate) fn press(&self, key: impl Into<SharedString>) {
        let text: SharedString = key.into();
        let window = self.stage.app.window();
        window.dispatch_event(WindowEvent::KeyPressed { text: text.clone() });
        window.dispatch_event(WindowEvent::KeyReleased { text });
        settle();
        self.stage.shell.take_news();
        settle();
    }
}

fn met_but(not: &[usize], other: Option<Mark>) -> Vec<Option<Mark>> {
    let mark = |student| {
        if not.contains(&student) {
            other
        } else {
            Some(Mark::Met)
        }
    };
    (0..8).map(mark).collect()
}

#[test]
fn eight_students_with_two_exceptions_are_three_taps_and_three_undos() {
    roomy(|| {
        for size in [(390, 844), (1280, 800)] {
            let class = Class::of(2, size);
            class.dived(0..8);
            class.to(Screen::LineUp);
            class.stage.save(&format!("sweep-before-{}", size.0));
            class.tap("All here met");
            assert_eq!(class.marks(0), met_but(&[], None));
            let (first, second) = (class.short(0), class.short(1));
            class.tap(&format!("{first}: Not yet"));
            class.tap(&format!("{second}: Not yet"));
            assert_eq!(class.taps.get(), 3, "{size:?}");
            assert_eq!(class.marks(0), met_but(&[0, 1], Some(Mark::NotYet)));
            // An exception is no second try.
            let view = class.line_up(0);
            assert!(view.rows.iter().all(|row| row.tries_today == 1));
            class.stage.save(&format!("sweep-{}", size.0));
            println!("## Undone in as many presses as it was said in, the sweep in one");
            class.tap("Undo");
            class.tap("Undo");
            assert_eq!(class.marks(0), met_but(&[], None));
            class.tap("Undo");
            assert_eq!(class.marks(0), vec![None; 8]);
        }
    });
}

/// From a headcount that nobody kept to a class that is marked, by fingers alone.
fn entered_and_swept(language: &'static str) {
    let class = Class::of(2, (800, 1280));
    slint::select_bundled_translation(language).unwrap();
    let say = |english: &str| -> String {
        if language == "en" {
            return english.to_owned();
        }
        let word = (None, english.to_owned(), None);
        let found = crate::wording::german().remove(&word);
        found
            .unwrap_or_else(|| panic!("no German for {english:?}"))
            .remove(0)
    };
    class.to(Screen::Board);
    println!("## Two were in the water: their times are entered, {language}");
    for name in &NAMES[..2] {
        class.tap(&say("Water"));
        class.tap(&format!("{name}: {}", say("Times in the water")));
        class.tap(&say("Enter a dive"));
        for time in ["10:05", "10:41"] {
            for key in time.chars() {
                let label = if key == ':' {
                    say("Colon")
                } else {
                    key.to_string()
                };
                class.tap(&label);
            }
            class.tap(&say("Done"));
        }
        class.tap(&say("Record these times"));
    }
    println!("## The head of a column leads to the line-up, and one tap marks both");
    class.tap(&say("Board"));
    let column = format!(", {}", say("line-up"));
    class.tap_like(|label| label.starts_with("1 ") && label.ends_with(&column));
    class.tap(&say("All here met"));
    let second = format!("{}: {}", class.short(1), say("Not yet"));
    class.tap(&second);
    let skill = class.stage.shell.route().skill.unwrap();
    let skill = class.skills.iter().position(|one| *one == skill).unwrap();
    let marks = class.marks(skill);
    assert_eq!(marks[..2], [Some(Mark::Met), Some(Mark::NotYet)]);
    assert_eq!(marks[2..], vec![None; 6]);
    class.stage.save(&format!("entered-and-swept-{language}"));
}

#[test]
fn times_are_entered_and_the_class_is_swept_by_touch_in_either_language() {
    roomy(|| entered_and_swept("en"));
    roomy(|| entered_and_swept("de"));
}

#[test]
fn whoever_a_sweep_may_not_speak_of_is_left_out_by_name() {
    roomy(|| {
        let class = Class::of(2, (800, 1280));
        class.dived(0..6);
        class.pass(6, Passage::Absent);
        class.to(Screen::LineUp);
        let said = class.stage.app.global::<LineUpDoor>().get_view().left_out;
        let (absent, dry) = (class.short(6), class.short(7));
        assert!(said.contains(&format!("{absent}: did not come")), "{said}");
        assert!(
            said.contains(&format!("{dry}: not counted in the water")),
            "{said}"
        );
        class.stage.save("sweep-left-out");
        class.tap("Nobody yet");
        let marks = class.marks(0);
        assert_eq!(marks[..6], vec![Some(Mark::NotYet); 6]);
        assert_eq!(marks[6..], [None, None]);
        println!("## Then who did: one tap a name, and nothing is asked");
        let who = class.short(0);
        class.tap(&format!("{who}: Met"));
        assert_eq!(class.marks(0)[0], Some(Mark::Met));
        assert_eq!(class.stage.app.global::<AppDoor>().get_ask().title, "");
    });
}

#[test]
fn a_column_of_the_board_is_swept_and_its_exceptions_are_said_there() {
    roomy(|| {
        let class = Class::of(2, (1280, 800));
        class.dived(0..7);
        class.to(Screen::Board);
        // Under the last of them: the table is drawn up.
        let at = |y| slint::LogicalPosition::new(700.0, y);
        class.stage.draw(at(600.0), at(200.0));
        class.stage.save("board-sweep-row");
        class.tap_like(|label| label.starts_with("All, except: "));
        let ask = class.stage.app.global::<AppDoor>().get_ask();
        assert!(ask.says.contains("7 students"), "{}", ask.says);
        assert!(
            ask.says.contains("not counted in the water"),
            "{}",
            ask.says
        );
        class.stage.save("board-sweep");
        assert_eq!(class.marks(0), vec![None; 8], "nothing before it is said");
        class.tap("All here met");
        assert_eq!(class.marks(0), met_but(&[7], None));
        let begins = format!("{}, ", class.short(5));
        class.tap_like(|label| label.starts_with(&begins) && label.ends_with(": Met"));
        let exception = format!("{}: Not yet", class.short(5));
        class.tap(&exception);
        assert_eq!(class.marks(0)[5], Some(Mark::NotYet));
    });
}

#[test]
fn times_are_entered_afterwards_by_touch_and_say_when_they_were_written() {
    roomy(|| {
        let class = Class::of(2, (800, 1280));
        class.to(Screen::Water);
        class.tap(&format!("{}: Times in the water", NAMES[0]));
        assert_eq!(
            class.stage.app.global::<AppDoor>().get_screen(),
            Screen::Times
        );
        class.tap("Enter a dive");
        class.type_in("10:05");
        class.type_in("10:41");
        class.stage.save("times-typed");
        class.tap("Record these times");
        class.stage.save("times-recorded");
        let row = || {
            let count = seen(
                class
                    .stage
                    .desk()
                    .headcount(class.course.clone(), class.session.clone()),
            );
            let mut rows = count.rows.into_iter();
            rows.find(|row| matches!(&row.name, tallywater_bindings::WhoName::Student(name) if name.student == class.students[0])).unwrap()
        };
        let clock = |said: &Option<tallywater_bindings::TimeSaid>| {
            let said = said.as_ref().unwrap();
            assert!(said.written.is_some(), "written today, meant yesterday");
            format!("{:02}:{:02}", said.at.hour, said.at.minute)
        };
        assert_eq!(row().place, Place::Out);
        assert_eq!(clock(&row().dives[0].down), "10:05");
        assert_eq!(clock(&row().dives[0].up), "10:41");
        println!("## Put right, and taken back in one");
        class.tap_like(|label| label.starts_with("Out: "));
        class.type_in("10:38");
        class.tap("Record these times");
        assert_eq!(clock(&row().dives[0].up), "10:38");
        class.tap("Undo");
        assert_eq!(clock(&row().dives[0].up), "10:41");
        println!("## What cannot be is refused, and stays to be put right");
        class.tap_like(|label| label.starts_with("Out: "));
        class.type_in("10:01");
        class.tap("Record these times");
        assert_eq!(clock(&row().dives[0].up), "10:41");
        class.stage.save("times-refused");
        class.to(Screen::Water);
        let people = class.stage.app.global::<WaterDoor>().get_people();
        let shown = people.iter().find(|one| one.name == NAMES[0]).unwrap();
        assert!(
            shown.afterwards.starts_with("written "),
            "{}",
            shown.afterwards
        );
        class.stage.save("times-in-water");
    });
}

#[test]
fn a_running_watch_and_a_headcount_outlive_screen_lock_and_a_killed_program() {
    roomy(|| {
        let mut class = Class::of(9, (800, 1280));
        let now = seen(class.stage.desk().moment(None, -30)).at;
        class.session = class.plan_at(now.to_rfc3339());
        for student in 0..3 {
            class.pass(student, Passage::In);
        }
        let desk = class.stage.desk();
        let timed = tallywater_bindings::Timed {
            course: class.course.clone(),
            student: class.students[0].clone(),
            skill: class.skills[0].clone(),
        };
        assert!(desk.start_stopwatch(Some(timed.clone())).running);
        println!("## Other screens and the screen lock stop neither");
        class.to(Screen::Water);
        class.stage.app.global::<AppDoor>().set_guarded(true);
        settle();
        class.stage.app.global::<AppDoor>().set_guarded(false);
        class.to(Screen::More);
        assert!(desk.stopwatch(None).running);
        println!("## Killed: what lies on the disk at this moment is all that is left");
        let left = TempDir::new().unwrap();
        copy(Path::new(&desk.folder()), left.path());
        std::thread::sleep(std::time::Duration::from_millis(1_100));
        let again = Stage::over(left, 800, 1280);
        let watch = again.desk().stopwatch(None);
        assert!(watch.running, "it runs on");
        assert!(
            watch.seconds >= 1,
            "and was not begun anew: {}",
            watch.seconds
        );
        assert_eq!(watch.timed, Some(timed));
        let count = seen(
            again
                .desk()
                .headcount(class.course.clone(), class.session.clone()),
        );
        assert_eq!(count.in_water, 3);
        let at = again.desk().at_hand().unwrap().unwrap();
        assert_eq!(
            (at.session.map(String::from), at.in_water),
            (Some(class.session.clone()), 3)
        );
    });
}
