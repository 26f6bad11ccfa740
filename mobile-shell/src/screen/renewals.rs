//! What a member of staff must have in date: shown, and noted when it was seen.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Request, StaffPaper, StaffPaperRow, StaffRow};

use crate::shell::{Shell, on, rows};
use crate::ui::{App, HouseWords, PeopleDoor, RenewalDoor, RenewalRow, Words};
use crate::words;

/// What staff renew, in the order of their numbers.
const PAPERS: [StaffPaper; 5] = [
    StaffPaper::TeachingStatus,
    StaffPaper::Insurance,
    StaffPaper::FirstAid,
    StaffPaper::Oxygen,
    StaffPaper::Medical,
];

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<RenewalDoor>();
    on!(shell, door.on_renew(kind) => renew(shell, kind));
}

/// What the person who is chosen has in date.
pub(super) fn draw(ui: &App, staff: &[StaffRow]) {
    let who = ui.global::<PeopleDoor>().get_who();
    let chosen = staff.iter().find(|row| row.name.staff == who.as_str());
    let papers = chosen.into_iter().flat_map(|row| &row.papers);
    ui.global::<RenewalDoor>()
        .set_rows(rows(papers.map(|paper| row(ui, paper))));
}

fn row(ui: &App, paper: &StaffPaperRow) -> RenewalRow {
    let (says, house) = (ui.global::<Words>(), ui.global::<HouseWords>());
    let kind = words::staff_paper(&paper.what);
    let name = says.invoke_staff_paper(kind);
    let state: SharedString = match (&paper.seen, &paper.until) {
        (None, _) => house.get_not_seen(),
        (Some(_), None) => house.get_no_end(),
        (Some(_), Some(until)) => house.invoke_until(says.invoke_date(words::day(until))),
    };
    RenewalRow {
        kind,
        name,
        state,
        lacking: paper.ended || paper.seen.is_none(),
    }
}

fn renew(shell: &Rc<Shell>, kind: i32) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<RenewalDoor>();
    door.set_fault("".into());
    let what = usize::try_from(kind)
        .ok()
        .and_then(|n| PAPERS.get(n).cloned());
    let Some(what) = what else { return };
    let typed = door.get_until().trim().to_owned();
    let until = if typed.is_empty() {
        None
    } else {
        match shell.desk().read_day(typed) {
            Ok(day) => Some(day.date.to_string()),
            Err(fault) => return door.set_fault(words::fault(&ui, &fault)),
        }
    };
    let staff = ui.global::<PeopleDoor>().get_who().to_string();
    match shell
        .desk()
        .record(Request::RenewStaff { staff, what, until })
    {
        Ok(receipt) => {
            shell.recorded(receipt);
            door.set_open(-1);
            door.set_until("".into());
            shell.show_again();
        }
        Err(fault) => door.set_fault(words::fault(&ui, &fault)),
    }
}
