//! A spoken note by command, with a microphone of the test's own.

use std::cell::{Cell, RefCell};
use std::collections::VecDeque;
use std::path::PathBuf;

use tallywater::microphone::{Microphone, NoSound, Playing, RATE, Recording, longest};
use tallywater_bindings::{
    AttachmentOf, AttachmentRow, Fault, FileHere, MediaKind, Receipt, Tallywater, most_sound_bytes,
};
use tempfile::TempDir;

use super::super::find::missing;
use super::super::of::{Of, Opened};
use super::super::turn::{Lent, Shape, Turn};
use super::super::{code_of, go, read_line};
use super::{heard_and_kept, kept};

/// What the machine hears next, and whether it was asked to hear anything.
#[derive(Default)]
struct Ear {
    says: RefCell<VecDeque<Result<Vec<i16>, NoSound>>>,
    refuses: Cell<Option<NoSound>>,
    heard: Cell<bool>,
}

impl Ear {
    fn of(says: impl IntoIterator<Item = Result<Vec<i16>, NoSound>>) -> Self {
        Self {
            says: RefCell::new(says.into_iter().collect()),
            ..Self::default()
        }
    }
}

struct Hearing(VecDeque<Result<Vec<i16>, NoSound>>);

impl Recording for Hearing {
    fn heard(&mut self) -> Result<Vec<i16>, NoSound> {
        self.0.pop_front().unwrap_or_else(|| Ok(Vec::new()))
    }
}

impl Microphone for Ear {
    fn record(&self, most: usize) -> Result<Box<dyn Recording>, NoSound> {
        assert_eq!(most, longest());
        if let Some(why) = self.refuses.get() {
            return Err(why);
        }
        self.heard.set(true);
        Ok(Box::new(Hearing(self.says.take())))
    }

    fn play(&self, _: &[i16]) -> Result<Box<dyn Playing>, NoSound> {
        Err(NoSound::NotThere)
    }
}

/// A lone instructor's tablet with a session that is on.
struct Tablet {
    within: TempDir,
    folder: PathBuf,
}

impl Tablet {
    fn new() -> Self {
        let within = TempDir::new().unwrap();
        let folder = within.path().join("tablet");
        let tablet = Self { within, folder };
        let person = ["--person", "Tove Askildsen"];
        let shop = ["--alone", "--shop", "Tarn School"];
        tablet.done(["setup"], &[&shop[..], &person].concat());
        let rules = ["--all", "--text", "house decision"];
        tablet.done(["rules", "confirm"], &rules);
        let course = ["--title", "First dives, June", "--starts=-1"];
        tablet.done(["course", "open"], &course);
        let session = ["--block", "pool-1", "--site", "Hollow Lane pool"];
        let starts = ["--starts", "today 00:01"];
        tablet.done(["session", "plan"], &[&session[..], &starts].concat());
        tablet
    }

    fn done<const N: usize>(&self, verb: [&str; N], more: &[&str]) {
        let folder = self.folder.to_str().unwrap();
        let line = [&["tallywater"][..], &verb, &[folder], more].concat();
        let read = read_line(&line).unwrap();
        let turn = Turn::own(read.shape);
        let done = go(&read.command.unwrap(), &turn);
        assert_eq!(code_of(done, &turn), 0, "{line:?}");
    }

    fn of(&self) -> Of {
        Of {
            folder: self.folder.clone(),
            course: None,
        }
    }

    /// Records and keeps a note that is over at this look.
    fn keep(&self, ear: &Ear, seconds: Option<u32>, look: u32) -> Result<Receipt, Fault> {
        let over = || {
            let looks = Cell::new(0);
            move || {
                looks.set(looks.get() + 1);
                looks.get() >= look
            }
        };
        let turn = Turn::own(Shape::Text);
        heard_and_kept(&self.of(), &with, ear, seconds, over, &turn)
    }

    /// What is kept with the session, and what is in each.
    fn files(&self) -> Vec<(AttachmentRow, Vec<i16>)> {
        let desk = Tallywater::open(self.folder.display().to_string()).unwrap();
        let course = super::super::find::course(&desk, None).unwrap();
        let course = course.course.to_string();
        let session = first_session(&desk, &course).unwrap();
        let rows = desk.attachments(course.clone(), session).unwrap().rows;
        let whole = |row: AttachmentRow| {
            let entry = row.entry.to_string();
            match desk.attachment_bytes(course.clone(), entry).unwrap() {
                FileHere::Whole { bytes } => (row, samples(&bytes)),
                FileHere::OnItsWay { .. } | FileHere::Hurt | FileHere::Gone => panic!("not whole"),
            }
        };
        rows.into_iter().map(whole).collect()
    }
}

fn first_session(desk: &Tallywater, course: &str) -> Result<String, Fault> {
    let rows = desk.session_list(course.to_owned())?.rows;
    Ok(rows[0].session.to_string())
}

fn with(opened: &Opened) -> Result<AttachmentOf, Fault> {
    Ok(AttachmentOf {
        session: first_session(&opened.desk, &opened.id())?,
        course: opened.id(),
        student: None,
        slate: None,
    })
}

/// The samples of a note, which is one channel of 16 bits at its rate.
fn samples(bytes: &[u8]) -> Vec<i16> {
    let mut file = hound::WavReader::new(bytes).unwrap();
    let spec = file.spec();
    let how = (spec.sample_rate, spec.channels, spec.bits_per_sample);
    assert_eq!(how, (RATE, 1, 16));
    file.samples::<i16>().map(Result::unwrap).collect()
}

fn rule(kept: Result<Receipt, Fault>) -> String {
    match kept {
        Err(Fault::Refused { rule, .. }) => rule,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_note_is_heard_until_it_is_ended_and_kept_whole() {
    let tablet = Tablet::new();
    let ear = Ear::of([Ok(vec![300; 8_000]), Ok(Vec::new()), Ok(vec![7; 100])]);
    tablet.keep(&ear, None, 3).unwrap();
    let files = tablet.files();
    assert_eq!(files.len(), 1);
    assert_eq!(files[0].0.file.media, MediaKind::Wav);
    // What came in the last moment is in it.
    assert_eq!(files[0].1, [vec![300; 8_000], vec![7; 100]].concat());
    // So many seconds, and not a sample more.
    let ear = Ear::of([Ok(vec![5; 10_000]), Ok(vec![6; 10_000])]);
    tablet.keep(&ear, Some(1), u32::MAX).unwrap();
    let second = [vec![5; 10_000], vec![6; 6_000]].concat();
    assert!(tablet.files().iter().any(|(_, said)| *said == second));
}

#[test]
fn the_longest_note_ends_by_itself_and_none_longer_is_asked_for() {
    let tablet = Tablet::new();
    for seconds in [0, 525, u32::MAX] {
        let ear = Ear::default();
        match tablet.keep(&ear, Some(seconds), 1) {
            Err(Fault::Refused {
                rule, least, most, ..
            }) => {
                let bounds = (least.as_deref(), most.as_deref());
                assert_eq!(bounds, (Some("1"), Some("524")));
                assert_eq!(rule, "out_of_bounds");
            }
            other => panic!("{other:?}"),
        }
        assert!(!ear.heard.get(), "{seconds}");
    }
    let ear = Ear::of([Ok(vec![9; longest() + 5_000])]);
    tablet.keep(&ear, None, u32::MAX).unwrap();
    let files = tablet.files();
    assert_eq!(files.len(), 1);
    assert_eq!(files[0].0.file.bytes, most_sound_bytes());
}

#[test]
fn why_nothing_is_heard_is_said_and_nothing_is_kept() {
    let tablet = Tablet::new();
    for (why, word) in [
        (NoSound::NotThere, "microphone_not_there"),
        (NoSound::NotAllowed, "microphone_not_allowed"),
        (NoSound::Failed, "microphone_failed"),
    ] {
        let ear = Ear::default();
        ear.refuses.set(Some(why));
        assert_eq!(rule(tablet.keep(&ear, None, 1)), word);
        // Lost before anything was said.
        let ear = Ear::of([Ok(Vec::new()), Err(why)]);
        assert_eq!(rule(tablet.keep(&ear, None, u32::MAX)), word);
    }
    let nothing = tablet.keep(&Ear::default(), None, 2);
    assert_eq!(rule(nothing), "nothing_heard");
    assert!(tablet.files().is_empty());
    // Unplugged in the middle: what was said until then is kept.
    let ear = Ear::of([Ok(vec![900; 4_000]), Err(NoSound::NotThere)]);
    tablet.keep(&ear, None, u32::MAX).unwrap();
    let files = tablet.files();
    assert_eq!(files.len(), 1);
    assert_eq!(files[0].1, vec![900; 4_000]);
}

#[test]
fn nobody_speaks_for_what_could_not_be_kept_and_a_host_records_for_no_other_terminal() {
    let tablet = Tablet::new();
    let ear = Ear::of([Ok(vec![900; 4_000])]);
    let turn = Turn::own(Shape::Text);
    let nowhere = |_: &Opened| Err(missing("session", "Nowhere"));
    let over = || || true;
    let done = heard_and_kept(&tablet.of(), &nowhere, &ear, None, over, &turn);
    assert!(matches!(done, Err(Fault::NotFound { .. })), "{done:?}");
    assert!(!ear.heard.get());
    let desk = Tallywater::open(tablet.folder.display().to_string()).unwrap();
    let lent = Lent {
        desk,
        at: tablet.within.path().to_owned(),
        typed: None,
    };
    let turn = Turn::lent(Shape::Text, lent);
    let done = kept(&tablet.of(), &with, None, &turn);
    assert_eq!(rule(done), "microphone_not_lent");
    drop(turn);
    assert!(tablet.files().is_empty());
}
