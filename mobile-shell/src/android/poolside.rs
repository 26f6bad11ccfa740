//! Poolside: what the Java activity of ours is asked for, and what it tells
//! (`mobile-shell/android/java`). It tells on threads of its own: what it says is brought to the
//! thread that draws, and neither waits for the other. `tests/rust/android_manifest.rs` compares
//! the names and signatures here with those in the Java.

use std::cell::RefCell;
use std::path::{Path, PathBuf};

use jni::errors::{LogErrorAndDefault, Result as Answer};
use jni::objects::{JObject, JString, JValue};
use jni::sys::{jboolean, jint};
use jni::{Env, NativeMethod, jni_sig, jni_str, native_method};

use crate::shell::shell_here;
use crate::system::{Chosen, NoFile, VolumeKey};

thread_local! {
    /// The press whose file is waited for on the thread that draws; a later press is the one
    /// that counts.
    static WAITING: RefCell<(jint, Option<Chosen>)> = const { RefCell::new((0, None)) };
}

/// What the activity declares and this answers.
const TOLD: &[NativeMethod] = &[
    native_method! {
        fn chosen(asked: jint, how: jint, path: JString),
        error_policy = LogErrorAndDefault,
    },
    native_method! {
        fn volume_key(up: jboolean),
        error_policy = LogErrorAndDefault,
    },
];

/// Lets the activity tell what it has to tell. It tells nothing before it was asked for
/// something.
#[expect(
    unsafe_code,
    reason = "instance methods, as the activity declares them"
)]
pub(super) fn listen(env: &mut Env, activity: &JObject) -> Answer<()> {
    let class = env.get_object_class(activity)?;
    unsafe { env.register_native_methods(&class, TOLD) }
}

/// Opens the system's chooser; what it answers goes to `then`.
pub(super) fn choose(
    env: &mut Env,
    activity: &JObject,
    kinds: &[&str],
    then: Chosen,
) -> Answer<()> {
    // Never 0, which the activity has for no press at all.
    let asked = WAITING.with(|waiting| {
        let asked = waiting.borrow().0.checked_add(1).unwrap_or(1);
        waiting.replace((asked, Some(then)));
        asked
    });
    let kinds = JString::new(env, kinds.join(","))?;
    env.call_method(
        activity,
        jni_str!("chooseFile"),
        jni_sig!("(ILjava/lang/String;)V"),
        &[JValue::Int(asked), JValue::Object(&kinds)],
    )?;
    Ok(())
}

/// The activity's numbers for what came of choosing a file; any other is for one that cannot be
/// read.
const CHOSEN: jint = 0;
const NONE: jint = 1;
const TOO_LARGE: jint = 3;

/// What came of it: `None` where none was chosen.
fn came_of(how: jint, path: String) -> Option<Result<PathBuf, NoFile>> {
    match how {
        CHOSEN => Some(Ok(PathBuf::from(path))),
        NONE => None,
        TOO_LARGE => Some(Err(NoFile::TooLarge)),
        _ => Some(Err(NoFile::Unreadable)),
    }
}

/// A file was chosen, or why there is none.
fn chosen<'local>(
    env: &mut Env<'local>,
    _activity: JObject<'local>,
    asked: jint,
    how: jint,
    path: JString<'local>,
) -> Answer<()> {
    let came = came_of(how, path.try_to_string(env)?);
    let copy = match &came {
        Some(Ok(copy)) => Some(copy.clone()),
        Some(Err(_)) | None => None,
    };
    let told = slint::invoke_from_event_loop(move || answered(asked, came));
    // The window is gone: nobody reads it any more.
    if let (Err(_), Some(copy)) = (told, copy) {
        forget(&copy);
    }
    Ok(())
}

/// On the thread that draws: the press is answered, and the copy is gone after that.
fn answered(asked: jint, came: Option<Result<PathBuf, NoFile>>) {
    let then = WAITING.with(|waiting| {
        let mut waiting = waiting.borrow_mut();
        if waiting.0 == asked {
            waiting.1.take()
        } else {
            None
        }
    });
    let copy = match &came {
        Some(Ok(copy)) => Some(copy.clone()),
        Some(Err(_)) | None => None,
    };
    if let (Some(then), Some(came)) = (then, came) {
        then(came);
    }
    if let Some(copy) = copy {
        forget(&copy);
    }
}

/// Takes a copy away, with the folder that was made for it. What cannot be taken away goes at
/// the next start.
fn forget(copy: &Path) {
    if let Err(error) = std::fs::remove_file(copy) {
        tracing::warn!(kind = %error.kind(), "a copy could not be taken away");
    }
    if let Some(folder) = copy.parent() {
        let _ = std::fs::remove_dir(folder);
    }
}

/// A volume key was pressed while it is taken.
fn volume_key<'local>(
    _env: &mut Env<'local>,
    _activity: JObject<'local>,
    up: jboolean,
) -> Answer<()> {
    let key = if up { VolumeKey::Up } else { VolumeKey::Down };
    // Without a window there is nothing to press a key in.
    let _ = slint::invoke_from_event_loop(move || {
        if let Some(shell) = shell_here() {
            shell.volume_key(key);
        }
    });
    Ok(())
}

/// Takes these keys from now on.
pub(super) fn take_keys(env: &mut Env, activity: &JObject, taken: &[VolumeKey]) -> Answer<()> {
    let takes = |key| JValue::Bool(taken.contains(&key));
    env.call_method(
        activity,
        jni_str!("takeKeys"),
        jni_sig!("(ZZ)V"),
        &[takes(VolumeKey::Up), takes(VolumeKey::Down)],
    )?;
    Ok(())
}

/// Whether the device prints.
pub(super) fn prints(env: &mut Env, activity: &JObject) -> Answer<bool> {
    env.call_method(activity, jni_str!("prints"), jni_sig!("()Z"), &[])?
        .z()
}

/// Opens the system's print dialog on a sheet.
pub(super) fn print(env: &mut Env, activity: &JObject, sheet: &Path) -> Answer<()> {
    let name = sheet.file_stem().unwrap_or(sheet.as_os_str());
    let path = JString::new(env, sheet.to_string_lossy())?;
    let name = JString::new(env, name.to_string_lossy())?;
    env.call_method(
        activity,
        jni_str!("print"),
        jni_sig!("(Ljava/lang/String;Ljava/lang/String;)V"),
        &[JValue::Object(&path), JValue::Object(&name)],
    )?;
    Ok(())
}
