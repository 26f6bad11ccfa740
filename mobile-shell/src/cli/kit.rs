//! `tallywater kit`: the school's kit: described, faulty, mended, retired. Who has it is in
//! `issue.rs`.

use clap::{Args, Subcommand};
use tallywater_bindings::{Fault, KitPiece, Request, Tallywater};

use super::catalogue::tr;
use super::kit_act::{add, at, list, mended, piece_of, recorded};
use super::of::Device;
use super::site::over;
use super::turn::Turn;
use super::words::{KitKind, KitStands};
use super::{issue, kit_shown, when};

/// What is asked of the school's kit.
#[derive(Debug, Subcommand)]
pub(super) enum Kit {
    /// List the school's kit: what is free, issued, faulty, past its date.
    List {
        #[command(flatten)]
        device: Device,
        /// Only pieces of this kind.
        #[arg(long, value_enum)]
        kind: Option<KitKind>,
        /// Only pieces that stand so.
        #[arg(long, value_enum)]
        state: Option<KitStands>,
    },
    /// Show a piece: its dates, its faults, who has it.
    Show {
        #[command(flatten)]
        device: Device,
        #[command(flatten)]
        piece: Piece,
    },
    /// Describe a piece that is new to the school.
    Add {
        #[command(flatten)]
        device: Device,
        /// What it is.
        #[arg(value_enum)]
        kind: KitKind,
        /// Its number: no other piece of its kind that is in use has it.
        number: String,
        #[command(flatten)]
        about: About,
        /// Do nothing if a piece of this kind and number is in use already.
        #[arg(long)]
        skip_existing: bool,
        /// Ask every rule, and record nothing.
        #[arg(long)]
        preview: bool,
    },
    /// Describe a piece anew; what is not given stays. One that was retired is in use again.
    Change {
        #[command(flatten)]
        device: Device,
        #[command(flatten)]
        piece: Piece,
        /// What it is.
        #[arg(long, value_enum)]
        kind: Option<KitKind>,
        /// Another number for it from now on.
        #[arg(long)]
        number: Option<String>,
        #[command(flatten)]
        about: About,
        /// Ask every rule, and record nothing.
        #[arg(long)]
        preview: bool,
    },
    /// Take a piece out of use for good.
    Retire {
        #[command(flatten)]
        device: Device,
        #[command(flatten)]
        piece: Piece,
        /// Why.
        #[arg(long)]
        why: String,
    },
    /// Report what is wrong with a piece: it is faulty until somebody mends it.
    Fault {
        #[command(flatten)]
        device: Device,
        #[command(flatten)]
        piece: Piece,
        /// What is wrong with it.
        #[arg(long)]
        what: String,
        /// When it was seen; now if left out.
        #[arg(long, allow_hyphen_values = true)]
        when: Option<String>,
    },
    /// Say how a fault was mended.
    Mended {
        #[command(flatten)]
        device: Device,
        #[command(flatten)]
        piece: Piece,
        /// How.
        #[arg(long)]
        how: String,
        /// Which fault, where the piece has several: its entry.
        #[arg(long, value_name = "ENTRY")]
        fault: Option<String>,
        /// All its faults.
        #[arg(long, conflicts_with = "fault")]
        all: bool,
        /// When; now if left out.
        #[arg(long, allow_hyphen_values = true)]
        when: Option<String>,
    },
    /// Issue pieces for a session: those that are named, or what is proposed.
    ///
    /// A piece that is faulty or past its date is issued only with a reason, and a piece that
    /// somebody has only once it is back.
    Issue(issue::Issue),
    /// Take pieces back: those that are named, or all that somebody has.
    Return(issue::Return),
}

/// A piece that is there.
#[derive(Debug, Args)]
#[group(skip)]
pub(super) struct Piece {
    /// The piece: its kind and number, as "regulator 12", or its id.
    #[arg(value_name = "PIECE")]
    pub(super) named: String,
}

/// What is known of a piece besides its kind and number.
#[derive(Debug, Args)]
#[group(skip)]
pub(super) struct About {
    /// Its size, as it is written on it.
    #[arg(long)]
    size: Option<String>,
    /// Its maker's serial number.
    #[arg(long)]
    serial: Option<String>,
    /// When it was last serviced: a day, or "" for none.
    #[arg(long, value_name = "DAY", allow_hyphen_values = true)]
    serviced: Option<String>,
    /// The last day on which its service counts: a day, or "" for none.
    #[arg(long, value_name = "DAY", allow_hyphen_values = true)]
    service_due: Option<String>,
    /// The last day on which its test counts, as of a cylinder: a day, or "" for none.
    #[arg(long, value_name = "DAY", allow_hyphen_values = true)]
    test_due: Option<String>,
    /// What else is to be known of it.
    #[arg(long)]
    note: Option<String>,
}

impl About {
    /// What was given, in place of what was there.
    pub(super) fn over(&self, desk: &Tallywater, mut piece: KitPiece) -> Result<KitPiece, Fault> {
        over(&mut piece.size, self.size.as_ref());
        over(&mut piece.serial, self.serial.as_ref());
        over(&mut piece.note, self.note.as_ref());
        day(
            desk,
            &mut piece.serviced,
            self.serviced.as_ref(),
            "serviced",
        )?;
        day(
            desk,
            &mut piece.service_due,
            self.service_due.as_ref(),
            "service due",
        )?;
        day(
            desk,
            &mut piece.test_due,
            self.test_due.as_ref(),
            "test due",
        )?;
        Ok(piece)
    }
}

/// A day that was given, or none of it, in place of what was there.
fn day(
    desk: &Tallywater,
    into: &mut Option<String>,
    given: Option<&String>,
    field: &str,
) -> Result<(), Fault> {
    match given {
        None => {}
        Some(text) if text.trim().is_empty() => *into = None,
        Some(text) => *into = Some(when::day(desk, text).map_err(|fault| fault.of(field))?),
    }
    Ok(())
}

/// Does what was asked.
pub(super) fn run(kit: &Kit, turn: &Turn) -> Result<(), Fault> {
    match kit {
        Kit::List {
            device,
            kind,
            state,
        } => list(device, *kind, *state, turn),
        Kit::Show { device, piece } => {
            let desk = turn.read(&device.folder)?;
            let row = piece_of(&desk, &piece.named)?;
            let ids = || vec![row.piece.to_string()];
            turn.answer("kit.show", &kit_shown::piece_json(&row), ids, || {
                kit_shown::piece_lines(&row)
            });
            Ok(())
        }
        Kit::Add { .. } => add(kit, turn),
        Kit::Change {
            device,
            piece,
            kind,
            number,
            about,
            preview,
        } => {
            let desk = turn.write(&device.folder)?;
            let row = piece_of(&desk, &piece.named)?;
            let mut details = about.over(&desk, row.details)?;
            if let Some(kind) = kind {
                details.kind = (*kind).into();
            }
            over(&mut details.number, number.as_ref());
            let piece = Some(row.piece);
            let set = vec![Request::SetKit { piece, details }];
            recorded(&desk, set, *preview, turn, tr!("The piece is described."))
        }
        Kit::Retire { device, piece, why } => {
            let desk = turn.write(&device.folder)?;
            let receipt = desk.record(Request::RetireKit {
                piece: piece_of(&desk, &piece.named)?.piece,
                why: why.clone(),
            })?;
            turn.recorded(&receipt, tr!("The piece is out of use."));
            Ok(())
        }
        Kit::Fault {
            device,
            piece,
            what,
            when,
        } => {
            let desk = turn.write(&device.folder)?;
            let receipt = desk.record(Request::ReportKitFault {
                piece: piece_of(&desk, &piece.named)?.piece,
                what: what.clone(),
                when: at(&desk, when.as_ref())?,
            })?;
            turn.recorded(&receipt, tr!("The fault is written down."));
            Ok(())
        }
        Kit::Mended { .. } => mended(kit, turn),
        Kit::Issue(asked) => issue::issue(asked, turn),
        Kit::Return(asked) => issue::give_back(asked, turn),
    }
}
