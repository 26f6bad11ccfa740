//! `tallywater calculate`: the calculators of the screen, by command. Nothing is worked out here.

use std::collections::HashMap;
use std::fmt::Debug;
use std::sync::OnceLock;

use clap::{Args, ValueEnum};
use serde_json::{Value, json};
use tallywater_bindings::{
    CalculatorAnswer, CalculatorField, CalculatorForm, Caution, Fault, FieldGiven, FieldKey,
    FieldKind, FieldValue, SourceView, UnitOfMeasure, Units, calculate, calculator_form,
    calculators, unit_symbol,
};

use super::catalogue::{Language, t, tr};
use super::turn::Turn;

/// The words of the calculators stand once, where the screens have them.
const WORDS: &str = include_str!("../../ui/calc-words.slint");

/// In which units figures are read and said.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, ValueEnum)]
enum System {
    /// Metres, bar, kilograms.
    #[default]
    Metric,
    /// Feet, pounds per square inch, pounds.
    Imperial,
}

/// Work out one figure, or list what can be worked out.
///
/// Alone it lists the calculators; with a calculator's name, what that one asks, with bounds and
/// what stands where nothing is given. A planning aid, no permission to dive.
#[derive(Debug, Args)]
pub(super) struct Calculate {
    /// Which: its name, or the beginning of it.
    calculator: Option<String>,
    /// What is given, each as name=value: depth=18, water="open sea".
    given: Vec<String>,
    /// Work it out with what usually stands there, where nothing is given at all.
    #[arg(long, requires = "calculator")]
    usual: bool,
    /// The units of what is given and answered.
    #[arg(long, value_enum, default_value_t)]
    units: System,
}

/// Does what was asked.
pub(super) fn run(asked: &Calculate, turn: &Turn) -> Result<(), Fault> {
    let units = match asked.units {
        System::Metric => Units::Metric,
        System::Imperial => Units::Imperial,
    };
    let Some(name) = &asked.calculator else {
        return list(turn);
    };
    let all = calculators();
    let calculator = *one_of(&all, name, "calculator", |one| {
        [slug(one), label("calculator", one).to_owned()]
    })?;
    let form = calculator_form(calculator, units)?;
    if asked.given.is_empty() && !asked.usual {
        return show(&form, turn);
    }
    work_out(&form, units, &asked.given, turn)
}

/// Works out a form with what is given for it, and says what it comes to.
pub(super) fn work_out(
    form: &CalculatorForm,
    units: Units,
    given: &[String],
    turn: &Turn,
) -> Result<(), Fault> {
    let calculator = form.calculator;
    let given = filled(form, given)?;
    let answers = calculate(calculator, units, given.clone())?;
    let asked_for = form.fields.iter().zip(&given);
    let fields: Vec<Value> = asked_for
        .clone()
        .map(|(field, given)| json!({ "field": name_of(field), "value": said(given), "unit": unit(field) }))
        .collect();
    let found: Vec<Value> = answers.answers.iter().map(answer).collect();
    let cautions = answers.cautions.iter().map(slug).collect::<Vec<_>>();
    let checks = answers.to_confirm.iter().map(slug).collect::<Vec<_>>();
    let sources = answers.sources.iter().map(|one| one.citation.clone());
    let value = json!({
        "calculator": slug(&calculator),
        "asked": fields,
        "answers": found,
        "to_confirm": checks,
        "cautions": cautions,
        "sources": sources.collect::<Vec<_>>(),
    });
    turn.answer(
        "calculate",
        &value,
        || {
            let main = answers.answers.iter().filter(|one| one.main);
            main.map(|one| one.text.clone()).collect()
        },
        || {
            let mut lines = vec![t(label("calculator", &calculator)).to_owned()];
            lines.extend(asked_for.map(|(field, given)| {
                line(t(label("field", &field.key)), &spoken(given), &unit(field))
            }));
            lines.push(String::new());
            lines.extend(answers.answers.iter().map(answer_line));
            if !answers.to_confirm.is_empty() {
                lines.push(String::new());
                lines.push(tr!("To confirm in the water"));
                let checks = answers.to_confirm.iter();
                lines.extend(checks.map(|one| format!("  {}", t(label("check", one)))));
            }
            lines.push(String::new());
            lines.extend(answers.cautions.iter().map(caution));
            lines.extend(answers.sources.iter().map(cited));
            lines
        },
    );
    Ok(())
}

fn list(turn: &Turn) -> Result<(), Fault> {
    let all = calculators();
    let values = all
        .iter()
        .map(|one| json!({ "calculator": slug(one), "name": label("calculator", one) }));
    let value = json!({ "calculators": values.collect::<Vec<_>>() });
    turn.answer(
        "calculate.list",
        &value,
        || all.iter().map(slug).collect(),
        || {
            let named = all.iter();
            named
                .map(|one| format!("{:<20}  {}", slug(one), t(label("calculator", one))))
                .collect()
        },
    );
    Ok(())
}

/// What a calculator asks.
fn show(form: &CalculatorForm, turn: &Turn) -> Result<(), Fault> {
    let fields: Vec<Value> = form
        .fields
        .iter()
        .map(|field| match &field.kind {
            FieldKind::Figure {
                least, most, start, ..
            } => json!({
                "field": name_of(field), "unit": unit(field), "least": least, "most": most,
                "usual": start, "choices": [],
            }),
            FieldKind::Choice { options, chosen } => json!({
                "field": name_of(field), "unit": "", "least": Value::Null, "most": Value::Null,
                "usual": at(options, *chosen).map(slug),
                "choices": options.iter().map(slug).collect::<Vec<_>>(),
            }),
        })
        .collect();
    let value = json!({ "calculator": slug(&form.calculator), "fields": fields });
    turn.answer(
        "calculate.form",
        &value,
        || form.fields.iter().map(name_of).collect(),
        || {
            let mut lines = vec![t(label("calculator", &form.calculator)).to_owned()];
            lines.extend(form.fields.iter().map(field_line));
            lines
        },
    );
    Ok(())
}

fn field_line(field: &CalculatorField) -> String {
    let about = match &field.kind {
        FieldKind::Figure {
            least, most, start, ..
        } => {
            let bounds = tr!(
                "{least} to {most} {unit}",
                least = least,
                most = most,
                unit = unit(field)
            );
            if field.key == FieldKey::WornLead {
                bounds
            } else if start.is_empty() {
                tr!("{bounds}, to be given", bounds = bounds.trim_end())
            } else {
                tr!(
                    "{bounds}, else {usual}",
                    bounds = bounds.trim_end(),
                    usual = start
                )
            }
        }
        FieldKind::Choice { options, chosen } => {
            let names: Vec<String> = options.iter().map(slug).collect();
            let usual = at(options, *chosen).map(slug).unwrap_or_default();
            tr!(
                "{bounds}, else {usual}",
                bounds = names.join(" | "),
                usual = usual
            )
        }
    };
    format!(
        "  {:<22}  {}: {about}",
        name_of(field),
        t(label("field", &field.key))
    )
}

/// Every field of the form: what was given for it, else what usually stands there.
fn filled(form: &CalculatorForm, given: &[String]) -> Result<Vec<FieldGiven>, Fault> {
    let mut texts: Vec<Option<&str>> = vec![None; form.fields.len()];
    let places: Vec<usize> = (0..form.fields.len()).collect();
    for one in given {
        let (name, value) = one.split_once('=').ok_or_else(|| {
            let fault = Fault::rule("bad_given").of("given");
            fault.value(one)
        })?;
        let place = *one_of(&places, name, "field", |place| {
            let field = form.fields.get(*place);
            let names = field.map(|field| [name_of(field), label("field", &field.key).to_owned()]);
            names.unwrap_or_default()
        })?;
        let text = texts.get_mut(place).filter(|text| text.is_none());
        *text.ok_or_else(|| Fault::rule("field_twice").of(name.trim()))? = Some(value.trim());
    }
    let fields = form.fields.iter().zip(texts);
    fields
        .map(|(field, text)| {
            let value = match &field.kind {
                FieldKind::Figure { start, .. } => FieldValue::Text {
                    text: text.unwrap_or(start).to_owned(),
                },
                FieldKind::Choice { options, chosen } => FieldValue::Choice {
                    option: match (text, at(options, *chosen)) {
                        (None, Some(usual)) => *usual,
                        (text, _) => {
                            *one_of(options, text.unwrap_or_default(), &field.word, |one| {
                                [slug(one), option_label(one)]
                            })?
                        }
                    },
                },
            };
            Ok(FieldGiven {
                key: field.key,
                value,
            })
        })
        .collect()
}

/// The one of these that is called so, or whose name alone begins so.
fn one_of<'a, T: Debug>(
    all: &'a [T],
    asked: &str,
    field: &str,
    names: impl Fn(&T) -> [String; 2],
) -> Result<&'a T, Fault> {
    let asked = plain(asked);
    let called = |like: &dyn Fn(&str) -> bool| -> Vec<&'a T> {
        let found = all.iter().filter(|one| {
            let [word, english] = names(one);
            let all = [plain(&word), plain(t(&english)), plain(&english)];
            all.iter().any(|name| like(name))
        });
        found.collect()
    };
    let mut found = called(&|name| name == asked);
    if found.is_empty() && !asked.is_empty() {
        found = called(&|name| name.starts_with(&asked));
    }
    match found.as_slice() {
        [one] => Ok(*one),
        [] => {
            let known = all.iter().map(|one| {
                let [word, _] = names(one);
                word
            });
            let known: Vec<String> = known.collect();
            Err(Fault::rule("not_a_choice")
                .of(field)
                .value(format!("{asked}: {}", known.join(", "))))
        }
        several => {
            let known = several.iter().map(|one| {
                let [word, _] = names(one);
                word
            });
            let known: Vec<String> = known.collect();
            Err(Fault::rule("not_unique").of(field).value(known.join(", ")))
        }
    }
}

fn plain(name: &str) -> String {
    name.trim().to_lowercase().replace([' ', '_'], "-")
}

/// A key as the command line writes it: `SteelTen12L` is `steel-ten-12-l`.
fn slug(key: &impl Debug) -> String {
    let name = format!("{key:?}");
    let mut slug = String::new();
    let mut before = None;
    for sign in name.chars() {
        let parts = sign.is_uppercase()
            || (sign.is_ascii_digit() && before.is_some_and(|last: char| !last.is_ascii_digit()));
        if parts && before.is_some() {
            slug.push('-');
        }
        slug.extend(sign.to_lowercase());
        before = Some(sign);
    }
    slug
}

/// The English words of a key, as the screens have them; a test asks for every one.
fn label(kind: &str, key: &impl Debug) -> &'static str {
    static LABELS: OnceLock<HashMap<&'static str, &'static str>> = OnceLock::new();
    let labels = LABELS.get_or_init(|| {
        let lines = WORDS.lines().filter_map(|line| {
            let rest = line.trim().strip_prefix("out property <string> ")?;
            let (name, rest) = rest.split_once(": @tr(\"")?;
            Some((name, rest.strip_suffix("\");")?))
        });
        lines.collect()
    });
    let name = format!("{kind}-{}", slug(key));
    labels.get(name.as_str()).copied().unwrap_or_default()
}

/// A choice in English. The groups of a table have one sentence for all of them.
fn option_label(option: &impl Debug) -> String {
    let slug = slug(option);
    match slug.strip_prefix("group-") {
        Some(letter) if letter.len() == 1 => format!("Group {}", letter.to_uppercase()),
        _ => label("option", option).to_owned(),
    }
}

/// The same in the language that is spoken.
fn option_spoken(option: &impl Debug) -> String {
    let slug = slug(option);
    match slug.strip_prefix("group-") {
        Some(letter) if letter.len() == 1 => t("Group {0}").replace("{0}", &letter.to_uppercase()),
        _ => t(label("option", option)).to_owned(),
    }
}

fn at<T>(all: &[T], place: u32) -> Option<&T> {
    usize::try_from(place).ok().and_then(|place| all.get(place))
}

fn name_of(field: &CalculatorField) -> String {
    plain(&field.word)
}

fn unit(field: &CalculatorField) -> String {
    match &field.kind {
        FieldKind::Figure { unit, .. } => symbol(unit),
        FieldKind::Choice { .. } => String::new(),
    }
}

fn symbol(unit: &UnitOfMeasure) -> String {
    unit_symbol(*unit).unwrap_or_default()
}

fn said(given: &FieldGiven) -> String {
    match &given.value {
        FieldValue::Text { text } => text.clone(),
        FieldValue::Choice { option } => slug(option),
    }
}

fn spoken(given: &FieldGiven) -> String {
    match &given.value {
        FieldValue::Text { text } => text.clone(),
        FieldValue::Choice { option } => option_spoken(option),
    }
}

fn line(name: &str, figure: &str, unit: &str) -> String {
    format!("  {name}: {figure} {unit}").trim_end().to_owned()
}

fn answer(one: &CalculatorAnswer) -> Value {
    json!({
        "answer": slug(&one.key), "value": one.text, "unit": symbol(&one.unit),
        "main": one.main, "note": one.note.as_ref().map(slug),
    })
}

/// What was asked for stands at the edge, how it came about behind it.
fn answer_line(one: &CalculatorAnswer) -> String {
    let name = t(label("answer", &one.key));
    let mut text = line(name, &one.text, &symbol(&one.unit));
    if let Some(note) = &one.note {
        let note = t(label("note", note));
        text = if one.text.is_empty() {
            format!("  {name}: {note}")
        } else {
            format!("{text} ({note})")
        };
    }
    if one.main {
        text = text.trim_start().to_owned();
    }
    text
}

fn caution(one: &Caution) -> String {
    t(label("caution", one)).to_owned()
}

fn cited(one: &SourceView) -> String {
    let source = match Language::spoken() {
        Language::En => &one.citation,
        Language::De => &one.german,
    };
    tr!("Source: {source}", source = source)
}

#[cfg(test)]
mod tests {
    use tallywater_bindings::Calculator;

    use super::*;

    /// Every word that any calculator can show with what usually stands there.
    #[test]
    fn every_calculator_field_and_choice_has_its_words_and_can_be_named() {
        for units in [Units::Metric, Units::Imperial] {
            for calculator in calculators() {
                assert_ne!(label("calculator", &calculator), "", "{calculator:?}");
                let form = calculator_form(calculator, units).unwrap();
                for field in &form.fields {
                    assert_ne!(label("field", &field.key), "", "{:?}", field.key);
                    let FieldKind::Choice { options, .. } = &field.kind else {
                        continue;
                    };
                    for option in options {
                        assert_ne!(option_label(option), "", "{option:?}");
                        let found = one_of(options, &slug(option), "", |one| {
                            [slug(one), option_label(one)]
                        });
                        assert_eq!(found.unwrap(), option);
                    }
                }
                let usual = form.fields.iter().map(|field| match &field.kind {
                    FieldKind::Figure { least, start, .. } => {
                        let text = if start.is_empty() { least } else { start };
                        format!("{}={text}", name_of(field))
                    }
                    FieldKind::Choice { .. } => String::new(),
                });
                let usual: Vec<String> = usual.filter(|one| !one.is_empty()).collect();
                let given = filled(&form, &usual).unwrap();
                let Ok(answers) = calculate(calculator, units, given) else {
                    continue;
                };
                for one in &answers.answers {
                    assert_ne!(label("answer", &one.key), "", "{:?}", one.key);
                    if let Some(note) = &one.note {
                        assert_ne!(label("note", note), "", "{note:?}");
                    }
                }
                for one in &answers.cautions {
                    assert_ne!(label("caution", one), "", "{one:?}");
                }
                for one in &answers.to_confirm {
                    assert_ne!(label("check", one), "", "{one:?}");
                }
            }
        }
    }

    #[test]
    fn a_key_is_written_with_its_parts_divided() {
        assert_eq!(slug(&Calculator::NoStopLimit), "no-stop-limit");
        assert_eq!(
            slug(&tallywater_bindings::OptionKey::Steel10L232),
            "steel-10-l-232"
        );
    }
}
