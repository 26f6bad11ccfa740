//! Figures: every calculation with its sources, its checks and how far to trust it.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{CheckedBy, FigureOrigin, FigureSources, FigureStanding, figure_sources};

use crate::shell::{Shell, rows, setup};
use crate::ui::{AppDoor, FigureRow, FiguresDoor, Screen, SourceRow};
use crate::words;

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Figures), "");
    let german = setup::in_german(shell);
    let all = figure_sources();
    let row = |(place, one): (usize, &FigureSources)| figure(place, one, german);
    let door = ui.global::<FiguresDoor>();
    door.set_figures(rows(all.iter().enumerate().map(row)));
}

fn figure(place: usize, one: &FigureSources, german: bool) -> FigureRow {
    let text = |english: &String, in_german: &String| {
        if german { in_german } else { english }.clone().into()
    };
    let sources = one.sources.iter().map(|source| SourceRow {
        text: text(&source.citation, &source.german),
        check: false,
        kind: match source.origin {
            FigureOrigin::Published | FigureOrigin::OwnRecord | FigureOrigin::Typed => 0,
            FigureOrigin::CommonPractice => 1,
            FigureOrigin::FromMemory => 2,
            FigureOrigin::OwnEstimate => 3,
        },
    });
    let checks = one.checks.iter().map(|check| SourceRow {
        text: text(&check.against, &check.german),
        check: true,
        kind: match check.by {
            CheckedBy::PublishedValue => 0,
            CheckedBy::ReferenceLibrary => 1,
            CheckedBy::SecondFormula => 2,
            CheckedBy::Remembered => 3,
        },
    });
    FigureRow {
        calculation: words::count(place),
        standing: match one.standing {
            FigureStanding::Published => 0,
            FigureStanding::Practice => 1,
            FigureStanding::FromMemory => 2,
            FigureStanding::Estimate => 3,
        },
        table_due: one.table_to_be_read,
        lines: rows(sources.chain(checks)),
    }
}
