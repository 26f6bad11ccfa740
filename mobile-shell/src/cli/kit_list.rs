//! `tallywater import kit`: the school's kit from a spreadsheet, looked at whole before anything
//! of it is taken.

use clap::Args;
use serde_json::json;
use tallywater_bindings::{
    Fault, KitField as Field, KitListPreview, KitListRow, KitRowFault, KitRowReason, KitThere,
    Request,
};

use super::catalogue::{t, tr};
use super::kit_shown;
use super::of::Device;
use super::table_file::{self, TableFile};
use super::turn::Turn;
use super::words::{KitField, KitKind};

/// A list of kit.
#[derive(Debug, Args)]
pub(super) struct KitList {
    #[command(flatten)]
    device: Device,
    #[command(flatten)]
    table: TableFile,
    /// Describe a piece that is in use already anew where the row differs; left out otherwise.
    #[arg(long)]
    renew: bool,
}

/// Reads what was asked for. `false` where the file was looked at and cannot be taken.
pub(super) fn run(asked: &KitList, turn: &Turn) -> Result<bool, Fault> {
    let bytes = turn.file(&asked.table.file)?;
    let desk = turn.write(&asked.device.folder)?;
    let hints = asked.table.hints();
    let seen = desk.look_at_kit_list(bytes.clone(), hints.clone())?;
    if asked.table.preview {
        show(&seen, turn);
    }
    if !seen.faults.is_empty() {
        for fault in &seen.faults {
            turn.warn(row_fault(fault));
        }
        turn.warn(tr!("Nothing of the kit list was taken."));
        return Ok(false);
    }
    if asked.table.preview {
        // The same rules as the act.
        let taken = seen.rows.into_iter().filter(|row| takes(asked, row));
        let requests = taken.map(|row| Request::SetKit {
            piece: row.there,
            details: row.details,
        });
        desk.would_record(requests.collect())?;
        turn.say(tr!("Nothing was taken: this was a preview."));
        return Ok(true);
    }
    let there = if asked.renew {
        KitThere::Renew
    } else {
        KitThere::LeaveOut
    };
    let taken = desk.take_kit_list(bytes, hints, there)?;
    let value = json!({
        "added": taken.added, "renewed": taken.renewed, "left_out_lines": taken.left_out,
    });
    turn.answer("import.kit", &value, Vec::new, || {
        let mut lines = vec![tr!(
            "{added} added, {renewed} described anew, {out} left out",
            added = taken.added,
            renewed = taken.renewed,
            out = taken.left_out.len()
        )];
        for line in &taken.left_out {
            lines.push(tr!(
                "  line {line} is a piece that is in use already",
                line = line
            ));
        }
        lines
    });
    Ok(true)
}

/// Whether a row would be taken.
const fn takes(asked: &KitList, row: &KitListRow) -> bool {
    row.there.is_none() || (asked.renew && !row.same)
}

fn show(seen: &KitListPreview, turn: &Turn) {
    let said = |field: &Field| KitField::from(field).said();
    let columns = seen.columns.iter();
    let columns = columns.map(|one| (one.head.as_str(), one.field.as_ref().map(said)));
    table_file::show((&seen.encoding, &seen.delimiter), columns, turn);
    for row in &seen.rows {
        let there = match (&row.there, row.same) {
            (None, _) => String::new(),
            (Some(_), true) => format!("  ({})", t("in use already, and described just so")),
            (Some(_), false) => format!("  ({})", t("in use already, and described otherwise")),
        };
        let line = tr!("line {line}", line = format!("{:>4}", row.line));
        let details = &row.details;
        let called = kit_shown::called(KitKind::from(&details.kind), &details.number);
        turn.say(format!(
            "  {line}  {called:<24} {:<10}{there}",
            details.size
        ));
    }
}

/// What is wrong with a row, with its line.
fn row_fault(fault: &KitRowFault) -> String {
    let said = |field: &Field| KitField::from(field).said();
    let field = fault.field.as_ref().map_or("", said);
    let reason = match &fault.reason {
        KitRowReason::NoKind => tr!("the kind of kit is missing"),
        KitRowReason::UnknownKind => tr!(
            "this kind of kit is not known: suit, boots, fins, mask, bcd, regulator, cylinder, weights, computer and other are"
        ),
        KitRowReason::NoNumber => tr!("the number is missing"),
        KitRowReason::TooLong { field, found, most } => {
            table_file::too_long(said(field), *found, *most)
        }
        KitRowReason::Fields { found, expected } => table_file::other_fields(*found, *expected),
        KitRowReason::NoDate => tr!(
            "{field}: this day cannot be read: write it as year-month-day",
            field = field
        ),
        KitRowReason::TwoDates => tr!(
            "{field}: this could be two days: write it as year-month-day",
            field = field
        ),
        KitRowReason::OtherCentury => tr!("{field}: this day cannot be", field = field),
        KitRowReason::TwiceInFile { first } => {
            tr!("it has the kind and number of line {line}", line = first)
        }
        KitRowReason::Undecodable => table_file::undecodable(),
        KitRowReason::Quotes => table_file::quotes(),
    };
    tr!("line {line}: {why}", line = fault.line, why = reason)
}
