//! The figures in a rule: shown, and set from what was typed.

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    AscentsOf, Before, CapOf, Fault, FigureKind, Gate, RecordClass, Role, Rule, RuleRow,
    unit_symbol,
};

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
        Rule::AscentsPerDay { of, .. } => match of {
            AscentsOf::Staff => says.get_ascents_per_day(),
            AscentsOf::Students => says.get_ascents_per_day_students(),
        },
        Rule::Forbids { .. } => says.get_forbids(),
        Rule::StaffNeeds { role, .. } => says.invoke_staff_needs(*role == Role::Assistant),
        Rule::SkillsFirst { before, .. } => match before {
            Before::Setting { setting } => says.invoke_skills_first(words::setting(setting)),
            Before::OpenDive { dive } => says.invoke_skills_before_dive(words::count(*dive)),
            Before::Deeper { .. } => says.get_skills_before_depth(),
        },
        Rule::LeastAge { .. } => says.get_least_age(),
        Rule::DepthByAge { .. } => says.get_depth_by_age(),
        Rule::RatioByAge { .. } => says.get_ratio_by_age(),
        Rule::PairWithAdult { .. } => says.get_pair_with_adult(),
        Rule::DiveCounts { .. } => says.get_dive_counts(),
        Rule::EmergencyPlan { .. } => says.get_emergency_plan(),
        Rule::KitReady { .. } => says.get_kit_ready(),
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
    let depth = |name, cm: u32| (name, FigureKind::Depth, Some(i64::from(cm)));
    match rule {
        Rule::Ratio {
            setting: _,
            per_instructor,
            per_assistant,
            cap,
            cap_of: _,
        } => vec![
            count(says.get_per_instructor(), *per_instructor),
            count(says.get_per_assistant(), *per_assistant),
            count(says.get_cap(), *cap),
        ],
        Rule::Depth { max_cm, .. } => {
            vec![depth(says.get_greatest(), *max_cm)]
        }
        Rule::DivesPerDay { most } | Rule::AscentsPerDay { most, .. } => {
            vec![count(says.get_greatest(), *most)]
        }
        Rule::DivesNeeded { least } => vec![count(says.get_least(), *least)],
        Rule::AssistantJudges { .. }
        | Rule::Needs { .. }
        | Rule::Forbids { .. }
        | Rule::StaffNeeds { .. }
        | Rule::KitReady { .. } => Vec::new(),
        Rule::HealthCurrency { days } => {
            vec![(says.get_days(), FigureKind::Count, Some(i64::from(*days)))]
        }
        Rule::ConsentUnder { age } => vec![count(says.get_age(), *age)],
        Rule::SkillsFirst { before, .. } => match before {
            Before::Setting { .. } => Vec::new(),
            Before::OpenDive { dive } => vec![count(says.get_dive_number(), *dive)],
            Before::Deeper { than_cm } => vec![depth(says.get_deeper_than(), *than_cm)],
        },
        Rule::LeastAge { age } => vec![count(says.get_least_years(), *age)],
        Rule::DepthByAge { under, max_cm } => vec![
            count(says.get_age(), *under),
            depth(says.get_greatest(), *max_cm),
        ],
        Rule::RatioByAge {
            under,
            per_instructor,
        } => vec![
            count(says.get_age(), *under),
            count(says.get_per_instructor(), *per_instructor),
        ],
        Rule::EmergencyPlan { months } => vec![count(says.get_months(), *months)],
        Rule::PairWithAdult { under } => vec![count(says.get_age(), *under)],
        Rule::DiveCounts {
            least_cm,
            least_minutes,
        } => vec![
            depth(says.get_at_least_deep(), *least_cm),
            count(says.get_at_least_minutes(), *least_minutes),
        ],
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
        let shown = value.and_then(|base| desk.show_figure(kind, base).ok());
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
    .chain(cap_of(ui, rule))
    .collect()
}

/// Whose cap a ratio's is: one of two readings.
fn cap_of(ui: &App, rule: &Rule) -> Option<FieldRow> {
    let Rule::Ratio { cap_of, .. } = rule else {
        return None;
    };
    let says = ui.global::<HouseWords>();
    Some(FieldRow {
        id: "cap-of".into(),
        name: says.get_cap_of(),
        choices: shell::rows([says.get_cap_water(), says.get_cap_each()]),
        chosen: i32::from(*cap_of == CapOf::Instructor),
        ..FieldRow::default()
    })
}

/// Sets one figure of a rule from what was typed.
pub(super) fn set(
    shell: &Shell,
    ui: &App,
    rule: &mut Rule,
    field: usize,
    text: String,
) -> Result<(), Fault> {
    let kind = figures(ui, rule).into_iter().nth(field);
    let kind = kind.map_or(FigureKind::Count, |(_, kind, _)| kind);
    let empty = text.is_empty();
    let base = if empty {
        0
    } else {
        shell.desk().read_figure(kind, text)?
    };
    // What does not fit is as much as fits: the check says that it is out of bounds.
    let small = u8::try_from(base).unwrap_or(u8::MAX);
    let large = u32::try_from(base).unwrap_or(u32::MAX);
    match (rule, field) {
        (Rule::Ratio { per_instructor, .. }, 0) => *per_instructor = small,
        (Rule::Ratio { per_assistant, .. }, 1) => *per_assistant = small,
        (Rule::Ratio { cap, .. }, 2) => *cap = small,
        (Rule::Depth { max_cm, .. }, 0) => *max_cm = large,
        (Rule::DivesPerDay { most } | Rule::AscentsPerDay { most, .. }, 0) => *most = small,
        (Rule::DivesNeeded { least }, 0) => *least = small,
        (Rule::HealthCurrency { days }, 0) => *days = u16::try_from(base).unwrap_or(u16::MAX),
        (Rule::EmergencyPlan { months }, 0) => *months = small,
        (Rule::ConsentUnder { age } | Rule::LeastAge { age }, 0) => *age = small,
        (Rule::SkillsFirst { before, .. }, 0) => match before {
            Before::Setting { .. } => {}
            Before::OpenDive { dive } => *dive = small,
            Before::Deeper { than_cm } => *than_cm = large,
        },
        (
            Rule::DepthByAge { under, .. }
            | Rule::RatioByAge { under, .. }
            | Rule::PairWithAdult { under },
            0,
        ) => *under = small,
        (Rule::DepthByAge { max_cm, .. }, 1) => *max_cm = large,
        (Rule::RatioByAge { per_instructor, .. }, 1) => *per_instructor = small,
        (Rule::DiveCounts { least_cm, .. }, 0) => *least_cm = large,
        (Rule::DiveCounts { least_minutes, .. }, 1) => *least_minutes = small,
        (Rule::Keep { years, .. }, 0) => *years = small,
        (Rule::Keep { minors_to_age, .. }, 1) => *minors_to_age = (!empty).then_some(small),
        _ => {}
    }
    Ok(())
}
