//! Relay: a command whose folder a running host has in use is done by that host. The command
//! line itself is the question, what it printed and its exit code are the answer.
//!
//! Only what a folder's own commands do is done for another terminal: nothing that opens a
//! window, goes on the network or begins a shop.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use serde::{Deserialize, Serialize};
use tallywater_bindings::{Fault, Tallywater, answer, ask, ask_no_more};

use super::catalogue::{Language, tr};
use super::turn::{Lent, Turn};

/// How long another terminal waits for a host that has taken its question: an import of
/// thousands takes a while.
const PATIENCE: Duration = Duration::from_secs(600);
/// How long it waits for the host to take the question.
const TAKEN: Duration = Duration::from_secs(10);
/// How often it looks for the answer.
const LOOK: Duration = Duration::from_millis(50);

/// A command line, as it was typed and where.
#[derive(Serialize, Deserialize)]
struct Asked {
    /// Of which version the asking program is.
    version: String,
    args: Vec<String>,
    at: PathBuf,
    typed: Option<Vec<u8>>,
    language: Language,
}

/// What came of it.
#[derive(Serialize, Deserialize)]
pub(super) struct Came {
    /// What it said, or the file that was to go to the standard output.
    pub(super) out: Vec<u8>,
    /// What it warned of.
    pub(super) err: String,
    /// Its exit code.
    pub(super) code: u8,
}

fn internal(error: &dyn std::fmt::Display) -> Fault {
    Fault::Internal {
        detail: error.to_string(),
    }
}

/// Has the host of this folder do a command line.
pub(super) fn to_host(folder: &Path, args: Vec<String>) -> Result<Came, Fault> {
    // The host stands elsewhere: the folder is its own, whatever it is called here.
    let asked = Asked {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        typed: if reads_typed(&args) {
            Some(super::turn::typed()?)
        } else {
            None
        },
        args,
        at: std::env::current_dir().map_err(|error| internal(&error.kind()))?,
        language: Language::spoken(),
    };
    let text = serde_json::to_string(&asked).map_err(|error| internal(&error))?;
    let name = folder.display().to_string();
    let id = ask(name.clone(), text)?;
    let start = Instant::now();
    let mut taken = false;
    while start.elapsed() < PATIENCE {
        if let Some(said) = answer(name.clone(), id.clone())? {
            return serde_json::from_str(&said).map_err(|error| internal(&error));
        }
        if !taken && start.elapsed() > TAKEN {
            if ask_no_more(name.clone(), id.clone())? {
                return Err(Fault::Busy);
            }
            taken = true;
        }
        // A host that was stopped has let go of the folder by now.
        if taken && super::open(folder).is_ok() {
            return Err(Fault::rule("host_stopped"));
        }
        std::thread::sleep(LOOK);
    }
    Err(Fault::Busy)
}

/// Whether a command line reads the standard input: a `-` that is not where a file goes.
fn reads_typed(args: &[String]) -> bool {
    let before = std::iter::once("").chain(args.iter().map(String::as_str));
    let mut pairs = before.zip(args);
    pairs.any(|(before, arg)| arg == "-" && !matches!(before, "--out" | "-o"))
}

/// Does a command line for another terminal.
pub(super) fn by_host(desk: &Arc<Tallywater>, text: &str) -> String {
    let came = match serde_json::from_str::<Asked>(text) {
        Ok(asked) if asked.version == env!("CARGO_PKG_VERSION") => {
            asked.language.speak();
            let came = done(desk, asked);
            Language::En.speak();
            came
        }
        Ok(asked) => {
            asked.language.speak();
            let said = tr!("The host is of another version of this program: start it anew.");
            Language::En.speak();
            Came {
                out: Vec::new(),
                err: format!("{said}\n"),
                code: super::REFUSED,
            }
        }
        Err(_) => Came {
            out: Vec::new(),
            err: "the question cannot be read\n".to_owned(),
            code: super::REFUSED,
        },
    };
    serde_json::to_string(&came).unwrap_or_default()
}

fn done(desk: &Arc<Tallywater>, asked: Asked) -> Came {
    let lent = Lent {
        desk: Arc::clone(desk),
        at: asked.at,
        typed: asked.typed,
    };
    let read = super::read_line(asked.args);
    let (command, shape) = match read {
        Ok(line) => (line.command, line.shape),
        // It was read by the other terminal before it was sent.
        Err(_) => (None, super::turn::Shape::Text),
    };
    let turn = Turn::lent(shape, lent);
    let code = match command {
        Some(command) if command.is_lent() => super::code_of(super::go(&command, &turn), &turn),
        Some(_) | None => super::REFUSED,
    };
    let (out, err) = turn.gathered();
    Came { out, err, code }
}
