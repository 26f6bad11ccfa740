//! Android: what the system starts, and what the shell asks of it there. It is compiled for
//! that platform alone; `.ci/android-check` type-checks it without an SDK, and nothing here
//! has run on a device: see the README.

use std::path::{Path, PathBuf};
use std::rc::Rc;

use jni::errors::Result as Answer;
use jni::objects::{JObject, JString, JValue};
use jni::{Env, JavaVM, jni_sig, jni_str};
use slint::android::AndroidApp;
use slint::android::android_activity::{MainEvent, PollEvent, WindowManagerFlags};
use tallywater_bindings::Fault;

use crate::system::System;

/// Called by the system on a thread of its own; the window is its activity.
#[expect(unsafe_code, reason = "the system finds it by this name")]
#[unsafe(no_mangle)]
fn android_main(app: AndroidApp) {
    if let Err(fault) = run(app) {
        // There is no window to say it in.
        tracing::error!(%fault, "the window did not open");
    }
}

fn run(app: AndroidApp) -> Result<(), Fault> {
    let failed = |what: &str| Fault::Internal {
        detail: what.to_owned(),
    };
    let folder = app
        .internal_data_path()
        .ok_or_else(|| failed("the app has no folder of its own"))?;
    slint::android::init_with_event_listener(app.clone(), |event| {
        let Some(shell) = crate::shell::shell_here() else {
            return;
        };
        match event {
            PollEvent::Main(MainEvent::Pause) => shell.went_behind(),
            PollEvent::Main(MainEvent::Resume { .. }) => shell.came_back(),
            _ => {}
        }
    })
    .map_err(|error| failed(&error.to_string()))?;
    let tablet = Tablet {
        app,
        papers: folder.join("papers"),
        lock: std::cell::RefCell::default(),
    };
    crate::start::window_in(&folder.join("device"), Rc::new(tablet))
}

/// A tablet or a phone that runs Android.
struct Tablet {
    app: AndroidApp,
    papers: PathBuf,
    /// The lock that lets multicast through, while it is held.
    lock: std::cell::RefCell<Option<jni::objects::Global<JObject<'static>>>>,
}

impl Tablet {
    /// Asks something of the system with the activity; what it refused is logged by its kind
    /// and not done.
    fn ask<T>(&self, what: &str, with: impl FnOnce(&mut Env, &JObject) -> Answer<T>) -> Option<T> {
        #[expect(
            unsafe_code,
            reason = "the machine's own pointers, alive as long as the app"
        )]
        let vm = unsafe { JavaVM::from_raw(self.app.vm_as_ptr().cast()) };
        let raw = self.app.activity_as_ptr() as jni::sys::jobject;
        let answer = vm.attach_current_thread(|env| {
            #[expect(unsafe_code, reason = "a global reference that the app keeps")]
            let activity = unsafe { env.as_cast_raw::<JObject>(&raw)? };
            let done = with(env, activity.as_ref());
            if done.is_err() {
                // A refusal that is left standing would end the program at the next call.
                env.exception_clear();
            }
            done
        });
        answer
            .inspect_err(|error| tracing::warn!(what, %error, "the system refused"))
            .ok()
    }
}

impl System for Tablet {
    /// A file chosen by a person comes back to a Java activity of ours, which there is none of.
    fn choose_file(&self, _title: &str, _endings: &[&str]) -> Option<PathBuf> {
        None
    }

    fn shows_files(&self) -> bool {
        false
    }

    /// Puts a copy into the device's folder for downloads and offers it to other programs by
    /// the system's own sheet, printing among them. The copy is the person's own from there on.
    fn show(&self, file: &Path) -> bool {
        let Ok(bytes) = std::fs::read(file) else {
            return false;
        };
        let name = file.file_name().map(|name| name.to_string_lossy());
        let Some(name) = name else { return false };
        let kind = kind_of(file);
        let shared = self.ask("share", |env, activity| {
            share(env, activity, &name, kind, &bytes)
        });
        shared.is_some()
    }

    fn papers(&self) -> PathBuf {
        self.papers.clone()
    }

    fn stay_lit(&self, lit: bool) {
        let (none, flag) = (
            WindowManagerFlags::empty(),
            WindowManagerFlags::KEEP_SCREEN_ON,
        );
        if lit {
            self.app.set_window_flags(flag, none);
        } else {
            self.app.set_window_flags(none, flag);
        }
    }

    fn hear_nearby(&self, hears: bool) {
        let held = self.lock.borrow_mut().take();
        if hears {
            let lock = self.ask("multicast", |env, activity| {
                let lock = held.map_or_else(|| new_lock(env, activity), Ok)?;
                env.call_method(&lock, jni_str!("acquire"), jni_sig!("()V"), &[])?;
                Ok(lock)
            });
            *self.lock.borrow_mut() = lock;
        } else if let Some(lock) = held {
            self.ask("multicast", |env, _| {
                env.call_method(&lock, jni_str!("release"), jni_sig!("()V"), &[])?;
                Ok(())
            });
        }
    }
}

/// A multicast lock of the Wi-Fi service, not yet acquired and not counted.
fn new_lock(env: &mut Env, activity: &JObject) -> Answer<jni::objects::Global<JObject<'static>>> {
    let service = JString::new(env, "wifi")?;
    let wifi = env
        .call_method(
            activity,
            jni_str!("getSystemService"),
            jni_sig!("(Ljava/lang/String;)Ljava/lang/Object;"),
            &[JValue::Object(&service)],
        )?
        .l()?;
    let name = JString::new(env, "tallywater")?;
    let lock = env
        .call_method(
            &wifi,
            jni_str!("createMulticastLock"),
            jni_sig!("(Ljava/lang/String;)Landroid/net/wifi/WifiManager$MulticastLock;"),
            &[JValue::Object(&name)],
        )?
        .l()?;
    env.call_method(
        &lock,
        jni_str!("setReferenceCounted"),
        jni_sig!("(Z)V"),
        &[JValue::Bool(false)],
    )?;
    env.new_global_ref(lock)
}

fn kind_of(file: &Path) -> &'static str {
    match file.extension().and_then(|ending| ending.to_str()) {
        Some("pdf") => "application/pdf",
        Some("csv") => "text/csv",
        Some("ics") => "text/calendar",
        Some("xlsx") => "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        Some(_) | None => "application/octet-stream",
    }
}

/// Writes the bytes as a new download and opens the sheet that shares it.
fn share(env: &mut Env, activity: &JObject, name: &str, kind: &str, bytes: &[u8]) -> Answer<()> {
    let resolver = env
        .call_method(
            activity,
            jni_str!("getContentResolver"),
            jni_sig!("()Landroid/content/ContentResolver;"),
            &[],
        )?
        .l()?;
    let values = env.new_object(
        jni_str!("android/content/ContentValues"),
        jni_sig!("()V"),
        &[],
    )?;
    for (column, text) in [
        ("_display_name", name),
        ("mime_type", kind),
        ("relative_path", "Download/Tallywater"),
    ] {
        let (column, text) = (JString::new(env, column)?, JString::new(env, text)?);
        env.call_method(
            &values,
            jni_str!("put"),
            jni_sig!("(Ljava/lang/String;Ljava/lang/String;)V"),
            &[JValue::Object(&column), JValue::Object(&text)],
        )?;
    }
    let downloads = env
        .get_static_field(
            jni_str!("android/provider/MediaStore$Downloads"),
            jni_str!("EXTERNAL_CONTENT_URI"),
            jni_sig!("Landroid/net/Uri;"),
        )?
        .l()?;
    let place = env
        .call_method(
            &resolver,
            jni_str!("insert"),
            jni_sig!("(Landroid/net/Uri;Landroid/content/ContentValues;)Landroid/net/Uri;"),
            &[JValue::Object(&downloads), JValue::Object(&values)],
        )?
        .l()?;
    let out = env
        .call_method(
            &resolver,
            jni_str!("openOutputStream"),
            jni_sig!("(Landroid/net/Uri;)Ljava/io/OutputStream;"),
            &[JValue::Object(&place)],
        )?
        .l()?;
    let array = env.byte_array_from_slice(bytes)?;
    env.call_method(
        &out,
        jni_str!("write"),
        jni_sig!("([B)V"),
        &[JValue::Object(&array)],
    )?;
    env.call_method(&out, jni_str!("close"), jni_sig!("()V"), &[])?;
    offer(env, activity, &place, kind)
}

/// Opens the system's own sheet for a file that other programs may read.
fn offer(env: &mut Env, activity: &JObject, place: &JObject, kind: &str) -> Answer<()> {
    let action = JString::new(env, "android.intent.action.SEND")?;
    let intent = env.new_object(
        jni_str!("android/content/Intent"),
        jni_sig!("(Ljava/lang/String;)V"),
        &[JValue::Object(&action)],
    )?;
    let kind = JString::new(env, kind)?;
    env.call_method(
        &intent,
        jni_str!("setType"),
        jni_sig!("(Ljava/lang/String;)Landroid/content/Intent;"),
        &[JValue::Object(&kind)],
    )?;
    let extra = JString::new(env, "android.intent.extra.STREAM")?;
    env.call_method(
        &intent,
        jni_str!("putExtra"),
        jni_sig!("(Ljava/lang/String;Landroid/os/Parcelable;)Landroid/content/Intent;"),
        &[JValue::Object(&extra), JValue::Object(place)],
    )?;
    // FLAG_GRANT_READ_URI_PERMISSION, android.content.Intent.
    env.call_method(
        &intent,
        jni_str!("addFlags"),
        jni_sig!("(I)Landroid/content/Intent;"),
        &[JValue::Int(1)],
    )?;
    let none = JObject::null();
    let sheet = env
        .call_static_method(
            jni_str!("android/content/Intent"),
            jni_str!("createChooser"),
            jni_sig!("(Landroid/content/Intent;Ljava/lang/CharSequence;)Landroid/content/Intent;"),
            &[JValue::Object(&intent), JValue::Object(&none)],
        )?
        .l()?;
    env.call_method(
        activity,
        jni_str!("startActivity"),
        jni_sig!("(Landroid/content/Intent;)V"),
        &[JValue::Object(&sheet)],
    )?;
    Ok(())
}
