//! `tallywater agenda`: the hours of pool and site that the school has, and who is away when;
//! typed in, or taken from a calendar.

use std::path::PathBuf;

use clap::{Args, Subcommand};
use serde_json::{Value, json};
use tallywater_bindings::{
    AgendaFault, AgendaReason, AgendaView, Away, AwayRow, Fault, ReadIs, Request, Slot, SlotRow,
    Who, WhoName,
};

use super::catalogue::{t, tr};
use super::of::{Of, Opened};
use super::turn::Turn;
use super::words::{self, Setting};
use super::{find, when};

/// What is asked of slots and absences.
#[derive(Debug, Subcommand)]
pub(super) enum Agenda {
    /// Show the hours of pool and site that the school has, what is held in them, and who is
    /// away when.
    Show {
        #[command(flatten)]
        of: Of,
    },
    /// Write down hours of a pool or a site, or that the school has them no more.
    Slot {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        slot: Hours,
    },
    /// Write down when somebody is away, or that they come after all.
    Away {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        who: Whose,
        /// From when: a day, or a day and a time.
        #[arg(long, allow_hyphen_values = true, required_unless_present = "drop")]
        from: Option<String>,
        /// Until when; of whole days the last one.
        #[arg(long, allow_hyphen_values = true, required_unless_present = "drop")]
        until: Option<String>,
        /// The absence with this id is none after all.
        #[arg(long, value_name = "ID", conflicts_with_all = ["from", "until"])]
        drop: Option<String>,
    },
    /// Take in the hours of a pool or a site from a calendar (iCalendar) or a table (CSV).
    ///
    /// What has the same id as before is changed and never doubled. Every bad line is named; the
    /// table's first line names its columns: date, start, end, place, setting, price, id.
    ImportSlots {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        file: Read,
        /// What is held there, where the file does not say.
        #[arg(long, value_enum, default_value_t = Setting::Confined)]
        setting: Setting,
    },
    /// Take in when one person is away, from a calendar (iCalendar) or a table (CSV).
    ImportAway {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        file: Read,
        #[command(flatten)]
        who: Whose,
    },
}

/// Hours of a pool or a site.
#[derive(Debug, Args)]
pub(super) struct Hours {
    /// The place.
    #[arg(long, required_unless_present = "drop")]
    site: Option<String>,
    /// When it starts: "2026-06-06 18:00", "tomorrow 18:00".
    #[arg(long, allow_hyphen_values = true, required_unless_present = "drop")]
    starts: Option<String>,
    /// How long it lasts, in minutes.
    #[arg(long, default_value_t = 60)]
    minutes: u16,
    /// Where it is held.
    #[arg(long, value_enum, default_value_t = Setting::Confined)]
    setting: Setting,
    /// What it costs, in the school's words.
    #[arg(long)]
    price: Option<String>,
    /// The school has the hours with this id no more.
    #[arg(long, value_name = "ID", conflicts_with_all = ["site", "starts"])]
    drop: Option<String>,
}

/// Whose absence it is.
#[derive(Debug, Args)]
#[group(required = true, multiple = false)]
pub(super) struct Whose {
    /// The student: an id, or a name or its beginning.
    #[arg(long)]
    student: Option<String>,
    /// The member of staff: an id, or a name or its beginning.
    #[arg(long)]
    staff: Option<String>,
}

/// A file that is taken in.
#[derive(Debug, Args)]
pub(super) struct Read {
    /// The file; `-` for the standard input.
    file: PathBuf,
    /// Show what would be taken, and take nothing.
    #[arg(long)]
    preview: bool,
}

/// Does what was asked. `false` where a file was looked at and something of it is bad.
pub(super) fn run(asked: &Agenda, turn: &Turn) -> Result<bool, Fault> {
    match asked {
        Agenda::Show { of } => {
            let opened = of.read(turn)?;
            show(&opened.desk.agenda(opened.id())?, turn);
            Ok(true)
        }
        Agenda::Slot { of, slot } => {
            let opened = of.write(turn)?;
            let request = slot.request(&opened)?;
            let receipt = opened.desk.record(request)?;
            turn.recorded(&receipt, tr!("Written down."));
            Ok(true)
        }
        Agenda::Away {
            of,
            who,
            from,
            until,
            drop,
        } => {
            let opened = of.write(turn)?;
            let (course, who) = who.found(&opened)?;
            let away = match drop {
                Some(id) => known_away(&opened, &who, id)?,
                None => typed_away(&opened, from.as_deref(), until.as_deref())?,
            };
            let receipt = opened.desk.record(Request::SetAway {
                course,
                who,
                away,
                dropped: drop.is_some(),
            })?;
            turn.recorded(&receipt, tr!("Written down."));
            Ok(true)
        }
        Agenda::ImportSlots { of, file, setting } => {
            let bytes = turn.file(&file.file)?;
            let opened = of.write(turn)?;
            let seen = opened.desk.look_at_slots(bytes, (*setting).into())?;
            let rows = seen.rows.into_iter().map(|row| {
                let said = format!("{}  {}", hour(&row.slot.starts), row.slot.site);
                let dropped = matches!(row.stands, ReadIs::Dropped);
                let slot = row.slot;
                let request = Request::SetSlot { slot, dropped };
                (row.line, row.stands, said, request)
            });
            take(&opened, rows.collect(), &seen.faults, file.preview, turn)
        }
        Agenda::ImportAway { of, file, who } => {
            let bytes = turn.file(&file.file)?;
            let opened = of.write(turn)?;
            let (course, who) = who.found(&opened)?;
            let seen = opened
                .desk
                .look_at_away(course.clone(), who.clone(), bytes)?;
            let rows = seen.rows.into_iter().map(|row| {
                let said = format!("{} - {}", hour(&row.away.from), hour(&row.away.until));
                let request = Request::SetAway {
                    course: course.clone(),
                    who: who.clone(),
                    dropped: matches!(row.stands, ReadIs::Dropped),
                    away: row.away,
                };
                (row.line, row.stands, said, request)
            });
            take(&opened, rows.collect(), &seen.faults, file.preview, turn)
        }
    }
}

/// A moment of a calendar, as a person reads it.
fn hour(at: &str) -> String {
    let minute = "2026-06-06T10:00".len();
    at.get(..minute).unwrap_or(at).replace('T', " ")
}

/// Takes what is new, changed or called off: all of it, or none. A bad line stops nothing and
/// is named.
fn take(
    opened: &Opened,
    rows: Vec<(u32, ReadIs, String, Request)>,
    faults: &[AgendaFault],
    preview: bool,
    turn: &Turn,
) -> Result<bool, Fault> {
    let mut requests = Vec::new();
    let mut lines = Vec::new();
    for (line, stands, said, request) in rows {
        let (word, wanted) = match stands {
            ReadIs::New => (t("new"), true),
            ReadIs::Changed => (t("changed"), true),
            ReadIs::Dropped => (t("called off"), true),
            ReadIs::Here => (t("here already"), false),
            ReadIs::LeftOut => (t("left out"), false),
        };
        let number = tr!("line {line}", line = format!("{line:>4}"));
        lines.push(format!("  {number}  {said}  {word}"));
        if wanted {
            requests.push(request);
        }
    }
    let (taken, seen) = (requests.len(), lines.len());
    if preview {
        opened.desk.would_record(requests)?;
        lines.push(tr!("Nothing was taken: this was a preview."));
    } else if taken > 0 {
        opened.desk.record_all(requests)?;
    }
    let value = json!({
        "read": seen, "taken": if preview { 0 } else { taken }, "would_take": taken,
        "bad_lines": faults.iter().map(|fault| fault.line).collect::<Vec<_>>(),
    });
    turn.answer("agenda.import", &value, Vec::new, || {
        if !preview {
            lines.push(tr!(
                "Taken: {taken} of {count}",
                taken = taken,
                count = seen
            ));
        }
        lines
    });
    for fault in faults {
        let why = reason(&fault.reason);
        turn.warn(tr!("line {line}: {why}", line = fault.line, why = why));
    }
    Ok(faults.is_empty())
}

fn reason(of: &AgendaReason) -> String {
    match of {
        AgendaReason::NoCalendar => {
            tr!("it is neither a calendar nor a table with a column for the start")
        }
        AgendaReason::Unclosed => tr!("an event is not closed, or not opened"),
        AgendaReason::NoId => tr!("the event has no id (UID)"),
        AgendaReason::NoStart => tr!("it has no start"),
        AgendaReason::NoEnd => tr!("it has no end"),
        AgendaReason::BadTime => {
            tr!("a day or time cannot be read: write year-month-day and hour:minute")
        }
        AgendaReason::UnknownZone => {
            tr!("its time zone is named and not described in the file: export it in UTC")
        }
        AgendaReason::EndsBeforeItBegins => tr!("it ends before it begins"),
        AgendaReason::Repeats => tr!("it repeats by a rule: export its events one by one"),
        AgendaReason::Fields => tr!("it has more or fewer fields than the first line"),
        AgendaReason::Quotes => super::table_file::quotes(),
        AgendaReason::BadSetting => {
            tr!("the setting is none of classroom, surface, confined and open")
        }
        AgendaReason::TooMany => tr!("more events than are read of one file"),
    }
}

impl Hours {
    fn request(&self, opened: &Opened) -> Result<Request, Fault> {
        if let Some(id) = &self.drop {
            let slots = opened.desk.agenda(opened.id())?.slots;
            let mut slots = slots.into_iter().map(|row| row.slot);
            let slot = slots.find(|slot| slot.uid == *id);
            let slot = slot.ok_or_else(|| find::missing("slot", id))?;
            return Ok(Request::SetSlot {
                slot,
                dropped: true,
            });
        }
        let starts = self.starts.as_deref().unwrap_or_default();
        let slot = Slot {
            uid: String::new(),
            setting: self.setting.into(),
            site: self.site.clone().unwrap_or_default(),
            starts: when::time(&opened.desk, starts)?,
            minutes: self.minutes,
            price: self.price.clone(),
        };
        Ok(Request::SetSlot {
            slot,
            dropped: false,
        })
    }
}

impl Whose {
    /// The person, with the course where it is a student.
    fn found(&self, opened: &Opened) -> Result<(Option<String>, Who), Fault> {
        let course = opened.id();
        match (&self.student, &self.staff) {
            (Some(asked), _) => {
                let student = find::student(&opened.desk, &course, asked)?
                    .student
                    .to_string();
                Ok((Some(course), Who::Student { student }))
            }
            (None, asked) => {
                let asked = asked.as_deref().unwrap_or_default();
                let staff = find::staff(&opened.desk, asked)?.staff.to_string();
                Ok((None, Who::Staff { staff }))
            }
        }
    }
}

fn known_away(opened: &Opened, who: &Who, id: &str) -> Result<Away, Fault> {
    let known = opened.desk.agenda(opened.id())?.away;
    let same = |row: &AwayRow| {
        let is = match (&row.who, who) {
            (WhoName::Student(name), Who::Student { student }) => name.student == *student,
            (WhoName::Staff(name), Who::Staff { staff }) => name.staff == *staff,
            (WhoName::Student(..) | WhoName::Staff(..), _) => false,
        };
        is && row.away.uid == id
    };
    let found = known.into_iter().find(same);
    found
        .map(|row| row.away)
        .ok_or_else(|| find::missing("absence", id))
}

/// An absence from and until a day, both counted in, or a time.
fn typed_away(opened: &Opened, from: Option<&str>, until: Option<&str>) -> Result<Away, Fault> {
    let desk = &opened.desk;
    let (from, until) = (from.unwrap_or_default(), until.unwrap_or_default());
    let day = |typed: &str, after: i32| -> Result<String, Fault> {
        let day = desk.day(Some(when::day(desk, typed)?), after)?;
        Ok(desk.moment_on(day.date.to_string(), 0, 0)?.at.to_rfc3339())
    };
    Ok(Away {
        uid: String::new(),
        from: day(from, 0).or_else(|_| when::time(desk, from))?,
        until: day(until, 1).or_else(|_| when::time(desk, until))?,
    })
}

fn show(view: &AgendaView, turn: &Turn) {
    let slots = view.slots.iter().map(|row| {
        json!({
            "id": row.slot.uid, "site": row.slot.site, "starts": row.starts.at.to_rfc3339(),
            "ends": row.ends.at.to_rfc3339(), "setting": Setting::from(&row.slot.setting).word(),
            "price": row.slot.price, "held": row.held, "other_course": row.other_course,
        })
    });
    let away = view.away.iter().map(|row| {
        json!({
            "id": row.away.uid, "who": words::who(&row.who), "from": row.away.from,
            "until": row.away.until, "whole_days": row.whole_days,
        })
    });
    let value = json!({
        "slots": slots.collect::<Vec<Value>>(), "free": view.free,
        "away": away.collect::<Vec<Value>>(),
    });
    let ids = || view.slots.iter().map(|row| row.slot.uid.clone()).collect();
    turn.answer("agenda.show", &value, ids, || {
        let mut lines = vec![tr!(
            "Hours of pool and site: {count}",
            count = view.slots.len()
        )];
        lines.extend(view.slots.iter().map(slot_line));
        lines.push(tr!("Of these free: {count}", count = view.free));
        lines.push(tr!("Away: {count}", count = view.away.len()));
        lines.extend(view.away.iter().map(away_line));
        lines
    });
}

fn slot_line(row: &SlotRow) -> String {
    let held = match (&row.held, &row.other_course) {
        (None, _) => tr!("free"),
        (Some(title), None) => title.clone(),
        (Some(title), Some(course)) => format!("{course}: {title}"),
    };
    let price = row.slot.price.as_deref().map(|price| format!("  {price}"));
    format!(
        "  {} - {:02}:{:02}  {}{}  {held}",
        words::moment(&row.starts),
        row.ends.hour,
        row.ends.minute,
        row.slot.site,
        price.unwrap_or_default()
    )
}

fn away_line(row: &AwayRow) -> String {
    let who = words::who_said(&row.who);
    let (first, last) = (row.from.day.date, row.until.day.date);
    let (from, until) = (words::moment(&row.from), &row.until);
    // A day is said once.
    match (row.whole_days, first == last) {
        (true, true) => format!("  {who}  {first}"),
        (true, false) => format!("  {who}  {first} - {last}"),
        (false, true) => format!("  {who}  {from} - {:02}:{:02}", until.hour, until.minute),
        (false, false) => format!("  {who}  {from} - {}", words::moment(until)),
    }
}
