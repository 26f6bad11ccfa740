//! What the issue screen draws of a person, a line and a piece.

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    KitLine, KitLineState, KitOutRow, KitPersonRow, KitRow, KitState, Leave, WhoName,
};

use crate::ui::{App, IssueLine, IssueLineIs, IssuePerson, KitWords, PieceLine, Words};
use crate::words;

/// Somebody, with what they have and what they lack beside one another.
pub(super) fn person(ui: &App, row: &KitPersonRow) -> IssuePerson {
    let says = ui.global::<KitWords>();
    let mut said: Vec<SharedString> = Vec::new();
    for line in &row.lines {
        said.extend(line.issued.iter().map(|one| {
            let named = words::kit_name(ui, &one.piece);
            if one.wrong.is_empty() {
                named
            } else {
                says.invoke_asks(named, words::kit_wrongs(ui, &one.wrong))
            }
        }));
        if line.state == KitLineState::Missing {
            said.push(says.invoke_missing_of(wanted(ui, line)));
        }
    }
    if let Some(weight) = &row.weight {
        said.push(says.invoke_weight(words::figure(&weight.lead)));
    }
    let (id, name) = match &row.who {
        WhoName::Student(name) => (name.student.to_string(), &name.name),
        WhoName::Staff(name) => (name.staff.to_string(), &name.name),
    };
    IssuePerson {
        id: id.into(),
        name: name.into(),
        says: said.join(" · ").into(),
        missing: words::count(row.missing),
        wrong: words::count(row.wrong),
    }
}

/// A kind with the size that is asked for.
fn wanted(ui: &App, line: &KitLine) -> SharedString {
    ui.global::<KitWords>()
        .invoke_wanted(words::kit_kind(&line.kind), line.wanted.clone().into())
}

/// What somebody has, lacks, or brings; what the school has none of is left out.
pub(super) fn lines(ui: &App, row: &KitPersonRow, may: bool) -> Vec<IssueLine> {
    let mut all = Vec::new();
    for line in &row.lines {
        all.extend(line.issued.iter().map(|one| has(ui, one)));
        match line.state {
            KitLineState::Missing => all.push(lacks(ui, line, may)),
            KitLineState::Own => all.push(IssueLine {
                what: IssueLineIs::Own,
                title: wanted(ui, line),
                says: ui.global::<KitWords>().invoke_their_own(),
                ..IssueLine::default()
            }),
            KitLineState::Issued | KitLineState::NotAsked => {}
        }
    }
    all
}

fn has(ui: &App, one: &KitOutRow) -> IssueLine {
    let says = ui.global::<KitWords>();
    let when = ui
        .global::<Words>()
        .invoke_moment_within(words::moment(&one.since));
    let mut wrong: Vec<SharedString> = Vec::new();
    wrong.extend(one.wrong.iter().map(|it| words::kit_wrong_said(ui, it)));
    wrong.extend(
        one.despite
            .iter()
            .map(|why| says.invoke_despite(why.into())),
    );
    if one.also > 0 {
        wrong.push(says.invoke_apart());
    }
    IssueLine {
        what: IssueLineIs::Has,
        title: words::kit_name(ui, &one.piece),
        says: says.invoke_since(when, one.by.name.clone().into()),
        wrong: wrong.join(" · ").into(),
        entry: one.entry.to_string().into(),
        may: one.may_return == Leave::Yes,
        ..IssueLine::default()
    }
}

fn lacks(ui: &App, line: &KitLine, may: bool) -> IssueLine {
    let says = ui.global::<KitWords>();
    let proposed = line.proposed.as_ref();
    IssueLine {
        what: IssueLineIs::Missing,
        kind: slint::format!("{}", words::kit_kind(&line.kind)),
        size: line.wanted.clone().into(),
        title: wanted(ui, line),
        says: proposed.map_or_else(
            || says.invoke_not_there(),
            |name| says.invoke_proposed(words::kit_name(ui, name)),
        ),
        piece: proposed
            .map(|name| name.piece.to_string())
            .unwrap_or_default()
            .into(),
        number: proposed
            .map(|name| name.number.clone())
            .unwrap_or_default()
            .into(),
        may,
        ..IssueLine::default()
    }
}

/// A piece to choose.
pub(super) fn choice(ui: &App, row: &KitRow) -> PieceLine {
    PieceLine {
        id: row.piece.to_string().into(),
        title: words::kit_row_name(ui, row),
        says: words::kit_says(ui, row),
        stands: words::kit_stands(&row.state),
        loud: row.state != KitState::Out && !row.wrong.is_empty(),
    }
}
