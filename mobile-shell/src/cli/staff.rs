//! `tallywater staff` and `tallywater school`: who works here, and what the school is called.

use clap::Subcommand;
use serde_json::json;
use tallywater_bindings::{Fault, Request, StaffRow};

use super::catalogue::tr;
use super::find;
use super::of::{Device, Of};
use super::turn::Turn;
use super::when;
use super::words::{Role, StaffPaper};

/// What is asked of the school itself.
#[derive(Debug, Subcommand)]
pub(super) enum School {
    /// Show the school, this device and who it acts for.
    Show {
        #[command(flatten)]
        device: Device,
    },
    /// Give the school another name.
    Rename {
        #[command(flatten)]
        device: Device,
        /// The name from now on.
        #[arg(long)]
        name: String,
    },
    /// Show and read figures in other units on this device from now on.
    Units {
        #[command(flatten)]
        device: Device,
        /// The units.
        #[arg(value_enum)]
        units: Units,
    },
}

/// The units of figures.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
pub(super) enum Units {
    /// Metres, bar, kilograms.
    Metric,
    /// Feet, psi, pounds.
    Imperial,
}

/// What is asked of staff.
#[derive(Debug, Subcommand)]
pub(super) enum Staff {
    /// List the staff with their devices and courses.
    List {
        #[command(flatten)]
        device: Device,
    },
    /// Put a person on the staff list. Their device is let in with `tallywater code`.
    Join {
        #[command(flatten)]
        device: Device,
        /// The person's name.
        #[arg(long)]
        name: String,
    },
    /// Give a member of staff another name.
    Rename {
        #[command(flatten)]
        device: Device,
        /// Who: an id, a name or its beginning.
        who: String,
        /// The name from now on.
        #[arg(long)]
        name: String,
    },
    /// Note that something a member of staff renews was seen.
    Renew {
        #[command(flatten)]
        device: Device,
        /// Who: an id, a name or its beginning.
        who: String,
        /// What was seen.
        #[arg(value_enum)]
        what: StaffPaper,
        /// Its last day; left out where it has no end.
        #[arg(long, value_name = "DAY", allow_hyphen_values = true)]
        until: Option<String>,
    },
    /// Assign a member of staff to a course.
    Assign {
        #[command(flatten)]
        of: Of,
        /// Who: an id, a name or its beginning.
        who: String,
        /// As what.
        #[arg(long = "as", value_enum)]
        role: Role,
    },
    /// Take somebody off a course; what they signed in it stands.
    TakeOff {
        #[command(flatten)]
        of: Of,
        /// Who: an id, a name or its beginning.
        who: String,
    },
}

/// Does what was asked of the school.
pub(super) fn school(school: &School, turn: &Turn) -> Result<(), Fault> {
    match school {
        School::Show { device } => {
            let desk = turn.read(&device.folder)?;
            let state = desk.state()?;
            let shop = state.shop.clone();
            let me = state.me.as_ref().map(|me| {
                json!({
                    "id": me.name.staff, "name": me.name.name,
                    "role": Role::from(&me.role).word(), "device": me.device,
                })
            });
            let value = json!({ "school": shop, "me": me, "alone": state.lone });
            turn.answer(
                "school.show",
                &value,
                || {
                    state
                        .me
                        .iter()
                        .map(|me| me.name.staff.to_string())
                        .collect()
                },
                || {
                    let mut lines = vec![
                        shop.clone()
                            .unwrap_or_else(|| tr!("This device belongs to no dive centre yet.")),
                    ];
                    if let Some(me) = &state.me {
                        let role = Role::from(&me.role).said();
                        lines.push(format!("{}, {role}, {}", me.name.name, me.device));
                    }
                    lines
                },
            );
            Ok(())
        }
        School::Rename { device, name } => {
            let name = name.clone();
            let receipt = turn
                .write(&device.folder)?
                .record(Request::RenameShop { name })?;
            turn.recorded(&receipt, tr!("The school has its new name."));
            Ok(())
        }
        School::Units { device, units } => {
            let units = match units {
                Units::Metric => tallywater_bindings::Units::Metric,
                Units::Imperial => tallywater_bindings::Units::Imperial,
            };
            turn.write(&device.folder)?.set_units(units)?;
            turn.done(tr!("This device works in these units from now on."));
            Ok(())
        }
    }
}

/// Does what was asked of staff.
pub(super) fn run(staff: &Staff, turn: &Turn) -> Result<(), Fault> {
    match staff {
        Staff::List { device } => list(device, turn),
        Staff::Join { device, name } => {
            let name = name.clone();
            let receipt = turn
                .write(&device.folder)?
                .record(Request::JoinStaff { name })?;
            let id = receipt.made.clone().unwrap_or_default();
            turn.recorded(&receipt, tr!("On the staff list: {id}", id = id));
            Ok(())
        }
        Staff::Rename { device, who, name } => {
            let desk = turn.write(&device.folder)?;
            let staff = find::staff(&desk, who)?.staff.to_string();
            let name = name.clone();
            let receipt = desk.record(Request::RenameStaff { staff, name })?;
            turn.recorded(&receipt, tr!("The new name is on the staff list."));
            Ok(())
        }
        Staff::Renew {
            device,
            who,
            what,
            until,
        } => {
            let desk = turn.write(&device.folder)?;
            let staff = find::staff(&desk, who)?.staff.to_string();
            let until = until.as_ref().map(|typed| when::day(&desk, typed));
            let receipt = desk.record(Request::RenewStaff {
                staff,
                what: (*what).into(),
                until: until.transpose()?,
            })?;
            turn.recorded(&receipt, tr!("The renewal is noted."));
            Ok(())
        }
        Staff::Assign { of, who, role } => {
            let opened = of.write(turn)?;
            let receipt = opened.desk.record(Request::AssignStaff {
                course: opened.id(),
                staff: find::staff(&opened.desk, who)?.staff.to_string(),
                role: (*role).into(),
            })?;
            turn.recorded(&receipt, tr!("Assigned to the course."));
            Ok(())
        }
        Staff::TakeOff { of, who } => {
            let opened = of.write(turn)?;
            let receipt = opened.desk.record(Request::TakeOffStaff {
                course: opened.id(),
                staff: find::staff(&opened.desk, who)?.staff.to_string(),
            })?;
            turn.recorded(&receipt, tr!("Taken off the course."));
            Ok(())
        }
    }
}

fn list(device: &Device, turn: &Turn) -> Result<(), Fault> {
    let seen = turn.read(&device.folder)?.staff()?;
    let value = seen.staff.iter().map(|row| {
        let roles: Vec<String> = row
            .roles
            .iter()
            .map(|role| Role::from(role).word())
            .collect();
        json!({
            "id": row.name.staff, "name": row.name.name, "roles": roles,
            "devices": row.devices, "courses": row.courses,
        })
    });
    let value = json!({ "school": seen.shop, "staff": value.collect::<Vec<_>>() });
    turn.answer(
        "staff.list",
        &value,
        || {
            seen.staff
                .iter()
                .map(|row| row.name.staff.to_string())
                .collect()
        },
        || {
            let line = |row: &StaffRow| {
                let roles: Vec<&str> = row
                    .roles
                    .iter()
                    .map(|role| Role::from(role).said())
                    .collect();
                let devices = tr!("devices: {count}", count = row.devices);
                format!(
                    "{}  {:<28}  {}  {devices}",
                    row.name.staff,
                    row.name.name,
                    roles.join(", ")
                )
            };
            seen.staff.iter().map(line).collect()
        },
    );
    Ok(())
}
