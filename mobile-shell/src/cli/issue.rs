//! Kit that goes out and comes back: issued to somebody for a session, taken back, and what a
//! session's people need; a student's sizes.

use clap::Args;
use tallywater_bindings::{Fault, KitOutRow, Request, Sizes, Tallywater, Who};

use super::catalogue::tr;
use super::kit_act::{at, names, piece_of, recorded};
use super::of::{Of, Opened};
use super::session::At;
use super::site::over;
use super::turn::Turn;
use super::words::KitKind;
use super::{find, kit_shown};

/// Pieces that are issued.
#[derive(Debug, Args)]
pub(super) struct Issue {
    #[command(flatten)]
    at: At,
    /// A piece, as often as there are such: its kind and number, as "regulator 12", or its id.
    #[arg(
        long,
        short,
        value_name = "PIECE",
        requires = "to",
        required_unless_present = "proposed"
    )]
    piece: Vec<String>,
    /// Who gets it: a student, or a member of staff.
    #[arg(long, value_name = "WHO")]
    to: Option<String>,
    /// What is proposed: for whoever is named, or for everybody.
    #[arg(long, conflicts_with = "piece")]
    proposed: bool,
    /// Why it is issued although it is faulty or past its date.
    #[arg(long, value_name = "REASON", conflicts_with = "proposed")]
    despite: Option<String>,
    /// When; now if left out.
    #[arg(long, allow_hyphen_values = true)]
    when: Option<String>,
    /// Ask every rule, and record nothing.
    #[arg(long)]
    preview: bool,
}

/// Pieces that come back.
#[derive(Debug, Args)]
pub(super) struct Return {
    #[command(flatten)]
    of: Of,
    /// A piece, as often as there are such: its kind and number, as "regulator 12", its id, or
    /// the entry that issued it.
    #[arg(
        long,
        short,
        value_name = "PIECE",
        required_unless_present = "everything"
    )]
    piece: Vec<String>,
    /// Everything that is out: of the session and the person that are named, or of the course.
    #[arg(long, conflicts_with = "piece")]
    everything: bool,
    /// Only what was issued for this session.
    #[arg(long)]
    session: Option<String>,
    /// Only what this student or member of staff has.
    #[arg(long, value_name = "WHO")]
    from: Option<String>,
    /// What is wrong with it: it is faulty until somebody mends it.
    #[arg(long, value_name = "WORDS", conflicts_with = "everything")]
    fault: Option<String>,
    /// When; now if left out.
    #[arg(long, allow_hyphen_values = true)]
    when: Option<String>,
    /// Ask every rule, and record nothing.
    #[arg(long)]
    preview: bool,
}

/// Shows what each person of a session needs, has, and could be issued.
#[derive(Debug, Args)]
pub(super) struct ForSession {
    #[command(flatten)]
    at: At,
}

/// A student's sizes.
#[derive(Debug, Args)]
pub(super) struct OfStudent {
    #[command(flatten)]
    of: Of,
    /// Who: an id, or a name or its beginning.
    who: String,
    /// The size of the suit; "" for not known, as for every size.
    #[arg(long)]
    suit: Option<String>,
    /// The size of the boots.
    #[arg(long)]
    boots: Option<String>,
    /// The size of the fins.
    #[arg(long)]
    fins: Option<String>,
    /// The mask that fits.
    #[arg(long)]
    mask: Option<String>,
    /// The size of the BCD.
    #[arg(long)]
    bcd: Option<String>,
    /// A kind of kit that the student brings, as often as there are such.
    #[arg(long, value_enum, value_name = "KIND")]
    brings: Vec<KitKind>,
    /// The student brings nothing.
    #[arg(long, conflicts_with = "brings")]
    brings_nothing: bool,
}

/// Shows what a session's people need.
pub(super) fn session(asked: &ForSession, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.at.of.read(turn)?;
    let id = find::session(&opened.desk, &opened.id(), &asked.at.session)?
        .session
        .to_string();
    kit_shown::session(&opened.desk.kit_issue(opened.id(), id)?, turn);
    Ok(())
}

/// Issues pieces: all of them or none.
pub(super) fn issue(asked: &Issue, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.at.of.write(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let session = find::session(desk, &course, &asked.at.session)?
        .session
        .to_string();
    let to = asked.to.as_ref();
    let to = to.map(|asked| find::diver(desk, &opened.course, asked));
    let to = to.transpose()?;
    let pairs = match &to {
        Some(to) if !asked.proposed => named(desk, &asked.piece, to)?,
        _ => proposed(&opened, &session, to.as_ref())?,
    };
    if pairs.is_empty() {
        return Err(Fault::rule("nothing_open"));
    }
    let when = at(desk, asked.when.as_ref())?;
    let count = pairs.len();
    let requests = pairs.into_iter().map(|(piece, to)| Request::IssueKit {
        course: course.clone(),
        session: session.clone(),
        piece,
        to,
        despite: asked.despite.clone(),
        when: when.clone(),
    });
    let said = tr!("Issued: {count}", count = count);
    recorded(desk, requests.collect(), asked.preview, turn, said)
}

/// The pieces that were named, all for one.
fn named(desk: &Tallywater, asked: &[String], to: &Who) -> Result<Vec<(String, Who)>, Fault> {
    let found = asked.iter();
    let found = found.map(|asked| Ok((piece_of(desk, asked)?.piece, to.clone())));
    found.collect()
}

/// What is proposed: for one, or for everybody of the session.
fn proposed(opened: &Opened, session: &str, to: Option<&Who>) -> Result<Vec<(String, Who)>, Fault> {
    let seen = opened.desk.kit_issue(opened.id(), session.to_owned())?;
    let rows = seen.rows.into_iter().map(|row| (Who::from(&row.who), row));
    let wanted = rows.filter(|(who, _)| to.is_none_or(|to| to == who));
    let pairs = wanted.flat_map(|(who, row)| {
        let lines = row.lines.into_iter().filter_map(|line| line.proposed);
        lines.map(move |name| (name.piece.to_string(), who.clone()))
    });
    Ok(pairs.collect())
}

/// Takes pieces back: all of them or none.
pub(super) fn give_back(asked: &Return, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.of.write(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let session = find::session_id(desk, &course, asked.session.as_ref())?;
    let from = asked.from.as_ref();
    let from = from.map(|asked| find::diver(desk, &opened.course, asked));
    let from = from.transpose()?;
    let rows = desk.kit()?.rows.into_iter().flat_map(|row| row.out);
    let wanted = rows.filter(|row| {
        row.course == course
            && session.as_ref().is_none_or(|one| *one == row.session)
            && from.as_ref().is_none_or(|one| *one == Who::from(&row.who))
    });
    let mut out: Vec<KitOutRow> = wanted.collect();
    if !asked.everything {
        let named = asked.piece.iter().map(|piece| one(desk, &out, piece));
        out = named.collect::<Result<_, _>>()?;
    }
    if out.is_empty() {
        return Err(Fault::rule("nothing_open"));
    }
    let when = at(desk, asked.when.as_ref())?;
    let count = out.len();
    let requests = out.into_iter().map(|row| Request::ReturnKit {
        course: course.clone(),
        issue: row.entry.to_string(),
        fault: asked.fault.clone(),
        when: when.clone(),
    });
    let said = tr!("Back: {count}", count = count);
    recorded(desk, requests.collect(), asked.preview, turn, said)
}

/// One of those that are out, by the entry that issued it, or by the piece.
fn one(desk: &Tallywater, out: &[KitOutRow], asked: &str) -> Result<KitOutRow, Fault> {
    let named = out.iter().map(|row| {
        let mut names = names(KitKind::from(&row.piece.kind), &row.piece.number);
        names.push(row.piece.piece.to_string());
        (row.clone(), names)
    });
    let found = find::one("piece", asked, named.collect(), |(row, names)| {
        (&row.entry, names.iter().collect())
    });
    match found {
        Ok((row, _)) => Ok(row),
        // It is there and nobody has it, or it is not there at all.
        Err(missing @ Fault::NotFound { .. }) => match piece_of(desk, asked) {
            Ok(piece) => Err(Fault::rule("nothing_open").what("piece").id(piece.piece)),
            Err(_) => Err(missing),
        },
        Err(fault) => Err(fault),
    }
}

/// Shows a student's sizes, or keeps what was given of them; what is not given stays.
pub(super) fn sizes(asked: &OfStudent, turn: &Turn) -> Result<(), Fault> {
    let given = [
        &asked.suit,
        &asked.boots,
        &asked.fins,
        &asked.mask,
        &asked.bcd,
    ];
    let given = given.iter().any(|size| size.is_some());
    if !given && asked.brings.is_empty() && !asked.brings_nothing {
        let opened = asked.of.read(turn)?;
        let student = find::student(&opened.desk, &opened.id(), &asked.who)?
            .student
            .to_string();
        kit_shown::sizes(&opened.desk.sizes(opened.id(), student)?, turn);
        return Ok(());
    }
    let opened = asked.of.write(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let student = find::student(desk, &course, &asked.who)?
        .student
        .to_string();
    let known = desk.sizes(course.clone(), student.clone())?.sizes;
    let mut sizes = known.unwrap_or_else(|| Sizes {
        suit: String::new(),
        boots: String::new(),
        fins: String::new(),
        mask: String::new(),
        bcd: String::new(),
        own: Vec::new(),
    });
    over(&mut sizes.suit, asked.suit.as_ref());
    over(&mut sizes.boots, asked.boots.as_ref());
    over(&mut sizes.fins, asked.fins.as_ref());
    over(&mut sizes.mask, asked.mask.as_ref());
    over(&mut sizes.bcd, asked.bcd.as_ref());
    if asked.brings_nothing || !asked.brings.is_empty() {
        sizes.own = asked.brings.iter().map(|kind| (*kind).into()).collect();
    }
    let receipt = desk.record(Request::SetSizes {
        course,
        student,
        sizes,
    })?;
    turn.recorded(&receipt, tr!("The sizes are kept."));
    Ok(())
}
