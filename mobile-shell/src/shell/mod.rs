//! Shell: the one thing that knows the window, the desk behind it and where one is.
//!
//! It lives on the drawing thread. What happens elsewhere (another device's entries, the
//! network) comes in through `news`.

pub(crate) mod ask;
mod choose;
mod device;
mod hand;
mod header;
pub(crate) mod news;
mod record;
mod route;
mod rows;
pub(crate) mod setup;

use std::any::{Any, TypeId};
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use slint::ComponentHandle;
use tallywater_bindings::{Fault, Stage, Tallywater};

use crate::screen;
use crate::system::{System, ThisMachine};
use crate::ui::{App, AppDoor, Keys, Screen, Setup};

#[cfg(target_os = "android")]
pub(crate) use news::shell_here;
pub use route::Route;
pub(crate) use rows::{fill, list, rows};

/// The window, the desk behind it, and where one is.
pub struct Shell {
    ui: slint::Weak<App>,
    desk: RefCell<Arc<Tallywater>>,
    /// The desk that was left for a look at the demo school.
    home: RefCell<Option<Arc<Tallywater>>>,
    news: Arc<news::Post>,
    route: RefCell<Route>,
    back: RefCell<Vec<Route>>,
    acts: RefCell<record::Acts>,
    asked: RefCell<Option<ask::Asked>>,
    chosen: RefCell<Option<hand::Chosen>>,
    kept: RefCell<BTreeMap<TypeId, Rc<dyn Any>>>,
    told: Cell<u32>,
    /// Which press for a file is the last one.
    choice: Cell<u32>,
    system: RefCell<Rc<dyn System>>,
    device: device::Device,
}

/// Joins two of the toolkit's ends: `on!(shell, door.on_open(course, session) => { .. })`.
/// The window owns its callbacks and these own the shell, which knows the window weakly.
macro_rules! on {
    ($shell:ident, $door:ident . $set:ident ( $($arg:ident),* ) => $body:expr) => {{
        let $shell = std::rc::Rc::clone($shell);
        $door.$set(move |$($arg),*| {
            let $shell = &$shell;
            $body
        });
    }};
}
pub(crate) use on;

impl Shell {
    /// Joins the window to the desk and shows the first screen.
    pub fn over(ui: &App, desk: Arc<Tallywater>) -> Rc<Self> {
        let shell = Rc::new(Self {
            ui: ui.as_weak(),
            desk: RefCell::new(Arc::clone(&desk)),
            home: RefCell::default(),
            news: Arc::new(news::Post::default()),
            route: RefCell::new(Route::to(Screen::Today)),
            back: RefCell::default(),
            acts: RefCell::default(),
            asked: RefCell::default(),
            chosen: RefCell::default(),
            kept: RefCell::default(),
            told: Cell::new(0),
            choice: Cell::new(0),
            system: RefCell::new(Rc::new(ThisMachine)),
            device: device::Device::default(),
        });
        news::here(&shell);
        shell.worked_with();
        shell.join(ui);
        screen::join(&shell);
        shell.stand_behind(desk);
        shell
    }

    /// Works on this desk from now on: it is listened to, its settings hold, and its first
    /// screen is shown.
    pub fn stand_behind(self: &Rc<Self>, desk: Arc<Tallywater>) {
        desk.listen(Arc::new(news::Changes(Arc::clone(&self.news))));
        *self.desk.borrow_mut() = desk;
        self.forget_acts();
        self.forget_choice();
        self.chosen.take();
        self.back.borrow_mut().clear();
        self.kept.borrow_mut().clear();
        setup::restore(self);
        self.begin();
    }

    /// Looks at the demo school; leaving it leads back here.
    pub(crate) fn look_at_demo(self: &Rc<Self>, demo: Arc<Tallywater>) {
        self.home.replace(Some(self.desk()));
        self.stand_behind(demo);
    }

    /// Whether the desk on screen was opened from a device of one's own.
    pub(crate) fn left_own_device(&self) -> bool {
        self.home.borrow().is_some()
    }

    /// Leaves the demo school for the desk it was looked at from; where there is none, the
    /// program was started for the demo alone, and ends.
    pub(crate) fn leave_demo(self: &Rc<Self>) {
        match self.home.take() {
            Some(desk) => self.stand_behind(desk),
            None => {
                // Without an event loop there is nothing to end.
                let _ = slint::quit_event_loop();
            }
        }
    }

    /// Shows the first screen that fits how far this device has come.
    pub(crate) fn begin(self: &Rc<Self>) {
        let stage = self.desk().state().map(|state| state.stage);
        let first = match stage {
            Ok(Stage::FirstStart) => Screen::FirstStart,
            Ok(Stage::NotAdmitted | Stage::Ready) | Err(_) => Screen::Today,
        };
        self.standing_notices();
        self.show_anew(Route::to(first), Vec::new());
    }

    /// The desk behind the window.
    pub fn desk(&self) -> Arc<Tallywater> {
        Arc::clone(&self.desk.borrow())
    }

    /// The machine's own system.
    pub(crate) fn system(&self) -> Rc<dyn System> {
        Rc::clone(&self.system.borrow())
    }

    /// Works with another system from now on: a test's.
    pub fn use_system(&self, system: Rc<dyn System>) {
        *self.system.borrow_mut() = system;
        self.worked_with();
        // Nothing was asked of this one yet.
        self.device.forget();
        self.lit_while_wet();
        self.take_keys();
    }

    /// Tells the window what it is worked with, and whether a person can be shown their files.
    fn worked_with(&self) {
        let Some(ui) = self.ui() else { return };
        let (setup, system) = (ui.global::<Setup>(), self.system());
        setup.set_desktop(system.has_mouse());
        setup.set_files(system.shows_files());
    }

    /// The window, while it is there.
    pub fn ui(&self) -> Option<App> {
        self.ui.upgrade()
    }

    /// Where one is.
    pub fn route(&self) -> Route {
        self.route.borrow().clone()
    }

    /// What a screen keeps while it is not shown, by its type; new at first.
    pub(crate) fn kept<T: Default + 'static>(&self) -> Rc<T> {
        let id = TypeId::of::<T>();
        let there = self.kept.borrow().get(&id).cloned();
        if let Some(kept) = there.and_then(|kept| kept.downcast::<T>().ok()) {
            return kept;
        }
        let kept = Rc::new(T::default());
        self.kept.borrow_mut().insert(id, kept.clone());
        kept
    }

    /// Goes to another screen; back leads here.
    pub fn open(self: &Rc<Self>, route: Route) {
        let mut back = self.back.borrow().clone();
        back.push(self.route());
        self.show_anew(route, back);
    }

    /// Goes to another screen in this one's place: back leads where it led.
    pub(crate) fn replace(self: &Rc<Self>, route: Route) {
        let back = self.back.borrow().clone();
        self.show_anew(route, back);
    }

    /// Goes to one of the places of the navigation: back leads nowhere.
    pub(crate) fn go(self: &Rc<Self>, route: Route) {
        self.show_anew(route, Vec::new());
    }

    /// Goes back to where one came from.
    pub fn back(self: &Rc<Self>) {
        let mut back = self.back.borrow().clone();
        if let Some(route) = back.pop() {
            self.show_anew(route, back);
        }
    }

    /// Turns to another student and skill on the screen that is shown.
    pub(crate) fn aim(&self, student: Option<&str>, skill: Option<&str>) {
        let mut route = self.route.borrow_mut();
        route.student = student.map(str::to_owned);
        route.skill = skill.map(str::to_owned);
    }

    fn show_anew(self: &Rc<Self>, route: Route, back: Vec<Route>) {
        let Some(ui) = self.ui() else { return };
        let door = ui.global::<AppDoor>();
        door.set_can_back(!back.is_empty());
        door.set_sheet_open(false);
        door.set_share(-1.0);
        if let Some(place) = route.place() {
            door.set_place(place);
        }
        let screen = route.screen;
        screen::files::leave(self, Some(screen));
        screen::papers::leave(&ui);
        // A key is learned on the page that says so.
        ui.global::<Keys>().set_learning(0);
        self.back.replace(back);
        self.route.replace(route);
        screen::show(self, screen);
        // Filled first, then shown: a screen never flashes what was there before.
        door.set_screen(screen);
        self.around();
    }

    /// Draws the screen that is shown anew.
    pub(crate) fn show_again(self: &Rc<Self>) {
        let screen = self.route.borrow().screen;
        screen::show(self, screen);
        self.around();
    }

    /// Draws what stands around every screen. The day is read once for all of it.
    fn around(&self) {
        let at = self.at_hand();
        self.lit_of(at.as_ref());
        self.take_keys();
        self.elsewhere_of(at.clone());
        self.header(at);
    }

    /// The title and what stands under it.
    pub(crate) fn title(
        &self,
        title: impl Into<slint::SharedString>,
        under: impl Into<slint::SharedString>,
    ) {
        if let Some(ui) = self.ui() {
            let door = ui.global::<AppDoor>();
            door.set_title(title.into());
            door.set_subtitle(under.into());
        }
    }

    /// What a view answered, or `None` with the fault in words handed to `failed`.
    pub(crate) fn see<T>(
        &self,
        seen: Result<T, Fault>,
        failed: impl FnOnce(slint::SharedString),
    ) -> Option<T> {
        match seen {
            Ok(view) => Some(view),
            Err(fault) => {
                if let Some(ui) = self.ui() {
                    failed(crate::words::fault(&ui, &fault));
                }
                None
            }
        }
    }

    fn join(self: &Rc<Self>, ui: &App) {
        let shell = self;
        let door = ui.global::<AppDoor>();
        on!(shell, door.on_go(place) => screen::go(shell, place));
        on!(shell, door.on_back() => {
            if shell.ui().is_some_and(|ui| ui.global::<AppDoor>().get_sheet_open()) {
                screen::board::close_sheet(shell);
            } else {
                shell.back();
            }
        });
        on!(shell, door.on_undo() => shell.undo());
        on!(shell, door.on_redo() => shell.redo());
        on!(shell, door.on_ask_first() => shell.answer(ask::Way::First));
        on!(shell, door.on_ask_second() => shell.answer(ask::Way::Second));
        on!(shell, door.on_ask_no() => shell.answer(ask::Way::No));
        on!(shell, door.on_to_hand() => shell.to_hand());
        on!(shell, door.on_work_here() => shell.work_here());
        on!(shell, door.on_guard_tick() => shell.guard_tick());
        on!(shell, door.on_told_over() => shell.told_over());
        on!(shell, door.on_open_devices() => shell.open(Route::to(Screen::Devices)));
        on!(shell, door.on_open_emergency() => {
            let hand = shell.in_hand();
            if shell.route().screen != Screen::Emergency {
                shell.open(hand.here(Screen::Emergency));
            }
        });
        on!(shell, door.on_notice() => shell.standing_notices());
        on!(shell, door.on_leave_demo() => shell.leave_demo());
    }
}
