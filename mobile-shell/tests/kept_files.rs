//! Photographs beside a slate and sounds on a student's page, by touches: chosen by the system's
//! own way, kept without where they were taken, shown while a slate is typed in, put into words.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use slint::{ComponentHandle, Image};
use tallywater::shell::Route;
use tallywater::system::{Chosen, System};
use tallywater::ui::{FilesDoor, Screen, SlateDoor};
use tallywater_bindings::{AttachmentHere, AttachmentRow, FileHere, MediaKind};
use tempfile::TempDir;

use crate::support::{roomy, seen, settle};
use crate::surface::Class;

/// A system that chooses this file, and remembers what it was asked for and to show.
struct Picker {
    folder: TempDir,
    chosen: RefCell<Option<PathBuf>>,
    endings: RefCell<Vec<String>>,
    shown: RefCell<Option<PathBuf>>,
    files: bool,
}

impl Picker {
    fn new(files: bool) -> Rc<Self> {
        Rc::new(Self {
            folder: TempDir::new().unwrap(),
            chosen: RefCell::default(),
            endings: RefCell::default(),
            shown: RefCell::default(),
            files,
        })
    }

    /// The person will choose a file of this name and these bytes.
    fn will_choose(&self, name: &str, bytes: &[u8]) {
        let path = self.folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        self.chosen.replace(Some(path));
    }
}

impl System for Picker {
    fn choose_file(&self, _: &str, endings: &[&str], then: Chosen) {
        let asked = endings.iter().map(|one| (*one).to_owned());
        self.endings.replace(asked.collect());
        let chosen = self.chosen.borrow().clone();
        if let Some(file) = chosen {
            then(Ok(file));
        }
    }

    fn shows_files(&self) -> bool {
        self.files
    }

    fn show(&self, file: &Path) -> bool {
        self.shown.replace(Some(file.to_owned()));
        true
    }

    fn papers(&self) -> PathBuf {
        self.folder.path().join("papers")
    }
}

/// A picture four wide and three high, with this text beside it: its first pixel is red.
pub(crate) fn png(text: Option<&str>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut png = png::Encoder::new(&mut bytes, 4, 3);
    png.set_color(png::ColorType::Rgb);
    if let Some(text) = text {
        png.add_text_chunk("Comment".into(), text.into()).unwrap();
    }
    let mut png = png.write_header().unwrap();
    let mut pixels = vec![40_u8; 36];
    pixels[..3].copy_from_slice(&[255, 0, 0]);
    png.write_image_data(&pixels).unwrap();
    png.finish().unwrap();
    bytes
}

/// A tenth of a second of a WAV recording.
pub(crate) fn wav() -> Vec<u8> {
    let size = |of: usize| u32::try_from(of).unwrap().to_le_bytes();
    let (format, samples) = ([1_u8; 16], [128_u8; 800]);
    let chunks = [
        &b"WAVEfmt "[..],
        &size(format.len()),
        &format,
        b"data",
        &size(samples.len()),
        &samples,
    ]
    .concat();
    [&b"RIFF"[..], &size(chunks.len()), &chunks].concat()
}

pub(crate) fn files(class: &Class) -> Vec<AttachmentRow> {
    let desk = class.stage.desk();
    seen(desk.attachments(class.course.clone(), class.session.clone())).rows
}

pub(crate) fn whole(class: &Class, entry: &str) -> Vec<u8> {
    let desk = class.stage.desk();
    match seen(desk.attachment_bytes(class.course.clone(), entry.into())) {
        FileHere::Whole { bytes } => bytes,
        FileHere::OnItsWay { .. } | FileHere::Hurt | FileHere::Gone => panic!("not whole"),
    }
}

/// Where the red pixel of a picture is, and how large the picture is.
fn red(picture: &Image) -> (usize, u32, u32) {
    let pixels = picture.to_rgba8().unwrap();
    let mut all = pixels.as_slice().iter();
    let at = all.position(|one| (one.r, one.g, one.b) == (255, 0, 0));
    (at.unwrap(), pixels.width(), pixels.height())
}

#[test]
fn a_photograph_of_the_slate_stands_beside_the_rows_while_they_are_typed() {
    roomy(|| {
        let class = Class::of(9, (1280, 800));
        let picker = Picker::new(true);
        class
            .stage
            .shell
            .use_system(Rc::<Picker>::clone(&picker) as Rc<dyn System>);
        class.to(Screen::Slate);
        println!("## Nothing is kept where nothing was chosen");
        class.tap("Keep a photograph");
        assert!(files(&class).is_empty());
        picker.will_choose("slate.png", &png(Some("47.5123 N 9.6021 E")));
        class.tap("Keep a photograph");
        assert!(picker.endings.borrow().contains(&"jpg".to_owned()));
        let kept = files(&class);
        assert_eq!(kept.len(), 1);
        assert_eq!(kept[0].here, AttachmentHere::Whole);
        assert!(kept[0].student.is_none());
        assert_eq!(whole(&class, &kept[0].entry.to_string()), png(None));
        println!("## It is drawn, and the rows go on being typed beside it");
        let door = class.stage.app.global::<FilesDoor>();
        assert_eq!(door.get_shown(), kept[0].entry.to_string());
        assert_eq!(red(&door.get_picture()), (0, 4, 3));
        class.stage.save("slate-photograph");
        let slate = class.stage.app.global::<SlateDoor>();
        class.tap("In, all of them");
        class.type_in("10:05");
        assert!(!slate.get_dry());
        assert_eq!(door.get_shown(), kept[0].entry.to_string());
        println!("## Turned by a quarter to the left: what was on the left is below");
        class.tap("Turn it");
        assert_eq!(red(&door.get_picture()), (9, 3, 4));
        assert_eq!(whole(&class, &kept[0].entry.to_string()), png(None));
        println!("## Opened in another program as a copy, byte for byte");
        class.tap("Open it");
        let copy = picker.shown.borrow().clone().unwrap();
        assert_eq!(std::fs::read(copy).unwrap(), png(None));
        class.tap("Hide it");
        assert_eq!(door.get_shown(), "");
        class.tap("Undo");
        assert!(files(&class).is_empty());
    });
}

#[test]
fn what_is_no_photograph_is_refused_on_the_slate_and_what_was_typed_stays() {
    roomy(|| {
        let class = Class::of(9, (390, 844));
        let picker = Picker::new(true);
        class
            .stage
            .shell
            .use_system(Rc::<Picker>::clone(&picker) as Rc<dyn System>);
        class.to(Screen::Slate);
        class.tap("In, all of them");
        class.type_in("10:05");
        picker.will_choose("slate.png", b"%PDF-1.7 and more");
        class.tap("Keep a photograph");
        let door = class.stage.app.global::<FilesDoor>();
        let refused = door.get_refused();
        assert!(refused.contains("JPEG or PNG"), "{refused}");
        assert!(files(&class).is_empty());
        let slate = class.stage.app.global::<SlateDoor>();
        assert!(slate.get_besides(), "the times are there still");
        class.stage.save("slate-photograph-refused");
        println!("## On a phone it stands over the rows");
        picker.will_choose("slate.png", &png(None));
        class.tap("Keep a photograph");
        assert_eq!(door.get_refused(), "");
        class.stage.save("slate-photograph-phone");
        class.tap("Hide it");
        assert!(slate.get_besides());
    });
}

#[test]
fn a_spoken_note_is_kept_with_student_and_session_and_put_into_words() {
    roomy(|| {
        let class = Class::of(9, (800, 1280));
        class.dived(0..8);
        let picker = Picker::new(true);
        class
            .stage
            .shell
            .use_system(Rc::<Picker>::clone(&picker) as Rc<dyn System>);
        let route = Route::to(Screen::Student).course(class.course.clone());
        class.stage.open(route.student(class.students[0].clone()));
        picker.will_choose("note.wav", &wav());
        class.reach(|label| label == "Keep a spoken note");
        assert!(picker.endings.borrow().contains(&"wav".to_owned()));
        let kept = files(&class);
        assert_eq!(kept.len(), 1);
        assert_eq!(kept[0].file.media, MediaKind::Wav);
        let of = kept[0].student.as_ref().unwrap();
        assert_eq!(of.student, class.students[0]);
        println!("## A person says what is heard; what is said last holds");
        let door = class.stage.app.global::<FilesDoor>();
        for text in ["Clears the mask", "Clears the mask late"] {
            class.reach(|label| label.starts_with("In words: "));
            assert_eq!(door.get_saying(), kept[0].entry.to_string());
            door.set_words(text.into());
            settle();
            class.reach(|label| label == "Keep the words");
            let said = files(&class)[0].text.clone().unwrap();
            assert_eq!(said.text, text);
            assert_eq!(door.get_saying(), "");
        }
        class.stage.save("student-spoken-note");
        println!("## Played by the system, from a copy");
        class.reach(|label| label.starts_with("Sound · "));
        let copy = picker.shown.borrow().clone().unwrap();
        assert_eq!(std::fs::read(copy).unwrap(), wav());
        println!("## On nobody else's page");
        let route = Route::to(Screen::Student).course(class.course.clone());
        class.stage.open(route.student(class.students[1].clone()));
        assert_eq!(slint::Model::row_count(&door.get_rows()), 0);
    });
}

#[test]
fn where_the_system_shows_no_files_nothing_offers_to_keep_one() {
    roomy(|| {
        for files in [true, false] {
            let class = Class::of(9, (800, 1280));
            let picker = Picker::new(files);
            class
                .stage
                .shell
                .use_system(Rc::<Picker>::clone(&picker) as Rc<dyn System>);
            class.to(Screen::Slate);
            let offered = class.stage.find(|label| label == "Keep a photograph");
            assert_eq!(offered.is_some(), files);
        }
    });
}
