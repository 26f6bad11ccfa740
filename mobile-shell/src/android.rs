//! Android: what the system starts, and what the shell asks of it there. It is compiled for
//! that platform alone; `.ci/android-check` type-checks it without an SDK, and nothing here
//! has run on a device: see the README.

mod nearby;
mod poolside;
mod share;

use std::cell::{OnceCell, RefCell};
use std::path::{Path, PathBuf};
use std::rc::Rc;

use jni::errors::Result as Answer;
use jni::objects::{Global, JObject};
use jni::{Env, JavaVM, jni_sig, jni_str};
use slint::android::AndroidApp;
use slint::android::android_activity::{MainEvent, PollEvent, WindowManagerFlags};
use tallywater_bindings::Fault;

use crate::system::{Chosen, NoFile, System, VolumeKey, kind};

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
        lock: RefCell::default(),
        prints: OnceCell::new(),
    };
    // Without it the activity can be asked for nothing; all else works.
    tablet.ask("listen", poolside::listen);
    crate::start::window_in(&folder.join("device"), Rc::new(tablet))
}

/// A tablet or a phone that runs Android.
struct Tablet {
    app: AndroidApp,
    papers: PathBuf,
    /// The lock that lets multicast through, while it is held.
    lock: RefCell<Option<Global<JObject<'static>>>>,
    /// Whether it prints, once it was asked.
    prints: OnceCell<bool>,
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
    /// The system's own chooser has a title of its own. What is handed to `then` is a copy in
    /// the program's cache, and gone after that.
    fn choose_file(&self, _title: &str, endings: &[&str], then: Chosen) {
        let kinds = kind::to_choose(endings);
        let then = Rc::new(RefCell::new(Some(then)));
        let kept = Rc::clone(&then);
        // Whichever comes first: what the chooser answers, or that there is none.
        let once = move |came| {
            if let Some(then) = kept.take() {
                then(came);
            }
        };
        let opened = self.ask("choose a file", |env, activity| {
            poolside::choose(env, activity, kinds, Box::new(once))
        });
        if opened.is_none()
            && let Some(then) = then.take()
        {
            then(Err(NoFile::Unreadable));
        }
    }

    /// Puts a copy into the device's folder for downloads and offers it to other programs by
    /// the system's own sheet, printing among them. The copy is the person's own from there on.
    fn show(&self, file: &Path) -> bool {
        let Ok(bytes) = std::fs::read(file) else {
            return false;
        };
        let name = file.file_name().map(|name| name.to_string_lossy());
        let Some(name) = name else { return false };
        let kind = kind::of(file);
        let shared = self.ask("share", |env, activity| {
            share::share(env, activity, &name, kind, &bytes)
        });
        shared.is_some()
    }

    fn prints(&self) -> bool {
        *self
            .prints
            .get_or_init(|| self.ask("prints", poolside::prints).unwrap_or(false))
    }

    fn print(&self, sheet: &Path) -> bool {
        let asked = self.ask("print", |env, activity| {
            poolside::print(env, activity, sheet)
        });
        sheet.is_file() && asked.is_some()
    }

    fn take_keys(&self, taken: &[VolumeKey]) {
        self.ask("volume keys", |env, activity| {
            poolside::take_keys(env, activity, taken)
        });
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
                let lock = held.map_or_else(|| nearby::new_lock(env, activity), Ok)?;
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
