//! `tallywater demo`: builds the demo school and opens it, or draws it without a display.

use std::io::{IsTerminal as _, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;
use clap::builder::PossibleValuesParser;
use serde_json::json;
use tallywater::picture::{Each, TEXT, pictures, read_in};
use tallywater_bindings::{DemoProgress, Fault, Tallywater, build_demo, is_in_device_folder};

use super::catalogue::{Language, tr};
use super::find::refused;
use super::turn::Turn;

/// Build the demo school in an empty or new folder and open it.
///
/// Three devices of an invented school, each a folder of its own: `shop`, `instructor`
/// and `assistant`, with a pool evening under way. Nothing is sent anywhere. Without a
/// display every screen is drawn into the folder `pictures` instead.
#[derive(Debug, Args)]
pub(super) struct Demo {
    /// The folder; it must be empty or not there yet.
    folder: PathBuf,
    /// Draw every screen in four sizes and two lights into this folder and open no window; it must
    /// be empty or not there yet.
    #[arg(long, value_name = "FOLDER")]
    pictures: Option<PathBuf>,
    /// The size of the text on the screens, in per cent of the usual one; 100 if left out.
    #[arg(long, value_name = "PERCENT", value_parser = PossibleValuesParser::new(TEXT))]
    text: Option<String>,
}

/// Says how far it is on one line of a terminal.
struct OneLine;

impl DemoProgress for OneLine {
    fn built(&self, percent: u8) {
        if std::io::stderr().is_terminal() {
            let end = if percent == 100 { "\n" } else { "" };
            let line = tr!(
                "building the demo school: {percent} %",
                percent = format!("{percent:>3}")
            );
            let _ = write!(std::io::stderr(), "\r{line}{end}");
        }
    }
}

/// Whether pictures may be written into this folder: it is no device's, and holds nothing that
/// they could stand for.
fn may_hold_pictures(folder: &Path) -> Result<(), Fault> {
    let named = folder.display().to_string();
    let rule = if is_in_device_folder(folder.join("picture").display().to_string()) {
        "device_folder"
    } else if std::fs::read_dir(folder).is_ok_and(|mut there| there.next().is_some()) {
        "folder_not_empty"
    } else {
        return Ok(());
    };
    Err(refused(rule, "folder", Some(&named)))
}

/// Builds the school in the folder, says what its day is, and shows it in the language that is
/// spoken. A person is told on the way; a program is answered once, before a window is opened.
pub(super) fn run(asked: &Demo, turn: &Turn) -> Result<(), Fault> {
    let folder = &asked.folder;
    if let Some(pictures) = &asked.pictures {
        may_hold_pictures(pictures)?;
    }
    let school = build_demo(folder.display().to_string(), Arc::new(OneLine))?;
    if turn.is_for_a_person() {
        turn.say(tr!(
            "The demo school is in {folder}:",
            folder = folder.display()
        ));
        turn.say(tr!("  shop computer       {folder}", folder = school.shop));
        turn.say(tr!(
            "  instructor's tablet {folder}",
            folder = school.instructor
        ));
        turn.say(tr!(
            "  assistant's tablet  {folder}",
            folder = school.assistant
        ));
        turn.say("");
    }
    let instructor = Tallywater::open(school.instructor.clone())?;
    read_in(
        &instructor,
        Language::spoken().code(),
        asked.text.as_deref().unwrap_or("100"),
    )?;
    let courses = instructor.today()?.courses.into_iter();
    let courses: Vec<String> = courses.map(|one| one.course.to_string()).collect();
    if turn.is_for_a_person() {
        super::today::show(&instructor, turn)?;
        turn.say("");
        super::board::show(&instructor, courses.first().map(String::as_str), turn)?;
        turn.say("");
    }
    let drawn = drawn(asked, &instructor, turn)?;
    let pictures = drawn
        .as_ref()
        .map(|(into, count)| json!({ "folder": into.display().to_string(), "count": count }));
    let value = json!({
        "shop": school.shop, "instructor": school.instructor, "assistant": school.assistant,
        "courses": courses, "pictures": pictures,
    });
    let lines = || match (&drawn, &asked.pictures) {
        (Some((into, count)), Some(_)) => vec![tr!(
            "{count} pictures of every screen are in {folder}.",
            count = count,
            folder = into.display()
        )],
        (Some((into, count)), None) => vec![tr!(
            "There is no display: {count} pictures of every screen are in {folder}.",
            count = count,
            folder = into.display()
        )],
        (None, _) => Vec::new(),
    };
    turn.answer("demo", &value, || courses, lines);
    match drawn {
        Some(_) => Ok(()),
        None => tallywater::start::window_on(&instructor),
    }
}

/// Draws every screen where a person asked for pictures or there is no display; answers into
/// which folder, and how many pictures there are.
fn drawn(
    asked: &Demo,
    desk: &Arc<Tallywater>,
    turn: &Turn,
) -> Result<Option<(PathBuf, usize)>, Fault> {
    let (into, each) = match &asked.pictures {
        Some(pictures) => {
            // It may lie in a device's folder now that there is one.
            may_hold_pictures(pictures)?;
            (pictures.clone(), Each::SizeAndLight)
        }
        None if super::window::display() => return Ok(None),
        None => (asked.folder.join("pictures"), Each::Once),
    };
    let count = draw(desk, &into, each, turn)?;
    Ok(Some((into, count)))
}

/// Draws every screen into the folder and says how far it is; answers how many pictures there
/// are.
fn draw(desk: &Arc<Tallywater>, into: &Path, each: Each, turn: &Turn) -> Result<usize, Fault> {
    let told = |done: usize, all: usize| {
        turn.progress(
            tr!("drawing: {done} of {all}", done = done, all = all),
            done == all,
        );
    };
    pictures(desk, into, each, &told)
}
