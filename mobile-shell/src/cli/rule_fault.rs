//! What is wrong with rules that were written by hand, rule by rule, before they are refused.

use tallywater_bindings::{Fault, FigureKind, PolicyFault, Tallywater};

use super::catalogue::t;

/// One fault in words, with the rule in front and the bounds of a figure behind.
pub(super) fn said(desk: &Tallywater, fault: &PolicyFault) -> Result<String, Fault> {
    Ok(match fault {
        PolicyFault::NoSource { id } => line(&id.to_string(), t("It needs a source"), &[]),
        PolicyFault::LongSource { id, most } => line(
            &id.to_string(),
            t("a text is too long"),
            &[(t("at most"), most.to_string())],
        ),
        PolicyFault::Figure {
            id,
            least,
            most,
            of_depth,
        } => {
            let figure = |base: u32| -> Result<String, Fault> {
                if *of_depth {
                    let shown = desk.show_figure(FigureKind::Depth, i64::from(base))?;
                    Ok(super::figure_said(&shown))
                } else {
                    Ok(base.to_string())
                }
            };
            let bounds = [
                (t("at least"), figure(*least)?),
                (t("at most"), figure(*most)?),
            ];
            line(&id.to_string(), t("A figure is out of bounds"), &bounds)
        }
        PolicyFault::CapBelowOne {
            id,
            per_instructor,
            cap,
        } => {
            let figures = [
                (t("given"), cap.to_string()),
                (t("at least"), per_instructor.to_string()),
            ];
            line(
                &id.to_string(),
                t("The cap is below what one instructor may have"),
                &figures,
            )
        }
        PolicyFault::Clash { first, second } => {
            let ids = format!("{first}, {second}");
            line(&ids, t("Another rule says something else"), &[])
        }
        PolicyFault::Twice { id } => line(&id.to_string(), t("the same thing is there twice"), &[]),
        PolicyFault::TooMany { most } => line(
            t("Rules"),
            t("this figure is out of bounds"),
            &[(t("at most"), most.to_string())],
        ),
        PolicyFault::Edition => line(
            t("Edition of the rules"),
            t("this figure is out of bounds"),
            &[(t("at least"), "1".to_owned())],
        ),
        PolicyFault::Title { most } => {
            let bounds = [
                (t("at least"), "1".to_owned()),
                (t("at most"), most.to_string()),
            ];
            line(t("Title"), t("its length is out of bounds"), &bounds)
        }
    })
}

/// What is wrong, with what it is about in front and figures behind.
pub(super) fn line(of: &str, says: &str, figures: &[(&str, String)]) -> String {
    let mut text = format!("{of}: {says}");
    for (name, figure) in figures {
        text += &format!(", {name} {figure}");
    }
    text
}
