//! One student: papers and tests, skills, notes, and the ways to record, dives and details.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    ChartOf, ClearanceRow, ClearanceState, DiveRow, Fault, FigureKind, Known, Leave, NamedCell,
    NoteRow, Outcome, Request, StudentView, course_ledger, share_of,
};

use super::{files, picture, sizes, students};
use crate::shell::{Shell, on, rows};
use crate::ui::{self, CourseWords, Load, PaperRow, Screen, SkillRow, StudentDoor, Words};
use crate::words;

#[derive(Default)]
struct Kept {
    view: RefCell<Option<StudentView>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<StudentDoor>();
    on!(shell, door.on_open(student) => students::open(shell, &student));
    on!(shell, door.on_enrol() => students::enrol(shell));
    on!(shell, door.on_open_skill(skill) => {
        let here = shell.route();
        let student = here.student.clone().unwrap_or_default();
        shell.open(here.here(Screen::Attempt).student(student).skill(skill));
    });
    on!(shell, door.on_clear(paper, state) => clear(shell, paper, state));
    on!(shell, door.on_figure_key(key) => typed(shell, |text| text.push_str(&key)));
    on!(shell, door.on_figure_erase() => typed(shell, |text| { text.pop(); }));
    on!(shell, door.on_add_note(text) => add_note(shell, text));
    on!(shell, door.on_withdraw_note(entry) => withdraw(shell, entry.into()));
    on!(shell, door.on_amend() => to(shell, Screen::Enrol));
    on!(shell, door.on_to_record() => to(shell, Screen::Record));
    on!(shell, door.on_to_make_up() => make_up(shell));
    on!(shell, door.on_to_dives() => to(shell, Screen::Dives));
    on!(shell, door.on_to_way() => {
        let student = shell.route().student.unwrap_or_default();
        picture::open(shell, ChartOf::Way { student });
    });
    on!(shell, door.on_open_dive(dive) => {
        picture::open(shell, ChartOf::Profile { dive: dive.into() });
    });
    on!(shell, door.on_again() => shell.show_again());
}

/// A plan with this student alone, where anything is left to make up.
fn make_up(shell: &Rc<Shell>) {
    let route = shell.route();
    let student = route.student.clone().unwrap_or_default();
    match shell
        .desk()
        .draft_make_up(route.in_course(), student.clone())
    {
        Ok(_) => shell.open(route.here(Screen::Plan).session("").student(student)),
        Err(fault) => shell.fault(&fault),
    }
}

/// Another screen about the same student.
fn to(shell: &Rc<Shell>, screen: Screen) {
    let here = shell.route();
    let student = here.student.clone().unwrap_or_default();
    shell.open(here.here(screen).student(student));
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<StudentDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let student = route.student.clone().unwrap_or_default();
    let course = route.in_course();
    let seen = shell.desk().student(course.clone(), student);
    let seen = seen.and_then(|view| {
        let dives = view.dives.iter().map(|dive| own_dive(shell, &course, dive));
        let dives = dives.collect::<Result<Vec<_>, Fault>>()?;
        Ok((view, dives))
    });
    let seen = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some((view, dives)) = seen else { return };
    shell.title(view.name.name.clone(), "");
    let another = kept
        .view
        .borrow()
        .as_ref()
        .is_none_or(|before| before.name.student != view.name.student);
    if another {
        door.set_paper(-1);
        door.set_note("".into());
        door.set_figure("".into());
        door.set_paper_fault("".into());
    }
    door.set_view(student_view(&ui, &view));
    let rules = super::policy::names(shell, shell.route().in_course());
    let missing = view.gaps.before_water.iter();
    door.set_gaps(rows(missing.map(|gap| words::gap_row(gap, &rules))));
    door.set_papers(rows(view.clearances.iter().map(paper_row)));
    let skills = view.families.iter().flat_map(|family| {
        let cells = family.cells.iter().enumerate();
        cells.map(move |(place, cell)| skill_row(cell, &family.family, place == 0))
    });
    door.set_skills(rows(skills));
    let standing = view.notes.iter().filter(|note| note.withdrawn.is_none());
    door.set_notes(rows(standing.map(note_row)));
    door.set_dives(rows(dives));
    door.set_presets(ui.global::<Words>().invoke_presets());
    door.set_fault("".into());
    door.set_load(Load::Ready);
    files::of_student(shell, &view);
    sizes::of_student(shell, &view);
    kept.view.replace(Some(view));
}

fn student_view(ui: &ui::App, view: &StudentView) -> ui::StudentView {
    let details = view.details.as_ref();
    let text = |text: Option<&String>| SharedString::from(text.cloned().unwrap_or_default());
    let emergency = details.and_then(|details| details.emergency.as_ref());
    let (dates, ends) = (ui.global::<Words>(), ui.global::<CourseWords>());
    ui::StudentView {
        id: view.name.student.to_string().into(),
        name: view.name.name.clone().into(),
        called: view.name.short.clone().into(),
        minor: details.and_then(|details| details.minor).unwrap_or(false),
        born: details
            .and_then(|details| details.born.as_ref())
            .map(words::day)
            .unwrap_or_default(),
        contact: text(details.and_then(|details| details.contact.as_ref())),
        emergency: text(emergency.map(|one| &one.name)),
        emergency_reach: text(emergency.map(|one| &one.reach)),
        met: words::count(view.done),
        of: words::count(view.of),
        share: share_of(view.done, view.of),
        dives: words::count(view.open_dives),
        dives_need: words::count(view.dives_needed.unwrap_or(0)),
        sessions: words::count(view.came_to),
        sessions_of: words::count(view.attendance.len()),
        last_lead: view
            .weight
            .as_ref()
            .map(|weight| words::figure(&weight.lead))
            .unwrap_or_default(),
        forgotten: view.name.known == Known::Forgotten,
        ended: view
            .completion
            .as_ref()
            .map(|end| {
                let outcome = ends.invoke_outcome(outcome(&end.outcome));
                let day = dates.invoke_date(words::day(&end.at.day));
                slint::format!("{outcome} · {}, {day}", end.by.name)
            })
            .unwrap_or_default(),
        referred_from: view.referred_from.clone().unwrap_or_default().into(),
    }
}

/// How a course ended, as records number it: 2 completed, 3 referred, 4 left.
pub(super) const fn outcome(outcome: &Outcome) -> i32 {
    match outcome {
        Outcome::Completed => 2,
        Outcome::Referred => 3,
        Outcome::Left => 4,
    }
}

fn paper_row(row: &ClearanceRow) -> PaperRow {
    PaperRow {
        paper: words::paper(&row.what),
        state: words::paper_state(&row.state),
        seen: row
            .seen
            .as_ref()
            .map(|at| words::day(&at.day))
            .unwrap_or_default(),
        by: row
            .by
            .as_ref()
            .map(|by| by.name.clone())
            .unwrap_or_default()
            .into(),
        until: row.until.as_ref().map(words::day).unwrap_or_default(),
        figure: row.figure.as_ref().map(words::figure).unwrap_or_default(),
        gate: words::gate(row.needed_before.as_ref()),
        needed: row.needed_before.is_some() && row.state != ClearanceState::NotAsked,
    }
}

fn skill_row(cell: &NamedCell, family: &tallywater_bindings::Family, first: bool) -> SkillRow {
    SkillRow {
        id: cell.cell.skill.clone().into(),
        name: cell.name.clone().into(),
        family: words::family(family),
        first,
        look: words::look(&cell.cell),
        part: words::part(&cell.cell),
        tries: words::count(cell.cell.tries),
        last: cell
            .last_at
            .as_ref()
            .map(|at| words::day(&at.day))
            .unwrap_or_default(),
    }
}

/// A dive, and whether there is a profile to draw.
fn own_dive(shell: &Rc<Shell>, course: &str, dive: &DiveRow) -> Result<ui::OwnDive, Fault> {
    let entry = dive.entry.to_string();
    let of = ChartOf::Profile {
        dive: entry.clone(),
    };
    Ok(ui::OwnDive {
        entry: entry.into(),
        day: words::day(&dive.down.day),
        clock: words::clock(&dive.down),
        depth: words::figure(&dive.max_depth),
        span: words::span(&dive.span),
        // Where it is known how the dive came up there are samples.
        drawn: dive.climb.is_some() || shell.desk().chart(course.to_owned(), of)?.is_some(),
    })
}

fn note_row(note: &NoteRow) -> ui::NoteRow {
    ui::NoteRow {
        entry: note.entry.to_string().into(),
        text: note.text.clone().into(),
        by: note.by.name.clone().into(),
        when: words::moment(&note.at),
        skill: note.skill_name.clone().unwrap_or_default().into(),
        may_withdraw: note.may_withdraw == Leave::Yes,
    }
}

/// Changes the figure that is being typed.
fn typed(shell: &Rc<Shell>, change: impl FnOnce(&mut String)) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<StudentDoor>();
    let mut text = door.get_figure().to_string();
    change(&mut text);
    door.set_figure(text.into());
    door.set_paper_fault("".into());
}

/// Records what was seen of a paper, or how a test went, with its figure.
fn clear(shell: &Rc<Shell>, paper: ui::Paper, state: ui::PaperState) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<StudentDoor>();
    let Some(result) = words::result_back(state) else {
        return;
    };
    let kind = match paper {
        ui::Paper::Swim => Some(FigureKind::WayMetres),
        ui::Paper::Float => Some(FigureKind::Minutes),
        ui::Paper::Theory => Some(FigureKind::Percent),
        ui::Paper::Health | ui::Paper::Physician | ui::Paper::Consent => None,
    };
    let text = door.get_figure().to_string();
    let figure = match kind.filter(|_| !text.is_empty()) {
        None => None,
        Some(kind) => {
            let read = shell.desk().read_figure(kind, text);
            let Some(base) = shell.see(read, |fault| door.set_paper_fault(fault)) else {
                return;
            };
            u32::try_from(base).ok()
        }
    };
    let route = shell.route();
    let recorded = shell.record(Request::Clear {
        course: route.in_course(),
        student: route.student.unwrap_or_default(),
        what: words::paper_back(paper),
        result,
        until: None,
        figure,
    });
    if recorded.is_some() {
        door.set_paper(-1);
        door.set_figure("".into());
    }
}

fn add_note(shell: &Rc<Shell>, text: SharedString) {
    let Some(ui) = shell.ui() else { return };
    let route = shell.route();
    let recorded = shell.record(Request::Note {
        course: route.in_course(),
        student: route.student,
        skill: None,
        session: route.session,
        entry: None,
        text: text.into(),
    });
    if recorded.is_some() {
        ui.global::<StudentDoor>().set_note("".into());
    }
}

/// Withdraws an entry of the course one is in.
pub(super) fn withdraw(shell: &Rc<Shell>, entry: String) {
    match course_ledger(shell.route().in_course()) {
        Ok(ledger) => {
            let why = None;
            shell.record(Request::Withdraw { ledger, entry, why });
        }
        Err(fault) => shell.fault(&fault),
    }
}
