//! What is done with pieces of kit: one is found by its number or its id; they are listed,
//! described, mended.

use serde_json::json;
use tallywater_bindings::{Fault, KitPiece, KitRow, Request, Tallywater};

use super::catalogue::tr;
use super::kit::Kit;
use super::of::Device;
use super::turn::Turn;
use super::words::{KitKind, KitStands};
use super::{find, kit_shown, when};

/// By what a piece is found: its number, and its kind and number in words that do not change and
/// in the language that is spoken.
pub(super) fn names(kind: KitKind, number: &str) -> Vec<String> {
    let word = kind.word();
    vec![
        number.to_owned(),
        format!("{word} {number}"),
        format!("{word}-{number}"),
        kit_shown::called(kind, number),
    ]
}

/// A piece that was named: of those in use, or else of those that were retired.
pub(super) fn piece_of(desk: &Tallywater, asked: &str) -> Result<KitRow, Fault> {
    let named = |row: KitRow| {
        let names = names(KitKind::from(&row.details.kind), &row.details.number);
        (row, names)
    };
    let (used, retired): (Vec<_>, Vec<_>) = (desk.kit()?.rows.into_iter())
        .map(named)
        .partition(|(row, _)| row.retired.is_none());
    let found = |rows: Vec<(KitRow, Vec<String>)>| {
        let one = find::one("piece", asked, rows, |(row, names)| {
            (&row.piece, names.iter().collect())
        });
        one.map(|(row, _)| row)
    };
    match found(used) {
        Err(Fault::NotFound { .. }) => found(retired),
        one => one,
    }
}

/// A time that was given, or none for now.
pub(super) fn at(desk: &Tallywater, given: Option<&String>) -> Result<Option<String>, Fault> {
    given.map(|typed| when::time(desk, typed)).transpose()
}

/// Records what was asked for, or says that it could be.
pub(super) fn recorded(
    desk: &Tallywater,
    requests: Vec<Request>,
    preview: bool,
    turn: &Turn,
    sentence: String,
) -> Result<(), Fault> {
    if preview {
        return turn.could(desk, requests);
    }
    let receipt = desk.record_all(requests)?;
    turn.recorded(&receipt, sentence);
    Ok(())
}

pub(super) fn list(
    device: &Device,
    kind: Option<KitKind>,
    state: Option<KitStands>,
    turn: &Turn,
) -> Result<(), Fault> {
    let seen = turn.read(&device.folder)?.kit()?;
    let mut rows: Vec<&KitRow> = seen.rows.iter().collect();
    rows.retain(|row| {
        kind.is_none_or(|kind| KitKind::from(&row.details.kind) == kind)
            && state.is_none_or(|state| KitStands::from(&row.state) == state)
    });
    let pieces = rows.iter().map(|row| kit_shown::piece_json(row));
    let value = json!({
        "pieces": pieces.collect::<Vec<_>>(), "out": seen.out, "overdue": seen.overdue,
        "faulty": seen.faulty, "not_here": seen.elsewhere,
    });
    let ids = || rows.iter().map(|row| row.piece.to_string()).collect();
    turn.answer("kit.list", &value, ids, || {
        let mut lines: Vec<String> = rows.iter().map(|row| kit_shown::piece_line(row)).collect();
        lines.push(tr!(
            "issued: {out}; past its date: {overdue}; faulty: {faulty}",
            out = seen.out,
            overdue = seen.overdue,
            faulty = seen.faulty
        ));
        lines.extend(kit_shown::elsewhere_said(seen.elsewhere));
        lines
    });
    Ok(())
}

pub(super) fn add(kit: &Kit, turn: &Turn) -> Result<(), Fault> {
    let Kit::Add {
        device,
        kind,
        number,
        about,
        skip_existing,
        preview,
    } = kit
    else {
        return Ok(());
    };
    let desk = turn.write(&device.folder)?;
    if *skip_existing {
        let folded = find::fold(number);
        let there = desk.kit()?.rows.into_iter().find(|row| {
            row.retired.is_none()
                && KitKind::from(&row.details.kind) == *kind
                && find::fold(&row.details.number) == folded
        });
        if let Some(there) = there {
            let value = json!({ "piece": there.piece });
            let sentence = tr!("A piece of this kind and number is in use already.");
            let ids = || vec![there.piece.to_string()];
            turn.answer("kit.there", &value, ids, || vec![sentence]);
            return Ok(());
        }
    }
    let empty = KitPiece {
        kind: (*kind).into(),
        number: number.clone(),
        size: String::new(),
        serial: String::new(),
        serviced: None,
        service_due: None,
        test_due: None,
        note: String::new(),
    };
    let details = about.over(&desk, empty)?;
    let set = Request::SetKit {
        piece: None,
        details,
    };
    if *preview {
        return recorded(&desk, vec![set], true, turn, String::new());
    }
    let receipt = desk.record(set)?;
    let id = receipt.made.clone().unwrap_or_default();
    turn.recorded(&receipt, tr!("The piece is described: {id}", id = id));
    Ok(())
}

/// Says how faults were mended: the one that is open, the one that was named, or all of them.
pub(super) fn mended(kit: &Kit, turn: &Turn) -> Result<(), Fault> {
    let Kit::Mended {
        device,
        piece,
        how,
        fault,
        all,
        when,
    } = kit
    else {
        return Ok(());
    };
    let desk = turn.write(&device.folder)?;
    let row = piece_of(&desk, &piece.named)?;
    let mut open = row.faults;
    open.retain(|fault| fault.mended.is_none());
    if let Some(asked) = fault {
        open = vec![find::one("fault", asked, open, |row| {
            (&row.entry, Vec::new())
        })?];
    } else if open.len() > 1 && !all {
        let ids: Vec<String> = open.iter().map(|row| row.entry.to_string()).collect();
        let ids = ids.join(" ");
        return Err(find::refused("not_unique", "fault", Some(&ids)).value(open.len()));
    }
    if open.is_empty() {
        return Err(Fault::rule("nothing_open"));
    }
    let when = at(&desk, when.as_ref())?;
    let requests = open.into_iter().map(|row| Request::MendKit {
        fault: row.entry.to_string(),
        how: how.clone(),
        when: when.clone(),
    });
    let requests = requests.collect();
    recorded(&desk, requests, false, turn, tr!("Mended."))
}
