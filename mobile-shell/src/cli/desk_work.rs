//! What is done on the shop computer whether its host runs or not: if it does, the host is
//! asked to do it, because one program at a time has the folder in use.

use std::path::Path;
use std::time::{Duration, Instant};

use serde::{Deserialize, Serialize};
use tallywater_bindings::{Fault, Held, HeldRow, LinkView, Request, Role, Tallywater, answer, ask};

/// How long another terminal waits for the host.
const PATIENCE: Duration = Duration::from_secs(30);
/// How often it looks for the answer.
const LOOK: Duration = Duration::from_millis(100);

/// Something to do.
#[derive(Debug, Serialize, Deserialize)]
pub(super) enum Work {
    /// Show a code that lets in a device of this person.
    Code {
        /// The person's name, as on the staff list.
        name: String,
        /// `shop`, `instructor` or `assistant`.
        role: String,
        /// Whether the person is to be put on the staff list.
        new: bool,
    },
    /// Take the code back.
    HideCode,
    /// How the shown code stands.
    CodeState,
    /// What each device holds.
    Status,
    /// Write a copy of the store.
    Backup {
        /// Where, as a whole path.
        to: String,
    },
}

impl Work {
    /// A question as it was put; `None` if this version does not know it.
    pub(super) fn read(text: &str) -> Option<Self> {
        serde_json::from_str(text).ok()
    }
}

/// What came of it.
pub(super) enum Came {
    /// Done, and this is to be printed.
    Done(String),
    /// The host could not, and says why.
    Failed(String),
}

/// Does the work in this folder, or has the host do it that has the folder in use.
pub(super) fn in_folder(folder: &Path, work: &Work) -> Result<Came, Fault> {
    match once_free(folder, work)? {
        Some(came) => Ok(came),
        None => by_host(folder, work),
    }
}

/// Does the work itself if nobody has the folder in use; `None` if somebody has.
fn once_free(folder: &Path, work: &Work) -> Result<Option<Came>, Fault> {
    match super::open(folder) {
        Ok(desk) => do_work(&desk, folder, work).map(|text| Some(Came::Done(text))),
        Err(Fault::Busy) => Ok(None),
        Err(fault) => Err(fault),
    }
}

/// Has the host do it.
pub(super) fn by_host(folder: &Path, work: &Work) -> Result<Came, Fault> {
    let name = folder.display().to_string();
    let text = serde_json::to_string(work).map_err(|error| Fault::Internal {
        detail: error.to_string(),
    })?;
    let id = ask(name.clone(), text)?;
    let start = Instant::now();
    while start.elapsed() < PATIENCE {
        if let Some(said) = answer(name.clone(), id.clone())? {
            return Ok(match said.split_once('\n') {
                Some(("done", text)) => Came::Done(text.to_owned()),
                Some((_, text)) => Came::Failed(text.to_owned()),
                None => Came::Failed(said),
            });
        }
        std::thread::sleep(LOOK);
        if matches!(work, Work::Status | Work::Backup { .. })
            // A host that was just being stopped has let go by now.
            && let Some(came) = once_free(folder, work)?
        {
            return Ok(came);
        }
    }
    // The window has the folder in use, or another tool: it answers no questions.
    Err(Fault::Busy)
}

/// Does the work at this desk and says what came of it.
pub(super) fn do_work(desk: &Tallywater, folder: &Path, work: &Work) -> Result<String, Fault> {
    match work {
        Work::Code { name, role, new } => code(desk, name, role, *new),
        Work::HideCode => {
            desk.hide_code();
            Ok(String::new())
        }
        Work::CodeState => code_state(desk),
        Work::Status => status(desk),
        Work::Backup { to } => {
            desk.back_up(to.clone())?;
            let keys = folder.join("keys");
            Ok(format!(
                "A copy is in {to}.\nIt has no keys in it. To use it on a new computer, put it into an empty folder as tallywater.db\nand restore the shop's key from the recovery sheet; the keys of this computer are in {}.",
                keys.display()
            ))
        }
    }
}

fn role_of(word: &str) -> Option<Role> {
    match word {
        "shop" => Some(Role::Shop),
        "instructor" => Some(Role::Instructor),
        "assistant" => Some(Role::Assistant),
        _ => None,
    }
}

fn refused(rule: &str, field: &str, value: &str) -> Fault {
    Fault::rule(rule).of(field).value(value)
}

fn code(desk: &Tallywater, name: &str, role: &str, new: bool) -> Result<String, Fault> {
    let role = role_of(role).ok_or_else(|| refused("unknown_role", "role", role))?;
    let on_list = desk.staff()?.staff;
    let found: Vec<_> = on_list.iter().filter(|one| one.name.name == name).collect();
    let staff = match (found.as_slice(), new) {
        ([one], false) => one.name.staff.clone(),
        ([], true) => {
            let joined = desk.record(Request::JoinStaff { name: name.into() })?;
            joined.made.ok_or_else(|| Fault::Internal {
                detail: "the staff list gave no id".into(),
            })?
        }
        ([], false) => return Err(refused("not_on_staff", "name", name)),
        (_, true) => return Err(refused("on_staff_already", "name", name)),
        (_, false) => return Err(refused("name_not_unique", "name", name)),
    };
    let shown = desk.show_code(staff, role, None)?;
    let place = desk.link()?.place.unwrap_or_default();
    let (first, second) = shown.code.split_at_checked(3).unwrap_or((&shown.code, ""));
    Ok(format!(
        "Code      {first} {second}\nGood for  {} seconds, {} tries\nAt        {place}",
        shown.seconds, shown.tries
    ))
}

fn code_state(desk: &Tallywater) -> Result<String, Fault> {
    let link = desk.link()?;
    Ok(match (link.code, link.code_ended) {
        (Some(_), _) => "shown".to_owned(),
        (None, Some(end)) => format!("{end:?}"),
        (None, None) => "none".to_owned(),
    })
}

fn held_words(held: &Held) -> String {
    match held {
        Held::There => "everything".to_owned(),
        Held::HereOnly { changes } => format!("all but {changes}"),
        Held::NotKnown => "not known".to_owned(),
    }
}

/// What each device holds, as text.
fn status(desk: &Tallywater) -> Result<String, Fault> {
    use std::fmt::Write as _;
    let (link, held) = (desk.link()?, desk.held()?);
    let mut text = String::new();
    let writing = write_status(&mut text, &link, &held);
    debug_assert!(writing.is_ok(), "a string takes everything");
    let _ = write!(text, "{} ledgers, {} entries", held.len(), total(&held));
    Ok(text)
}

fn total(held: &[HeldRow]) -> u64 {
    held.iter().map(|row| u64::from(row.entries)).sum()
}

fn write_status(text: &mut String, link: &LinkView, held: &[HeldRow]) -> std::fmt::Result {
    use std::fmt::Write as _;
    match &link.place {
        Some(place) => writeln!(text, "On the network as {place}")?,
        None => writeln!(text, "Not on the network: the host is not running")?,
    }
    writeln!(text, "Devices")?;
    for device in &link.devices {
        let state = match (device.connected, device.in_step, &device.parted) {
            (true, true, _) => "connected, in step".to_owned(),
            (true, false, _) => "connected, exchanging".to_owned(),
            (false, _, Some(why)) => format!("not connected: {}", super::fault::parting(why)),
            (false, _, None) => "not connected".to_owned(),
        };
        let seen = device.seen.as_ref().map_or_else(
            || "never met".to_owned(),
            |at| format!("last met {} {:02}:{:02}", at.day.date, at.hour, at.minute),
        );
        let clock = device
            .clock_minutes
            .map(|minutes| format!(", its clock is {minutes:+} min off"))
            .unwrap_or_default();
        writeln!(text, "  {:<24} {state}, {seen}{clock}", device.name)?;
    }
    writeln!(text, "Held")?;
    for row in held {
        let title = row.title.as_deref().unwrap_or("(not listed)");
        writeln!(text, "  {:<40} {:>6} entries", title, row.entries)?;
        for by in &row.by_each {
            writeln!(text, "    {:<24} {}", by.name, held_words(&by.held))?;
        }
    }
    Ok(())
}
