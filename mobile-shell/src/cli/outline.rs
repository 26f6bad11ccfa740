//! `tallywater outline`: what the school teaches.

use std::path::PathBuf;

use clap::Subcommand;
use serde_json::json;
use tallywater_bindings::{Fault, OutlineView, Request, outline_text, read_outline};

use super::catalogue::tr;
use super::out::Out;
use super::rules::Whose;
use super::turn::Turn;
use super::words::Setting;

/// What is asked of outlines.
#[derive(Debug, Subcommand)]
pub(super) enum Outline {
    /// Show the skills and the usual sessions of an outline.
    Show {
        #[command(flatten)]
        whose: Whose,
        /// The usual sessions instead of the skills.
        #[arg(long)]
        blocks: bool,
    },
    /// Write an outline to a file, to be changed, kept or sent to another school.
    Write {
        #[command(flatten)]
        whose: Whose,
        #[command(flatten)]
        out: Out,
    },
    /// Adopt an outline from a file.
    Set {
        #[command(flatten)]
        whose: Whose,
        /// The file, as `write` writes it; `-` for the standard input.
        file: PathBuf,
        /// What was changed and why.
        #[arg(long)]
        why: Option<String>,
        /// Say what is wrong with it, ask every rule, and adopt nothing.
        #[arg(long)]
        preview: bool,
    },
}

/// Does what was asked of outlines.
pub(super) fn run(outline: &Outline, turn: &Turn) -> Result<(), Fault> {
    match outline {
        Outline::Show { whose, blocks } => {
            let desk = turn.read(&whose.folder)?;
            let seen = desk.outline(whose.scope(&desk)?)?;
            show(&seen, *blocks, turn);
            Ok(())
        }
        Outline::Write { whose, out } => {
            let desk = turn.read(&whose.folder)?;
            let seen = desk.outline(whose.scope(&desk)?)?.outline;
            out.file(turn, "json", outline_text(seen)?.into_bytes())
        }
        Outline::Set {
            whose,
            file,
            why,
            preview,
        } => {
            let outline = read_outline(turn.text(file)?)?;
            let desk = turn.write(&whose.folder)?;
            let scope = whose.scope(&desk)?;
            for fault in desk.check_outline(outline.clone())?.faults {
                turn.warn(super::outline_fault::said(&fault));
            }
            let set = Request::SetOutline {
                scope,
                outline,
                why: why.clone(),
            };
            if *preview {
                return turn.could(&desk, vec![set]);
            }
            let receipt = desk.record(set)?;
            turn.recorded(&receipt, tr!("The outline is adopted."));
            Ok(())
        }
    }
}

fn show(seen: &OutlineView, blocks: bool, turn: &Turn) {
    let skills = seen.skills.iter().map(|row| {
        let settings = row.card.settings.iter().map(|it| Setting::from(it).word());
        json!({
            "skill": row.card.skill, "name": row.card.name, "says": row.card.says,
            "required": row.card.required, "settings": settings.collect::<Vec<_>>(),
            "times": row.demand.times, "sessions": row.demand.sessions,
        })
    });
    let usual = seen.blocks.iter().map(|row| {
        json!({
            "block": row.block.id, "title": row.block.title,
            "setting": Setting::from(&row.block.setting).word(), "minutes": row.block.minutes,
            "skills": row.block.run_list,
        })
    });
    let value = json!({
        "title": seen.outline.title, "edition": seen.outline.edition,
        "skills": skills.collect::<Vec<_>>(), "blocks": usual.collect::<Vec<_>>(),
    });
    let ids = || -> Vec<String> {
        if blocks {
            seen.blocks.iter().map(|row| row.block.id.clone()).collect()
        } else {
            seen.skills
                .iter()
                .map(|row| row.card.skill.to_string())
                .collect()
        }
    };
    turn.answer("outline.show", &value, ids, || {
        if blocks {
            let line = |row: &tallywater_bindings::OutlineBlock| {
                let setting = Setting::from(&row.block.setting).said();
                let (id, title) = (&row.block.id, &row.block.title);
                format!(
                    "{id:<12}  {setting:<16}  {:>3} min  {title}",
                    row.block.minutes
                )
            };
            seen.blocks.iter().map(line).collect()
        } else {
            let line = |row: &tallywater_bindings::OutlineSkill| {
                format!("{:<18}  {}", row.card.skill, row.card.name)
            };
            seen.skills.iter().map(line).collect()
        }
    });
}
