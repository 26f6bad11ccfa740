//! A group's dive: what the session knows of it already, and what each one of them breathed.

use std::rc::Rc;

use tallywater_bindings::{DiveSheet, Fault, FigureKind, GasUsed, WaterKind, WhoName};

use super::form::{Asks, DIVE, Kept, TABLE, may};
use crate::shell::Shell;

/// What the session and its headcount say already. Depths and pressures stay empty: those are
/// read off a gauge.
pub(super) fn prefill(shell: &Rc<Shell>) {
    let route = shell.route();
    let seen = shell
        .desk()
        .dive_sheet(route.in_course(), route.session.clone());
    let sheet = match seen {
        Ok(sheet) => sheet,
        Err(fault) => return shell.fault(&fault),
    };
    let kept = shell.kept::<Kept>();
    let set = |asked: Asks, text: String| {
        let place = DIVE.iter().position(|one| *one == asked);
        let mut texts = kept.texts.borrow_mut();
        if let Some((kept, _)) = place.and_then(|place| texts.get_mut(place)) {
            *kept = text;
        }
    };
    let DiveSheet {
        session: _,
        day,
        down,
        up,
        water,
        temperature,
        people,
    } = sheet;
    set(
        Asks::Date,
        format!("{:02} {:02} {}", day.day, day.month, day.year),
    );
    let clock = |at: tallywater_bindings::Moment| format!("{:02}:{:02}", at.hour, at.minute);
    if let Some(at) = down {
        set(Asks::Down, clock(at));
    }
    if let Some(at) = up {
        set(Asks::Up, clock(at));
    }
    if let Some(temperature) = temperature {
        set(Asks::Temperature, temperature.text);
    }
    set(Asks::Oxygen, "21".to_owned());
    kept.water.set(match water {
        None | Some(WaterKind::Fresh) => 0,
        Some(WaterKind::Brackish) => 1,
        Some(WaterKind::Salt) => 2,
    });
    if route.student.is_none() {
        let went = people.iter().filter(|row| row.went_in && !row.logged);
        kept.chosen
            .replace(went.map(|row| id_of(&row.who)).collect());
    }
    let rows = people.into_iter().map(|row| (row, Default::default()));
    kept.sheet.replace(rows.collect());
}

pub(super) fn id_of(who: &WhoName) -> String {
    match who {
        WhoName::Student(name) => name.student.to_string(),
        WhoName::Staff(name) => name.staff.to_string(),
    }
}

/// What one of the group breathed: the row's own pressures before those of the whole group, and
/// the cylinder of the form before the one that was last logged. Half a reading is refused: a
/// start without an end says nothing, and dropping it would lose it.
pub(super) fn gas(shell: &Shell, id: &str) -> Result<Option<GasUsed>, (usize, Fault)> {
    let kept = shell.kept::<Kept>();
    let sheet = kept.sheet.borrow();
    let found = sheet.iter().position(|(row, _)| id_of(&row.who) == id);
    let row = found.and_then(|n| Some((n, sheet.get(n)?)));
    let of_row = |field: usize| -> Result<Option<u32>, (usize, Fault)> {
        let Some((n, (_, both))) = row else {
            return Ok(None);
        };
        let Some(text) = both.get(field).filter(|text| !text.is_empty()) else {
            return Ok(None);
        };
        let place = TABLE + 2 * n + field;
        let read = shell.desk().read_figure(FigureKind::Pressure, text.clone());
        let mbar = read.map_err(|fault| (place, fault))?;
        let bad = |_| (place, Fault::rule("not_a_number"));
        u32::try_from(mbar).map(Some).map_err(bad)
    };
    let start = match of_row(0)? {
        Some(start) => Some(start),
        None => may(shell, 1, Asks::Start)?,
    };
    let end = match of_row(1)? {
        Some(end) => Some(end),
        None => may(shell, 1, Asks::End)?,
    };
    let capacity = match may(shell, 1, Asks::Capacity)? {
        Some(capacity) => Some(capacity),
        None => match row.and_then(|(_, (row, _))| row.capacity.as_ref()) {
            None => None,
            Some(known) => {
                let read = shell
                    .desk()
                    .read_figure(FigureKind::Cylinder, known.text.clone());
                read.ok().and_then(|litres| u16::try_from(litres).ok())
            }
        },
    };
    let missing = |asked: Asks| {
        let place = DIVE.iter().position(|one| *one == asked).unwrap_or(0);
        Err((place, Fault::rule("gas_incomplete")))
    };
    match (capacity, start, end) {
        (_, None, None) => Ok(None),
        (Some(capacity_dl), Some(start_mbar), Some(end_mbar)) => Ok(Some(GasUsed {
            capacity_dl,
            start_mbar,
            end_mbar,
            oxygen_permille: oxygen(shell)?,
        })),
        (None, _, _) => missing(Asks::Capacity),
        (_, None, _) => missing(Asks::Start),
        (_, _, None) => missing(Asks::End),
    }
}

/// Oxygen in tenths of a per cent: 21 is air.
fn oxygen(shell: &Shell) -> Result<u16, (usize, Fault)> {
    let percent: u16 = may(shell, 1, Asks::Oxygen)?.unwrap_or(21);
    Ok(if percent == 21 {
        209
    } else {
        percent.saturating_mul(10)
    })
}
