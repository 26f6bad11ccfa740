//! `tallywater figures`: every calculation with its sources, its checks and how far to trust it.

use serde_json::{Value, json};
use tallywater_bindings::{CheckView, FigureSources, SourceView, figure_sources};

use super::catalogue::{Language, tr};
use super::turn::Turn;
use super::words::{Calculation, CheckedBy, Origin, Standing};

/// Lists them.
pub(super) fn show(turn: &Turn) {
    let all = figure_sources();
    let due = all.iter().any(|one| one.table_to_be_read);
    let values: Vec<Value> = all.iter().map(figure).collect();
    let value = json!({ "table_check_due": due, "figures": values });
    let word = |one: &FigureSources| Calculation::from(&one.calculation).word();
    turn.answer(
        "figures",
        &value,
        || all.iter().map(word).collect(),
        || {
            let mut lines = Vec::new();
            if due {
                lines.push(tr!(
                    "A person’s check of the typed-in dive tables against the printed manual is still due."
                ));
            }
            lines.push(tr!(
                "Every figure of this program, what it rests on and how it was checked. None of them is permission to dive."
            ));
            for one in &all {
                lines.push(String::new());
                lines.push(Calculation::from(&one.calculation).said().to_owned());
                lines.push(format!("  {}", Standing::from(&one.standing).said()));
                if one.table_to_be_read {
                    let due = tr!("Its table was typed in: hold it beside the printed one.");
                    lines.push(format!("  {due}"));
                }
                lines.extend(one.sources.iter().map(source_line));
                lines.extend(one.checks.iter().map(check_line));
            }
            lines
        },
    );
}

fn figure(one: &FigureSources) -> Value {
    let sources = one
        .sources
        .iter()
        .map(|it| json!({ "source": it.citation, "origin": Origin::from(&it.origin).word() }));
    let checks = one
        .checks
        .iter()
        .map(|it| json!({ "against": it.against, "by": CheckedBy::from(&it.by).word() }));
    json!({
        "calculation": Calculation::from(&one.calculation).word(),
        "standing": Standing::from(&one.standing).word(),
        "table_to_be_read": one.table_to_be_read,
        "sources": sources.collect::<Vec<_>>(), "checks": checks.collect::<Vec<_>>(),
    })
}

/// The one of these that is in the language that is spoken.
fn spoken<'a>(english: &'a str, german: &'a str) -> &'a str {
    match Language::spoken() {
        Language::En => english,
        Language::De => german,
    }
}

fn source_line(one: &SourceView) -> String {
    let text = spoken(&one.citation, &one.german);
    format!("    {text} ({})", Origin::from(&one.origin).said())
}

fn check_line(one: &CheckView) -> String {
    let text = spoken(&one.against, &one.german);
    format!("    {text} ({})", CheckedBy::from(&one.by).said())
}
