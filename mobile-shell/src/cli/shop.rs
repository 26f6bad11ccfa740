//! Commands for the shop computer: setting it up, letting a device in, looking, copying.

use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

use tallywater_bindings::{Fault, Stage, Tallywater};

use super::desk_work::{Came, Work, by_host, in_folder};

/// Sets up a shop computer in an empty or new folder.
#[derive(Debug, clap::Args)]
pub(super) struct Setup {
    /// The folder; it must not belong to a shop yet.
    folder: PathBuf,
    /// The name of a new shop. Leave it out to restore one from its recovery sheet.
    #[arg(long, required_unless_present = "restore")]
    shop: Option<String>,
    /// The person who runs its office.
    #[arg(long)]
    person: String,
    /// Restore the shop from its recovery sheet, typed into this file (`-` for the
    /// standard input). What the shop had comes from any paired device, or from a backup
    /// put into the folder as tallywater.db.
    #[arg(long, value_name = "FILE", conflicts_with = "shop")]
    restore: Option<PathBuf>,
}

/// Shows a code that lets in one device.
#[derive(Debug, clap::Args)]
pub(super) struct CodeFor {
    /// The folder of the host that is running.
    folder: PathBuf,
    /// Whose device it is: the name on the staff list.
    #[arg(long)]
    name: String,
    /// As what: shop, instructor or assistant.
    #[arg(long, value_parser = ["shop", "instructor", "assistant"])]
    role: String,
    /// Put the person on the staff list first.
    #[arg(long)]
    new: bool,
}

/// Sets up a shop, or restores one.
pub(super) fn set_up(setup: &Setup) -> Result<(), Fault> {
    let sheet = setup.restore.as_deref().map(read_sheet).transpose()?;
    std::fs::create_dir_all(&setup.folder).map_err(|error| file("make the folder", &error))?;
    let desk = Tallywater::open(setup.folder.display().to_string())?;
    match (sheet, &setup.shop) {
        (Some(sheet), _) => {
            desk.restore_shop(sheet, setup.person.clone())?;
            println!("The shop's key is restored. Start `tallywater host`, show a code with");
            println!("`tallywater code`, and type it on any device of the shop: it brings the");
            println!("shop's book, and every device brings the courses it has.");
        }
        (None, Some(shop)) => {
            desk.start_shop(shop.clone(), setup.person.clone())?;
            println!("The shop is open. Print its recovery sheet with `tallywater recovery` and");
            println!("lock it away: it is the only way back if this computer is lost.");
        }
        (None, None) => {}
    }
    Ok(())
}

fn read_sheet(from: &Path) -> Result<String, Fault> {
    let mut text = String::new();
    if from == Path::new("-") {
        let read = std::io::stdin().take(4096).read_to_string(&mut text);
        read.map_err(|error| file("read the sheet", &error))?;
    } else {
        text = std::fs::read_to_string(from).map_err(|error| file("read the sheet", &error))?;
    }
    Ok(text)
}

fn file(during: &str, error: &std::io::Error) -> Fault {
    Fault::Internal {
        detail: format!("could not {during}: {}", error.kind()),
    }
}

/// Prints the recovery sheet.
pub(super) fn recovery(folder: &Path) -> Result<(), Fault> {
    let desk = super::open(folder)?;
    let Some(lines) = desk.recovery_lines() else {
        return Err(Fault::NotFound {
            what: "shop's key".into(),
            id: "on this device".into(),
        });
    };
    println!(
        "Recovery sheet of {}",
        desk.state()?.shop.unwrap_or_default()
    );
    println!("Whoever has this sheet can act as the shop. Lock it away.");
    println!();
    for (number, line) in (1..).zip(lines) {
        println!("  {number}   {line}");
    }
    println!();
    println!("To restore: tallywater setup FOLDER --person NAME --restore FILE");
    Ok(())
}

/// Shows a code and waits until it is used or no longer good.
pub(super) fn code(asked: &CodeFor) -> Result<bool, Fault> {
    let work = Work::Code {
        name: asked.name.clone(),
        role: asked.role.clone(),
        new: asked.new,
    };
    match super::open(&asked.folder) {
        Err(Fault::Busy) => {}
        Err(fault) => return Err(fault),
        Ok(_) => {
            eprintln!(
                "tallywater: no host is running in this folder: start `tallywater host` first"
            );
            return Ok(false);
        }
    }
    match by_host(&asked.folder, &work)? {
        Came::Failed(why) => {
            eprintln!("tallywater: {why}");
            return Ok(false);
        }
        Came::Done(text) => println!("{text}"),
    }
    loop {
        std::thread::sleep(Duration::from_millis(500));
        match by_host(&asked.folder, &Work::CodeState)? {
            Came::Done(state) if state == "shown" => {}
            Came::Done(state) if state == "Used" => {
                println!("A device has joined.");
                return Ok(true);
            }
            Came::Done(_) | Came::Failed(_) => {
                println!("The code is no longer good; nobody has joined with it.");
                return Ok(false);
            }
        }
    }
}

/// Prints what came of work in a folder; whether it was done.
pub(super) fn work(folder: &Path, work: &Work) -> Result<bool, Fault> {
    match in_folder(folder, work)? {
        Came::Done(text) => {
            println!("{text}");
            Ok(true)
        }
        Came::Failed(why) => {
            eprintln!("tallywater: {why}");
            Ok(false)
        }
    }
}

/// Writes a copy of the store, made by the host if one is running.
pub(super) fn backup(folder: &Path, to: &Path) -> Result<bool, Fault> {
    let whole = std::path::absolute(to).map_err(|error| file("name the file", &error))?;
    let to = whole.display().to_string();
    work(folder, &Work::Backup { to })
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

/// Joins, and waits for the shop's book.
pub(super) fn join(join: &Join) -> Result<(), Fault> {
    std::fs::create_dir_all(&join.folder).map_err(|error| file("make the folder", &error))?;
    let desk = Tallywater::open(join.folder.display().to_string())?;
    desk.go_online(Vec::new(), false, None)?;
    desk.pair(join.at.clone(), join.code.clone(), join.device.clone())?;
    println!("Paired. Waiting for the shop's book.");
    for _ in 0..300 {
        if desk.state()?.stage == Stage::Ready {
            println!("Ready.");
            break;
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    desk.go_offline();
    Ok(())
}
