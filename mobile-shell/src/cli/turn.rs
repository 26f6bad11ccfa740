//! Turn: one command being done: which desk, where what it says goes, in which shape.
//!
//! A command is done by this process, or by the host that has the folder in use: then what it
//! says is gathered and sent back (`relay.rs`).

use std::cell::{Cell, RefCell};
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde_json::{Value, json};
use tallywater_bindings::{Fault, Receipt, Request, Tallywater};

use super::catalogue::tr;

/// The version of what `--json` writes: raised when something in it is taken away or changes
/// its meaning; what is added does not raise it.
pub(super) const JSON_VERSION: u32 = 1;

/// The most that is read from the standard input.
const MOST_TYPED: u64 = 64 * 1024 * 1024;

/// In which shape a command answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    /// For a person.
    Text,
    /// For a program: one JSON value.
    Json,
    /// For a script: ids alone, one a line.
    Ids,
}

/// Where what is said goes.
enum Voice {
    /// To this process's own output.
    Own,
    /// Into here, to be sent to whoever asked: standard output and standard error.
    Gathered(RefCell<(Vec<u8>, String)>),
}

/// What the host does for another terminal.
pub(super) struct Lent {
    /// The host's own desk.
    pub(super) desk: Arc<Tallywater>,
    /// The folder that the other terminal stands in.
    pub(super) at: PathBuf,
    /// What the other terminal had on its standard input, if the command reads it.
    pub(super) typed: Option<Vec<u8>>,
}

/// One command being done.
pub(super) struct Turn {
    shape: Shape,
    voice: Voice,
    lent: Option<Lent>,
    /// The folder that a command wanted to write to and somebody else has in use.
    wanted: RefCell<Option<PathBuf>>,
    /// Set when the reader of our output has gone away, or it could not be written.
    deaf: Cell<bool>,
    failed: Cell<bool>,
    /// Folders are looked at beside whoever has them, though a host would be asked else.
    beside: Cell<bool>,
    /// The exit code of a host that did it.
    ended: Cell<Option<u8>>,
    /// The files of a command that writes some, for a program that is told of all in one value.
    files: RefCell<Option<Vec<Value>>>,
}

/// A file that a command was to write.
pub(super) struct File<'a> {
    /// As whoever asked named it.
    pub(super) path: &'a Path,
    /// What it is: `pdf`, `csv`.
    pub(super) kind: &'a str,
    /// The size of what lies there now.
    pub(super) bytes: u64,
    /// Its digest, where that is known without reading it.
    pub(super) sha256: Option<&'a str>,
    /// Whether it was written, or was there and left as it is.
    pub(super) written: bool,
}

impl Turn {
    /// A command of this process.
    pub(super) fn own(shape: Shape) -> Self {
        Self::with(shape, Voice::Own, None)
    }

    /// A command that is done for another terminal.
    pub(super) fn lent(shape: Shape, lent: Lent) -> Self {
        Self::with(shape, Voice::Gathered(RefCell::default()), Some(lent))
    }

    fn with(shape: Shape, voice: Voice, lent: Option<Lent>) -> Self {
        Self {
            shape,
            voice,
            lent,
            wanted: RefCell::default(),
            deaf: Cell::new(false),
            failed: Cell::new(false),
            beside: Cell::new(false),
            ended: Cell::new(None),
            files: RefCell::default(),
        }
    }

    /// The desk of a folder, to record at it.
    pub(super) fn write(&self, folder: &Path) -> Result<Arc<Tallywater>, Fault> {
        if let Some(lent) = &self.lent {
            return Ok(Arc::clone(&lent.desk));
        }
        match super::open(folder) {
            Err(Fault::Busy) => {
                *self.wanted.borrow_mut() = Some(folder.to_owned());
                Err(Fault::Busy)
            }
            opened => opened,
        }
    }

    /// The desk of a folder, to look at: beside whoever has it in use.
    pub(super) fn read(&self, folder: &Path) -> Result<Arc<Tallywater>, Fault> {
        if let Some(lent) = &self.lent {
            return Ok(Arc::clone(&lent.desk));
        }
        match super::open(folder) {
            Err(Fault::Busy) => Tallywater::open_to_read(folder.display().to_string()),
            opened => opened,
        }
    }

    /// The desk of a folder with what is alive in it: the running host's own, if there is one.
    pub(super) fn live(&self, folder: &Path) -> Result<Arc<Tallywater>, Fault> {
        if self.beside.get() {
            self.read(folder)
        } else {
            self.write(folder)
        }
    }

    /// Looks beside whoever has a folder from now on.
    pub(super) fn look_beside(&self) {
        self.beside.set(true);
    }

    /// A host did it and ended with this code.
    pub(super) fn ends_with(&self, code: u8) {
        self.ended.set(Some(code));
    }

    /// The exit code of the host that did it.
    pub(super) const fn ended_with(&self) -> Option<u8> {
        self.ended.get()
    }

    /// The folder that a command wanted to write to while somebody else has it in use.
    pub(super) fn wanted(&self) -> Option<PathBuf> {
        self.wanted.borrow().clone()
    }

    /// A path as whoever asked meant it.
    pub(super) fn path(&self, path: &Path) -> PathBuf {
        match &self.lent {
            Some(lent) => lent.at.join(path),
            None => path.to_owned(),
        }
    }

    /// A file that was named, or the standard input for `-`.
    pub(super) fn file(&self, path: &Path) -> Result<Vec<u8>, Fault> {
        if path != Path::new("-") {
            return super::find::file(&self.path(path));
        }
        if let Some(lent) = &self.lent {
            return Ok(lent.typed.clone().unwrap_or_default());
        }
        typed()
    }

    /// The same, as text.
    pub(super) fn text(&self, path: &Path) -> Result<String, Fault> {
        let bytes = self.file(path)?;
        String::from_utf8(bytes).map_err(|_| super::find::refused("roster_not_text", "file", None))
    }

    /// Asks the rules whether this could be recorded, and records nothing; says so where they
    /// have nothing against it.
    pub(super) fn could(&self, desk: &Tallywater, requests: Vec<Request>) -> Result<(), Fault> {
        desk.would_record(requests)?;
        self.done(tr!(
            "It could be recorded. Nothing was: this was a preview."
        ));
        Ok(())
    }

    /// Says a line to whoever asked.
    pub(super) fn say(&self, line: impl AsRef<str>) {
        self.put(format!("{}\n", line.as_ref()).as_bytes());
    }

    /// Writes bytes to the standard output of whoever asked. A reader who has gone away is no
    /// failure.
    pub(super) fn put(&self, bytes: &[u8]) {
        if let Voice::Gathered(said) = &self.voice {
            said.borrow_mut().0.extend_from_slice(bytes);
            return;
        }
        if self.deaf.get() {
            return;
        }
        let mut out = std::io::stdout().lock();
        if let Err(error) = out.write_all(bytes).and_then(|()| out.flush()) {
            self.deaf.set(true);
            self.failed
                .set(error.kind() != std::io::ErrorKind::BrokenPipe);
        }
    }

    /// Whether the standard output can be written to by this process.
    pub(super) const fn is_own(&self) -> bool {
        matches!(self.voice, Voice::Own)
    }

    /// Whether a person is answered, who is told on the way as well.
    pub(super) const fn is_for_a_person(&self) -> bool {
        matches!(self.shape, Shape::Text)
    }

    /// Whether something that was said could not be written, for another reason than that
    /// nobody reads it any more.
    pub(super) const fn failed(&self) -> bool {
        self.failed.get()
    }

    /// Says a line beside the answer: a warning, a reason.
    pub(super) fn warn(&self, line: impl AsRef<str>) {
        match &self.voice {
            Voice::Gathered(said) => {
                let err = &mut said.borrow_mut().1;
                err.push_str(line.as_ref());
                err.push('\n');
            }
            // Nobody may read that either; there is nothing left to tell it to.
            Voice::Own => {
                let _ = writeln!(std::io::stderr(), "{}", line.as_ref());
            }
        }
    }

    /// How far a long job is: on a terminal only, one line that is written over.
    pub(super) fn progress(&self, line: impl AsRef<str>, ended: bool) {
        use std::io::IsTerminal as _;
        if self.is_own() && std::io::stderr().is_terminal() {
            let end = if ended { "\n" } else { "" };
            let _ = write!(std::io::stderr(), "\r{}{end}", line.as_ref());
        }
    }

    /// What was gathered for another terminal.
    pub(super) fn gathered(&self) -> (Vec<u8>, String) {
        match &self.voice {
            Voice::Gathered(said) => said.borrow().clone(),
            Voice::Own => Default::default(),
        }
    }

    /// Answers a question: a value for programs, ids for scripts, lines for a person.
    pub(super) fn answer(
        &self,
        what: &str,
        value: &Value,
        ids: impl FnOnce() -> Vec<String>,
        lines: impl FnOnce() -> Vec<String>,
    ) {
        match self.shape {
            Shape::Json => self.json(what, value),
            Shape::Ids => ids().iter().for_each(|id| self.say(id)),
            Shape::Text => lines().iter().for_each(|line| self.say(line)),
        }
    }

    /// Says what was done.
    pub(super) fn done(&self, sentence: impl AsRef<str>) {
        match self.shape {
            Shape::Json => self.json("done", &Value::Null),
            Shape::Ids => {}
            Shape::Text => self.say(sentence),
        }
    }

    /// Says what was recorded: the sentence, the id that was made, or the entries.
    pub(super) fn recorded(&self, receipt: &Receipt, sentence: impl AsRef<str>) {
        let entries = receipt.entries.iter();
        match self.shape {
            Shape::Json => {
                let entries: Vec<Value> = entries
                    .map(|one| json!({ "ledger": one.ledger, "entry": one.entry }))
                    .collect();
                self.json(
                    "recorded",
                    &json!({ "made": receipt.made, "entries": entries }),
                );
            }
            Shape::Ids => match &receipt.made {
                Some(made) => self.say(made),
                None => entries.for_each(|one| self.say(&one.entry)),
            },
            Shape::Text => self.say(sentence),
        }
    }

    /// Says of one file that it was written; of one that was left as it is nothing was made.
    pub(super) fn wrote(&self, file: &File) {
        match self.shape {
            Shape::Json => {
                let mut files = self.files.borrow_mut();
                files.get_or_insert_with(Vec::new).push(json!({
                    "path": file.path.display().to_string(), "kind": file.kind,
                    "bytes": file.bytes, "sha256": file.sha256, "written": file.written,
                }));
            }
            Shape::Text | Shape::Ids if file.written => self.say(file.path.display().to_string()),
            Shape::Text | Shape::Ids => {}
        }
    }

    /// The same of a file that a person is told more of.
    pub(super) fn wrote_saying(&self, file: &File, sentence: impl AsRef<str>) {
        match self.shape {
            Shape::Json => self.wrote(file),
            Shape::Ids => {}
            Shape::Text => self.say(sentence),
        }
    }

    /// Says of a job, which may have written no file at all, that it is done.
    pub(super) fn wrote_all(&self, sentence: impl AsRef<str>) {
        match self.shape {
            Shape::Json => {
                self.files.borrow_mut().get_or_insert_with(Vec::new);
            }
            Shape::Ids => {}
            Shape::Text => self.say(sentence),
        }
    }

    /// Answers a program with the files of a command that has ended, if it was one that writes;
    /// of one that broke off, with those that it had written.
    pub(super) fn ended_files(&self) {
        if let Some(files) = self.files.take() {
            self.json("written", &json!({ "files": files }));
        }
    }

    fn json(&self, what: &str, value: &Value) {
        let whole = json!({ "tallywater": JSON_VERSION, "answer": what, "value": value });
        self.say(format!("{whole:#}"));
    }
}

/// What is on the standard input, up to a bound.
pub(super) fn typed() -> Result<Vec<u8>, Fault> {
    let mut bytes = Vec::new();
    let read = std::io::stdin()
        .take(MOST_TYPED + 1)
        .read_to_end(&mut bytes);
    read.map_err(|error| Fault::Internal {
        detail: format!("could not read the standard input: {}", error.kind()),
    })?;
    if bytes.len() as u64 > MOST_TYPED {
        return Err(Fault::rule("file_too_large").what("file"));
    }
    Ok(bytes)
}
