//! Sizes: what a student wears and brings, and what they have of the school's kit, on the
//! student's page.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, SharedString, VecModel};
use tallywater_bindings::{Fault, KitKind, Leave, Request, Sizes, SizesView, StudentView};

use crate::shell::{Shell, fill, on, rows};
use crate::ui::{App, KitWords, PickRow, Screen, SizesDoor};
use crate::words;

#[derive(Default)]
struct Kept {
    /// Whose: course and student.
    of: RefCell<(String, String)>,
    view: RefCell<Option<SizesView>>,
    open: Cell<bool>,
    /// What they bring, as it is being said.
    own: RefCell<Vec<KitKind>>,
    chips: Rc<VecModel<PickRow>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SizesDoor>();
    on!(shell, door.on_turn() => turn(shell));
    on!(shell, door.on_bring(kind) => bring(shell, &kind));
    on!(shell, door.on_keep() => keep(shell));
    on!(shell, door.on_to_kit() => shell.open(shell.route().here(Screen::Issue)));
}

/// Draws the sizes of a student; what was being typed of another is put away.
pub(super) fn of_student(shell: &Rc<Shell>, student: &StudentView) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SizesDoor>();
    let kept = shell.kept::<Kept>();
    let of = (student.course.to_string(), student.name.student.to_string());
    if *kept.of.borrow() != of {
        kept.open.set(false);
        door.set_refused("".into());
        door.set_done("".into());
        kept.of.replace(of.clone());
    }
    let seen = shell.desk().sizes(of.0, of.1);
    let view = shell.see(seen, |fault| door.set_refused(fault));
    kept.view.replace(view);
    draw(&ui, &kept);
}

fn draw(ui: &App, kept: &Kept) {
    let door = ui.global::<SizesDoor>();
    let view = kept.view.borrow();
    let sizes = view.as_ref().and_then(|view| view.sizes.as_ref());
    door.set_says(sizes.map(|sizes| says(ui, sizes)).unwrap_or_default());
    let out = view.iter().flat_map(|view| &view.out);
    let has = out.map(|one| {
        let named = words::kit_name(ui, &one.piece);
        if one.wrong.is_empty() {
            named
        } else {
            let wrong = words::kit_wrongs(ui, &one.wrong);
            ui.global::<KitWords>().invoke_asks(named, wrong)
        }
    });
    door.set_has(rows(has));
    let may = view.as_ref().is_some_and(|view| view.may_set == Leave::Yes);
    door.set_may(may);
    door.set_open(may && kept.open.get());
    let own = kept.own.borrow();
    let chips = words::KIT.iter().enumerate().map(|(place, kind)| PickRow {
        id: slint::format!("{place}"),
        name: words::kit_kind_said(ui, kind),
        on: own.contains(kind),
    });
    fill(&kept.chips, chips.collect());
    door.set_own(ModelRc::from(Rc::clone(&kept.chips)));
}

/// The sizes that are known, beside one another, and what is their own.
fn says(ui: &App, sizes: &Sizes) -> SharedString {
    let words_of = ui.global::<KitWords>();
    let sized = [
        (KitKind::Suit, &sizes.suit),
        (KitKind::Boots, &sizes.boots),
        (KitKind::Fins, &sizes.fins),
        (KitKind::Mask, &sizes.mask),
        (KitKind::Bcd, &sizes.bcd),
    ];
    let known = sized.iter().filter(|(_, size)| !size.is_empty());
    let known =
        known.map(|(kind, size)| slint::format!("{} {size}", words::kit_kind_said(ui, kind)));
    let mut said: Vec<SharedString> = known.collect();
    if !sizes.own.is_empty() {
        let own = sizes.own.iter().map(|kind| words::kit_kind_said(ui, kind));
        let own: Vec<SharedString> = own.collect();
        said.push(words_of.invoke_asks(words_of.invoke_their_own(), own.join(", ").into()));
    }
    said.join(" · ").into()
}

/// Opens the form with what is known, or closes it.
fn turn(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SizesDoor>();
    let kept = shell.kept::<Kept>();
    kept.open.set(!kept.open.get());
    door.set_refused("".into());
    door.set_done("".into());
    if kept.open.get() {
        let sizes = {
            let view = kept.view.borrow();
            view.as_ref().and_then(|view| view.sizes.clone())
        };
        let text = |of: fn(&Sizes) -> &String| {
            SharedString::from(
                sizes
                    .as_ref()
                    .map(|one| of(one).clone())
                    .unwrap_or_default(),
            )
        };
        door.set_suit(text(|sizes| &sizes.suit));
        door.set_boots(text(|sizes| &sizes.boots));
        door.set_fins(text(|sizes| &sizes.fins));
        door.set_mask(text(|sizes| &sizes.mask));
        door.set_bcd(text(|sizes| &sizes.bcd));
        let own = sizes.map(|sizes| sizes.own);
        kept.own.replace(own.unwrap_or_default());
    }
    draw(&ui, &kept);
}

/// Takes a kind into what they bring, or out of it.
fn bring(shell: &Rc<Shell>, kind: &str) {
    let Some(ui) = shell.ui() else { return };
    let place = kind.parse::<usize>().ok();
    let Some(kind) = place.and_then(|place| words::KIT.get(place)) else {
        return;
    };
    let kept = shell.kept::<Kept>();
    {
        let mut own = kept.own.borrow_mut();
        let many = own.len();
        own.retain(|one| one != kind);
        if own.len() == many {
            own.push(*kind);
        }
    }
    draw(&ui, &kept);
}

fn keep(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SizesDoor>();
    let kept = shell.kept::<Kept>();
    let (course, student) = kept.of.borrow().clone();
    let text = |text: SharedString| text.trim().to_owned();
    let sizes = Sizes {
        suit: text(door.get_suit()),
        boots: text(door.get_boots()),
        fins: text(door.get_fins()),
        mask: text(door.get_mask()),
        bcd: text(door.get_bcd()),
        own: kept.own.borrow().clone(),
    };
    let request = Request::SetSizes {
        course,
        student,
        sizes,
    };
    match shell.desk().record(request) {
        Ok(receipt) => {
            kept.open.set(false);
            door.set_refused("".into());
            shell.recorded(receipt);
            shell.show_again();
            door.set_done(ui.global::<KitWords>().invoke_sizes_kept());
        }
        Err(fault @ Fault::DeviceFull) => shell.fault(&fault),
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
    }
}
