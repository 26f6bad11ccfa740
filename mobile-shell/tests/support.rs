//! What every test of the shell stands on: a window without a display, a clock that moves
//! when told, fingers, and a demo school of its own for each test.

use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::{Arc, Once, OnceLock};
use std::time::Duration;

use i_slint_backend_testing::{
    self as bench, AccessibleRole, ElementHandle, ElementQuery, TestingBackend,
    TestingBackendOptions,
};
use i_slint_core::input::TouchPhase;
use i_slint_core::platform::InternalEvent;
use slint::platform::WindowEvent;
use slint::{ComponentHandle, LogicalPosition, Rgba8Pixel, SharedPixelBuffer};
use tallywater::picture::Stop;
use tallywater::shell::{Route, Shell};
use tallywater::ui::{App, Screen};
use tallywater_bindings::Tallywater;
use tempfile::TempDir;

use crate::folder::{copy, demo};
use crate::midday;

/// Only the bundled fonts are seen, so that a picture is the same on every machine, and a
/// machine without fonts does not stop the toolkit.
fn fonts() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let folder = std::env::temp_dir().join(format!("tallywater-fonts-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let ours = Path::new(env!("CARGO_MANIFEST_DIR")).join("ui/fonts");
        let file = folder.join("fonts.conf");
        std::fs::write(
            &file,
            format!(
                "<?xml version=\"1.0\"?><fontconfig><dir>{}</dir><cachedir>{}</cachedir></fontconfig>",
                ours.display(),
                folder.display()
            ),
        )
        .unwrap();
        // Before any other thread of the test asks for a font: guarded by the `Once`.
        #[allow(unsafe_code, reason = "the environment is set once, before it is read")]
        unsafe {
            std::env::set_var("FONTCONFIG_FILE", &file);
        }
    });
}

/// Prepares this thread for a window without a display.
pub(crate) fn platform() {
    midday::keep();
    fonts();
    let options = TestingBackendOptions {
        mock_time: true,
        renderer_name: Some("software".into()),
        ..TestingBackendOptions::default()
    };
    // A second test on the same thread finds the platform set already.
    let _ = slint::platform::set_platform(Box::new(TestingBackend::new(options)));
}

/// The empty window of the shell at this size.
pub(crate) fn app(width: u32, height: u32) -> App {
    platform();
    let app = App::new().unwrap();
    app.window()
        .set_size(slint::PhysicalSize::new(width, height));
    app.show().unwrap();
    settle();
    app
}

/// Lets change handlers and timers run.
pub(crate) fn settle() {
    wait(32);
}

/// Lets so many milliseconds pass.
pub(crate) fn wait(milliseconds: u64) {
    bench::mock_elapsed_time(Duration::from_millis(milliseconds));
}

/// Runs on a thread with room enough: the generated screens are deep in a debug build.
pub(crate) fn roomy(test: impl FnOnce() + Send + 'static) {
    midday::keep();
    let thread = std::thread::Builder::new().stack_size(64 << 20);
    if let Err(panic) = thread.spawn(test).unwrap().join() {
        std::panic::resume_unwind(panic);
    }
}

/// The instructor's tablet and the shop's computer of the demo school, built once and copied
/// for each test.
fn school() -> (&'static Path, &'static Path) {
    static BUILT: OnceLock<(TempDir, PathBuf, PathBuf)> = OnceLock::new();
    let (_, instructor, shop) = BUILT.get_or_init(|| {
        let folder = TempDir::new().unwrap();
        let school = demo(folder.path());
        let (instructor, shop) = (school.instructor.into(), school.shop.into());
        (folder, instructor, shop)
    });
    (instructor, shop)
}

/// A shell over a desk of its own, and the hands that use it.
pub(crate) struct Stage {
    pub(crate) app: App,
    pub(crate) shell: Rc<Shell>,
    _folder: TempDir,
}

impl Stage {
    /// On the instructor's tablet of the demo school.
    pub(crate) fn demo(width: u32, height: u32) -> Self {
        Self::over(demo_folder(), width, height)
    }

    /// On the shop's computer of the demo school.
    pub(crate) fn shop(width: u32, height: u32) -> Self {
        let folder = TempDir::new().unwrap();
        copy(school().1, folder.path());
        Self::over(folder, width, height)
    }

    /// On a device that was never used.
    pub(crate) fn new(width: u32, height: u32) -> Self {
        Self::over(TempDir::new().unwrap(), width, height)
    }

    /// Over what lies in this folder.
    pub(crate) fn over(folder: TempDir, width: u32, height: u32) -> Self {
        midday::keep();
        let desk = Tallywater::open(folder.path().display().to_string()).unwrap();
        let app = app(width, height);
        let shell = Shell::over(&app, desk);
        settle();
        Self {
            app,
            shell,
            _folder: folder,
        }
    }

    pub(crate) fn desk(&self) -> Arc<Tallywater> {
        self.shell.desk()
    }

    pub(crate) fn go(&self, stop: &Stop) {
        (stop.go)(&self.shell);
        settle();
    }

    /// What is to be seen now.
    pub(crate) fn picture(&self) -> SharedPixelBuffer<Rgba8Pixel> {
        settle();
        self.app.window().take_snapshot().unwrap()
    }

    /// Everything that can be pressed and is to be seen.
    pub(crate) fn buttons(&self) -> Vec<ElementHandle> {
        self.all(AccessibleRole::Button)
    }

    /// Everything of this role that is to be seen.
    pub(crate) fn all(&self, role: AccessibleRole) -> Vec<ElementHandle> {
        ElementQuery::from_root(&self.app)
            .match_accessible_role(role)
            .find_all()
    }

    /// The one button of this label.
    pub(crate) fn button(&self, label: &str) -> ElementHandle {
        let mut found = self.labelled(|said| said == label);
        assert_eq!(
            found.len(),
            1,
            "buttons called {label:?}; there are {:#?}",
            self.labels()
        );
        found.remove(0)
    }

    /// The buttons whose label is like that.
    pub(crate) fn labelled(&self, like: impl Fn(&str) -> bool) -> Vec<ElementHandle> {
        let mut all = self.buttons();
        all.retain(|one| (one.accessible_label()).is_some_and(|said| is_like(&said, &like)));
        all
    }

    pub(crate) fn labels(&self) -> Vec<String> {
        let all = self.buttons();
        all.iter()
            .filter_map(|one| Some(one.accessible_label()?.into()))
            .collect()
    }

    /// One tap with a finger on the one button of this label.
    pub(crate) fn tap(&self, label: &str) {
        let button = self.button(label);
        self.touch(middle(&button), 80);
    }

    /// A finger comes down here and goes up after so many milliseconds.
    pub(crate) fn touch(&self, at: LogicalPosition, milliseconds: u64) {
        settle();
        self.finger(1, at, TouchPhase::Started);
        wait(milliseconds);
        self.finger(1, at, TouchPhase::Ended);
        settle();
        self.shell.take_news();
        settle();
    }

    /// A finger comes down here, is drawn over the glass in steps, and goes up there.
    pub(crate) fn draw(&self, from: LogicalPosition, to: LogicalPosition) {
        settle();
        self.finger(1, from, TouchPhase::Started);
        for step in 1..=10_u8 {
            wait(16);
            let part = f32::from(step) / 10.0;
            let at = LogicalPosition::new(
                from.x + (to.x - from.x) * part,
                from.y + (to.y - from.y) * part,
            );
            self.finger(1, at, TouchPhase::Moved);
        }
        // Held still before it goes up: it draws and does not fling.
        for _ in 0..10 {
            wait(30);
            self.finger(1, to, TouchPhase::Moved);
        }
        self.finger(1, to, TouchPhase::Ended);
        // Until the list has come to rest: what glides under a finger is no press.
        wait(2_000);
        self.shell.take_news();
        settle();
    }

    pub(crate) fn finger(&self, id: i32, at: LogicalPosition, phase: TouchPhase) {
        let position = i_slint_core::lengths::LogicalPoint::new(at.x, at.y);
        let event = InternalEvent::Touch {
            id,
            position,
            phase,
        };
        self.app
            .window()
            .dispatch_event(WindowEvent::internal(event));
    }
}

impl Stage {
    /// The course and session at hand, on another screen.
    pub(crate) fn hand(&self, screen: Screen) -> Route {
        let at = self.desk().at_hand().unwrap().unwrap();
        Route::to(screen)
            .course(at.course)
            .session(at.session.map(String::from).unwrap_or_default())
    }

    /// Goes there.
    pub(crate) fn open(&self, route: Route) {
        self.shell.open(route);
        settle();
    }

    /// The first button whose label is like that.
    pub(crate) fn find(&self, like: impl Fn(&str) -> bool) -> Option<ElementHandle> {
        self.labelled(like).into_iter().next()
    }

    /// The button of an open sheet that records this mark.
    pub(crate) fn mark_button(&self, word: &str) -> Option<ElementHandle> {
        let end = format!(": {word}");
        // A cell of the board says student and skill with a comma between them.
        self.find(|label| label.ends_with(&end) && !label.contains(", "))
    }

    /// Writes what is to be seen, where `TALLYWATER_PICTURES` names a folder.
    pub(crate) fn save(&self, name: &str) {
        let Ok(folder) = std::env::var("TALLYWATER_PICTURES") else {
            return;
        };
        let pixels = self.picture();
        std::fs::create_dir_all(&folder).unwrap();
        let file = std::fs::File::create(Path::new(&folder).join(format!("{name}.png"))).unwrap();
        let mut png = png::Encoder::new(file, pixels.width(), pixels.height());
        png.set_color(png::ColorType::Rgba);
        let mut png = png.write_header().unwrap();
        png.write_image_data(pixels.as_bytes()).unwrap();
    }
}

/// A copy of the demo instructor's tablet.
pub(crate) fn demo_folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    copy(school().0, folder.path());
    folder
}

/// Whether a label is like that, as it is or read without the places where its words may break.
pub(crate) fn is_like(said: &str, like: impl Fn(&str) -> bool) -> bool {
    like(said) || like(&said.replace('\u{ad}', ""))
}

/// The middle of an element.
pub(crate) fn middle(element: &ElementHandle) -> LogicalPosition {
    let (at, size) = (element.absolute_position(), element.size());
    LogicalPosition::new(at.x + size.width / 2.0, at.y + size.height / 2.0)
}

/// What the border answered.
pub(crate) fn seen<T>(answer: Result<T, tallywater_bindings::Fault>) -> T {
    answer.unwrap()
}
