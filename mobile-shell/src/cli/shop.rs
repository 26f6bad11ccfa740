//! Commands for the shop computer: setting it up, letting a device in, looking, copying.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

use serde_json::{Value, json};
use tallywater_bindings::{
    CodeEnd, Fault, Held, HeldRow, LinkView, Parting, Request, Stage, Tallywater,
};

use super::catalogue::{Language, t, tr};
use super::find;
use super::of::Device;
use super::turn::{File, Turn};
use super::words::Role;

/// Sets up a shop computer, or a lone instructor's device, in an empty or new folder.
#[derive(Debug, clap::Args)]
pub(super) struct Setup {
    /// The folder; it must not belong to a shop yet.
    folder: PathBuf,
    /// The name of a new shop. Leave it out to restore one from its recovery sheet.
    #[arg(long, required_unless_present = "restore")]
    shop: Option<String>,
    /// The person who runs its office, or the instructor.
    #[arg(long)]
    person: String,
    /// An instructor who works alone: this device is its own shop until it joins one.
    #[arg(long, conflicts_with = "restore")]
    alone: bool,
    /// Restore the shop from its recovery sheet: the file as it was printed or typed (`-` for
    /// the standard input). What the shop had comes from any paired device, or from a backup
    /// put into the folder as tallywater.db.
    #[arg(long, value_name = "FILE", conflicts_with = "shop")]
    restore: Option<PathBuf>,
}

/// Shows a code that lets in one device.
#[derive(Debug, clap::Args)]
pub(super) struct CodeFor {
    #[command(flatten)]
    device: Device,
    /// Whose device it is: the name on the staff list.
    #[arg(long)]
    name: String,
    /// As what.
    #[arg(long, value_enum)]
    role: Role,
    /// Put the person on the staff list first.
    #[arg(long)]
    new: bool,
    /// The last day on which the device is admitted.
    #[arg(long, value_name = "DAY", allow_hyphen_values = true)]
    until: Option<String>,
    /// Show the code and do not wait until it is used.
    #[arg(long)]
    no_wait: bool,
    /// Say how the code that is shown stands, and show no new one.
    #[arg(long, hide = true)]
    look: bool,
}

/// A folder that is made now goes again unless everything that was to be done in it was.
struct Made<'a> {
    folder: &'a Path,
    was_there: bool,
    kept: Vec<std::ffi::OsString>,
    keep: bool,
}

impl<'a> Made<'a> {
    fn begin(folder: &'a Path) -> Result<Self, Fault> {
        let was_there = folder.is_dir();
        let kept = std::fs::read_dir(folder).map_or_else(
            |_| Vec::new(),
            |read| read.filter_map(|one| Some(one.ok()?.file_name())).collect(),
        );
        tallywater::account::make(folder).map_err(|error| file("make the folder", &error))?;
        Ok(Self {
            folder,
            was_there,
            kept,
            keep: false,
        })
    }
}

impl Drop for Made<'_> {
    /// Takes away what was made here and nothing that was there before.
    fn drop(&mut self) {
        if self.keep {
            return;
        }
        let ours = [
            "keys",
            "in-use",
            "tallywater.db",
            "tallywater.db-wal",
            "tallywater.db-shm",
        ];
        for name in ours {
            if self.kept.iter().any(|kept| kept == name) {
                continue;
            }
            let path = self.folder.join(name);
            // What cannot be taken away stays, as it would have without this.
            let _ = if path.is_dir() {
                std::fs::remove_dir_all(&path)
            } else {
                std::fs::remove_file(&path)
            };
        }
        if !self.was_there {
            let _ = std::fs::remove_dir(self.folder);
        }
    }
}

/// Sets up a shop, or restores one.
pub(super) fn set_up(setup: &Setup, turn: &Turn) -> Result<(), Fault> {
    let sheet = match &setup.restore {
        Some(from) => Some(sheet_text(&turn.file(from)?)),
        None => None,
    };
    let mut made = Made::begin(&setup.folder)?;
    let desk = Tallywater::open(setup.folder.display().to_string())?;
    // First: the school begins with the outline in this language.
    Language::spoken().keep_on(&desk)?;
    let begun = match (sheet, &setup.shop) {
        (Some(sheet), _) => desk.restore_shop(sheet, setup.person.clone()),
        (None, Some(shop)) if setup.alone => desk.start_alone(shop.clone(), setup.person.clone()),
        (None, shop) => desk.start_shop(shop.clone().unwrap_or_default(), setup.person.clone()),
    };
    let person = match begun {
        Ok(person) => person,
        Err(fault) => {
            // Closed before its files go.
            drop(desk);
            return Err(fault);
        }
    };
    made.keep = true;
    let value = json!({ "person": person });
    turn.answer(
        "setup",
        &value,
        || vec![person.clone()],
        || {
            if setup.restore.is_some() {
                vec![tr!(
                    "The shop's key is restored. Start `tallywater host`, show a code with `tallywater code`, and type it on any device of the shop: it brings the shop's book, and every device brings the courses it has."
                )]
            } else {
                vec![tr!(
                    "The shop is open. Print its recovery sheet with `tallywater recovery` and lock it away: it is the only way back if this computer is lost."
                )]
            }
        },
    );
    Ok(())
}

/// A recovery sheet as it came in, as text: UTF-8, or UTF-16 as some editors save it.
fn sheet_text(bytes: &[u8]) -> String {
    let wide = |read: fn([u8; 2]) -> u16| {
        let pairs = bytes.chunks_exact(2);
        let units = pairs
            .filter_map(|pair| <[u8; 2]>::try_from(pair).ok())
            .map(read);
        String::from_utf16_lossy(&units.collect::<Vec<u16>>())
    };
    match bytes {
        [0xff, 0xfe, ..] => wide(u16::from_le_bytes),
        [0xfe, 0xff, ..] => wide(u16::from_be_bytes),
        // Without a mark: plain letters have a nought in every other byte.
        [_, 0, ..] => wide(u16::from_le_bytes),
        [0, _, ..] => wide(u16::from_be_bytes),
        _ => String::from_utf8_lossy(bytes).into_owned(),
    }
}

fn file(during: &str, error: &std::io::Error) -> Fault {
    Fault::Internal {
        detail: format!("could not {during}: {}", error.kind()),
    }
}

/// Prints the recovery sheet.
pub(super) fn recovery(folder: &Path, turn: &Turn) -> Result<(), Fault> {
    let desk = turn.read(folder)?;
    let Some(lines) = desk.recovery_lines() else {
        return Err(find::missing("shop's key", "on this device"));
    };
    let shop = desk.state()?.shop.unwrap_or_default();
    let value = json!({ "school": shop, "lines": lines });
    turn.answer(
        "recovery",
        &value,
        || lines.clone(),
        || {
            let mut said = vec![
                tr!("Recovery sheet of {school}", school = shop),
                tr!("Whoever has this sheet can act as the shop. Lock it away."),
                String::new(),
            ];
            said.extend(
                (1..)
                    .zip(&lines)
                    .map(|(number, line)| format!("  {number}   {line}")),
            );
            said.push(String::new());
            said.push(tr!(
                "To restore: tallywater setup FOLDER --person NAME --restore FILE"
            ));
            said
        },
    );
    Ok(())
}

/// Shows a code and waits until it is used or no longer good.
pub(super) fn code(asked: &CodeFor, turn: &Turn) -> Result<bool, Fault> {
    let desk = turn.write(&asked.device.folder)?;
    if turn.is_own() {
        // Nobody has the folder in use, so nobody is on the network in its name.
        turn.warn(tr!(
            "tallywater: no host is running in this folder: start `tallywater host` first"
        ));
        return Ok(false);
    }
    if asked.look {
        let link = desk.link()?;
        turn.say(match (link.code, link.code_ended) {
            (Some(_), _) => "shown",
            (None, Some(CodeEnd::Used)) => "used",
            (None, Some(CodeEnd::TooManyTries | CodeEnd::TimedOut | CodeEnd::Hidden) | None) => {
                "ended"
            }
        });
        return Ok(true);
    }
    let on_list = desk.staff()?.staff;
    let same = |name: &str| on_list.iter().any(|one| one.name.name == name);
    let staff = if asked.new {
        if same(&asked.name) {
            return Err(Fault::rule("on_staff_already")
                .of("name")
                .value(&asked.name));
        }
        let name = asked.name.clone();
        let joined = desk.record(Request::JoinStaff { name })?;
        joined.made.unwrap_or_default()
    } else {
        find::staff(&desk, &asked.name)?.staff.to_string()
    };
    let until = asked.until.as_ref();
    let until = until
        .map(|typed| super::when::day(&desk, typed))
        .transpose()?;
    let shown = desk.show_code(staff, asked.role.into(), until)?;
    let place = desk.link()?.place.unwrap_or_default();
    let (first, second) = shown.code.split_at_checked(3).unwrap_or((&shown.code, ""));
    let value = json!({
        "code": shown.code, "at": place, "seconds": shown.seconds, "tries": shown.tries,
    });
    turn.answer(
        "code",
        &value,
        || vec![shown.code.clone()],
        || {
            vec![
                tr!("Code      {code}", code = format!("{first} {second}")),
                tr!(
                    "Good for  {seconds} seconds, {tries} tries",
                    seconds = shown.seconds,
                    tries = shown.tries
                ),
                tr!("At        {place}", place = place),
            ]
        },
    );
    Ok(true)
}

impl CodeFor {
    /// Whether it is to be waited for, by the terminal that asked, until the code is used.
    pub(super) const fn waits(&self) -> bool {
        !self.no_wait && !self.look
    }

    /// Waits until the code that the host shows is used or no longer good.
    pub(super) fn wait(&self, turn: &Turn) -> Result<bool, Fault> {
        let folder = self.device.folder.display().to_string();
        let look = [
            "tallywater",
            "code",
            &folder,
            "--look",
            "--name",
            "any",
            "--role",
            "assistant",
        ];
        let look: Vec<String> = look.into_iter().map(str::to_owned).collect();
        loop {
            std::thread::sleep(Duration::from_millis(500));
            match super::relay::to_host(&self.device.folder, look.clone())?
                .out
                .trim_ascii()
            {
                b"shown" => {}
                b"used" => {
                    turn.done(tr!("A device has joined."));
                    return Ok(true);
                }
                _ => {
                    turn.done(tr!(
                        "The code is no longer good; nobody has joined with it."
                    ));
                    return Ok(false);
                }
            }
        }
    }
}

/// Writes a copy of the store, made by the host if one is running.
pub(super) fn backup(folder: &Path, to: &Path, turn: &Turn) -> Result<(), Fault> {
    let desk = turn.write(folder)?;
    let whole =
        std::path::absolute(turn.path(to)).map_err(|error| file("name the file", &error))?;
    desk.back_up(whole.display().to_string())?;
    let keys = folder.join("keys");
    let copy = File {
        path: to,
        kind: "backup",
        bytes: whole.metadata().map_or(0, |there| there.len()),
        sha256: None,
        written: true,
    };
    let sentence = tr!(
        "A copy is in {file}. It has no keys in it. To use it on a new computer, put it into an empty folder as tallywater.db and restore the shop's key from the recovery sheet; the keys of this computer are in {keys}.",
        file = to.display(),
        keys = keys.display()
    );
    turn.wrote_saying(&copy, sentence);
    Ok(())
}

/// Joins a shop: types the code that another device shows.
#[derive(Debug, clap::Args)]
pub(super) struct Join {
    /// This device's folder; an empty or new one for a new device.
    folder: PathBuf,
    /// Where the other device is, as `tallywater code` prints it.
    #[arg(long, value_name = "PLACE")]
    at: String,
    /// The six digits.
    #[arg(long)]
    code: String,
    /// What this device is to be called.
    #[arg(long)]
    device: String,
}

/// Joins, and waits for what the shop has for this device.
pub(super) fn join(join: &Join, turn: &Turn) -> Result<bool, Fault> {
    let mut made = Made::begin(&join.folder)?;
    let desk = Tallywater::open(join.folder.display().to_string())?;
    let paired = desk
        .go_online(Vec::new(), false, None)
        .and_then(|()| desk.pair(join.at.clone(), join.code.clone(), join.device.clone()));
    if let Err(fault) = paired {
        desk.go_offline();
        drop(desk);
        return Err(fault);
    }
    made.keep = true;
    Language::spoken().keep_on(&desk)?;
    turn.say(tr!(
        "Paired. Waiting for what the shop has for this device."
    ));
    let mut ready = false;
    for _ in 0..300 {
        let in_step = |link: &LinkView| link.devices.iter().any(|one| one.connected && one.in_step);
        if desk.state()?.stage == Stage::Ready && in_step(&desk.link()?) {
            ready = true;
            break;
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    desk.go_offline();
    if ready {
        let courses = find::courses(&desk)?.len();
        turn.done(tr!(
            "Ready. Courses on this device: {count}",
            count = courses
        ));
    } else {
        turn.warn(tr!(
            "Paired, and not everything has come yet: it comes when the two devices next meet."
        ));
    }
    Ok(ready)
}

/// What each device holds, and who is connected.
pub(super) fn status(folder: &Path, turn: &Turn) -> Result<(), Fault> {
    let desk = turn.live(folder)?;
    let (link, held) = (desk.link()?, desk.held()?);
    let entries: u64 = held.iter().map(|row| u64::from(row.entries)).sum();
    let devices = link.devices.iter().map(|one| {
        json!({
            "key": one.key, "name": one.name, "connected": one.connected, "in_step": one.in_step,
            "seen": one.seen.as_ref().map(|at| at.at.to_rfc3339()), "clock_minutes": one.clock_minutes,
        })
    });
    let ledgers = held.iter().map(|row| {
        let each = row
            .by_each
            .iter()
            .map(|by| json!({ "key": by.key, "name": by.name, "held": held_word(&by.held) }));
        json!({
            "course": row.course, "title": row.title, "entries": row.entries,
            "by_shop": held_word(&row.by_shop), "by_each": each.collect::<Vec<_>>(),
        })
    });
    let value = json!({
        "online": link.online, "at": link.place, "devices": devices.collect::<Vec<Value>>(),
        "ledgers": ledgers.collect::<Vec<Value>>(), "entries": entries,
    });
    let ids = || link.devices.iter().map(|one| one.key.to_string()).collect();
    turn.answer("status", &value, ids, || {
        let mut lines = status_lines(&link, &held);
        lines.push(tr!(
            "ledgers: {ledgers}, entries: {entries}",
            ledgers = held.len(),
            entries = entries
        ));
        lines
    });
    Ok(())
}

const fn held_word(held: &Held) -> &'static str {
    match held {
        Held::There => "everything",
        Held::HereOnly { .. } => "not-everything",
        Held::NotKnown => "not-known",
    }
}

fn held_said(held: &Held) -> String {
    match held {
        Held::There => tr!("everything"),
        Held::HereOnly { changes } => tr!("all but {count}", count = changes),
        Held::NotKnown => tr!("not synced yet"),
    }
}

fn status_lines(link: &LinkView, held: &[HeldRow]) -> Vec<String> {
    let mut lines = vec![match &link.place {
        Some(place) => tr!("On the network as {place}", place = place),
        None => tr!("Not on the network: the host is not running"),
    }];
    lines.push(tr!("Devices"));
    for device in &link.devices {
        let state = match (device.connected, device.in_step, &device.parted) {
            (true, true, _) => tr!("connected, in step"),
            (true, false, _) => tr!("connected, exchanging"),
            (false, _, Some(why)) => tr!("not connected: {why}", why = parting(why)),
            (false, _, None) => tr!("not connected"),
        };
        let seen = device.seen.as_ref().map_or_else(
            || tr!("never met"),
            |at| tr!("last met {when}", when = super::words::moment(at)),
        );
        let mut line = format!("  {:<24} {state}, {seen}", device.name);
        if let Some(minutes) = device.clock_minutes {
            let off = format!("{minutes:+}");
            // A string takes everything.
            let _ = write!(
                line,
                ", {}",
                tr!("its clock is {minutes} min off", minutes = off)
            );
        }
        lines.push(line);
    }
    lines.push(tr!("Held"));
    for row in held {
        let title = row.title.as_deref().unwrap_or_else(|| t("(not listed)"));
        lines.push(format!("  {title:<40} {:>6}", row.entries));
        for by in &row.by_each {
            lines.push(format!("    {:<24} {}", by.name, held_said(&by.held)));
        }
    }
    lines
}

/// Why a device is not connected, and what a person can do about it.
fn parting(why: &Parting) -> &'static str {
    match why {
        Parting::Stopped => t("this device left the network"),
        Parting::TheyStopped => t("it left the network"),
        Parting::NotReached => {
            t("not reached: it is off, asleep, on another network, or a firewall is in the way")
        }
        Parting::Lost => t("the connection broke off"),
        Parting::Slow => t("it was too slow"),
        Parting::NotAdmitted => t(
            "it does not admit this device: it was shut out there, or has not heard of the pairing yet",
        ),
        Parting::TurnedAway => t("it was turned away: it is shut out, or its last day is past"),
        Parting::Version => t("one of the two must be updated"),
        Parting::Broken => t("what it said made no sense"),
        Parting::BrokenThere => t("it could make no sense of what this device said"),
        Parting::Replaced => t("another connection took its place"),
        Parting::OwnStore => t("this device could not read or write its own store"),
        Parting::Other => t("it closed the connection; it may be busy, or newer"),
    }
}
