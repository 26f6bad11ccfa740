//! The figures in a rule: shown, and set from what was typed.

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Fault, FigureKind, Gate, RecordClass, Rule, RuleRow, unit_symbol};

use crate::shell::{self, Shell};
use crate::ui::{App, FieldRow, HouseWords};
use crate::words;

/// What a rule is called.
pub(super) fn name(ui: &App, row: &RuleRow) -> SharedString {
    let says = ui.global::<HouseWords>();
    match &row.rule {
        Rule::Ratio { setting, .. } => says.invoke_ratio(words::setting(setting)),
        Rule::Depth { setting, dive, .. } => {
            says.invoke_depth(words::setting(setting), words::count(dive.unwrap_or(0)))
        }
        Rule::DivesPerDay { .. } => says.get_dives_per_day(),
        Rule::DivesNeeded { .. } => says.get_dives_needed(),
        Rule::AssistantJudges { .. } => {
            let skills: Vec<&str> = row.skills.iter().map(|one| one.name.as_str()).collect();
            slint::format!("{}: {}", says.get_assistant_judges(), skills.join(", "))
        }
        Rule::HealthCurrency { .. } => says.get_health_currency(),
        Rule::ConsentUnder { .. } => says.get_consent_under(),
        Rule::Needs { clearance, before } => {
            let before: Option<&Gate> = Some(before);
            says.invoke_needs(words::paper(clearance), words::gate(before))
        }
        Rule::AscentsPerDay { .. } => says.get_ascents_per_day(),
        Rule::Keep { class, .. } => says.invoke_keep(match class {
            RecordClass::Details => 0,
            RecordClass::Training => 1,
            RecordClass::Incident => 2,
        }),
    }
}

/// Each figure: what it is called, how it is typed, and its value in base units.
fn figures(ui: &App, rule: &Rule) -> Vec<(SharedString, FigureKind, Option<i64>)> {
    let says = ui.global::<HouseWords>();
    let count = |name, value: u8| (name, FigureKind::Count, Some(i64::from(value)));
    match rule {
        Rule::Ratio {
            setting: _,
            per_instructor,
            per_assistant,
            cap,
        } => vec![
            count(says.get_per_instructor(), *per_instructor),
            count(says.get_per_assistant(), *per_assistant),
            count(says.get_cap(), *cap),
        ],
        Rule::Depth { max_cm, .. } => {
            vec![(
                says.get_greatest(),
                FigureKind::Depth,
                Some(i64::from(*max_cm)),
            )]
        }
        Rule::DivesPerDay { most } | Rule::AscentsPerDay { most } => {
            vec![count(says.get_greatest(), *most)]
        }
        Rule::DivesNeeded { least } => vec![count(says.get_least(), *least)],
        Rule::AssistantJudges { .. } | Rule::Needs { .. } => Vec::new(),
        Rule::HealthCurrency { days } => {
            vec![(says.get_days(), FigureKind::Count, Some(i64::from(*days)))]
        }
        Rule::ConsentUnder { age } => vec![count(says.get_age(), *age)],
        Rule::Keep {
            class: _,
            years,
            minors_to_age,
        } => vec![
            count(says.get_years(), *years),
            (
                says.get_minors_to(),
                FigureKind::Count,
                minors_to_age.map(i64::from),
            ),
        ],
    }
}

/// The figures as they are drawn; the one that is being typed shows what was typed.
pub(super) fn rows(
    shell: &Shell,
    ui: &App,
    rule: &Rule,
    typed: Option<(i32, String)>,
) -> Vec<FieldRow> {
    let desk = shell.desk();
    let all = figures(ui, rule).into_iter().enumerate();
    all.map(|(n, (name, kind, value))| {
        let shown = value.and_then(|base| desk.show_figure(kind.clone(), base).ok());
        let (text, unit) = shown.map_or_else(Default::default, |figure| {
            let unit = unit_symbol(figure.unit).unwrap_or_default();
            (figure.text, unit)
        });
        let typed = typed
            .as_ref()
            .filter(|(field, _)| *field == words::count(n));
        FieldRow {
            id: slint::format!("{n}"),
            name,
            text: typed.map_or(text, |(_, text)| text.clone()).into(),
            unit: unit.into(),
            choices: shell::rows([]),
            ..FieldRow::default()
        }
    })
    .collect()
}

/// Sets one figure of a rule from what was typed.
pub(super) fn set(shell: &Shell, rule: &mut Rule, field: usize, text: String) -> Result<(), Fault> {
    let kind = match rule {
        Rule::Depth { .. } => FigureKind::Depth,
        Rule::Ratio { .. }
        | Rule::DivesPerDay { .. }
        | Rule::DivesNeeded { .. }
        | Rule::AssistantJudges { .. }
        | Rule::HealthCurrency { .. }
        | Rule::ConsentUnder { .. }
        | Rule::Needs { .. }
        | Rule::AscentsPerDay { .. }
        | Rule::Keep { .. } => FigureKind::Count,
    };
    let empty = text.is_empty();
    let base = if empty {
        0
    } else {
        shell.desk().read_figure(kind, text)?
    };
    // What does not fit is as much as fits: the check says that it is out of bounds.
    let small = u8::try_from(base).unwrap_or(u8::MAX);
    match (rule, field) {
        (Rule::Ratio { per_instructor, .. }, 0) => *per_instructor = small,
        (Rule::Ratio { per_assistant, .. }, 1) => *per_assistant = small,
        (Rule::Ratio { cap, .. }, 2) => *cap = small,
        (Rule::Depth { max_cm, .. }, 0) => *max_cm = u32::try_from(base).unwrap_or(u32::MAX),
        (Rule::DivesPerDay { most } | Rule::AscentsPerDay { most }, 0) => *most = small,
        (Rule::DivesNeeded { least }, 0) => *least = small,
        (Rule::HealthCurrency { days }, 0) => *days = u16::try_from(base).unwrap_or(u16::MAX),
        (Rule::ConsentUnder { age }, 0) => *age = small,
        (Rule::Keep { years, .. }, 0) => *years = small,
        (Rule::Keep { minors_to_age, .. }, 1) => *minors_to_age = (!empty).then_some(small),
        _ => {}
    }
    Ok(())
}
