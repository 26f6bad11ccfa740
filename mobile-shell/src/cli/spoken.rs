//! A spoken note by command: heard in memory, as on the screens, until whoever speaks ends it. What
//! would keep it from being kept is said before anybody speaks, and no half of it is kept.

use std::io::Read as _;
use std::rc::Rc;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use tallywater::microphone::{BUILT_IN, Microphone, NoSound, RATE, longest, seconds, wav};
use tallywater::system::{System as _, ThisMachine};
use tallywater_bindings::{AttachmentOf, Fault, Receipt};

use super::catalogue::{t, tr};
use super::of::{Of, Opened};
use super::turn::Turn;

/// How often it is asked what was heard.
const LOOK: Duration = Duration::from_millis(100);

/// What a note is kept with, at the desk that was opened.
type KeptWith<'a> = &'a dyn Fn(&Opened) -> Result<AttachmentOf, Fault>;

/// Records a note with this computer's microphone and keeps it.
pub(super) fn kept(
    of: &Of,
    with: KeptWith<'_>,
    asked: Option<u32>,
    turn: &Turn,
) -> Result<Receipt, Fault> {
    // A host has neither the terminal that ends it nor a way to hand over so much.
    if !turn.is_own() {
        return Err(Fault::rule("microphone_not_lent"));
    }
    let ear = microphone()?;
    heard_and_kept(of, with, &*ear, asked, || ends(asked, turn), turn)
}

/// The same with this microphone, until what `begin` answers says that it is over.
fn heard_and_kept<E: Fn() -> bool>(
    of: &Of,
    with: KeptWith<'_>,
    ear: &dyn Microphone,
    asked: Option<u32>,
    begin: impl FnOnce() -> E,
    turn: &Turn,
) -> Result<Receipt, Fault> {
    let most = most(asked)?;
    let opened = of.write(turn)?;
    let with = with(&opened)?;
    let note = heard(ear, most, begin, turn)?;
    let file = wav(&note).ok_or_else(|| Fault::rule("file_too_large"))?;
    opened.desk.keep_attachment(with, file)
}

fn microphone() -> Result<Rc<dyn Microphone>, Fault> {
    let why = if BUILT_IN {
        "microphone_not_there"
    } else {
        "microphone_not_built"
    };
    ThisMachine.microphone().ok_or_else(|| Fault::rule(why))
}

fn no_sound(why: NoSound) -> Fault {
    Fault::rule(match why {
        NoSound::NotThere => "microphone_not_there",
        NoSound::NotAllowed => "microphone_not_allowed",
        NoSound::Failed => "microphone_failed",
    })
}

/// So many samples at most: of these seconds, or of the longest note.
fn most(asked: Option<u32>) -> Result<usize, Fault> {
    let longest = longest();
    let Some(asked) = asked else {
        return Ok(longest);
    };
    let most = seconds(longest);
    let samples = usize::try_from(u64::from(asked) * u64::from(RATE)).unwrap_or(usize::MAX);
    if asked == 0 || samples > longest {
        return Err(Fault::Refused {
            rule: "out_of_bounds".to_owned(),
            field: None,
            value: Some(asked.to_string()),
            least: Some("1".to_owned()),
            most: Some(most.to_string()),
            what: Some("s".to_owned()),
            id: None,
        });
    }
    Ok(samples)
}

/// Says that it is recorded, and how that ends; answers whether it has.
fn ends(asked: Option<u32>, turn: &Turn) -> impl Fn() -> bool + use<> {
    let over = Arc::new(AtomicBool::new(false));
    let told = Arc::clone(&over);
    // It ends the recording; once that has ended, the program, as ever.
    let _ = ctrlc::set_handler(move || {
        if told.swap(true, Ordering::Relaxed) {
            std::process::exit(i32::from(super::NO));
        }
    });
    if let Some(asked) = asked {
        turn.warn(tr!(
            "Recording for {seconds} s. Ctrl-C ends it before, and it is kept.",
            seconds = asked
        ));
    } else {
        turn.warn(tr!("Recording. Enter or Ctrl-C ends it, and it is kept."));
        let told = Arc::clone(&over);
        std::thread::spawn(move || {
            let mut signs = std::io::stdin().lock().bytes();
            while signs
                .next()
                .is_some_and(|sign| sign.is_ok_and(|sign| sign != b'\n'))
            {}
            told.store(true, Ordering::Relaxed);
        });
    }
    let start = Instant::now();
    let bound = asked.map(|asked| Duration::from_secs(u64::from(asked)));
    move || over.load(Ordering::Relaxed) || bound.is_some_and(|bound| start.elapsed() >= bound)
}

/// Hears a note until it is over, is as long as it may be, or the machine gives up.
fn heard<E: Fn() -> bool>(
    ear: &dyn Microphone,
    most: usize,
    begin: impl FnOnce() -> E,
    turn: &Turn,
) -> Result<Vec<i16>, Fault> {
    let mut recording = ear.record(longest()).map_err(no_sound)?;
    let is_over = begin();
    let mut note: Vec<i16> = Vec::new();
    loop {
        // Asked before it is listened to: what came in the last moment is in it.
        let mut over = is_over();
        match recording.heard() {
            Ok(heard) => {
                let room = most.saturating_sub(note.len());
                note.extend(heard.into_iter().take(room));
            }
            Err(why) if note.is_empty() => return Err(no_sound(why)),
            Err(_) => {
                turn.warn(tr!(
                    "The microphone gave up. What was heard until then is kept."
                ));
                over = true;
            }
        }
        if !over && note.len() >= longest() {
            turn.warn(t(
                "This is the longest note that is kept, so the recording ended.",
            ));
        }
        over |= note.len() >= most;
        let line = tr!(
            "recording: {long} of {most}",
            long = clock(note.len()),
            most = clock(most)
        );
        turn.progress(line, over);
        if over {
            break;
        }
        std::thread::sleep(LOOK);
    }
    if note.is_empty() {
        return Err(Fault::rule("nothing_heard"));
    }
    Ok(note)
}

fn clock(samples: usize) -> String {
    let all = seconds(samples);
    format!("{}:{:02}", all / 60, all % 60)
}

#[cfg(test)]
#[path = "spoken_tests.rs"]
mod tests;
