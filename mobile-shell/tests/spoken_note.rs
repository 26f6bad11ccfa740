//! A spoken note, by touches and with a microphone of the test's own: recorded, heard back, thrown
//! away or kept; ended where the page is left, where the machine gives up and where no more of it
//! is kept; and nothing of it where the program is ended first.

use std::cell::{Cell, RefCell};
use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use slint::{ComponentHandle, LogicalPosition};
use tallywater::microphone::{
    Microphone, NoSound, Playing, RATE, Rate, Recording, loudness, mean, most_samples, seconds, wav,
};
use tallywater::shell::Route;
use tallywater::system::{Chosen, System};
use tallywater::ui::{FilesDoor, NoteState, Screen};
use tallywater_bindings::{MediaKind, Tallywater, most_sound_bytes};
use tempfile::TempDir;

use crate::kept_files::{files, whole};
use crate::support::{roomy, seen, settle, wait};
use crate::surface::Class;

/// What the machine hears next, and what was asked of it.
#[derive(Default)]
struct Ear {
    says: RefCell<VecDeque<Result<Vec<i16>, NoSound>>>,
    refuses: Cell<Option<NoSound>>,
    hears: Cell<bool>,
    played: RefCell<Vec<i16>>,
    plays: Cell<bool>,
    over: Cell<bool>,
}

struct Hearing(Rc<Ear>);

impl Recording for Hearing {
    fn heard(&mut self) -> Result<Vec<i16>, NoSound> {
        let next = self.0.says.borrow_mut().pop_front();
        next.unwrap_or_else(|| Ok(Vec::new()))
    }
}

impl Drop for Hearing {
    fn drop(&mut self) {
        self.0.hears.set(false);
    }
}

struct Saying(Rc<Ear>);

impl Playing for Saying {
    fn over(&mut self) -> bool {
        self.0.over.get()
    }
}

impl Drop for Saying {
    fn drop(&mut self) {
        self.0.plays.set(false);
    }
}

struct Ours(Rc<Ear>);

impl Microphone for Ours {
    fn record(&self, most: usize) -> Result<Box<dyn Recording>, NoSound> {
        assert_eq!(most, most_samples(most_sound_bytes()));
        if let Some(why) = self.0.refuses.get() {
            return Err(why);
        }
        self.0.hears.set(true);
        Ok(Box::new(Hearing(Rc::clone(&self.0))))
    }

    fn play(&self, note: &[i16]) -> Result<Box<dyn Playing>, NoSound> {
        self.0.played.replace(note.to_vec());
        self.0.plays.set(true);
        self.0.over.set(false);
        Ok(Box::new(Saying(Rc::clone(&self.0))))
    }
}

struct Machine {
    folder: TempDir,
    ear: Option<Rc<Ear>>,
    files: bool,
}

impl System for Machine {
    fn choose_file(&self, _: &str, _: &[&str], _: Chosen) {}

    fn shows_files(&self) -> bool {
        self.files
    }

    fn show(&self, _: &Path) -> bool {
        true
    }

    fn papers(&self) -> PathBuf {
        self.folder.path().to_owned()
    }

    fn microphone(&self) -> Option<Rc<dyn Microphone>> {
        let ear = self.ear.as_ref()?;
        Some(Rc::new(Ours(Rc::clone(ear))))
    }
}

/// A class after its dives, on a machine with this microphone.
fn class(ear: Option<&Rc<Ear>>, files: bool) -> Class {
    let class = Class::of(9, (800, 1280));
    class.dived(0..8);
    class.stage.shell.use_system(Rc::new(Machine {
        folder: TempDir::new().unwrap(),
        ear: ear.cloned(),
        files,
    }));
    class
}

fn page(class: &Class, student: usize) {
    let route = Route::to(Screen::Student).course(class.course.clone());
    class
        .stage
        .open(route.student(class.students[student].clone()));
}

impl Ear {
    /// So many samples come, as loud as that, and the screen has time to take them.
    fn hears_so_many(&self, samples: usize, loud: i16) {
        self.says.borrow_mut().push_back(Ok(vec![loud; samples]));
        wait(450);
        settle();
        assert!(self.says.borrow().is_empty(), "nobody asked for it");
    }
}

fn state(class: &Class) -> NoteState {
    class.stage.app.global::<FilesDoor>().get_note()
}

/// The samples of a WAV file, with its rate, channels and bits.
fn read(bytes: &[u8]) -> (Vec<i16>, (u32, u16, u16)) {
    let mut file = hound::WavReader::new(bytes).unwrap();
    let spec = file.spec();
    let samples = file.samples::<i16>().map(Result::unwrap).collect();
    let how = (spec.sample_rate, spec.channels, spec.bits_per_sample);
    (samples, how)
}

/// Records, hears it back, throws it away, records anew and keeps it, in this language.
fn spoken(language: &'static str) {
    let ear = Rc::new(Ear::default());
    let class = class(Some(&ear), true);
    slint::select_bundled_translation(language).unwrap();
    let say = |english: &str| -> String {
        if language == "en" {
            return english.to_owned();
        }
        let word = (None, english.to_owned(), None);
        crate::wording::german().remove(&word).unwrap().remove(0)
    };
    let tap = |english: &str| {
        let word = say(english);
        class.reach(|label| label == word);
    };
    let door = class.stage.app.global::<FilesDoor>();
    let marks = class.marks(0);
    page(&class, 0);
    tap("Record a spoken note");
    assert!(ear.hears.get());
    assert_eq!(state(&class), NoteState::Recording);
    let again = say("Record a spoken note");
    assert!(class.stage.find(|label| label == again).is_none());
    ear.hears_so_many(16_000, 300);
    assert_eq!(
        (door.get_note_long().as_str(), door.get_note_loud()),
        ("0:01", 9)
    );
    ear.hears_so_many(24_000, 3_000);
    assert_eq!(
        (door.get_note_long().as_str(), door.get_note_loud()),
        ("0:02", 12)
    );
    class.stage.save(&format!("spoken-note-{language}"));
    tap("End the recording");
    assert!(!ear.hears.get());
    assert_eq!(state(&class), NoteState::Recorded);
    println!("## Heard back before it is kept, stopped, and heard to its end");
    tap("Hear it back");
    let all = [vec![300; 16_000], vec![3_000; 24_000]].concat();
    assert_eq!(*ear.played.borrow(), all);
    assert_eq!(state(&class), NoteState::Playing);
    tap("Stop playing");
    assert!(!ear.plays.get());
    tap("Hear it back");
    ear.over.set(true);
    wait(450);
    settle();
    assert_eq!(state(&class), NoteState::Recorded);
    assert!(!ear.plays.get());
    println!("## Thrown away, nothing of it is anywhere");
    tap("Throw it away");
    assert_eq!(state(&class), NoteState::None);
    assert!(files(&class).is_empty());
    println!("## Recorded anew and kept, with student and session; and it is no mark");
    tap("Record a spoken note");
    ear.hears_so_many(8_000, -5_000);
    // What came in the last moment is in it.
    ear.says.borrow_mut().push_back(Ok(vec![7; 100]));
    tap("End the recording");
    assert!(files(&class).is_empty());
    tap("Keep the recording");
    assert_eq!(state(&class), NoteState::None);
    let kept = files(&class);
    assert_eq!(kept.len(), 1);
    assert_eq!(kept[0].file.media, MediaKind::Wav);
    assert_eq!(kept[0].student.as_ref().unwrap().student, class.students[0]);
    let (samples, how) = read(&whole(&class, &kept[0].entry.to_string()));
    assert_eq!(how, (RATE, 1, 16));
    assert_eq!(samples, [vec![-5_000; 8_000], vec![7; 100]].concat());
    assert_eq!(class.marks(0), marks);
    class.tap(&say("Undo"));
    assert!(files(&class).is_empty());
    slint::select_bundled_translation("en").unwrap();
}

#[test]
fn a_note_is_recorded_heard_back_thrown_away_or_kept() {
    roomy(|| spoken("en"));
}

#[test]
fn a_note_is_recorded_and_kept_in_german() {
    roomy(|| spoken("de"));
}

#[test]
fn without_a_microphone_there_is_no_button_and_without_files_there_is_one_all_the_same() {
    roomy(|| {
        for (there, shows) in [(false, true), (true, false), (true, true)] {
            let ear = Rc::new(Ear::default());
            let class = class(there.then_some(&ear), shows);
            page(&class, 0);
            settle();
            // The page is long: it is drawn down, and up again from its head.
            let at = |y| LogicalPosition::new(795.0, y);
            let offered = |word: &str| {
                (0..20).for_each(|_| class.stage.draw(at(700.0), at(900.0)));
                (0..20).any(|_| {
                    let there = class.stage.find(|label| label == word).is_some();
                    class.stage.draw(at(900.0), at(700.0));
                    there
                })
            };
            assert_eq!(offered("Record a spoken note"), there, "{there}, {shows}");
            assert_eq!(offered("Keep a spoken note"), shows, "{there}, {shows}");
        }
    });
}

#[test]
fn what_the_machine_refuses_is_said_and_what_it_heard_before_it_gave_up_waits() {
    roomy(|| {
        let ear = Rc::new(Ear::default());
        let class = class(Some(&ear), true);
        let door = class.stage.app.global::<FilesDoor>();
        page(&class, 0);
        for (why, says) in [
            (NoSound::NotThere, "any more"),
            (NoSound::NotAllowed, "does not let"),
            (NoSound::Failed, "Another program"),
        ] {
            ear.refuses.set(Some(why));
            class.reach(|label| label == "Record a spoken note");
            let refused = door.get_refused();
            assert!(refused.contains(says), "{refused}");
            assert_eq!(state(&class), NoteState::None);
        }
        ear.refuses.set(None);
        println!("## Nothing heard is no note");
        class.reach(|label| label == "Record a spoken note");
        class.reach(|label| label == "End the recording");
        assert!(door.get_refused().contains("Nothing was heard"));
        assert_eq!(state(&class), NoteState::None);
        println!("## Unplugged in the middle: what was said until then can be kept");
        class.reach(|label| label == "Record a spoken note");
        ear.hears_so_many(4_000, 900);
        ear.says.borrow_mut().push_back(Err(NoSound::NotThere));
        wait(450);
        settle();
        assert_eq!(state(&class), NoteState::Recorded);
        assert!(door.get_refused().contains("any more"));
        class.reach(|label| label == "Keep the recording");
        let kept = files(&class);
        let (samples, _) = read(&whole(&class, &kept[0].entry.to_string()));
        assert_eq!(samples, vec![900; 4_000]);
    });
}

#[test]
fn the_microphone_hears_only_while_the_page_is_shown_and_the_note_waits_for_whose_it_is() {
    roomy(|| {
        let ear = Rc::new(Ear::default());
        let class = class(Some(&ear), true);
        let door = class.stage.app.global::<FilesDoor>();
        page(&class, 0);
        class.reach(|label| label == "Record a spoken note");
        ear.hears_so_many(4_000, 900);
        class.to(Screen::LineUp);
        assert!(!ear.hears.get(), "it hears behind another screen");
        println!("## On another student's page it says whose it is, and is kept with that one");
        page(&class, 1);
        assert_eq!(state(&class), NoteState::Recorded);
        let of = door.get_note_of();
        assert!(of.starts_with("Baldo"), "{of}");
        class.reach(|label| label == "Keep the recording");
        let kept = files(&class);
        assert_eq!(kept.len(), 1);
        assert_eq!(kept[0].student.as_ref().unwrap().student, class.students[0]);
        println!("## Behind another program it hears nothing either");
        class.reach(|label| label == "Record a spoken note");
        ear.hears_so_many(4_000, 900);
        class.stage.shell.went_behind();
        assert!(!ear.hears.get());
        assert_eq!(state(&class), NoteState::Recorded);
    });
}

#[test]
fn the_longest_note_ends_by_itself_and_is_as_large_as_any_sound_that_is_kept() {
    roomy(|| {
        let ear = Rc::new(Ear::default());
        let class = class(Some(&ear), true);
        page(&class, 0);
        class.reach(|label| label == "Record a spoken note");
        ear.hears_so_many(most_samples(most_sound_bytes()) + 5_000, 900);
        assert!(!ear.hears.get());
        assert_eq!(state(&class), NoteState::Recorded);
        let door = class.stage.app.global::<FilesDoor>();
        assert!(door.get_refused().contains("longest"));
        assert_eq!(door.get_note_long(), door.get_note_most());
        assert_eq!(door.get_note_most(), "8:44");
        class.reach(|label| label == "Keep the recording");
        assert_eq!(files(&class)[0].file.bytes, most_sound_bytes());
    });
}

#[test]
fn a_program_that_is_ended_while_it_records_leaves_nothing_of_it() {
    roomy(|| {
        let folder = TempDir::new().unwrap();
        let ear = Rc::new(Ear::default());
        let (course, session) = {
            let class = class(Some(&ear), true);
            page(&class, 0);
            class.reach(|label| label == "Record a spoken note");
            ear.hears_so_many(4_000, 900);
            // What lies on the disk at that moment is all that is left of a killed program.
            let desk = class.stage.desk();
            crate::folder::copy(Path::new(&desk.folder()), folder.path());
            (class.course.clone(), class.session.clone())
        };
        let desk = Tallywater::open(folder.path().display().to_string()).unwrap();
        assert!(seen(desk.attachments(course, session)).rows.is_empty());
    });
}

#[test]
fn samples_of_any_rate_and_number_become_one_channel_of_ours() {
    let through = |from: u32, into: u32, samples: &[i16]| {
        let mut rate = Rate::new(from, into);
        let mut made = Vec::new();
        for sample in samples {
            rate.push(*sample, |one| made.push(one));
        }
        made
    };
    // Three become one, by their mean; one becomes two; the same stays.
    assert_eq!(through(48_000, RATE, &[3, 6, 9, -3, -6, -9]), [6, -6]);
    assert_eq!(through(8_000, RATE, &[5, -5]), [5, 5, -5, -5]);
    assert_eq!(
        through(RATE, RATE, &[i16::MAX, i16::MIN]),
        [i16::MAX, i16::MIN]
    );
    // A second is a second, whatever the rate, and a steady tone stays as loud.
    for from in [8_000, 11_025, 22_050, 44_100, 48_000, 96_000] {
        let second = vec![1_234_i16; usize::try_from(from).unwrap()];
        let made = through(from, RATE, &second);
        assert_eq!(made.len(), 16_000, "{from}");
        assert!(made.iter().all(|one| *one == 1_234), "{from}");
    }
    assert_eq!(mean(&[100, -300]), -100);
    assert_eq!(mean(&[]), 0);
    let loud = [0_i16, 1, 255, 256, 16_383, i16::MAX, i16::MIN];
    assert_eq!(
        loud.map(|one| loudness(&[0, one])),
        [0, 1, 8, 9, 14, 15, 15]
    );
    assert_eq!(loudness(&[]), 0);
    assert_eq!((seconds(15_999), seconds(16_000)), (0, 1));
    let note = [1, -2, 300];
    assert_eq!(read(&wav(&note).unwrap()).0, note);
    assert_eq!(wav(&note).unwrap().len(), 44 + 2 * note.len());
}
