//! The command line: each command asks the border and says what it answers.
//!
//! Commands are named by a noun and a verb; a course, student, session, skill or device by its
//! id or by the beginning of its name. Reading commands look beside whoever has the folder in
//! use; recording ones are done by the host that has it (`relay.rs`).
//!
//! Exit codes: 0 done; 1 no: what was asked does not hold, or could not be done; 2 the command
//! line was not understood; 3 not there; 4 refused; 5 damaged, or from a newer version.

#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a command line prints"
)]

mod agenda;
mod ahead;
mod attachment;
mod board;
mod calculate;
mod catalogue;
mod check;
mod console;
mod course;
mod debrief;
mod demo;
mod device;
mod entry;
mod export;
mod fault;
mod figures;
mod find;
mod form;
mod headcount;
mod help;
mod host;
mod import;
mod incident;
mod incident_shown;
mod issue;
mod keep;
mod kit;
mod kit_act;
mod kit_list;
mod kit_shown;
mod limits;
mod lost_day;
mod next;
mod of;
mod out;
mod outline;
mod outline_fault;
mod own_dives;
mod paper;
mod picture;
mod record;
mod relay;
mod rescue;
mod rule_fault;
mod rule_said;
mod rules;
mod season;
mod session;
mod shared;
mod shop;
mod shown;
mod site;
mod skill;
mod spoken;
mod staff;
mod student;
mod sweep;
mod table_file;
mod teams;
mod times;
mod today;
mod turn;
mod verify;
mod water;
mod when;
mod window;
mod words;

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use clap::{CommandFactory as _, FromArgMatches as _, Parser, Subcommand};
use tallywater_bindings::{Fault, Figure, Tallywater, unit_symbol};

use catalogue::Language;
use of::Device;
use turn::{Shape, Turn};

/// Not done, or what was asked does not hold.
const NO: u8 = 1;
/// Something that was named is not there.
const NOT_THERE: u8 = 3;
/// A rule forbids it.
const REFUSED: u8 = 4;
/// What was read is damaged, or from a newer version.
const DAMAGED: u8 = 5;

/// Tallywater keeps the skills, sessions and records of entry-level scuba courses.
///
/// It records and calculates; it clears nobody to dive. Local law, the training
/// organisation's current standards and a licensed physician come first.
#[derive(Debug, Parser)]
#[command(name = "tallywater", version)]
struct Line {
    /// The folder of the window; the account's own data folder if left out.
    #[arg(long)]
    folder: Option<PathBuf>,
    /// The language of what the program says and prints; the account's if left out.
    #[arg(long, global = true, value_enum)]
    language: Option<Language>,
    /// Answer as one JSON value; mobile-shell/JSON.md says what is in it.
    #[arg(long, global = true)]
    json: bool,
    /// Answer with ids alone, one a line: of what was made, or of what is listed.
    #[arg(long, global = true, conflicts_with = "json")]
    ids: bool,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    Demo(demo::Demo),
    /// Set up a shop computer or a lone instructor's device, or restore a shop from its
    /// recovery sheet.
    Setup(shop::Setup),
    /// Print the shop's recovery sheet: whoever has it can act as the shop.
    Recovery {
        #[command(flatten)]
        device: Device,
    },
    /// The school itself: its name, its units.
    #[command(subcommand)]
    School(staff::School),
    /// Who works here, and on which course.
    #[command(subcommand)]
    Staff(staff::Staff),
    /// The devices of the school, those that are shut out, and what came from them late.
    #[command(subcommand)]
    Device(device::Device),
    /// The rules that the school or a course works by.
    #[command(subcommand)]
    Rules(rules::Rules),
    /// The skills that the school or a course teaches.
    #[command(subcommand)]
    Outline(outline::Outline),
    /// What the marks of the season say of the outline, and what is accepted of it.
    #[command(subcommand)]
    Season(season::Season),
    /// Courses, from their opening to their closing.
    #[command(subcommand)]
    Course(course::Course),
    /// Students: enrolled, amended, and what is missing.
    #[command(subcommand)]
    Student(student::Student),
    /// Forms and checks: seen, missing.
    #[command(subcommand)]
    Form(form::Form),
    /// Sessions: planned, moved, cancelled; who went in and came out.
    #[command(subcommand)]
    Session(session::Session),
    /// Skills: marked, settled, confirmed, exempted.
    #[command(subcommand)]
    Skill(skill::Skill),
    /// Dives: listed, logged.
    #[command(subcommand)]
    Dive(water::Dive),
    /// Weight checks: listed, recorded.
    #[command(subcommand)]
    Weight(water::Weight),
    /// Remarks for colleagues.
    #[command(subcommand)]
    Note(entry::Note),
    /// Photographs and sounds: kept with a session, listed, written out, put into words.
    #[command(subcommand)]
    File(attachment::File),
    /// Incidents: listed, reported, written down moment by moment, shown.
    #[command(subcommand)]
    Incident(incident::Incident),
    /// Sites: described, with their emergency plans and who confirmed them.
    #[command(subcommand)]
    Site(site::Site),
    /// The school's hours of pool and site, and who is away: shown, written down, taken in.
    #[command(subcommand)]
    Agenda(agenda::Agenda),
    /// When something goes wrong: the plan, whom to call, what to do, and when it was.
    #[command(subcommand)]
    Emergency(site::Emergency),
    /// The school's kit: sizes, dates and faults; issued and returned.
    #[command(subcommand)]
    Kit(kit::Kit),
    /// What is said to each student after a session.
    #[command(subcommand)]
    Debrief(debrief::Debrief),
    /// What happened in a course, and taking it back.
    #[command(subcommand)]
    Entry(entry::Entry),
    /// A student's record, and the end of the course for a student.
    #[command(subcommand)]
    Record(record::Record),
    /// Show today's sessions, the courses on a device and what waits for someone.
    Today {
        #[command(flatten)]
        device: Device,
    },
    /// Show a course's board: students by skills.
    Board {
        #[command(flatten)]
        device: Device,
        /// The course's id, or its title or the beginning of it; not needed where there is one.
        course: Option<String>,
        /// The same, as other commands take it.
        #[arg(long = "course", short = 'c', conflicts_with = "course")]
        named: Option<String>,
    },
    /// Work out the next session: who runs what with whom, why, and what is left for another day
    Next(next::Next),
    Calculate(calculate::Calculate),
    /// List every calculation: what it rests on, how it was checked, how far to trust it.
    Figures,
    /// Print a training record, a class summary, a session sheet, a slate, briefing cards, the
    /// staff's activity or lists of kit as PDF.
    #[command(subcommand)]
    Paper(paper::Paper),
    /// Write tables, the board, a calendar, a dive log, the kit or a whole course to files.
    #[command(subcommand)]
    Export(export::Export),
    /// Take in a roster, a dive log, a kit list or a course file, checked whole before anything
    /// is taken.
    #[command(subcommand)]
    Import(import::Import),
    /// List what is kept and until when, hold it back, or delete it.
    #[command(subcommand)]
    Keep(keep::Keep),
    /// Check a course file, or a course on a device, and hold a printed record against it.
    ///
    /// Exit code 0: it holds. 1: it does not; what differs is said. 5: the file was changed.
    Verify(verify::Verify),
    /// Check a device's data: its file, every signature, and its scheduled backups.
    Check(check::Check),
    /// Say what can be done about damaged data, and do it. Nothing damaged is deleted.
    #[command(subcommand)]
    Rescue(rescue::Rescue),
    /// Run the shop computer without a window, until Ctrl-C.
    ///
    /// It listens for paired devices on the local network and stores what they bring. It
    /// asks nothing of the internet. Its log, on standard error, names no person.
    Host(host::Host),
    /// Have the running host show a code that lets in one device, and wait for it.
    Code(shop::CodeFor),
    /// Join a shop with the code that another device shows.
    Join(shop::Join),
    /// Show what each device of the shop holds; the running host is asked, if there is one.
    Status {
        #[command(flatten)]
        device: Device,
    },
    /// Write what a shell needs to complete this command line, to the standard output.
    Completions {
        /// The shell.
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Write the manual as man pages into a folder.
    Manual {
        #[command(flatten)]
        out: out::Out,
    },
    /// Write a whole copy of what a device holds, while it goes on working.
    Backup {
        #[command(flatten)]
        device: Device,
        /// The file to write; it must not exist yet.
        file: PathBuf,
    },
}

impl Command {
    /// Whether a host does it for another terminal.
    const fn is_lent(&self) -> bool {
        match self {
            Self::Demo(_)
            | Self::Setup(_)
            | Self::Host(_)
            | Self::Join(_)
            | Self::Completions { .. }
            | Self::Calculate(_)
            | Self::Figures
            | Self::Rescue(_)
            | Self::Manual { .. } => false,
            Self::Recovery { .. }
            | Self::School(_)
            | Self::Staff(_)
            | Self::Device(_)
            | Self::Rules(_)
            | Self::Outline(_)
            | Self::Season(_)
            | Self::Course(_)
            | Self::Student(_)
            | Self::Form(_)
            | Self::Session(_)
            | Self::Next(_)
            | Self::Skill(_)
            | Self::Dive(_)
            | Self::Weight(_)
            | Self::Note(_)
            | Self::File(_)
            | Self::Incident(_)
            | Self::Site(_)
            | Self::Agenda(_)
            | Self::Emergency(_)
            | Self::Kit(_)
            | Self::Debrief(_)
            | Self::Entry(_)
            | Self::Record(_)
            | Self::Today { .. }
            | Self::Board { .. }
            | Self::Paper(_)
            | Self::Export(_)
            | Self::Import(_)
            | Self::Keep(_)
            | Self::Verify(_)
            | Self::Check(_)
            | Self::Code(_)
            | Self::Status { .. }
            | Self::Backup { .. } => true,
        }
    }
}

/// A command line that was understood.
struct Read {
    folder: Option<PathBuf>,
    command: Option<Command>,
    shape: Shape,
}

/// Reads a command line.
fn read_line(
    args: impl IntoIterator<Item = impl Into<std::ffi::OsString> + Clone>,
) -> Result<Read, clap::Error> {
    let matches = help::spoken(Line::command()).try_get_matches_from(args)?;
    let line = Line::from_arg_matches(&matches)?;
    if let Some(language) = line.language {
        language.speak();
    }
    Ok(Read {
        folder: line.folder,
        command: line.command,
        shape: match (line.json, line.ids) {
            (true, _) => Shape::Json,
            (false, true) => Shape::Ids,
            (false, false) => Shape::Text,
        },
    })
}

/// Speaks the language that the command line asks for before it is read: help and what is wrong
/// with it are said in that language too.
fn asked_language() {
    use clap::ValueEnum as _;
    let args: Vec<String> = std::env::args_os()
        .filter_map(|arg| arg.into_string().ok())
        .collect();
    let after = args.windows(2).find_map(|pair| match pair {
        [flag, value] if flag == "--language" => Some(value.as_str()),
        _ => None,
    });
    let joined = args.iter().find_map(|arg| arg.strip_prefix("--language="));
    if let Some(language) = after.or(joined)
        && let Ok(language) = Language::from_str(language, true)
    {
        language.speak();
    }
}

/// Reads the command line and does what it says.
pub(crate) fn run() -> ExitCode {
    Language::of_account().speak();
    asked_language();
    let line = match read_line(std::env::args_os()) {
        Ok(line) => line,
        // Help and version are errors of clap's too, with exit code 0.
        Err(error) => error.exit(),
    };
    let turn = Turn::own(line.shape);
    let Some(command) = line.command else {
        return code_of(window::open(line.folder).map(yes), &turn).into();
    };
    let mut done = go(&command, &turn);
    if let (Err(Fault::Busy), Some(folder)) = (&done, turn.wanted()) {
        done = by_host(&command, &folder, &turn);
    }
    code_of(done, &turn).into()
}

/// Has the host do a command whose folder it has in use.
fn by_host(command: &Command, folder: &Path, turn: &Turn) -> Result<bool, Fault> {
    let args: Option<Vec<String>> = std::env::args_os()
        .map(|arg| arg.into_string().ok())
        .collect();
    let args = args.ok_or_else(|| Fault::rule("roster_not_text"))?;
    let came = match relay::to_host(folder, args) {
        // A window has the folder, or an older host: it can still be looked at.
        Err(Fault::Busy) if matches!(command, Command::Status { .. }) => {
            turn.look_beside();
            return go(command, turn);
        }
        other => other?,
    };
    turn.put(&came.out);
    for line in came.err.lines() {
        turn.warn(line);
    }
    turn.ends_with(came.code);
    if let Command::Code(code) = command
        && came.code == 0
        && code.waits()
    {
        return code.wait(turn);
    }
    Ok(came.code == 0)
}

/// Does a command, and answers a program with what it wrote.
fn go(command: &Command, turn: &Turn) -> Result<bool, Fault> {
    let done = act(command, turn);
    turn.ended_files();
    done
}

/// Does a command.
fn act(command: &Command, turn: &Turn) -> Result<bool, Fault> {
    match command {
        Command::Demo(asked) => demo::run(asked, turn).map(yes),
        Command::Setup(setup) => shop::set_up(setup, turn).map(yes),
        Command::Recovery { device } => shop::recovery(&device.folder, turn).map(yes),
        Command::School(asked) => staff::school(asked, turn).map(yes),
        Command::Staff(asked) => staff::run(asked, turn).map(yes),
        Command::Device(asked) => device::run(asked, turn).map(yes),
        Command::Rules(asked) => rules::run(asked, turn).map(yes),
        Command::Outline(asked) => outline::run(asked, turn).map(yes),
        Command::Season(asked) => season::run(asked, turn).map(yes),
        Command::Course(asked) => course::run(asked, turn).map(yes),
        Command::Student(asked) => student::run(asked, turn).map(yes),
        Command::Form(asked) => form::run(asked, turn).map(yes),
        Command::Session(asked) => session::run(asked, turn).map(yes),
        Command::Next(asked) => next::run(asked, turn),
        Command::Skill(asked) => skill::run(asked, turn).map(yes),
        Command::Dive(asked) => water::run(asked, turn).map(yes),
        Command::Weight(asked) => water::weight(asked, turn).map(yes),
        Command::Note(asked) => entry::note(asked, turn).map(yes),
        Command::File(asked) => attachment::run(asked, turn).map(yes),
        Command::Incident(asked) => incident::run(asked, turn).map(yes),
        Command::Site(asked) => site::run(asked, turn).map(yes),
        Command::Agenda(asked) => agenda::run(asked, turn),
        Command::Emergency(asked) => site::emergency(asked, turn).map(yes),
        Command::Kit(asked) => kit::run(asked, turn).map(yes),
        Command::Debrief(asked) => debrief::run(asked, turn).map(yes),
        Command::Entry(asked) => entry::run(asked, turn).map(yes),
        Command::Record(asked) => record::run(asked, turn).map(yes),
        Command::Today { device } => {
            let desk = turn.read(&device.folder)?;
            today::show(&desk, turn).map(yes)
        }
        Command::Board {
            device,
            course,
            named,
        } => {
            let desk = turn.read(&device.folder)?;
            let asked = course.as_ref().or(named.as_ref());
            board::show(&desk, asked.map(String::as_str), turn).map(yes)
        }
        Command::Calculate(asked) => calculate::run(asked, turn).map(yes),
        Command::Figures => {
            figures::show(turn);
            Ok(true)
        }
        Command::Paper(asked) => paper::run(asked, turn).map(yes),
        Command::Export(asked) => export::run(asked, turn).map(yes),
        Command::Import(asked) => import::run(asked, turn),
        Command::Keep(asked) => keep::run(asked, turn),
        Command::Verify(asked) => verify::run(asked, turn),
        Command::Check(asked) => check::run(asked, turn),
        Command::Rescue(asked) => rescue::run(asked, turn),
        Command::Host(host) => {
            log_to_stderr();
            host::run(host).map(yes)
        }
        Command::Code(code) => shop::code(code, turn),
        Command::Join(join) => shop::join(join, turn),
        Command::Status { device } => shop::status(&device.folder, turn).map(yes),
        Command::Completions { shell } => {
            help::completions(help::spoken(Line::command()), *shell, turn);
            Ok(true)
        }
        Command::Manual { out } => help::manual(&help::spoken(Line::command()), out, turn).map(yes),
        Command::Backup { device, file } => shop::backup(&device.folder, file, turn).map(yes),
    }
}

/// What came of it, as an exit code; a fault is said in words.
fn code_of(done: Result<bool, Fault>, turn: &Turn) -> u8 {
    match done {
        Ok(_) if turn.failed() => {
            turn.warn("tallywater: the answer could not be written");
            NO
        }
        Ok(true) => 0,
        // The command has said why.
        Ok(false) => turn.ended_with().unwrap_or(NO),
        Err(fault) => {
            turn.warn(format!("tallywater: {}", fault::words(&fault)));
            match fault {
                Fault::NotFound { .. } => NOT_THERE,
                // A file that is not as it was signed.
                Fault::Refused { rule, .. } if rule.starts_with("course_file_") => DAMAGED,
                Fault::Refused { .. } => REFUSED,
                Fault::Damaged { .. } | Fault::NewerVersion { .. } => DAMAGED,
                Fault::DeviceFull | Fault::Busy | Fault::Internal { .. } => NO,
            }
        }
    }
}

/// A command that either does it or fails.
const fn yes((): ()) -> bool {
    true
}

/// A figure with its unit, for a person.
fn figure_said(figure: &Figure) -> String {
    let symbol = unit_symbol(figure.unit).unwrap_or_default();
    if symbol.is_empty() {
        figure.text.clone()
    } else {
        format!("{} {symbol}", figure.text)
    }
}

/// A figure with its unit, as JSON.
fn figure(figure: &Figure) -> serde_json::Value {
    let symbol = unit_symbol(figure.unit).unwrap_or_default();
    serde_json::json!({ "figure": figure.text, "unit": symbol })
}

/// What the program says of itself goes to standard error, with times.
fn log_to_stderr() {
    tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_max_level(tracing_subscriber::filter::LevelFilter::INFO)
        .with_target(false)
        .init();
}

/// Opens a device's folder; one that is not there is not made by merely looking.
fn open(folder: &Path) -> Result<Arc<Tallywater>, Fault> {
    if !folder.join("tallywater.db").is_file() {
        let id = folder.display().to_string();
        return Err(Fault::NotFound {
            what: "device folder".into(),
            id,
        });
    }
    Tallywater::open(folder.display().to_string())
}

#[cfg(test)]
mod pages;
#[cfg(test)]
mod tests;
