//! By touch, on a device that was never used: the page, its file for a phone and the dive log
//! are written where the system keeps papers; and a student's own log, chosen with the system's
//! own picker, is taken in as none of the course.

use std::path::{Path, PathBuf};
use std::rc::Rc;

use slint::{ComponentHandle, Model as _};
use tallywater::shell::Route;
use tallywater::system::{Chosen, System};
use tallywater::ui::{AppDoor, DivesDoor, Load, RecordDoor, Screen};
use tempfile::TempDir;

use crate::support::{Stage, roomy, seen, settle};
use crate::surface::Class;

/// A machine whose picker answers this file.
struct Machine {
    papers: TempDir,
    file: PathBuf,
}

impl System for Machine {
    fn choose_file(&self, _: &str, endings: &[&str], then: Chosen) {
        assert!(endings.contains(&"uddf"));
        then(Ok(self.file.clone()));
    }

    fn show(&self, _: &Path) -> bool {
        true
    }

    fn papers(&self) -> PathBuf {
        self.papers.path().to_owned()
    }
}

/// A log of one dive, by this owner.
pub(crate) fn log(first: &str, last: &str, at: &str) -> String {
    format!(
        r#"<uddf xmlns="http://www.streit.cc/uddf/3.2/" version="3.2.3">
<diver><owner id="d"><personal><firstname>{first}</firstname><lastname>{last}</lastname>
</personal></owner></diver><divesite><site id="s"><name>Heron Ledge</name></site></divesite>
<profiledata><repetitiongroup id="g"><dive id="1"><informationbeforedive><link ref="s"/>
<datetime>{at}</datetime></informationbeforedive>
<informationafterdive><greatestdepth>14.2</greatestdepth><diveduration>2100</diveduration>
</informationafterdive></dive></repetitiongroup></profiledata></uddf>"#
    )
}

/// The endings of the files under a folder, sorted.
fn endings(folder: &Path) -> Vec<String> {
    let mut found = Vec::new();
    for one in std::fs::read_dir(folder).unwrap() {
        let path = one.unwrap().path();
        if path.is_dir() {
            found.extend(endings(&path));
        } else {
            let ending = path.extension().unwrap_or_default();
            found.push(ending.to_string_lossy().into_owned());
        }
    }
    found.sort();
    found
}

fn taken_in(size: (u32, u32), language: &'static str, words: [&str; 2]) {
    let [again, meant] = words;
    let Class {
        stage,
        course,
        students,
        ..
    } = Class::of(2, size);
    slint::select_bundled_translation(language).unwrap();
    let brought = TempDir::new().unwrap();
    let machine = Rc::new(Machine {
        papers: TempDir::new().unwrap(),
        file: brought.path().join("own.uddf"),
    });
    stage
        .shell
        .use_system(Rc::<Machine>::clone(&machine) as Rc<dyn System>);
    let student = students[0].clone();
    let record = || {
        let view = stage.desk().student_record(course.clone(), student.clone());
        seen(view)
    };
    let name = record().name.name;
    let (first, last) = name.split_once(' ').unwrap();
    stage.open(
        Route::to(Screen::Record)
            .course(course.clone())
            .student(student.clone()),
    );
    let door = stage.app.global::<RecordDoor>();
    assert_eq!(door.get_load(), Load::Ready);
    assert!(door.get_picks());

    println!("## One press, and the three files are where this system keeps papers");
    door.invoke_take_home(language == "de");
    settle();
    assert_eq!(door.get_refused(), "");
    assert_eq!(endings(machine.papers.path()), ["html", "pdf", "uddf"]);

    println!("## The student's own log is taken in, once");
    let before = record();
    std::fs::write(&machine.file, log(first, last, "2020-06-06T12:00:00+02:00")).unwrap();
    door.invoke_take_own();
    settle();
    assert_eq!(door.get_refused(), "");
    assert_eq!(door.get_own_dives().row_count(), 1);
    let line = door.get_own_dives().row_data(0).unwrap();
    assert!(
        line.contains("Heron Ledge") && line.contains("14.2 m"),
        "{line}"
    );
    assert_eq!(record().own_dives.len(), 1);
    assert_eq!(record().dives.len(), before.dives.len());
    assert_eq!(record().gaps.len(), before.gaps.len());
    door.invoke_take_own();
    settle();
    assert!(door.get_done().contains(again), "{}", door.get_done());
    assert_eq!(record().own_dives.len(), 1);
    stage.save(&format!("own-dives-{language}-{}", size.0));

    println!("## Somebody else's is asked about first");
    std::fs::write(&machine.file, log("Bo", "Li", "2020-06-07T12:00:00+02:00")).unwrap();
    door.invoke_take_own();
    settle();
    let ask = stage.app.global::<AppDoor>().get_ask();
    assert!(ask.title.contains("Bo Li"), "{}", ask.title);
    assert_eq!(record().own_dives.len(), 1, "nothing before the answer");
    assert_eq!(ask.first, meant);
    stage.tap(meant);
    assert_eq!(record().own_dives.len(), 2);

    println!("## What is no log is said to be none, and nothing changes");
    std::fs::write(&machine.file, "no log").unwrap();
    door.invoke_take_own();
    settle();
    assert!(
        door.get_refused().contains("UDDF"),
        "{}",
        door.get_refused()
    );
    assert_eq!(record().own_dives.len(), 2);
    slint::select_bundled_translation("en").unwrap();
}

#[test]
fn a_students_log_is_written_by_one_press_and_taken_in_by_one() {
    roomy(|| {
        taken_in(
            (390, 844),
            "en",
            ["Own dives taken in: 0; here already: 1.", "Take them in"],
        );
    });
    roomy(|| {
        taken_in(
            (1280, 1600),
            "de",
            [
                "Eigene Tauchgänge übernommen: 0; schon da: 1.",
                "Übernehmen",
            ],
        );
    });
}

/// Takes the file for the first student, on the screen of the course's dives.
fn take_for_the_first(stage: &Stage, student: &str, file: &Path) {
    let door = stage.app.global::<DivesDoor>();
    door.invoke_choose_form(3);
    settle();
    for chip in door.get_people().iter() {
        if chip.on != (chip.id == student) {
            door.invoke_toggle(chip.id);
        }
    }
    settle();
    door.set_file(file.display().to_string().into());
    door.invoke_look_at_file();
    assert_eq!(door.get_new_in_file(), 1, "{}", door.get_file_fault());
    door.invoke_take_file();
    settle();
}

fn whose(language: &'static str, say: impl Fn(&str) -> String) {
    let Class {
        stage,
        course,
        students,
        ..
    } = Class::of(2, (390, 844));
    slint::select_bundled_translation(language).unwrap();
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("dives.uddf");
    let write = |at: &str| std::fs::write(&file, log("Baldo", "Cantavento", at)).unwrap();
    let many = || {
        let dives = seen(stage.desk().water(course.clone(), None)).dives.len();
        let record = stage
            .desk()
            .student_record(course.clone(), students[0].clone());
        (dives, seen(record).own_dives.len())
    };
    stage.open(Route::to(Screen::Dives).course(course.clone()));
    let ask = || stage.app.global::<AppDoor>().get_ask();
    println!("## While a session was on for the student: the course's, and nothing is asked");
    let day = seen(stage.desk().day(None, -1)).date;
    write(
        &seen(stage.desk().read_clock(day.to_string(), "10:20".into()))
            .at
            .to_rfc3339(),
    );
    take_for_the_first(&stage, &students[0], &file);
    assert_eq!((many(), ask().title.as_str()), ((1, 0), ""));
    println!("## Of no session: asked, and nothing before the answer");
    write("2020-06-06T12:00:00+02:00");
    take_for_the_first(&stage, &students[0], &file);
    assert_ne!(ask().title, "");
    assert_eq!(ask().first, say("The student’s own"));
    assert_eq!(many(), (1, 0));
    stage.save(&format!("dives-whose-{language}"));
    stage.tap(&say("No, go back"));
    assert_eq!(many(), (1, 0));
    stage.app.global::<DivesDoor>().invoke_take_file();
    settle();
    stage.tap(&say("The student’s own"));
    assert_eq!(many(), (1, 1));
    println!("## Or the course's, where a person says so");
    write("2020-06-07T12:00:00+02:00");
    take_for_the_first(&stage, &students[0], &file);
    stage.tap(&say("Dives of the course"));
    assert_eq!(many(), (2, 1));
    slint::select_bundled_translation("en").unwrap();
}

#[test]
fn whose_a_dive_of_no_session_is_is_asked() {
    roomy(|| whose("en", str::to_owned));
    roomy(|| {
        whose("de", |english| {
            let word = (None, english.to_owned(), None);
            crate::wording::german().remove(&word).unwrap().remove(0)
        });
    });
}
