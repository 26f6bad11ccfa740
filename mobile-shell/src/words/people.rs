//! People and papers as the screens of course work have them.

use slint::SharedString;
use tallywater_bindings::{
    ClearanceResult, ClearanceState, Gate, HistoryLine, LineCounts, StudentName, Who,
};

use super::{count, figure};
use crate::ui;

/// The first letters of a name, where a picture would stand.
pub(crate) fn initials(name: &StudentName) -> SharedString {
    let letters: String = name
        .name
        .split_whitespace()
        .filter_map(|part| part.chars().next())
        .take(2)
        .collect();
    letters.into()
}

/// A paper's kind, as it was tapped.
pub(crate) const fn paper_back(paper: ui::Paper) -> tallywater_bindings::ClearanceKind {
    use tallywater_bindings::ClearanceKind as Kind;
    match paper {
        ui::Paper::Health => Kind::Health,
        ui::Paper::Physician => Kind::Physician,
        ui::Paper::Consent => Kind::Consent,
        ui::Paper::Swim => Kind::Swim,
        ui::Paper::Float => Kind::Float,
        ui::Paper::Theory => Kind::Theory,
    }
}

/// What a paper said, as it was tapped; `None` for what cannot be recorded.
pub(crate) const fn result_back(state: ui::PaperState) -> Option<ClearanceResult> {
    match state {
        ui::PaperState::Cleared => Some(ClearanceResult::Cleared),
        ui::PaperState::Referred => Some(ClearanceResult::Referred),
        ui::PaperState::NotCleared => Some(ClearanceResult::NotCleared),
        ui::PaperState::Missing | ui::PaperState::NotAsked | ui::PaperState::Expired => None,
    }
}

/// How a paper stands.
pub(crate) const fn paper_state(state: &ClearanceState) -> ui::PaperState {
    match state {
        ClearanceState::Missing => ui::PaperState::Missing,
        ClearanceState::NotAsked => ui::PaperState::NotAsked,
        ClearanceState::Cleared => ui::PaperState::Cleared,
        ClearanceState::Expired => ui::PaperState::Expired,
        ClearanceState::Referred => ui::PaperState::Referred,
        ClearanceState::NotCleared => ui::PaperState::NotCleared,
    }
}

/// What something is needed before.
pub(crate) const fn gate(gate: Option<&Gate>) -> ui::Gate {
    match gate {
        None => ui::Gate::None,
        Some(Gate::Water) => ui::Gate::Water,
        Some(Gate::OpenWater) => ui::Gate::OpenWater,
        Some(Gate::Completion) => ui::Gate::Completion,
    }
}

/// The figures of a try, beside one another.
pub(crate) fn measured(line: &HistoryLine) -> SharedString {
    let taken: Vec<String> = line
        .taken
        .iter()
        .map(|one| figure(&one.figure).to_string())
        .collect();
    taken.join(", ").into()
}

/// Where a try was made.
pub(crate) fn place(line: &HistoryLine) -> SharedString {
    let place = line.site.clone().or_else(|| line.session_title.clone());
    place.unwrap_or_default().into()
}

/// The newest line that counts.
pub(crate) fn that_counts(lines: &[HistoryLine]) -> Option<&HistoryLine> {
    lines
        .iter()
        .rev()
        .find(|line| line.counts == LineCounts::Counts)
}

/// A student on a chip.
pub(crate) fn student_chip(name: &StudentName, on: bool, gaps: usize) -> ui::PersonChip {
    ui::PersonChip {
        id: name.student.to_string().into(),
        called: name.short.clone().into(),
        staff: false,
        on,
        gaps: count(gaps),
        ..ui::PersonChip::default()
    }
}

/// Whom a chip stands for.
pub(crate) fn who_of(chip: &ui::PersonChip) -> Who {
    let id = chip.id.to_string();
    if chip.staff {
        Who::Staff { staff: id }
    } else {
        Who::Student { student: id }
    }
}

/// Takes an id into a list, or out of it.
pub(crate) fn toggle(list: &mut Vec<String>, id: &str) {
    let many = list.len();
    list.retain(|one| one != id);
    if list.len() == many {
        list.push(id.to_owned());
    }
}
