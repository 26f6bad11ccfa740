//! Papers and files from the screens: written into the person's own folder, then opened in
//! the system's viewer, which may be none; a sheet goes to the system's own print dialog after
//! that, where it has one and a person presses for it.

use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{
    ChartOf, Fault, NamedFile, OfficeSheet, PaperLanguage, PaperSetup, save_file,
};

use crate::shell::{Shell, on};
use crate::ui::{App, CourseWords, PaperDoor};

/// The sheet that was written last.
#[derive(Default)]
struct Kept(RefCell<Option<PathBuf>>);

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PaperDoor>();
    on!(shell, door.on_print() => print(shell));
}

/// Another screen, or something else is said on this one: the sheet is not what is on screen any
/// more.
pub(crate) fn leave(ui: &App) {
    ui.global::<PaperDoor>().set_sheet(false);
}

/// Hands the sheet to the system's print dialog.
fn print(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let sheet = shell.kept::<Kept>().0.borrow().clone();
    if !sheet.is_some_and(|sheet| shell.system().print(&sheet)) {
        let says = ui.global::<CourseWords>();
        shell.say(says.invoke_not_printed(), says.invoke_not_printed_says());
    }
}

/// What was written has this sheet, or none, that can be printed.
fn wrote(shell: &Rc<Shell>, sheet: Option<PathBuf>) {
    let Some(ui) = shell.ui() else { return };
    let prints = sheet.is_some() && shell.system().prints();
    ui.global::<PaperDoor>().set_sheet(prints);
    shell.kept::<Kept>().0.replace(sheet);
}

/// The language of the screens.
pub(super) fn language(shell: &Rc<Shell>) -> PaperLanguage {
    let chosen = shell.desk().preference("language".into()).ok().flatten();
    match chosen.as_deref() {
        Some("de") => PaperLanguage::German,
        _ => PaperLanguage::English,
    }
}

/// What papers are printed with, in the language of the screens.
fn setup(shell: &Rc<Shell>) -> PaperSetup {
    PaperSetup {
        sheet: OfficeSheet::A4,
        language: language(shell),
        device_fonts: true,
    }
}

/// A name as part of a file's name.
fn plain(name: &str) -> String {
    let letters = |one: char| if one.is_alphanumeric() { one } else { '-' };
    name.chars().map(letters).take(60).collect()
}

/// Writes files under names of this moment, so that nothing that is there is written over.
fn write(shell: &Rc<Shell>, title: &str, files: Vec<NamedFile>) -> Result<PathBuf, Fault> {
    write_and_show(shell, title, files, Shows::Folder)
}

/// What of several files is shown.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shows {
    /// The folder that they are in.
    Folder,
    /// The last of them.
    Last,
}

fn write_and_show(
    shell: &Rc<Shell>,
    title: &str,
    files: Vec<NamedFile>,
    show: Shows,
) -> Result<PathBuf, Fault> {
    let now = shell.desk().moment(None, 0)?;
    let stamp: String = now
        .at
        .to_rfc3339()
        .chars()
        .filter(char::is_ascii_digit)
        .take(14)
        .collect();
    let into = shell
        .system()
        .papers()
        .join(format!("{}-{stamp}", plain(title)));
    std::fs::create_dir_all(&into).map_err(|error| Fault::Internal {
        detail: format!("could not make the folder for papers: {}", error.kind()),
    })?;
    let (mut last, mut sheet) = (into.clone(), None);
    let one = files.len() == 1;
    for file in files {
        let path = into.join(&file.name);
        save_file(path.display().to_string(), file.bytes, false)?;
        if path.extension().is_some_and(|ending| ending == "pdf") {
            sheet = Some(path.clone());
        }
        last = path;
    }
    wrote(shell, sheet);
    let shown = if one || show == Shows::Last {
        last
    } else {
        into
    };
    // A machine without a viewer still has the file, and is told where.
    let _ = shell.system().show(&shown);
    Ok(shown)
}

/// Prints a student's record; answers where it is.
pub(super) fn record(shell: &Rc<Shell>, name: &str) -> Result<PathBuf, Fault> {
    let route = shell.route();
    let student = route.student.clone().unwrap_or_default();
    let bytes = shell
        .desk()
        .print_record(route.in_course(), student, setup(shell))?;
    let name_of = format!("{}.pdf", plain(name));
    write(
        shell,
        name,
        vec![NamedFile {
            name: name_of,
            bytes,
        }],
    )
}

/// Writes what a student takes home: the page as a sheet and as a file for a phone, and the own
/// dives for another log; answers where the file for a phone is.
pub(super) fn take_home(shell: &Rc<Shell>, name: &str, german: bool) -> Result<PathBuf, Fault> {
    let route = shell.route();
    let student = route.student.clone().unwrap_or_default();
    let setup = PaperSetup {
        language: if german {
            PaperLanguage::German
        } else {
            PaperLanguage::English
        },
        ..setup(shell)
    };
    let page = shell
        .desk()
        .student_page(route.in_course(), student, setup)?;
    let file = |ending: &str, bytes| NamedFile {
        name: format!("{}.{ending}", plain(name)),
        bytes,
    };
    // The page last: that is what is opened.
    let files = vec![
        file("pdf", page.pdf),
        file("uddf", page.uddf),
        file("html", page.html),
    ];
    write_and_show(shell, name, files, Shows::Last)
}

/// Prints the sheet of the session that is at hand; answers where it is.
pub(super) fn session(shell: &Rc<Shell>, title: &str) -> Result<PathBuf, Fault> {
    let route = shell.route();
    let session = route.session.clone().unwrap_or_default();
    let desk = shell.desk();
    let bytes = desk.print_session_sheet(route.in_course(), session, setup(shell))?;
    let name = format!("{}.pdf", plain(title));
    write(shell, title, vec![NamedFile { name, bytes }])
}

/// Prints the sheet of the incident that is shown; answers where it is. Nothing sends it.
pub(super) fn incident(shell: &Rc<Shell>, title: &str) -> Result<PathBuf, Fault> {
    let route = shell.route();
    let entry = route.incident.clone().unwrap_or_default();
    let desk = shell.desk();
    let bytes = desk.print_incident(route.in_course(), entry, setup(shell))?;
    let name = format!("{}.pdf", plain(title));
    write(shell, title, vec![NamedFile { name, bytes }])
}

/// Prints a picture under this title; answers where it is, and `None` where nothing is left to draw.
pub(super) fn picture(
    shell: &Rc<Shell>,
    title: &str,
    of: ChartOf,
) -> Result<Option<PathBuf>, Fault> {
    let course = shell.route().in_course();
    let Some(bytes) = shell.desk().print_chart(course, of, setup(shell))? else {
        return Ok(None);
    };
    let name = format!("{}.pdf", plain(title));
    write(shell, title, vec![NamedFile { name, bytes }]).map(Some)
}

/// Prints the school's kit; answers where the list is.
pub(super) fn kit_list(shell: &Rc<Shell>, title: &str) -> Result<PathBuf, Fault> {
    let bytes = shell.desk().print_kit_list(setup(shell))?;
    let name = format!("{}.pdf", plain(title));
    write(shell, title, vec![NamedFile { name, bytes }])
}

/// Prints the season; answers where the sheet is.
pub(super) fn season(shell: &Rc<Shell>, title: &str) -> Result<PathBuf, Fault> {
    let bytes = shell.desk().print_season(setup(shell))?;
    let name = format!("{}.pdf", plain(title));
    write(shell, title, vec![NamedFile { name, bytes }])
}

/// Prints who gets what of the kit for the session that is at hand; answers where the list is.
pub(super) fn issue_list(shell: &Rc<Shell>, title: &str) -> Result<PathBuf, Fault> {
    let route = shell.route();
    let session = route.session.clone().unwrap_or_default();
    let desk = shell.desk();
    let bytes = desk.print_issue_list(route.in_course(), session, setup(shell))?;
    let name = format!("{}.pdf", plain(title));
    write(shell, title, vec![NamedFile { name, bytes }])
}

/// Writes the school's kit as a table; answers where it is.
pub(super) fn kit_table(shell: &Rc<Shell>) -> Result<PathBuf, Fault> {
    let file = shell.desk().export_kit()?;
    write(shell, "kit", vec![file])
}

/// Prints the forms and checks of a course that are missing; answers where the list is.
pub(super) fn chase(shell: &Rc<Shell>, title: &str) -> Result<PathBuf, Fault> {
    let bytes = shell
        .desk()
        .print_chase_list(shell.route().in_course(), setup(shell))?;
    let name = format!("{}.pdf", plain(title));
    write(shell, title, vec![NamedFile { name, bytes }])
}

/// Writes a copy of a photograph or a sound under this title; answers where it is.
pub(super) fn copy(
    shell: &Rc<Shell>,
    title: &str,
    ending: &str,
    bytes: Vec<u8>,
) -> Result<PathBuf, Fault> {
    let name = format!("{}.{ending}", plain(title));
    write(shell, title, vec![NamedFile { name, bytes }])
}

/// Writes the tables of a course; answers the folder they are in.
pub(super) fn tables(shell: &Rc<Shell>, title: &str) -> Result<PathBuf, Fault> {
    let files = shell
        .desk()
        .export_tables(shell.route().in_course(), Vec::new())?;
    write(shell, title, files)
}
