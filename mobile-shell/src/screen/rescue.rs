//! Rescue: the window on a folder whose data file is damaged. No desk is open behind it; once
//! something was done about it, one is, and the shell goes on as ever.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::Arc;

use slint::ComponentHandle;
use tallywater_bindings::{Fault, Rescue, Tallywater};

use crate::ui::{App, RescueDoor};
use crate::words;

/// What is done with the desk once it can be opened.
pub(crate) type Opened = Rc<dyn Fn(&App, Arc<Tallywater>)>;

/// The folder, and the rescue while it is held.
struct Wreck {
    folder: PathBuf,
    held: RefCell<Option<Arc<Rescue>>>,
    opened: Opened,
}

/// Shows how the store in this folder is hurt and what can be done. `opened` is called once a
/// desk stands there again.
pub(crate) fn show(ui: &App, folder: &Path, how: &str, opened: Opened) {
    let wreck = Rc::new(Wreck {
        folder: folder.to_owned(),
        held: RefCell::default(),
        opened,
    });
    let door = ui.global::<RescueDoor>();
    door.set_how(how.into());
    door.set_open(true);
    let (weak, at) = (ui.as_weak(), Rc::clone(&wreck));
    door.on_take_backup(move || {
        if let Some(ui) = weak.upgrade() {
            at.done(&ui, Wreck::take_backup);
        }
    });
    let (weak, at) = (ui.as_weak(), Rc::clone(&wreck));
    door.on_begin_anew(move || {
        if let Some(ui) = weak.upgrade() {
            at.done(&ui, |wreck| wreck.ask(Rescue::begin_anew));
        }
    });
    let (weak, at) = (ui.as_weak(), Rc::clone(&wreck));
    door.on_look_again(move || {
        if let Some(ui) = weak.upgrade() {
            at.held.take();
            if let Err(fault) = at.go_on(&ui, None) {
                at.look(&ui);
                say(&ui, &fault);
            }
        }
    });
    wreck.look(ui);
}

impl Wreck {
    /// Looks at what is there and shows it.
    fn look(&self, ui: &App) {
        let folder = self.folder.display().to_string();
        let found = Rescue::begin(folder).and_then(|rescue| {
            let (readable, backups) = (rescue.readable()?, rescue.backups()?);
            *self.held.borrow_mut() = Some(rescue);
            Ok((readable, backups))
        });
        let (readable, backups) = match found {
            Ok(found) => found,
            Err(fault) => return say(ui, &fault),
        };
        let door = ui.global::<RescueDoor>();
        door.set_entries(words::count(readable.entries));
        door.set_courses(words::count(readable.courses.len()));
        door.set_people(words::count(readable.people));
        door.set_broken(words::count(readable.broken));
        let latest = readable.latest.map(|at| at.to_rfc3339());
        let latest = latest.unwrap_or_default();
        let latest: String = latest.chars().take(16).collect();
        door.set_latest(latest.replace('T', " ").into());
        let sound = backups.into_iter().find(|backup| backup.sound);
        if let Some(backup) = sound {
            door.set_backup_day(backup.day.into());
            door.set_backup_entries(words::count(backup.entries));
        }
    }

    fn ask<T>(&self, ask: impl FnOnce(&Rescue) -> Result<T, Fault>) -> Result<T, Fault> {
        match &*self.held.borrow() {
            Some(rescue) => ask(rescue),
            None => Err(Fault::Busy),
        }
    }

    fn take_backup(&self) -> Result<String, Fault> {
        self.ask(|rescue| {
            let sound = rescue.backups()?.into_iter().find(|backup| backup.sound);
            let sound = sound.ok_or_else(|| Fault::NotFound {
                what: "backup".into(),
                id: String::new(),
            })?;
            rescue.take_backup(sound.file)
        })
    }

    /// Does something about it and goes on with the desk that stands there then.
    fn done(&self, ui: &App, act: impl FnOnce(&Self) -> Result<String, Fault>) {
        let door = ui.global::<RescueDoor>();
        door.set_busy(true);
        let went = act(self).and_then(|aside| {
            self.held.take();
            self.go_on(ui, Some(aside))
        });
        door.set_busy(false);
        if let Err(fault) = went {
            say(ui, &fault);
        }
    }

    fn go_on(&self, ui: &App, aside: Option<String>) -> Result<(), Fault> {
        let desk = Tallywater::open(self.folder.display().to_string())?;
        if let Some(aside) = aside
            && desk.desk().shop_root().is_some()
        {
            desk.take_salvage(aside)?;
        }
        ui.global::<RescueDoor>().set_open(false);
        (self.opened)(ui, desk);
        Ok(())
    }
}

fn say(ui: &App, fault: &Fault) {
    ui.global::<RescueDoor>().set_fault(words::fault(ui, fault));
}
