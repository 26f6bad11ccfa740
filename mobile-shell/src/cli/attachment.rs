//! `tallywater file`: photographs and sounds that are kept with a session.

use std::path::{Path, PathBuf};

use clap::Subcommand;
use serde_json::{Value, json};
use tallywater_bindings::{
    AttachmentHere, AttachmentOf, AttachmentRow, AttachmentsView, Fault, FileHere, Request,
    Tallywater,
};

use super::catalogue::{t, tr};
use super::find;
use super::of::{Of, Opened};
use super::out::Out;
use super::site::At;
use super::spoken;
use super::turn::Turn;
use super::words::{self, Media};

/// What is asked of photographs and sounds.
#[derive(Debug, Subcommand)]
pub(super) enum File {
    /// Keep a photograph or a sound with a session; where and with what it was taken is left out.
    Keep {
        #[command(flatten)]
        at: At,
        /// The photograph (JPEG, PNG) or the sound (Ogg, WAV, MP4); `-` for the standard input.
        #[arg(required_unless_present = "record")]
        path: Option<PathBuf>,
        /// Record a spoken note with this computer's microphone instead, until Enter, Ctrl-C or
        /// the end of the standard input; it is on no disk before it is kept.
        #[arg(long, conflicts_with = "path")]
        record: bool,
        /// End the recording after so many seconds and not at Enter.
        #[arg(long, requires = "record", conflicts_with = "path")]
        seconds: Option<u32>,
        /// The student it is of: an id, or a name or its beginning.
        #[arg(long, short)]
        student: Option<String>,
        /// The number at the head of the slate that it shows.
        #[arg(long)]
        slate: Option<String>,
    },
    /// List the photographs and sounds of a course, with what was said of them.
    List {
        #[command(flatten)]
        of: Of,
        /// Only those of this session.
        #[arg(long)]
        session: Option<String>,
        /// Only those of this student.
        #[arg(long, short)]
        student: Option<String>,
    },
    /// Write a photograph or a sound as it is kept, checked against its digest.
    Show {
        #[command(flatten)]
        of: Of,
        /// The id of the photograph or sound, as `file list` has it.
        file: String,
        #[command(flatten)]
        out: Out,
    },
    /// Say what is seen or heard; what is said last holds. No mark is made from it.
    Say {
        #[command(flatten)]
        of: Of,
        /// The id of the photograph or sound, as `file list` has it.
        file: String,
        /// What is to be said; `-` for the standard input.
        text: String,
    },
}

/// A photograph or a sound, with the session that it is kept with.
struct Kept {
    row: AttachmentRow,
    session: String,
    title: String,
}

/// Does what was asked of photographs and sounds.
pub(super) fn run(asked: &File, turn: &Turn) -> Result<(), Fault> {
    match asked {
        File::Keep {
            at,
            path,
            record: _,
            seconds,
            student,
            slate,
        } => {
            let of = |opened: &Opened| -> Result<AttachmentOf, Fault> {
                let (desk, course) = (&opened.desk, opened.id());
                let session = find::session(desk, &course, &at.session)?
                    .session
                    .to_string();
                Ok(AttachmentOf {
                    student: find::student_id(desk, &course, student.as_ref())?,
                    course,
                    session,
                    slate: slate.clone(),
                })
            };
            let receipt = match path {
                Some(path) => {
                    let bytes = turn.file(path)?;
                    let opened = at.of.write(turn)?;
                    opened.desk.keep_attachment(of(&opened)?, bytes)?
                }
                None => spoken::kept(&at.of, &of, *seconds, turn)?,
            };
            turn.recorded(&receipt, tr!("The file is kept."));
            Ok(())
        }
        File::List {
            of,
            session,
            student,
        } => list(of, session.as_ref(), student.as_ref(), turn),
        File::Show { of, file, out } => {
            let opened = of.read(turn)?;
            let row = found(&opened.desk, &opened.id(), file)?.row;
            let entry = row.entry.to_string();
            let missing = |rule| Err(find::refused(rule, "file", Some(&entry)));
            match opened.desk.attachment_bytes(opened.id(), entry.clone())? {
                FileHere::Whole { bytes } => {
                    let kind = Media::from(&row.file.media).word();
                    let sha256 = row.file.sha256.to_string();
                    out.digested(turn, &kind, Some(&sha256), bytes)
                }
                FileHere::OnItsWay { have: _ } => missing("file_on_its_way"),
                FileHere::Hurt => missing("file_hurt"),
                FileHere::Gone => missing("file_gone"),
            }
        }
        File::Say { of, file, text } => {
            let text = if text == "-" {
                turn.text(Path::new("-"))?.trim().to_owned()
            } else {
                text.clone()
            };
            let opened = of.write(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let attachment = found(desk, &course, file)?.row.entry.to_string();
            let receipt = desk.record(Request::SayOfAttachment {
                course,
                attachment,
                text,
            })?;
            turn.recorded(&receipt, tr!("The words are recorded."));
            Ok(())
        }
    }
}

/// Every photograph and sound of a session, or of all sessions of the course.
fn all(desk: &Tallywater, course: &str, session: Option<String>) -> Result<Vec<Kept>, Fault> {
    let sessions = match session {
        Some(session) => vec![session],
        None => {
            let rows = desk.session_list(course.to_owned())?.rows;
            rows.into_iter()
                .map(|row| row.session.to_string())
                .collect()
        }
    };
    let mut found = Vec::new();
    for session in sessions {
        let AttachmentsView {
            session,
            title,
            rows,
            ..
        } = desk.attachments(course.to_owned(), session)?;
        found.extend(rows.into_iter().map(|row| Kept {
            row,
            session: session.to_string(),
            title: title.clone(),
        }));
    }
    Ok(found)
}

/// A photograph or sound that was named by its id or the end of it.
fn found(desk: &Tallywater, course: &str, asked: &str) -> Result<Kept, Fault> {
    let rows = all(desk, course, None)?;
    find::one("file", asked, rows, |kept| (&kept.row.entry, Vec::new()))
}

fn list(
    of: &Of,
    session: Option<&String>,
    student: Option<&String>,
    turn: &Turn,
) -> Result<(), Fault> {
    let opened = of.read(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let session = find::session_id(desk, &course, session)?;
    let student = find::student_id(desk, &course, student)?;
    let mut rows = all(desk, &course, session)?;
    if let Some(student) = &student {
        rows.retain(|kept| {
            let of = kept.row.student.as_ref();
            of.is_some_and(|name| &name.student == student)
        });
    }
    let files: Vec<Value> = rows.iter().map(file_json).collect();
    let value = json!({ "course": course, "files": files });
    let ids = || rows.iter().map(|kept| kept.row.entry.to_string()).collect();
    turn.answer("file.list", &value, ids, || {
        rows.iter().flat_map(file_lines).collect()
    });
    Ok(())
}

fn file_json(kept: &Kept) -> Value {
    let row = &kept.row;
    json!({
        "entry": row.entry, "session": kept.session,
        "student": row.student.as_ref().map(words::student), "slate": row.slate,
        "kind": Media::from(&row.file.media).word(), "bytes": row.file.bytes,
        "sha256": row.file.sha256, "by": words::staff(&row.by), "at": row.at.at.to_rfc3339(),
        "words": row.text.as_ref().map(|said| json!({
            "text": said.text, "by": words::staff(&said.by), "at": said.at.at.to_rfc3339(),
        })),
        "here": here_word(&row.here), "have": have(row),
    })
}

/// How much of it is on this device, as JSON has it.
const fn here_word(here: &AttachmentHere) -> &'static str {
    match here {
        AttachmentHere::Whole => "whole",
        AttachmentHere::OnItsWay { .. } => "on-its-way",
        AttachmentHere::Hurt => "hurt",
        AttachmentHere::Refused => "refused",
        AttachmentHere::Gone => "gone",
    }
}

/// How many of its bytes can be shown.
const fn have(row: &AttachmentRow) -> u32 {
    match row.here {
        AttachmentHere::Whole => row.file.bytes,
        AttachmentHere::OnItsWay { have } => have,
        AttachmentHere::Hurt | AttachmentHere::Refused | AttachmentHere::Gone => 0,
    }
}

/// What keeps it from being shown; `None` where nothing does.
fn here_said(row: &AttachmentRow) -> Option<String> {
    Some(match row.here {
        AttachmentHere::Whole => return None,
        AttachmentHere::OnItsWay { have } => tr!(
            "on its way: {have} of {all} bytes are here",
            have = have,
            all = row.file.bytes
        ),
        AttachmentHere::Hurt => tr!("damaged here, and fetched again at the next meeting"),
        AttachmentHere::Refused => tr!("it came, and is not of the kind that its entry says"),
        AttachmentHere::Gone => tr!("not kept any more"),
    })
}

fn file_lines(kept: &Kept) -> Vec<String> {
    let row = &kept.row;
    let media = Media::from(&row.file.media);
    let kind = match media {
        Media::Jpeg | Media::Png => t("Photograph"),
        Media::Ogg | Media::Wav | Media::Mp4 => t("Sound"),
    };
    let bytes = tr!("{n} bytes", n = row.file.bytes);
    let mut parts = vec![format!("{kind}, {}, {bytes}", media.said())];
    parts.push(kept.title.clone());
    parts.extend(row.student.as_ref().map(|name| name.short.clone()));
    let slate = row.slate.as_ref();
    parts.extend(slate.map(|number| tr!("slate {number}", number = number)));
    parts.extend(here_said(row));
    let at = words::moment(&row.at);
    let mut lines = vec![
        format!("{}  {at}  {}  {}", row.entry, row.by.name, parts.join("; ")),
        format!("  SHA-256 {}", row.file.sha256),
    ];
    lines.extend(row.text.as_ref().map(|said| {
        let line = tr!(
            "In words, by {who}: {text}",
            who = said.by.name,
            text = said.text
        );
        format!("  {line}")
    }));
    lines
}
