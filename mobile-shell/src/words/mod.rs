//! Words: what the border says, as the screens have it: its kinds as theirs, its faults as
//! sentences, its figures as texts. The sentences themselves are the screens' (`ui/*.slint`),
//! so that they can be translated.

mod calc;
mod fault;
mod kind;
mod kit;
mod people;
mod sheet;
mod when;

use slint::SharedString;

pub(crate) use calc::{answer, calculator, caution, check, field, note, option};
pub(crate) use fault::{fault, fault_field, fault_title, got_it, leave};
pub(crate) use kind::{
    RuleNames, condition, entry, family, figure, gap_row, gaps_said, held, look, mark, mark_back,
    measuring, names, paper, part, role, setting, skill_says, staff_paper, told, verdict, water,
    who,
};
pub(crate) use kit::{
    KIT, kit_kind, kit_kind_said, kit_name, kit_row_name, kit_says, kit_stands, kit_wrong,
    kit_wrong_said, kit_wrongs,
};
pub(crate) use people::{
    gate, initials, measured, paper_back, paper_state, place, result_back, student_chip,
    that_counts, toggle, who_of,
};
pub(crate) use sheet::{demand, line_look, watch};
pub(crate) use when::{clock, day, moment, span, written};

/// An id as the screens have it: its text, empty for none.
pub(crate) fn maybe(id: Option<&impl ToString>) -> SharedString {
    id.map(ToString::to_string).unwrap_or_default().into()
}

/// A count as the screens have counts.
pub(crate) fn count(many: impl TryInto<i32>) -> i32 {
    many.try_into().unwrap_or(i32::MAX)
}

/// Per cent as a share of one, for a line that is drawn so long.
pub(crate) fn share(percent: u32) -> f32 {
    f32::from(u16::try_from(percent).unwrap_or(u16::MAX)) / 100.0
}
