//! Setup: how this device is held and read, kept by the desk under words of our own.

use std::rc::Rc;

use slint::ComponentHandle;

use super::Shell;
use crate::ui::{Keys, Setup, Theme, Type};

/// The text sizes that can be chosen.
pub(crate) const TEXT: [(&str, f32); 4] = [("100", 1.0), ("125", 1.25), ("150", 1.5), ("200", 2.0)];
/// The languages that are there: what they are called in themselves, and their code. The
/// first is the one that the screens are written in.
pub(crate) const LANGUAGES: [(&str, &str); 2] = [("English", "en"), ("Deutsch", "de")];
/// How long undo stays, in seconds.
pub(crate) const UNDO: [(&str, i32); 3] = [("10", 10), ("30", 30), ("120", 120)];

/// What a key can be learned for, by the word it is kept under: next student, met, not yet,
/// undo.
pub(crate) const KEYS: [&str; 4] = ["key-next", "key-met", "key-not-yet", "key-undo"];

/// The keys that were learned on this device, in that order; empty where none was.
pub(crate) fn learned(shell: &Shell) -> [String; 4] {
    KEYS.map(|word| {
        let kept = shell.desk().preference(word.to_owned()).ok().flatten();
        kept.unwrap_or_default()
    })
}

/// A setting that was kept: its place in a list of words, the first if none was.
pub(crate) fn chosen<'a>(shell: &Shell, word: &str, of: impl Iterator<Item = &'a str>) -> usize {
    let kept = shell.desk().preference(word.to_owned()).ok().flatten();
    let mut of = of;
    kept.and_then(|kept| of.position(|one| one == kept))
        .unwrap_or(0)
}

/// Makes the settings hold that were kept on this device.
pub(crate) fn restore(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let dusk = chosen(shell, "theme", ["sun", "dusk"].into_iter()) == 1;
    let left = chosen(shell, "hand", ["right", "left"].into_iter()) == 1;
    let text = chosen(shell, "text", TEXT.iter().map(|one| one.0));
    let undo = chosen(shell, "undo", UNDO.iter().map(|one| one.0));
    let language = chosen(shell, "language", LANGUAGES.iter().map(|one| one.1));
    ui.global::<Theme>().set_dusk(dusk);
    ui.global::<Setup>().set_left_handed(left);
    if let Some((_, scale)) = TEXT.get(text) {
        ui.global::<Type>().set_scale(*scale);
    }
    if let Some((_, seconds)) = UNDO.get(undo) {
        ui.global::<Setup>().set_undo_seconds(*seconds);
    }
    let [next, met, not_yet, undo] = learned(shell);
    let keys = ui.global::<Keys>();
    keys.set_next(next.into());
    keys.set_met(met.into());
    keys.set_not_yet(not_yet.into());
    keys.set_undo(undo.into());
    speak(language);
}

/// The code of a language by its place in the list; the first where there is none.
pub(crate) fn code(language: i32) -> &'static str {
    let place = usize::try_from(language).ok();
    place
        .and_then(|place| LANGUAGES.get(place))
        .map_or("en", |one| one.1)
}

/// Whether the screens are in German.
pub(crate) fn in_german(shell: &Shell) -> bool {
    let language = chosen(shell, "language", LANGUAGES.iter().map(|one| one.1));
    LANGUAGES.get(language).is_some_and(|one| one.1 == "de")
}

/// Speaks this language from now on.
pub(crate) fn speak(language: usize) {
    let code = LANGUAGES.get(language).map_or("en", |one| one.1);
    // A language that is not bundled cannot be chosen; English always is.
    let _ = slint::select_bundled_translation(code);
}

/// Keeps a setting; that it could not be kept is said.
pub(crate) fn keep(shell: &Rc<Shell>, word: &str, text: &str) {
    if let Err(fault) = shell
        .desk()
        .keep_preference(word.to_owned(), text.to_owned())
    {
        shell.fault(&fault);
    }
}
