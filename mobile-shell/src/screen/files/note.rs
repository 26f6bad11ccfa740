//! A spoken note: heard in memory, heard back, then kept or thrown away by a person.
//!
//! Until it is kept it is nowhere but here: a program that is ended before leaves nothing of it.
//! The microphone hears only while the page that says so is to be seen.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{AttachmentOf, Fault};

use crate::microphone::{NoSound, Playing, Recording, longest, loudness, seconds, wav};
use crate::shell::{Shell, on};
use crate::ui::{FilesDoor, NoteState, Screen};
use crate::words;

#[derive(Default)]
struct Spoken {
    /// What it will be kept with, and how that is called.
    of: RefCell<Option<(AttachmentOf, String)>>,
    note: RefCell<Vec<i16>>,
    loud: Cell<i32>,
    recording: RefCell<Option<Box<dyn Recording>>>,
    playing: RefCell<Option<Box<dyn Playing>>>,
}

impl Spoken {
    fn state(&self) -> NoteState {
        if self.recording.borrow().is_some() {
            NoteState::Recording
        } else if self.playing.borrow().is_some() {
            NoteState::Playing
        } else if self.of.borrow().is_some() {
            NoteState::Recorded
        } else {
            NoteState::None
        }
    }

    fn forget(&self) {
        self.recording.take();
        self.playing.take();
        self.of.take();
        self.note.take();
        self.loud.set(0);
    }

    /// Takes over what was heard since; whether there is room for more of it.
    fn listen(&self) -> Result<bool, NoSound> {
        let heard = match &mut *self.recording.borrow_mut() {
            Some(recording) => recording.heard()?,
            None => return Ok(false),
        };
        let mut note = self.note.borrow_mut();
        let room = longest().saturating_sub(note.len());
        if !heard.is_empty() {
            self.loud.set(loudness(&heard));
        }
        note.extend(heard.into_iter().take(room));
        Ok(note.len() < longest())
    }
}

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FilesDoor>();
    on!(shell, door.on_begin_note() => begin(shell));
    on!(shell, door.on_end_note() => end(shell));
    on!(shell, door.on_hear_note() => hear(shell));
    on!(shell, door.on_drop_note() => {
        shell.kept::<Spoken>().forget();
        draw(shell);
    });
    on!(shell, door.on_keep_note() => keep(shell));
    on!(shell, door.on_note_tick() => tick(shell));
}

/// What stands on screen of a note.
pub(super) fn draw(shell: &Shell) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FilesDoor>();
    let spoken = shell.kept::<Spoken>();
    door.set_note(spoken.state());
    door.set_note_long(clock(spoken.note.borrow().len()));
    door.set_note_most(clock(longest()));
    door.set_note_loud(spoken.loud.get());
    let of = spoken.of.borrow();
    let of = of.as_ref().map(|(_, called)| called.clone());
    door.set_note_of(of.unwrap_or_default().into());
}

fn clock(samples: usize) -> SharedString {
    let all = seconds(samples);
    slint::format!("{}:{:02}", all / 60, all % 60)
}

fn say(shell: &Shell, says: SharedString) {
    if let Some(ui) = shell.ui() {
        let door = ui.global::<FilesDoor>();
        door.set_done("".into());
        door.set_refused(says);
    }
}

fn no_sound(shell: &Shell, why: NoSound) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<FilesDoor>();
    let why = match why {
        NoSound::NotThere => 0,
        NoSound::NotAllowed => 1,
        NoSound::Failed => 2,
    };
    say(shell, door.invoke_no_sound(why));
}

/// Begins to hear; one note at a time.
fn begin(shell: &Rc<Shell>) {
    let spoken = shell.kept::<Spoken>();
    if spoken.of.borrow().is_some() {
        return;
    }
    let Some(of) = super::to_keep(shell) else {
        return;
    };
    say(shell, "".into());
    let microphone = shell.system().microphone();
    let begun = microphone.map_or(Err(NoSound::NotThere), |microphone| {
        microphone.record(longest())
    });
    match begun {
        Ok(recording) => {
            spoken.recording.replace(Some(recording));
            spoken.of.replace(Some(of));
        }
        Err(why) => no_sound(shell, why),
    }
    draw(shell);
}

/// What was heard, or said, since the last time.
fn tick(shell: &Rc<Shell>) {
    let spoken = shell.kept::<Spoken>();
    match spoken.state() {
        NoteState::Recording => match spoken.listen() {
            Ok(true) => {}
            Ok(false) => {
                end(shell);
                let Some(ui) = shell.ui() else { return };
                say(shell, ui.global::<FilesDoor>().invoke_longest());
            }
            Err(why) => {
                end(shell);
                no_sound(shell, why);
            }
        },
        NoteState::Playing => {
            let over = |playing: &mut Box<dyn Playing>| playing.over();
            if spoken.playing.borrow_mut().as_mut().is_none_or(over) {
                spoken.playing.take();
            }
        }
        NoteState::Recorded | NoteState::None => {}
    }
    draw(shell);
}

/// The microphone hears no more; what was heard waits to be kept.
fn end(shell: &Shell) {
    let spoken = shell.kept::<Spoken>();
    // The last of it; where the machine gave up there is none.
    let _ = spoken.listen();
    spoken.recording.take();
    if spoken.note.borrow().is_empty() && spoken.of.borrow().is_some() {
        spoken.forget();
        if let Some(ui) = shell.ui() {
            say(shell, ui.global::<FilesDoor>().invoke_heard_nothing());
        }
    }
    draw(shell);
}

/// Another screen, or another program in front: nothing is heard or played behind it.
pub(crate) fn leave(shell: &Shell, to: Option<Screen>) {
    let spoken = shell.kept::<Spoken>();
    if to == Some(Screen::Student) {
        return;
    }
    spoken.playing.take();
    if spoken.recording.borrow().is_some() {
        end(shell);
    }
    draw(shell);
}

/// Plays the note, or stops it.
fn hear(shell: &Rc<Shell>) {
    let spoken = shell.kept::<Spoken>();
    say(shell, "".into());
    if spoken.playing.take().is_none() {
        let microphone = shell.system().microphone();
        let begun = microphone.map_or(Err(NoSound::NotThere), |microphone| {
            microphone.play(&spoken.note.borrow())
        });
        match begun {
            Ok(playing) => {
                spoken.playing.replace(Some(playing));
            }
            Err(why) => no_sound(shell, why),
        }
    }
    draw(shell);
}

/// Keeps the note with its student and session: all of it, or it waits here on.
fn keep(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let spoken = shell.kept::<Spoken>();
    let of = spoken.of.borrow().as_ref().map(|(of, _)| of.clone());
    let bytes = wav(&spoken.note.borrow());
    let (Some(of), Some(bytes)) = (of, bytes) else {
        return;
    };
    spoken.playing.take();
    say(shell, "".into());
    match shell.desk().keep_attachment(of, bytes) {
        Ok(receipt) => {
            spoken.forget();
            shell.recorded(receipt);
            super::draw(shell);
        }
        Err(fault @ Fault::DeviceFull) => shell.fault(&fault),
        Err(fault) => say(shell, words::fault(&ui, &fault)),
    }
    draw(shell);
}
