//! `tallywater device`: the devices of the school: which, shutting one out, what came late.

use clap::Subcommand;
use serde_json::json;
use tallywater_bindings::{DeviceRow, Fault, Request};

use super::catalogue::tr;
use super::find;
use super::of::Device as Here;
use super::turn::Turn;
use super::words::{self, DeviceStands, Role};

/// What is asked of devices.
#[derive(Debug, Subcommand)]
pub(super) enum Device {
    /// List the devices of the school.
    List {
        #[command(flatten)]
        device: Here,
    },
    /// Shut a device out: it is lost, sold, or its person has left.
    ///
    /// What it wrote before counts. What arrives from it later is kept, shown and counts for
    /// nothing until it is accepted with `tallywater device accept-late`.
    Revoke {
        #[command(flatten)]
        device: Here,
        /// Which: its name or its beginning, its key, or the first digits of its key.
        which: String,
        /// Why.
        #[arg(long)]
        why: String,
    },
    /// List what arrived from devices after they were shut out.
    Late {
        #[command(flatten)]
        device: Here,
    },
    /// Let count what arrived from devices after they were shut out.
    AcceptLate {
        #[command(flatten)]
        device: Here,
        /// An entry, as often as there are such; all of them if left out with --all.
        #[arg(long, required_unless_present = "all")]
        entry: Vec<String>,
        /// All of them.
        #[arg(long, conflicts_with = "entry")]
        all: bool,
    },
}

/// Does what was asked.
pub(super) fn run(device: &Device, turn: &Turn) -> Result<(), Fault> {
    match device {
        Device::List { device } => list(device, turn),
        Device::Revoke { device, which, why } => {
            let desk = turn.write(&device.folder)?;
            let key = find::device(&desk, which)?.key;
            let why = why.clone();
            let receipt = desk.record(Request::Revoke {
                key: key.to_string(),
                why,
            })?;
            turn.recorded(&receipt, tr!("The device is shut out."));
            Ok(())
        }
        Device::Late { device } => {
            let late = turn.read(&device.folder)?.late_entries()?;
            let value = late
                .iter()
                .map(|one| json!({ "ledger": one.ledger, "entries": one.entries }));
            let value = json!({ "late": value.collect::<Vec<_>>() });
            let entries = || late.iter().flat_map(|one| one.entries.clone()).collect();
            turn.answer("device.late", &value, entries, || {
                let mut lines = Vec::new();
                for one in &late {
                    for entry in &one.entries {
                        lines.push(format!("{entry}  {}", one.ledger));
                    }
                }
                if lines.is_empty() {
                    lines.push(tr!("Nothing came late."));
                }
                lines
            });
            Ok(())
        }
        Device::AcceptLate { device, entry, all } => {
            let desk = turn.write(&device.folder)?;
            let mut requests = Vec::new();
            for late in desk.late_entries()? {
                let mut entries = late.entries;
                entries.retain(|one| *all || entry.contains(one));
                if !entries.is_empty() {
                    let ledger = late.ledger;
                    requests.push(Request::AcceptLate { ledger, entries });
                }
            }
            if requests.is_empty() {
                return Err(find::missing("entry", &entry.join(" ")));
            }
            let receipt = desk.record_all(requests)?;
            turn.recorded(&receipt, tr!("They count from now on."));
            Ok(())
        }
    }
}

fn list(device: &Here, turn: &Turn) -> Result<(), Fault> {
    let rows = turn.read(&device.folder)?.staff()?.devices;
    let value = rows.iter().map(|row| {
        json!({
            "key": row.key, "fingerprint": row.fingerprint, "name": row.name,
            "staff": words::staff(&row.staff), "role": Role::from(&row.role).word(),
            "from": row.from.as_ref().map(|day| &day.date),
            "until": row.until.as_ref().map(|day| &day.date),
            "state": DeviceStands::from(&row.state).word(), "why": row.why, "this": row.own,
        })
    });
    let value = json!({ "devices": value.collect::<Vec<_>>() });
    turn.answer(
        "device.list",
        &value,
        || rows.iter().map(|row| row.key.to_string()).collect(),
        || {
            let line = |row: &DeviceRow| {
                let (role, state) = (Role::from(&row.role), DeviceStands::from(&row.state));
                let (role, state) = (role.said(), state.said());
                let (name, staff) = (&row.name, &row.staff.name);
                format!(
                    "{}  {name:<24}  {staff:<24}  {role:<12}  {state}",
                    row.fingerprint
                )
            };
            rows.iter().map(line).collect()
        },
    );
    Ok(())
}
