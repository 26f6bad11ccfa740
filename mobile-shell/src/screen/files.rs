//! Files: photographs and sounds beside a slate and on a student's page: chosen by the system's
//! own way, kept, shown, and put into words by a person.

mod note;

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, Image, Rgba8Pixel, SharedPixelBuffer, SharedString};
use tallywater_bindings::{
    AttachmentHere, AttachmentOf, AttachmentRow, Fault, FileHere, Leave, MediaKind, Place, Request,
    StudentView,
};

use super::papers;
use crate::shell::{Shell, list, on, rows};
use crate::ui::{App, CourseWords, FileRow, FilesDoor};
use crate::words;

pub(crate) use note::leave;

/// How the names of files end that a person may choose; what a file is, its first bytes say.
const PICTURES: &[&str] = &["jpg", "jpeg", "png"];
const SOUNDS: &[&str] = &["ogg", "oga", "opus", "wav", "m4a", "mp4"];

/// What the files on screen are of.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct About {
    course: String,
    /// Whose, on a student's page; photographs of the whole session beside a slate.
    student: Option<String>,
    /// How that one is called.
    called: String,
    /// The sessions that a file can be kept with: id and title.
    sessions: Vec<(String, String)>,
}

#[derive(Default)]
struct Kept {
    about: RefCell<About>,
    /// Which of the sessions a file is kept with.
    session: Cell<usize>,
    /// The number at the head of the slate that is typed in.
    slate: RefCell<Option<String>>,
    /// What is on screen, each with the title of its session.
    rows: RefCell<Vec<(AttachmentRow, String)>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FilesDoor>();
    on!(shell, door.on_keep_photograph() => keep(shell, false));
    on!(shell, door.on_keep_sound() => keep(shell, true));
    on!(shell, door.on_choose_session(place) => {
        shell.kept::<Kept>().session.set(usize::try_from(place).unwrap_or(0));
        draw(shell);
    });
    on!(shell, door.on_show(entry) => picture(shell, &entry));
    on!(shell, door.on_hide() => hide(shell));
    on!(shell, door.on_turn() => turn(shell));
    on!(shell, door.on_open(entry) => open(shell, &entry));
    on!(shell, door.on_say_of(entry) => say_of(shell, &entry));
    on!(shell, door.on_say() => say(shell));
    note::join(shell);
}

/// The photographs of a session, beside its slate.
pub(super) fn of_session(shell: &Rc<Shell>, course: &str, session: &str) {
    let about = About {
        course: course.to_owned(),
        student: None,
        called: String::new(),
        sessions: vec![(session.to_owned(), String::new())],
    };
    turn_to(shell, about, 0);
}

/// The number of the slate that is typed in: what is kept from now on shows that one.
pub(super) fn numbered(shell: &Shell, number: Option<String>) {
    shell.kept::<Kept>().slate.replace(number);
}

/// The photographs and sounds of a student, kept with the session that one is in, or else with
/// the last one that the student came to.
pub(super) fn of_student(shell: &Rc<Shell>, view: &StudentView) {
    let here = shell.route().session;
    let attended = &view.attendance;
    let at_hand = attended
        .iter()
        .position(|row| here.as_ref().is_some_and(|id| row.session == *id));
    let came = attended
        .iter()
        .rposition(|row| matches!(row.place, Place::InWater | Place::Out));
    let about = About {
        course: view.course.to_string(),
        student: Some(view.name.student.to_string()),
        called: view.name.short.clone(),
        sessions: attended
            .iter()
            .map(|row| (row.session.to_string(), row.title.clone()))
            .collect(),
    };
    turn_to(shell, about, at_hand.or(came).unwrap_or(0));
}

/// Draws these files; what was shown or being said of others is put away.
fn turn_to(shell: &Rc<Shell>, about: About, session: usize) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    if *kept.about.borrow() != about {
        let door = ui.global::<FilesDoor>();
        door.set_refused("".into());
        door.set_done("".into());
        door.set_saying("".into());
        door.set_words("".into());
        hide(shell);
        kept.session.set(session);
        kept.about.replace(about);
        door.set_microphone(shell.system().microphone().is_some());
    }
    draw(shell);
    note::draw(shell);
}

/// A file that is kept, with the session it is of.
type KeptRow = (AttachmentRow, String);

/// The rows of every session, and whether the reader may keep one and say something of one.
fn read(shell: &Shell, about: &About) -> Result<(Vec<KeptRow>, bool, bool), Fault> {
    let desk = shell.desk();
    let (mut rows, mut may_keep, mut may_say) = (Vec::new(), false, false);
    for (session, _) in &about.sessions {
        let seen = desk.attachments(about.course.clone(), session.clone())?;
        may_keep |= seen.may_keep == Leave::Yes;
        may_say |= seen.may_say == Leave::Yes;
        let wanted = seen.rows.into_iter().filter(|row| match &about.student {
            Some(student) => row
                .student
                .as_ref()
                .is_some_and(|name| name.student == *student),
            None => !is_sound(&row.file.media),
        });
        rows.extend(wanted.map(|row| (row, seen.title.clone())));
    }
    Ok((rows, may_keep, may_say))
}

fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FilesDoor>();
    let kept = shell.kept::<Kept>();
    let about = kept.about.borrow().clone();
    let seen = shell.see(read(shell, &about), |fault| door.set_refused(fault));
    let Some((found, may_keep, may_say)) = seen else {
        return;
    };
    door.set_may_keep(may_keep);
    door.set_may_say(may_say);
    door.set_sessions(list(about.sessions.into_iter().map(|(_, title)| title)));
    door.set_session(words::count(kept.session.get()));
    let shown = door.get_shown();
    if !found.iter().any(|(row, _)| row.entry == shown.as_str()) {
        hide(shell);
    }
    let drawn: Vec<FileRow> = found
        .iter()
        .map(|(row, title)| file_row(&ui, row, title))
        .collect();
    door.set_rows(rows(drawn));
    kept.rows.replace(found);
}

fn file_row(ui: &App, row: &AttachmentRow, title: &str) -> FileRow {
    let slate = row.slate.as_ref().map(|number| {
        let says = ui.global::<FilesDoor>();
        says.invoke_of_slate(number.into())
    });
    let said = row.text.as_ref();
    FileRow {
        entry: row.entry.to_string().into(),
        sound: is_sound(&row.file.media),
        of: slate.unwrap_or_else(|| title.into()),
        by: row.by.name.clone().into(),
        when: words::moment(&row.at),
        here: match row.here {
            AttachmentHere::Whole => 0,
            AttachmentHere::OnItsWay { have: _ } => 1,
            AttachmentHere::Hurt => 2,
            AttachmentHere::Refused => 3,
            AttachmentHere::Gone => 4,
        },
        words: said
            .map(|said| said.text.clone())
            .unwrap_or_default()
            .into(),
        words_by: said
            .map(|said| said.by.name.clone())
            .unwrap_or_default()
            .into(),
    }
}

const fn is_sound(media: &MediaKind) -> bool {
    match media {
        MediaKind::Jpeg | MediaKind::Png => false,
        MediaKind::Ogg | MediaKind::Wav | MediaKind::Mp4 => true,
    }
}

/// How the name of a copy ends.
const fn ending(media: &MediaKind) -> &'static str {
    match media {
        MediaKind::Jpeg => "jpg",
        MediaKind::Png => "png",
        MediaKind::Ogg => "ogg",
        MediaKind::Wav => "wav",
        MediaKind::Mp4 => "m4a",
    }
}

/// What is kept now is of this, and how that is called.
fn to_keep(shell: &Shell) -> Option<(AttachmentOf, String)> {
    let kept = shell.kept::<Kept>();
    let about = kept.about.borrow().clone();
    let (session, title) = about.sessions.get(kept.session.get()).cloned()?;
    // A slate's number belongs to what is kept beside the slate alone.
    let slate = match &about.student {
        Some(_) => None,
        None => kept.slate.borrow().clone(),
    };
    let of = AttachmentOf {
        course: about.course,
        session,
        student: about.student,
        slate,
    };
    Some((of, format!("{} · {title}", about.called)))
}

/// Lets a person choose a file and keeps it; a photograph is shown at once.
fn keep(shell: &Rc<Shell>, sound: bool) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FilesDoor>();
    door.set_refused("".into());
    door.set_done("".into());
    let (title, endings) = if sound {
        (door.invoke_choose_sound(), SOUNDS)
    } else {
        (door.invoke_choose_photograph(), PICTURES)
    };
    // It is kept with what is on screen now, whenever the system answers.
    let Some((of, _)) = to_keep(shell) else {
        return;
    };
    shell.choose_file(&title, endings, move |shell, file| {
        let Some(ui) = shell.ui() else { return };
        let door = ui.global::<FilesDoor>();
        let bytes = match file {
            Ok(file) => file.bytes,
            Err(says) => return door.set_refused(says),
        };
        match shell.desk().keep_attachment(of, bytes) {
            Ok(receipt) => {
                let entry = receipt.entries.first().map(|one| one.entry.to_string());
                shell.recorded(receipt);
                draw(shell);
                if let (Some(entry), false) = (entry, sound) {
                    picture(shell, &entry);
                }
            }
            Err(fault @ Fault::DeviceFull) => shell.fault(&fault),
            Err(fault) => door.set_refused(words::fault(&ui, &fault)),
        }
    });
}

/// A row that is on screen, with the title of its session.
fn row(shell: &Shell, entry: &str) -> Option<(AttachmentRow, String)> {
    let kept = shell.kept::<Kept>();
    let rows = kept.rows.borrow();
    rows.iter().find(|(row, _)| row.entry == entry).cloned()
}

/// The bytes of a file, where all of them are here; else that is said.
fn bytes(shell: &Rc<Shell>, entry: &str) -> Option<Vec<u8>> {
    let ui = shell.ui()?;
    let door = ui.global::<FilesDoor>();
    door.set_refused("".into());
    door.set_done("".into());
    let course = shell.kept::<Kept>().about.borrow().course.to_string();
    let seen = shell.desk().attachment_bytes(course, entry.to_owned());
    match shell.see(seen, |fault| door.set_refused(fault))? {
        FileHere::Whole { bytes } => Some(bytes),
        FileHere::OnItsWay { have: _ } | FileHere::Hurt | FileHere::Gone => {
            door.set_refused(door.invoke_not_here());
            None
        }
    }
}

/// Shows a photograph beside what is typed.
fn picture(shell: &Rc<Shell>, entry: &str) {
    let Some(ui) = shell.ui() else { return };
    let Some(bytes) = bytes(shell, entry) else {
        return;
    };
    let door = ui.global::<FilesDoor>();
    // A kind that the toolkit does not draw is told by the bytes, and never drawn by halves.
    match Image::load_from_data(&bytes, None) {
        Ok(image) => {
            door.set_picture(image);
            door.set_shown(entry.into());
        }
        Err(_) => door.set_refused(door.invoke_cannot_draw()),
    }
}

/// Puts the photograph away, and its pixels with it.
fn hide(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FilesDoor>();
    door.set_shown("".into());
    door.set_picture(Image::default());
}

/// Turns what is shown by a quarter to the left. What is kept stays as it is.
fn turn(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FilesDoor>();
    if let Some(pixels) = door.get_picture().to_rgba8() {
        door.set_picture(Image::from_rgba8(turned(&pixels)));
    }
}

/// The last column becomes the first line.
fn turned(from: &SharedPixelBuffer<Rgba8Pixel>) -> SharedPixelBuffer<Rgba8Pixel> {
    let mut to = SharedPixelBuffer::new(from.height(), from.width());
    let width = usize::try_from(from.width()).unwrap_or(usize::MAX).max(1);
    let lines: Vec<&[Rgba8Pixel]> = from.as_slice().chunks_exact(width).collect();
    let lines = &lines;
    let columns = (0..width).rev();
    let pixels = columns.flat_map(|at| lines.iter().filter_map(move |line| line.get(at)));
    for (to, from) in to.make_mut_slice().iter_mut().zip(pixels) {
        *to = *from;
    }
    to
}

/// Writes a copy beside the person's papers, and has the system show or play it.
fn open(shell: &Rc<Shell>, entry: &str) {
    let Some(ui) = shell.ui() else { return };
    let Some((row, title)) = row(shell, entry) else {
        return;
    };
    let Some(bytes) = bytes(shell, entry) else {
        return;
    };
    let door = ui.global::<FilesDoor>();
    match papers::copy(shell, &title, ending(&row.file.media), bytes) {
        Ok(path) => {
            let said = path.display().to_string();
            door.set_done(ui.global::<CourseWords>().invoke_written(said.into()));
        }
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
    }
}

/// Begins to put a file into words: what was said of it last stands there.
fn say_of(shell: &Rc<Shell>, entry: &str) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FilesDoor>();
    let said = row(shell, entry).and_then(|(row, _)| row.text);
    let said: SharedString = said.map(|said| said.text).unwrap_or_default().into();
    door.set_words(said);
    door.set_saying(entry.into());
}

fn say(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FilesDoor>();
    let course = shell.kept::<Kept>().about.borrow().course.to_string();
    let recorded = shell.record(Request::SayOfAttachment {
        course,
        attachment: door.get_saying().into(),
        text: door.get_words().trim().to_owned(),
    });
    if recorded.is_some() {
        door.set_saying("".into());
        door.set_words("".into());
        draw(shell);
    }
}
